"""Outlines made of arcs and straight pieces, about the middle of a part: sectors, splines, keyed bores. Lengths in mm.

Angles are counter-clockwise from x, in radians. Arcs are straight pieces within 0.002 mm of the arc.
"""

from __future__ import annotations

from math import acos, asin, ceil, cos, pi, sin, sqrt

from ledger.building.drawings.drawing import Points

WITHIN = 0.002
DIGITS = 6


def arc(radius: float, begins: float, ends: float, x: float = 0.0, y: float = 0.0) -> list[tuple[float, float]]:
    """Return points on an arc about (x, y), both ends among them."""
    most = 2.0 * acos(max(1.0 - WITHIN / radius, 0.0)) if radius > WITHIN else pi / 4.0
    pieces = max(1, ceil(abs(ends - begins) / most))
    angles = [begins + (ends - begins) * place / pieces for place in range(pieces + 1)]
    return [(x + radius * cos(angle), y + radius * sin(angle)) for angle in angles]


def points(line: list[tuple[float, float]]) -> Points:
    """Return points rounded as drawings have them."""
    return tuple((round(x, DIGITS) + 0.0, round(y, DIGITS) + 0.0) for x, y in line)


def sector(inner: float, outer: float, begins: float, ends: float) -> Points:
    """Return what lies between two radii and two angles, as one closed line."""
    return points([*arc(outer, begins, ends), *arc(inner, ends, begins)])


def spline(count: int, minor: float, major: float, width: float) -> Points:
    """Return a straight-sided spline's profile as one closed line: `count` splines of a width with parallel sides.

    minor, major  diameters d and D. ValueError where the splines are so wide that they meet at the minor diameter.
    """
    low, high = asin(width / minor), asin(width / major)
    if low >= pi / count:
        raise ValueError(f"{count} splines of {width:g} mm meet at the minor diameter of {minor:g} mm.")
    line: list[tuple[float, float]] = []
    for place in range(count):
        middle = 2.0 * pi * place / count
        line += arc(major / 2.0, middle - high, middle + high)
        line += arc(minor / 2.0, middle + low, middle + 2.0 * pi / count - low)
    return points(line)


def keyed_bore(bore: float, width: float, depth: float) -> Points:
    """Return a bore with one keyway, along x, as one closed line; `depth` is that of the keyway beyond the bore."""
    half, radius = width / 2.0, bore / 2.0
    foot, top = sqrt(radius**2 - half**2), radius + depth
    open_by = asin(half / radius)
    round_it = arc(radius, open_by, 2.0 * pi - open_by)
    return points([(foot, -half), (top, -half), (top, half), *round_it[:-1]])


def fork(opening: float, across: float, reach: float, boss: float) -> Points:
    """Return a fork's plate about its sleeve's axis as one closed line: half a ring, and a tongue to its rail along x.

    opening, across  between the pads, and over the arms; reach  from the sleeve's axis to the rail's
    boss             diameter of the end about the rail, and width of the tongue

    ValueError where the rail stands within the arms, or the boss is wider than the arms.
    """
    outer, half = across / 2.0, boss / 2.0
    if half >= outer or reach <= outer:
        raise ValueError(f"The rail is {reach:.4g} mm from the sleeve's axis, within the arms of {across:g} mm.")
    turn = asin(half / outer)
    return points(
        [
            *arc(outer, -pi / 2.0, -turn),
            *arc(half, -pi / 2.0, pi / 2.0, reach),
            *arc(outer, turn, pi / 2.0),
            *arc(opening / 2.0, pi / 2.0, -pi / 2.0),
        ]
    )
