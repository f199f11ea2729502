"""Printed pressures of contacts and of tooth flanks."""

from __future__ import annotations

from math import cos, degrees, pi, sin, sqrt

import numpy as np
import pytest

from ledger.calculators.tooth_flank import DEEPEST, TOOTH_FLANK
from ledger.mechanics import hertz, tooth_flank
from ledger.mechanics.gear_pair import gear_pair

PRESSURE = pi / 9


def test_two_cylinders_press_as_printed() -> None:
    """STR-6: Boresi and Schmidt, ex. 17.3, p. 621 (seen in a copy): two of 40 mm, 20 mm long, 24.1 kN."""
    stiffness = hertz.joint_stiffness(200_000, 0.29, 200_000, 0.29)
    load, radius = 24_100 / 20, hertz.joint_radius(40, 40)
    pressure = hertz.line_pressure(load, radius, stiffness)
    assert pressure == pytest.approx(1447, rel=3e-3)
    # The half-ellipse over a width 2 b carries the load, w = π/2 p0 b; the printed b is 0.530 mm.
    assert 2 * load / (pi * pressure) == pytest.approx(0.530, rel=3e-3)
    assert hertz.line_shear(pressure, DEEPEST) == pytest.approx(434, rel=3e-3)
    # The printed octahedral stress of 361 MPa is not recomputed: its share of the pressure hangs on Poisson's ratio.


def test_shear_under_a_line_is_greatest_where_it_is_printed() -> None:
    """STR-7: Johnson, Contact Mechanics, 4.2 (from memory): 0.300 at 0.786."""
    depths = np.linspace(0.01, 3, 29901)
    line = hertz.line_shear(1.0, depths)
    assert line.max() == pytest.approx(0.300, abs=1e-3)
    assert depths[line.argmax()] == pytest.approx(0.786, abs=1e-3)
    assert depths[line.argmax()] == pytest.approx(DEEPEST, abs=1e-3)


def test_the_elasticity_factor_of_steel_is_the_printed_one() -> None:
    """ISO 6336-2, steel on steel: 189.8 √MPa (as in Pu, Mechanical Design, Table 10-6; seen in copies)."""
    assert tooth_flank.elasticity_factor(206_000, 0.3, 206_000, 0.3) == pytest.approx(189.8, abs=0.05)


def test_a_pinion_presses_as_printed() -> None:
    """Shigley's Mechanical Engineering Design, ex. 14-4 (seen in a copy): 17/52, pitch 10, 70,360 lbf/in².

    Load 164.8 lbf, width 1.5 in, elastic coefficient 2300, factors 1.377, 1.043 and 1.22, geometry factor 0.121.
    """
    zone = tooth_flank.zone_factor(0.0, PRESSURE, PRESSURE)
    # The book's I is for the same contact: I = (1/Z_H²) u / (u + 1).
    assert 1 / zone**2 * (52 / 17) / (52 / 17 + 1) == pytest.approx(0.121, abs=5e-4)
    nominal = tooth_flank.pitch_point_pressure(164.8, 1.5, 1.7, 52 / 17, zone, 2300.0)
    assert nominal * sqrt(1.377 * 1.043 * 1.22) == pytest.approx(70_360, rel=2e-3)


def test_another_geometry_factor_is_the_printed_one() -> None:
    """Shigley, ex. 14-8 (seen in a copy): 18/72 teeth, 0.1286."""
    zone = tooth_flank.zone_factor(0.0, PRESSURE, PRESSURE)
    assert 1 / zone**2 * 4 / 5 == pytest.approx(0.1286, abs=5e-5)
    assert 1 / zone**2 == pytest.approx(cos(PRESSURE) * sin(PRESSURE) / 2)


def test_contact_ratio_and_its_factor_are_the_printed_ones() -> None:
    """Pu, Mechanical Design, ex. 10-1 (from memory, recomputed): 24/77 teeth, 1.711 and 0.873; Z_H 2.5 rounded."""
    pair = gear_pair(2, 24, 77, 0, 0, 50)
    assert pair["contact_ratio"] == pytest.approx(1.711, abs=5e-4)
    assert tooth_flank.contact_ratio_factor(pair["contact_ratio"], 0.0) == pytest.approx(0.873, abs=5e-4)
    assert tooth_flank.zone_factor(0.0, pair["transverse"], pair["working"]) == pytest.approx(2.495, abs=5e-4)


def test_helical_factors_are_the_printed_ones() -> None:
    """The same book, ex. 10-2 (from memory, recomputed): 14 degrees, Z_H 2.433, Z_β 0.985."""
    pair = gear_pair(2, 24, 77, 0, 0, 50, 14.0)
    assert degrees(pair["transverse"]) == pytest.approx(20.562, abs=5e-4)
    assert degrees(pair["base_helix"]) == pytest.approx(13.140, abs=5e-4)
    zone = tooth_flank.zone_factor(pair["base_helix"], pair["transverse"], pair["working"])
    assert zone == pytest.approx(2.433, abs=1e-3)
    # The book takes the root of the cosine, as ISO 6336-2 did up to 1996; the edition of 2006 takes one over it.
    assert 1 / tooth_flank.leaning_factor(pair["helix"]) == pytest.approx(0.985, abs=5e-4)


def test_the_calculator_tells_the_same() -> None:
    """Through the declaration: the worked pair of 24 and 77 teeth."""
    found = TOOTH_FLANK.compute(module=2.0, teeth_1=24.0, teeth_2=77.0, width=50.0, torque=100.0, strength_1=600.0)
    assert found["contact_ratio"] == pytest.approx(1.711, abs=5e-4)
    assert found["spread"] == pytest.approx(0.873, abs=5e-4)
