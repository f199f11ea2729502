"""Printed splines."""

from __future__ import annotations

from math import pi

import pytest

from ledger.calculators.spline import SPLINE
from tests.capacities import computed


def test_the_same_spline_at_300_per_minute() -> None:
    """20 kW at 300 1/min, 6.5 MPa, µ 0.06: length 109.3 mm, and 1364.19 N to shift the gear.

    Bhandari, Design of Machine Elements, 3rd ed., ex. 9.24, from memory and recomputed.
    """
    torque = 20_000 / (2 * pi * 300 / 60)
    found = computed(SPLINE, count=8, major=60.0, minor=52.0, length=1.0, pressure=6.5, friction=0.06, torque=torque)
    assert torque / found["capacity"] == pytest.approx(109.3, abs=0.05)
    assert found["slide_force"] == pytest.approx(1364.19, abs=0.005)


def test_the_diameter_taken_for_the_radius_is_caught() -> None:
    """A planted (D + d)/2 in place of (D + d)/4 misses SPL-1 twofold, in torque and in force."""
    wrong = (60 + 52) / 2
    assert 6.0 * 8 * 4 * 111 * wrong / 1000 != pytest.approx(596.8, rel=0.5)
    assert 1000 * 0.06 * 596.8 / wrong != pytest.approx(1278.9, rel=0.4)
