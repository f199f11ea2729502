"""Factors as people state them: how many times likelier two things are together than they would be apart."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from ledger.quantities.refusal import NotationError

LEAST, MOST = 1e-6, 1e6

_NUMBER = r"[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?"
_ONE = re.compile(_NUMBER)
_RANGE = re.compile(rf"({_NUMBER})\s*\.\.\s*({_NUMBER})")
_EXPECTED = "a factor such as `3`, `0.5` or `2..5`"


@dataclass(frozen=True)
class Factor:
    """A factor from low to high, both above 0; 1 says nothing."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """Return the geometric middle, so that a factor and its reciprocal are as far from 1."""
        return math.sqrt(self.low * self.high)


def parse_factor(given: str | int | float | Factor) -> Factor:
    """Return the factor that a number or a range states, from 1e-6 to 1e6; NotationError otherwise."""
    if isinstance(given, Factor):
        return given
    if isinstance(given, bool) or not isinstance(given, str | int | float):
        raise NotationError(given, _EXPECTED, "Write one number or range.")
    text = str(given).strip()
    if _ONE.fullmatch(text):
        value = _bounded(given, float(text))
        return Factor(value, value)
    found = _RANGE.fullmatch(text)
    if found is None:
        raise NotationError(given, _EXPECTED, "Write how many times likelier, 1 being no link at all.")
    low, high = _bounded(given, float(found[1])), _bounded(given, float(found[2]))
    if low > high:
        raise NotationError(given, "the lesser factor first", f"Write `{found[2]}..{found[1]}`.")
    if low == high:
        raise NotationError(given, "a range with some width", f"Write `{found[1]}`.")
    return Factor(low, high)


def _bounded(given: object, value: float) -> float:
    if not LEAST <= value <= MOST:
        raise NotationError(
            given, f"a factor from {LEAST:g} to {MOST:g}", "For what can never go together write `rules-out`."
        )
    return value
