"""Printed pulses and timers."""

from __future__ import annotations

from typing import Any

import pytest

from ledger.calculators.sensor_wheel import SENSOR_WHEEL
from ledger.mechanics.sensor_wheel import normal_share

WHEEL = {"radius": 50.0, "difference": 100.0, "window_time": 10.0}


def wheel(**given: Any) -> dict[str, Any]:
    """The whole calculator, in its declared units."""
    return dict(SENSOR_WHEEL.compute(**{**WHEEL, **given}))


def test_a_hundred_pulses_a_turn() -> None:
    """100 pulses a turn are 600 ms apart at 1 1/min.

    "Introduction to timer-based measurement", embedded.com, 29 July 2003, seen on its page.
    """
    assert wheel(targets=100.0, speed=1.0)["edge_time"] == pytest.approx(0.600)


@pytest.mark.parametrize(("speed", "counting", "timing"), [(60.0, 0.02, 0.00005), (6000.0, 0.0002, 0.005)])
def test_counting_suits_high_speeds_and_timing_low_ones(speed: float, counting: float, timing: float) -> None:
    """500 windows: read ten times a second, 2 % at 1 turn/s and 0.02 % at 100; with 10 MHz, 0.005 % and 0.5 %.

    de Silva, Sensors and Actuators, the example on digital resolution of speed: its text was seen, its answers are from
    memory and recomputed (50 and 5000 pulses; 20,000 and 200 ticks).
    """
    found = wheel(targets=500.0, speed=speed, clock=10e6, gate=100.0)
    assert found["counted_resolution"] / speed == pytest.approx(counting, rel=1e-9)
    assert found["timed_resolution"] / speed == pytest.approx(timing, rel=0.006)  # one tick more: k + 1, not k


@pytest.mark.parametrize(("value", "share"), [(0.0, 0.5), (1.0, 0.8413447), (2.0, 0.9772499), (-3.0, 0.0013499)])
def test_shares_of_a_normal(value: float, share: float) -> None:
    """Φ(0) to Φ(3) as tabulated. Abramowitz & Stegun, Table 26.1, from memory; the formula errs by 7.5e-8."""
    assert normal_share(value) == pytest.approx(share, abs=1.3e-7)
