"""Contacts of one-way elements. No published worked example of a whole one was found; printed contacts serve."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from ledger.mechanics import hertz, one_way


def test_two_steel_cylinders() -> None:
    """STR-6: R 40 mm, 20 mm long, E 200 GPa, ν 0.29: 24.1 kN make 1447 MPa (1445 rounded).

    Boresi & Schmidt, Advanced Mechanics of Materials, ex. 17.3, p. 621.
    """
    stiffness, radius = hertz.joint_stiffness(200e3, 0.29, 200e3, 0.29), hertz.joint_radius(40.0, 40.0)
    assert one_way.line_force(1447.0, 20.0, radius, stiffness) == pytest.approx(24_100, rel=0.003)


def test_the_greatest_shear_below_a_line() -> None:
    """STR-7: 0.300 p0 at 0.786 b. Johnson, Contact Mechanics (1985), §4.2."""
    depths = [one / 1000 for one in range(1, 3000)]
    greatest = max(depths, key=lambda depth: float(hertz.line_shear(1.0, depth)))
    assert greatest == pytest.approx(0.786, abs=1e-3)
    assert hertz.line_shear(1.0, greatest) == pytest.approx(0.300, abs=1e-3)


def test_a_roller_on_a_flat() -> None:
    """Width √(32 F (1 - ν²) r / (π L E)) and pressure 4 F/(π w L).

    Mechanical Engineer's Data Handbook, p. 52; seen in a copy whose root is garbled, read with its neighbours.
    """
    force, radius, length, modulus, poisson = 5000.0, 6.0, 40.0, 206e3, 0.3
    width = sqrt(32 * force * (1 - poisson**2) * radius / (pi * length * modulus))
    stiffness = hertz.joint_stiffness(modulus, poisson, modulus, poisson)
    assert one_way.line_force(4 * force / (pi * width * length), length, radius, stiffness) == pytest.approx(force)
