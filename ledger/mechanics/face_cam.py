"""Grooves in the face of a disc: a follower moved along a radius of a turning disc.

The groove's middle runs at r(θ) = r_1 + h s(θ/β), so the slope against the circle, dr / (r dθ), is steeper inside than
outside; the steepest place lies a little before the middle of the move. Angles in radians, lengths in millimetres.
"""

from __future__ import annotations

from ledger.mechanics import motion_laws
from ledger.mechanics.drum_track import PERMITTED as TRACK
from ledger.mechanics.maths import atan, maximum, minimum, sqrt, tan
from ledger.mechanics.refusing import refuse

POINTS = 96
FINE_POINTS = 288
PERMITTED = {
    **{name: TRACK[name] for name in ("travel", "arc", "limit", "pin")},
    "radius": ("Least radius of the groove's middle", "mm", 0.001, 10_000.0),
    "swing": ("Swing of a groove", "mm", 0.01, 2000.0),
    "land": ("Land between grooves", "mm", 0.0, 1000.0),
    "rim": ("Rim outside the last groove", "mm", 0.0, 1000.0),
}


def pressure_angle(law, travel, arc, radius):
    """Return the greatest pressure angle of a radial follower in a groove [rad].

    tan α = (h/β) v(z) / (r_1 + h s(z)), greatest over z, at 289 points of the first half (the second half is flatter:
    same v, larger radius); the tangent is too small by one part in ten thousand at the most where r_1 is a tenth of h
    or more

    law     motion law
    travel  h, radial travel [mm], above 0
    arc     β, rotation that makes it [rad], above 0
    radius  r_1, least radius of the groove's middle [mm], above 0

    Source: Norton, Cam Design and Manufacturing Handbook, 2nd ed. (2009), ch. 7, without eccentricity.
    """
    refuse(PERMITTED, travel=travel, arc=arc, radius=radius)
    out = radius / travel
    steepest = 0.0
    for _, share, speed, _ in motion_laws.points(law, FINE_POINTS, 0.5):
        steepest = maximum(steepest, speed / (out + share))
    return atan(steepest / arc)


def least_radius(law, travel, arc, limit):
    """Return the least radius of the groove's middle at which the pressure angle does not exceed its limit [mm].

    r_1 = max over z of h (v(z) / (β tan α_max) - s(z)); the inverse of `pressure_angle`, at the same points

    limit  α_max [rad], 1° to 80°
    """
    refuse(PERMITTED, travel=travel, arc=arc, limit=limit)
    slope = 1.0 / (arc * tan(limit))
    least = None
    for _, share, speed, _ in motion_laws.points(law, FINE_POINTS, 0.5):
        one = speed * slope - share
        least = one if least is None else maximum(least, one)
    return travel * least


def curvature_radius(law, travel, arc, radius):
    """Return the least radius of curvature of the groove's middle, bends of either hand [mm].

    ρ = (r² + r'²)^(3/2) / |r² + 2 r'² - r r''|, least over the whole move, at 97 points

    Errors: ValueError for the uniform law, whose path has corners.
    Source: curvature of a plane curve in polar coordinates; Norton, Cam Design and Manufacturing Handbook, ch. 7.
    """
    refuse(PERMITTED, travel=travel, arc=arc, radius=radius)
    motion_laws.acceleration_factor(law)
    sharpest = 0.0
    first, second = travel / arc, travel / arc**2
    for _, share, speed, bend in motion_laws.points(law, POINTS):
        out = radius + travel * share
        slope, turn = first * speed, second * bend
        length = out * out + slope * slope
        curved = out * out + 2.0 * slope * slope - out * turn
        sharpest = maximum(sharpest, maximum(curved, -curved) / (length * sqrt(length)))
    return 1.0 / sharpest


def groove_radius(first, place, swing, pin, land):
    """Return the least radius of the middle of a groove outside others [mm]: r_1 + i (s + w + b).

    first  r_1 of the innermost groove [mm]
    place  i, grooves inside it
    swing  s, from one end of a groove's travel to the other [mm]
    pin    w, width of a groove [mm]
    land   b, left between grooves [mm]
    """
    refuse(PERMITTED, radius=first, swing=swing, pin=pin, land=land)
    return first + place * (swing + pin + land)


def disc_diameter(first, grooves, swing, pin, land, rim):
    """Return the diameter of a disc with grooves inside one another on a face [mm].

    D = 2 (r_last + s + w/2 + e), with the rim e outside the last groove
    """
    refuse(PERMITTED, rim=rim)
    return 2.0 * (groove_radius(first, grooves - 1, swing, pin, land) + swing + pin / 2.0 + rim)


def largest_hub(first, pin):
    """Return the largest diameter of a hub within the innermost groove [mm]: 2 r_1 - w, zero where there is none."""
    return maximum(2.0 * first - pin, 0.0)


def land_between_moves(radius, travel, spacing, pin, angle):
    """Return the land between two ramps of one groove, out and back, along the circle at half travel [mm].

    b = (r_1 + h/2) ψ - w / sin α; below zero the ramps run into each other. See `drum_track.land`.
    """
    slope = tan(angle)
    return (radius + travel / 2.0) * spacing - pin * sqrt(1.0 + slope * slope) / minimum(slope, 1e9)
