"""Printed torques and efficiencies of screws, and a printed time of a move."""

from __future__ import annotations

from math import pi

import pytest

from ledger.calculators.fork_screw import FORK_SCREW
from ledger.mechanics.fork_screw import (
    collar_torque,
    lowering_torque,
    move_time,
    raising_torque,
    screw_efficiency,
)
from ledger.quantities.units import convert


def test_a_double_threaded_screw() -> None:
    """d 32, p 4 double, f = f_c = 0.08, collar 40 mm, 6.4 kN: 26.18 N·m up, 9.77 down, efficiency 0.311.

    Shigley, Mechanical Engineering Design, ex. 8-1. From memory, complete and reproduced.
    """
    collar = collar_torque(6400.0, 0.08, 40.0)
    up = raising_torque(6400.0, 8.0, 30.0, 0.08) + collar
    assert up == pytest.approx(26.18, abs=0.005)
    assert lowering_torque(6400.0, 8.0, 30.0, 0.08) + collar == pytest.approx(9.77, abs=0.005)
    assert screw_efficiency(8.0, up / 6400.0) == pytest.approx(0.311, abs=5e-4)


def test_the_same_screw_by_the_whole_calculator() -> None:
    """By the whole calculator the screw of that example is self-locking."""
    found = FORK_SCREW.compute(
        travel=10.0, lead=8.0, speed=1000.0, diameter=30.0, friction=0.08, flank=0.0, collar_friction=0.08,
        collar_diameter=40.0, load=6400.0, mass=1.0, torque=30.0,
    )  # fmt: skip
    assert found["self_locking"]


def test_a_screw_with_three_threads() -> None:
    """d 50, p 8, three starts, μ 0.15, collar 100/65 mm, 15 kN: 204,644 N·mm up and 87,401.5 down.

    Bhandari, Design of Machine Elements, ex. 6.1; second hand, from a public companion.
    """
    collar = collar_torque(15_000.0, 0.15, (100 + 65) / 2)
    assert raising_torque(15_000.0, 24.0, 46.0, 0.15) + collar == pytest.approx(204.644140833, rel=1e-9)
    assert lowering_torque(15_000.0, 24.0, 46.0, 0.15) + collar == pytest.approx(87.401514671, rel=1e-9)


def test_a_screw_that_lifts_a_gate() -> None:
    """d 40, p 7, 5 kN and 2 kN of friction: 52.41 N on two arms of 500 mm up, 15.63 N down, efficiency 14.88 %.

    Bhandari, ex. 6.4, p. 198; second hand, from a public companion.
    """
    up = raising_torque(7000.0, 7.0, 36.5, 0.15) + collar_torque(7000.0, 0.12, 60.0)
    down = lowering_torque(3000.0, 7.0, 36.5, 0.15) + collar_torque(3000.0, 0.12, 60.0)
    assert (up, down) == (pytest.approx(52.410253, abs=1e-6), pytest.approx(15.626055, abs=1e-6))  # 2 · 0.5 m each
    assert screw_efficiency(7.0, up / 7000.0) == pytest.approx(0.14879898, abs=1e-8)


def test_a_trapezoidal_lead_screw() -> None:
    """d 52, p 8, flanks of 15°, μ 0.15 and 0.12, collar 100/60, 2 kN at 30 1/min: 0.0618 kW, 12.94 %.

    Bhandari, ex. 6.6; second hand, from a public companion.
    """
    torque = raising_torque(2000.0, 8.0, 48.0, 0.15, 15 * pi / 180) + collar_torque(2000.0, 0.12, 80.0)
    assert torque * 2 * pi * 30 / 60 == pytest.approx(61.838, abs=5e-4)
    assert screw_efficiency(8.0, torque / 2000.0) == pytest.approx(0.12937099, abs=5e-8)


def test_a_screw_jack_in_inches() -> None:
    """Two threads per inch on a mean diameter of 2 in, μ 0.2: 10,000 lbf take 2840 lbf·in.

    Exercise of a textbook on statics (friction, screw threads, problem 2); its printed answer seen in a copy.
    """
    torque = raising_torque(convert(10_000, "lbf", "N"), 12.7, 50.8, 0.2)
    assert convert(torque, "N·m", "lbf·in") == pytest.approx(2840, abs=5)  # printed to three digits


def test_a_self_locking_screw_wastes_half() -> None:
    """A self-locking screw without collar has an efficiency of 1/2 at the most; the same exercises, problem 3."""
    for lead in (0.5, 1.0, 2.0, 4.0, 8.0, 16.0):
        for friction in (0.02, 0.05, 0.1, 0.2, 0.4):
            if lowering_torque(1.0, lead, 10.0, friction) >= 0:
                assert screw_efficiency(lead, raising_torque(1.0, lead, 10.0, friction)) <= 0.5


def test_a_trapezoid_of_speed() -> None:
    """200 mm at 200 mm/s and 500 mm/s²: 1.4 s. A public guide on the duration of servo moves, seen in a copy."""
    assert move_time(200.0, 500.0, 200.0) == pytest.approx(1.4, abs=1e-12)


def test_the_rule_of_thirds() -> None:
    """A trapezoid of three equal parts has a = 4.5 x/T² and v = 1.5 x/T. A public guide, seen in a copy."""
    assert move_time(9.0, 4.5 * 9.0 / 0.3**2, 1.5 * 9.0 / 0.3) == pytest.approx(0.3, rel=1e-12)
