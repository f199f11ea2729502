"""Rolling bearings: basic rating life by ISO 281, over a duty of several loads and speeds.

Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics.maths import every, exp, log, where
from ledger.mechanics.permitted import outside

BALL, ROLLER = "ball", "roller"
HEAVY = 0.5
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
    "reliability": ("Reliability", "", 0.01, 0.9999),
}


def equivalent_load(radial, axial, x, y):
    """Return the equivalent dynamic load [N]: P = X F_r + Y F_a.

    radial, axial  F_r, F_a [N]
    x, y           X, Y of the bearing, from its source [-]

    Source: ISO 281:2007; Jindal, Machine Design, ex. 18-2, p. 508.
    """
    return x * radial + y * axial


def load_of_row(row):
    """Return the equivalent dynamic load of a row [N], and whether the radial load alone was taken for it.

    P = X F_r + Y F_a; where an axial load is stated and P comes out below F_r, F_r: an axial load does not relieve a
    radial bearing, and X below 1 belongs to ratios of the loads at which P is above F_r. Without an axial load X is
    taken as stated, as a share of a force that comes to the bearing.

    Source: rules of choice beside ISO 281's X and Y (P = F_r while F_a/F_r is at most e; from memory).
    """
    combined = equivalent_load(row["radial"], row["axial"], row["x"], row["y"])
    short = (row["axial"] > 0.0) & (combined < row["radial"])
    return where(short, row["radial"], combined), short


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
    ISO 281:2007 has 0.64, 0.55, 0.47, 0.37 and 0.25 at 95 to 99 % (from memory), which no slope gives: lives below some
    0.05 of L10 are hardly met, as if all lives began there.
    """
    return exp(-log(1.0 / 0.9) * used**slope)


def life_share(reliability, slope):
    """Return the share of the L10 life that a share of bearings survives [-]: u = (ln(1/R)/ln(1/0.9))^(1/e).

    The inverse of `survival`.

    reliability  R [-], 0.01 to 0.9999
    slope        e, see `survival`
    """
    return (log(1.0 / reliability) / log(1.0 / 0.9)) ** (1.0 / slope)


def bearing_life(rating, duty, exponent, factor=1.0, hours=0.0, slope=1.5, reliability=0.9):
    """Return the life over a duty as a dict of values and `rows`.

    rating    C [N]
    duty      rows of `radial` and `axial` load [N], `x`, `y`, `speed` [1/min], `share` of time (in any measure)
    exponent  p: 3 for balls, 10/3 for rollers
    factor    a, life reached over basic life, for oil, dirt and reliability together [-]
    hours     of service that are wanted [h]; 0 for none
    slope     e, see `survival`
    reliability  R, share of bearings that shall survive the life that is given [-]

    In each row `wear` is its share of the life used, and `radial_alone` tells that the radial load was taken, see
    `load_of_row`. `too_heavy`: some load that turns the bearing is above half the rating, where the formula does not
    hold. `life` is that of nine in ten; `reliable_hours` those that R survive. With hours wanted there are also the
    rating with which R of the bearings survive them, the margin C / C_needed - 1, the share of the L10 life they use
    and the share of bearings that survive them.

    Errors: ValueError naming everything impossible at once.
    """
    _refuse(rating, duty, factor, hours, slope, reliability)
    loads, short = zip(*(load_of_row(row) for row in duty), strict=True)
    turns = [row["share"] * row["speed"] for row in duty]
    speed = mean_speed([row["speed"] for row in duty], [row["share"] for row in duty])
    if not every(speed > 0.0):
        raise ValueError("The bearing never turns: a speed and a share of time above zero are needed.")
    load = mean_load(loads, turns, exponent)
    if not every(load > 0.0):
        raise ValueError("Nothing loads the bearing while it turns: its life would be without end.")
    life = factor * rating_life(rating, load, exponent)
    worn = sum(turns) * load**exponent
    share = life_share(reliability, slope)
    any_short, too_heavy = load < 0.0, load < 0.0
    for one, alone, turn in zip(loads, short, turns, strict=True):
        any_short = any_short | alone
        too_heavy = too_heavy | ((turn > 0.0) & (one > HEAVY * rating))
    found = {
        "mean_speed": speed,
        "mean_load": load,
        "life": life,
        "life_hours": in_hours(life, speed),
        "reliable_hours": share * in_hours(life, speed),
        "radial_alone": any_short,
        "too_heavy": too_heavy,
        "rows": [
            {"load": one, "radial_alone": alone, "speed": row["speed"], "wear": turn * one**exponent / worn}
            for one, alone, turn, row in zip(loads, short, turns, duty, strict=True)
        ],
    }
    if not every(hours == 0.0):
        needed = needed_rating(load, speed, hours, exponent, factor * share)
        used = hours / found["life_hours"]
        found["needed_rating"], found["used"] = needed, used
        found["margin"] = rating / needed - 1.0
        found["survival"] = survival(used, slope)
    return found


def _refuse(rating, duty, factor, hours, slope, reliability):
    faults = [
        outside(PERMITTED["rating"], rating),
        outside(PERMITTED["factor"], factor),
        outside(PERMITTED["hours"], hours),
        outside(PERMITTED["slope"], slope),
        outside(PERMITTED["reliability"], reliability),
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
