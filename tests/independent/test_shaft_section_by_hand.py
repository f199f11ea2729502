"""Shaft sections and splines against integrals over the section, exact plates with holes, and searches."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
from scipy import integrate, optimize

from ledger.calculators.shaft_section import SHAFT_SECTION
from ledger.calculators.spline import SPLINE
from ledger.mechanics import shaft_section as shaft
from ledger.mechanics import spline
from tests.capacities import computed

TUBE = {
    "outside": 70.0, "bore": 16.0, "torque": 5700.0, "bending": 2000.0, "tensile": 1100.0, "yielding": 850.0,
    "scatter": 1.0,
}  # fmt: skip


def test_torsion_balances_over_the_section() -> None:
    """Shear stress over rings, integrated against the radius, is the torque."""
    most = float(shaft.torsion_stress(1000.0, 60.0, 40.0))
    torque = integrate.quad(lambda r: most * r / 30.0 * r * 2 * pi * r, 20, 30)[0]
    assert torque == pytest.approx(1_000_000, rel=1e-10)


def test_bending_balances_over_the_section() -> None:
    """Bending stress over the section, integrated against the height, is the moment."""
    most = float(shaft.bending_stress(1000.0, 60.0, 40.0))
    moment = integrate.dblquad(lambda a, r: most * (r * np.sin(a)) ** 2 / 30.0 * r, 20, 30, 0, 2 * pi)[0]
    assert moment == pytest.approx(1_000_000, rel=1e-8)


def test_the_greatest_stresses_are_those_of_the_stress_tensor() -> None:
    """Eigenvalues of the plane stress tensor, and its deviator's norm."""
    tensor = np.array([[120.0, 75.0, 0], [75.0, 0, 0], [0, 0, 0]])
    values = np.linalg.eigvalsh(tensor)
    deviator = tensor - np.trace(tensor) / 3 * np.eye(3)
    assert shaft.greatest_normal(120.0, 75.0) == pytest.approx(values[-1])
    assert shaft.greatest_shear(120.0, 75.0) == pytest.approx((values[-1] - values[0]) / 2)
    assert shaft.von_mises(120.0, 75.0) == pytest.approx(sqrt(1.5 * np.sum(deviator**2)))


@pytest.mark.parametrize("bore", [0.0, 0.3, 0.6, 0.8])
def test_a_small_hole_is_a_hole_in_a_wide_plate(bore: float) -> None:
    """Kirsch's plate: three times a pull; four times a shear, two in terms of the edge's own greatest shear."""
    assert shaft.hole_bending_factor(1e-9, 1.0, bore) == pytest.approx(3.0)
    assert shaft.hole_torsion_factor(1e-9, 1.0, bore) == pytest.approx(2.0)


@pytest.mark.parametrize("name", ["goodman", "elliptic", "yield"])
def test_at_its_capacity_a_section_just_holds(name: str) -> None:
    """All moments scaled to a capacity leave a safety of exactly one, found again by a search."""
    first = computed(SHAFT_SECTION, **TUBE)

    def safety(scale: float) -> float:
        more = {**TUBE, "torque": TUBE["torque"] * scale, "bending": TUBE["bending"] * scale}
        return float(computed(SHAFT_SECTION, **more)[f"{name}_factor"]) - 1

    scale = optimize.brentq(safety, 0.1, 20)
    assert scale * 5700 == pytest.approx(first[f"{name}_capacity"], rel=1e-9)


def test_goodman_and_the_ellipse_at_their_ends() -> None:
    """Nothing alternating: tensile or yield strength decides alone; nothing steady: the endurance limit does."""
    assert shaft.goodman(0.0, 100.0, 200.0, 800.0) == 8
    assert shaft.elliptic(0.0, 100.0, 200.0, 600.0) == pytest.approx(6)
    assert shaft.goodman(100.0, 0.0, 200.0, 800.0) == shaft.elliptic(100.0, 0.0, 200.0, 600.0) == 2


def test_which_criterion_judges_is_as_asked() -> None:
    """The capacity is the lesser of yielding and of the fatigue criterion chosen."""
    found = {word: computed(SHAFT_SECTION, **TUBE, judged_by=word) for word in ("yield", "goodman", "elliptic")}
    assert found["yield"]["capacity"] == found["yield"]["yield_capacity"]
    for word in ("goodman", "elliptic"):
        least = min(found[word]["yield_capacity"], found[word][f"{word}_capacity"])
        assert found[word]["capacity"] == least


def test_the_greater_of_two_notches_counts() -> None:
    """A hole beside a sharper stated notch changes nothing; beside a milder one it decides."""
    sharp = computed(SHAFT_SECTION, **TUBE, hole=6.0, bending_factor=4.0, torsion_factor=4.0)
    assert (sharp["bending_factor_used"], sharp["torsion_factor_used"]) == (4, 4)
    mild = computed(SHAFT_SECTION, **TUBE, hole=6.0, bending_factor=1.1)
    assert mild["bending_factor_used"] == pytest.approx(
        1 + shaft.notch_sensitivity(1100.0, 3.0) * (shaft.hole_bending_factor(6.0, 70.0, 16.0) - 1)
    )
    assert mild["capacity"] < computed(SHAFT_SECTION, **TUBE)["capacity"]


def test_the_size_factor_has_no_step_worth_a_word() -> None:
    """At 51 mm the two formulas meet to a thousandth."""
    below, above = (shaft.endurance_limit(800.0, size, "ground") for size in (51.0, 51.0001))
    assert below == pytest.approx(above, rel=1e-3)


def test_a_stated_endurance_limit_is_taken() -> None:
    """As it is, with its own doubt; the scatter is that of a limit from the tensile strength, and counts once there."""
    assert computed(SHAFT_SECTION, **{**TUBE, "scatter": 0.9}, endurance=300.0)["endurance_limit"] == 300
    whole, less = (computed(SHAFT_SECTION, **{**TUBE, "scatter": by})["endurance_limit"] for by in (1.0, 0.9))
    assert less == pytest.approx(0.9 * whole)


def test_a_moment_that_stands_still_tires_the_turning_shaft() -> None:
    """What stands still in space alternates in the shaft, what turns with it is steady; ranges and inputs agree."""
    still = computed(SHAFT_SECTION, **TUBE)
    along = computed(SHAFT_SECTION, **{**TUBE, "bending": 0.0}, bending_steady=2000.0)
    assert still["alternating_stress"] > 0 == along["alternating_stress"]
    assert along["goodman_capacity"] > still["goodman_capacity"]
    for name in ("bending", "bending_steady"):
        declared = SHAFT_SECTION.input(name)
        assert declared is not None
        assert shaft.PERMITTED[name][0] == declared.label


def test_the_curve_starts_at_the_solid_shaft() -> None:
    """At no bore, capacity against bore is that of the solid shaft."""
    solid = computed(SHAFT_SECTION, **{**TUBE, "bore": 0.0})
    first = {row["series"]: row["y"] for row in reversed(solid["curves"])}
    assert first["yielding once"] == pytest.approx(solid["yield_capacity"])
    assert first["breaking in time"] == pytest.approx(solid["goodman_capacity"])


def test_pressure_over_splines_summed_is_their_torque() -> None:
    """Even pressure from inner to outer diameter, integrated, is the torque at the mean radius."""
    torque = integrate.quad(lambda r: 6.0 * 8 * 111.0 * r, 26, 30)[0] / 1000
    assert computed(SPLINE, count=8, major=60.0, minor=52.0, length=111.0, pressure=6.0)["capacity"] == pytest.approx(
        torque, rel=1e-12
    )


def test_splines_that_shear_first() -> None:
    """Thin splines: 8·3·50 mm² at 28 mm and 20 MPa hold less than their flanks."""
    found = computed(
        SPLINE, count=8, major=60.0, minor=52.0, length=50.0, pressure=60.0, thickness=3.0, shear=20.0, share=0.5
    )
    assert found["tooth_capacity"] == found["capacity"] == pytest.approx(20 * 4 * 3 * 50 * 28 / 1000)
    assert found["weakest"].startswith("Shearing off, first in all")


def test_chamfers_take_from_the_flank() -> None:
    """Half a millimetre off either part leaves 3 of 4 mm."""
    assert spline.flank_height(60.0, 52.0, 0.5) == 3
