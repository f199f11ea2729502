"""Draws of whatever is stated as a range: one name, one draw, wherever it stands; the same again every time."""

from __future__ import annotations

import numpy as np

from ledger.quantities.draws import generator
from ledger.weighing.layout import Points
from ledger.weighing.likelihood import Array
from ledger.weighing.values import Stated


class Drawn(Points):
    """Draws of stated chances, made by name.

    whole  how many draws there are; `look_at` turns to a part of them, so that many notes do not fill the memory
    """

    def __init__(self, whole: int) -> None:
        self._whole = whole
        self._made: dict[tuple[str, ...], Array] = {}
        self.look_at(slice(0, whole))

    def look_at(self, part: slice) -> Drawn:
        """Turn to some of the draws; return itself."""
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

    def between(self, question: str, ref: str, rival: str) -> Array:
        """Return how far an unjudged rival lies from its note's least to its greatest bearing."""
        return self._share(question, ref, rival)

    def counted(self, rival: str, share: float, trials: int) -> Array:
        """Return what a share counted in some trials may be, by its beta distribution with Jeffreys' prior."""
        if not trials:
            return np.full(self.count, share)
        name = ("counted", rival)
        if name not in self._made:
            hits = share * trials
            self._made[name] = generator("weighing", *name).beta(hits + 0.5, trials - hits + 0.5, self._whole)
        return self._made[name][self._part]

    def factor(self, stated: Stated) -> Array:
        """Return a factor drawn evenly in its logarithm."""
        drawn: Array = stated.low * (stated.high / stated.low) ** self._share(stated.name)
        return drawn
