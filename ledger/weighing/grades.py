"""From a source's grade to the chance that it is sound, and from a note's grade to the chance that it tracks the truth.

The letters and digits are those of NATO AJP-2.1 (STANAG 2511). The standard gives words and no numbers: the numbers
here are ours, are shown to readers, and an investigation may replace any of them. What they rest on:

- A to E, and 1 to 5, follow each other without gap or overlap, so a step in grade is always a step in chance.
- The best reaches 0.99 and no more. A source moves a rival's odds by at most 1 + R / ((1 - R) π), so 0.99 leaves the
  best a hundredfold pull or, on a rival of small prior, some more, and makes nothing certain.
- The worst stays at 0.1 and more. An unsound source tells a story drawn without regard to the truth; it does not tell
  the opposite. So a bad grade makes evidence weak, and never makes it count backwards.
- F and 6 mean that there is no basis to judge, which is not the worst grade: the widest range, about a middling 0.5.
- 1 is worded "confirmed by other sources", but those sources' own notes are weighed too: the digit is for how plainly
  this note shows what it says, judged apart from the others.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from ledger.errors import WeighingRefused
from ledger.quantities.chance import Chance
from ledger.weighing.checking import is_chance

RELIABILITY_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "A": "completely reliable",
        "B": "usually reliable",
        "C": "fairly reliable",
        "D": "not usually reliable",
        "E": "unreliable",
        "F": "reliability cannot be judged",
    }
)
CREDIBILITY_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "1": "confirmed by other sources",
        "2": "probably true",
        "3": "possibly true",
        "4": "doubtful",
        "5": "improbable",
        "6": "truth cannot be judged",
    }
)
_STEPS = ((0.95, 0.99), (0.85, 0.95), (0.65, 0.85), (0.4, 0.65), (0.1, 0.4), (0.2, 0.8))


def _table(grades: Iterable[str]) -> Mapping[str, Chance]:
    return MappingProxyType(
        {grade: Chance(low=low, high=high, word=None) for grade, (low, high) in zip(grades, _STEPS, strict=True)}
    )


RELIABILITY: Mapping[str, Chance] = _table(RELIABILITY_WORDS)
CREDIBILITY: Mapping[str, Chance] = _table(CREDIBILITY_WORDS)


def adjusted(table: Mapping[str, Chance], overrides: Mapping[str, Chance]) -> Mapping[str, Chance]:
    """Return a table of grades with an investigation's own chances in place of ours, in the table's order.

    Raises WeighingRefused for a grade the table does not have.
    """
    unknown = [grade for grade in overrides if grade not in table]
    if unknown:
        raise WeighingRefused(
            f"there is no grade {', '.join(unknown)}; expected one of {', '.join(table)}. "
            "Correct the investigation's table."
        )
    return MappingProxyType({grade: overrides.get(grade, chance) for grade, chance in table.items()})


def middles(table: Mapping[str, Chance]) -> dict[str, float]:
    """Return the middle of each grade's range: the one value used while ranges are not drawn."""
    return {grade: chance.middle for grade, chance in table.items()}


def tracking(credibility: float, retellings: Iterable[float] = ()) -> float:
    """Return the chance that a note tracks what its origin showed: r times the R of each retelling on the way.

    credibility  r of the note, 0 … 1
    retellings   R of each source between the note and its origin, 0 … 1; the origin itself is not among them
    """
    chances = (credibility, *retellings)
    for chance in chances:
        if not is_chance(chance):
            raise WeighingRefused(f"a chance of {chance} was given; expected 0 to 1. Correct the grade's chance.")
    return math.prod(chances)
