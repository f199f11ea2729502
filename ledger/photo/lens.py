"""What a lens does to straight lines, and how pixels are straightened before anything is measured.

Three things can be said of a lens, and one of them must be: that its Brown terms are known (`BrownLens`), that nothing
is known (`UnknownLens`), or that the picture has none or was corrected already (`Straight`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, isfinite

import numpy as np

from ledger.errors import PhotoRefused
from ledger.photo.values import FINEST, Pick, known_faults, refuse
from ledger.quantities.draws import generator
from ledger.quantities.notation import Quantity, parse

# Newton steps that undo the Brown terms, and how near to the pick they must come back [focal lengths].
STEPS, RETURNED = 12, 1e-9
# Past this the one-term bend is no lens any more.
MOST_BENT = 0.9
UNKNOWN_BEND = parse("0 ± 0.3")
# A lens whose middle is this far from the picture's looks through a cropped picture.
MOST_ASIDE = 0.5
# Draws of a pick at the edge may fall a little outside.
OUTSIDE = 0.6
UNKNOWN_ASIDE = parse("0 ± 0.1")


@dataclass(frozen=True)
class Straight:
    """No distortion: a corrected picture, or a drawing."""


@dataclass(frozen=True)
class BrownLens:
    """A calibrated lens: camera matrix and the five Brown terms, numbered as most calibrations print them.

    fx, fy    focal lengths [px], > 0
    cx, cy    principal point [px]
    k1,k2,k3  radial terms [-]
    p1, p2    tangential terms [-]
    residual  what the terms leave over, standard uncertainty of a coordinate [px], >= 0: the calibration's own error

    With x = (X - cx)/fx, y = (Y - cy)/fy of the straight picture and r² = x² + y², the photograph has
    x' = x (1 + k1 r² + k2 r⁴ + k3 r⁶) + 2 p1 x y + p2 (r² + 2 x²),
    y' = y (1 + k1 r² + k2 r⁴ + k3 r⁶) + p1 (r² + 2 y²) + 2 p2 x y.

    Source: Brown, Decentering distortion of lenses, Photogrammetric Engineering 32(3) (1966), 444-462, with the
    sequence and signs of OpenCV's documentation (calib3d).
    """

    fx: float
    fy: float
    cx: float
    cy: float
    k1: float = 0.0
    k2: float = 0.0
    p1: float = 0.0
    p2: float = 0.0
    k3: float = 0.0
    residual: float = 0.0


@dataclass(frozen=True)
class UnknownLens:
    """A lens nothing is known of: the interval is widened by what lenses usually do.

    width, height  of the whole, uncropped picture [px], > 0
    bend           how far a corner of the picture is moved, as a share of its distance from the middle [-];
                   above zero for barrels, within ±0.9
    aside          how far the lens's middle lies from the picture's, across and down alike, as a share of half the
                   picture's diagonal [-], within ±0.5

    Straight place = middle + offset / (1 - bend ρ²), with ρ the offset over half the diagonal: one term, which follows
    the Brown terms of ordinary lenses closely. The default bend `0 ± 0.3`, whose half-width covers 95 %, is for a
    camera of which nothing is known: the small industrial camera of a public calibration set bends by 0.17, wide
    inspection lenses by more. Telephones and system cameras that correct their pictures stay within `0 ± 0.03`, which
    may be stated instead; fisheye lenses do more and need their terms. Middles some tens of pixels off are usual in
    calibrations. Both ranges are common practice, without source. One camera bends all its pictures alike: over many
    cameras the intervals hold at their rate, over many pictures of one camera nearly always or too seldom.

    Source: Fitzgibbon, Simultaneous linear estimation of multiple view geometry and lens distortion, CVPR 2001 (the
    division model), from memory.
    """

    width: float
    height: float
    bend: Quantity = UNKNOWN_BEND
    aside: Quantity = UNKNOWN_ASIDE


Lens = Straight | BrownLens | UnknownLens


def lens_faults(lens: Lens) -> list[str]:
    """Return what is wrong with a lens, one sentence a fault."""
    if isinstance(lens, BrownLens):
        numbers = (lens.fx, lens.fy, lens.cx, lens.cy, lens.k1, lens.k2, lens.p1, lens.p2, lens.k3, lens.residual)
        if not all(isfinite(one) for one in numbers):
            return ["lens: given a term that is no finite number; expected the calibration's numbers. Copy them anew."]
        faults = []
        if min(lens.fx, lens.fy) <= 0:
            faults.append(
                f"lens: given focal lengths {lens.fx:g} and {lens.fy:g} px; expected both above zero. "
                "Give them in pixels, as the calibration prints them."
            )
        if lens.residual < 0:
            faults.append(f"lens: given a residual of {lens.residual:g} px; expected none below zero. Check its sign.")
        return faults
    if isinstance(lens, UnknownLens):
        faults = [*known_faults(lens.bend, "lens bend", ""), *known_faults(lens.aside, "lens aside", "")]
        if not all(isfinite(one) and one > 0 for one in (lens.width, lens.height)):
            faults.append(
                f"lens: given a picture of {lens.width:g} by {lens.height:g} px; expected both above zero. "
                "Give the size of the whole picture, before any cropping."
            )
        return faults
    return []


def straighten(lens: Lens, pixels: np.ndarray, picks: Sequence[Pick], doubted: bool, *names: str) -> np.ndarray:
    """Return pixels as a lens without distortion would have drawn them [px], shape as given.

    pixels   shape (draws, picks, 2)
    picks    the picks they are draws of, which seed what a calibration leaves over
    doubted  whether the lens's own doubt is drawn, or its best value taken
    names    seed the draws; the same lens under the same names bends all picks of a draw alike

    PhotoRefused where the terms fold the picture over: outside what the calibration saw they mean nothing.
    """
    count = pixels.shape[0]
    if isinstance(lens, BrownLens):
        if doubted and lens.residual > 0:
            left = np.empty_like(pixels)
            for place, pick in enumerate(picks):
                random = generator("lens residual", *names, repr((float(pick.x), float(pick.y))))
                left[:, place, :] = lens.residual * random.standard_normal((count, 2))
            pixels = pixels + left
        return _undo_brown(lens, pixels)
    if isinstance(lens, UnknownLens):
        return _undo_one_term(lens, pixels, doubted, *names)
    return pixels


def distort(lens: BrownLens, pixels: np.ndarray) -> np.ndarray:
    """Return where a lens with Brown terms draws straight pixels [px]: the formula of BrownLens."""
    x, y = (pixels[..., 0] - lens.cx) / lens.fx, (pixels[..., 1] - lens.cy) / lens.fy
    bent_x, bent_y = _bend(lens, x, y)[:2]
    return np.stack([lens.cx + lens.fx * bent_x, lens.cy + lens.fy * bent_y], axis=-1)


def doubted_by_lens(lens: Lens) -> bool:
    """Return whether a lens brings a doubt of its own."""
    return isinstance(lens, UnknownLens) or (isinstance(lens, BrownLens) and lens.residual > FINEST)


def _bend(lens: BrownLens, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, ...]:
    """Return the bent place and its derivatives: x', y', ∂x'/∂x, ∂x'/∂y (= ∂y'/∂x), ∂y'/∂y."""
    square = x * x + y * y
    radial = 1 + square * (lens.k1 + square * (lens.k2 + square * lens.k3))
    slope = 2 * (lens.k1 + square * (2 * lens.k2 + 3 * square * lens.k3))
    p1, p2 = lens.p1, lens.p2
    return (
        x * radial + 2 * p1 * x * y + p2 * (square + 2 * x * x),
        y * radial + p1 * (square + 2 * y * y) + 2 * p2 * x * y,
        radial + x * x * slope + 2 * p1 * y + 6 * p2 * x,
        x * y * slope + 2 * p1 * x + 2 * p2 * y,
        radial + y * y * slope + 6 * p1 * y + 2 * p2 * x,
    )


def _undo_one_term(lens: UnknownLens, pixels: np.ndarray, doubted: bool, *names: str) -> np.ndarray:
    """Return straight pixels by the division model, its bend and middle drawn or at their best values."""
    count, half = pixels.shape[0], hypot(lens.width, lens.height) / 2
    if doubted:
        random = generator("lens", *names, repr(lens))
        bend = lens.bend.draw(count, random)
        aside = np.stack([lens.aside.draw(count, random) for _ in range(2)], axis=-1)
    else:
        bend, aside = np.array([lens.bend.mean]), np.full((1, 2), lens.aside.mean)
    faults = [
        f"lens {name}: given `{known.text}`; expected it to stay within ±{most:g}. "
        "State it more narrowly, or calibrate the lens."
        for name, known, drawn, most in (
            ("bend", lens.bend, bend, MOST_BENT),
            ("aside", lens.aside, aside, MOST_ASIDE),
        )
        if np.abs(drawn).max() > most
    ]
    picture = np.array([lens.width, lens.height])
    if np.abs(pixels / picture - 0.5).max() > OUTSIDE:
        faults.append(
            f"lens: given picks outside the picture of {lens.width:g} by {lens.height:g} px; expected all inside. "
            "Give the size of the whole picture in pixels."
        )
    refuse(faults)
    middle = (picture / 2 + half * aside)[:, None, :]
    offset = pixels - middle
    reach = np.sum(offset**2, axis=-1, keepdims=True) / half**2
    kept = 1 - bend[:, None, None] * reach
    if not (kept > 0).all():
        raise _folded()
    return np.asarray(middle + offset / kept)


def _undo_brown(lens: BrownLens, pixels: np.ndarray) -> np.ndarray:
    """Return straight pixels by Newton's method, from the bent place outwards."""
    wanted_x, wanted_y = (pixels[..., 0] - lens.cx) / lens.fx, (pixels[..., 1] - lens.cy) / lens.fy
    x, y = wanted_x.copy(), wanted_y.copy()
    for _ in range(STEPS):
        bent_x, bent_y, xx, xy, yy = _bend(lens, x, y)
        determinant = xx * yy - xy * xy
        if not (np.isfinite(determinant).all() and (determinant > 0).all()):
            raise _folded()
        off_x, off_y = bent_x - wanted_x, bent_y - wanted_y
        if max(np.abs(off_x).max(), np.abs(off_y).max()) < RETURNED / 100:
            break
        x = x - (yy * off_x - xy * off_y) / determinant
        y = y - (xx * off_y - xy * off_x) / determinant
    bent_x, bent_y, xx, xy, yy = _bend(lens, x, y)
    back = np.maximum(np.abs(bent_x - wanted_x), np.abs(bent_y - wanted_y))
    if not ((back < RETURNED).all() and (xx * yy - xy * xy > 0).all()):
        raise _folded()
    return np.stack([lens.cx + lens.fx * x, lens.cy + lens.fy * y], axis=-1)


def _folded() -> PhotoRefused:
    return PhotoRefused(
        "lens: given picks where its terms fold the picture over; expected picks inside what the calibration saw. "
        "Measure nearer to the middle, or calibrate with points out to the corners."
    )
