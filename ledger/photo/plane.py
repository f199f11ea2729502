"""Lengths and angles on a plane of which some points are known.

Four known points, a known rectangle, or a pitch circle with points at known angles give the map from picture to plane;
more are fitted by least squares in the picture. Doubt of picks, known places and lens goes through the whole map by
draws. All that is measured must lie in that plane.

Source: Hartley and Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. (2004), 2.3, 4.1 and 8.1, from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from ledger.photo import homography
from ledger.photo.lens import Lens, doubted_by_lens, straighten
from ledger.photo.plane_faults import frame_faults, known_place_faults, target_faults
from ledger.photo.plane_known import Frame
from ledger.photo.values import DRAWS, Measured, Pick, draw_picks, measured, places, refuse, spread
from ledger.quantities.draws import generator

# Picks of what is measured; picks of the known points; what is known of those; the lens.
CAUSES = ("picking", "reference", "known", "lens")
# Parts and weights are told to a few per cent, for which this is enough.
DRAWS_FOR_PARTS, DRAWS_FOR_WEIGHTS = 1_000, 200


def length(frame: Frame, one: Pick, other: Pick, lens: Lens, label: str = "length", count: int = DRAWS) -> Measured:
    """Return the distance between two picks in the plane [mm]: |P2 - P1|. PhotoRefused as `on_plane` says."""
    return _measure(
        frame, (one, other), lens, label, "mm", count, lambda at: _reach(at[:, 1] - at[:, 0]), apart=((0, 1),)
    )


def angle(
    frame: Frame, one: Pick, vertex: Pick, other: Pick, lens: Lens, label: str = "angle", count: int = DRAWS
) -> Measured:
    """Return the angle at a vertex between two picks [°], from 0 to 180 at the best value.

    The angle from one leg to the other, atan2(a × b, a · b), followed without a break over 0° and 180°, so that an
    interval may reach past either. PhotoRefused as `on_plane` says.
    """

    def between(at: np.ndarray) -> np.ndarray:
        first, second = at[:, 0] - at[:, 1], at[:, 2] - at[:, 1]
        turned = np.degrees(np.arctan2(_turn(first, second), np.sum(first * second, axis=-1)))
        best = turned[0]
        turned = best + (turned - best + 180) % 360 - 180
        return np.asarray(-turned if best < 0 else turned)

    return _measure(frame, (one, vertex, other), lens, label, "°", count, between, apart=((0, 1), (1, 2)))


def rectification(frame: Frame, lens: Lens) -> np.ndarray:
    """Return the homography that takes straightened pixels to the plane [mm] at the best values, shape (3, 3)."""
    refuse(frame_faults(frame, lens))
    return np.asarray(_maps(frame, lens, (), 0)[0][0])


def on_plane(
    frame: Frame,
    picks: Sequence[Pick],
    lens: Lens,
    causes: Sequence[str],
    count: int,
    apart: Sequence[tuple[int, int]] = (),
) -> np.ndarray:
    """Return where picks lie in the plane [mm], shape (1 + count, picks, 2): first the best values, then draws.

    causes  what is drawn, of "picking", "reference", "known" and "lens"; the rest stays at its best value
    apart   which two picks, by number, must not coincide

    PhotoRefused, all faults at once: fewer than four known points; picks that are no pixels; three of four points on
    one line within their doubt; coincident points; known values of a wrong dimension or not surely above zero; corners
    out of order; and picks that do or may lie beyond the horizon, in any draw.
    """
    refuse([*frame_faults(frame, lens), *target_faults(picks, apart)])
    return _reached(frame, picks, lens, causes, count)


def _reached(frame: Frame, picks: Sequence[Pick], lens: Lens, causes: Sequence[str], count: int) -> np.ndarray:
    # The frame alone does not vary with the picks of what is measured.
    to_plane, seen = _maps(frame, lens, causes, 0 if set(causes) <= {"picking"} else count)
    pixels = _pixels(picks, "picking" in causes, count, frame.photograph)
    straight = straighten(lens, pixels, picks, "lens" in causes, frame.photograph) if picks else pixels
    if "lens" in causes:
        straight[0] = straighten(lens, pixels[:1], picks, False, frame.photograph)[0]
    reached, third = homography.apply(to_plane, straight)
    refuse(_beyond(homography.apply(to_plane, seen)[1], "the known points", frame.form))
    refuse(_beyond(third, "the picks to be measured", ""))
    return np.asarray(reached)


def _maps(frame: Frame, lens: Lens, causes: Sequence[str], count: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the maps from picture to plane, best and drawn, and the straightened picks of the frame."""
    pixels = _pixels(frame.picks, "reference" in causes, count, frame.photograph)
    seen = straighten(lens, pixels, frame.picks, "lens" in causes, frame.photograph)
    if "lens" in causes:
        seen[0] = straighten(lens, pixels[:1], frame.picks, False, frame.photograph)[0]
    known = _known_places(frame, count, "known" in causes)
    refuse(known_place_faults(known[0]))
    if len(frame.picks) == 4:
        return homography.through_four(seen, known), seen
    doubt = np.array([pick.u for pick in frame.picks])
    to_picture = homography.through_many(known[:1], seen[:1], 1 / doubt**2)
    # A known place of some doubt is worth a pick of that much more doubt.
    scatter = np.sqrt(np.mean(np.var(_known_places(frame, DRAWS_FOR_WEIGHTS, True)[1:], axis=0), axis=-1))
    doubt = np.hypot(doubt, scatter * homography.magnification(to_picture, known[:1])[0])
    to_picture = homography.through_many(known, seen, 1 / doubt**2)
    return homography.inverse(to_picture, seen), seen


def _pixels(picks: Sequence[Pick], doubted: bool, count: int, photograph: str) -> np.ndarray:
    marked = places(picks)
    drawn = draw_picks(picks, count, photograph) if doubted else np.repeat(marked[None], count, axis=0)
    return np.concatenate([marked[None], drawn])


def _known_places(frame: Frame, count: int, doubted: bool) -> np.ndarray:
    """Return the known places [mm], shape (1 + count, n, 2)."""
    columns = []
    marked = str(places(frame.picks).tolist())
    for number, known in enumerate(frame.knowns):
        held = known.to("°" if frame.form == "circle" and number else "mm")
        random = generator("known", frame.photograph, frame.form, str(number), known.text, marked)
        drawn = held.draw(count, random) if doubted else np.full(count, held.mean)
        columns.append(np.concatenate([[held.mean], drawn]))
    if frame.form == "points":
        return np.stack(columns, axis=-1).reshape(1 + count, -1, 2)
    if frame.form == "rectangle":
        width, height, none = columns[0], columns[1], np.zeros(1 + count)
        corners = ((none, none), (width, none), (width, height), (none, height))
        return np.stack([np.stack(corner, axis=-1) for corner in corners], axis=1)
    angles = np.radians(np.stack(columns[1:], axis=-1))
    radius = columns[0][:, None] / 2
    return np.stack([radius * np.cos(angles), radius * np.sin(angles)], axis=-1)


def _measure(
    frame: Frame,
    picks: Sequence[Pick],
    lens: Lens,
    label: str,
    unit: str,
    count: int,
    wanted: Callable[[np.ndarray], np.ndarray],
    apart: Sequence[tuple[int, int]],
) -> Measured:
    drawn = wanted(on_plane(frame, picks, lens, CAUSES, count, apart))[1:]
    parts = {
        cause: spread(wanted(_reached(frame, picks, lens, (cause,), min(count, DRAWS_FOR_PARTS)))[1:])
        for cause in _present(lens)
    }
    return measured(label, unit, drawn, parts)


def _present(lens: Lens) -> tuple[str, ...]:
    return CAUSES if doubted_by_lens(lens) else CAUSES[:3]


def _beyond(third: np.ndarray, what: str, form: str) -> list[str]:
    if np.isfinite(third).all() and (third > 0).all():
        return []
    more = " Give the corners in order round the rectangle." if form == "rectangle" else ""
    return [
        f"plane: given {what} on both sides of the plane's horizon, or so near to it that their doubt reaches across; "
        f"expected all on the near side. Check that picks and known places are in the same order.{more}"
    ]


def _reach(offset: np.ndarray) -> np.ndarray:
    return np.asarray(np.hypot(offset[..., 0], offset[..., 1]))


def _turn(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    return np.asarray(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0])
