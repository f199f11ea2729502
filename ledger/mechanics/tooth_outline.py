"""The outline of one upright tooth, for drawing: tip, involute, fillet and root circle, as a rack generates them.

Plain floats only; lengths in modules until `scale` turns them into mm.
"""

from __future__ import annotations

from ledger.mechanics.involute import inv
from ledger.mechanics.maths import acos, atan, cos, pi, sin, tan
from ledger.mechanics.tooth_root import fillet_point, flank_turn, root_section

FILLET_POINTS, FLANK_POINTS, ARC_POINTS = 24, 28, 5
HALVINGS = 60


def tooth_outline(teeth, shift, tip, dedendum, radius, pressure, scale=1.0):
    """Return the outline as points (x, y) [mm for a scale in mm a module], left to right over the tip.

    x is measured from the middle of the tooth, y from the reference circle outwards. Undercut shows where the fillet
    cuts the involute; a tip that would be pointed ends in its point.

    teeth, shift, tip  z, x and d_a of the upright tooth [modules]; dedendum, radius of the rack [modules]
    """
    half = _right_half(teeth, shift, tip, dedendum, radius, pressure)
    middle = teeth / 2.0
    right = [(scale * r * sin(angle), scale * (r * cos(angle) - middle)) for r, angle in half]
    return [(float(-x), float(y)) for x, y in right] + [(float(x), float(y)) for x, y in reversed(right)]


def section_line(teeth, shift, dedendum, radius, pressure, scale=1.0):
    """Return the critical section of the root as two points (x, y), measured as in `tooth_outline`."""
    chord, height, _ = root_section(teeth, shift, dedendum, radius, pressure)
    y = float(scale * (height - teeth / 2.0))
    return [(float(-scale * chord / 2.0), y), (float(scale * chord / 2.0), y)]


def _right_half(teeth, shift, tip, dedendum, radius, pressure):
    """Return polar points (radius, angle from the middle) from the middle of the space to the middle of the tip."""
    base = teeth * cos(pressure) / 2.0

    def cut(turn):
        x, y = fillet_point(teeth, shift, dedendum, radius, pressure, turn)
        return (x * x + y * y) ** 0.5, atan(x / y)

    last = flank_turn(teeth, shift, dedendum, radius, pressure)
    turns = [last * place / FILLET_POINTS for place in range(FILLET_POINTS + 1)]
    fillet = [cut(turn) for turn in turns]
    start = max(base, fillet[-1][0])
    root = teeth / 2.0 + shift - dedendum
    space = [(root, pi / teeth + (fillet[0][1] - pi / teeth) * place / ARC_POINTS) for place in range(ARC_POINTS)]
    top = max(min(tip / 2.0, _point(teeth, shift, base, pressure)), start)
    flank = []
    for place in range(1, FLANK_POINTS + 1):
        r = start + (top - start) * place / FLANK_POINTS
        flank.append((r, _half_angle(teeth, shift, base, pressure, r)))
    land = [(top, flank[-1][1] * (1.0 - place / ARC_POINTS)) for place in range(1, ARC_POINTS + 1)]
    return space + fillet + flank + land


def _half_angle(teeth, shift, base, pressure, r):
    half = (pi / 2.0 + 2.0 * shift * tan(pressure)) / teeth + inv(pressure) - inv(acos(min(base / r, 1.0)))
    return max(half, 0.0)


def _point(teeth, shift, base, pressure):
    """Return the radius at which the flanks meet, found by halving."""
    low, high = base, 3.0 * base + 10.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        blunt = _half_angle(teeth, shift, base, pressure, middle) > 0.0
        low, high = (middle, high) if blunt else (low, middle)
    return low
