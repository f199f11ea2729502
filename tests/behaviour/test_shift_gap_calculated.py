"""Shift gap and ratio ladder as entries give them: what comes back, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest

from ledger.calculators.binding import Upstream, bind
from ledger.calculators.contract import Calculator
from ledger.calculators.drawing import Drawing
from ledger.calculators.ratio_ladder import RATIO_LADDER
from ledger.calculators.running import outcomes, run
from ledger.calculators.shift_gap import SHIFT_GAP
from ledger.entries.parts import Given
from ledger.errors import CalculationRefused
from ledger.mechanics.shift_loss import run_straight
from tests.vehicles import pushed, racer, racer_inputs

ENTRY: dict[str, Any] = {
    "straights": [{"length": "500 m", "entry": "90 ± 3 km/h", "times": 2}],
    "curve": [{"speed": "4000 1/min", "torque": "300 N·m"}, {"speed": "12000 1/min", "torque": "400 N·m"}],
    "gears": [{"ratio": 3}, {"ratio": 2.4}, {"ratio": 2}],
    "final": 3,
    "shift_speed": "11000 1/min",
    "gap": "10..30 ms",
    "radius": "330 mm",
    "mass": "700 ± 20 kg",
    "drag_area": "1 m²",
}
LADDER: dict[str, Any] = {"gears": [{"ratio": 3}, {"ratio": 2.4}], "shift_speed": "12000 1/min", "radius": "33 cm"}


def through_the_engine(calculator: Calculator, given: dict[str, Any]) -> dict:
    """Bind and run as a calculation entry does; lists are rows."""
    inputs = {
        name: Given(rows=value, reason="stated") if isinstance(value, list) else Given(value=value, reason="stated")
        for name, value in given.items()
    }
    raw, _ = bind("calculations/try", calculator, inputs, Upstream({}, {}, {}), Drawing(300))
    return {one.name: one for one in outcomes(calculator, run("calculations/try", calculator, raw))}


def test_every_declared_output_comes_back() -> None:
    """Numbers in the units people read, rows, curves, words; draws of the gap and of the mass widen the interval."""
    found = through_the_engine(SHIFT_GAP, ENTRY)
    assert set(found) == {output.name for output in SHIFT_GAP.outputs}
    assert found["place_loss_change"].unit == "ms"
    assert found["place_loss_change"].summary.uncertainty > 0
    assert found["straights_driven"].value[0]["straight"] == "1"
    assert [row["change"] for row in found["each_change"].value] == ["1 to 2", "2 to 3"]
    assert "To a place" in found["verdict"].value
    assert "to a speed" in found["verdict"].value


@pytest.mark.parametrize("name", ["torque_curves", "speed_curves", "engine_curves", "distance_curves"])
def test_curves_have_both_ways_of_changing(name: str) -> None:
    """Each drawing shows the changes as stated and changes that take no time, in 40 to 210 points a line."""
    points = through_the_engine(SHIFT_GAP, ENTRY)[name].value
    for series in ("changes as stated", "changes that take no time"):
        line = [point for point in points if point["series"] == series]
        assert 10 < len(line) < 210
        assert [point["x"] for point in line] == sorted(point["x"] for point in line)


def test_the_torque_is_gone_in_a_gap_and_surges_in_an_overlap() -> None:
    """The drawn torque falls to what coasting wheels need, or rises above both gears' torque."""
    for gap, check in (("30 ms", lambda inside, outside: inside < 0.1 * outside), ("-30 ms", lambda a, b: a > b)):
        points = through_the_engine(SHIFT_GAP, {**ENTRY, "gap": gap, "engine_inertia": "0.05 kg·m²"})["torque_curves"]
        line = [point for point in points.value if point["series"] == "changes as stated"]
        inside = max(point["y"] for point in line if 2 < point["x"] < 27)
        outside = max(point["y"] for point in line if point["x"] > 32)
        assert check(inside, outside)


def test_the_engine_is_drawn_coming_down() -> None:
    """Engine speed: the shift speed before, the drop after, falling meanwhile; without gap at once."""
    points = through_the_engine(SHIFT_GAP, {**ENTRY, "gap": "40 ms"})["engine_curves"].value
    line = {round(point["x"]): point["y"] for point in points if point["series"] == "changes as stated"}
    assert line[min(line, key=lambda x: abs(x - 20))] == pytest.approx((11_000 + 11_000 * 2.4 / 3) / 2, rel=0.02)


def test_a_trace_in_place_of_straights() -> None:
    """A straight driven without gaps, given back as a trace, is found again with its length and its speeds."""
    steps: list[dict[str, Any]] = []
    run_straight(racer(0.0), 500.0, 30.0, 0.0, 0.1, steps)
    places = {round(float(at["place"]), 9): 3.6 * float(at["speed"]) for at in steps}
    trace = [{"distance": place, "speed": speed} for place, speed in places.items()]
    trace.append({"distance": 600.0, "speed": 80.0})
    inputs = {key: value for key, value in racer_inputs(gap=0.02).items() if key != "straights"}
    by_trace = SHIFT_GAP.compute(**inputs, trace=trace)
    by_straight = SHIFT_GAP.compute(**inputs, straights=[{"length": 500.0, "entry": 108.0}])
    assert by_trace["place_loss_lap"] == pytest.approx(by_straight["place_loss_lap"], rel=1e-9)
    drawn = {point["series"] for point in by_trace["distance_curves"]}
    assert drawn == {"changes as stated", "changes that take no time", "trace"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"trace": [{"distance": 0.0, "speed": 50.0}, {"distance": 9.0, "speed": 90.0}]}, "one of the two"),
        ({"straights": []}, "one of the two"),
        ({"gears": [{"ratio": 3.0}]}, "Two gears at least"),
        ({"gears": [{"ratio": 2.0}, {"ratio": 2.0}]}, "must fall from gear to gear"),
        ({"shift_speed": 13_000.0}, "at most at its last"),
        ({"curve": [{"speed": 5000.0, "torque": 300.0}, {"speed": 4000.0, "torque": 300.0}]}, "must rise"),
        ({"gap": float("nan")}, "Gap:"),
        ({"mass": 0.0, "radius": -1.0}, "Mass: 0 given"),
        ({"mass": 0.0, "radius": -1.0}, "Rolling radius: -1 given"),
        ({"straights": [{"length": 100.0, "entry": 700.0}]}, "entered faster than the last gear allows"),
        ({"straights": [{"length": 100.0, "entry": 0.0, "grade": 0.5, "name": "wall"}], "grip": 0.1}, "Straight wall"),
        ({"drawn": 9}, "cannot be drawn"),
    ],
)
def test_what_is_impossible_is_refused_in_words(change: dict[str, Any], words: str) -> None:
    """Each with a sentence that says what is wrong, and no NaN."""
    with pytest.raises(ValueError, match=words):
        SHIFT_GAP.compute(**{**racer_inputs(), **change})


def test_a_trace_that_gains_nothing_is_refused() -> None:
    """And so is one that goes back."""
    inputs = {key: value for key, value in racer_inputs().items() if key != "straights"}
    with pytest.raises(ValueError, match="gains speed nowhere"):
        SHIFT_GAP.compute(**inputs, trace=[{"distance": 0.0, "speed": 90.0}, {"distance": 50.0, "speed": 80.0}])
    with pytest.raises(ValueError, match="must rise"):
        SHIFT_GAP.compute(**inputs, trace=[{"distance": 50.0, "speed": 60.0}, {"distance": 0.0, "speed": 80.0}])


def test_a_change_that_gains_no_speed_is_not_made() -> None:
    """Where the next gear would not accelerate, the gear is held at its shift speed to the end."""
    vehicle = {**pushed(1500.0, 250.0, shift=30.0, gap=0.1), "ratios": [1.0, 0.5], "rolling": 1000 / (250 * 9.80665)}
    found = run_straight(vehicle, 3000.0, 0.0, 0.0, 0.5)
    assert found["speed"] == pytest.approx(30, rel=1e-9)
    assert found["time"] == pytest.approx(30 / 2 + (3000 - 30**2 / (2 * 2)) / 30, rel=1e-9)
    assert (found["changes"], bool(found["regains"])) == (0, True)


def test_a_speed_that_cannot_be_regained_is_said_to_be_lost() -> None:
    """A long gap uphill, at the edge of what the next gear climbs: the output that says so says no."""
    vehicle = pushed(1000.0, 250.0, shift=30.0, gap=2.0)
    vehicle["curve"] = [
        {"speed": 1.0, "torque": 1.0},
        {"speed": 285.0, "torque": 1.0},
        {"speed": 286.4, "torque": 300.0},
    ]
    vehicle["curve"].append({"speed": 600.0, "torque": 300.0})
    vehicle["rolling"] = 250 / (250 * 9.80665)
    found = run_straight({**vehicle, "drag": 0.0}, 55.0, 30.0, 0.0, 0.5)
    assert not bool(found["regains"])


def test_no_change_no_loss() -> None:
    """A straight too short for a change: nothing is lost a change, and the words say so."""
    found = SHIFT_GAP.compute(**racer_inputs(straights=[{"length": 20.0, "entry": 60.0}]))
    assert (found["changes"], found["place_loss_change"], found["place_loss_lap"]) == (0, 0, 0)
    assert found["verdict"].startswith("No change up")


def test_the_words_have_numbers_as_the_ledger_writes_them() -> None:
    """A loss of seconds a change is told in thousands of milliseconds, with no power of ten after an `e`."""
    found = SHIFT_GAP.compute(**racer_inputs(gap=4.0))
    lost = 1000 * float(found["place_loss_change"])
    assert lost > 1000
    assert f"{round(lost, -1):.0f} ms is lost" in found["verdict"]


def test_every_output_of_the_ladder_comes_back() -> None:
    """Speeds in km/h; the last gear has no step; curves for every gear and the way up."""
    found = through_the_engine(RATIO_LADDER, {**LADDER, "least_speed": "9700 1/min", "greatest_speed": "12500 1/min"})
    assert set(found) == {output.name for output in RATIO_LADDER.outputs}
    assert found["top_speed"].summary.estimate == pytest.approx(3.6 * 12_500 * 0.33 / (9.5492966 * 2.4), rel=1e-6)
    assert found["stays"].chance == 0
    assert found["gears_shown"].value[1]["step to the next gear"] == ""
    assert {point["series"] for point in found["ladder_curves"].value} == {"gear 1", "gear 2", "changing up"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"gears": [{"ratio": 1.0}, {"ratio": 2.0}]}, "must fall"),
        ({"greatest_speed": 5000.0}, "the shift speed or more"),
        ({"least_speed": 15_000.0}, "between 0 and the shift speed"),
        ({"radius": 0.0, "shift_speed": 0.0}, "Rolling radius.*Engine speed"),
    ],
)
def test_an_impossible_ladder_is_refused(change: dict[str, Any], words: str) -> None:
    """Each with a sentence that says what is wrong."""
    good: dict[str, Any] = {"gears": [{"ratio": 3.0}, {"ratio": 2.4}], "shift_speed": 12_000.0, "radius": 0.33}
    with pytest.raises(ValueError, match=words):
        RATIO_LADDER.compute(**{**good, **change})


def test_unit_and_range_faults_reach_the_author() -> None:
    """A gap beyond what is permitted is refused while it is bound."""
    with pytest.raises(CalculationRefused, match="outside what is permitted"):
        through_the_engine(SHIFT_GAP, {**ENTRY, "gap": "60 s"})


def test_a_trace_that_the_vehicle_does_not_follow_is_told() -> None:
    """The same trace with its end speed as computed, and with one a fifth higher: a warning, and both speeds."""
    given = {key: value for key, value in ENTRY.items() if key != "straights"}

    def driven(end: float) -> dict:
        trace = [{"distance": "0 m", "speed": "90 km/h"}, {"distance": "500 m", "speed": f"{end} km/h"}]
        return through_the_engine(SHIFT_GAP, {**given, "trace": trace})

    computed = driven(300)["straights_driven"].value[0]["speed at its end [km/h]"].estimate
    near, far = driven(round(1.05 * computed, 2)), driven(round(1.2 * computed, 2))
    assert "Beware" not in near["verdict"].value
    assert f"from 0 m {computed:.0f} km/h where the trace has {1.2 * computed:.0f}" in far["verdict"].value
    assert far["straights_driven"].value[0]["in the trace [km/h]"] == pytest.approx(1.2 * computed, rel=1e-3)
    assert "in the trace [km/h]" not in through_the_engine(SHIFT_GAP, ENTRY)["straights_driven"].value[0]
