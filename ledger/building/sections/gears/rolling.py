"""How deep the tips of one wheel dig into another as the two roll on each other, point by point."""

from __future__ import annotations

from math import acos, pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ledger.building.sections.gears.tooth_shape import half_tooth
from ledger.building.sections.gears.wheels import Wheel

STEPS = 400
PARTS_OF_A_MODULE = 5000.0
FINEST = 0.00002


def digging(wheel: Wheel, mate: Wheel, geometry: dict[str, Any]) -> float:
    """Return how deep the tip edges of the mate enter the teeth of a wheel [mm], 0 where they clear them.

    Seen from the wheel an edge of the mate's tips goes down into a space and out again. One side of its teeth is held
    against the wheel's flanks, as under load, so that an edge touches where the flank begins to be used, and may enter
    nowhere. The path is looked at in 400 steps, the tooth as straight pieces within a five-thousandth of the module.

    geometry  of the pair, see `wheels.geometry_of`

    Errors: as `tooth_shape.gear_outline`. Source: geometry of rolling.
    """
    tolerance = max(wheel.module / PARTS_OF_A_MODULE, FINEST)
    radius, angle, _, _ = half_tooth(wheel, tolerance)
    tip_radius, tip_angle, _, _ = half_tooth(mate, tolerance)
    corner = float(np.max(tip_angle[tip_radius >= mate.top / 2.0 - 1e-9]))
    distance, play = float(geometry["distance"]), float(geometry["backlash"])
    ratio = wheel.teeth / mate.teeth
    held = play * (1.0 + ratio) / (2.0 * distance)
    edge = mate.top / 2.0
    near = (distance**2 + edge**2 - wheel.top**2 / 4.0) / (2.0 * distance * edge)
    if near >= 1.0:
        return 0.0
    reach = acos(max(near, -1.0))
    turned = np.linspace(-reach, reach, STEPS + 1)
    rolled = (turned - corner - held) / ratio
    x, y = distance - edge * np.cos(turned), edge * np.sin(turned)
    far, place = np.hypot(x, y), np.arctan2(y, x) - rolled
    space = pi / wheel.teeth - np.interp(far, radius, angle)
    inside = (far < wheel.top / 2.0) & ((np.abs(place) > space) | (far < wheel.root / 2.0))
    if not np.any(inside):
        return 0.0
    outline = np.column_stack([radius * np.cos(pi / wheel.teeth - angle), radius * np.sin(pi / wheel.teeth - angle)])
    points = np.column_stack([far * np.cos(place), far * np.abs(np.sin(place))])[inside]
    return float(np.max(_least_distances(points, outline)))


def _least_distances(points: NDArray[np.float64], line: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the distance of every point from a line of straight pieces."""
    start, along = line[:-1], np.diff(line, axis=0)
    length = np.maximum(np.sum(along * along, axis=1), 1e-300)
    from_start = points[:, None, :] - start
    share = np.clip(np.sum(from_start * along, axis=2) / length, 0.0, 1.0)
    missed = from_start - share[:, :, None] * along
    return np.asarray(np.min(np.hypot(missed[:, :, 0], missed[:, :, 1]), axis=1))
