"""What the calculators of capacities refuse, in plain words, and how they chain into a torque path."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from ledger.calculators.binding import Upstream, bind
from ledger.calculators.contract import Calculator
from ledger.calculators.dog_teeth import DOG_TEETH
from ledger.calculators.drawing import Drawing
from ledger.calculators.one_way_element import ONE_WAY_ELEMENT
from ledger.calculators.running import numbers, outcomes, run
from ledger.calculators.shaft_section import SHAFT_SECTION
from ledger.calculators.sliding_key import SLIDING_KEY
from ledger.calculators.spline import SPLINE
from ledger.calculators.torque_headroom import TORQUE_HEADROOM
from ledger.entries.parts import Given
from ledger.errors import CalculationRefused
from ledger.mechanics import dog_teeth, one_way, shaft_section, sliding_key, spline
from tests.capacities import computed

ALL = (DOG_TEETH, SPLINE, SLIDING_KEY, ONE_WAY_ELEMENT, SHAFT_SECTION)
TEXTS: dict[str, dict[str, Any]] = {
    "dog-teeth": {
        "count": "5: 0.1, 6: 0.8, 7: 0.1", "radius": "58..62..66 mm", "thickness": "1.8..2.2 cm", "width": "14 mm",
        "engagement": "9..10 mm", "shear": "300..450 MPa", "bearing": "600..900 MPa", "bending": "0.6..0.9 GPa",
        "slope": "0.49..0.77 rad", "hub_radius": "40..50 mm", "torque": "5700 N·m",
    },
    "spline": {
        "count": 8, "major": "60 mm", "minor": "52 mm", "length": "111 mm", "pressure": "5..7 MPa",
        "torque": "500..600 N·m", "force": "1000 N",
    },
    "sliding-key": {
        "count": 6, "diameter": "76 mm", "width": "8..10 mm", "length": "30 mm", "projection": "5..6 mm",
        "shear": "300..450 MPa", "bearing": "400..700 MPa", "bending": "600..900 MPa",
    },
    "one-way-element": {
        "form": "sprag", "count": 30, "radius": "37 mm", "width": "40 mm", "rounding": "5..6 mm", "wedge": "6..8 °",
    },
    "shaft-section": {
        "outside": "70 ± 4 mm", "bore": "16 mm", "hole": "5..6 mm", "torque": "5700 N·m", "tensile": "1000..1200 MPa",
        "yielding": "750..950 MPa", "length": "300 mm",
    },
}  # fmt: skip


def raw_of(calculator: Calculator, upstream: Upstream | None = None, **more: Any) -> dict[str, Any]:
    """Bind and run as an entry does."""
    inputs = {name: Given(value=value, reason="stated") for name, value in {**TEXTS[calculator.name], **more}.items()}
    raw, _ = bind("calculations/try", calculator, inputs, upstream or Upstream({}, {}, {}), Drawing(2000))
    return run("calculations/try", calculator, raw)


@pytest.mark.parametrize("calculator", ALL, ids=lambda one: one.name)
def test_an_entry_with_doubts_is_computed(calculator: Calculator) -> None:
    """Units are converted, doubts drawn, and the capacity is spread; every output people read has its words."""
    raw = raw_of(calculator)
    assert np.std(raw["capacity"]) > 0
    for outcome in outcomes(calculator, raw):
        if outcome.form == "number":
            assert outcome.summary is not None
    assert {one.form for one in calculator.outputs} >= {"number", "text", "rows", "curves"}
    assert next(one.unit for one in calculator.outputs if one.name == "capacity") == "N·m"


@pytest.mark.parametrize("calculator", ALL, ids=lambda one: one.name)
def test_a_torque_path_takes_the_capacity(calculator: Calculator) -> None:
    """An element's capacity is taken from the calculation, draw by draw."""
    found = numbers(calculator, raw_of(calculator))
    units = {one.name: one.unit for one in calculator.outputs if one.name in found}
    upstream = Upstream({}, {"calculations/part": found}, {"calculations/part": units})
    row = {"element": "part", "capacity": "calculations/part#capacity", "where": "after"}
    given = {"torque": Given(value="1000 N·m", reason="stated"), "elements": Given(rows=[row], reason="stated")}
    raw, _ = bind("calculations/path", TORQUE_HEADROOM, given, upstream, Drawing(2000))
    held = run("calculations/path", TORQUE_HEADROOM, raw)["held_torque"]
    assert np.allclose(held, found["capacity"])


@pytest.mark.parametrize("calculator", ALL, ids=lambda one: one.name)
def test_beyond_what_is_permitted_is_refused(calculator: Calculator) -> None:
    """A count of nought, or a shaft of no size, names the input and its range."""
    wrong = {"outside": "0 mm"} if calculator is SHAFT_SECTION else {"count": 0}
    with pytest.raises(CalculationRefused, match=f"`{next(iter(wrong))}`.*permitted"):
        raw_of(calculator, **wrong)


@pytest.mark.parametrize(
    ("calculator", "wrong", "said"),
    [
        (SPLINE, {"minor": "60 mm"}, "must exceed the inner one"),
        (SPLINE, {"chamfer": "2 mm"}, "must exceed the inner one"),
        (SPLINE, {"thickness": "3 mm"}, "both their thickness and a permitted shear stress"),
        (SPLINE, {"friction": "0"}, "without any, a sleeve slides under every torque"),
        (SPLINE, {"torque": "0..600 N·m"}, ""),
        (SPLINE, {"thickness": "30 mm", "shear": "100 MPa"}, "fill the whole circumference"),
        (SPLINE, {"minor": "70 mm", "thickness": "30 mm", "shear": "9 MPa"}, "exceed the inner.*fill the whole"),
        (DOG_TEETH, {"thickness": "50..60 mm"}, "fill the whole ring"),
        (DOG_TEETH, {"thickness": "50 mm"}, ""),
        (DOG_TEETH, {"slope": "-60 °", "friction": "0.6", "thickness": "80 mm"}, "whole ring.*friction locks"),
        (DOG_TEETH, {"slope": "-5 °", "friction": "0.6"}, ""),
        (SLIDING_KEY, {"count": 1, "width": "76 mm"}, "smaller than the diameter"),
        (SLIDING_KEY, {"width": "40 mm"}, "fill the whole circumference"),
        (SLIDING_KEY, {"width": "80 mm"}, "smaller than the diameter.*whole circumference"),
        (ONE_WAY_ELEMENT, {"form": "strut"}, ""),
        (ONE_WAY_ELEMENT, {"form": "strut", "rounding": "0 mm"}, "A strut needs the height of its nose"),
        (ONE_WAY_ELEMENT, {"form": "pawl"}, "A pawl needs the diameter of its pivot"),
        (ONE_WAY_ELEMENT, {"form": "pawl", "pivot": "9 mm", "body_length": "20 mm"}, "both the length and the thick"),
        (ONE_WAY_ELEMENT, {"wedge": "0 °"}, "A sprag needs its wedge angle"),
        (ONE_WAY_ELEMENT, {"rounding": "0 mm"}, "A sprag needs its radius"),
        (ONE_WAY_ELEMENT, {"form": "roller", "count": 8, "flat": "20 mm"}, "not both"),
        (ONE_WAY_ELEMENT, {"form": "roller", "count": 8, "wedge": "0 °", "flat": "36 mm"}, "does not fit"),
        (ONE_WAY_ELEMENT, {"form": "roller", "rounding": "40 mm"}, "must be smaller than that of its race"),
        (ONE_WAY_ELEMENT, {"form": "roller", "rounding": "6 mm"}, "so many rollers do not go round"),
        (ONE_WAY_ELEMENT, {"form": "roller", "rounding": "6 mm", "count": 16}, ""),
        (SHAFT_SECTION, {"bore": "80 mm", "hole": "0 mm"}, "must be smaller than the outside"),
        (SHAFT_SECTION, {"hole": "30 mm"}, "known up to 0.3"),
        (SHAFT_SECTION, {"outside": "70 mm", "bore": "64 mm"}, "known up to 0.9"),
        (SHAFT_SECTION, {"torque": "0 N·m"}, "state its mean or its swing"),
        (SHAFT_SECTION, {"yielding": "1300 MPa"}, "must not exceed the tensile strength"),
        (SHAFT_SECTION, {"bore": "80 mm", "hole": "0 mm", "torque": "0 N·m", "yielding": "1300 MPa"},
         "smaller than the outside.*state its mean.*exceed the tensile"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_words(calculator: Calculator, wrong: dict[str, Any], said: str) -> None:
    """Each names what is wrong; an empty saying stands for an input that is fine, to show the rest is what refuses."""
    if not said:
        assert np.all(np.isfinite(raw_of(calculator, **wrong)["capacity"]))
        return
    with pytest.raises(CalculationRefused, match=said):
        raw_of(calculator, **wrong)


def test_a_doubt_that_reaches_what_was_left_out_is_refused() -> None:
    """0 stands for left out; draws on both sides of it are in two minds."""
    with pytest.raises(ValueError, match="above 0 in all draws, or left out"):
        computed(SPLINE, count=8, major=60.0, minor=52.0, length=9.0, pressure=6.0, force=np.array([0.0, 5.0]))
    with pytest.raises(ValueError, match="above 0 in all draws, or 0 in all"):
        dog_teeth.release_force(1.0, 1.0, 0.0, 0.1, np.array([0.0, 5.0]))


def test_all_that_is_wrong_is_said_at_once() -> None:
    """Formulas name every impossible value in one refusal, arrays and NaN included."""
    with pytest.raises(ValueError, match=r"Dogs: .*Mean radius.*Permitted pressure"):
        dog_teeth.dog_teeth(0, -1.0, 1.0, 1.0, 1.0, 0.0, 1.0, 1.0, np.array([1.0, np.nan]), 1.0)
    with pytest.raises(ValueError, match=r"Diameter of the shaft: .*Width of a key"):
        sliding_key.sliding_key(1, 0.0, -1.0, 1.0, 1.0, 0.0, 1.0, 1.0, 1.0, 1.0)
    with pytest.raises(ValueError, match=r"Length in contact.*Share that carries"):
        spline.spline(8, 60.0, 52.0, 0.0, 0.0, 2.0, 6.0)


def test_flanks_that_lock_have_no_force_that_pulls_them_apart() -> None:
    """At 60° undercut and friction 0.6, 91° of lean, friction locks and it is refused; at 58° much force frees."""
    with pytest.raises(ValueError, match="friction locks the dogs"):
        dog_teeth.release_force(500.0, 62.0, -60.0, 0.6)
    assert dog_teeth.release_force(500.0, 62.0, -58.0, 0.6) > 100_000


def test_a_wedge_that_slips_lets_a_torque_path_down() -> None:
    """Draw by draw, a path over sprags that slip holds next to nothing, and the rest of it what it did."""
    raw = raw_of(ONE_WAY_ELEMENT, wedge="6..8 °", friction="0.05..0.10")
    found = numbers(ONE_WAY_ELEMENT, raw)
    units = {one.name: one.unit for one in ONE_WAY_ELEMENT.outputs if one.name in found}
    row = {"element": "ring", "capacity": "calculations/part#capacity", "where": "after"}
    given = {"torque": Given(value="1000 N·m", reason="stated"), "elements": Given(rows=[row], reason="stated")}
    upstream = Upstream({}, {"calculations/part": found}, {"calculations/part": units})
    path, _ = bind("calculations/path", TORQUE_HEADROOM, given, upstream, Drawing(2000))
    held = run("calculations/path", TORQUE_HEADROOM, path)["held_torque"]
    slips = found["holds"] == 0
    assert 0.1 < np.mean(slips) < 0.6
    assert np.all(held[slips] < 0.01)
    assert np.all(held[~slips] > 100)


def test_single_formulas_refuse_what_has_no_answer() -> None:
    """No division by nothing, and no unknown surface."""
    with pytest.raises(ValueError, match="without any, a sleeve slides"):
        spline.slide_torque(1.0, 1.0, 0.0)
    with pytest.raises(ValueError, match="Thickness of the element"):
        one_way.column_stress(1.0, 1.0, 1.0, 0.0)
    with pytest.raises(ValueError, match="does not fit"):
        one_way.wedge_angle(40.0, 6.0, 50.0)
    with pytest.raises(ValueError, match="above zero"):
        one_way.line_force(1.0, 0.0, 1.0, 1.0)
    with pytest.raises(ValueError, match="must have a radius"):
        one_way.sharper_radius(0.0, 0.0)
    with pytest.raises(ValueError, match=r"polished.*expected one of ground"):
        shaft_section.endurance_limit(800.0, 50.0, "polished")
    with pytest.raises(ValueError, match="Length between gears"):
        shaft_section.torsional_stiffness(50.0, 0.0, 0.0, 8e4)
