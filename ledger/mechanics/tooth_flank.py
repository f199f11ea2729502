"""Pressure between the flanks of a pair of external gears, after Hertz.

Angles in radians, lengths in mm, stresses in MPa. Values are floats or arrays of draws of one shape.

Method: ISO 6336-2:2006, Method B, clauses 6 to 9: pressure at the pitch point, then at the inner point where a lone
pair carries the load, on the pinion's and on the wheel's side.
"""

from __future__ import annotations

from ledger.mechanics.hertz import joint_stiffness
from ledger.mechanics.maths import cos, maximum, minimum, pi, sin, sqrt, tan, where


def zone_factor(base_helix, transverse, working):
    """Return the zone factor, curvature at the pitch point [-]: Z_H = √(2 cos β_b cos α_wt / (cos² α_t sin α_wt)).

    transverse, working  α_t and α_wt [rad]
    """
    return sqrt(2.0 * cos(base_helix) * cos(working) / sin(working)) / cos(transverse)


def elasticity_factor(elasticity_1, poisson_1, elasticity_2, poisson_2):
    """Return the elasticity factor [√MPa]: Z_E = √(E*/π), E* of both materials together; 189.8 for steel on steel."""
    return sqrt(joint_stiffness(elasticity_1, poisson_1, elasticity_2, poisson_2) / pi)


def contact_ratio_factor(contact_ratio, overlap):
    """Return the contact ratio factor, load spread over the lines of contact [-].

    Z_ε = √( (4 − ε_α)/3 · (1 − ε_β) + ε_β/ε_α ) with ε_β at most 1: for spur gears √((4 − ε_α)/3), beyond an overlap of
    one √(1/ε_α). Contact ratios count from 1 to 2.5.
    """
    ratio = minimum(maximum(contact_ratio, 1.0), 2.5)
    lapped = minimum(overlap, 1.0)
    return sqrt((4.0 - ratio) / 3.0 * (1.0 - lapped) + lapped / ratio)


def leaning_factor(helix):
    """Return the helix angle factor of flanks [-]: Z_β = 1/√(cos β).

    ISO 6336-2:2006 with its Corrigendum 1:2008 (from memory); DIN 3990 and the edition of 1996 have √(cos β), by which
    older worked examples are lower.
    """
    return 1.0 / sqrt(cos(helix))


def inner_point_factor(wheel, mate, working, contact_ratio, overlap):
    """Return the factor from the pitch point to where a lone pair presses nearest to this wheel's root [-].

    M = tan α_wt / √( [√(d_a²/d_b² − 1) − 2π/z] · [√(d_a'²/d_b'² − 1) − (ε_α − 1) 2π/z'] ), primes for the mate
    Z = max(1, M) for spur gears, max(1, M − ε_β (M − 1)) for an overlap below one, 1 beyond it

    wheel, mate  dicts of `teeth` z, `active_tip` d_a and `base` d_b, as of `gear_pair`: the tip, or less where the
                 other wheel's flank begins too high for it

    Z_B of ISO 6336-2 for the pinion, Z_D with the roles changed for the wheel. Contact ratios count from 1 to 2. Where
    that point would lie within a base circle, a tip digging into its mate, pressure has no bound; the factor is 1000.
    """
    shared = minimum(maximum(contact_ratio, 1.0), 2.0) - 1.0
    own = sqrt(maximum((wheel["active_tip"] / wheel["base"]) ** 2 - 1.0, 0.0)) - 2.0 * pi / wheel["teeth"]
    far = sqrt(maximum((mate["active_tip"] / mate["base"]) ** 2 - 1.0, 0.0)) - shared * 2.0 * pi / mate["teeth"]
    curved = maximum(own * where(own > 0, far, 0.0), (tan(working) / 1000.0) ** 2)
    single = tan(working) / sqrt(curved)
    return maximum(single - minimum(overlap, 1.0) * (single - 1.0), 1.0)


def pitch_point_pressure(force, width, diameter, ratio, zone, elastic, spread=1.0, leaning=1.0):
    """Return the nominal pressure at the pitch point [MPa]: σ_H0 = Z_H Z_E Z_ε Z_β √( F_t/(d1 b) · (u + 1)/u ).

    force     F_t at the reference circle [N]
    width     b, and diameter d1 of wheel 1's reference circle [mm]
    ratio     u = z2/z1
    """
    return zone * elastic * spread * leaning * sqrt(force / (diameter * width) * (ratio + 1.0) / ratio)
