"""What holds for any wheel and timer."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.calculators.sensor_wheel import SENSOR_WHEEL

NUMBERS = [one.name for one in SENSOR_WHEEL.outputs if one.form in ("number", "truth")]
DOUBTS = ("jitter", "misplacement", "scatter", "lead")


def spread(least: float, most: float) -> st.SearchStrategy[np.ndarray]:
    """Five draws between two values."""
    return st.lists(st.floats(least, most), min_size=5, max_size=5).map(np.array)


WHEELS = st.fixed_dictionaries(
    {
        "targets": st.integers(1, 300).map(float), "edges": st.sampled_from([1.0, 2.0]), "speed": spread(50, 12_000),
        "radius": spread(10, 200), "difference": spread(1, 1000), "window_time": spread(0, 50),
        "clock": spread(1e4, 1e8), "jitter": spread(0, 50), "misplacement": spread(0, 0.5), "over": spread(0, 40),
        "lead": spread(0, 40), "scatter": spread(0, 5), "acceleration": spread(-5000, 5000),
    }
)  # fmt: skip


@given(WHEELS, st.integers(0, 4))
@settings(deadline=None, max_examples=80)
def test_one_draw_is_that_of_floats(wheel: dict[str, Any], place: int) -> None:
    """Arrays of draws give, element by element, what floats give."""
    one = SENSOR_WHEEL.compute(**{name: float(np.broadcast_to(value, 5)[place]) for name, value in wheel.items()})
    many = SENSOR_WHEEL.compute(**wheel)
    for name in NUMBERS:
        assert np.broadcast_to(many[name], 5)[place] == pytest.approx(one[name], rel=1e-9, abs=1e-12), name


@given(WHEELS)
@settings(deadline=None, max_examples=80)
def test_every_outcome_is_finite_and_chances_are_chances(wheel: dict[str, Any]) -> None:
    """Also without any doubt, and with a window of no time."""
    for changed in ({}, {name: np.zeros(5) for name in DOUBTS}, {"window_time": np.zeros(5)}):
        found = SENSOR_WHEEL.compute(**{**wheel, **changed})
        assert all(np.isfinite(found[name]).all() for name in NUMBERS)
        assert np.all((found["chance"] >= 0) & (found["chance"] <= 1))
    assert np.all(found["chance"] == 0)


@given(WHEELS, st.floats(1, 5))
@settings(deadline=None, max_examples=60)
def test_more_doubt_never_times_better(wheel: dict[str, Any], more: float) -> None:
    """More jitter, misplacement, lead or scatter: never a sharper timing; a longer window never a smaller chance."""
    before = SENSOR_WHEEL.compute(**wheel)
    for name in DOUBTS:
        after = SENSOR_WHEEL.compute(**{**wheel, name: wheel[name] * more})
        assert np.all(after["timing_doubt"] >= before["timing_doubt"] * (1 - 1e-12)), name
    wider = SENSOR_WHEEL.compute(**{**wheel, "window_time": wheel["window_time"] * more})
    assert np.all(wider["chance"] >= before["chance"] - 3e-7)


@given(WHEELS)
@settings(deadline=None, max_examples=40)
def test_edges_add_up_to_a_turn(wheel: dict[str, Any]) -> None:
    """Times between edges make up the time of a turn, angles 360°; ticks times the clock's period is the time."""
    found = SENSOR_WHEEL.compute(**wheel)
    marks = wheel["targets"] * wheel["edges"]
    assert np.allclose(marks * found["edge_time"], 60 / wheel["speed"], rtol=1e-12)
    assert np.allclose(marks * found["angle_resolution"], 360, rtol=1e-12)
    assert np.allclose(found["ticks"] / wheel["clock"], found["edge_time"], rtol=1e-12)


@given(WHEELS)
@settings(deadline=None, max_examples=40)
def test_one_tick_more_is_the_timed_resolution(wheel: dict[str, Any]) -> None:
    """The speed of one tick more, taken off the speed, is what a tick tells."""
    found = SENSOR_WHEEL.compute(**wheel)
    marks = wheel["targets"] * wheel["edges"]
    slower = 60 / (marks * (found["edge_time"] + 1 / wheel["clock"]))
    assert np.allclose(wheel["speed"] - slower, found["timed_resolution"], rtol=1e-6, atol=1e-9)
