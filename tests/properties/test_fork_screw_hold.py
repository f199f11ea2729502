"""What holds for every fork screw."""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.calculators.fork_screw import FORK_SCREW
from ledger.mechanics import fork_screw as mechanics


def spread(least: float, most: float) -> st.SearchStrategy[np.ndarray]:
    """Four draws between two values."""
    return st.lists(st.floats(least, most), min_size=4, max_size=4).map(np.array)


SCREWS = st.fixed_dictionaries(
    {
        "travel": spread(2, 20), "lead": spread(1, 15), "speed": spread(1000, 12_000),
        "screw": st.sampled_from(["sliding thread", "balls"]), "diameter": spread(6, 20), "friction": spread(0, 0.3),
        "flank": spread(0, 20), "collar_friction": spread(0, 0.2), "collar_diameter": spread(0, 20),
        "efficiency": spread(0.5, 1), "load": spread(0, 400), "mass": spread(0.5, 8), "rotor": spread(1, 100),
        "screw_inertia": spread(0, 20), "ratio": spread(0.5, 4), "gear_efficiency": spread(0.7, 1),
        "torque": spread(0.05, 5), "delay": spread(0, 10),
    }
)  # fmt: skip


def numbers(outputs: dict[str, Any]) -> dict[str, Any]:
    """The outputs that are numbers or truths."""
    return {
        one.name: outputs[one.name]
        for one in FORK_SCREW.outputs
        if one.form in ("number", "truth") and one.name in outputs
    }


@given(SCREWS, spread(30, 500), st.integers(0, 3))
@settings(deadline=None, max_examples=60)
def test_a_screw_in_one_draw_is_that_of_floats(screw: dict, wanted: np.ndarray, place: int) -> None:
    """Arrays of draws give, element by element, what floats give; every number is finite."""
    given_all = {**screw, "wanted": wanted}
    many = numbers(FORK_SCREW.compute(**given_all))
    floats = {name: float(one[place]) if isinstance(one, np.ndarray) else one for name, one in given_all.items()}
    for name, value in numbers(FORK_SCREW.compute(**floats)).items():
        assert np.isfinite(many[name]).all()
        assert np.broadcast_to(many[name], 4)[place] == pytest.approx(value, rel=1e-9)


@given(SCREWS)
@settings(deadline=None, max_examples=60)
def test_the_torque_that_a_time_needs_gives_that_time(screw: dict) -> None:
    """The time of a torque, wanted again, needs that torque."""
    found = FORK_SCREW.compute(**screw)
    wanted = 1000 * found["whole_time"]
    again = FORK_SCREW.compute(**{**screw, "torque": 0.0, "wanted": wanted})
    sound = found["moves"] & (found["time"] < 59) & (found["acceleration"] > 1e-3)
    assert np.allclose(np.asarray(again["needed_torque"])[sound], screw["torque"][sound], rtol=1e-5)
    assert np.all(again["in_time"] | ~sound)


@given(SCREWS, st.floats(1.01, 3))
@settings(deadline=None, max_examples=40)
def test_more_torque_is_never_slower_and_more_load_never_quicker(screw: dict, more: float) -> None:
    """Also: more mass, a heavier rotor or a longer travel is never quicker."""
    before = FORK_SCREW.compute(**screw)["time"]
    assert np.all(FORK_SCREW.compute(**{**screw, "torque": more * screw["torque"]})["time"] <= before * (1 + 1e-9))
    for name in ("load", "mass", "rotor", "travel"):
        assert np.all(FORK_SCREW.compute(**{**screw, name: more * screw[name]})["time"] >= before * (1 - 1e-9))


@given(st.floats(0.5, 20), st.floats(5, 30), st.floats(0, 0.5), st.floats(0, 0.5))
def test_friction_and_lead_decide_who_drives_whom(lead: float, diameter: float, friction: float, flank: float) -> None:
    """A thread holds its load just where its angle of friction is not below its lead angle; efficiency is at most 1."""
    holds = mechanics.lowering_torque(1.0, lead, diameter, friction, flank) >= 0
    assert holds == (mechanics.friction_angle(friction, flank) >= mechanics.lead_angle(lead, diameter))
    raised = mechanics.raising_torque(1.0, lead, diameter, friction, flank)
    assert mechanics.screw_efficiency(lead, raised) <= 1 + 1e-12
    assert raised == pytest.approx(
        diameter / 2000 * (lead + pi * diameter * friction / np.cos(flank))
        / (pi * diameter - friction * lead / np.cos(flank))
    )  # fmt: skip


@given(st.floats(0.1, 100), st.floats(1, 1e6), st.floats(1, 2000))
def test_a_move_and_its_rate_are_inverse(travel: float, rate: float, speed: float) -> None:
    """The rate that a time needs gives that time, in triangles and in trapezoids alike."""
    time = float(mechanics.move_time(travel, rate, speed))
    if time < 59 and speed * time > travel * (1 + 1e-4):
        assert mechanics.needed_rate(travel, time, speed) == pytest.approx(rate, rel=1e-4)
