"""Criteria: what their limits are, whether an output keeps them draw by draw, and by how much it misses them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from ledger.calculators.bindings import countable
from ledger.calculators.contract import Calculator, Draws, Output
from ledger.calculators.results import Kept, TakenLimit
from ledger.calculators.running import scale
from ledger.entries.parts import Criterion, Taken
from ledger.errors import CalculationRefused
from ledger.quantities.summary import summarise


@dataclass(frozen=True)
class Against:
    """A criterion and the output that it is asked of, and draws of both; limits by side, in the output's unit."""

    criterion: Criterion
    output: Output
    value: Draws
    limits: Mapping[str, Draws]

    def keeps(self, count: int) -> np.ndarray:
        """Return for every draw whether the criterion holds, (count,)."""
        values = np.broadcast_to(np.asarray(self.value, dtype=float), (count,))
        held: np.ndarray = np.ones(count, dtype=bool)
        if self.criterion.holds is not None:
            held &= values == float(self.criterion.holds)
        for side, limit in self.limits.items():
            held &= values >= limit if side == "at-least" else values <= limit
        return held

    def missed(self) -> float:
        """Return by how much it is missed on the mean of the draws, as a share of its limit; a truth by at most 1."""
        values = np.asarray(self.value, dtype=float)
        if self.criterion.holds is not None:
            return 1 - float(np.mean(values == float(self.criterion.holds)))
        short = 0.0
        for side, limit in self.limits.items():
            middle, sign = float(np.mean(limit)), 1 if side == "at-least" else -1
            short += float(np.mean(np.maximum(sign * (middle - values), 0.0))) / (abs(middle) or 1.0)
        return short

    def kept(self, count: int) -> Kept:
        """Return the criterion with the chance that it holds, and what was taken for a limit summed up."""
        unit = self.output.shown or self.output.unit
        ratio = scale(self.output.unit, unit)
        taken = tuple(
            TakenLimit(side, limit.text, summarise(np.atleast_1d(self.limits[side]) * ratio), unit)
            for side, limit in self.criterion.limits()
            if isinstance(limit, Taken)
        )
        return Kept(self.criterion.output, limit_text(self.criterion), float(self.keeps(count).mean()), taken)


def kept_together(criteria: Iterable[Against], count: int) -> np.ndarray:
    """Return for every draw whether all of some criteria hold, (count,)."""
    held: np.ndarray = np.ones(count, dtype=bool)
    for one in criteria:
        held &= one.keeps(count)
    return held


def asked_of(ref: str, criterion: Criterion, calculator: Calculator, given: Mapping[str, object]) -> Output:
    """Return the output that a criterion names; CalculationRefused where the calculator does not give it, or not now.

    given  the outputs that these inputs give
    """
    output = calculator.output(criterion.output)
    known = countable(calculator)
    if output is None or output not in known:
        names = ", ".join(one.name for one in known)
        raise CalculationRefused(f"{ref}: a criterion names `{criterion.output}`; {calculator.name} gives {names}")
    if criterion.output not in given:
        raise CalculationRefused(f"{ref}: a criterion names `{criterion.output}`, which these inputs do not ask for")
    return output


def limit_text(criterion: Criterion) -> str:
    """Return a criterion's limit in words, what is taken from elsewhere by its reference."""
    if criterion.holds is not None:
        return "must hold" if criterion.holds else "must not hold"
    return " and ".join(f"{side.replace('-', ' ')} {limit.text}" for side, limit in criterion.limits())
