"""Bearing life, tooth duty and oil feed as entries give them: what comes back, and what is refused."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from ledger.calculators.bearing_life import BEARING_LIFE
from ledger.calculators.binding import Upstream, bind
from ledger.calculators.contract import Calculator
from ledger.calculators.drawing import Drawing
from ledger.calculators.oil_feed import OIL_FEED
from ledger.calculators.running import outcomes, run
from ledger.calculators.tooth_duty import TOOTH_DUTY
from ledger.entries.parts import Given
from ledger.mechanics.bearing_life import bearing_life
from ledger.mechanics.oil_feed import oil_feed
from ledger.mechanics.shift_loss import run_straight
from ledger.mechanics.tooth_duty import tooth_duty
from tests.vehicles import racer

BEARING: dict[str, Any] = {
    "rating": "40 ± 4 kN",
    "duty": [{"radial": "5 kN", "speed": "2000 rpm", "share": 3}, {"radial": "9 kN", "axial": 0, "speed": "1500 rpm"}],
}
BEARING["duty"][1]["axial"] = "1 kN"
TEETH: dict[str, Any] = {
    "spectrum": [{"torque": "1500 N·m", "share": 0.001}, {"torque": "900..1100 N·m", "share": "20 %"}],
    "distance": "9000 km", "ratio": 5, "radius": "600 mm", "strength": "900 ± 100 N·m", "knee": 3000000, "exponent": 6,
}  # fmt: skip
OIL: dict[str, Any] = {
    "pressure": "3..4 bar", "speed": "4000 1/min", "bore": "16 mm", "viscosity": "20 cSt",
    "holes": [
        {"gear": "third", "place": "5 cm", "diameter": "2 mm", "radius": "35 mm", "needed": "0.5 L/min"},
        {"place": "12 cm", "diameter": "2 mm", "radius": "35 mm"},
    ],
}  # fmt: skip


def through_the_engine(calculator: Calculator, given: dict[str, Any]) -> dict:
    """Bind and run as a calculation entry does; lists are rows."""
    inputs = {
        name: Given(rows=value, reason="stated") if isinstance(value, list) else Given(value=value, reason="stated")
        for name, value in given.items()
    }
    raw, _ = bind("calculations/try", calculator, inputs, Upstream({}, {}, {}), Drawing(500))
    return {one.name: one for one in outcomes(calculator, run("calculations/try", calculator, raw))}


def test_a_bearing_with_and_without_hours_wanted() -> None:
    """Outputs about the hours come only where hours are stated; the chance that it lasts follows the rating's doubt."""
    alone = through_the_engine(BEARING_LIFE, BEARING)
    wanted = through_the_engine(BEARING_LIFE, {**BEARING, "hours": "2000 h"})
    assert set(wanted) == {output.name for output in BEARING_LIFE.outputs}
    assert set(wanted) - set(alone) == {output.name for output in BEARING_LIFE.outputs if output.optional}
    assert 0 < wanted["lasts"].chance < 1
    assert [row["row"] for row in wanted["duty_shown"].value] == [1, 2]


def test_every_output_of_teeth_and_oil_comes_back() -> None:
    """Numbers in the units people read, rows, curves and words."""
    teeth, oil = through_the_engine(TOOTH_DUTY, TEETH), through_the_engine(OIL_FEED, OIL)
    assert set(teeth) == {output.name for output in TOOTH_DUTY.outputs}
    assert set(oil) == {output.name for output in OIL_FEED.outputs}
    assert {point["series"] for point in teeth["curves"].value} == {"borne", "asked"}
    assert {point["series"] for point in oil["pressure_curves"].value} == {"on the axis", "over the hole"}
    assert [row["gear"] for row in oil["holes_shown"].value] == ["third", "2"]
    assert oil["reaches_every"].chance == 1
    assert oil["verdict"].value.startswith("Oil reaches every gear")


def test_torques_without_damage_are_borne_without_end() -> None:
    """All below the knee, where they do none: no damage, and the farthest distance that is counted."""
    found = through_the_engine(TOOTH_DUTY, {**TEETH, "strength": "5000 N·m", "below": "does no damage"})
    assert found["damage"].summary.estimate == 0
    assert found["distance_borne"].summary.estimate == 1e9
    assert found["spectrum_shown"].value[0]["borne as often as"] == "without end"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"rating": 0.0}, "Dynamic load rating: 0 given"),
        ({"duty": []}, "no row"),
        ({"duty": [{"radial": 10.0, "speed": 0.0}]}, "never turns"),
        ({"duty": [{"radial": 0.0, "speed": 10.0}]}, "without end"),
        ({"duty": [{"radial": 10.0, "speed": 10.0, "share": 0.0}]}, "add up to nothing"),
        (
            {"duty": [{"radial": -1.0, "speed": float("nan")}]},
            "Row 1 of the duty: Radial load.*Row 1 of the duty: Speed",
        ),
        ({"slope": 0.0}, "Slope"),
    ],
)
def test_an_impossible_bearing_is_refused(change: dict[str, Any], words: str) -> None:
    """Each with a sentence that says what is wrong."""
    good: dict[str, Any] = {"rating": 5000.0, "duty": [{"radial": 100.0, "speed": 100.0}]}
    with pytest.raises(ValueError, match=words):
        BEARING_LIFE.compute(**{**good, **change})


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"spectrum": []}, "no row"),
        ({"spectrum": [{"torque": 10.0, "share": 0.6}, {"torque": 9.0, "share": 0.6}]}, "more than the whole"),
        ({"spectrum": [{"torque": 10.0, "share": 0.0}]}, "add up to nothing"),
        ({"spectrum": [{"torque": 0.0, "share": 0.5}]}, "No torque"),
        ({"below": "magic"}, "expected does no damage"),
        ({"strength": -1.0, "knee": 0.0}, "Strength.*Cycles at that strength"),
    ],
)
def test_impossible_teeth_are_refused(change: dict[str, Any], words: str) -> None:
    """Each with a sentence that says what is wrong."""
    good: dict[str, Any] = {
        "spectrum": [{"torque": 10.0, "share": 0.5}], "distance": 10.0, "ratio": 1.0, "radius": 0.3, "strength": 9.0,
        "knee": 1e6, "exponent": 6.0,
    }  # fmt: skip
    with pytest.raises(ValueError, match=words):
        TOOTH_DUTY.compute(**{**good, **change})


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"holes": []}, "no hole"),
        ({"bore": 0.0, "discharge": 2.0}, "Bore.*Discharge"),
        ({"viscosity": float("nan")}, "Kinematic viscosity"),
        (
            {
                "holes": [
                    {"place": 9.0, "diameter": 1.0, "radius": 9.0},
                    {"place": 5.0, "diameter": 1.0, "radius": 9.0},
                ]
            },
            "Hole 2: It lies before",
        ),
    ],
)
def test_an_impossible_feed_is_refused(change: dict[str, Any], words: str) -> None:
    """Each with a sentence that says what is wrong."""
    good: dict[str, Any] = {
        "holes": [{"place": 9.0, "diameter": 1.0, "radius": 9.0}], "pressure": 3.0, "bore": 9.0, "speed": 100.0,
        "viscosity": 20.0,
    }  # fmt: skip
    with pytest.raises(ValueError, match=words):
        OIL_FEED.compute(**{**good, **change})


PLAIN = """
import sys, json
sys.modules["numpy"] = None
from importlib import import_module
calls = json.loads(sys.argv[1])
made = [getattr(import_module("ledger.mechanics." + module), name)(**given) for module, name, given in calls]
print(json.dumps(made))
"""


def test_plain_floats_give_the_same_where_there_is_no_numpy() -> None:
    """As in a reader's browser: a straight with changes, a bearing, teeth and oil, to twelve digits."""
    hole = {"diameter": 0.002, "count": 2.0, "radius": 0.03, "back": 0.0, "needed": 1e-5}
    calls: list[tuple[str, str, dict[str, Any]]] = [
        (
            "shift_loss",
            "run_straight",
            {"vehicle": racer(gap), "length": 300.0, "entry": 25.0, "grade": 0.0, "step": 0.5},
        )
        for gap in (0.03, -0.01, 0.0)
    ]
    calls += [
        ("bearing_life", "bearing_life", {
            "rating": 5000.0, "exponent": 3.0, "hours": 50.0,
            "duty": [{"radial": 900.0, "axial": 0.0, "x": 1.0, "y": 0.0, "speed": 900.0, "share": 1.0}],
        }),
        ("tooth_duty", "tooth_duty", {
            "spectrum": [{"torque": 90.0, "share": 0.1}], "distance": 100.0, "ratio": 4.0, "radius": 0.3,
            "strength": 100.0, "knee": 1e6, "exponent": 6.0, "below": "flatter slope",
        }),
        ("oil_feed", "oil_feed", {
            "pressure": 3e5, "holes": [{**hole, "place": 0.05}, {**hole, "place": 0.1}], "bore": 0.01, "speed": 3000.0,
            "density": 870.0, "viscosity": 2e-5, "greatest_flow": 5e-5,
        }),
    ]  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-c", PLAIN, json.dumps(calls)],
        capture_output=True, text=True, check=True, cwd=Path(__file__).parents[2],
    )  # fmt: skip
    here = {"run_straight": run_straight, "bearing_life": bearing_life, "tooth_duty": tooth_duty, "oil_feed": oil_feed}
    for (_, name, given), plain in zip(calls, json.loads(done.stdout), strict=True):
        alike(here[name](**given), plain)


def alike(here: Any, plain: Any) -> None:
    """Compare nested results."""
    if isinstance(plain, dict):
        assert set(here) == set(plain)
        for key, value in plain.items():
            alike(here[key], value)
    elif isinstance(plain, list):
        for one, other in zip(here, plain, strict=True):
            alike(one, other)
    else:
        assert float(here) == pytest.approx(float(plain), rel=1e-9, abs=1e-12)
