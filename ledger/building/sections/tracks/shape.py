"""Tracks laid flat: the developed track of a drum, the track on the face of a disc, and the edges a pin's tool leaves.

A track is stated as stations of its pin: pairs of an angle [rad] and a place [mm], the axial travel on a drum or the
radius on a disc. Between stations the pin is taken to go straight (on a drum, on its developed surface); state them so
close that this is fine enough. The edges run beside the path at half the width, with mitred corners.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, degrees, pi, sin

import numpy as np
from numpy.typing import NDArray

from ledger.mechanics.permitted import outside

Points = tuple[tuple[float, float], ...]
Stations = Sequence[tuple[float, float]]
Array = NDArray[np.float64]

DIGITS = 6
STRAIGHT = 0.5
END_PIECES = 24
TURN = 2.0 * pi
CLOSED = 1e-6
DIAMETER = ("Diameter of the drum", "mm", 0.1, 10_000.0)
WIDTH = ("Width of the track", "mm", 0.01, 1000.0)


@dataclass(frozen=True)
class Track:
    """One track laid flat [mm].

    path    of the pin's middle
    edges   lines at half the width to both sides, the left one of the path first; of a track with ends one closed line,
            with round ends
    closed  whether the path runs into itself: a disc's round track. A drum's full turn does so over its seam, x = 0
            meeting x = `around`, and its lines are open
    edge_closed  whether the edges are closed lines: not those of a drum's full turn
    around  circumference of the drum [mm], 0 on a disc
    width   of the track, the pin's and its play [mm]
    bound   by how much the mitred corners of the edges stand out over what a round tool leaves [mm]
    """

    path: Points
    edges: tuple[Points, ...]
    closed: bool
    edge_closed: bool
    around: float
    width: float
    bound: float


def drum_track(stations: Stations, diameter: float, width: float) -> Track:
    """Return a drum's track, developed: x along the circumference [mm], D/2 times the angle; y the travel [mm].

    stations  angle [rad] and axial travel [mm], angles rising, over a full turn at most. Over a full turn the last
              travel is the first, and the track runs on over the seam, its lines from x = 0 to x = π D; else it has
              ends, and lies where its angles say
    diameter  D of the surface that is laid flat [mm]: usually the drum's outside, on which the track is marked out or
              wrapped as a template
    width     of the track [mm]

    Errors: ValueError naming everything that is wrong, and where a bend is narrower than the pin.
    """
    said = [*_wrong(stations, width), *filter(None, [outside(DIAMETER, diameter)])]
    span = stations[-1][0] - stations[0][0] if len(stations) > 1 else 0.0
    if span > TURN + CLOSED:
        said.append(f"The track covers {degrees(span):.2f}°; a drum has one turn of 360°.")
    full = abs(span - TURN) <= CLOSED
    if full and abs(stations[-1][1] - stations[0][1]) > CLOSED:
        said.append(f"After a full turn the travel is {stations[-1][1]:g} mm, at its start {stations[0][1]:g} mm.")
    if said:
        raise ValueError(" ".join(said))
    around = pi * diameter
    path = np.array([(diameter / 2.0 * angle, travel) for angle, travel in stations])
    places = [degrees(angle) for angle, _ in stations]
    if full:
        period = np.array([around, 0.0])
        left, right, bound = _edges(path, width, places, path[-2] - period, path[1] + period)
        lines = [_points(_over_seam(line, around)) for line in (path, left, right)]
        return Track(lines[0], (lines[1], lines[2]), False, False, around, width, bound)
    edge, bound = _slot(path, width, places)
    return Track(_points(path), (edge,), False, True, around, width, bound)


def face_track(stations: Stations, width: float) -> Track:
    """Return the track on a disc's face, about the disc's middle: x and y [mm], angles counter-clockwise from x.

    stations  angle [rad] and radius [mm], angles rising. Over exactly a full turn the last radius is the first, and the
              track runs into itself; else it has ends
    width     of the track [mm]

    Errors: as of `drum_track`.
    """
    said = _wrong(stations, width)
    if any(radius <= width / 2.0 for _, radius in stations):
        said.append(f"A radius is within half the width of {width:g} mm from the middle; expected more.")
    full = len(stations) > 1 and abs(stations[-1][0] - stations[0][0] - TURN) <= CLOSED
    if full and abs(stations[-1][1] - stations[0][1]) > CLOSED:
        said.append(f"After a full turn the radius is {stations[-1][1]:g} mm, at its start {stations[0][1]:g} mm.")
    if said:
        raise ValueError(" ".join(said))
    path = np.array([(radius * cos(angle), radius * sin(angle)) for angle, radius in stations])
    places = [degrees(angle) for angle, _ in stations]
    if full:
        path[-1] = path[0]
        left, right, bound = _edges(path, width, places, path[-2], path[1])
        edges = (_points(left[:-1]), _points(right[:-1]))
        return Track(_points(path[:-1]), edges, True, True, 0.0, width, bound)
    edge, bound = _slot(path, width, places)
    return Track(_points(path), (edge,), False, True, 0.0, width, bound)


def _over_seam(line: Array, around: float) -> Array:
    """Return a line of one turn, cut anew where x is 0 and `around`."""
    turns = [line[:-1] + np.array([turn * around, 0.0]) for turn in range(-2, 3)]
    whole = np.vstack(turns)
    whole[:, 0] -= around * np.floor(line[0, 0] / around)
    inner = whole[(whole[:, 0] > CLOSED * around) & (whole[:, 0] < around * (1.0 - CLOSED))]
    height = float(np.interp(0.0, whole[:, 0], whole[:, 1]))
    return np.vstack([[0.0, height], inner, [around, height]])


def _wrong(stations: Stations, width: float) -> list[str]:
    said = [one for one in [outside(WIDTH, width)] if one]
    if len(stations) < 2:
        return [*said, f"A track needs two stations or more; {len(stations)} given."]
    if not all(np.isfinite(value) for station in stations for value in station):
        return [*said, "A station of the track is not a number."]
    for (before, _), (after, _) in pairwise(stations):
        if after <= before:
            said.append(f"Angles of the stations must rise; {degrees(after):.3f}° follows on {degrees(before):.3f}°.")
            break
    return said


def _edges(
    path: Array, width: float, places: list[float], before: Array | None, after: Array | None
) -> tuple[Array, Array, float]:
    """Return the lines to the left and right of a path at half the width, and how far their corners stand out.

    before, after  the points before the first and after the last, None where the path has an end
    """
    whole = path if before is None else np.vstack([before, path])
    whole = whole if after is None else np.vstack([whole, after])
    along = np.diff(whole, axis=0)
    along /= np.hypot(along[:, 0], along[:, 1])[:, None]
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    first = normal if before is not None else np.vstack([normal[:1], normal])
    first = first if after is not None else np.vstack([first, normal[-1:]])
    one, two = first[:-1], first[1:]
    straight = 1.0 + np.sum(one * two, axis=1)
    if np.any(straight < 1.0 + STRAIGHT):
        place = places[int(np.argmin(straight))]
        raise ValueError(f"The track turns sharply at {place:.2f}°; state more stations there, or a smoother motion.")
    shift = (one + two) / straight[:, None] * width / 2.0
    left, right = path + shift, path - shift
    steps = np.diff(path, axis=0)
    for edge in (left, right):
        back = np.sum(np.diff(edge, axis=0) * steps, axis=1) <= 0
        if np.any(back):
            place = places[int(np.argmax(back))]
            raise ValueError(f"The track bends more narrowly than half its width of {width:g} mm at {place:.2f}°.")
    return left, right, float(np.max(np.hypot(shift[:, 0], shift[:, 1]))) - width / 2.0


def _slot(path: Array, width: float, places: list[float]) -> tuple[Points, float]:
    """Return the closed edge of a track with round ends, counter-clockwise, and the bound of its corners and ends."""
    left, right, bound = _edges(path, width, places, None, None)
    ends = []
    for middle, begun in ((path[-1], right[-1]), (path[0], left[0])):
        start = np.arctan2(*(begun - middle)[::-1])
        angles = start + pi * np.arange(1, END_PIECES) / END_PIECES
        ends.append(middle + width / 2.0 * np.column_stack([np.cos(angles), np.sin(angles)]))
    sagitta = width / 2.0 * (1.0 - cos(pi / END_PIECES / 2.0))
    return _points(np.vstack([right, ends[0], left[::-1], ends[1]])), max(bound, sagitta)


def _points(line: Array) -> Points:
    rounded = np.round(line, DIGITS) + 0.0
    return tuple((float(x), float(y)) for x, y in rounded)
