"""Flank pressures by another way: two cylinders of the flanks' own curvature, pressed by the force square to them."""

from __future__ import annotations

from math import acos, cos, pi, sin, sqrt, tan

import numpy as np
import pytest
from scipy.integrate import quad

from ledger.calculators.tooth_flank import TOOTH_FLANK
from ledger.mechanics import hertz

PRESSURE = pi / 9
E_STAR = 206_000 / (2 * (1 - 0.3**2))


def cylinders(force: float, first: float, second: float) -> float:
    """Pressure of two cylinders [MPa] from the textbook's form, p0 = √(F' E* (1/R1 + 1/R2) / π)."""
    return sqrt(force * E_STAR * (1 / first + 1 / second) / pi)


def spur(**more: float) -> dict:
    given = {"module": 5.0, "teeth_1": 19.0, "teeth_2": 53.0, "width": 50.0, "torque": 2067.0, "strength_1": 1500.0}
    return dict(TOOTH_FLANK.compute(**(given | more)))


@pytest.mark.parametrize(("shift_1", "shift_2"), [(0.0, 0.0), (0.3, 0.1), (0.4, -0.4)])
def test_the_pressure_at_the_pitch_point_is_that_of_two_cylinders(shift_1: float, shift_2: float) -> None:
    """Without the contact ratio factor: radii r_w sin α_w, force torque over base radius."""
    found = spur(shift_1=shift_1, shift_2=shift_2)
    base = [5 * teeth * cos(PRESSURE) / 2 for teeth in (19, 53)]
    working = acos(sum(base) / found["centre_distance"])
    force = 2067_000 / base[0] / 50
    expected = cylinders(force, base[0] * tan(working), base[1] * tan(working))
    assert found["nominal"] / found["spread"] == pytest.approx(expected, rel=1e-9)


def test_the_factor_to_the_inner_point_is_that_of_the_curvature_there() -> None:
    """A base pitch before the end of contact at wheel 1's tip, one wheel 1's flank is the more curved."""
    found = spur()
    base, tip = [5 * teeth * cos(PRESSURE) / 2 for teeth in (19, 53)], 5 * (19 + 2) / 2
    whole = 180 * sin(PRESSURE)
    first = sqrt(tip**2 - base[0] ** 2) - pi * 5 * cos(PRESSURE)
    pitch_point = base[0] * tan(PRESSURE), base[1] * tan(PRESSURE)
    expected = cylinders(1.0, first, whole - first) / cylinders(1.0, *pitch_point)
    assert expected > 1
    assert found["inner_1"] == pytest.approx(expected, rel=1e-9)
    assert found["stress_1"] == pytest.approx(found["nominal"] * expected, rel=1e-9)


def test_the_drawn_pressure_passes_through_the_computed_ones() -> None:
    """On the curve of a lone pair stand the pressures at the pitch point and the inner point, without Z_ε."""
    found = spur()
    alone = [(point["x"], point["y"]) for point in found["pressures"] if point["series"] == "one pair carries"]
    at_pitch = np.interp(0.0, *zip(*alone, strict=True))
    assert at_pitch == pytest.approx(found["nominal"] / found["spread"], rel=1e-3)
    assert max(y for _, y in alone) == pytest.approx(found["stress_1"] / found["spread"], rel=0.02)
    assert list(dict.fromkeys(point["series"] for point in found["pressures"])) == [
        "two pairs carry, before the pitch point",
        "one pair carries",
        "two pairs carry, after it",
    ]
    assert 100 <= len(found["pressures"]) <= 200


def test_a_contact_carries_the_load_that_presses_it() -> None:
    """The half-ellipse of pressure over the width integrates to the load."""
    load, radius = 1200.0, 20.0
    pressure, half = hertz.line_pressure(load, radius, E_STAR), sqrt(4 * load * radius / (pi * E_STAR))
    carried = quad(lambda x: pressure * sqrt(max(1 - (x / half) ** 2, 0.0)), -half, half)[0]
    assert carried == pytest.approx(load, rel=1e-6)


def test_the_shear_under_the_flank_lies_at_its_depth() -> None:
    """0.786 half-widths deep, with the half-width that belongs to the computed pressure."""
    found = spur(application=1.3)
    base = [5 * teeth * cos(PRESSURE) / 2 for teeth in (19, 53)]
    radius = hertz.joint_radius(*(one * tan(PRESSURE) for one in base))
    pressure = found["nominal"] * sqrt(1.3)
    assert found["shear"] == pytest.approx(0.300 * pressure, rel=2e-3)
    assert found["shear_depth"] == pytest.approx(0.786 * 2 * radius * pressure / E_STAR, rel=1e-3)


def test_the_held_torque_just_holds() -> None:
    """With the torque that both flanks just bear, the least margin is zero."""
    held = spur()["held_torque"]
    assert spur(torque=float(held))["least_margin"] == pytest.approx(0, abs=1e-12)
