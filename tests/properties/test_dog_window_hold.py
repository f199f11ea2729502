"""What holds for dogs of any size at any speed difference."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.calculators.dog_window import DOG_WINDOW

NUMBERS = [one.name for one in DOG_WINDOW.outputs if one.form in ("number", "truth")]


def spread(least: float, most: float) -> st.SearchStrategy[np.ndarray]:
    """Five draws between two values."""
    return st.lists(st.floats(least, most), min_size=5, max_size=5).map(np.array)


@st.composite
def rings(draw: st.DrawFn) -> dict[str, Any]:
    """Dogs in draws, some of which do not fit, with the inertias of a blow."""
    dogs = float(draw(st.integers(1, 20)))
    gap = draw(spread(0.05, 0.95)) * 360 / dogs
    return {
        "dogs": dogs, "gap": gap, "dog": np.minimum(draw(spread(0.02, 1.3)) * gap, 360.0),
        "difference": draw(spread(0, 1500)),
        "axial_speed": draw(spread(0.05, 3)), "depth": draw(spread(0.5, 15)), "patience": draw(spread(0, 300)),
        "inertia": draw(spread(0.01, 20)), "other_inertia": draw(spread(0.01, 500)),
        "stiffness": draw(spread(100, 1e6)), "speed": draw(spread(-500, 3000)), "torque": draw(spread(0, 3000)),
    }  # fmt: skip


def at(ring: dict[str, Any], place: int) -> dict[str, float]:
    """One draw of every input."""
    return {name: float(np.broadcast_to(value, 5)[place]) for name, value in ring.items()}


@given(rings(), st.integers(0, 4))
@settings(deadline=None, max_examples=80)
def test_one_draw_is_that_of_floats(ring: dict[str, Any], place: int) -> None:
    """Arrays of draws give, element by element, what floats give."""
    many, one = DOG_WINDOW.compute(**ring), DOG_WINDOW.compute(**at(ring, place))
    for name in NUMBERS:
        assert np.broadcast_to(many[name], 5)[place] == pytest.approx(one[name], rel=1e-9, abs=1e-9), name


@given(rings())
@settings(deadline=None, max_examples=80)
def test_every_outcome_is_finite_and_in_order(ring: dict[str, Any]) -> None:
    """No outcome is NaN or infinite; chances are chances; what is greatest is not less than what is mean."""
    found = DOG_WINDOW.compute(**ring)
    assert all(np.isfinite(found[name]).all() for name in NUMBERS)
    assert np.all((found["chance"] >= 0) & (found["chance"] <= 1))
    assert np.all(found["chance_at_once"] <= found["chance"] + 1e-12)
    assert np.all(found["chance"] <= found["best_chance"] + 1e-3)
    assert np.all(found["play"] <= found["greatest_play"] + 1e-9)
    assert np.all(found["half_wait"] <= found["most_wait"])
    assert np.all(found["most_wait"] <= found["longest_wait"])
    assert np.all(found["impact"] <= found["added_torque"] * (1 + 1e-12) + 1e-12)


@given(rings())
@settings(deadline=None, max_examples=60)
def test_the_window_closes_at_the_greatest_difference(ring: dict[str, Any]) -> None:
    """A hair below it a dog still gets in, a hair above none does; with no clearance none ever does."""
    limit = np.broadcast_to(DOG_WINDOW.compute(**ring)["greatest_difference"], 5)
    fits = ring["gap"] - ring["dog"] > 1e-3
    below = DOG_WINDOW.compute(**{**ring, "difference": np.minimum(limit * (1 - 1e-6), 2e5)})
    above = DOG_WINDOW.compute(**{**ring, "difference": np.minimum(limit * (1 + 1e-6), 2e5)})
    assert np.all(below["enters"][fits])
    assert not np.any(above["enters"][limit < 1e5])
    assert np.all(np.where(ring["gap"] <= ring["dog"], limit == 0, True))
    assert np.all(above["chance"][limit < 1e5] == 0)


@given(rings())
@settings(deadline=None, max_examples=60)
def test_the_close_of_the_window_is_no_matter_of_rounding(ring: dict[str, Any]) -> None:
    """At the greatest speed difference, as it is computed, nothing gets in; at the best one, what is said to."""
    found = DOG_WINDOW.compute(**ring)
    fits = (ring["gap"] - ring["dog"] > 1e-3) & (found["greatest_difference"] < 1e5)
    closed = DOG_WINDOW.compute(**{**ring, "difference": np.minimum(found["greatest_difference"], 2e5)})
    assert not np.any(closed["enters"][fits])
    assert np.all(closed["window"][fits] == 0)
    assert np.all(closed["chance"][fits] == 0)
    best = DOG_WINDOW.compute(**{**ring, "difference": np.minimum(found["best_difference"], 2e5)})
    assert np.allclose(best["chance"][fits], found["best_chance"][fits], rtol=1e-9, atol=1e-12)


@given(rings(), st.floats(1, 4))
@settings(deadline=None, max_examples=60)
def test_help_never_hinders(ring: dict[str, Any], more: float) -> None:
    """More patience, axial speed or gap, less dog or depth: never a smaller chance, whatever the speed difference."""
    before = DOG_WINDOW.compute(**ring)["chance"]
    widest = 359.9 / ring["dogs"]
    for name, value in (
        ("patience", ring["patience"] * more), ("axial_speed", ring["axial_speed"] * more),
        ("gap", np.minimum(ring["gap"] * more, widest)), ("dog", np.maximum(ring["dog"] / more, 0.001)),
        ("depth", ring["depth"] / more),
    ):  # fmt: skip
        assert np.all(DOG_WINDOW.compute(**{**ring, name: value})["chance"] >= before - 1e-12), name


@given(rings())
@settings(deadline=None, max_examples=60)
def test_at_standstill_the_chance_is_clearance_over_pitch(ring: dict[str, Any]) -> None:
    """Whatever the patience: without a speed difference the next gap never comes."""
    found = DOG_WINDOW.compute(**{**ring, "difference": np.zeros(5)})
    assert np.allclose(found["chance"], np.maximum(0, found["clearance"]) / found["pitch"], rtol=1e-12)


@given(rings(), st.floats(0.1, 10))
@settings(deadline=None, max_examples=40)
def test_a_blow_grows_with_the_speed_difference(ring: dict[str, Any], more: float) -> None:
    """Undriven it is in proportion; the energy by the square; the two sides may be exchanged."""
    ring = {**ring, "torque": np.zeros(5), "difference": ring["difference"] / 10}
    one, other = DOG_WINDOW.compute(**ring), DOG_WINDOW.compute(**{**ring, "difference": ring["difference"] * more})
    assert np.allclose(other["impact"], more * one["impact"], rtol=1e-9)
    assert np.allclose(other["energy_lost"], more**2 * one["energy_lost"], rtol=1e-9)
    turned = {**ring, "inertia": ring["other_inertia"], "other_inertia": ring["inertia"]}
    assert np.allclose(DOG_WINDOW.compute(**turned)["impact"], one["impact"], rtol=1e-9)
