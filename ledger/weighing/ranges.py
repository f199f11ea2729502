"""Confidences under doubt: everything stated as a range is drawn together, and the confidences with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ledger.quantities.draws import generator
from ledger.weighing.layout import Layout, Points, lay_out, work_out
from ledger.weighing.likelihood import Array
from ledger.weighing.values import NONE, Case, Stated

LEVEL = (0.05, 0.95)
AT_ONCE = 2_000_000


@dataclass(frozen=True)
class Spread:
    """One rival over the draws: the ends of its 90 % interval, and how often it ranks first."""

    low: float
    high: float
    first: float


class Drawn(Points):
    """Draws of stated chances: one name, one draw, wherever it stands; made by name, so the same again every time.

    question  what unjudged rivals are drawn under; `whole` how many draws there are; `part` those that are looked at
    """

    def __init__(self, question: str, whole: int) -> None:
        self._question, self._whole = question, whole
        self._made: dict[tuple[str, ...], Array] = {}
        self.look_at(slice(0, whole))

    def look_at(self, part: slice) -> Drawn:
        """Turn to some of the draws, so that many notes do not fill the memory; return itself."""
        self._part = part
        self.count = len(range(*part.indices(self._whole)))
        return self

    def _share(self, *name: str) -> Array:
        if name not in self._made:
            self._made[name] = generator("weighing", *name).random(self._whole)
        return self._made[name][self._part]

    def of(self, point: float, stated: tuple[Stated, ...]) -> Array:
        """Return the product of the drawn chances; the point itself where nothing is stated as a range."""
        if not stated:
            return np.full(self.count, point)
        product = np.ones(self.count)
        for one in stated:
            product = product * (one.low + (one.high - one.low) * self._share(one.name))
        return product

    def between(self, ref: str, rival: str) -> Array:
        """Return how far an unjudged rival lies from its note's least to its greatest bearing."""
        return self._share(self._question, ref, rival)


def spread(case: Case, may_lead: set[str], count: int) -> dict[str, Spread]:
    """Return by rival the 90 % interval of its confidence and the chance that it ranks first among those that may lead.

    Bearings, grades and the places of unjudged rivals are drawn together, `count` times; one ladder word and one grade
    are one draw wherever they stand. Draws in which no rival is left are passed over.
    """
    confidences = np.concatenate([_confidences(layout) for layout in _layouts(case, count)])
    confidences = confidences[np.isfinite(confidences).all(axis=1)]
    rivals = (*sorted(rival for rival in case.prior if rival != NONE), NONE)
    leading = np.array([rival in may_lead for rival in rivals])
    first = np.bincount(np.where(leading, confidences, -1.0).argmax(axis=1), minlength=len(rivals)) / len(confidences)
    low, high = np.quantile(confidences, LEVEL, axis=0)
    return {
        rival: Spread(float(low[place]), float(high[place]), float(first[place])) for place, rival in enumerate(rivals)
    }


def _layouts(case: Case, count: int) -> Iterator[Layout]:
    drawn = Drawn(case.question, count)
    size = max(1, (len(case.notes) + len(case.predictions)) * len(case.prior))
    step = max(1, min(count, AT_ONCE // size))
    for start in range(0, count, step):
        yield lay_out(case, drawn.look_at(slice(start, start + step)))


def _confidences(layout: Layout) -> Array:
    posterior = work_out(layout).posterior
    total = np.logaddexp.reduce(posterior, axis=-1, keepdims=True)
    with np.errstate(invalid="ignore"):
        confidences: Array = np.exp(posterior - total)
    return confidences
