"""Drawings of tracks: on a drum laid flat, and on the face of a disc."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.building.drawings.drawing import BORE, EDGE, PATH, TRACK, Circle, Drawing, Line
from ledger.building.sections.tracks.shape import Track


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
