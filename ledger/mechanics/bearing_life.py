"""Rolling bearings: basic rating life by ISO 281, over a duty of several loads and speeds.

Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics.maths import every, exp, log
from ledger.mechanics.permitted import outside

BALL, ROLLER = "ball", "roller"
EXPONENTS = {BALL: 3.0, ROLLER: 10.0 / 3.0}
PERMITTED = {
    "rating": ("Dynamic load rating", "N", 0.001, 1e9),
    "radial": ("Radial load", "N", 0.0, 1e9),
    "axial": ("Axial load", "N", 0.0, 1e9),
    "load_factor": ("Load factor", "", 0.0, 50.0),
    "speed": ("Speed", "1/min", 0.0, 200_000.0),
    "share": ("Share of time", "", 0.0, 1e9),
    "factor": ("Life factor", "", 0.001, 100.0),
    "hours": ("Hours of service", "h", 0.0, 1e7),
    "slope": ("Slope of the scatter", "", 0.1, 20.0),
}


def equivalent_load(radial, axial, x, y):
    """Return the equivalent dynamic load [N]: P = X F_r + Y F_a.

    radial, axial  F_r, F_a [N]
    x, y           X, Y of the bearing, from its source [-]

    Source: ISO 281:2007; Jindal, Machine Design, ex. 18-2, p. 508.
    """
    return x * radial + y * axial


def mean_speed(speeds, shares):
    """Return the mean speed [1/min]: n_m = sum(q n) / sum(q), q the shares of time."""
    turns = sum(share * speed for share, speed in zip(shares, speeds, strict=True))
    return turns / sum(shares)


def mean_load(loads, turns, exponent):
    """Return the constant load of the same life [N]: P_m = (sum(N P^p) / sum(N))^(1/p).

    loads     P, equivalent loads [N]
    turns     N, revolutions under each, in any measure [-]
    exponent  p, of load over life [-]

    Source: Palmgren's rule of linear damage with the life of ISO 281; Jindal, Machine Design, ex. 18-9, p. 512.
    """
    worn = sum(turn * load**exponent for turn, load in zip(turns, loads, strict=True))
    return (worn / sum(turns)) ** (1.0 / exponent)


def rating_life(rating, load, exponent):
    """Return the life that nine bearings in ten reach, in millions of revolutions: L10 = (C/P)^p.

    rating    C, dynamic load rating [N], above 0
    load      P [N], above 0
    exponent  p: 3 for balls, 10/3 for rollers

    Source: ISO 281:2007.
    """
    return (rating / load) ** exponent


def in_hours(life, speed):
    """Return a life in hours from millions of revolutions and a speed [1/min]: 10^6 L / (60 n)."""
    return 1e6 * life / (60.0 * speed)


def needed_rating(load, speed, hours, exponent, factor=1.0):
    """Return the dynamic load rating that just lasts some hours [N]: C = P (60 n h / (10^6 a))^(1/p).

    load      P [N]
    speed     n [1/min]
    hours     h [h]
    exponent  p [-]
    factor    a, life reached over basic life [-]
    """
    return load * (60.0 * speed * hours / (1e6 * factor)) ** (1.0 / exponent)


def survival(used, slope):
    """Return the share of bearings that survive [-]: R = exp(-ln(1/0.9) u^e).

    used   u, revolutions made over those of the L10 life [-], 0 or more
    slope  e of Weibull's distribution [-]: 1.5 gives the factors for reliability of ISO 281:1990 (0.62 at 95 %)

    Source: Weibull's distribution through 90 % at L10; ISO 281:1990, Table 12 (factors, from memory and a stored copy).
    """
    return exp(-log(1.0 / 0.9) * used**slope)


def bearing_life(rating, duty, exponent, factor=1.0, hours=0.0, slope=1.5):
    """Return the life over a duty as a dict of values and `rows`.

    rating    C [N]
    duty      rows of `radial` and `axial` load [N], `x`, `y`, `speed` [1/min], `share` of time (in any measure)
    exponent  p: 3 for balls, 10/3 for rollers
    factor    a, life reached over basic life, for oil, dirt and reliability together [-]
    hours     of service that are wanted [h]; 0 for none
    slope     e, see `survival`

    In each row `wear` is its share of the life used. With hours wanted there are also the rating that would just last
    them, the margin C / C_needed - 1, the share of the life they use and the share of bearings that survive them.

    Errors: ValueError naming everything impossible at once.
    """
    _refuse(rating, duty, factor, hours, slope)
    loads = [equivalent_load(row["radial"], row["axial"], row["x"], row["y"]) for row in duty]
    turns = [row["share"] * row["speed"] for row in duty]
    speed = mean_speed([row["speed"] for row in duty], [row["share"] for row in duty])
    if not every(speed > 0.0):
        raise ValueError("The bearing never turns: a speed and a share of time above zero are needed.")
    load = mean_load(loads, turns, exponent)
    if not every(load > 0.0):
        raise ValueError("Nothing loads the bearing while it turns: its life would be without end.")
    life = factor * rating_life(rating, load, exponent)
    worn = sum(turns) * load**exponent
    found = {
        "mean_speed": speed,
        "mean_load": load,
        "life": life,
        "life_hours": in_hours(life, speed),
        "rows": [
            {"load": one, "speed": row["speed"], "wear": turn * one**exponent / worn}
            for one, turn, row in zip(loads, turns, duty, strict=True)
        ],
    }
    if not every(hours == 0.0):
        needed = needed_rating(load, speed, hours, exponent, factor)
        used = hours / found["life_hours"]
        found["needed_rating"], found["used"] = needed, used
        found["margin"] = rating / needed - 1.0
        found["survival"] = survival(used, slope)
    return found


def _refuse(rating, duty, factor, hours, slope):
    faults = [
        outside(PERMITTED["rating"], rating),
        outside(PERMITTED["factor"], factor),
        outside(PERMITTED["hours"], hours),
        outside(PERMITTED["slope"], slope),
    ]
    if not duty:
        faults.append("The duty has no row.")
    for place, row in enumerate(duty, 1):
        said = [outside(PERMITTED[key], row[key]) for key in ("radial", "axial", "speed", "share")]
        said += [outside(PERMITTED["load_factor"], row[key]) for key in ("x", "y")]
        faults += [f"Row {place} of the duty: {one}" for one in said if one]
    if not every(hours == 0.0) and not every(hours > 0.0):
        faults.append("Hours of service: zero in some draws and not in others; state hours above zero, or none.")
    if not any(faults) and not every(sum(row["share"] for row in duty) > 0.0):
        faults.append("The shares of time add up to nothing.")
    said = [fault for fault in faults if fault]
    if said:
        raise ValueError(" ".join(said))
