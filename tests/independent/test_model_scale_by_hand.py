"""Models against figures by hand, torsion and bodies of revolution."""

from __future__ import annotations

from math import cos, pi, tan
from typing import Any

import numpy as np
import pytest

from ledger.calculators.model_scale import MODEL_SCALE
from ledger.mechanics.model_scale import inertia_ratio, mass_ratio, scaled_torque, tip_widths
from ledger.mechanics.standard_bearings import KINDS, bore_limits, nearest_bore
from tests.bearing_rows import BEARINGS

PLAIN: dict[str, Any] = {
    "scale": 0.3, "process": "cut from metal", "wall": 0.0, "tip": 0.0, "gap": 0.0, "module": 0.0,
    "modules": "series I", "distance": 0.0, "pressure": 20.0, "helix": 0.0, "gears": [], "parts": [], "torque": 0.0,
    "strength": 0.0, "model_strength": 0.0, "mass": 0.0, "density": 7850.0, "model_density": 7850.0,
}  # fmt: skip


def model(**given: Any) -> dict[str, Any]:
    """The whole calculator, with its defaults where nothing is said."""
    return dict(MODEL_SCALE.compute(**(PLAIN | given)))


def part(name: str, size: Any, kind: str, bearing: str = "none", fit: str = "none") -> dict[str, Any]:
    """A row of parts."""
    return {"part": name, "size": size, "kind": kind, "bearing": bearing, "fit": fit}


def test_three_tenths_of_a_module_of_five() -> None:
    """Module 5 at 0.3 is 1.5, which is standard; 72 teeth are 54 mm; 3,100 N·m at 900 MPa are 6.51 at 70 MPa."""
    found = model(
        module=5.0, distance=180.0, torque=3100.0, strength=900.0, model_strength=70.0, mass=214.0,
        gears=[{"gear": "3", "driver": 27, "driven": 45}],
    )  # fmt: skip
    assert found["model_module"] == 1.5
    assert found["actual_scale"] == pytest.approx(0.3)
    assert found["model_distance"] == pytest.approx(54)
    assert found["model_torque"] == pytest.approx(3100 * 0.027 * 70 / 900)
    assert found["model_mass"] == pytest.approx(214 * 0.027)
    assert found["gears"][0]["driving wheel, reference [mm]"] == pytest.approx(40.5)
    assert found["gears"][0]["driven wheel, reference [mm]"] == pytest.approx(67.5)


def test_the_module_decides_the_scale() -> None:
    """Module 5 at 0.28 would be 1.4: nearest by ratio is 1.5 in series I and 1.375 in both, so 0.3 and 0.275."""
    assert model(scale=0.28, module=5.0)["actual_scale"] == pytest.approx(0.3)
    assert model(scale=0.28, module=5.0, modules="series I and II")["actual_scale"] == pytest.approx(0.275)
    assert model(scale=0.28)["actual_scale"] == pytest.approx(0.28)


def test_torque_and_torsion() -> None:
    """A round shaft of 60 mm and one of 18: τ = 16 T/(π d³) is the same share of strength under the scaled torque."""
    small = scaled_torque(2000.0, 0.3, 900.0, 70.0)
    stress, small_stress = 16 * 2000e3 / (pi * 60**3), 16 * small * 1e3 / (pi * 18**3)
    assert stress / 900 == pytest.approx(small_stress / 70)


def test_mass_and_inertia_of_a_disc() -> None:
    """A steel disc of 200 by 30 mm and a brass one of half the size: m = ρ π r² b, J = m r²/2."""
    masses = [rho * pi * r**2 * b for rho, r, b in ((7850, 0.1, 0.03), (8500, 0.05, 0.015))]
    assert mass_ratio(0.5, 7850, 8500) == pytest.approx(masses[1] / masses[0])
    assert inertia_ratio(0.5, 7850, 8500) == pytest.approx(masses[1] * 0.05**2 / (masses[0] * 0.1**2))


def test_the_tip_of_a_tooth_by_hand() -> None:
    """20 teeth of module 1, unshifted: d_a 22, cos α_a = 20 cos 20°/22; s_a = 22(π/40 + inv 20° − inv α_a) = 0.697."""
    angle = np.arccos(20 * cos(pi / 9) / 22)
    width = 22 * (pi / 40 + tan(pi / 9) - pi / 9 - (np.tan(angle) - angle))
    assert tip_widths(1.0, 20, 20)[0] == pytest.approx(width)
    assert width == pytest.approx(0.697, abs=0.005)


def test_what_a_process_can_make() -> None:
    """From filament a wall of 6 mm at 0.3 is 1.8 and made; one of 2 mm is 0.6 and not, and is thickened to 0.8."""
    rows = [part("rim", 6.0, "wall"), part("web", 2.0, "wall"), part("shoe", 0.5, "gap between moving parts")]
    found = model(process="printed from filament", parts=rows)
    assert not found["made"]
    assert [row["make [mm]"] for row in found["parts"]] == pytest.approx([1.8, 0.8, 0.5])
    assert [row["note"] for row in found["parts"]] == [
        "",
        "thickened, out of scale",
        "opened to what the process needs",
    ]
    assert found["least_scale"] == pytest.approx(0.8 / 2)
    assert model(process="printed from filament", wall=0.5, parts=rows)["made"]


def test_bearings_and_fits_of_a_model() -> None:
    """70 mm at 0.3 is 21: the nearest bore is 20, of 6004 20 × 42 × 12, a shaft 1 mm thinner.

    Its bore has 0/−10 µm and a shaft g6 −7/−20: from 3 µm of interference to 20 of clearance; k6, +15/+2, is held by 2
    to 25 µm, where an H7 hole would leave it loose.
    """
    found = model(parts=[part("output shaft", 70.0, "shaft", "ball, series 10", "H7/g6")])["parts"][0]
    assert found["make [mm]"] == 20
    assert found["changed by [mm]"] == pytest.approx(-1)
    assert found["note"] == (
        "bearing 6004, 20 × 42 × 12 mm, shaft changed by -1 mm, -4.76 %; "
        "g6 in the bearing's bore, which is not H7: from 3 µm interference to 20 µm clearance"
    )
    held = model(parts=[part("output shaft", 70.0, "shaft", "ball, series 10", "H7/k6")])["parts"][0]
    assert held["note"].endswith("interference 2 to 25 µm")
    tight = model(parts=[part("pin", 70.0, "shaft", fit="H7/s6")])["parts"][0]
    assert tight["note"] == "H7/s6: interference 14 to 48 µm"
    between = model(parts=[part("hub", 70.0, "shaft", fit="H7/k6")])["parts"][0]
    assert between["note"] == "H7/k6: from 15 µm interference to 19 µm clearance"


def test_a_drawn_cup_has_no_seat() -> None:
    """The shaft runs on its needles, so a fit beside it is refused."""
    with pytest.raises(ValueError, match="pin: a drawn cup has no inner ring"):
        model(parts=[part("pin", 30.0, "shaft", "drawn cup", "H7/g6")])


@pytest.mark.parametrize(
    ("bore", "lower"), [(2.5, -8), (8, -8), (10, -8), (18, -8), (20, -10), (30, -10), (50, -12), (80, -15), (100, -20)]
)
def test_bores_of_bearings(bore: float, lower: float) -> None:
    """ISO 492, normal class, in µm; from memory."""
    assert bore_limits(bore) == (lower, 0)
    assert np.all(bore_limits(np.array([bore, bore]))[0] == lower)


def test_bores_without_known_deviations_are_refused() -> None:
    """Below 2.5 and above 120 mm nothing is guessed."""
    for bore in (2.0, 130.0):
        with pytest.raises(ValueError, match="known deviations"):
            bore_limits(bore)


@pytest.mark.parametrize(
    "stated",
    [
        "628 8×24×8", "6213 65×120×23", "6214 70×125×24", "6215 75×130×25", "6216 80×140×26", "6013 65×100×18",
        "6014 70×110×20", "6015 75×115×20", "6016 80×125×22", "HK0608 6×10×8", "HK0808 8×12×8", "HK1412 14×20×12",
        "HK1812 18×24×12", "HK2216 22×28×16", "HK2820 28×35×20", "HK4520 45×52×20",
    ],
)  # fmt: skip
def test_bearings_from_memory(stated: str) -> None:
    """Boundary dimensions of ISO 15 and ISO 3245; from memory."""
    name, sizes = stated.split()
    assert BEARINGS[name] == tuple(int(size) for size in sizes.split("×"))


def test_no_bore_of_a_series_is_passed_over() -> None:
    """From 20 to 100 mm ball bearings have a bore every 5 mm, below 10 every mm; rows rise in all three sizes."""
    for kind in ("ball, series 02", "ball, series 10"):
        for bore in (*range(4, 10), *range(20, 101, 5)):
            assert nearest_bore(float(bore), kind) == bore
    for rows in KINDS.values():
        assert [row[1] for row in rows] == sorted({row[1] for row in rows})
        assert all(row[1] < row[2] for row in rows)
        assert [row[2] for row in rows] == sorted(row[2] for row in rows)
