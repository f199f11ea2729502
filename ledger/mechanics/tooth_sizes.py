"""Sizes of one external involute tooth, and sizes over several teeth or over pins, by which a wheel is measured.

Terms and units as in `gear_geometry`: normal module and lengths in mm, angles in radians, profile shift on the module.
All sizes are without backlash allowance. Source: ISO 21771-1:2024, ISO 21771-2; examples in the tests.
"""

from __future__ import annotations

from ledger.mechanics.involute import inv, inverse_inv
from ledger.mechanics.maths import acos, atan, cos, every, pi, sin, tan, where

PRESSURE = pi / 9.0


def transverse_angle(pressure=PRESSURE, helix=0.0):
    """Return the transverse pressure angle [rad]: tan α_t = tan α_n / cos β."""
    return atan(tan(pressure) / cos(helix))


def tooth_thickness(diameter, module, teeth, shift=0.0, pressure=PRESSURE, helix=0.0):
    """Return the transverse thickness of a tooth on a circle, along the arc [mm]; below zero beyond the pointed tip.

    s = d_y [ (π/2 + 2 x tan α_n) / z + inv α_t − inv α_y ], cos α_y = d_b / d_y

    diameter  d_y [mm], the base circle or greater; on the tip circle this is the tip thickness

    Errors: ValueError within the base circle, where there is no involute.
    """
    turned = transverse_angle(pressure, helix)
    share = teeth * module / cos(helix) * cos(turned) / diameter
    if not every((share > 0) & (share <= 1)):
        raise ValueError("Within the base circle a tooth has no involute thickness.")
    return diameter * ((pi / 2.0 + 2.0 * shift * tan(pressure)) / teeth + inv(turned) - inv(acos(share)))


def span_touches(teeth, shift=0.0, pressure=PRESSURE, helix=0.0):
    """Return whether a span touches the flanks at mid-height, which a very negative shift takes below the base circle.

    1 + 2 x cos β / z > cos α_t
    """
    return 1.0 + 2.0 * shift * cos(helix) / teeth > cos(transverse_angle(pressure, helix))


def spanned_teeth(teeth, shift=0.0, pressure=PRESSURE, helix=0.0):
    """Return over how many teeth a span touches near mid-flank [-], a real number to be rounded to the nearest whole.

    k = z/π [ √((1 + 2x/z · cos β)² − cos² α_t) / cos α_t · (1 + tan² β_b) − inv α_t − 2 x tan α_n / z ] + 1/2

    Source: as Gear Technical Reference of KHK, Tables 5.10 and 5.11 (z_m,th), with its form for spur gears at β = 0.
    """
    turned = transverse_angle(pressure, helix)
    flank = (1.0 + 2.0 * shift * cos(helix) / teeth) ** 2 - cos(turned) ** 2
    if not every(span_touches(teeth, shift, pressure, helix)):
        raise ValueError("The profile shift is so negative that no span touches the flanks.")
    lean = 1.0 + (tan(helix) * cos(turned)) ** 2
    reach = flank**0.5 / cos(turned) * lean
    return teeth / pi * (reach - inv(turned) - 2.0 * shift * tan(pressure) / teeth) + 0.5


def span(module, teeth, shift, spanned, pressure=PRESSURE, helix=0.0):
    """Return the base tangent length over several teeth [mm].

    W_k = m_n cos α_n [ π (k − 0.5) + z inv α_t ] + 2 x m_n sin α_n

    spanned  k, see `spanned_teeth`
    """
    upright = pi * (spanned - 0.5) + teeth * inv(transverse_angle(pressure, helix))
    return module * cos(pressure) * upright + 2.0 * shift * module * sin(pressure)


def pin_seat(module, teeth, shift, pin, pressure=PRESSURE, helix=0.0):
    """Return the involute of the angle at which a pin's middle lies in a space [-], not above zero for one too thin.

    inv φ = d_p / (m_n z cos α_n) − π/(2z) + inv α_t + 2 x tan α_n / z
    """
    upright = pin / (module * teeth * cos(pressure)) - pi / (2.0 * teeth) + inv(transverse_angle(pressure, helix))
    return upright + 2.0 * shift * tan(pressure) / teeth


def over_pins(module, teeth, shift, pin, pressure=PRESSURE, helix=0.0):
    """Return the size over two pins or balls laid into opposite spaces [mm].

    M = d_b / cos φ · c + d_p, with c = 1 for an even number of teeth and cos(90°/z) for an odd one; φ of `pin_seat`

    pin  d_p [mm]; balls for helical wheels

    Errors: ValueError for a pin so thin that it lies on the root or within the base circle.
    """
    turned = transverse_angle(pressure, helix)
    value = pin_seat(module, teeth, shift, pin, pressure, helix)
    if not every(value > 0):
        raise ValueError("The pin is too thin: it would not touch the flanks.")
    across = where(teeth % 2 == 0, 1.0, cos(pi / (2.0 * teeth)))
    return module * teeth / cos(helix) * cos(turned) / cos(inverse_inv(value)) * across + pin


def chordal_thickness(module, teeth, shift=0.0, addendum=1.0, pressure=PRESSURE, helix=0.0):
    """Return the chordal thickness at the reference circle and the height of the tip above that chord, as a pair [mm].

    s̄ = d_v sin ψ, h̄ = h_a + d_v/2 (1 − cos ψ), ψ = (π/2 + 2 x tan α_n) / z_v, d_v = z_v m_n

    addendum  h_a of this tooth above the reference circle [modules], the shift included
    z_v = z / cos³ β is the virtual number of teeth
    """
    upright = teeth / cos(helix) ** 3
    half = (pi / 2.0 + 2.0 * shift * tan(pressure)) / upright
    return module * upright * sin(half), module * (addendum + upright / 2.0 * (1.0 - cos(half)))
