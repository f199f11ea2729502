"""What holds for every vehicle and every change."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.calculators.ratio_ladder import RATIO_LADDER
from ledger.calculators.shift_gap import SHIFT_GAP
from ledger.mechanics.longitudinal import (
    advance,
    carried_mass,
    resistance,
    time_between,
    time_to_place,
    torque_at,
    tyre_force,
)
from ledger.mechanics.ratio_ladder import engine_speed_after, equal_step, road_speed
from ledger.mechanics.shift_lap import each_change, lap_loss, straights_of_trace
from ledger.mechanics.shift_loss import run_straight
from ledger.mechanics.vehicle import without_gaps
from tests.vehicles import racer, racer_inputs

COUNT = 4
ALONE = ("mass", "drag", "grip", "efficiency", "engine_inertia", "rolling", "shift_speed", "radius", "downforce")


@st.composite
def vehicles(draw: st.DrawFn, low: float = -0.05, high: float = 0.2) -> dict[str, Any]:
    """A racer whose every number is drawn, some draws of each."""
    seed = draw(st.integers(0, 2**32))
    generator = np.random.default_rng(seed)
    vehicle = racer()
    for name in ALONE:
        vehicle[name] = vehicle[name] * generator.uniform(0.95, 1.04, COUNT)
    vehicle["curve"] = [{**row, "torque": row["torque"] * generator.uniform(0.9, 1.1)} for row in vehicle["curve"]]
    vehicle["gaps"] = [generator.uniform(low, high, COUNT) for _ in vehicle["gaps"]]
    return vehicle


def at(value: Any, place: int) -> Any:
    """One draw of a vehicle."""
    if isinstance(value, dict):
        return {key: at(one, place) for key, one in value.items()}
    if isinstance(value, list):
        return [at(one, place) for one in value]
    return float(value[place]) if isinstance(value, np.ndarray) else value


@given(vehicles(), st.integers(0, COUNT - 1), st.floats(10, 60), st.floats(50, 600), st.floats(-0.05, 0.05))
@settings(deadline=None, max_examples=12)
def test_a_straight_in_one_draw_is_that_of_floats(
    vehicle: dict, place: int, entry: float, length: float, grade: float
) -> None:
    """Arrays of draws give, element by element, what floats give."""
    many = run_straight(vehicle, length, entry, grade, 0.5)
    one = run_straight(at(vehicle, place), length, entry, grade, 0.5)
    for key, value in one.items():
        assert np.broadcast_to(many[key], COUNT)[place] == pytest.approx(value, rel=1e-9, abs=1e-9), key


@given(st.lists(st.floats(0.1, 50), min_size=8, max_size=8))
def test_formulas_in_one_draw_are_those_of_floats(numbers: list[float]) -> None:
    """Each formula alone: arrays give what floats give."""
    a, b, c, d, e, f, g, h = numbers
    rows = [{"speed": 1.0, "torque": a}, {"speed": 20.0, "torque": b}, {"speed": 30.0, "torque": c}]
    for formula in (
        lambda x: torque_at(x, rows),
        lambda x: resistance(x, b, c, d, e / 100),
        lambda x: tyre_force(x, b, c, d, e, f / 100),
        lambda x: carried_mass(x, b, c, d, e, f / 50),
        lambda x: advance(x, a, lambda v: b - c * v / 100, d / 100)[1],
        lambda x: time_between(x, x + b, c, lambda v: d + v, 0.01)[0],
        lambda x: time_to_place(x, b - 20, c),
        lambda x: road_speed(x, b, c),
        lambda x: engine_speed_after(x, b, c),
        lambda x: equal_step(x, b, 4),
    ):
        values = np.array([g, h])
        assert formula(values) == pytest.approx([float(formula(g)), float(formula(h))], rel=1e-12)


@given(vehicles(), st.floats(10, 60))
@settings(deadline=None, max_examples=8)
def test_no_gap_loses_nothing(vehicle: dict, entry: float) -> None:
    """Changes that take no time lose no time and no distance, by either measure, to the last digit."""
    straight = {"name": "one", "length": 400.0, "entry": entry, "grade": 0.0, "times": 3.0}
    found = lap_loss(without_gaps(vehicle), [straight], 0.5)
    for name in ("place_loss", "speed_loss", "distance_loss", "place_loss_a_change", "surge_torque"):
        assert np.all(found[name] == 0), name


@given(vehicles(low=0.001), st.floats(10, 50))
@settings(deadline=None, max_examples=8)
def test_a_gap_loses_less_to_a_place_than_to_a_speed(vehicle: dict, entry: float) -> None:
    """Both are losses where there is a change, and the place is the milder measure."""
    straight = {"name": "one", "length": 500.0, "entry": entry, "grade": 0.0, "times": 1.0}
    found = lap_loss(vehicle, [straight], 0.5)
    some = found["changes"] > 0
    assert np.all(found["place_loss"][some] > 0)
    assert np.all(found["place_loss"] <= found["speed_loss"] + 1e-9)
    assert np.all(found["distance_loss"][some] > 0)


def test_a_longer_gap_loses_more_and_an_overlap_gains() -> None:
    """On one straight the loss rises with the gap, through zero."""
    gaps = np.array([-0.02, -0.005, 0.0, 0.002, 0.01, 0.05, 0.1])
    straight = {"name": "one", "length": 300.0, "entry": 25.0, "grade": 0.0, "times": 1.0}
    for name in ("place_loss", "speed_loss"):
        lost = lap_loss({**racer(), "gaps": [gaps] * 6}, [straight], 0.5)[name]
        assert np.all(np.diff(lost) > 0)
        assert lost[2] == 0


def test_smaller_steps_change_next_to_nothing() -> None:
    """The loss of a lap with steps of 0.5 s differs from that with 5 ms by less than a microsecond, as it says."""
    found = [SHIFT_GAP.compute(**racer_inputs(step=step)) for step in (0.5, 0.05)]
    lost = [float(one["place_loss_lap"]) for one in found]
    assert abs(lost[0] - lost[1]) < 1e-6
    assert abs(lost[0] - lost[1]) <= 1.2 * found[0]["step_error"] + 1e-9


def test_straights_add_up() -> None:
    """A row stated twice a lap costs what two rows cost, and the lap is the sum of its rows."""
    one = {"name": "a", "length": 400.0, "entry": 90.0}
    twice = SHIFT_GAP.compute(**racer_inputs(straights=[{**one, "times": 2.0}]))
    rows = SHIFT_GAP.compute(**racer_inputs(straights=[one, one]))
    for name in ("place_loss_lap", "speed_loss_lap", "distance_loss_lap", "time", "changes"):
        assert twice[name] == pytest.approx(rows[name], rel=1e-12)


def test_the_loss_in_each_change_grows_with_its_speed() -> None:
    """The faster the vehicle, the less it accelerates and the more a gap costs to a speed."""
    delays = [float(row["delay"]) for row in each_change(racer(0.03)) if row["regains"]]
    assert delays == sorted(delays)
    assert min(delays) > 0.03


@given(st.lists(st.floats(20, 80), min_size=1, max_size=6))
def test_a_trace_falls_into_its_straights(tops: list[float]) -> None:
    """A trace made of ramps from 10 m/s up and down again gives back every ramp, its length and its entry."""
    trace, place = [], 0.0
    for top in tops:
        for share in (0.0, 0.5, 1.0):
            trace.append({"distance": place + 100 * share, "speed": 10 + share * (top - 10)})
        place += 150
    trace.append({"distance": place, "speed": 10.0})
    found = straights_of_trace(trace, 5.0)
    assert [row["length"] for row in found] == pytest.approx([100.0] * len(tops))
    assert [row["entry"] for row in found] == [10.0] * len(tops)


RATIOS = st.lists(st.floats(1.05, 1.6), min_size=1, max_size=9)


@given(RATIOS, st.floats(3000, 15_000), st.floats(0.2, 0.6), st.floats(1, 6))
def test_a_ladder_climbs(steps: list[float], shift: float, radius: float, final: float) -> None:
    """Steps multiply to the spread, speeds rise by them, the engine falls to n over the step; equal steps agree."""
    ratios = [1.0]
    for step in reversed(steps):
        ratios.insert(0, ratios[0] * step)
    found = RATIO_LADDER.compute(
        gears=[{"ratio": ratio} for ratio in ratios], shift_speed=shift, radius=radius, final=final
    )
    rows = found["gears_shown"]
    assert found["spread"] == pytest.approx(np.prod(steps))
    assert found["equal_step"] ** len(steps) == pytest.approx(found["spread"])
    assert found["least_step"] <= found["equal_step"] * (1 + 1e-9) <= found["greatest_step"] * (1 + 2e-9)
    speeds = [row["up to [km/h]"] for row in rows]
    assert np.array(speeds[1:]) / np.array(speeds[:-1]) == pytest.approx(np.array(steps))
    for row, step in zip(rows, steps, strict=False):
        assert row["engine after the change [1/min]"] * step == pytest.approx(shift)
    assert found["greatest_drop"] + found["lowest_after"] == pytest.approx(shift)


@given(st.integers(0, 3))
def test_a_ladder_in_one_draw_is_that_of_floats(place: int) -> None:
    """Arrays of draws give, element by element, what floats give."""
    generator = np.random.default_rng(7)
    gears = [{"ratio": ratio * generator.uniform(0.99, 1.01, 4)} for ratio in (3.0, 2.3, 1.8, 1.5)]
    inputs: dict[str, Any] = {"shift_speed": generator.uniform(9000, 9500, 4), "radius": 0.3, "least_speed": 7000.0}
    many = RATIO_LADDER.compute(gears=gears, **inputs)
    one = RATIO_LADDER.compute(gears=at(gears, place), **at(inputs, place))
    for output in RATIO_LADDER.outputs:
        if output.form in ("number", "truth"):
            assert np.broadcast_to(many[output.name], 4)[place] == pytest.approx(one[output.name])
