"""Drawings of dogs and of the windows that they enter: their faces, and their profile laid flat at the mean radius."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians, sin

from ledger.building.contract import Sketch
from ledger.building.drawings.drawing import BORE, OUTLINE, REFERENCE, Circle, Drawing, Line
from ledger.building.drawings.outlines import points, sector
from ledger.building.reading import slug

LEADING, TRAILING = "leading", "trailing"


@dataclass(frozen=True)
class Dog:
    """One kind of dog of a ring, to be drawn: angles in degrees, lengths in mm.

    at  its middle, from the window's, towards the side of the sloping flanks; angle  at its root; height
    run  by how much the sloping flank is aside at the tip
    """

    kind: str
    at: float
    angle: float
    height: float
    run: float


@dataclass(frozen=True)
class Ring:
    """A ring of dogs and its windows, to be drawn.

    count   pitches round the ring; inner, outer  radii of the dogs; across  radial play in the window
    window  angle [°], 0 where it is not stated; depth; away  from the sleeve's face to the wheel's in neutral
    slopes  which flank of the dogs slopes; bore, root  diameters of the wheel that the windows are let into, or 0
    """

    name: str
    dogs: tuple[Dog, ...]
    count: int
    inner: float
    outer: float
    across: float
    window: float
    depth: float
    away: float
    slopes: str
    bore: float
    root: float

    @property
    def ahead(self) -> float:
        """1 where the leading flank slopes, or none does; -1 where the trailing one slopes."""
        return -1.0 if self.slopes == TRAILING else 1.0

    @property
    def drives(self) -> str:
        """On which side of a dog, moving to the right, the wall that drives is; "" where none slopes or is not said."""
        sides = {LEADING: "left", TRAILING: "right"}
        return sides.get(self.slopes, "") if any(dog.run for dog in self.dogs) else ""


def sketches(ring: Ring, of: tuple[str, ...]) -> list[Sketch]:
    """Return the drawings of a ring: the dogs, the windows where they are stated, and the profile of both."""
    name = f"dogs-{slug(ring.name)}"
    title = f"Dogs, {ring.name}: seen from in front, the sleeve turning counter-clockwise"
    made = [_sketch(name, title, _dogs(ring), of)]
    if ring.window:
        title = f"Windows for the {ring.name} dogs: seen from in front"
        made.append(_sketch(windows_name(ring.name), title, _windows(ring), of))
    drives = f"; the drive bears on the {ring.drives}" if ring.drives else ""
    title = f"Dogs, {ring.name}: profile at the mean radius, laid flat, moving to the right; the wheel above{drives}"
    made.append(_sketch(f"{name}-profile", title, _profile(ring), of))
    return made


def windows_name(ring: str) -> str:
    """Return the name of the drawing of a ring's windows."""
    return f"windows-{slug(ring)}"


def _sketch(name: str, title: str, drawing: Drawing, of: tuple[str, ...]) -> Sketch:
    drawn = Drawing(title, drawing.lines, drawing.circles)
    return Sketch(name, title, f"{title}. Dashed: edges of the tips, and circles to measure by.", drawn, drawn, of)


def _dogs(ring: Ring) -> Drawing:
    lines = []
    for place in range(ring.count):
        for dog in ring.dogs:
            middle, half = radians(360.0 / ring.count * place + ring.ahead * dog.at), radians(dog.angle) / 2.0
            lines.append(Line(OUTLINE, sector(ring.inner, ring.outer, middle - half, middle + half), True))
            if dog.run:
                edge = [
                    (radius * cos(angle), radius * sin(angle))
                    for radius in (ring.inner, ring.outer)
                    for angle in (middle + ring.ahead * (half - dog.run / radius),)
                ]
                lines.append(Line(REFERENCE, points(edge), False))
    middle = (ring.inner + ring.outer) / 2.0
    return Drawing("", tuple(lines), (Circle(REFERENCE, 0.0, 0.0, middle),))


def _windows(ring: Ring) -> Drawing:
    half = radians(ring.window) / 2.0
    inner, outer = ring.inner - ring.across / 2.0, ring.outer + ring.across / 2.0
    lines = tuple(
        Line(OUTLINE, sector(inner, outer, middle - half, middle + half), True)
        for middle in (2.0 * pi * place / ring.count for place in range(ring.count))
    )
    circles = [Circle(BORE, 0.0, 0.0, ring.bore / 2.0)] if ring.bore else []
    circles += [Circle(REFERENCE, 0.0, 0.0, ring.root / 2.0)] if ring.root else []
    return Drawing("", lines, tuple(circles))


def _profile(ring: Ring) -> Drawing:
    radius = (ring.inner + ring.outer) / 2.0
    pitch = 2.0 * pi * radius / ring.count
    line = [(-pitch / 2.0, 0.0)]
    for dog in sorted(ring.dogs, key=lambda one: ring.ahead * one.at):
        middle, half = radius * radians(ring.ahead * dog.at), radius * radians(dog.angle) / 2.0
        lead, trail = (dog.run, 0.0) if ring.ahead > 0 else (0.0, dog.run)
        line += [
            (middle - half, 0.0),
            (middle - half + trail, dog.height),
            (middle + half - lead, dog.height),
            (middle + half, 0.0),
        ]
    lines = [Line(OUTLINE, points([*line, (pitch / 2.0, 0.0)]), False)]
    if ring.window and ring.depth:
        half, away, floor = radius * radians(ring.window) / 2.0, ring.away, ring.away + ring.depth
        wheel = [(-pitch / 2.0, away), (-half, away), (-half, floor), (half, floor), (half, away), (pitch / 2.0, away)]
        lines.append(Line(OUTLINE, points(wheel), False))
    return Drawing("", tuple(lines))
