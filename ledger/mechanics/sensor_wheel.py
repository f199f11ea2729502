"""Targets on a turning rim: times between edges, resolution, and how well they foretell when dogs face their gaps.

Values are floats or arrays of draws of one shape. Angles are in degrees, times in seconds; doubts are standard
deviations.
"""

from __future__ import annotations

from ledger.mechanics.maths import absolute, atan, every, exp, maximum, minimum, pi, sqrt, tan, where
from ledger.mechanics.refusing import refuse

LEAST_TIME = 1e-12
LONGEST = 60.0
NEIGHBOURS = 6
PERMITTED = {
    "targets": ("Targets", "", 1.0, 1_000_000.0),
    "edges": ("Edges timed of each target", "", 1.0, 4.0),
    "radius": ("Radius of the rim", "mm", 0.1, 10_000.0),
    "speed": ("Speed", "1/min", 0.001, 1_000_000.0),
    "clock": ("Clock of the timer", "Hz", 1.0, 1e12),
    "jitter": ("Jitter of an edge", "µs", 0.0, 1e6),
    "misplacement": ("Misplacement of an edge", "mm", 0.0, 100.0),
    "over": ("Time that a speed is taken over", "ms", 0.0, 100_000.0),
    "gate": ("Time in which edges are counted", "ms", 0.001, 1e6),
    "lead": ("Lead", "ms", 0.0, 10_000.0),
    "scatter": ("Scatter of the actuator", "ms", 0.0, 10_000.0),
    "difference": ("Speed difference", "1/min", 0.01, 200_000.0),
    "acceleration": ("Change of the speed difference", "1/min/s", -1e7, 1e7),
    "window_time": ("Time of the window", "ms", 0.0, 60_000.0),
    "pitch_time": ("Time from one window to the next", "ms", 0.0, 60_000.0),
    "wanted": ("Chance wanted", "", 0.0, 1.0),
}


def edge_time(edges_a_turn, speed):
    """Return the time between edges [s]: t = 60 / (N n), of N edges a turn at n [1/min]."""
    return 60.0 / (edges_a_turn * speed)


def timed_resolution(edges_a_turn, speed, clock):
    """Return by how much a speed differs that is timed one tick longer [1/min].

    n - n' with 60 / (N n') = 60 / (N n) + 1 / f, that is n / (1 + k), with k = 60 f / (N n) ticks between edges

    edges_a_turn  N [-]
    speed         n [1/min]
    clock         f [Hz]
    """
    return speed / (1.0 + clock * edge_time(edges_a_turn, speed))


def counted_resolution(edges_a_turn, gate):
    """Return the speed of one more edge in a counting time [1/min]: 60 / (N t), of N edges a turn in t [s]."""
    return 60.0 / (edges_a_turn * gate)


def edge_angle_doubt(speed, clock, jitter, misplacement, radius):
    """Return the doubt of the angle at which an edge is timed [°].

    The root of three squares: of the misplacement on the rim e / r, of the jitter t_j at 6 n degrees a second, and of
    the tick, 1 / (f sqrt(12)) at the same rate

    speed         n [1/min]
    clock         f [Hz]
    jitter        t_j of sensor and circuit [s]
    misplacement  e, along the rim [mm]
    radius        r [mm]
    """
    rate = 6.0 * speed
    place = misplacement / radius * (180.0 / pi)
    tick = 1.0 / (clock * sqrt(12.0))
    return sqrt(place * place + rate * rate * (jitter * jitter + tick * tick))


def foretold_doubt(edge_doubt, horizon, span):
    """Return the doubt of an angle foretold from the last edge and one a span earlier [°].

    s sqrt((1 + q)² + q²), q = H / t_s: both edges of the speed err, and the last one twice

    edge_doubt  s [°]
    horizon     H, from the last edge to the time foretold [s]
    span        t_s between the two edges that give the speed [s]
    """
    share = horizon / span
    return edge_doubt * sqrt((1.0 + share) * (1.0 + share) + share * share)


def foretold_bias(acceleration, horizon, span):
    """Return by how much an angle foretold at constant speed falls short of one at constant acceleration [°].

    3 a H (H + t_s): the speed is that of the middle of the span; a [1/min/s] is 6 a [°/s²]
    """
    return 3.0 * acceleration * horizon * (horizon + span)


def normal_share(value):
    """Return the share of a standard normal below a value [-], to 1e-7.

    Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 26.2.17.
    """
    size = minimum(absolute(value), 30.0)
    t = 1.0 / (1.0 + 0.2316419 * size)
    series = 1.330274429
    for coefficient in (-1.821255978, 1.781477937, -0.356563782, 0.319381530):
        series = coefficient + t * series
    tail = exp(-0.5 * size * size) / sqrt(2.0 * pi) * t * series
    return where(value >= 0, 1.0 - tail, tail)


def share_within(window, bias, doubt):
    """Return the chance that a normal error lies within a window about its middle [-].

    Phi((w / 2 - b) / s) - Phi((-w / 2 - b) / s), of window w, bias b and doubt s in one unit
    """
    spread = maximum(doubt, LEAST_TIME)
    half = 0.5 * window
    return maximum(0.0, normal_share((half - bias) / spread) - normal_share((-half - bias) / spread))


def share_within_any(window, pitch, bias, doubt):
    """Return the chance that a normal error lies within any of the windows that come round every pitch [-].

    The sum of `share_within` over windows whose middles lie at ..., -p, 0, p, 2p, ... The bias counts from the middle
    of the nearest one, b - p round(b / p), from which six to either side are summed up; where the doubt is greater than
    the pitch the error is as good as evenly spread, and the chance is w / p (within 1e-8, by Poisson's summation)

    pitch  p, above 0 and no less than the window; the rest as of `share_within`, all in one unit
    """
    nearest = atan(tan(pi * bias / pitch)) * pitch / pi
    even = doubt >= pitch
    held = where(even, pitch, doubt)
    total = share_within(window, nearest, held)
    for apart in range(1, NEIGHBOURS + 1):
        total = total + share_within(window, nearest - apart * pitch, held)
        total = total + share_within(window, nearest + apart * pitch, held)
    return where(even, window / pitch, minimum(1.0, total))


def sensor_wheel(
    targets,
    speed,
    radius,
    difference,
    window_time,
    edges=1.0,
    clock=1e6,
    jitter=0.0,
    misplacement=0.0,
    over=0.0,
    gate=100.0,
    lead=0.0,
    scatter=0.0,
    acceleration=0.0,
    wanted=0.95,
    pitch_time=0.0,
):
    """Return times, resolutions and the chance that an entry falls into the dogs' window, as a dict of values.

    targets, edges    on the rim [-], and edges timed of each [-]
    speed             n of the faster ring; the other turns slower by difference, both [1/min]
    radius            r of the rim [mm]
    clock             f of the timer [Hz]
    jitter            of an edge [µs]
    misplacement      of an edge along the rim [mm]
    over              time that a speed is taken over [ms]; at least one time between edges
    gate              time in which edges are counted, for comparison [ms]
    lead              from the decision until the faces meet [ms]
    scatter           of that time [ms]
    acceleration      of the speed difference [1/min/s]
    window_time       in which the faces may meet so that the dogs get in [ms]
    wanted            chance that is called enough [-]
    pitch_time        from one window to the next [ms], no less than the window; 0: only the one aimed at counts

    Both rings carry wheels alike and err apart. The last edge may be one whole time between edges old.

    Errors: ValueError naming everything impossible at once.
    """
    repeated = every(pitch_time > 0)
    mixed = not repeated and not every(pitch_time == 0)
    fits = not repeated or every(window_time <= pitch_time)
    refuse(
        PERMITTED,
        [
            "Time from one window to the next: above 0 in all draws, or 0." if mixed else "",
            "" if fits else "Time of the window: longer than to the next one.",
        ],
        targets=targets, edges=edges, radius=radius, speed=speed, clock=clock, jitter=jitter,
        misplacement=misplacement, over=over, gate=gate, lead=lead, scatter=scatter, difference=difference,
        acceleration=acceleration, window_time=window_time, wanted=wanted, pitch_time=pitch_time,
    )  # fmt: skip
    marks = targets * edges
    between = edge_time(marks, speed)
    edge = edge_angle_doubt(speed, clock, 1e-6 * jitter, misplacement, radius)
    horizon, span = lead / 1000.0 + between, maximum(over / 1000.0, between)
    relative = sqrt(2.0) * foretold_doubt(edge, horizon, span)
    behind = foretold_bias(acceleration, horizon, span)
    rate = 6.0 * difference
    foretelling = relative / rate
    moving = scatter / 1000.0
    timing = sqrt(foretelling * foretelling + moving * moving)
    late = absolute(behind) / rate
    chance = (
        share_within_any(window_time / 1000.0, pitch_time / 1000.0, late, timing)
        if repeated
        else share_within(window_time / 1000.0, late, timing)
    )
    return {
        "edge_time": between,
        "angle_resolution": 360.0 / marks,
        "target_spacing": 2.0 * pi * radius / targets,
        "ticks": clock * between,
        "timed_resolution": timed_resolution(marks, speed, clock),
        "counted_resolution": counted_resolution(marks, gate / 1000.0),
        "edge_doubt": edge,
        "speed_doubt": sqrt(2.0) * edge / span / 6.0,
        "relative_doubt": relative,
        "relative_bias": behind,
        "foretelling_doubt": minimum(LONGEST, foretelling),
        "timing_doubt": minimum(LONGEST, timing),
        "timing_bias": minimum(LONGEST, late),
        "chance": chance,
        "times_entry": chance >= wanted,
    }
