"""Contact of curved elastic bodies after Hertz: along a line and at a point.

Curvatures are signed: 1/r where a body bulges towards the other, -1/r where it is hollow, 0 where it is flat. Values are
floats or arrays of draws of one shape. No friction; bodies large against the contact; elastic throughout.
"""

from __future__ import annotations

from ledger.mechanics.maths import absolute, every, pi, sqrt

LINE_SHEAR, LINE_DEPTH = 0.300, 0.786
POINT_SHEAR, POINT_DEPTH = 0.310, 0.481


def contact_modulus(first, first_poisson, second, second_poisson):
    """Return the modulus of two bodies in contact [MPa].

    1/E* = (1 - ν1²)/E1 + (1 - ν2²)/E2

    first, second                  E1, E2 [MPa], above 0
    first_poisson, second_poisson  ν1, ν2 [-], from 0 to 0.5

    Errors: ValueError outside those ranges.
    Source: Johnson, Contact Mechanics (1985), eq. 4.17 and around.
    """
    for value in (first, second):
        _above("Modulus of elasticity", value)
    for value in (first_poisson, second_poisson):
        if not every((value >= 0) & (value <= 0.5)):
            raise ValueError("Poisson's ratio: permitted from 0 to 0.5.")
    return 1.0 / ((1.0 - first_poisson * first_poisson) / first + (1.0 - second_poisson * second_poisson) / second)


def line_half_width(force, length, curvature, modulus):
    """Return the half-width of the strip in which two cylinders touch [mm].

    b = √(4 F / (π L κ E*))

    force      F, pressing them together [N], 0 or more
    length     L of the contact [mm], above 0
    curvature  κ, sum of both signed curvatures [1/mm], above 0
    modulus    E* [MPa], see `contact_modulus`

    Errors: ValueError outside those ranges; bodies that fit each other (κ of 0) touch on an area, not on a line.
    Source: Johnson, Contact Mechanics (1985), eq. 4.43; Boresi & Schmidt, Advanced Mechanics of Materials, ex. 17.3.
    """
    _loaded(force, curvature, modulus)
    _above("Length of the contact", length)
    return sqrt(4.0 * force / (pi * length * curvature * modulus))


def line_pressure(force, length, curvature, modulus):
    """Return the greatest pressure between two cylinders [MPa].

    p0 = √(F κ E* / (π L)) = 2 F / (π b L)

    Arguments, errors and source as of `line_half_width`; Johnson eq. 4.45.
    """
    _loaded(force, curvature, modulus)
    _above("Length of the contact", length)
    return sqrt(force * curvature * modulus / (pi * length))


def line_force(pressure, length, curvature, modulus):
    """Return the force at which the greatest pressure between two cylinders reaches a limit [N].

    F = π L p0² / (κ E*), the inverse of `line_pressure`

    pressure  p0 [MPa], 0 or more; the rest as of `line_half_width`
    """
    _loaded(pressure, curvature, modulus)
    _above("Length of the contact", length)
    return pi * length * pressure * pressure / (curvature * modulus)


def line_shear(pressure, half_width, depth):
    """Return the greatest shear stress below the middle of a line contact [MPa].

    τ = (p0 / b) |z - z²/√(b² + z²)|: greatest with 0.300 p0 at z = 0.786 b

    pressure    p0 [MPa]
    half_width  b [mm], above 0
    depth       z below the surface [mm], 0 or more

    Source: Johnson, Contact Mechanics (1985), eq. 4.46c and §4.2.
    """
    _above("Half-width", half_width)
    return pressure / half_width * absolute(depth - depth * depth / sqrt(half_width * half_width + depth * depth))


def point_radius(force, curvature, modulus):
    """Return the radius of the circle in which a ball touches [mm].

    a = (3 F / (4 κ E*))^(1/3), κ = 1/R1 + 1/R2 alike in all directions

    force, curvature, modulus  as of `line_half_width`

    Source: Johnson, Contact Mechanics (1985), eq. 4.22.
    """
    _loaded(force, curvature, modulus)
    return (3.0 * force / (4.0 * curvature * modulus)) ** (1.0 / 3.0)


def point_pressure(force, curvature, modulus):
    """Return the greatest pressure under a ball [MPa].

    p0 = (6 F κ² E*² / π³)^(1/3) = 3 F / (2 π a²)

    Arguments and source as of `point_radius`; Johnson eq. 4.24.
    """
    _loaded(force, curvature, modulus)
    return (6.0 * force * (curvature * modulus) ** 2 / pi**3) ** (1.0 / 3.0)


def _loaded(load, curvature, modulus):
    if not every(load >= 0):
        raise ValueError("Force or pressure of a contact: permitted from 0; bodies do not pull on each other.")
    if not every(curvature > 0):
        raise ValueError("Curvature of the contact: must be above 0; a body in a hollow as round as itself fits it.")
    _above("Modulus of the contact", modulus)


def _above(label, value):
    if not every(value > 0):
        raise ValueError(f"{label}: must be above 0.")
