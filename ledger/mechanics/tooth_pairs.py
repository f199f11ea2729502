"""Pairs of tooth counts: which of them a ratio allows, how often the same teeth meet, which distances they close.

A pair is (z1, z2), the driving wheel first; its ratio is z2/z1, and the ratio over all is that times what else lies in
the path. Tooth counts are whole; a module is in mm, angles are in radians.
"""

from __future__ import annotations

from math import gcd

from ledger.mechanics.gear_geometry import PRESSURE, centre_distance, undercut_limit
from ledger.mechanics.maths import cos
from ledger.mechanics.tooth_sizes import transverse_angle

ROUNDED, CUT_OFF = "rounded", "cut off"
EDGE = 1e-9
POINTS = 24


def meetings(first, second):
    """Return after how many meshes the same two teeth meet again, and the common divisor, as a pair of wholes.

    lcm(z1, z2) = z1 z2 / gcd(z1, z2); with the divisor 1 every tooth meets every other: a hunting pair

    Source: Foiles, Gear Frequencies Using the Euclidean Algorithm: hunting if and only if the divisor is one.
    """
    divisor = gcd(int(first), int(second))
    return int(first) * int(second) // divisor, divisor


def printed_range(value, decimals, how):
    """Return between which ratios the true one lies, from one that is printed with some decimals.

    rounded  value ± 0.5 · 10^−n
    cut off  value to value + 10^−n, the upper end excluded

    Errors: ValueError for a value with more decimals than stated, and for another `how`.
    """
    step = 10.0 ** -int(decimals)
    if abs(value / step - round(value / step)) > 1e-6:
        raise ValueError(f"{value:.10g} has more than {int(decimals)} decimals; state how many were printed.")
    if how == ROUNDED:
        return value - 0.5 * step - EDGE, value + 0.5 * step + EDGE
    if how == CUT_OFF:
        return value - EDGE, value + step - EDGE
    raise ValueError(f"{how!r} given; expected {ROUNDED} or {CUT_OFF}.")


def allowed_pairs(stated, path, least, most, driver=None, driven=None):
    """Return the likelihood of what is stated about a gear, P(stated | z1, z2), by pair; those of 0 are left out.

    stated  None for an unknown ratio, or {"low", "high", "density"}: the range of ratios over all that come into
            question, and the density of the measured ratio [1/1] as a function of a list; None for a printed ratio,
            which is likely 1 within the range and 0 outside
    path    ratio of what else lies in the path [-]
    least, most      range of tooth counts of either wheel
    driver, driven   chance by tooth count that the wheel was counted so, or None if it was not counted
    """
    pairs, ratios = [], []
    for first in range(least, most + 1):
        low, high = least, most
        if stated is not None:
            low = max(least, int(stated["low"] * first / path))
            high = min(most, int(stated["high"] * first / path) + 1)
        for second in range(low, high + 1):
            ratio = path * second / first
            if stated is None or stated["low"] <= ratio <= stated["high"]:
                pairs.append((first, second))
                ratios.append(ratio)
    plain = stated is None or stated["density"] is None
    likely = [1.0] * len(pairs) if plain else stated["density"](ratios)
    found = {}
    for pair, value in zip(pairs, likely, strict=True):
        for counted, teeth in ((driver, pair[0]), (driven, pair[1])):
            if counted is not None:
                value = value * counted.get(teeth, 0.0)
        if value > 0:
            found[pair] = float(value)
    return found


def splits_of_sum(total, least):
    """Return in how many ways a sum of teeth is split into two wheels of `least` teeth or more; no upper limit."""
    return max(0, total - 2 * least + 1)


def sum_chances(least, most, small):
    """Return the prior chance of every sum of teeth, P(S) ∝ 1/S^k, so that a set of twice the teeth is no likelier.

    least, most  sums that come into question
    small        k, 0 (all alike) and above: 1 takes any doubling of the teeth for as likely as any other
    """
    shares = {total: (least / total) ** small for total in range(least, most + 1)}
    whole = sum(shares.values())
    return {total: share / whole for total, share in shares.items()}


def closing_range(module, total, shift_low, shift_high, pressure=PRESSURE, helix=0.0):
    """Return least and greatest centre distance [mm] that a pair closes with profile shift sums from low to high.

    a = (z1 + z2) m_n cos α_t / (2 cos β cos α_wt), see `gear_geometry.centre_distance`; it depends on the sum of teeth
    alone. Where the least shift sum is so negative that no pair meshes, the base circles set the lower end.
    """
    try:
        low = float(centre_distance(module, total, 0, shift_low, pressure, helix))
    except ValueError:
        low = float(total * module / (2.0 * cos(helix)) * cos(transverse_angle(pressure, helix)))
    return low, float(centre_distance(module, total, 0, shift_high, pressure, helix))


def difference_chances(same, spread):
    """Return the prior chance that a pair's tooth sum differs from the box's common sum, by difference.

    P(0) = s, and the rest is shared by ±1 … ±D in proportion to 1/(1 + |d|); D = 0 gives P(0) = 1

    same    s, 0 to 1
    spread  D, whole, 0 and above
    """
    spread = int(spread)
    if spread == 0:
        return {0: 1.0}
    whole = 2.0 * sum(1.0 / (1 + size) for size in range(1, spread + 1))
    chances = {size: (1.0 - same) / (1 + abs(size)) / whole for size in range(-spread, spread + 1) if size}
    chances[0] = same
    return {size: chances[size] for size in sorted(chances) if chances[size] > 0}


def undercut_words(first, second, shift_sum=None, pressure=PRESSURE, helix=0.0):
    """Return in words whether cutting the pair with a usual rack undercuts a wheel, and what profile shift avoids it.

    The least shifts x1, x2 are those of `gear_geometry.undercut_limit`; a closing shift sum below x1 + x2 leaves one
    wheel undercut however it is divided.
    """
    limits = [float(undercut_limit(teeth, 1.0, pressure, helix)) for teeth in (first, second)]
    if shift_sum is not None and shift_sum < sum(limits):
        return "unavoidable"
    needed = [
        f"{teeth} teeth from x = {limit:+.2f}"
        for teeth, limit in zip((first, second), limits, strict=True)
        if limit > 0
    ]
    return f"avoided: {', '.join(needed)}" if needed else "none"


def frames(modules, distance, sums, chances, shifts, pressure, helix, coarser=(1.0,), own=0.0):
    """Return the boxes that come into question: module, common sum, permitted sums, weight, mean distance.

    modules   prior chance by module [mm]
    distance  None where it is unknown; {"value"} for an exact one; {"low", "high", "density"} for a measured one [mm]
    sums      prior chance by common sum of teeth
    chances   prior chance of a pair's sum to differ from the common one, by difference
    shifts    least and greatest profile shift sum
    coarser   the modules of gears over the common one [-]
    own       x, chance that a gear on a stated distance has a module of its own, which closes it at any sum [-]

    Given S, a is spread evenly over what the shift sums close, and is measured with the density stated: the weight is
    P(m) P(S) ∫ p(a) q(a) da, by the midpoint rule. A pair of sum S/c + d (rounded), c its module over the common one,
    has the chance (1 - x) P(d | the shift sums close a) + x P(d); without a distance every d closes. `shares` holds for
    each c those sums with their chances.
    """
    made = {}
    low, high = min(sums), max(sums)
    for module, prior in modules.items():
        reach = {}
        if distance is not None:
            reach = {
                (one, total): closing_range(module * one, total, shifts[0], shifts[1], pressure, helix)
                for one in {1.0, *coarser}
                for total in range(low, high + 1)
            }
        for total, share in sums.items():
            for at, weight in _places(distance, reach.get((1.0, total))):
                permitted = tuple(
                    tuple(
                        size
                        for size in chances
                        if low <= _common(total, one) + size <= high
                        and (at is None or _within(at, reach[one, _common(total, one) + size]))
                    )
                    for one in coarser
                )
                entry = made.setdefault((module, total, permitted), [0.0, 0.0])
                entry[0] += prior * share * weight
                entry[1] += prior * share * weight * (at or 0.0)
    found = []
    for (module, total, permitted), (weight, moment) in made.items():
        if weight > 0:
            shares = {}
            for one, sizes in zip(coarser, permitted, strict=True):
                shares[one] = _shared(_common(total, one), chances, sizes, own if distance is not None else 0.0)
            mean = moment / weight if distance is not None else None
            found.append({"module": module, "sum": total, "shares": shares, "weight": weight, "distance": mean})
    return found


def _shared(common, chances, sizes, own):
    whole, closing = sum(chances[size] for size in sizes), set(sizes)
    shares = ((size, (1.0 - own) * chance / whole if size in closing else 0.0) for size, chance in chances.items())
    return tuple(
        (common + size, share + own * chances[size]) for size, share in shares if share + own * chances[size] > 0
    )


def _common(total, coarser):
    return int(total / coarser + 0.5)


def _places(distance, reach):
    """Return centre distances within the reach of a sum, each with its weight."""
    if distance is None:
        return [(None, 1.0)]
    low, high = reach
    wide = high - low > 1e-9 * high
    if "value" in distance:
        if not _within(distance["value"], reach):
            return []
        return [(distance["value"], 1.0 / (high - low) if wide else 1.0)]
    if not wide:
        return [(low, float(distance["density"]([low])[0]))]
    begin, end = max(low, distance["low"]), min(high, distance["high"])
    if end <= begin:
        return []
    step = (end - begin) / POINTS
    at = [begin + (place + 0.5) * step for place in range(POINTS)]
    return [(one, float(q) * step / (high - low)) for one, q in zip(at, distance["density"](at), strict=True)]


def _within(at, reach):
    slack = 1e-9 * at
    return reach[0] - slack <= at <= reach[1] + slack
