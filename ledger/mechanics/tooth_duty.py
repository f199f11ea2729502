"""A load spectrum on teeth: cycles over a distance, cumulative damage, and the constant load of the same damage.

Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics.maths import every, maximum, minimum, pi, where
from ledger.mechanics.permitted import outside

NONE, SAME, FLATTER = "does no damage", "same slope", "flatter slope"
BELOW = (NONE, SAME, FLATTER)
ROOT, FLANK = "root", "flank"
PARTS = (ROOT, FLANK)
PERMITTED = {
    "torque": ("Torque", "N·m", 0.0, 1e9),
    "share": ("Share of the distance", "", 0.0, 1.0),
    "distance": ("Distance", "km", 0.001, 1e7),
    "radius": ("Rolling radius", "m", 0.001, 5.0),
    "ratio": ("Turns of the gear for one of the wheel", "", 0.001, 1000.0),
    "meshes": ("Loads on a tooth for one turn", "", 0.1, 20.0),
    "strength": ("Strength", "N·m", 0.001, 1e9),
    "knee": ("Cycles at that strength", "", 1.0, 1e12),
    "exponent": ("Exponent", "", 1.0, 50.0),
    "limit": ("Damage sum at failure", "", 0.01, 10.0),
}
FARTHEST = 1e9
LONGEST = 1e300
NOTHING = 1e-200
NONE_BEARS = 1e300
HALVINGS = 52


def cycles_over(distance, ratio, radius, meshes=1.0):
    """Return how often a tooth is loaded over a distance [-]: N = 1000 D i m / (2 pi r).

    distance  D [km]
    ratio     i, turns of the gear for one of the road wheel [-]
    radius    r, rolling radius of the road wheel [m]
    meshes    m, loads on a tooth for one turn of its gear [-]
    """
    return 1000.0 * distance * ratio * meshes / (2.0 * pi * radius)


def flatter_exponent(exponent, part=ROOT):
    """Return the exponent of torque over life below the knee by Haibach's rule [-]: 2 k - 1, or 2 k - 1/2 for flanks.

    The rule is 2 k_s - 1 in stress. A root's stress grows as the torque, so k is k_s; a flank's as the square root of
    the torque, so k is k_s/2, and (2 · 2 k - 1)/2 = 2 k - 1/2.
    """
    return 2.0 * exponent - (0.5 if part == FLANK else 1.0)


def cycles_to_failure(load, strength, knee, exponent, below=SAME, part=ROOT):
    """Return how many cycles of a load are borne [-].

    N_f = N_k (S/P)^k for P at or above S, and below it so too ("same slope"), with `flatter_exponent` in place of k
    ("flatter slope"), or without end ("does no damage")

    load      P [N·m or any measure of load], 0 or more
    strength  S, borne N_k times [as the load], above 0
    knee      N_k [-]
    exponent  k of the load over cycles [-]
    part      root or flank, for the flatter slope

    Source: Wöhler's curve in Basquin's form; below the knee: Miner (1945) as first stated, his rule at one slope, and
    Haibach's proposal of 2 k - 1 (from memory; e.g. Haibach, Betriebsfestigkeit).
    """
    if below == FLATTER:
        power = where(load >= strength, exponent, flatter_exponent(exponent, part))
        return knee * (strength / maximum(load, 1e-2 * strength)) ** power
    steep = knee * (strength / maximum(load, 1e-5 * strength)) ** exponent
    return steep if below == SAME else where(load >= strength, steep, LONGEST)


def damage_sum(cycles, lives):
    """Return the damage of cycles [-]: D = sum(N / N_f); failure is expected as D nears one.

    cycles  N, made at each load
    lives   N_f, borne at each load, above 0

    Source: Palmgren (1924), Miner (1945).
    """
    return sum(made / life for made, life in zip(cycles, lives, strict=True))


def equivalent_load(loads, cycles, exponent):
    """Return the constant load that does the same damage in the same number of cycles: (sum(N P^k) / sum(N))^(1/k).

    On one slope; scaled by the greatest load, so that no power overflows.
    """
    greatest = loads[0]
    for load in loads[1:]:
        greatest = maximum(greatest, load)
    greatest = maximum(greatest, 1e-300)
    worn = sum(made * (load / greatest) ** exponent for made, load in zip(cycles, loads, strict=True))
    return greatest * (worn / sum(cycles)) ** (1.0 / exponent)


def needed_strength(loads, cycles, knee, exponent, below=SAME, limit=1.0, part=ROOT):
    """Return the least strength that bears the cycles by the rule chosen, as the loads.

    Same slope     S = P_eq (N/(N_k D))^(1/k), D the damage sum at failure
    No damage      the least S at which the loads at or above it do no more than D: with each load in turn as the least
                   that counts, such an S as above, but not below the next load. Where it is that load, any S above it
    Flatter slope  by halving between those two, 52 times; damage falls as S rises
    """
    same = equivalent_load(loads, cycles, exponent) * (sum(cycles) / (knee * limit)) ** (1.0 / exponent)
    if below == SAME:
        return same
    greatest = loads[0]
    for load in loads[1:]:
        greatest = maximum(greatest, load)
    least, scale = greatest + 0.0, maximum(greatest, 1e-300)
    for load in loads:
        worn, under = 0.0, 0.0
        for made, other in zip(cycles, loads, strict=True):
            worn = worn + where(other >= load, made * (other / scale) ** exponent, 0.0)
            under = maximum(under, where(other < load, other, 0.0))
        bound = maximum(scale * (worn / (knee * limit)) ** (1.0 / exponent), under)
        least = minimum(least, where(bound <= load, bound, NONE_BEARS))
    if below == NONE:
        return least
    low, high = minimum(least, same), same
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        lives = [cycles_to_failure(load, middle, knee, exponent, below, part) for load in loads]
        short = damage_sum(cycles, lives) > limit
        low, high = where(short, middle, low), where(short, high, middle)
    return high


def tooth_duty(
    spectrum, distance, ratio, radius, strength, knee, exponent, below=SAME, meshes=1.0, limit=1.0, part=ROOT
):
    """Return damage over a distance as a dict of values and `rows`.

    spectrum  rows of `torque` [N·m] at the gear and `share` of the distance under it [-]; together at most 1
    distance  D that must be borne [km]
    limit     damage sum at which a tooth is taken to fail [-]
    others    see `cycles_over` and `cycles_to_failure`

    `distance_borne` is D limit / damage, at most a thousand million km. `needed_strength` would just bear the distance
    by the rule that is chosen for loads below the knee; `margin` is strength over it, less one. `equivalent_torque` is
    that of one slope throughout.

    Errors: ValueError naming everything impossible at once.
    """
    alone = {
        "distance": distance,
        "ratio": ratio,
        "radius": radius,
        "strength": strength,
        "knee": knee,
        "exponent": exponent,
        "meshes": meshes,
        "limit": limit,
    }
    _refuse(spectrum, below, part, alone)
    loads = [row["torque"] for row in spectrum]
    cycles = [cycles_over(distance, ratio, radius, meshes) * row["share"] for row in spectrum]
    made = sum(cycles)
    if not every(made > 0.0):
        raise ValueError("The shares of the distance add up to nothing.")
    lives = [cycles_to_failure(load, strength, knee, exponent, below, part) for load in loads]
    damage = damage_sum(cycles, lives)
    if below == NONE:
        damage = where(damage < NOTHING, 0.0, damage)
    equivalent = equivalent_load(loads, cycles, exponent)
    if not every(equivalent > 0.0):
        raise ValueError("No torque loads the teeth.")
    needed = needed_strength(loads, cycles, knee, exponent, below, limit, part)
    worn = maximum(damage, NOTHING)
    return {
        "cycles": made,
        "equivalent_torque": equivalent,
        "damage": damage,
        "used": damage / limit,
        "distance_borne": distance * limit / maximum(damage, distance * limit / FARTHEST),
        "needed_strength": needed,
        "margin": strength / needed - 1.0,
        "bears": damage <= limit,
        "rows": [
            {"torque": load, "share": row["share"], "cycles": one, "life": life, "wear": one / life / worn}
            for load, one, life, row in zip(loads, cycles, lives, spectrum, strict=True)
        ],
    }


def _refuse(spectrum, below, part, alone):
    faults = [outside(PERMITTED[name], value) for name, value in alone.items()]
    if below not in BELOW:
        faults.append(f"{below!r} given for loads below the knee; expected {', '.join(BELOW)}.")
    if part not in PARTS:
        faults.append(f"{part!r} given for the part of the tooth; expected {' or '.join(PARTS)}.")
    if not spectrum:
        faults.append("The spectrum has no row.")
    for place, row in enumerate(spectrum, 1):
        said = [outside(PERMITTED[key], row[key]) for key in ("torque", "share")]
        faults += [f"Row {place} of the spectrum: {one}" for one in said if one]
    if not any(faults) and not every(sum(row["share"] for row in spectrum) <= 1.0 + 1e-9):
        faults.append("The shares of the distance add up to more than the whole.")
    said = [fault for fault in faults if fault]
    if said:
        raise ValueError(" ".join(said))
