"""The track of a selector drum: its arcs, steepness, least radius, curvature, lands, and the drum about it.

Angles are in radians, lengths in millimetres. Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics import motion_laws
from ledger.mechanics.maths import atan, every, minimum, pi, sin, sqrt, tan
from ledger.mechanics.refusing import refuse

BESIDE, DRUM_INSIDE, SLOT_IN_RAIL = (
    "beside the rails",
    "in a hollow rail, track in the drum",
    "in a hollow rail, slot in the rail",
)
PLACES = (BESIDE, DRUM_INSIDE, SLOT_IN_RAIL)
FULL_TURN, PART_TURN = "full turn", "part of a turn"
POINTS = 96
PERMITTED = {
    "positions": ("Positions", "", 2.0, 100.0),
    "turn": ("Turn from the first position to the last", "rad", 0.05, 2.0 * pi),
    "dwell": ("Share of a step at rest", "", 0.0, 0.95),
    "moves": ("Moves one after the other in a step", "", 1.0, 4.0),
    "travel": ("Travel", "mm", 0.01, 1000.0),
    "arc": ("Arc of a move", "rad", 0.001, 2.0 * pi),
    "radius": ("Mean radius of the track", "mm", 0.001, 10_000.0),
    "limit": ("Limiting pressure angle", "rad", pi / 180.0, 80.0 * pi / 180.0),
    "factor": ("Velocity factor of the motion law", "", 1.0, 10.0),
    "pin": ("Diameter of the pin", "mm", 0.0, 1000.0),
    "depth": ("Depth of the track", "mm", 0.0, 1000.0),
    "wall": ("Wall of the hollow rail", "mm", 0.0, 1000.0),
    "gap": ("Gap between drum and bore", "mm", 0.0, 100.0),
}


def step_angle(positions, full, turn=2.0 * pi):
    """Return the angle from one position to the next [rad].

    2π / n where the positions share a full turn (whether or not the drum is ever turned on from the last to the
    first); turn / (n - 1) where they lie on a part of a turn, first and last at its ends.

    positions  n, 2 to 100
    full       whether they share a full turn
    turn       angle from the first to the last [rad], 0.05 to 2π; used for a part of a turn only
    """
    refuse(PERMITTED, positions=positions, turn=turn)
    return 2.0 * pi / positions if full else turn / (positions - 1.0)


def move_arc(step, dwell, moves=1):
    """Return the arc of one move [rad]: β = φ (1 - d) / k.

    step   φ, from one position to the next [rad], above 0
    dwell  d, share of the step in which no fork moves [-], 0 to 0.95
    moves  k, moves one after the other within a step, 1 to 4
    """
    refuse(PERMITTED, arc=step, dwell=dwell, moves=moves)
    return step * (1.0 - dwell) / moves


def pressure_angle(travel, arc, radius, velocity_factor):
    """Return the greatest pressure angle of a drum track [rad].

    tan α = C_v h / (r β): the steepest slope of the developed track

    travel           h, axial travel of the follower [mm], above 0
    arc              β, drum rotation that makes the travel [rad], above 0
    radius           r, mean radius of the track [mm], above 0
    velocity_factor  C_v, of the motion law [-], 1 and above

    Source: Norton, Cam Design and Manufacturing Handbook, 2nd ed. (2009), ch. 7.
    """
    refuse(PERMITTED, travel=travel, arc=arc, radius=radius, factor=velocity_factor)
    return atan(velocity_factor * travel / (radius * arc))


def least_radius(travel, arc, limit, velocity_factor):
    """Return the least mean radius at which the pressure angle does not exceed its limit [mm].

    r = C_v h / (β tan α_max); the inverse of `pressure_angle`

    limit  α_max [rad], 1° to 80°
    """
    refuse(PERMITTED, travel=travel, arc=arc, limit=limit, factor=velocity_factor)
    return velocity_factor * travel / (arc * tan(limit))


def least_arc(travel, radius, limit, velocity_factor):
    """Return the least arc of a move at which the pressure angle does not exceed its limit [rad]."""
    refuse(PERMITTED, travel=travel, radius=radius, limit=limit, factor=velocity_factor)
    return velocity_factor * travel / (radius * tan(limit))


def most_positions(arc, dwell, moves=1):
    """Return how many positions of that arc a move share a full turn; not rounded: n = 2π (1 - d) / (k β)."""
    refuse(PERMITTED, dwell=dwell, moves=moves)
    return 2.0 * pi * (1.0 - dwell) / (moves * arc)


def curvature_radius(law, travel, arc, radius):
    """Return the least radius of curvature of the developed path of the pin [mm].

    ρ = (1 + t²)^(3/2) (r β)² / (h |a(z)|), least over the move, with the slope t = h v(z) / (r β), at 97 points. A
    track whose ρ is below half the pin's width cannot be cut: the tool destroys the corner (undercut).

    Errors: ValueError for the uniform law, whose path has corners.
    Source: differential geometry of the developed track; Norton, Cam Design and Manufacturing Handbook, ch. 7.
    """
    refuse(PERMITTED, travel=travel, arc=arc, radius=radius)
    motion_laws.acceleration_factor(law)
    run = radius * arc
    steepness = travel / run
    least = None
    for _, _, speed, bend in motion_laws.points(law, POINTS // 2, 0.5):
        if abs(bend) < 1e-9:
            continue
        rise = 1.0 + (steepness * speed) ** 2
        one = rise * sqrt(rise) / abs(bend)
        least = one if least is None else minimum(least, one)
    return least * run / steepness


def ramp_spacing(step, arc, moves, steps=1, later=-1):
    """Return the angle between the middles of two ramps of one track [rad]: i φ + j (k - 1) β.

    step   φ, from one position to the next [rad]
    arc    β, of a move [rad]
    moves  k, moves one after the other within a step
    steps  i, 1 where the ramps lie in neighbouring steps
    later  j: -1 where the first ramp has the last share of its step and the second the first of its own (the nearest
           that they come); 0 where both have the same share; 1 the other way round
    """
    refuse(PERMITTED, arc=arc, moves=moves)
    return steps * step + later * (moves - 1.0) * arc


def land(radius, spacing, pin, angle):
    """Return the land between two ramps of one track, out and back, along the circumference at half travel [mm].

    b = r ψ - w / sin α: the middles of the ramps are ψ apart (`ramp_spacing`), a groove of width w at the angle α takes
    w / sin α of the circumference. Below zero the ramps run into each other.

    angle  α, at the steepest place, as `pressure_angle` gives it [rad], above 0

    Source: geometry of the developed track.
    """
    refuse(PERMITTED, radius=radius, pin=pin)
    return radius * spacing - pin / sin(angle)


def land_of_pair(law, pair, travel, arc, radius, spacing, pin):
    """Return the land between two ramps of different travel, at half the travel of the shorter one [mm].

    b = r (ψ - Σ β (1/2 - z)) - Σ w / (2 sin α), over both ramps: each is crossed at the share z of its arc at which it
    is half the shorter travel from the stand that both share, with the slope tan α = h v(z) / (r β) there. Of two equal
    ramps z is 1/2, and it is `land`.

    pair    both moves, in travels; floats above 0
    travel  of a move of one travel [mm]
    radius  r, at that place [mm]

    Source: geometry of the developed track.
    """
    refuse(PERMITTED, travel=travel, radius=radius, arc=arc, pin=pin)
    left = radius * spacing
    for move in pair:
        share = motion_laws.share_at(law, min(pair) / move / 2.0)
        slope = move * travel * float(motion_laws.velocity(law, share)) / (radius * arc)
        left = left - radius * arc * (0.5 - share) - pin * sqrt(1.0 + 1.0 / slope**2) / 2.0
    return left


def slot_bridge(radius, turn, pin):
    """Return what is left of the rail between the two ends of a slot, along the circumference [mm]: r (2π - θ) - w."""
    refuse(PERMITTED, radius=radius, turn=turn, pin=pin)
    return radius * (2.0 * pi - turn) - pin


def outside_diameter(place, radius, depth, wall=0.0, gap=0.0):
    """Return the outside diameter of the drum, or of the hollow rail around it [mm].

    beside the rails       2 r + t
    track in a drum inside 2 r + t + 2 g + 2 s
    slot in the rail       2 r + s

    radius  r, to the middle of the contact between pin and track [mm]
    depth   t, of the track [mm]; of a slot it is the wall, and not used
    wall    s, of the hollow rail [mm]
    gap     g, between drum and bore [mm]
    """
    refuse(PERMITTED, [_unknown(place)], radius=radius, depth=depth, wall=wall, gap=gap)
    if place == BESIDE:
        return 2.0 * radius + depth
    return 2.0 * radius + (wall if place == SLOT_IN_RAIL else depth + 2.0 * gap + 2.0 * wall)


def radius_in_bore(place, bore, depth, wall=0.0, gap=0.0):
    """Return the radius to the middle of the contact between pin and track, from the bore of a hollow rail [mm]."""
    said = ["A drum beside the rails lies in no bore; state the mean radius."] if place == BESIDE else []
    refuse(PERMITTED, [*said, _unknown(place)], depth=depth, wall=wall, gap=gap)
    radius = (bore + wall) / 2.0 if place == SLOT_IN_RAIL else bore / 2.0 - gap - depth / 2.0
    refuse(PERMITTED, radius=radius)
    return radius


def bore_of_rail(outside, wall):
    """Return the bore of a hollow rail [mm]: D - 2 s."""
    return outside - 2.0 * wall


def bottom_angle(angle, radius, depth):
    """Return the pressure angle at the bottom of the track, where the radius is least [rad].

    tan α_b = tan α · r / (r - t / 2)

    Errors: ValueError where the track is as deep as the drum.
    """
    if not every(radius > depth / 2.0):
        raise ValueError("The track is deeper than the drum is thick; state a smaller depth or a larger radius.")
    return atan(tan(angle) * radius / (radius - depth / 2.0))


def drum_length(tracks, swing, pin, wall):
    """Return the least length of a drum whose tracks lie side by side [mm]: n (s + w) + (n + 1) b.

    tracks  n
    swing   s, from one end of a track's travel to the other [mm]
    pin     w, width of the track [mm]
    wall    b, between tracks and at the ends [mm]
    """
    return tracks * (swing + pin) + (tracks + 1.0) * wall


def pin_in_drum(radius, pin):
    """Return "", or in words that a pin is thicker than the drum: w > 2 r."""
    if every(pin <= 2.0 * radius):
        return ""
    return "The pin is thicker than the drum at its mean radius; state a smaller pin or a larger radius."


def _unknown(place):
    return "" if place in PLACES else f"{place!r} given for the place; known are {', '.join(PLACES)}."
