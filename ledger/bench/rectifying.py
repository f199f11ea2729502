"""A known plane seen square on: the photograph carried over to it, at the best values."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import numpy as np
from PIL import Image
from scipy import ndimage

from ledger.bench.asking import Picks
from ledger.bench.measuring import stated
from ledger.bench.telling import Told, on_a_plane, refused, wrong
from ledger.errors import PhotoRefused
from ledger.photo import homography
from ledger.photo.declaring import Use
from ledger.photo.held import picks_of, read_known, wrongs
from ledger.photo.lengths_declared import frame_of
from ledger.photo.lens import BrownLens, Lens, UnknownLens, distort, straighten
from ledger.photo.lens_stated import lens_of
from ledger.photo.pictures import find, open_picture
from ledger.photo.plane import rectification

# The longer side of what is shown, at most and at least [px]; how much of the plane is shown about the known points.
MOST, LEAST, AROUND = 1_100, 300, 0.35
QUALITY = 85


def rectified(root: Path, picks: Picks) -> Told:
    """Return the known plane as it would be seen square on, with the picks on it, or everything that is wrong.

    picture        a JPEG, as base64; width, height [px]
    scale          pixels a millimetre
    points         role to places in that picture
    """
    try:
        one = stated(root, picks)
        if isinstance(one, list):
            return {"wrong": wrong(one)}
        if not on_a_plane(one.method):
            raise PhotoRefused(
                f"by: given {one.method.name}; expected a way of measuring on a known plane. Choose one of those."
            )
        frame = {role.name for role in one.method.roles if role.instead == "frame"}
        faults = wrongs(one.method, one.points, one.known, one.lens, one.size, one.doubt)
        held = [fault for fault in faults if fault.field.split(".")[-1] != "part" and "`part`" not in fault.given]
        if held:
            return {"wrong": wrong(held)}
        assert one.size is not None
        use = Use(
            picks_of(one.points, one.doubt),
            read_known(one.method, one.points, one.known),
            lens_of(one.lens, one.size),
            one.size,
            one.file,
            None,
            0,
        )
        return _rectified(root, use, frame)
    except PhotoRefused as error:
        return {"wrong": refused(error)}


def _rectified(root: Path, use: Use, frame: set[str]) -> Told:
    to_plane = rectification(frame_of(use), use.lens)
    on_plane = {role: _carried(to_plane, _straight(use, role)) for role in use.points}
    known = np.concatenate([at for role, at in on_plane.items() if role in frame])
    middle, reach = (known.max(axis=0) + known.min(axis=0)) / 2, np.ptp(known, axis=0).max()
    wanted = np.concatenate([known, *(_near(at, middle, 2 * reach) for at in on_plane.values())])
    low, high = wanted.min(axis=0) - AROUND * reach, wanted.max(axis=0) + AROUND * reach
    seen = np.concatenate([_straight(use, role) for role in use.points if role in frame])
    finest = np.ptp(seen, axis=0).max() / reach
    scale = float(np.clip(finest * np.ptp(wanted, axis=0).max() * (1 + 2 * AROUND), LEAST, MOST) / (high - low).max())
    # Known places may be stated with y up or down: the picture is never shown mirrored.
    mirrored = float(np.linalg.det(to_plane)) < 0
    width, height = (int(one) for one in np.ceil((high - low) * scale))
    across, down = np.meshgrid(np.arange(width), np.arange(height))
    at_y = high[1] - down / scale if mirrored else low[1] + down / scale
    grid = np.stack([low[0] + across / scale, at_y], axis=-1).reshape(-1, 2)
    pixels = _taken(root, use, np.linalg.inv(to_plane), grid).reshape(height, width, 3)
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=QUALITY)
    places = {}
    for role, at in on_plane.items():
        drawn_y = high[1] - at[:, 1] if mirrored else at[:, 1] - low[1]
        places[role] = np.round(np.stack([at[:, 0] - low[0], drawn_y], axis=-1) * scale, 1).tolist()
    return {
        "picture": base64.b64encode(out.getvalue()).decode(),
        "width": width,
        "height": height,
        "scale": scale,
        "points": places,
    }


def _taken(root: Path, use: Use, to_picture: np.ndarray, grid: np.ndarray) -> np.ndarray:
    """Return the colours of the photograph at places of the plane; what lies outside of it is grey."""
    image = open_picture(find(root, use.photograph), use.photograph).image
    assert image is not None
    if image.mode.startswith("I"):
        image = image.point(lambda value: value * (1 / 256)).convert("L")
    colours = np.asarray(image.convert("RGB"))
    at, third = homography.apply(to_picture, grid)
    here = third * np.sign(np.median(third)) > 0
    bent = _bent(use.lens, np.where(here[:, None], at, -10.0))
    order = [bent[:, 1] - 0.5, bent[:, 0] - 0.5]
    taken = [ndimage.map_coordinates(colours[..., band], order, order=1, cval=128) for band in range(3)]
    return np.stack(taken, axis=-1).astype(np.uint8)


def _straight(use: Use, role: str) -> np.ndarray:
    """Return the picks of a role as a lens without distortion would have drawn them, at its best values."""
    picks = use.points[role]
    places = np.array([[(pick.x, pick.y) for pick in picks]])
    return np.asarray(straighten(use.lens, places, picks, False, use.photograph)[0])


def _bent(lens: Lens, straight: np.ndarray) -> np.ndarray:
    """Return where the lens draws straight pixels, at its best values: the other way round of `straighten`."""
    if isinstance(lens, BrownLens):
        return distort(lens, straight)
    if isinstance(lens, UnknownLens) and lens.bend.mean:
        half = np.hypot(lens.width, lens.height) / 2
        middle = np.array([lens.width, lens.height]) / 2 + half * lens.aside.mean
        offset = (straight - middle) / half
        reach = np.maximum(np.hypot(offset[:, 0], offset[:, 1]), 1e-12)
        bend = lens.bend.mean
        inside = np.maximum(1 + 4 * bend * reach**2, 0.0)
        drawn = 2 * reach / (1 + np.sqrt(inside))
        return np.asarray(middle + half * offset * (drawn / reach)[:, None])
    return straight


def _carried(matrix: np.ndarray, places: np.ndarray) -> np.ndarray:
    return np.asarray(homography.apply(matrix, places)[0])


def _near(places: np.ndarray, middle: np.ndarray, reach: float) -> np.ndarray:
    """Return the places that are not far from the known points: one beyond the horizon must not rule the picture."""
    off = np.abs(places - middle).max(axis=-1)
    return np.asarray(places[np.isfinite(off) & (off < reach)])
