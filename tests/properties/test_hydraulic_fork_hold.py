"""What holds for any cylinder on a rail."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.calculators.hydraulic_fork import HYDRAULIC_FORK
from ledger.mechanics import cylinder

NUMBERS = [one.name for one in HYDRAULIC_FORK.outputs if one.form in ("number", "truth")]


def spread(least: float, most: float) -> st.SearchStrategy[np.ndarray]:
    """Five draws between two values."""
    return st.lists(st.floats(least, most), min_size=5, max_size=5).map(np.array)


@st.composite
def forks(draw: st.DrawFn) -> dict[str, Any]:
    """A cylinder in draws, at times too weak for its load."""
    bore = draw(spread(8, 80))
    return {
        "bore": bore, "rod": bore * draw(spread(0, 0.9)), "pressure": draw(spread(2, 250)),
        "back_pressure": draw(spread(0, 5)), "flow": draw(spread(0.5, 200)), "travel": draw(spread(2, 40)),
        "mass": draw(spread(0.2, 30)), "load": draw(spread(-200, 3000)), "friction": draw(spread(0, 0.4)),
        "slope": draw(spread(-90, 90)), "spring": draw(spread(0, 500)), "ramp": draw(spread(10, 60)),
        "detent_friction": draw(spread(0, 0.3)), "pipe_length": draw(spread(0, 3)), "pipe_bore": draw(spread(4, 20)),
        "delay": draw(spread(0, 20)), "strokes": draw(spread(1, 4)), "shifts": draw(spread(1, 200)),
        "lap": draw(spread(30, 600)), "side": draw(st.sampled_from(["bore side", "rod side"])),
        "through": draw(st.booleans()),
    }  # fmt: skip


def at(fork: dict[str, Any], place: int) -> dict[str, Any]:
    """One draw of every input."""
    return {name: float(value[place]) if isinstance(value, np.ndarray) else value for name, value in fork.items()}


@given(forks(), st.integers(0, 4))
@settings(deadline=None, max_examples=80)
def test_one_draw_is_that_of_floats(fork: dict[str, Any], place: int) -> None:
    """Arrays of draws give, element by element, what floats give."""
    many, one = HYDRAULIC_FORK.compute(**fork), HYDRAULIC_FORK.compute(**at(fork, place))
    for name in NUMBERS:
        assert np.broadcast_to(many[name], 5)[place] == pytest.approx(one[name], rel=1e-9, abs=1e-9), name


@given(forks())
@settings(deadline=None, max_examples=80)
def test_every_outcome_is_finite_and_no_time_beyond_ten_seconds(fork: dict[str, Any]) -> None:
    """Also where the oil is too weak: then nothing moves and the travel counts as ten seconds."""
    found = HYDRAULIC_FORK.compute(**fork)
    assert all(np.isfinite(found[name]).all() for name in NUMBERS)
    assert np.all(found["travel_time"] <= 10)
    stuck = ~found["moves"]
    assert np.all(found["travel_time"][stuck] == 10)
    assert np.all(found["end_speed"][stuck] == 0)
    assert np.array_equal(found["moves"], fork["pressure"] > found["pressure_needed"])


@given(forks())
@settings(deadline=None, max_examples=60)
def test_the_pressure_needed_just_moves_it(fork: dict[str, Any]) -> None:
    """A hair more moves it, a hair less does not."""
    needed = HYDRAULIC_FORK.compute(**fork)["pressure_needed"]
    if np.any(needed < 0.1):
        return
    more = HYDRAULIC_FORK.compute(**{**fork, "pressure": needed * (1 + 1e-6)})
    less = HYDRAULIC_FORK.compute(**{**fork, "pressure": needed * (1 - 1e-6)})
    assert np.all(more["moves"])
    assert not np.any(less["moves"])


@given(forks(), st.floats(1, 4))
@settings(deadline=None, max_examples=60)
def test_help_never_slows(fork: dict[str, Any], more: float) -> None:
    """More pressure or flow, less mass, travel, pipe, spring or load: never a longer time."""
    fork = {**fork, "load": np.abs(fork["load"]), "slope": np.abs(fork["slope"])}
    before = HYDRAULIC_FORK.compute(**fork)["time"]
    for name, by in (
        ("pressure", more), ("flow", more), ("mass", 1 / more), ("travel", 1 / more), ("pipe_length", 1 / more),
        ("spring", 1 / more), ("load", 1 / more), ("delay", 1 / more),
    ):  # fmt: skip
        after = HYDRAULIC_FORK.compute(**{**fork, name: fork[name] * by})["time"]
        assert np.all(after <= before * (1 + 1e-9)), name


@given(spread(0.001, 0.1), spread(0.1, 5000), spread(0.01, 10))
@settings(deadline=None)
def test_a_time_lies_above_both_its_limits(travel: np.ndarray, acceleration: np.ndarray, speed: np.ndarray) -> None:
    """Never less than at full speed throughout, nor than with no limit of speed; at the bound the branches agree."""
    time = cylinder.travel_time(travel, acceleration, speed)
    bound = np.minimum(10, np.maximum(travel / speed, np.sqrt(2 * travel / acceleration)))
    assert np.all(time >= bound * (1 - 1e-12))
    just = np.sqrt(2 * acceleration * travel)
    assert np.allclose(cylinder.travel_time(travel, acceleration, just), np.sqrt(2 * travel / acceleration), rtol=1e-9)


@given(forks())
@settings(deadline=None, max_examples=40)
def test_oil_adds_up(fork: dict[str, Any]) -> None:
    """A lap takes its shifts' oil, a shift its strokes'; mean flow times the lap's time is the lap's oil."""
    found = HYDRAULIC_FORK.compute(**fork)
    assert np.allclose(found["oil_lap"], fork["shifts"] * fork["strokes"] * found["oil_stroke"], rtol=1e-12)
    assert np.allclose(found["mean_flow"] * fork["lap"] / 60, found["oil_lap"] / 1000, rtol=1e-12)
