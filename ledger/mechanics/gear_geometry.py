"""Geometry of external involute gears and of a pair on one centre distance, spur and helical.

Throughout: `module` is the normal module m_n [mm], `teeth` z, `shift` the profile shift coefficient x [-] (on m_n),
`pressure` the normal pressure angle α_n and `helix` the helix angle β at the reference circle, both in radians; lengths
in mm. Values are floats or arrays of draws of one shape. Sizes of single teeth stand in `tooth_sizes`, and can be had
from here too.

Source of all: ISO 21771-1:2024 (as DIN 3960:1987), in whose terms the same formulas stand in the Gear Technical
Reference of KHK, chapter 4, whose examples the tests follow.
"""

from __future__ import annotations

from ledger.mechanics.involute import inv, inverse_inv
from ledger.mechanics.maths import acos, atan, cos, every, maximum, minimum, pi, sin, sqrt, tan
from ledger.mechanics.tooth_sizes import (
    PRESSURE,
    chordal_thickness,
    over_pins,
    span,
    spanned_teeth,
    tooth_thickness,
    transverse_angle,
)

__all__ = [
    "PRESSURE", "active_reach", "backlash", "base_diameter", "base_helix", "base_pitch", "centre_distance",
    "chordal_thickness", "contact_ratio", "inv", "inverse_inv", "over_pins", "overlap_ratio",
    "path_of_contact", "pitch_diameter", "profile_shift_sum", "reference_diameter", "root_diameter",
    "span", "spanned_teeth", "tip_diameter", "tip_shortening", "tooth_thickness", "transverse_angle", "undercut_limit",
    "working_angle", "working_angle_at",
]  # fmt: skip


def reference_diameter(module, teeth, helix=0.0):
    """Return the reference diameter [mm]: d = z m_n / cos β."""
    return teeth * module / cos(helix)


def base_diameter(module, teeth, pressure=PRESSURE, helix=0.0):
    """Return the diameter of the base circle [mm]: d_b = d cos α_t."""
    return reference_diameter(module, teeth, helix) * cos(transverse_angle(pressure, helix))


def base_helix(pressure=PRESSURE, helix=0.0):
    """Return the helix angle on the base cylinder [rad]: tan β_b = tan β cos α_t."""
    return atan(tan(helix) * cos(transverse_angle(pressure, helix)))


def base_pitch(module, pressure=PRESSURE, helix=0.0):
    """Return the transverse base pitch [mm]: p_bt = π m_n cos α_t / cos β."""
    return pi * module * cos(transverse_angle(pressure, helix)) / cos(helix)


def working_angle(first, second, shift_sum, pressure=PRESSURE, helix=0.0):
    """Return the transverse working pressure angle of a pair without backlash, from its profile shifts [rad].

    inv α_wt = inv α_t + 2 (x1 + x2) tan α_n / (z1 + z2)

    first, second  z1, z2
    shift_sum      x1 + x2 [-]

    Errors: ValueError where the shifts are so negative that no such pair meshes.
    """
    value = inv(transverse_angle(pressure, helix)) + 2.0 * shift_sum * tan(pressure) / (first + second)
    if not every(value >= 0):
        raise ValueError("The profile shifts are so negative that no working angle exists.")
    return inverse_inv(value)


def centre_distance(module, first, second, shift_sum=0.0, pressure=PRESSURE, helix=0.0):
    """Return the centre distance of a pair without backlash [mm]: a = (z1 + z2) m_n / (2 cos β) · cos α_t / cos α_wt.

    Errors: as `working_angle`.
    """
    turned = cos(transverse_angle(pressure, helix)) / cos(working_angle(first, second, shift_sum, pressure, helix))
    return (first + second) * module / (2.0 * cos(helix)) * turned


def working_angle_at(distance, module, first, second, pressure=PRESSURE, helix=0.0):
    """Return the transverse working pressure angle of a pair at a given centre distance [rad].

    cos α_wt = (d_b1 + d_b2) / (2 a)

    Errors: ValueError where the centre distance is less than the base circles need.
    """
    share = base_diameter(module, first + second, pressure, helix) / (2.0 * distance)
    if not every((share > 0) & (share <= 1)):
        raise ValueError("The centre distance is smaller than the base circles of the pair.")
    return acos(share)


def profile_shift_sum(distance, module, first, second, pressure=PRESSURE, helix=0.0):
    """Return the sum of profile shifts with which a pair closes a centre distance without backlash [-].

    x1 + x2 = (z1 + z2) (inv α_wt − inv α_t) / (2 tan α_n)

    Errors: as `working_angle_at`.
    """
    working = working_angle_at(distance, module, first, second, pressure, helix)
    return (first + second) * (inv(working) - inv(transverse_angle(pressure, helix))) / (2.0 * tan(pressure))


def pitch_diameter(distance, teeth, mate):
    """Return the diameter of the circle on which a wheel rolls at a centre distance [mm]: d_w = 2 a z / (z + z')."""
    return 2.0 * distance * teeth / (teeth + mate)


def tip_shortening(module, first, second, shift_sum, distance, helix=0.0):
    """Return by how much tips are cut back so that the tip clearance stays that of the rack [mm], zero or more.

    k = (x1 + x2) m_n − (a − a_0), a_0 = (z1 + z2) m_n / (2 cos β)
    """
    return maximum(shift_sum * module - (distance - reference_diameter(module, first + second, helix) / 2.0), 0.0)


def tip_diameter(module, teeth, shift=0.0, shortening=0.0, addendum=1.0, helix=0.0):
    """Return the tip diameter [mm]: d_a = d + 2 m_n (h_aP* + x) − 2 k, with the rack's addendum h_aP* in modules."""
    return reference_diameter(module, teeth, helix) + 2.0 * module * (addendum + shift) - 2.0 * shortening


def root_diameter(module, teeth, shift=0.0, dedendum=1.25, helix=0.0):
    """Return the root diameter [mm]: d_f = d − 2 m_n (h_fP* − x), with the rack's dedendum h_fP* in modules."""
    return reference_diameter(module, teeth, helix) - 2.0 * module * (dedendum - shift)


def backlash(distance, module, first, second, shift_sum, working, pressure=PRESSURE, helix=0.0):
    """Return the backlash on the pitch circles at a given centre distance [mm]; below zero the teeth would jam.

    j_wt = 2a/(z1 + z2) · [(z1 + z2)(inv α_wt − inv α_t) − 2 (x1 + x2) tan α_n], the pitch there less both thicknesses

    working  α_wt at that distance [rad]
    """
    turned = (first + second) * (inv(working) - inv(transverse_angle(pressure, helix)))
    return 2.0 * distance / (first + second) * (turned - 2.0 * shift_sum * tan(pressure))


def active_reach(tip, base, whole, start=0.0):
    """Return how far up a flank is used [mm], along the line of action from where its own base circle is touched.

    ρ = min(√(r_a² − r_b²), a sin α_wt − ρ_F'), zero or more: up to the tip, or to where the mate's flank begins

    whole  a sin α_wt [mm], between the places where the base circles are touched
    start  ρ_F' [mm] of the mate, see `tooth_root.flank_start`; 0 if its flank begins at its base circle
    """
    return maximum(minimum(sqrt(tip * tip - base * base) / 2.0, whole - start), 0.0)


def path_of_contact(tip_1, tip_2, base_1, base_2, distance, working, start_1=0.0, start_2=0.0):
    """Return the length of approach and of recess on the line of action [mm], wheel 1 driving.

    approach  g_f = √(r_a2² − r_b2²) − r_w2 sin α_wt, at most up to where the flank of wheel 1 begins
    recess    g_a = √(r_a1² − r_b1²) − r_w1 sin α_wt, likewise

    start_1, start_2  ρ_F from each base circle's touching point to where its flank begins [mm]; 0: at the base circle

    Errors: ValueError where a tip circle is smaller than its base circle.
    """
    if not every((tip_1 > base_1) & (tip_2 > base_2)):
        raise ValueError("A tip circle is smaller than its base circle; there is no flank.")
    whole = distance * sin(working)
    pitch_1 = base_1 / 2.0 * tan(working)
    pitch_2 = whole - pitch_1
    reach_1 = active_reach(tip_1, base_1, whole, start_2)
    reach_2 = active_reach(tip_2, base_2, whole, start_1)
    return reach_2 - pitch_2, reach_1 - pitch_1


def contact_ratio(tip_1, tip_2, base_1, base_2, distance, working, pitch, start_1=0.0, start_2=0.0):
    """Return the transverse contact ratio [-]: ε_α = (g_f + g_a) / p_bt, zero where no flank is left to touch.

    pitch    p_bt [mm]; working  α_wt [rad]; the rest as of `path_of_contact`

    Errors: as `path_of_contact`.
    """
    approach, recess = path_of_contact(tip_1, tip_2, base_1, base_2, distance, working, start_1, start_2)
    return maximum(approach + recess, 0.0) / pitch


def overlap_ratio(width, module, helix):
    """Return the overlap ratio [-]: ε_β = b sin β / (π m_n), zero for a spur gear."""
    return width * sin(helix) / (pi * module)


def undercut_limit(teeth, addendum=1.0, pressure=PRESSURE, helix=0.0):
    """Return the least profile shift without undercut [-]: x = h* − z sin² α_t / (2 cos β).

    addendum  h* [modules], the straight part of the cutting rack below its datum line: h_fP* − ρ_fP* (1 − sin α_n),
              which is 1 for a usual rack
    """
    return addendum - teeth * sin(transverse_angle(pressure, helix)) ** 2 / (2.0 * cos(helix))
