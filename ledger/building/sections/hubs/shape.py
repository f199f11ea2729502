"""Drawings of hubs and sleeves: the profile of the spline, the sleeve's face, and the sleeve cut along its axis."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.building.contract import Sketch
from ledger.building.drawings.drawing import BORE, EDGE, OUTLINE, REFERENCE, Circle, Drawing, Line
from ledger.building.drawings.outlines import keyed_bore, points, spline
from ledger.building.reading import slug


@dataclass(frozen=True)
class Hub:
    """A hub to be drawn: its spline, its bore, and the keyway beyond the bore [mm]; 0 where there is none."""

    name: str
    count: int
    minor: float
    major: float
    width: float
    bore: float
    key: float
    depth: float


@dataclass(frozen=True)
class Sleeve:
    """A sleeve to be drawn: spline, outside, groove, length without dogs; radii and height of its dogs [mm]."""

    name: str
    count: int
    minor: float
    major: float
    width: float
    outside: float
    bottom: float
    groove: float
    length: float
    inner: float
    outer: float
    tall: float


def hub_sketches(hub: Hub, of: tuple[str, ...]) -> list[Sketch]:
    """Return the drawing of a hub's profile. ValueError where its splines meet."""
    title = f"Hub, {hub.name}: spline {hub.count} × {hub.minor:g} × {hub.major:g}"
    lines = [Line(OUTLINE, spline(hub.count, hub.minor, hub.major, hub.width), True)]
    circles = []
    if hub.key:
        lines.append(Line(BORE, keyed_bore(hub.bore, hub.key, hub.depth), True))
    elif hub.bore:
        circles.append(Circle(BORE, 0.0, 0.0, hub.bore / 2.0))
    told = f"{title}, splines {hub.width:g} mm wide; bore {hub.bore:g} mm" + (" with a keyway." if hub.key else ".")
    drawing = Drawing(title, tuple(lines), tuple(circles))
    return [Sketch(f"hub-{slug(hub.name)}", title, told, drawing, drawing, of)]


def sleeve_sketches(sleeve: Sleeve, of: tuple[str, ...]) -> list[Sketch]:
    """Return the drawings of a sleeve: its face, and its upper half cut along the axis."""
    name = f"sleeve-{slug(sleeve.name)}"
    face = f"Sleeve, {sleeve.name}: face without its dogs, ⌀ {sleeve.outside:g} mm"
    hole = Line(BORE, spline(sleeve.count, sleeve.minor, sleeve.major, sleeve.width), True)
    radii = [one for one in (sleeve.bottom / 2.0, sleeve.inner, sleeve.outer) if one]
    circles = (Circle(EDGE, 0.0, 0.0, sleeve.outside / 2.0), *(Circle(REFERENCE, 0.0, 0.0, one) for one in radii))
    seen = Drawing(face, (hole,), circles)
    cut = f"Sleeve, {sleeve.name}: upper half, cut along its axis; dogs between the dashed lines"
    section = Drawing(cut, (*_section(sleeve), *_dogs(sleeve)))
    return [
        Sketch(name, face, f"{face}. Dashed: bottom of the groove, and the dogs' radii.", seen, seen, of),
        Sketch(f"{name}-section", cut, f"{cut}. The axis is the dashed line below.", section, section, of),
    ]


def _section(sleeve: Sleeve) -> list[Line]:
    half, groove = sleeve.length / 2.0, sleeve.groove / 2.0
    inside, outside, bottom = sleeve.major / 2.0, sleeve.outside / 2.0, sleeve.bottom / 2.0
    line = [(-half, inside), (half, inside), (half, outside), (groove, outside), (groove, bottom), (-groove, bottom),
            (-groove, outside), (-half, outside)]  # fmt: skip
    axis = [(-half - sleeve.tall, 0.0), (half + sleeve.tall, 0.0)]
    minor = [(-half, sleeve.minor / 2.0), (half, sleeve.minor / 2.0)]
    return [
        Line(OUTLINE, points(line), True),
        Line(REFERENCE, points(axis), False),
        Line(REFERENCE, points(minor), False),
    ]


def _dogs(sleeve: Sleeve) -> list[Line]:
    if not sleeve.tall:
        return []
    half, end = sleeve.length / 2.0, sleeve.length / 2.0 + sleeve.tall
    return [
        Line(REFERENCE, points([(side * half, sleeve.inner), (side * end, sleeve.inner), (side * end, sleeve.outer),
                                (side * half, sleeve.outer)]), False)
        for side in (-1.0, 1.0)
    ]  # fmt: skip
