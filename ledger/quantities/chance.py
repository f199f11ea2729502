"""Chances as people state them: numbers, ranges, and the words of the ICD 203 ladder read as its ranges.

Ladders are never mixed. A word that several of them share, such as `likely`, `very likely` or `unlikely`, is always
read as ICD 203's, whoever wrote it; a word that only another ladder has is refused with that ladder's name and its
range, to be written as a range. Sources of the ladders: `ladders.py`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches

from ledger.quantities.ladders import FOREIGN_WORDS, ICD_203, Ladder, Rung, foreign
from ledger.quantities.refusal import NotationError

LADDER = tuple((rung.words, rung.low, rung.high) for rung in ICD_203.rungs)
BELOW, ABOVE = "below 1 %", "above 99 %"

_RUNGS = {word: (words[0], low, high) for words, low, high in LADDER for word in words}
_NUMBER = r"[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?"
_ONE = re.compile(rf"{_NUMBER}")
_PERCENT = re.compile(rf"({_NUMBER})\s*%")
_RANGE = re.compile(rf"({_NUMBER})\s*\.\.\s*({_NUMBER})")
_EXPECTED = "a chance such as `0.3`, `0.2..0.6` or `very likely`"
_CONFIDENCE = re.compile(r"(?:very )?(?:low|medium|moderate|high) confidence")


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
    """Return the chance that a number from 0 to 1, a range or a word of the ICD 203 ladder states.

    A word that other ladders have too is read as ICD 203's. Raises NotationError for anything else; for a word of
    another ladder it names that ladder and its range.
    """
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
        raise NotationError(given, "a chance from 0 to 1", _for_percent(value if 2 <= value <= 100 else 30))
    return float(value)


def _for_percent(percent: float) -> str:
    """Return how to write so many per cent."""
    return f"Write `{percent / 100:.12g}` for {percent:g} %."


def _misread(given: str, text: str) -> NotationError:
    if not text:
        return NotationError("an empty text", _EXPECTED, "Write one, or leave the field out.")
    if "%" in text or re.fullmatch(rf"-{_NUMBER}", text):
        percent = _PERCENT.fullmatch(text)
        remedy = _for_percent(float(percent[1])) if percent else _for_percent(30)
        return NotationError(given, "a chance from 0 to 1", remedy)
    if re.fullmatch(rf"{_NUMBER}\s*(?:-|–|—|…|\.\.\.|to)\s*{_NUMBER}", text):
        return NotationError(given, "two points between the ends of a range", "Write `0.2..0.6`.")
    if _CONFIDENCE.fullmatch(text):
        expected = "a chance: how much an author trusts a judgment is another matter than how probable it is"
        return NotationError(given, expected, "Write the chance, such as `0.3`, `0.2..0.6` or `very likely`.")
    found = foreign(text)
    if found:
        return NotationError(given, "a number, a range or a word of the ICD 203 ladder", _translated(text, *found))
    near = get_close_matches(text, [*_RUNGS, *FOREIGN_WORDS], 1)
    if not near:
        return NotationError(given, _EXPECTED, f"The words are: {', '.join(words[0] for words, _, _ in LADDER)}.")
    found = foreign(near[0])
    return NotationError(
        given, _EXPECTED, f"Did you mean `{near[0]}`?{f' {_translated(near[0], *found)}' if found else ''}"
    )


def _translated(word: str, ladder: Ladder, rung: Rung) -> str:
    """Return whose word it is, and what to write instead: its own range, or our word for the middle of that."""
    whose = f"`{word}` is a word of {ladder.name}, {rung.range} there, and ladders are never mixed"
    ours = word_for((rung.low + rung.high) / 2)
    if ours not in _RUNGS:
        return f"{whose}: write `{rung.range}`, for ICD 203 has no word {ours}."
    _, low, high = _RUNGS[ours]
    return f"{whose}: write `{rung.range}`, or the ICD 203 word for the middle of it, `{ours}` ({low:g}..{high:g})."
