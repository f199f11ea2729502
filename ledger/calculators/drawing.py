"""Draws of the uncertain quantities that calculations stand on: each made once, named by what states it.

A root is a quantity as some entry states it: a measurement, an input, a cell of a row. Its name is the seed of its
draws, so the same root is the same draws wherever it is used.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from ledger.calculators.contract import Draws
from ledger.quantities.draws import generator
from ledger.quantities.quantity import Quantity

Root = tuple[str, ...]


@dataclass(frozen=True)
class Drawing:
    """Draws by root and unit.

    count  how many draws of each root
    eased  roots whose doubt is scaled about their mean, by the factor; whole numbers cannot be eased
    made   what was drawn so far
    """

    count: int
    eased: Mapping[Root, float] = field(default_factory=dict)
    made: dict[tuple[Root, str], np.ndarray] = field(default_factory=dict)

    def draw(self, quantity: Quantity, root: Root) -> Draws:
        """Return the draws of a quantity in its own unit; a float when it is exact."""
        if quantity.shape == "exact":
            return quantity.numbers[0]
        key = (root, quantity.unit)
        if key not in self.made:
            draws = quantity.draw(self.count, generator(*root))
            if root in self.eased:
                draws = quantity.mean + self.eased[root] * (draws - quantity.mean)
            draws.flags.writeable = False
            self.made[key] = draws
        return self.made[key]

    @property
    def roots(self) -> dict[Root, np.ndarray]:
        """Return the draws of every root drawn so far, in order of name."""
        return {root: draws for (root, _), draws in sorted(self.made.items(), key=lambda pair: pair[0])}
