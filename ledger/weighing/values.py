"""What goes into the weighing of one question and what comes out: frozen values that know no files and no store.

Rivals are named by strings; the last rival of a question is always NONE. Probabilities are floats in 0…1.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

NONE = "none-of-these"


@dataclass(frozen=True)
class Stated:
    """A chance stated as a range. A draw u, 0 to 1, gives low + u (high - low); all of one name share their draws."""

    low: float
    high: float
    name: str


@dataclass(frozen=True)
class Note:
    """One note's bearing on the named rivals.

    bearing      P(note | rival) for each rival judged; the rest are unjudged
    credibility  chance r that the note tracks the truth, given a sound origin
    origin       the source at the end of the chain of retellings
    stated       the ranges behind the bearings, by rival
    trust        the ranges behind the credibility, whose product it is
    """

    ref: str
    origin: str
    credibility: float
    bearing: Mapping[str, float]
    stated: Mapping[str, Stated] = field(default_factory=dict)
    trust: tuple[Stated, ...] = ()


@dataclass(frozen=True)
class Prediction:
    """One measured value held against what each rival predicts; every named rival predicts.

    density  probability density of the measured value under each named rival's prediction, all in one unit, > 0 for one
             at least
    doubt    chance d, per rival, that the model behind its prediction does not apply; none stated for a rival whose
             prediction comes from no model
    stated   the ranges behind those doubts, by rival
    """

    ref: str
    origin: str
    credibility: float
    density: Mapping[str, float]
    doubt: Mapping[str, float]
    trust: tuple[Stated, ...] = ()
    stated: Mapping[str, Stated] = field(default_factory=dict)


@dataclass(frozen=True)
class Feasibility:
    """The chance that all criteria of a rival hold in the same draw, and the chance that the model does not apply.

    stated   the range behind the doubt
    sampled  how many draws the chance was counted in; 0 where it is exact
    """

    rival: str
    holds: float
    doubt: float
    calculations: tuple[str, ...]
    stated: Stated | None = None
    sampled: int = 0


@dataclass(frozen=True)
class Case:
    """All that bears on one question. `prior` is over the named rivals and NONE and sums to one.

    trust   the ranges behind the soundness, by origin
    stated  the ranges behind the priors, by rival; drawn priors are divided by their sum
    known   by rival the factor, >= 0, that links to questions whose answers are known come to; 1 where none is named
    """

    question: str
    prior: Mapping[str, float]
    soundness: Mapping[str, float]
    notes: tuple[Note, ...] = ()
    predictions: tuple[Prediction, ...] = ()
    feasibilities: tuple[Feasibility, ...] = ()
    trust: Mapping[str, Stated] = field(default_factory=dict)
    stated: Mapping[str, Stated] = field(default_factory=dict)
    known: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Link:
    """What a rival of one question says of a rival of another.

    kind    needs: `one` is true only together with `other`; rules-out: never together; favours: the pair `factor` times
            as likely as without the link
    factor  of a pair that is favoured, > 0; 1 says nothing
    stated  the range behind the factor, drawn evenly in its logarithm
    """

    one: str
    kind: str
    other: str
    factor: float = 1.0
    stated: Stated | None = None

    @property
    def name(self) -> str:
        """Return it in words, which also name it."""
        return f"{self.one} {self.kind} {self.other}"


@dataclass(frozen=True)
class Impossible:
    """A rival that links leave no combination for, and a least set of links that does so."""

    rival: str
    links: tuple[str, ...]


@dataclass(frozen=True)
class Order:
    """How likely it is that one rival ranks first and another second."""

    first: str
    second: str
    chance: float


@dataclass(frozen=True)
class AccountLine:
    """One part of the account: what it is (prior, origin, prediction, feasibility, links), of which ref; decibans."""

    part: str
    ref: str
    decibans: float


@dataclass(frozen=True)
class Account:
    """The log-odds of the leader over the runner-up in decibans, split into lines that add up to it.

    No lines and total 0 when the runner-up has no confidence at all: that lead has no finite measure.
    """

    leader: str
    runner_up: str
    total: float
    lines: tuple[AccountLine, ...]


@dataclass(frozen=True)
class Standing:
    """One rival after weighing.

    prior        as stated
    linked_prior what links to other questions make of it, before any evidence
    confidence   at the middles of all that is stated as a range
    low, high    ends of the 90 % interval of the confidence over draws of those ranges; None where they were not drawn
    median       over the same draws
    first        chance of ranking first among those that may lead; None likewise
    judged  notes that judge it; NONE takes a value from every note, so all of them
    tested  a calculation speaks to it: its criteria were computed, or a prediction with a model's doubt was
    """

    rival: str
    prior: float
    linked_prior: float
    confidence: float
    low: float | None
    median: float | None
    high: float | None
    first: float | None
    judged: int
    notes: int
    tested: bool
    may_lead: bool


@dataclass(frozen=True)
class Weighing:
    """One question weighed. Standings are in order of confidence, then of name.

    leader      the most confident of those that may lead; None if nobody may that has any confidence: the account is
                then of the first standing over the second
    weights     decibans by ref and rival, leave-one-out, of all that bears on the question itself; 0.0 where prior 0 or
                1 leaves nothing to move
    infinite    by ref, the rivals it alone shuts out or leaves alone: that weight is infinite, and 0.0 in `weights`
    through     likewise, of what reaches the question through links alone, and of the links (by name)
    soundness   by source, the chance that it is sound for this question, in the light of all that was weighed
    linked      the questions weighed together with this one, this one among them
    impossible  rivals that links leave no combination for
    orders      of the first two of those that may lead, over the draws, the most frequent first
    drawn       confidences by rival over the draws
    """

    question: str
    standings: tuple[Standing, ...]
    leader: str | None
    account: Account
    weights: Mapping[str, Mapping[str, float]]
    soundness: Mapping[str, float]
    infinite: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    through: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    linked: tuple[str, ...] = ()
    impossible: tuple[Impossible, ...] = ()
    orders: tuple[Order, ...] = ()
    drawn: Mapping[str, NDArray[np.float64]] = field(default_factory=dict, compare=False, repr=False)
