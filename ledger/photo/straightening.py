"""Rims and marks under a lens: methods that take straight pixels, made to take any lens.

With a calibrated lens the picks are straightened once. With one that is not known they are straightened by many lenses
it might be, all picks by the same one, and what each gives is put together. A lens under which the picks lie on no rim
at all is left out: the picks speak against it. One under which they do not tell the rim's size is not.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from ledger.errors import PhotoRefused
from ledger.photo.declaring import Found, Use, told
from ledger.photo.lens import BrownLens, Lens, Straight, UnknownLens, lens_faults, straighten
from ledger.photo.rim_fit import SizeUnknown
from ledger.photo.values import FINEST, Measured, Pick, measured, pick_faults, places, refuse, spread
from ledger.quantities.draws import generator

LENSES, FEWEST_LENSES, LEAST_DRAWS = 40, 8, 100
# The share of lenses under which an arc may leave its size unknown.
UNKNOWN_AT_MOST = 0.01
# How far a pick is moved to see by how much the lens stretches the picture there [px].
_STEP = 0.5


@dataclass(frozen=True)
class Bent:
    """One lens that an unknown one might be: the division model with its numbers settled."""

    bend: float
    x: float
    y: float
    half: float

    def straight(self, pixels: np.ndarray) -> np.ndarray:
        """Return straight pixels, shape (picks, 2): middle + offset/(1 - bend ρ²)."""
        middle = np.array([self.x, self.y])
        offset = pixels - middle
        kept = 1 - self.bend * np.sum(offset**2, axis=-1, keepdims=True) / self.half**2
        if not (kept > 0).all():
            raise PhotoRefused(
                "lens: given a bend that folds the picture over at these picks; expected one that does not. "
                "State the bend more narrowly, or measure nearer to the middle."
            )
        return np.asarray(middle + offset / kept)


def over_lenses(use: Use, find: Callable[[Use], Measured]) -> Found:
    """Return what a method finds from straight pixels, with the lens's doubt in it.

    find  takes a use whose picks are straight; it is called once for each lens that is tried

    PhotoRefused as `find` says; with an unknown lens, if it refuses under every one.
    """
    faults = lens_faults(use.lens)
    for role, picks in use.points.items():
        faults += pick_faults(picks, f"{role} pick")
    refuse(faults)
    if isinstance(use.lens, Straight):
        return told(find(use))
    if isinstance(use.lens, BrownLens):
        return told(find(_straight(use, _brown(use.lens), use.lens.residual)))
    lenses = _lenses(use.lens, use.count, use.photograph)
    few = replace(use, count=max(use.count // len(lenses), LEAST_DRAWS))
    found: list[Found] = []
    refused: list[PhotoRefused] = []
    unknown: list[SizeUnknown] = []
    for lens in lenses:
        try:
            found.append(told(find(_straight(few, lens.straight))))
        except SizeUnknown as error:
            unknown.append(error)
        except PhotoRefused as error:
            refused.append(error)
    # Such a lens is not spoken against: leaving it out would cut off the sizes that it leads to.
    if len(unknown) > UNKNOWN_AT_MOST * len(lenses):
        raise unknown[len(unknown) // 2]
    if not found:
        raise refused[len(refused) // 2]
    return _together(found)


def _brown(lens: Lens) -> Callable[[np.ndarray], np.ndarray]:
    return lambda pixels: straighten(lens, pixels[None], (), False)[0]


def _straight(use: Use, straight: Callable[[np.ndarray], np.ndarray], residual: float = 0.0) -> Use:
    """Return the use with its picks straightened, their doubt stretched as the picture is there."""
    points = {}
    for role, picks in use.points.items():
        at = places(picks)
        moved = straight(at)
        across = (straight(at + (_STEP, 0)) - straight(at - (_STEP, 0))) / (2 * _STEP)
        down = (straight(at + (0, _STEP)) - straight(at - (0, _STEP))) / (2 * _STEP)
        stretch = np.sqrt(np.abs(across[:, 0] * down[:, 1] - across[:, 1] * down[:, 0]))
        points[role] = tuple(
            Pick(float(x), float(y), max(float(np.hypot(pick.u, residual) * grown), FINEST))
            for (x, y), pick, grown in zip(moved, picks, stretch, strict=True)
        )
    return replace(use, points=points, lens=Straight())


def _lenses(lens: UnknownLens, count: int, photograph: str) -> list[Bent]:
    """Return lenses it might be: bends at even steps of chance, middles drawn."""
    many = int(np.clip(count // LEAST_DRAWS, FEWEST_LENSES, LENSES))
    random = generator("lenses", photograph, repr(lens))
    bends = np.quantile(lens.bend.draw(4000, random), (np.arange(many) + 0.5) / many)
    half = float(np.hypot(lens.width, lens.height) / 2)
    aside = half * np.stack([lens.aside.draw(many, random) for _ in range(2)], axis=-1)
    return [
        Bent(float(bend), lens.width / 2 + float(x), lens.height / 2 + float(y), half)
        for bend, (x, y) in zip(bends, aside, strict=True)
    ]


def _together(found: list[Found]) -> Found:
    """Return what many lenses gave as one: all draws, parts as they are on the average, and the lens's own."""
    first = found[0]
    parts = {cause: float(np.sqrt(np.mean([one.parts.get(cause, 0.0) ** 2 for one in found]))) for cause in first.parts}
    parts["lens"] = spread(np.array([one.estimate for one in found]))
    chances = {
        number: float(np.mean([one.chances.get(number, 0.0) for one in found]))
        for number in sorted({number for one in found for number in one.chances})
    }
    middle = found[len(found) // 2]
    drawn = np.concatenate([one.draws for one in found])
    return told(measured(first.label, first.unit, drawn, parts), chances, middle.notes)
