"""A length from a known length near it: in the same plane, or at a stated difference in depth.

The plane of the two lengths is taken to face the camera but for a small tilt, of which only the usual size is known. A
picked point at (x, y) px from the picture's middle is seen along the ray r = (x/f, y/f, 1); with n the normal of the
plane, it lies at r/(n · r) times the plane's distance. So with the known length L between A and B, the wanted one is

    (L/|A - B| + δ) |C - D|,    A, B, C, D = r/(n · r),

exactly, whatever the tilt; δ is how much farther from the camera than the known length the wanted one lies. The tilt is
drawn in a direction drawn evenly, and so is the focal length where it is not known.

Source: central projection of a plane; Hartley and Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. (2004),
6.1 and 8.1, from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

import numpy as np

from ledger.photo.lens import Lens, doubted_by_lens, lens_faults, straighten
from ledger.photo.plane_faults import target_faults
from ledger.photo.values import DRAWS, Measured, Pick, draw_picks, known_faults, measured, places, refuse, spread
from ledger.quantities.draws import generator
from ledger.quantities.notation import Quantity, parse

# 35 mm-equivalent focal lengths from 20 to 200 mm over 36 mm, all alike by ratio: wide lenses to long ones.
UNKNOWN_FOCAL = 20 / 36, 200 / 36
# A hand-held picture that was meant to be square on; common practice, no source.
SMALL_TILT = parse("0 ± 10 °")
SAME_PLANE = parse("0 mm")
STEEPEST = 75.0
CAUSES = ("picking", "reference", "scale", "tilt", "depth", "focal", "lens")
DRAWS_FOR_PARTS = 1_000


@dataclass(frozen=True)
class View:
    """How a picture was taken, as far as it is known.

    width, height  of the whole, uncropped picture [px], > 0; its middle is where the camera pointed
    focal          focal length over the picture's longer side [-], > 0: the 35 mm-equivalent over 36 mm; None where
                   nothing is known: any that is 20 to 200 mm, alike by ratio
    tilt           how far the plane leans from facing the camera [°], surely within ±75; the direction is drawn
    photograph     a name: lengths measured on one photograph share its tilt, focal length and lens
    """

    width: float
    height: float
    focal: Quantity | None = None
    tilt: Quantity = SMALL_TILT
    photograph: str = ""


def scale_bar(
    bar: tuple[Pick, Pick],
    known: Quantity,
    target: tuple[Pick, Pick],
    view: View,
    lens: Lens,
    depth: Quantity = SAME_PLANE,
    label: str = "length",
    count: int = DRAWS,
) -> Measured:
    """Return the length between two picks [mm] from a known length between two others.

    bar, known  ends of the known length, and the length [mm], > 0
    target      ends of the wanted length
    depth       how much farther from the camera the wanted length lies [mm], square to the plane; nearer below zero

    parts: "picking" (ends of the wanted length), "reference" (ends of the known one), "scale" (the known length),
    "tilt", "depth", "focal" and "lens".

    PhotoRefused, all faults at once: picks that are no pixels, or ends that coincide within their doubt; a known length
    not surely above zero; a tilt that may pass 75°; a depth that would put the wanted length behind the camera.
    """
    picks = (*bar, *target)
    refuse(_faults(picks, known, view, lens, depth))
    drawn = _lengths(picks, known, view, lens, depth, CAUSES, count)
    causes = [one for one in CAUSES if one != "lens" or doubted_by_lens(lens)]
    few = min(count, DRAWS_FOR_PARTS)
    parts = {cause: spread(_lengths(picks, known, view, lens, depth, (cause,), few)) for cause in causes}
    return measured(label, "mm", drawn, parts)


def _faults(picks: Sequence[Pick], known: Quantity, view: View, lens: Lens, depth: Quantity) -> list[str]:
    faults = [
        *lens_faults(lens),
        *target_faults(picks, ((0, 1), (2, 3))),
        *known_faults(known, "known length", "mm", above=0.0),
        *([] if view.focal is None else known_faults(view.focal, "focal length over the longer side", "", above=0.0)),
        *known_faults(view.tilt, "tilt", "°"),
        *known_faults(depth, "difference in depth", "mm"),
    ]
    if not all(isfinite(one) and one > 0 for one in (view.width, view.height)):
        faults.append(
            f"view: given a picture of {view.width:g} by {view.height:g} px; expected both above zero. "
            "Give the size of the whole picture, before any cropping."
        )
    return faults


def _lengths(
    picks: Sequence[Pick],
    known: Quantity,
    view: View,
    lens: Lens,
    depth: Quantity,
    causes: Sequence[str],
    count: int,
) -> np.ndarray:
    """Return draws of the wanted length [mm], with only some causes drawn and the rest at their best values."""

    def held(quantity: Quantity, unit: str, cause: str, *names: str) -> np.ndarray:
        one = quantity.to(unit)
        return one.draw(count, generator("scale bar", cause, *names)) if cause in causes else np.full(count, one.mean)

    photograph = view.photograph
    marked = places(picks)
    pixels = np.repeat(marked[None], count, axis=0)
    for cause, ends in (("reference", slice(0, 2)), ("picking", slice(2, 4))):
        if cause in causes:
            pixels[:, ends] = draw_picks(picks[ends], count, photograph)
    straight = straighten(lens, pixels, picks, "lens" in causes, photograph)
    length = held(known, "mm", "scale", photograph, known.text, str(marked[:2].tolist()))
    farther = held(depth, "mm", "depth", photograph, depth.text, str(marked[2:].tolist()))
    if view.focal is None:
        focal = _any_focal(count, "focal" in causes, photograph)
    else:
        focal = held(view.focal, "", "focal", photograph, view.focal.text)
    focal = focal * max(view.width, view.height)
    lean = held(view.tilt, "°", "tilt", photograph, view.tilt.text)
    # Nobody states which way the plane leans, so every direction is as likely.
    turn = generator("scale bar", "direction", photograph).random(count) * (2 * np.pi if "tilt" in causes else 0.0)
    lies = _on_plane(straight, np.array([view.width, view.height]) / 2, focal, np.radians(lean), turn)
    faults = []
    if np.abs(lean).max() > STEEPEST:
        faults.append(
            f"tilt: given `{view.tilt.text}`; expected it to stay within ±{STEEPEST:g}°. "
            "Use a known rectangle or four known points for a plane seen so obliquely."
        )
    if lies is None:
        faults.append(
            "view: given picks that lie beyond the horizon of a plane of this tilt; expected all before it. "
            "State a smaller tilt or a longer focal length, or use four known points."
        )
    refuse(faults)
    assert lies is not None
    distance = length / np.hypot.reduce(lies[:, 1] - lies[:, 0], axis=-1)
    away = distance + farther
    if not (away > 0).all():
        refuse(
            [
                f"difference in depth: given `{depth.text}` at a distance of about {np.median(distance):.4g} mm; "
                "expected the wanted length before the camera. Check its sign and the focal length."
            ]
        )
    return np.asarray(away * np.hypot.reduce(lies[:, 3] - lies[:, 2], axis=-1))


def _any_focal(count: int, doubted: bool, photograph: str) -> np.ndarray:
    """Return focal lengths over the longer side where nothing is known: even by ratio, or the middle one."""
    low, high = np.log(UNKNOWN_FOCAL)
    share = generator("scale bar", "focal", photograph, "unknown").random(count) if doubted else np.full(count, 0.5)
    return np.asarray(np.exp(low + share * (high - low)))


def distance(one: Pick, other: Pick, known: Quantity, view: View) -> tuple[float, float]:
    """Return how far away a known length is [mm], at least and at most, as f L/l of a plane that faces the camera.

    one, other  its ends [px]; known its length [mm]; both ends of the interval are alike but for the focal length
    """
    seen = float(np.hypot(one.x - other.x, one.y - other.y)) / max(view.width, view.height)
    low, high = UNKNOWN_FOCAL if view.focal is None else _within(view.focal.to(""))
    return float(low * known.to("mm").mean / seen), float(high * known.to("mm").mean / seen)


def _within(quantity: Quantity) -> tuple[float, float]:
    return quantity.mean - 2 * quantity.std, quantity.mean + 2 * quantity.std


def _on_plane(
    pixels: np.ndarray, middle: np.ndarray, focal: np.ndarray, lean: np.ndarray, turn: np.ndarray
) -> np.ndarray | None:
    """Return r/(n · r) for each pick, shape (draws, picks, 3); None if one lies on or beyond the horizon."""
    ray = np.concatenate([(pixels - middle) / focal[:, None, None], np.ones((*pixels.shape[:-1], 1))], axis=-1)
    normal = np.stack([np.sin(lean) * np.cos(turn), np.sin(lean) * np.sin(turn), np.cos(lean)], axis=-1)
    facing = np.sum(ray * normal[:, None, :], axis=-1, keepdims=True)
    return np.asarray(ray / facing) if (facing > 0).all() else None
