"""By what a finished external involute wheel is checked, and how its pair's profile shifts are divided.

Terms and units as in `gear_geometry`: normal module and lengths in mm, angles in radians, profile shift on the module.
Values are floats or arrays of draws of one shape. Thinner teeth are cut by setting the tool deeper, so every size of a
thinned wheel is that of the shift it is generated with (`generating_shift`), but for its tip.

Source of all: ISO 21771-1:2024 and ISO 21771-2 (as DIN 3960:1987), in whose terms the same formulas stand in the Gear
Technical Reference of KHK, chapter 5, whose examples the tests follow.
"""

from __future__ import annotations

from ledger.mechanics.gear_geometry import base_diameter, base_helix, reference_diameter, undercut_limit
from ledger.mechanics.involute import inv, inverse_inv
from ledger.mechanics.maths import absolute, acos, cos, maximum, minimum, pi, sqrt, tan, where
from ledger.mechanics.tooth_sizes import PRESSURE, pin_seat, span, spanned_teeth, transverse_angle

# Nominal diameters of hardened dowel pins, ISO 8734:1997 (from memory). Balls for bearings are had in these sizes too.
PINS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0)
LEAST_SPANNED = 2
NEWTON_STEPS = 8
BALANCE = 0.5
STANDING_OUT = 0.1
SAME = 1e-9


def generating_shift(shift, thinning, module, pressure=PRESSURE):
    """Return the profile shift a wheel is generated with so that its teeth come out thinner [-].

    x_E = x − A / (2 m_n tan α_n)

    thinning  A, by how much each tooth is thinner, square to the tooth, along the reference circle [mm], 0 and above

    Source: DIN 3960:1987, 4.2.2 (from memory): x_E = x + A_s / (2 m_n tan α_n), with the allowance A_s negative.
    """
    return shift - thinning / (2.0 * module * tan(pressure))


def thinning_for(play, working, pressure=PRESSURE, helix=0.0):
    """Return by how much each of two equal allowances thins a tooth for a backlash on the pitch circles [mm].

    A = j_wt / 2 · cos α_wt / cos α_t · cos β: a thickness on the reference circle, turned square to the tooth; the
    backlash along the line of action, j_wt cos α_wt, is the same seen from either circle

    play     j_wt, along the pitch circles [mm]
    working  α_wt [rad], at the centre distance without backlash
    """
    return play / 2.0 * cos(working) / cos(transverse_angle(pressure, helix)) * cos(helix)


def chosen_span(module, teeth, shift, form, tip, pressure=PRESSURE, helix=0.0):
    """Return over how many teeth to span [-], a whole number, 0 where no span from 2 teeth on touches the flank.

    Of the k that touch strictly between form and tip circle, d_Ff < d_W < d_a, the one nearest to `spanned_teeth`,
    whose faces touch on the circle d + 2 x m_n, at mid-height of the tooth; halfway, the greater. Where that circle
    lies within the base circle, the fewest.

    form, tip  d_Ff, d_a [mm]
    """
    base, lean = base_diameter(module, teeth, pressure, helix), base_helix(pressure, helix)
    pitch = module * cos(pressure) * pi
    rest = span(module, teeth, shift, 0.0, pressure, helix)

    def spans(diameter):
        return (sqrt(maximum(diameter * diameter - base * base, 0.0)) / cos(lean) - rest) / pitch

    least = maximum(spans(form) // 1.0 + 1.0, LEAST_SPANNED)
    most = -((-spans(tip)) // 1.0) - 1.0
    lowest = teeth * (cos(transverse_angle(pressure, helix)) - 1.0) / (2.0 * cos(helix)) + SAME
    wanted = (spanned_teeth(teeth, maximum(shift, lowest), pressure, helix) + 0.5 + SAME) // 1.0
    return where(least <= most, minimum(maximum(wanted, least), most), 0.0)


def pin_touch(module, teeth, shift, pin, pressure=PRESSURE, helix=0.0):
    """Return the diameter of the circle on which a pin or ball touches the flanks of its space [mm].

    d_K = √(d_b² + (d_b tan φ − d_p cos β_b)²), φ of `pin_seat`; a pin too thin for the flanks gives that of φ = 0

    pin  d_p [mm]
    """
    base = base_diameter(module, teeth, pressure, helix)
    seat = inverse_inv(maximum(pin_seat(module, teeth, shift, pin, pressure, helix), 0.0))
    reach = base * tan(seat) - pin * cos(base_helix(pressure, helix))
    return sqrt(base * base + reach * reach)


def ideal_pin(module, teeth, shift=0.0, pressure=PRESSURE, helix=0.0):
    """Return the diameter of the pin or ball that touches the flanks on the circle d + 2 x m_n, at mid-height [mm].

    η = π/(2z) − inv α_t − 2 x tan α_n / z, half the space on the base circle; tan α' the touching point's roll angle;
    φ + (tan φ − tan α') tan² β_b = tan α' + η; d_p = d_b (tan φ − tan α') / cos β_b. Of a spur wheel φ = tan α' + η.

    Source: as Gear Technical Reference of KHK, "Size of pin which meshes at d + 2 x m" (m 1, z 20: 1.7245 mm); for
    helical wheels here without its detour over the virtual spur wheel.
    """
    turned, lean = transverse_angle(pressure, helix), base_helix(pressure, helix)
    base = base_diameter(module, teeth, pressure, helix)
    touched = reference_diameter(module, teeth, helix) + 2.0 * shift * module
    rolled = tan(acos(minimum(base / touched, 1.0)))
    half = pi / (2.0 * teeth) - inv(turned) - 2.0 * shift * tan(pressure) / teeth
    steep = tan(lean) ** 2
    seat = rolled + half
    for _ in range(NEWTON_STEPS):
        over = seat + (tan(seat) - rolled) * steep - rolled - half
        seat = seat - over / (1.0 + steep / cos(seat) ** 2)
    return base * (tan(seat) - rolled) / cos(lean)


def chosen_pin(module, teeth, shift, form, tip, root, pins=PINS, pressure=PRESSURE, helix=0.0):
    """Return the pin or ball out of a set that serves best [mm], 0 where none serves.

    Of those that touch strictly between form and tip circle, make a size at least a tenth of a module above the tip
    diameter and do not reach the root, the one nearest in size to `ideal_pin`; of two as near, the thinner. Measure the
    pins: dowels are a few µm above their nominal size, and a pin thicker by δ raises the size over two of them by
    (1 + c / sin φ) δ, with φ and c of `over_pins`.

    form, tip, root  d_Ff, d_a, d_f [mm]; pins  diameters [mm], smallest first
    """
    ideal = ideal_pin(module, teeth, shift, pressure, helix)
    base = base_diameter(module, teeth, pressure, helix)
    across = where(teeth % 2 == 0, 1.0, cos(pi / (2.0 * teeth)))
    least = tip + STANDING_OUT * module
    best, missed = 0.0 * ideal, 0.0 * ideal + 1e9
    for pin in pins:
        value = pin_seat(module, teeth, shift, pin, pressure, helix)
        middle = base / cos(inverse_inv(maximum(value, 0.0)))
        touched = pin_touch(module, teeth, shift, pin, pressure, helix)
        serves = (
            (value > 0) & (touched > form) & (touched < tip) & (middle * across + pin >= least) & (middle - pin > root)
        )
        nearer = serves & (absolute(pin - ideal) < missed - SAME)
        best, missed = where(nearer, pin, best), where(nearer, absolute(pin - ideal), missed)
    return best


def split_shifts(total, first, second, straight=1.0, pressure=PRESSURE, helix=0.0, allowance_1=0.0, allowance_2=0.0):
    """Return the profile shifts of both wheels that add up to a sum, as a pair [-].

    With u = z_g / z_s of the greater over the smaller wheel the smaller one gets

        x_s = 0.5 (u − 1)/(u + 1) + (x1 + x2)/(u + 1)

    and then as much more or less as keeps both from undercut; where the sum is too small for that, both fall short
    of it by the same.

    total        x1 + x2 [-]
    straight     h* of the tool's rack below its datum line, see `undercut_limit` [modules]
    allowance_1  of wheel 1, x − x_E of `generating_shift` [-]; allowance_2 of wheel 2

    Source: the rule of ISO/TR 4467:1982 for speed reducing pairs, λ = 0.5 (from memory); the limits are geometry.
    """
    small = where(first <= second, first, second)
    great = where(first <= second, second, first)
    ratio = great / small
    own = BALANCE * (ratio - 1.0) / (ratio + 1.0) + total / (ratio + 1.0)
    shift = where(first <= second, own, total - own)
    least_1 = undercut_limit(first, straight, pressure, helix) + allowance_1
    least_2 = undercut_limit(second, straight, pressure, helix) + allowance_2
    spare = total - least_1 - least_2
    kept = minimum(maximum(shift, least_1), total - least_2)
    shift = where(spare >= 0, kept, least_1 + spare / 2.0)
    return shift, total - shift


def active_start(base, mate_tip, mate_base, whole):
    """Return the diameter down to which a flank is touched by the tips of its mate [mm], and how far that is [mm].

    ρ_Nf = a sin α_wt − √(r_a'² − r_b'²), d_Nf = √(d_b² + 4 ρ_Nf²); below zero the mate's tips reach beyond the line of
    action, and d_Nf is the base circle

    whole  a sin α_wt [mm]

    Source: ISO 21771-1:2024, start of active profile.
    """
    reach = whole - sqrt(mate_tip * mate_tip - mate_base * mate_base) / 2.0
    return sqrt(base * base + 4.0 * maximum(reach, 0.0) ** 2), reach
