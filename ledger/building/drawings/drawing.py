"""Drawings as frozen values: lines and circles on named layers, in mm, y upwards."""

from __future__ import annotations

from dataclasses import dataclass

Points = tuple[tuple[float, float], ...]

OUTLINE, BORE, REFERENCE, TRACK, PATH, EDGE = "outline", "bore", "reference", "track", "path", "edge"
# Whether a layer is cut; the others are there to be measured by.
LAYERS = {OUTLINE: True, BORE: True, TRACK: True, EDGE: True, REFERENCE: False, PATH: False}


@dataclass(frozen=True)
class Line:
    """Straight pieces from point to point, on a layer; closed: from the last to the first as well."""

    layer: str
    points: Points
    closed: bool


@dataclass(frozen=True)
class Circle:
    """A circle on a layer: its middle and its radius [mm]."""

    layer: str
    x: float
    y: float
    radius: float


@dataclass(frozen=True)
class Drawing:
    """Lines and circles [mm], y upwards, and what they show in a few words."""

    title: str
    lines: tuple[Line, ...]
    circles: tuple[Circle, ...] = ()

    @property
    def layers(self) -> tuple[str, ...]:
        """The layers in use, in the order of `LAYERS`."""
        used = {line.layer for line in self.lines} | {one.layer for one in self.circles}
        return tuple(layer for layer in LAYERS if layer in used)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y [mm]."""
        xs = [x for line in self.lines for x, _ in line.points]
        ys = [y for line in self.lines for _, y in line.points]
        for one in self.circles:
            xs += [one.x - one.radius, one.x + one.radius]
            ys += [one.y - one.radius, one.y + one.radius]
        return min(xs), min(ys), max(xs), max(ys)
