"""Outlines of wheels looked at as polygons: laid on each other and rolled, held to the involute, read as points."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, affinity

from ledger.building.sections.gears.tooth_shape import gear_outline
from ledger.building.sections.gears.wheels import Pair, Wheel, geometry_of

Points = NDArray[np.float64]


@dataclass(frozen=True)
class Rolled:
    """What polygons of a pair showed over one pitch: least and greatest gap [mm], and the greatest overlap [mm²].

    play, allowed  half the backlash square to the flanks, which the gap should be, and what chords may make of it [mm]
    """

    least: float
    greatest: float
    overlap: float
    play: float
    allowed: float

    @property
    def runs(self) -> bool:
        """Whether nothing overlaps, and the gap to both flanks stays half the backlash throughout."""
        near = self.play - self.allowed <= self.least and self.greatest <= self.play + self.allowed
        return self.overlap == 0 and near


def polygon_of(wheel: Wheel) -> tuple[Polygon, float]:
    """The outline of a wheel as a polygon, and its bound."""
    shape = gear_outline(wheel)
    return Polygon(shape.points), shape.bound


def rolled(
    pair: Pair, steps: int = 24, held: float = 0.0, first: Polygon | None = None, second: Polygon | None = None
) -> Rolled:
    """Roll a pair's polygons on each other at its distance over one pitch of the first, teeth amid their spaces.

    held           by how much of the backlash the second is turned against the first, −0.5 to 0.5
    first, second  polygons to take instead of the wheels' own
    """
    geometry = geometry_of(pair)
    one, bound_1 = polygon_of(pair.first)
    two, bound_2 = polygon_of(pair.second)
    one, two = first or one, second or two
    play = float(geometry["backlash"])
    lead = held * play / (float(geometry["wheels"][1]["pitch"]) / 2)
    teeth_1, teeth_2 = pair.first.teeth, pair.second.teeth
    gaps, overlaps = [], []
    for step in range(steps):
        turn = 2 * pi / teeth_1 * step / steps
        here = affinity.rotate(one, turn, origin=(0, 0), use_radians=True)
        there = affinity.rotate(two, pi + pi / teeth_2 - turn * teeth_1 / teeth_2 + lead, (0, 0), use_radians=True)
        there = affinity.translate(there, pair.distance, 0)
        gaps.append(here.distance(there))
        overlaps.append(here.intersection(there).area)
    square = play / 2 * cos(float(geometry["working"]))
    return Rolled(min(gaps), max(gaps), max(overlaps), square * (1 - 2 * abs(held)), bound_1 + bound_2)


def off_involute(points: Points, wheel: Wheel, form: float) -> float:
    """Greatest distance of the flank's points from the involute [mm], by a string unwound from the base circle.

    From a point on a flank the tangent to the base circle is as long as the arc from where it touches to where that
    flank's involute begins; the difference is the point's distance from the involute along its normal. Points on the
    tip circle and below the form circle are passed over.

    form  diameter at which the flank begins [mm]
    """
    far, angle = np.hypot(points[:, 0], points[:, 1]), np.arctan2(points[:, 1], points[:, 0])
    pitch = 2 * pi / wheel.teeth
    from_middle = np.abs((angle + pitch / 2) % pitch - pitch / 2)
    flank = (far > form / 2 + 1e-5) & (far < wheel.top / 2 - 1e-5)
    assert np.count_nonzero(flank) >= 4 * wheel.teeth
    base = wheel.module * wheel.teeth / cos(radians(wheel.helix)) / 2
    across = np.arctan(np.tan(radians(wheel.pressure)) / cos(radians(wheel.helix)))
    base *= np.cos(across)
    shift = wheel.shift - wheel.thinning / (2 * wheel.module * np.tan(radians(wheel.pressure)))
    begun = (pi / 2 + 2 * shift * np.tan(radians(wheel.pressure))) / wheel.teeth + np.tan(across) - across
    tangent = np.sqrt(far[flank] ** 2 - base**2)
    touched = from_middle[flank] - np.arccos(base / far[flank])
    return float(np.max(np.abs(tangent - base * (begun - touched))))
