"""Ladders of words for chances, as data: the one this ledger reads, and two of other standards that it does not mix in.

The three share words and not their meaning: `likely` is 0.55..0.8 in ICD 203, 0.66..1 with the IPCC, 0.55..0.75 on the
PHIA yardstick. Here a shared word always means what ICD 203 says; a word that only another ladder has is known, so
that it can be refused by name.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Rung:
    """The words, all of one meaning, for the chances from low to high, 0 to 1; an open end does not itself belong."""

    words: tuple[str, ...]
    low: float
    high: float
    open_low: bool = False
    open_high: bool = False

    @property
    def range(self) -> str:
        """Return the chances as the ledger writes a range."""
        return f"{self.low:g}..{self.high:g}"


@dataclass(frozen=True)
class Ladder:
    """The rungs of one standard from the lowest chance to the highest; `name` can follow "of"."""

    name: str
    source: str
    rungs: tuple[Rung, ...]


ICD_203 = Ladder(
    "the ICD 203 ladder",
    "Office of the Director of National Intelligence, Intelligence Community Directive 203, Analytic Standards (2015), "
    "D.6.e(2). Neighbouring bands share their ends, and nothing is said below 1 % or above 99 %.",
    (
        Rung(("almost no chance", "remote"), 0.01, 0.05),
        Rung(("very unlikely", "highly improbable"), 0.05, 0.20),
        Rung(("unlikely", "improbable"), 0.20, 0.45),
        Rung(("roughly even chance", "roughly even odds", "roughly even"), 0.45, 0.55),
        Rung(("likely", "probable"), 0.55, 0.80),
        Rung(("very likely", "highly probable"), 0.80, 0.95),
        Rung(("almost certain", "nearly certain"), 0.95, 0.99),
    ),
)
IPCC = Ladder(
    "the IPCC's likelihood scale",
    "Mastrandrea et al., Guidance Note for Lead Authors of the IPCC Fifth Assessment Report on Consistent Treatment of "
    "Uncertainties (2010), Table 1, with the further terms of the Fifth and Sixth Reports. Nested, no partition: what "
    "is very likely is likely too. The IPCC's confidence (very low to very high) is another axis and no chance.",
    (
        Rung(("exceptionally unlikely",), 0.0, 0.01),
        Rung(("extremely unlikely",), 0.0, 0.05),
        Rung(("very unlikely",), 0.0, 0.10),
        Rung(("unlikely",), 0.0, 0.33),
        Rung(("about as likely as not",), 0.33, 0.66),
        Rung(("more likely than not",), 0.50, 1.0, open_low=True),
        Rung(("likely",), 0.66, 1.0),
        Rung(("very likely",), 0.90, 1.0),
        Rung(("extremely likely",), 0.95, 1.0),
        Rung(("virtually certain",), 0.99, 1.0),
    ),
)
PHIA = Ladder(
    "the UK's PHIA yardstick",
    "Professional Head of Intelligence Assessment, Probability Yardstick (gov.uk, 24 March 2025). It leaves gaps "
    "between its rungs on purpose; the end of the first is printed as about 5 %. The figures 10 to 20, 25 to 35 and 40 "
    "are from memory.",
    (
        Rung(("remote chance", "remote"), 0.0, 0.05, open_low=True),
        Rung(("highly unlikely",), 0.10, 0.20),
        Rung(("unlikely",), 0.25, 0.35),
        Rung(("realistic possibility",), 0.40, 0.50, open_high=True),
        Rung(("likely", "probable"), 0.55, 0.75),
        Rung(("highly likely",), 0.80, 0.90),
        Rung(("almost certain",), 0.95, 1.0, open_high=True),
    ),
)
OTHERS = (IPCC, PHIA)

_OURS = frozenset(word for rung in ICD_203.rungs for word in rung.words)
_FOREIGN = {
    word: (ladder, rung) for ladder in OTHERS for rung in ladder.rungs for word in rung.words if word not in _OURS
}
FOREIGN_WORDS = tuple(_FOREIGN)


def foreign(word: str) -> tuple[Ladder, Rung] | None:
    """Return the ladder and the rung of a word that another standard has and ICD 203 has not; None for all others.

    A word that ladders share, such as `likely` or `very unlikely`, is ICD 203's and so not foreign.
    """
    return _FOREIGN.get(" ".join(word.split()).casefold())
