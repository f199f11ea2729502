"""What a person sees of the two reckonings of teeth, and how impossible inputs are refused."""

from __future__ import annotations

from math import cos

import numpy as np
import pytest

from ledger.calculators.contract import Calculator
from ledger.calculators.running import outcomes
from ledger.calculators.tooth_flank import TOOTH_FLANK
from ledger.calculators.tooth_root import TOOTH_ROOT
from ledger.mechanics import contact_path, gear_geometry, hertz, tooth_loads, tooth_root

BOTH = pytest.mark.parametrize("calculator", [TOOTH_ROOT, TOOTH_FLANK], ids=lambda one: one.name)
PAIR = {"module": 5.0, "teeth_1": 31.0, "teeth_2": 41.0, "width": 38.0, "torque": 2067.0, "strength_1": 900.0}


@BOTH
def test_every_output_is_told_in_words_and_units(calculator: Calculator) -> None:
    """Draws go in, summaries, chances, rows and curves come out."""
    draws = 450.0 * (1 + 0.1 * np.random.default_rng(3).standard_normal(2000))
    told = {one.name: one for one in outcomes(calculator, dict(calculator.compute(**PAIR | {"strength_1": draws})))}
    assert {one.name for one in calculator.outputs} == set(told)
    assert told["least_margin"].unit == "%"
    assert told["hands_over"].chance == 1.0
    holds = told["roots_hold" if calculator is TOOTH_ROOT else "flanks_hold"]
    assert 0.0 <= holds.chance <= 1.0


def test_wheels_are_told_with_their_sizes() -> None:
    """Two rows; sizes over pins only where a pin is stated."""
    rows = TOOTH_ROOT.compute(**PAIR)["wheels"]
    assert [row["wheel"] for row in rows] == ["wheel 1", "wheel 2"]
    assert rows[0]["tip diameter [mm]"] == pytest.approx(165)
    assert rows[0]["root diameter [mm]"] == pytest.approx(142.5)
    assert "over two pins or balls [mm]" not in rows[0]
    pinned = TOOTH_ROOT.compute(**PAIR | {"pin": 8.64})["wheels"][0]
    assert pinned["over two pins or balls [mm]"] == pytest.approx(gear_geometry.over_pins(5, 31, 0, 8.64))
    assert pinned["over two pins or balls [mm]"] > 165


def test_the_outlines_are_closed_enough_to_draw() -> None:
    """Each tooth is symmetrical, of 60 to 200 points, from its root to its tip; helical teeth are drawn upright."""
    for helix in (0.0, 20.0):
        curves = TOOTH_ROOT.compute(**PAIR | {"helix": helix})["outlines"]
        for name in ("wheel 1", "wheel 2"):
            points = [(one["x"], one["y"]) for one in curves if one["series"] == name]
            assert 60 <= len(points) <= 200
            assert max(y for _, y in points) == pytest.approx(5.0, abs=0.05)
            assert min(y for _, y in points) == pytest.approx(-6.25, abs=0.5)
            assert points[0][0] == pytest.approx(-points[-1][0])
        section = [one for one in curves if one["series"] == "root section of wheel 1"]
        assert len(section) == 2
        assert section[1]["x"] == -section[0]["x"]


def test_counts_with_doubt_are_drawn_whole() -> None:
    """Tooth counts may be in doubt; the outline takes the nearest whole one to their mean."""
    counts = np.array([30.0, 31.0, 31.0, 32.0])
    curves = TOOTH_ROOT.compute(**PAIR | {"teeth_1": counts})["outlines"]
    assert curves == TOOTH_ROOT.compute(**PAIR)["outlines"]


def test_helical_pairs_have_no_drawn_pressure() -> None:
    """The curve along the path of contact is for spur gears; of helical ones it would say something else."""
    assert "pressures" in TOOTH_FLANK.compute(**PAIR)
    assert "pressures" not in TOOTH_FLANK.compute(**PAIR | {"helix": 12.0})


@BOTH
def test_wheel_two_bears_what_wheel_one_does_unless_stated(calculator: Calculator) -> None:
    """Left out, the same draws; stated, its own."""
    alike = calculator.compute(**PAIR)
    assert alike["margin_2"] == pytest.approx(900 / alike["stress_2"] - 1)
    softer = calculator.compute(**PAIR | {"strength_2": 450.0})
    assert softer["margin_2"] == pytest.approx(450 / alike["stress_2"] - 1)
    with pytest.raises(ValueError, match="What wheel 2 bears"):
        calculator.compute(**PAIR | {"strength_2": np.array([-1.0, 400.0])})


@BOTH
def test_few_teeth_are_told_as_undercut_and_interfering(calculator: Calculator) -> None:
    """Warnings, not refusals: such wheels exist."""
    found = calculator.compute(**PAIR | {"teeth_1": 12.0, "teeth_2": 60.0})
    assert found["undercut"]
    assert found["interferes"]
    assert not calculator.compute(**PAIR)["undercut"]
    assert calculator.compute(**PAIR | {"teeth_1": 10.0, "shift_1": 0.9})["pointed"]
    loose = calculator.compute(**PAIR | {"teeth_1": 12.0, "teeth_2": 12.0, "shift_1": 0.8, "shift_2": 0.8})
    assert not loose["hands_over"]


@BOTH
def test_everything_impossible_is_said_at_once(calculator: Calculator) -> None:
    """Module, width, teeth and shift, each in words, with the wheel's number."""
    with pytest.raises(ValueError, match="Module") as said:
        calculator.compute(**PAIR | {"module": 0.0, "width": -1.0, "teeth_2": 3.0, "shift_1": 9.0, "profile": "Z"})
    for part in ("Module", "Width", "Wheel 2: Number of teeth", "Wheel 1: Profile shift", "profile out of A, B, C"):
        assert part in str(said.value)


@BOTH
def test_nan_is_refused(calculator: Calculator) -> None:
    """A draw that is no number is no module."""
    with pytest.raises(ValueError, match="Module"):
        calculator.compute(**PAIR | {"module": np.array([5.0, np.nan])})


@pytest.mark.parametrize(
    ("impossible", "words"),
    [
        (lambda: gear_geometry.inv(1.6), "below 90°"),
        (lambda: gear_geometry.inv(-0.1), "from 0°"),
        (lambda: gear_geometry.inverse_inv(-1e-3), "below zero"),
        (lambda: gear_geometry.working_angle(10, 10, -0.6), "so negative"),
        (lambda: gear_geometry.working_angle_at(10.0, 2, 10, 10), "smaller than the base circles"),
        (lambda: gear_geometry.tooth_thickness(10.0, 1, 20), "Within the base circle"),
        (lambda: gear_geometry.over_pins(1, 20, 0, 0.5), "too thin"),
        (lambda: gear_geometry.spanned_teeth(20, -3), "so negative"),
        (lambda: gear_geometry.path_of_contact(10, 10, 11, 9, 11, 0.3), "smaller than its base circle"),
        (lambda: tooth_root.rolled_angle(20, 0, 1.25, 0.6, 0.35, 0.5), "too narrow"),
        (lambda: tooth_root.outer_point(20, 18.0, 1.5, 0.35), "no flank"),
        (lambda: tooth_root.root_section(5, -1.5, 1.25, 0.38, 0.349), "Undercut"),
        (lambda: tooth_root.load_arm(20, 0, 0.349, 20.0, 30.0), "no tooth to bend"),
        (lambda: tooth_root.fillet_radius(5, 3.5, 1.25, 0.38, 0.9), "too great"),
        (lambda: hertz.line_pressure(-1.0, 10.0, 2e5), "above zero"),
        (lambda: hertz.joint_radius(10.0, -9.0), "narrower"),
    ],
)
def test_impossible_values_are_refused_in_words(impossible: object, words: str) -> None:
    """Never NaN: what cannot be is said."""
    with pytest.raises(ValueError, match=words):
        impossible()


def test_a_planted_wrong_formula_would_show(monkeypatch: pytest.MonkeyPatch) -> None:
    """Were the chord of the root not squared, the factor of 20 teeth would not be the printed 2.80."""
    right = tooth_root.bent_tooth(20, 0.0, 22.0, 1.0, 1.25, 0.38, gear_geometry.PRESSURE)["form"]
    monkeypatch.setattr(tooth_root, "form_factor", lambda chord, arm, lean, _: 6 * arm * np.cos(lean) / chord)
    wrong = tooth_root.bent_tooth(20, 0.0, 22.0, 1.0, 1.25, 0.38, gear_geometry.PRESSURE)["form"]
    assert right == pytest.approx(2.80, rel=0.0075)
    assert abs(wrong / 2.80 - 1) > 0.1


def test_axial_force_is_that_of_the_helix() -> None:
    """Zero for spur gears; the force square to the flank has its three parts."""
    assert tooth_loads.axial_force(1000.0, 0.0) == 0
    lean = 0.3
    parts = (
        1000.0,
        tooth_loads.axial_force(1000.0, lean),
        tooth_loads.separating_force(
            1000.0, gear_geometry.transverse_angle(helix=lean), gear_geometry.transverse_angle(helix=lean)
        ),
    )
    square = 1000.0 / (cos(gear_geometry.PRESSURE) * cos(lean))
    assert sum(one * one for one in parts) ** 0.5 == pytest.approx(square)


def test_a_base_circle_touched_gives_no_point() -> None:
    """Where a flank has no curvature left the curve stops instead of running to infinity."""
    base = [gear_geometry.base_diameter(1, teeth) for teeth in (12, 60)]
    points = contact_path.pressure_along(14, 62, *base, 36, gear_geometry.PRESSURE, 2.95, 100.0, 113_000.0)
    assert points
    assert all(np.isfinite(one["y"]) for one in points)
