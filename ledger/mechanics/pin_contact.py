"""A pin on the flank of its track: contact of a cylinder on a plane along a line, after Hertz."""

from __future__ import annotations

from ledger.mechanics.maths import pi, sqrt
from ledger.mechanics.refusing import refuse

SHEAR = 0.300  # greatest shear stress beneath a line contact, over its greatest pressure
PERMITTED = {
    "force": ("Force on the pin", "N", 0.0, 1e12),
    "length": ("Length of the contact", "mm", 0.01, 10_000.0),
    "pin": ("Diameter of the pin", "mm", 0.01, 10_000.0),
    "elasticity": ("Elasticity", "MPa", 1.0, 2_000_000.0),
    "poisson": ("Poisson's ratio", "", 0.0, 0.5),
}


def contact_pressure(force, length, pin, elasticity, poisson):
    """Return the greatest pressure between a pin and a plane of the same material [MPa].

    p0 = √(F E* / (π R l)) with E* = E / (2 (1 - ν²)) and R half the pin's diameter

    force       F, pressing [N], 0 and above
    length      l, of the contact [mm]
    pin         diameter of the pin [mm]
    elasticity  E [MPa]
    poisson     ν [-], 0 to 0.5

    Two cylinders of radius R1 and R2 press as one of 1/R = 1/R1 + 1/R2 on a plane.

    Source: Johnson, Contact Mechanics (1985), §4.2; Boresi and Schmidt, Advanced Mechanics of Materials, ex. 17.3.
    """
    refuse(PERMITTED, force=force, length=length, pin=pin, elasticity=elasticity, poisson=poisson)
    joint = elasticity / (2.0 * (1.0 - poisson**2))
    return sqrt(force * joint / (pi * length * pin / 2.0))


def contact_shear(pressure):
    """Return the greatest shear stress beneath the contact [MPa]: 0.300 p0, at 0.786 of its half-width below it."""
    return SHEAR * pressure
