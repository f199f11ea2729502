"""Printed accelerations in gears, and facts of the trade about changes."""

from __future__ import annotations

from typing import Any

import pytest

from ledger.calculators.shift_gap import SHIFT_GAP
from ledger.mechanics import shift_loss
from ledger.mechanics.longitudinal import GRAVITY
from tests.vehicles import BARE, racer_inputs


def on_the_hill(ratio: float) -> float:
    """Acceleration of the exercise's vehicle on 1 in 20 [m/s²]."""
    vehicle: dict[str, Any] = {
        **BARE, "curve": [{"speed": 1.0, "torque": 150.0}, {"speed": 9000.0, "torque": 150.0}], "radius": 0.3,
        "mass": 1000.0, "engine_inertia": 1.0, "wheel_inertia": 10.0, "efficiency": 0.9,
        "rolling": 500 / (1000 * GRAVITY),
    }  # fmt: skip
    return float(shift_loss.acceleration(vehicle, 1 / 20, 10.0, ratio))


def test_the_ratio_of_greatest_acceleration_on_a_hill() -> None:
    """1000 kg, 600 mm wheels, 10 kg·m² of wheels, 1 of engine, 150 N·m, 90 %, 500 N, 1 in 20: 13 to 1 gives 1.74 m/s².

    Exercise on geared transmission systems, course of mechanics of machines, answers printed (13; 1.74 m/s²); seen in a
    copy on a question-and-answer page, recomputed. It confirms that the engine's inertia counts with i² and efficiency.
    """
    assert on_the_hill(13) == pytest.approx(1.74, abs=0.005)
    assert max(range(5, 30), key=on_the_hill) == 13


def test_the_printed_acceleration_catches_a_wrong_inertia(monkeypatch: pytest.MonkeyPatch) -> None:
    """An engine's inertia without the square of the ratio, or left out, misses the printed figure."""
    right = shift_loss.carried_mass
    monkeypatch.setattr(shift_loss, "carried_mass", lambda m, jw, r, je, i, eta: right(m, jw, r, je, i**0.5, eta))
    with pytest.raises(AssertionError):
        test_the_ratio_of_greatest_acceleration_on_a_hill()


def test_a_few_milliseconds_a_change_over_a_hundred_changes() -> None:
    """A gap of 10 ms loses a light racing vehicle a few milliseconds a change, some tenths of a second over a hundred.

    Common practice, no source.
    """
    found = SHIFT_GAP.compute(**racer_inputs(gap=0.01))
    assert 0.001 < found["place_loss_change"] < 0.01
    assert 0.1 < 100 * found["place_loss_change"] < 1.0
