"""Bending of an external gear's tooth at its root, from the fillet that a rack-shaped tool generates.

Lengths here are in normal modules, on the upright tooth: a helical wheel is replaced by the spur wheel whose tooth it
shows in its normal section (`virtual_teeth`). `radius` is the tip rounding of the tool ρ_fP*, `dedendum` its h_fP*,
both in modules; angles in radians. Values are floats or arrays of draws of one shape.

Method: ISO 6336-3:2006, Method B, clauses 6 to 8, for external gears cut by a rack without protuberance, restated from
the geometry; 30° tangent for the critical section, load at the outer point of single pair contact.
"""

from __future__ import annotations

from ledger.mechanics.involute import inv
from ledger.mechanics.maths import acos, atan, cos, every, maximum, minimum, pi, sin, sqrt, tan, where

NEWTON_STEPS = 6
HALVINGS = 44
GREATEST_HELIX = pi / 6.0


def virtual_teeth(teeth, helix, base_helix):
    """Return the teeth of the spur wheel equivalent to a helical one [-]: z_n = z / (cos² β_b cos β)."""
    return teeth / (cos(base_helix) ** 2 * cos(helix))


def tool_land(dedendum, radius, pressure):
    """Return half the flat of the tool's tip between its roundings [modules].

    E = π/4 − h_fP* tan α − ρ* (1 − sin α)/cos α

    Errors: ValueError where the tool's tip is too narrow for its rounding.
    """
    land = pi / 4.0 - dedendum * tan(pressure) - radius * (1.0 - sin(pressure)) / cos(pressure)
    if not every(land >= 0):
        raise ValueError("The tool's tip is too narrow for its rounding: permit a smaller rounding or dedendum.")
    return land


def rolled_angle(teeth, shift, dedendum, radius, pressure, turn):
    """Return where the tool touches the fillet: the angle of its pitch point from the middle of the tooth [rad].

    ψ = 2/z (π/2 − E − G tan ϑ), with E = π/4 − h_fP* tan α − ρ* (1 − sin α)/cos α and G = ρ* − h_fP* + x: the middle of
    the rounding lies E from the middle of the space and G above the reference circle (below it when negative).

    turn  ϑ, between the common normal there and the radius to the pitch point [rad]

    Errors: ValueError where the tool's tip is too narrow for its rounding.
    """
    land = tool_land(dedendum, radius, pressure)
    return 2.0 / teeth * (pi / 2.0 - land - (radius - dedendum + shift) * tan(turn))


def fillet_point(teeth, shift, dedendum, radius, pressure, turn):
    """Return a point of the fillet: half the tooth's thickness there and its height above the wheel's middle [modules].

    From the pitch point, at z/2 from the middle and ψ from the tooth's, along the common normal by G/cos ϑ − ρ*.
    """
    rolled = rolled_angle(teeth, shift, dedendum, radius, pressure, turn)
    reach = (radius - dedendum + shift) / cos(turn) - radius
    half = teeth / 2.0 * sin(rolled) + reach * sin(rolled + turn)
    return half, teeth / 2.0 * cos(rolled) + reach * cos(rolled + turn)


def flank_turn(teeth, shift, dedendum, radius, pressure):
    """Return ϑ of the fillet's point at which the involute flank takes over [rad].

    Without undercut ϑ = π/2 − α, where the tool's rounding ends. With it the fillet crosses the involute sooner, found
    by halving: beyond the crossing the fillet's angle from the tooth's middle exceeds the involute's at that radius.
    """
    last = pi / 2.0 - pressure
    straight = dedendum - radius * (1.0 - sin(pressure))
    spare = shift - straight + teeth * sin(pressure) ** 2 / 2.0
    if every(spare >= 0):
        return last
    base = teeth * cos(pressure) / 2.0
    foot = (pi / 2.0 + 2.0 * shift * tan(pressure)) / teeth + inv(pressure)
    low, high = 0.0, last
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        half, height = fillet_point(teeth, shift, dedendum, radius, pressure, middle)
        far = sqrt(half * half + height * height)
        flank = maximum(foot - inv(acos(minimum(base / far, 1.0))), 0.0)
        beyond = (far > base) & (atan(half / height) > flank)
        low, high = where(beyond, low, middle), where(beyond, middle, high)
    return where(spare >= 0, last, high)


def flank_start(teeth, shift, dedendum, radius, pressure):
    """Return the radius of curvature of the flank where it begins, at its form circle d_Ff [modules].

    ρ_F = √(d_Ff² − d_b²)/2, without undercut z sin α / 2 − (h* − x) / sin α with the tool's straight part h* below its
    datum line, h* = h_fP* − ρ_fP* (1 − sin α); with undercut, of the crossing of `flank_turn`.

    For a helical wheel of its upright tooth; in its transverse section it is ρ_F cos β_b.
    """
    straight = dedendum - radius * (1.0 - sin(pressure))
    plain = teeth * sin(pressure) / 2.0 - (straight - shift) / sin(pressure)
    if every(plain >= 0):
        return plain
    turn = flank_turn(teeth, shift, dedendum, radius, pressure)
    half, height = fillet_point(teeth, shift, dedendum, radius, pressure, turn)
    base = teeth * cos(pressure) / 2.0
    return where(plain >= 0, plain, sqrt(maximum(half * half + height * height - base * base, 0.0)))


def fillet_radius(teeth, shift, dedendum, radius, turn):
    """Return the radius of curvature of the fillet [modules]: ρ_F = ρ* + 2 G² / (cos ϑ (z cos² ϑ − 2 G)).

    Errors: ValueError where the fillet has no such radius, as with a great shift on very few teeth.
    """
    below = radius - dedendum + shift
    under = cos(turn) * (teeth * cos(turn) ** 2 - 2.0 * below)
    if not every(under > 0):
        raise ValueError("The profile shift is too great for so few teeth: the fillet cannot be generated.")
    return radius + 2.0 * below * below / under


def tangent_turn(teeth, shift, dedendum, radius, pressure, tangent=pi / 6.0):
    """Return ϑ of the fillet's point whose tangent stands at an angle to the tooth's middle [rad].

    Newton's method on ψ(ϑ) + ϑ = π/2 − tangent, a fixed number of steps.
    """
    turn = pi / 6.0
    slope = 2.0 * (radius - dedendum + shift) / teeth
    for _ in range(NEWTON_STEPS):
        over = rolled_angle(teeth, shift, dedendum, radius, pressure, turn) + turn - (pi / 2.0 - tangent)
        turn = turn - over / maximum(1.0 - slope / cos(turn) ** 2, 0.1)
    return turn


def root_section(teeth, shift, dedendum, radius, pressure):
    """Return the critical section: its chord s_Fn, its height above the wheel's middle, and its ρ_F [modules].

    Errors: ValueError where undercut leaves no tooth, and as the functions it is made of.
    """
    turn = tangent_turn(teeth, shift, dedendum, radius, pressure)
    half, height = fillet_point(teeth, shift, dedendum, radius, pressure, turn)
    if not every((half > 0) & (turn > 0) & (turn <= pi / 2.0 - pressure + 0.2)):
        raise ValueError("Undercut, or the shift, leaves no root section with a tangent of 30°.")
    return 2.0 * half, height, fillet_radius(teeth, shift, dedendum, radius, turn)


def outer_point(teeth, tip, contact_ratio, pressure):
    """Return the diameter on which a lone pair presses nearest to the tip [modules].

    d_e = 2 √( (√((d_a/2)² − (d_b/2)²) − π cos α (ε − 1))² + (d_b/2)² ), at most the tip itself

    tip            d_a of the upright tooth [modules]
    contact_ratio  ε of the upright tooth, taken as 1 below 1 and as 2 above 2

    Errors: ValueError where the tip lies within the base circle.
    """
    base = teeth * cos(pressure) / 2.0
    if not every(tip / 2.0 > base):
        raise ValueError("A tip circle is smaller than its base circle; there is no flank.")
    shared = minimum(maximum(contact_ratio, 1.0), 2.0) - 1.0
    rolled = sqrt(tip * tip / 4.0 - base * base) - pi * cos(pressure) * shared
    return 2.0 * sqrt(maximum(rolled, 0.0) ** 2 + base * base)


def load_arm(teeth, shift, pressure, diameter, section_height):
    """Return the arm of bending h_Fe [modules] and the load's angle α_Fen [rad] at a diameter of the upright tooth.

    α_e = arccos(d_b/d_e), γ_e = (π/2 + 2 x tan α)/z + inv α − inv α_e, α_Fen = α_e − γ_e; the line of the load cuts the
    tooth's middle at (d_e/2)(cos γ_e − sin γ_e tan α_Fen), and the arm reaches from there down to the critical section.

    Errors: ValueError where the load passes under the critical section.
    """
    steep = acos(minimum(teeth * cos(pressure) / diameter, 1.0))
    half = (pi / 2.0 + 2.0 * shift * tan(pressure)) / teeth + inv(pressure) - inv(steep)
    lean = steep - half
    arm = diameter / 2.0 * (cos(half) - sin(half) * tan(lean)) - section_height
    if not every(arm > 0):
        raise ValueError("The load passes under the critical section of the root; this is no tooth to bend.")
    return arm, lean


def form_factor(chord, arm, lean, pressure):
    """Return the tooth form factor [-]: Y_F = 6 h_Fe cos α_Fen / (s_Fn² cos α_n); lengths in modules."""
    return 6.0 * arm * cos(lean) / (chord * chord * cos(pressure))


def stress_correction(chord, arm, radius):
    """Return the stress correction factor [-]: Y_S = (1.2 + 0.13 L) q^(1 / (1.21 + 2.3/L)), L = s_Fn/h_Fe.

    q = s_Fn / (2 ρ_F), taken within its stated range 1 to 8
    """
    slender = chord / arm
    notch = minimum(maximum(chord / (2.0 * radius), 1.0), 8.0)
    return (1.2 + 0.13 * slender) * notch ** (1.0 / (1.21 + 2.3 / slender))


def helix_factor(overlap, helix):
    """Return the helix angle factor [-]: Y_β = 1 − ε_β β/120°, with ε_β at most 1 and β at most 30°."""
    return 1.0 - minimum(overlap, 1.0) * minimum(helix, GREATEST_HELIX) / (2.0 * pi / 3.0)


def nominal_stress(force, width, module, form, correction, leaning=1.0):
    """Return the nominal root stress [MPa]: σ_F0 = F_t / (b m_n) · Y_F Y_S Y_β.

    force  F_t at the reference circle [N]
    width  b, and module m_n [mm]
    """
    return force / (width * module) * form * correction * leaning


def bent_tooth(teeth, shift, tip, contact_ratio, dedendum, radius, pressure):
    """Return what bends an upright tooth: chord, arm, fillet radius [modules], lean [rad], form and correction factors.

    Arguments as of `root_section` and `outer_point`. Errors: as the functions it is made of.
    """
    chord, height, rounding = root_section(teeth, shift, dedendum, radius, pressure)
    diameter = outer_point(teeth, tip, contact_ratio, pressure)
    arm, lean = load_arm(teeth, shift, pressure, diameter, height)
    return {
        "chord": chord,
        "section_height": height,
        "rounding": rounding,
        "load_diameter": diameter,
        "arm": arm,
        "lean": lean,
        "form": form_factor(chord, arm, lean, pressure),
        "correction": stress_correction(chord, arm, rounding),
    }
