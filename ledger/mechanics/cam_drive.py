"""Driving a fork by a pin in a turning track: speeds, forces with friction, torque and power, and when it jams.

Lengths in millimetres, angles in radians, times in seconds, forces in newtons, masses in kilograms. Values are floats
or arrays of draws of one shape.
"""

from __future__ import annotations

from itertools import pairwise

from ledger.mechanics import drum_track, motion_laws
from ledger.mechanics.maths import atan, maximum, minimum, pi, sqrt, where
from ledger.mechanics.refusing import refuse

POINTS = 96
LEAST_PUSH = 0.001  # the least share of a pin's push that is computed with: below it the rail jams
PERMITTED = {
    "travel": ("Travel", "mm", 0.01, 1000.0),
    "arc": ("Arc of a move", "rad", 0.001, 2.0 * pi),
    "radius": ("Radius of the track", "mm", 0.001, 10_000.0),
    "duration": ("Time of a move", "s", 0.0001, 60.0),
    "load": ("Force against the fork", "N", 0.0, 1_000_000.0),
    "mass": ("Moving mass", "kg", 0.0, 10_000.0),
    "pin_friction": ("Friction between pin and track", "", 0.0, 1.0),
    "rail_friction": ("Friction between rail and guide", "", 0.0, 1.0),
    "overhang": ("Overhang of the pin beyond the guide", "mm", 0.0, 2000.0),
    "guide": ("Length of the guide", "mm", 0.0, 5000.0),
    "offset": ("Distance across the rail between load and push", "mm", 0.0, 2000.0),
    "inertia": ("Moment of inertia of the drum", "kg·m²", 0.0, 1000.0),
}


def peak_speed(law, travel, duration):
    """Return the greatest speed of the follower [m/s]: C_v h / T."""
    refuse(PERMITTED, travel=travel, duration=duration)
    return motion_laws.velocity_factor(law) * travel / duration / 1000.0


def peak_acceleration(law, travel, duration):
    """Return the greatest acceleration of the follower [m/s²]: C_a h / T²; ValueError for the uniform law."""
    refuse(PERMITTED, travel=travel, duration=duration)
    return motion_laws.acceleration_factor(law) * travel / duration**2 / 1000.0


def peak_jerk(law, travel, duration):
    """Return the greatest jerk of the follower [m/s³]: C_j h / T³; ValueError where the acceleration jumps."""
    refuse(PERMITTED, travel=travel, duration=duration)
    return motion_laws.jerk_factor(law) * travel / duration**3 / 1000.0


def side_share(overhang, guide):
    """Return how many times the side force on the pin presses on the guide: k = (2 A + B) / B [-].

    The side force F acts a length A outside a guide of length B, whose ends press with F A / B and F (A + B) / B. With
    no guide stated (0) it presses once.

    Source: Rothbart (ed.), Cam Design Handbook (2004), ch. 6.
    """
    refuse(PERMITTED, overhang=overhang, guide=guide)
    return 1.0 + 2.0 * where(guide > 0, overhang / maximum(guide, 1e-9), 0.0)


def jamming_angle(pin_friction, rail_friction, share):
    """Return the pressure angle at which friction holds the rail however hard the pin is pushed [rad].

    tan α = (1 - μ_r k μ_p) / (μ_p + μ_r k); without friction at the pin, α = arctan(B / (μ_r (2 A + B)))

    share  k, see `side_share`

    Source: equilibrium of the follower; without friction at the pin Rothbart (ed.), Cam Design Handbook (2004), ch. 6:
    73° for A = B and μ = 0.1.
    """
    refuse(PERMITTED, pin_friction=pin_friction, rail_friction=rail_friction)
    held = rail_friction * share
    return atan(maximum(1.0 - held * pin_friction, 0.0) / maximum(pin_friction + held, 1e-12))


def drive(
    law, travel, arc, duration, radius, load=0.0, mass=0.0, pin_friction=0.0, rail_friction=0.0,
    overhang=0.0, guide=0.0, offset=0.0, outward=0.0,
):  # fmt: skip
    """Return the greatest forces and torques over a move at steady speed of the drum, as a dict.

    At each of 97 points of the move, t = tan α = h v(z) / (β r(z)) and the load L = P + m a h / T². Where it is
    positive, the rail needs L' = L (1 + 2 μ_r e / B) with its own friction, and with D = 1 - μ_p t - μ_r k (t + μ_p)

    - the pin presses square on the track with L' √(1 + t²) / D; with its friction it is √(1 + μ_p²) times that,
    - it is pushed aside with L' (t + μ_p) / D, which the guide must bear k times,
    - the drum is held back by that force times r(z).

    Where inertia exceeds the load the other flank brakes the rail with |L| √(1 + t²); friction helps there and is left
    out. Where D falls below 0.001 the rail jams; it is computed as if it were 0.001.

    law            motion law; of the uniform one the blow at either end is not computed
    travel         h [mm]
    arc            β [rad]
    duration       T, time of the move [s]
    radius         r, of the track; of a groove in a disc the least one of the move [mm]
    load           P, against the fork all along [N]
    mass           m, all that moves with the fork [kg]
    pin_friction, rail_friction  μ_p, μ_r [-]
    overhang, guide  A, B of `side_share` [mm]
    offset         e, across the rail between load and push [mm]; counts where a guide is stated
    outward        0 for a drum; 1 for a disc, whose groove leads outward: r(z) = r + h s(z)

    Errors: ValueError naming everything impossible at once.
    Source: equilibrium of the follower; Rothbart (ed.), Cam Design Handbook (2004), ch. 6 and 8.
    """
    refuse(
        PERMITTED,
        travel=travel,
        arc=arc,
        duration=duration,
        radius=radius,
        load=load,
        mass=mass,
        pin_friction=pin_friction,
        rail_friction=rail_friction,
        overhang=overhang,
        guide=guide,
        offset=offset,
    )
    pressing = rail_friction * side_share(overhang, guide)
    dragging = 1.0 + 2.0 * rail_friction * where(guide > 0, offset / maximum(guide, 1e-9), 0.0)
    steepness, throw = travel / arc, mass * travel / duration**2 / 1000.0
    clear, loss = 1.0 - pressing * pin_friction, pin_friction + pressing
    contact = aside = torque = 0.0
    narrowest = 1.0
    for _, share, speed, bend in motion_laws.points(law, POINTS):
        arm = radius + travel * share if outward else radius
        slope = steepness * speed / arm
        needed = load + throw * bend
        passed = clear - loss * slope
        narrowest = minimum(narrowest, passed)
        push = dragging * maximum(needed, 0.0) / maximum(passed, LEAST_PUSH)
        sideways = push * (slope + pin_friction)
        contact = maximum(contact, maximum(push, -needed) * sqrt(1.0 + slope * slope))
        aside = maximum(aside, sideways)
        torque = maximum(torque, sideways * arm)
    return {
        "contact_force": contact,
        "side_force": aside,
        "guide_force": aside * side_share(overhang, guide),
        "torque": torque / 1000.0,
        "power": torque / 1000.0 * arc / duration,
        "moves_freely": narrowest > LEAST_PUSH,
    }


def step_time(duration, arc, step, dwell, moves=1):
    """Return the time of a whole step of the drum from rest to rest [s].

    t = k T + 2 φ d / ω with ω = β / T: the drum gets up to its speed evenly within the first half of the rest, turns
    steadily through the moves, and stops within the second half.
    """
    return moves * duration + 2.0 * step * dwell * duration / arc


def starting_torque(inertia, duration, arc, step, dwell):
    """Return the torque that brings the drum up to speed within half of its rest [N·m]: J ω² / (φ d).

    Errors: ValueError where there is no rest to start in.
    """
    refuse(PERMITTED, inertia=inertia, duration=duration, arc=arc)
    refuse({"rest": ("Share of a step at rest, in which the drum starts", "", 1e-6, 1.0)}, rest=dwell)
    return inertia * (arc / duration) ** 2 / (step * dwell)


def comes_late(before, after, arriving_first):
    """Return whether a move has the last share of its step: arriving moves lead away from neutral, others leave."""
    return (abs(after) > abs(before)) is not bool(arriving_first)


def reversals(stands, arriving_first):
    """Return where a track turns back, as (stand it turns at, first move, second move, steps apart, `later`).

    stands  where the track stands at each position, in travels; moves are in travels too, signed
    later   see `ramp_spacing`
    """
    steps = [(place, *pair) for place, pair in enumerate(pairwise(stands)) if pair[0] != pair[1]]
    return [
        (
            there,
            there - start,
            end - there,
            second - first,
            comes_late(there, end, arriving_first) - comes_late(start, there, arriving_first),
        )
        for (first, start, there), (second, _, end) in pairwise(steps)
        if (there - start) * (end - there) < 0
    ]


def least_land(law, tracks, arriving_first, step, arc, moves, travel, pin, at):
    """Return the least land where any of some tracks turns back, see `drum_track.land_of_pair` [mm]; None without one.

    tracks  where each stands at each position, in travels
    at      function: radius [mm] of a track (0, 1 …) so many travels above its least stand
    """
    least = None
    for place, stands in enumerate(tracks):
        for there, first, second, steps, later in reversals(stands, arriving_first):
            pair = abs(first), abs(second)
            out = there - min(stands) - min(pair) / 2.0 * (1.0 if first > 0 else -1.0)
            spacing = drum_track.ramp_spacing(step, arc, moves, steps, later)
            one = drum_track.land_of_pair(law, pair, travel, arc, at(place, out), spacing, pin)
            least = one if least is None else minimum(least, one)
    return least


def offsets_along(law, offsets, step, dwell, moves, arriving_first, count=180):
    """Return a track as (angle [rad], offset [travels]) from the first position to the last, for drawing.

    offsets         where the track stands at each position, in travels
    moves           1: all moves of a step at once; more: those that leave and those that arrive take the first or the
                    last share of the arc
    arriving_first  whether arriving moves come first
    """
    turn = (len(offsets) - 1) * step
    angles = [turn * place / count for place in range(count + 1)]
    return [(angle, offset_at(law, offsets, step, dwell, moves, arriving_first, angle)) for angle in angles]


def offset_at(law, offsets, step, dwell, moves, arriving_first, angle):
    """Return where a track stands at an angle from the first position [travels]; arguments as of `offsets_along`.

    angle  [rad], 0 to the last position
    """
    arc = step * (1.0 - dwell) / moves
    behind = min(int(angle / step), len(offsets) - 2)
    before, after = offsets[behind], offsets[behind + 1]
    late = moves > 1 and comes_late(before, after, arriving_first)
    begun = step * dwell / 2.0 + (moves - 1) * arc * late
    share = min(max((angle - behind * step - begun) / arc, 0.0), 1.0)
    return before + (after - before) * float(motion_laws.displacement(law, share))
