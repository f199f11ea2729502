"""Parts as lists of corners and faces: gears, rings, dogs, bolts, tubes, plates with openings.

Every function returns a Mesh: corners (n, 3) [mm], faces as tuples of corner numbers, and a surface number per face.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import cos, hypot, pi, radians, sin, tan

import numpy as np
from box import Part, tooth_half_angle

Face = tuple[int, ...]
Outline = list[tuple[float, float]]


@dataclass
class Mesh:
    """Corners, faces, and which of the object's surfaces each face has."""

    corners: np.ndarray
    faces: list[Face]
    surfaces: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        if not self.surfaces:
            self.surfaces = [0] * len(self.faces)


def join(meshes: Iterable[Mesh]) -> Mesh:
    """Return several meshes as one."""
    corners, faces, surfaces, count = [], [], [], 0
    for mesh in meshes:
        corners.append(mesh.corners)
        faces += [tuple(i + count for i in face) for face in mesh.faces]
        surfaces += mesh.surfaces
        count += len(mesh.corners)
    return Mesh(np.vstack(corners), faces, surfaces)


def painted(mesh: Mesh, surface: int) -> Mesh:
    """Return the mesh with all its faces of one surface."""
    return Mesh(mesh.corners, mesh.faces, [surface] * len(mesh.faces))


def layers(rings: Sequence[np.ndarray], closed: bool = False) -> Mesh:
    """Return the skin over rings of corners of equal number; `closed` joins the last ring to the first."""
    n, m = len(rings[0]), len(rings)
    faces: list[Face] = []
    for k in range(m if closed else m - 1):
        a, b = k * n, (k + 1) % m * n
        faces += [(a + i, a + (i + 1) % n, b + (i + 1) % n, b + i) for i in range(n)]
    return Mesh(np.vstack(rings), faces)


def circle(place: float, y: float, z: float, radii: np.ndarray, angles: np.ndarray) -> np.ndarray:
    """Return corners on circles about a shaft; angles [rad] from the left side upwards."""
    return np.column_stack([np.full(len(angles), place), y - radii * np.cos(angles), z + radii * np.sin(angles)])


def turned(y: float, z: float, profile: Outline, segments: int = 160, closed: bool = True) -> Mesh:
    """Return a part turned about a shaft, from its profile of (x, r), closed for rings."""
    angles = np.linspace(0, 2 * pi, segments, endpoint=False)
    return layers([circle(x, y, z, np.full(segments, max(r, 1e-3)), angles) for x, r in profile], closed)


def ring(y: float, z: float, x0: float, x1: float, inner: float, outer: float, chamfer: float = 0.5) -> Mesh:
    """Return a ring with chamfered outer edges."""
    c = min(chamfer, (x1 - x0) / 3)
    profile = [(x0, inner), (x0, outer - c), (x0 + c, outer), (x1 - c, outer), (x1, outer - c), (x1, inner)]
    return turned(y, z, profile)


def bar(y: float, z: float, x0: float, x1: float, radius: float, chamfer: float = 1.0) -> Mesh:
    """Return a round bar along the truck with chamfered ends."""
    profile = [(x0, 0), (x0, radius - chamfer), (x0 + chamfer, radius), (x1 - chamfer, radius),
               (x1, radius - chamfer), (x1, 0)]  # fmt: skip
    return turned(y, z, profile, 64, closed=False)


def tooth_outline(part: Part, flank: int = 7, land: int = 3) -> tuple[np.ndarray, np.ndarray]:
    """Return radii and angles [rad] of a gear's outline, with rounded roots, in order of the angle."""
    root, tip, teeth = part["root_radius"], part["tip_radius"], part["teeth"]
    pitch = 2 * pi / teeth
    low = root + 0.35 * part["module"]
    heights = np.linspace(low, tip - 0.25, flank)
    half = [tooth_half_angle(part, r) for r in heights]
    crest = tooth_half_angle(part, tip) - 0.25 / tip
    gap = pitch / 2
    side = [(root, gap * 0.999), (root, half[0] + 0.45 * (gap - half[0])), (root + 0.10 * part["module"],
            half[0] + 0.2 * (gap - half[0]))] + list(zip(heights, half, strict=True))  # fmt: skip
    radii, angles = [], []
    for k in range(teeth):
        middle = radians(part["phase"]) + k * pitch
        rising = [(r, middle - a) for r, a in side]
        top = [(tip, middle + crest * t) for t in np.linspace(-1, 1, land)]
        falling = [(r, middle + a) for r, a in reversed(side)]
        for r, a in rising + top + falling:
            radii.append(r)
            angles.append(a)
    return np.array(radii), np.array(angles)


def toothed_ring(part: Part, inner: float, front: float | None = None, rear: float | None = None) -> Mesh:
    """Return a gear's teeth and rim down to a radius, tips chamfered at both sides; surface 1 is the flanks."""
    x0, x1 = part["front"] if front is None else front, part["rear"] if rear is None else rear
    radii, angles = tooth_outline(part)
    c = part["tip_chamfer"]
    soft = np.minimum(radii, part["tip_radius"] - c)
    soft = soft - 0.25 * (radii > part["root_radius"] + 1)
    flat = np.full(len(radii), inner)
    y, z = part["y"], part["z"]
    rings = [circle(x, y, z, r, angles) for x, r in (
        (x0, flat), (x0, soft), (x0 + c, radii), (x1 - c, radii), (x1, soft), (x1, flat))]  # fmt: skip
    mesh = layers(rings)
    n = len(radii)
    mesh.surfaces = [0] * (2 * n) + [1] * n + [0] * (2 * n)
    return mesh


def sector(y: float, z: float, x0: float, x1: float, inner: float, outer: float, low: float, high: float,
           slope: float = 0.0, mean: float = 62.0, steps: int = 8) -> Mesh:  # fmt: skip
    """Return a block between two radii and two angles [deg], from the root x0 to the tip x1 (either way along x).

    slope  degrees by which the flank at the low angle leans back against the axis: so many less at the tip, taken at
           the mean radius
    """
    lean = np.degrees(abs(x1 - x0) * tan(radians(slope)) / mean)
    edge = 0.6
    nearly = x1 - np.sign(x1 - x0) * edge
    rings = []
    for x, off, cut in ((x0, 0.0, 0.0), (nearly, lean * (1 - edge / abs(x1 - x0)), 0.0), (x1, lean, edge)):
        grow = np.degrees(cut / mean)
        angles = np.radians(np.linspace(low + off + grow, high - grow, steps))
        rings.append(np.vstack([circle(x, y, z, np.full(steps, outer - cut), angles),
                                circle(x, y, z, np.full(steps, inner + cut), angles[::-1])]))  # fmt: skip
    mesh = layers(rings)
    mesh.faces += [tuple(range(2 * len(rings[0]), 3 * len(rings[0]))), tuple(range(len(rings[0])))[::-1]]
    mesh.surfaces += [0, 0]
    return mesh


def windowed_side(part: Part, inner: float, outer: float, place: float, outward: float) -> Mesh:
    """Return a gear's side between two radii with its windows let in; outward is +1 for the rear side, else -1."""
    w = part["windows"]
    marks: list[tuple[float, bool]] = []
    for k in range(w["count"]):
        start = w["first"] + k * w["pitch"]
        marks += [(a, True) for a in np.linspace(start, start + w["angle"], 14)]
        marks += [(a, False) for a in np.linspace(start + w["angle"], start + w["pitch"], 10)]
    floor = place - outward * w["depth"]
    pieces = []
    for (a, cut), (b, _) in zip(marks, marks[1:] + [(marks[0][0] + 360, True)], strict=True):
        for r0, r1, depth in ((inner, w["inner"], place), (w["inner"], w["outer"], floor if cut else place),
                              (w["outer"], outer, place)):  # fmt: skip
            pieces.append(_patch(part, depth, r0, r1, a, b))
        if cut and b > a:
            for r in (w["inner"], w["outer"]):
                pieces.append(_wall(part, r, r, a, b, place, floor))
    for k in range(w["count"]):
        for a in (w["first"] + k * w["pitch"], w["first"] + k * w["pitch"] + w["angle"]):
            pieces.append(_wall(part, w["inner"], w["outer"], a, a, place, floor))
    return join(pieces)


def _patch(part: Part, x: float, r0: float, r1: float, a: float, b: float) -> Mesh:
    angles = np.radians([a, b, b, a])
    return Mesh(circle(x, part["y"], part["z"], np.array([r0, r0, r1, r1]), angles), [(0, 1, 2, 3)])


def _wall(part: Part, r0: float, r1: float, a: float, b: float, x0: float, x1: float) -> Mesh:
    ends = circle(x0, part["y"], part["z"], np.array([r0, r1]), np.radians([a, b]))
    deep = circle(x1, part["y"], part["z"], np.array([r0, r1]), np.radians([a, b]))
    return Mesh(np.vstack([ends, deep[::-1]]), [(0, 1, 2, 3)])


def splined(y: float, z: float, x0: float, x1: float, root: float, tip: float, count: int,
            bands: Sequence[tuple[float, float, int]] = ()) -> Mesh:  # fmt: skip
    """Return a hub with straight splines; bands (from, to, surface) give stretches of it another surface."""
    pitch = 2 * pi / count
    angles, radii = [], []
    for k in range(count):
        for part_of, r in ((0.0, root), (0.42, root), (0.5, tip), (0.92, tip)):
            angles.append((k + part_of) * pitch)
            radii.append(r)
    cuts = sorted({x0, x1, *(x for a, b, _ in bands for x in (a, b))})
    rings = [circle(x0, y, z, np.full(len(radii), 20.0), np.array(angles))]
    rings += [circle(x, y, z, np.array(radii), np.array(angles)) for x in cuts]
    rings += [circle(x1, y, z, np.full(len(radii), 20.0), np.array(angles))]
    mesh = layers(rings)
    n = len(radii)
    surfaces = [0] * n
    for a, b in pairwise(cuts):
        middle = (a + b) / 2
        surfaces += [next((s for f, t, s in bands if f <= middle <= t), 0)] * n
    mesh.surfaces = surfaces + [0] * n
    return mesh


def rounded(left: float, right: float, low: float, high: float, radius: float, steps: int = 8) -> Outline:
    """Return the outline of a rectangle with round corners, 4 (steps + 1) corners, anticlockwise from lower right."""
    outline: Outline = []
    for cx, cz, start in ((right - radius, low + radius, -90), (right - radius, high - radius, 0),
                          (left + radius, high - radius, 90), (left + radius, low + radius, 180)):  # fmt: skip
        for k in range(steps + 1):
            turn = radians(start + 90 * k / steps)
            outline.append((cx + radius * cos(turn), cz + radius * sin(turn)))
    return outline


def plate(outer: Outline, y0: float, y1: float, hole: Outline | None = None, edge: float = 0.0) -> Mesh:
    """Return a plate across the truck between y0 and y1, with a hole of as many corners, its edges chamfered."""

    def at(outline: Outline, y: float, grow: float = 0.0) -> np.ndarray:
        middle = np.mean(outline, axis=0)
        rows = []
        for x, z in outline:
            away = hypot(x - middle[0], z - middle[1])
            factor = 1 + grow / max(away, 1e-9)
            rows.append((middle[0] + (x - middle[0]) * factor, y, middle[1] + (z - middle[1]) * factor))
        return np.array(rows)

    e = edge if y1 > y0 else -edge
    skin = [at(outer, y0, -edge), at(outer, y0 + e), at(outer, y1 - e), at(outer, y1, -edge)] if edge else [
        at(outer, y0), at(outer, y1)]  # fmt: skip
    if hole is not None:
        return layers([at(hole, y0, edge)] + skin + [at(hole, y1, edge), at(hole, y1 - e), at(hole, y0 + e)], True)
    mesh = layers(skin)
    n = len(outer)
    mesh.faces += [tuple(range(n)), tuple(range(n * (len(skin) - 1), n * len(skin)))[::-1]]
    mesh.surfaces += [0, 0]
    return mesh


def disc_outline(x: float, z: float, radius: float, count: int = 128, first: float = -90.0) -> Outline:
    """Return a circle as an outline."""
    turns = [radians(first) + 2 * pi * k / count for k in range(count)]
    return [(x + radius * cos(t), z + radius * sin(t)) for t in turns]


def block(x0: float, x1: float, y0: float, y1: float, z0: float, z1: float) -> Mesh:
    """Return a cuboid."""
    corners = np.array([(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (z0, z1)], float)
    return Mesh(corners, [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)])


def across(mesh: Mesh, x: float, z: float, y: float, outward: float) -> Mesh:
    """Return a part made about the x axis at its zero, turned so that its x points to outward (-1: left) across."""
    c = mesh.corners
    return Mesh(np.column_stack([x + c[:, 1], y + outward * c[:, 0], z + c[:, 2]]), mesh.faces, mesh.surfaces)


def bolt(across_flats: float, head: float, turn: float = 0.0, washer: float = 0.0) -> Mesh:
    """Return a hexagon head about the x axis, its seat at x = 0, chamfered on top, with a washer under it."""
    corner = across_flats / 2 / cos(pi / 6)
    fine = np.arange(48) / 48 * 2 * pi
    hexagon = (across_flats / 2) / np.cos((fine + pi / 6) % (pi / 3) - pi / 6)
    top = np.minimum(hexagon, 0.955 * corner)
    angles = fine + radians(turn)
    low = washer
    rings = [circle(low, 0, 0, hexagon, angles), circle(low + head - 0.07 * across_flats, 0, 0, hexagon, angles),
             circle(low + head - 0.02 * across_flats, 0, 0, top, angles),
             circle(low + head, 0, 0, np.minimum(hexagon, 0.46 * across_flats), angles),
             circle(low + head - 0.35, 0, 0, np.full(48, 0.33 * across_flats), angles),
             circle(low + head - 0.35, 0, 0, np.full(48, 1e-3), angles)]  # fmt: skip
    parts = [layers(rings)]
    if washer:
        parts.append(ring(0, 0, 0, washer, across_flats * 0.3, across_flats * 0.63, 0.3))
    return join(parts)


def tube(path: Sequence[Sequence[float]], radius: float, bend: float = 0.0, segments: int = 24) -> Mesh:
    """Return a round tube along a path of points, its corners rounded by a radius."""
    points = _rounded_path([np.array(p, float) for p in path], bend)
    tangents = [points[min(i + 1, len(points) - 1)] - points[max(i - 1, 0)] for i in range(len(points))]
    side = np.cross(tangents[0], [0.3, 0.5, 0.8])
    rings = []
    for point, along in zip(points, tangents, strict=True):
        along = along / np.linalg.norm(along)
        side = side - along * (side @ along)
        side = side / np.linalg.norm(side)
        other = np.cross(along, side)
        turns = np.linspace(0, 2 * pi, segments, endpoint=False)[:, None]
        rings.append(point + radius * (np.cos(turns) * side + np.sin(turns) * other))
    mesh = layers(rings)
    n = len(mesh.corners)
    mesh.faces += [tuple(range(segments))[::-1], tuple(range(n - segments, n))]
    mesh.surfaces += [0, 0]
    return mesh


def _rounded_path(points: list[np.ndarray], bend: float) -> list[np.ndarray]:
    if bend <= 0:
        return points
    path = [points[0]]
    for before, here, after in zip(points, points[1:], points[2:], strict=False):
        back, on = before - here, after - here
        reach = min(bend, np.linalg.norm(back) / 2, np.linalg.norm(on) / 2)
        a, b = here + back / np.linalg.norm(back) * reach, here + on / np.linalg.norm(on) * reach
        path += [(1 - t) ** 2 * a + 2 * t * (1 - t) * here + t * t * b for t in np.linspace(0, 1, 10)]
    return path + [points[-1]]


def groove_path(part: Part, radius: float, rests: int = 9) -> Callable[[float], float]:
    """Return the radius of a cam groove over the disc's angle [deg]: a few lifts among the rests, smooth between."""
    lifts = {70.0: (0, 0, 1, 0, 0, -1, 0, 0, 0), 102.0: (1, 0, -1, 0, 0, 0, 0, 0, 0)}[radius]

    def at(angle: float) -> float:
        place = angle % 360 / part["pitch"]
        k, within = int(place) % rests, place % 1
        smooth = min(max((within - 0.3) / 0.4, 0.0), 1.0)
        smooth = smooth * smooth * (3 - 2 * smooth)
        return radius + part["lift"] * (lifts[k] * (1 - smooth) + lifts[(k + 1) % rests] * smooth)

    return at


def cam_disc(part: Part, segments: int = 360) -> Mesh:
    """Return the face-cam disc: two grooves of equal width let into each face, a hub bore, chamfered edge."""
    turns = np.radians(np.arange(segments) * 360 / segments)
    width, depth, left, right = part["groove_width"] / 2, part["groove_depth"], part["left"], part["right"]
    paths = [groove_path(part, r) for r in part["groove_radii"]]
    steps: list[tuple[float, Callable[[float], float]]] = [(0.0, lambda a: 16.0)]
    for path in paths:
        steps += [(0.0, lambda a, p=path: p(a) - width), (depth, lambda a, p=path: p(a) - width),
                  (depth, lambda a, p=path: p(a) + width), (0.0, lambda a, p=path: p(a) + width)]  # fmt: skip
    steps += [(0.0, lambda a: part["radius"] - 1), (1.0, lambda a: part["radius"])]
    degrees = np.degrees(turns)

    def loop(y: float, radius: Callable[[float], float]) -> np.ndarray:
        r = np.array([radius(a) for a in degrees])
        return np.column_stack([part["x"] + r * np.cos(turns), np.full(segments, y), part["z"] + r * np.sin(turns)])

    near = [loop(left + d, r) for d, r in steps]
    far = [loop(right - d, r) for d, r in reversed(steps)]
    return layers(near + far, closed=True)
