"""Drawings as frozen values: lines and circles on named layers, in mm, y upwards; of wheels, drums and discs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.building.tooth_shape import gear_outline
from ledger.building.track_shape import Track
from ledger.building.wheels import Wheel

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


def gear_drawing(wheel: Wheel, title: str = "", tolerance: float | None = None) -> Drawing:
    """Return a wheel about its middle: layers outline, bore (where it has one) and reference, its reference circle.

    Errors: as of `tooth_shape.gear_outline`.
    """
    shape = gear_outline(wheel, tolerance)
    circles = [Circle(BORE, 0.0, 0.0, shape.bore / 2.0)] if shape.bore else []
    circles.append(Circle(REFERENCE, 0.0, 0.0, shape.reference / 2.0))
    named = title or f"Wheel of {wheel.teeth} teeth, module {wheel.module:g} mm"
    return Drawing(named, (Line(OUTLINE, shape.points, True),), tuple(circles))


def drum_drawing(tracks: Sequence[Track], foot: float, length: float, title: str = "") -> Drawing:
    """Return a drum laid flat: its tracks and their pin paths, and its edge, π D long and as high as the drum.

    foot    where the drum begins, in the travel's scale [mm]; length  of the drum [mm]

    Errors: ValueError for no track, for tracks of different drums, and for a track that runs out of the drum.
    """
    said = [] if tracks else ["A drum needs a track."]
    if len({track.around for track in tracks}) > 1:
        said.append("The tracks are developed on different diameters.")
    heights = [y for track in tracks for edge in track.edges for _, y in edge]
    if tracks and not (foot <= min(heights) and max(heights) <= foot + length):
        reach = f"{min(heights):.3f} to {max(heights):.3f} mm"
        said.append(f"The tracks reach from {reach}; the drum from {foot:g} to {foot + length:g} mm.")
    if said:
        raise ValueError(" ".join(said))
    around = round(tracks[0].around, 6)
    corners = ((0.0, foot), (around, foot), (around, foot + length), (0.0, foot + length))
    return Drawing(title or "Drum, developed", (*_tracks(tracks), Line(EDGE, corners, True)))


def face_drawing(tracks: Sequence[Track], diameter: float, bore: float = 0.0, title: str = "") -> Drawing:
    """Return a disc with the tracks on its face: tracks, pin paths, its edge, and its bore where it has one.

    diameter, bore  of the disc [mm]

    Errors: ValueError for no track, and for a track that runs out of the disc or into its bore.
    """
    said = [] if tracks else ["A disc needs a track."]
    far = [(x * x + y * y) ** 0.5 for track in tracks for edge in track.edges for x, y in edge]
    if tracks and not (max(far) <= diameter / 2.0 and min(far) >= bore / 2.0):
        reach = f"{min(far):.3f} to {max(far):.3f} mm"
        said.append(f"The tracks reach from {reach} off the middle; the disc from {bore / 2:g} to {diameter / 2:g} mm.")
    if said:
        raise ValueError(" ".join(said))
    circles = [Circle(EDGE, 0.0, 0.0, diameter / 2.0)] + ([Circle(BORE, 0.0, 0.0, bore / 2.0)] if bore else [])
    return Drawing(title or "Disc with its track", tuple(_tracks(tracks)), tuple(circles))


def _tracks(tracks: Sequence[Track]) -> list[Line]:
    lines = [Line(TRACK, edge, track.edge_closed) for track in tracks for edge in track.edges]
    return lines + [Line(PATH, track.path, track.closed) for track in tracks]
