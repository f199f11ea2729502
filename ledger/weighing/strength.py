"""How strong a weight in decibans is, in the words of Kass and Raftery."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ledger.errors import WeighingRefused


@dataclass(frozen=True)
class Step:
    """A word, and the ratio B that must be exceeded for it."""

    word: str
    above: float

    @property
    def decibans(self) -> float:
        """Return 10 log10(B) of that ratio."""
        return 10 * math.log10(self.above)


# Kass and Raftery print a second column of bounds, 2 ln B: 0, 2, 6, 10. Both are rounded, and so they are not the same
# scale: 2 ln 3 is 2.20, 2 ln 20 is 5.99, 2 ln 150 is 10.02. The bounds here are those of the column B.
STEPS = (
    Step("not worth more than a bare mention", 1.0),
    Step("positive", 3.0),
    Step("strong", 20.0),
    Step("very strong", 150.0),
)


@dataclass(frozen=True)
class Strength:
    """The word for a weight, and the side it speaks for: `neither` for a weight of exactly 0."""

    word: str
    side: Literal["for", "against", "neither"]


def strength(decibans: float) -> Strength:
    """Return the word for a weight [decibans], by its ratio B = 10^(|w| / 10), and the side it speaks for.

    B of 1 to 3 is not worth more than a bare mention, 3 to 20 positive, 20 to 150 strong, above 150 very strong. A
    bound that two words share goes to the weaker one; weights are taken to twelve decimals, so that 10 log10(3) is on
    the bound. A negative weight has the word of its opposite, for the other side.

    The words were made for what evidence does to odds. Said of odds that hold a prior too, they only tell their size.

    Raises WeighingRefused for NaN, and for an infinite weight, which shuts a rival out and needs no word for how much.

    Source: Kass & Raftery, Bayes Factors, JASA 90(430) (1995) 773-795, section 3.2 (the section from memory), column B.
    """
    if math.isnan(decibans):
        raise WeighingRefused(
            "a weight that is no number has no strength; expected decibans, such as 4.2. "
            "See what it was worked out from: odds of 0 over odds of 0 have no ratio."
        )
    if math.isinf(decibans):
        raise WeighingRefused(
            "a weight without bound has no strength; expected a finite number of decibans. "
            "Say that it leaves one side no chance at all."
        )
    size = round(abs(decibans), 12)
    word = next((step.word for step in reversed(STEPS) if size > round(step.decibans, 12)), STEPS[0].word)
    return Strength(word, "neither" if decibans == 0 else "for" if decibans > 0 else "against")
