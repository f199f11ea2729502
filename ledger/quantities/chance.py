"""Chances as people state them: numbers, ranges, and the words of the ICD 203 ladder read as its ranges.

Source: Office of the Director of National Intelligence, Intelligence Community Directive 203, Analytic Standards
(2015), D.6.e(2). Neighbouring bands of the ladder share their ends, and nothing is said below 1 % or above 99 %.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches

from ledger.quantities.refusal import NotationError

LADDER: tuple[tuple[tuple[str, ...], float, float], ...] = (
    (("almost no chance", "remote"), 0.01, 0.05),
    (("very unlikely", "highly improbable"), 0.05, 0.20),
    (("unlikely", "improbable"), 0.20, 0.45),
    (("roughly even chance", "roughly even odds", "roughly even"), 0.45, 0.55),
    (("likely", "probable"), 0.55, 0.80),
    (("very likely", "highly probable"), 0.80, 0.95),
    (("almost certain", "nearly certain"), 0.95, 0.99),
)
BELOW, ABOVE = "below 1 %", "above 99 %"

_RUNGS = {word: (words[0], low, high) for words, low, high in LADDER for word in words}
_NUMBER = r"[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?"
_ONE = re.compile(rf"{_NUMBER}")
_RANGE = re.compile(rf"({_NUMBER})\s*\.\.\s*({_NUMBER})")
_EXPECTED = "a chance such as `0.3`, `0.2..0.6` or `very likely`"


@dataclass(frozen=True)
class Chance:
    """A chance from low to high, 0 to 1; `word` is the ladder's first word for it, whichever synonym was written."""

    low: float
    high: float
    word: str | None = None

    @property
    def middle(self) -> float:
        """Return the middle of the range."""
        return (self.low + self.high) / 2


def parse_chance(given: str | int | float | Chance) -> Chance:
    """Return the chance that a number from 0 to 1, a range or a word of the ladder states; NotationError otherwise."""
    if isinstance(given, Chance):
        return given
    if isinstance(given, bool) or not isinstance(given, str | int | float):
        raise NotationError(given, _EXPECTED, "Write one number, range or word.")
    if not isinstance(given, str):
        value = _share(given, given)
        return Chance(value, value)
    text = " ".join(given.split()).casefold()
    if text in _RUNGS:
        word, low, high = _RUNGS[text]
        return Chance(low, high, word)
    if _ONE.fullmatch(text):
        value = _share(given, float(text))
        return Chance(value, value)
    found = _RANGE.fullmatch(text)
    if found is None:
        raise _misread(given, text)
    low, high = _share(given, float(found[1])), _share(given, float(found[2]))
    if low > high:
        raise NotationError(given, "the lesser chance first", f"Did you mean `{found[2]}..{found[1]}`?")
    if low == high:
        raise NotationError(given, "a range with some width", f"Write `{found[1]}`.")
    return Chance(low, high)


def word_for(chance: float) -> str:
    """Return the ladder's word for a chance, or BELOW or ABOVE where the ladder has none; ValueError outside 0…1.

    An end that two bands share goes to the weaker word, the one nearer to even: 0.8 is likely, 0.2 is unlikely. So a
    chance and its opposite always get opposite words. The chance is taken to twelve decimals, so that 1 - 0.8 is 0.2.
    """
    if not 0 <= chance <= 1:
        raise ValueError(f"{chance} is no chance: it lies outside 0 to 1")
    chance = round(chance, 12)
    if chance < LADDER[0][1]:
        return BELOW
    if chance > LADDER[-1][2]:
        return ABOVE
    if chance < 0.5:
        return next(words[0] for words, low, high in LADDER if low <= chance < high)
    return next(words[0] for words, low, high in LADDER if low < chance <= high)


def _share(given: object, value: float) -> float:
    if not 0 <= value <= 1:
        raise NotationError(given, "a chance from 0 to 1", "Write `0.3` for 30 %.")
    return float(value)


def _misread(given: str, text: str) -> NotationError:
    if not text:
        return NotationError("an empty text", _EXPECTED, "Write one, or leave the field out.")
    if "%" in text or re.fullmatch(rf"-{_NUMBER}", text):
        return NotationError(given, "a chance from 0 to 1", "Write `0.3` for 30 %.")
    if re.fullmatch(rf"{_NUMBER}\s*(?:-|–|—|…|\.\.\.|to)\s*{_NUMBER}", text):
        return NotationError(given, "two points between the ends of a range", "Write `0.2..0.6`.")
    near = get_close_matches(text, list(_RUNGS), 1)
    words = ", ".join(words[0] for words, _, _ in LADDER)
    return NotationError(given, _EXPECTED, f"Did you mean `{near[0]}`?" if near else f"The words are: {words}.")
