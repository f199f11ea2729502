"""Dogs and sliding keys against cases by hand, pressure summed over the flank, and forces on an incline."""

from __future__ import annotations

from math import atan, cos, degrees, radians, sin

import numpy as np
import pytest
from scipy import integrate, optimize

from ledger.calculators.binding import Upstream, bind
from ledger.calculators.dog_teeth import DOG_TEETH
from ledger.calculators.drawing import Drawing
from ledger.calculators.running import run
from ledger.calculators.sliding_key import SLIDING_KEY
from ledger.entries.parts import Given
from ledger.mechanics import dog_teeth as dogs
from ledger.mechanics.sliding_key import key_slide_force
from tests.capacities import computed

SIX = {
    "count": 6, "share": 0.5, "radius": 62.0, "thickness": 20.0, "width": 14.0, "engagement": 10.0, "gap": 1.0,
    "shear": 200.0, "bearing": 400.0, "bending": 300.0,
}  # fmt: skip


def test_six_dogs_by_hand() -> None:
    """Three of six carry: 200·3·20·14·62, 400·3·10·14·62 and 300·3·14·20²/(6·6)·62 N·mm; bending comes first."""
    found = computed(DOG_TEETH, **SIX, torque=1000.0)
    assert found["carriers"] == 3
    assert found["shear_capacity"] == pytest.approx(10_416)
    assert found["bearing_capacity"] == pytest.approx(10_416)
    assert found["bending_capacity"] == found["capacity"] == pytest.approx(300 * 3 * 14 * 400 / 36 * 62 / 1000)
    assert found["dog_force"] == pytest.approx(1_000_000 / 62 / 3)
    assert found["weakest"] == "Bending off, first in all draws."


def test_the_thickness_not_squared_is_caught() -> None:
    """A planted bending by t in place of t² misses the case by hand by the factor of t."""
    planted = 300 * 3 * 14 * 20 / 36 * 62 / 1000
    assert computed(DOG_TEETH, **SIX)["bending_capacity"] != pytest.approx(planted, rel=0.5)


def test_one_dog_carries_at_the_least() -> None:
    """A tenth of six dogs is not six tenths of a dog."""
    assert dogs.carrying(6, 0.1) == 1
    assert computed(DOG_TEETH, **{**SIX, "share": 0.1})["carriers"] == 1


def test_even_pressure_acts_at_the_mean_radius() -> None:
    """The moment of an even pressure over the radial width of a face dog, integrated, is that at its mean radius."""
    moment = integrate.quad(lambda radius: 400.0 * 10.0 * radius, 62 - 7, 62 + 7)[0]
    assert dogs.bearing_capacity(400.0, 1.0, 10.0, 14.0, 62.0) == pytest.approx(moment / 1000, rel=1e-12)


def test_a_root_in_bending_balances_the_moment() -> None:
    """Bending stress over the root, integrated against its lever, is the force times its arm."""
    torque = float(dogs.bending_capacity(300.0, 1.0, 20.0, 14.0, 6.0, 62.0))
    moment = integrate.quad(lambda y: 300.0 * y / 10.0 * y * 14.0, -10, 10)[0]
    assert moment == pytest.approx(torque * 1000 / 62 * 6.0, rel=1e-12)


@pytest.mark.parametrize("slope", [-5.0, 0.0, 4.0, 20.0, 35.0])
def test_the_force_that_pulls_dogs_apart_balances_on_the_flank(slope: float) -> None:
    """Normal force and friction on the flank, resolved: they carry the torque and let the dog out against F."""
    friction, tangential = 0.1, 1000.0 * 500.0 / 62.0
    lean = radians(slope)

    def around(normal: float) -> float:
        return normal * (cos(lean) + friction * sin(lean)) - tangential

    normal = optimize.brentq(around, 0, 10 * tangential)
    along = normal * (friction * cos(lean) - sin(lean))
    assert dogs.release_force(500.0, 62.0, slope, friction) == pytest.approx(along, rel=1e-9)


def test_a_sleeve_on_a_hub_needs_a_steeper_back() -> None:
    """35° throws itself out at 0.1 on a hub of half the dogs' radius: 5.71° and 11.31° are needed; 15° does not."""
    given = {**SIX, "friction": 0.1, "hub_radius": 31.0}
    assert computed(DOG_TEETH, **given, slope=35.0)["throws_itself_out"]
    assert not computed(DOG_TEETH, **given, slope=15.0)["throws_itself_out"]
    assert computed(DOG_TEETH, **given)["least_slope"] == pytest.approx(degrees(atan(0.1) + atan(0.2)))
    assert computed(DOG_TEETH, **{**given, "hub_radius": 0.0}, slope=15.0)["throws_itself_out"]


def test_the_capacity_stands_though_the_flanks_throw() -> None:
    """It is that of dogs held in mesh, and the declaration says that something else must hold them."""
    thrown, held = (computed(DOG_TEETH, **SIX, friction=0.1, slope=slope) for slope in (35.0, 0.0))
    assert thrown["throws_itself_out"]
    assert thrown["capacity"] == held["capacity"]
    assert any("must then hold the sleeve" in said for said in DOG_TEETH.assumptions)


def test_doubtful_dogs_have_the_mean_of_their_parts() -> None:
    """Independent draws: the mean of a product is the product of the means, and whole dogs are drawn whole."""
    texts = {
        "count": "5: 0.1, 6: 0.8, 7: 0.1", "share": "1", "radius": "58..66 mm", "thickness": "20 mm",
        "width": "12..16 mm", "engagement": "9..11 mm", "shear": "1000 MPa", "bearing": "300..500 MPa",
        "bending": "90000 MPa",
    }  # fmt: skip
    given = {name: Given(value=value, reason="stated") for name, value in texts.items()}
    raw, _ = bind("calculations/try", DOG_TEETH, given, Upstream({}, {}, {}), Drawing(40_000))
    found = run("calculations/try", DOG_TEETH, raw)["bearing_capacity"]
    spread = float(np.std(found)) / 200
    assert np.mean(found) == pytest.approx(400 * 6 * 10 * 14 * 62 / 1000, abs=5 * spread)


def test_keys_in_a_bore_by_hand() -> None:
    """Two of four keys of 8 by 30 mm, 5 mm high in the gear, at 38 mm, with 6 mm in their slots."""
    found = computed(
        SLIDING_KEY, count=4, share=0.5, diameter=76.0, width=8.0, length=30.0, projection=5.0, seat=6.0, gap=0.5,
        shear=250.0, bearing=500.0, bending=700.0, friction=0.1, torque=1000.0,
    )  # fmt: skip
    assert found["shear_capacity"] == found["capacity"] == pytest.approx(250 * 2 * 8 * 30 * 38 / 1000)
    assert found["gear_capacity"] == pytest.approx(500 * 2 * 5 * 30 * 38 / 1000)
    assert found["slot_capacity"] == pytest.approx(500 * 2 * 6 * 30 * 38 / 1000)
    assert found["bending_capacity"] == pytest.approx(700 * 2 * 30 * 64 / (6 * 3) * 38 / 1000)
    assert found["key_force"] == pytest.approx(1_000_000 / 38 / 2)
    assert found["slide_force"] == pytest.approx(2 * 0.1 * found["key_force"] * 2)
    assert key_slide_force(1000.0, 76.0, 0.1) == pytest.approx(found["slide_force"])


def test_curves_end_at_the_capacities() -> None:
    """At full engagement, or with all keys carrying, a curve reaches what the calculator gives."""
    found = computed(DOG_TEETH, **SIX)
    last = {row["series"]: row["y"] for row in found["curves"]}
    assert last["shearing off"] == pytest.approx(found["shear_capacity"])
    assert last["crushing"] == pytest.approx(found["bearing_capacity"])
    assert last["bending off"] == pytest.approx(found["bending_capacity"])
    radial = computed(DOG_TEETH, **{**SIX, "form": "radial"})
    assert {row["series"]: row["y"] for row in radial["curves"]} == pytest.approx(last)
