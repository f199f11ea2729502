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


def pairs_of_sum(total, least, most):
    """Return how many pairs of permitted wheels have that sum of teeth."""
    return max(0, min(most, total - least) - max(least, total - most) + 1)


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

    P(0) = s, and the rest is shared by ±1 … ±D in proportion to 1/2^|d|; D = 0 gives P(0) = 1

    same    s, 0 to 1
    spread  D, whole, 0 and above
    """
    spread = int(spread)
    if spread == 0:
        return {0: 1.0}
    whole = 2.0 * sum(0.5**size for size in range(1, spread + 1))
    chances = {size: (1.0 - same) * 0.5 ** abs(size) / whole for size in range(-spread, spread + 1) if size}
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
