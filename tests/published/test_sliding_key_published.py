"""Printed keys: one key, half its height in the gear, the force at the shaft's surface."""

from __future__ import annotations

from math import pi

import pytest

from ledger.calculators.sliding_key import SLIDING_KEY
from ledger.quantities.units import convert
from tests.capacities import computed


def lengths(
    torque: float, diameter: float, width: float, height: float, shear: float, bearing: float
) -> tuple[float, float]:
    """Lengths that shear and bearing need [mm]."""
    found = computed(
        SLIDING_KEY, count=1, share=1.0, diameter=diameter, width=width, length=1.0, projection=height / 2, shear=shear,
        bearing=bearing, bending=1e4,
    )  # fmt: skip
    return torque / found["shear_capacity"], torque / found["gear_capacity"]


def test_a_key_of_three_eighths() -> None:
    """40 hp at 600 1/min, 1 7/16 in, S_y 57 ksi, factor 2.80: 1.33 in for shear, 1.53 in for crushing.

    Shigley's Mechanical Engineering Design, 10th ed., ex. 7-6, from memory and recomputed: 4200 lbf·in (the torque is
    rounded there), shear yielding at 0.577 of 57 ksi.
    """
    stress = [convert(one / 2.8, "ksi", "MPa") for one in (32.9, 57)]
    shear, bearing = lengths(convert(4200, "lbf·in", "N·m"), 25.4 * 1.4375, 25.4 * 0.375, 25.4 * 0.375, *stress)
    assert shear / 25.4 == pytest.approx(1.33, abs=0.005)
    assert bearing / 25.4 == pytest.approx(1.53, abs=0.005)


def test_a_rectangular_key_as_strong_as_its_shaft() -> None:
    """50 mm, 42 MPa in shear and 70 in crushing, key of 16 by 10 mm: 61.3 mm and 117.7 mm.

    Khurmi & Gupta, A Textbook of Machine Design, ex. 13.1, from memory and recomputed; 1.03e6 N·mm is rounded there.
    """
    shear, bearing = lengths(pi / 16 * 42 * 50**3 / 1000, 50, 16, 10, 42, 70)
    assert shear == pytest.approx(61.3, rel=0.003)
    assert bearing == pytest.approx(117.7, rel=0.003)


def test_a_square_key_of_six_millimetres() -> None:
    """15 kW at 720 1/min, 25 mm, S_yt 460 MPa over 3, half of it in shear: 34.6 mm for shear and for crushing alike.

    Bhandari, Design of Machine Elements, 3rd ed., worked examples of square keys (§9.11), from memory and recomputed.
    """
    shear, bearing = lengths(15_000 / (2 * pi * 720 / 60), 25, 6, 6, 230 / 3, 460 / 3)
    assert shear == pytest.approx(34.6, abs=0.05)
    assert bearing == pytest.approx(34.6, abs=0.05)
