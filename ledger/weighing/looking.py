"""What a look is worth before anybody has looked: information in bits, and the chance that the leader changes."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from ledger.weighing.drawn import Drawn
from ledger.weighing.information import gains
from ledger.weighing.likelihood import Array, neutral
from ledger.weighing.look_checks import OUTCOMES_BAND as OUTCOMES_BAND
from ledger.weighing.look_checks import check_look
from ledger.weighing.ranges import LEVEL, TIE_DIGITS
from ledger.weighing.values import NONE, Stated

Outcomes = Mapping[str, Mapping[str, float]]


@dataclass(frozen=True)
class Outcome:
    """One thing a look may show.

    chance       of seeing it, 0 … 1
    confidences  of all rivals once it is seen; those from before where its chance is 0
    gain         what seeing it would teach, sum_i q_i log2(q_i / p_i) from confidence p to q, >= 0 [bit]
    """

    chance: float
    confidences: Mapping[str, float]
    gain: float


@dataclass(frozen=True)
class Worth:
    """What a look is worth.

    gain            expected information, the chance-weighted mean of the outcomes' gains: 0 … entropy before [bit]
    leader_changes  chance that another rival leads after the look, 0 … 1
    outcomes        by name, in the order given
    low, high       ends of the 90 % interval of the gain over draws of all that is stated as a range; None where it was
                    not drawn
    median          over the same draws
    elsewhere       by linked question, the chance that another of its rivals leads after the look
    anywhere        chance that some leader changes, here or in a linked question
    drawn           the gain over the draws, (draws,)
    """

    gain: float
    leader_changes: float
    outcomes: Mapping[str, Outcome]
    low: float | None = None
    median: float | None = None
    high: float | None = None
    elsewhere: Mapping[str, float] = field(default_factory=dict)
    anywhere: float = 0.0
    drawn: Array | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Doubt:
    """What is stated as a range, and drawn together, behind the points that a look is worked out from.

    confidences  of all rivals over the draws, (draws,) each
    prior        likewise
    stated       ranges of the outcomes' chances, by outcome and named rival
    drawn        draws of those ranges: as many, and one name is one draw wherever it stands
    """

    confidences: Mapping[str, Array]
    prior: Mapping[str, Array]
    stated: Mapping[str, Mapping[str, Stated]]
    drawn: Drawn


@dataclass(frozen=True)
class Linked:
    """A question that links connect with the one a look is for.

    given     confidences of its rivals, by each rival of the look's own question, were that one true
    may_lead  those of its rivals that may lead
    """

    question: str
    given: Mapping[str, Mapping[str, float]]
    may_lead: Collection[str]


def worth(
    confidences: Mapping[str, float],
    outcomes: Outcomes,
    reliability: float = 1.0,
    *,
    prior: Mapping[str, float] | None = None,
    may_lead: Collection[str] | None = None,
    doubt: Doubt | None = None,
    linked: Sequence[Linked] = (),
) -> Worth:
    """Return what a look is worth, given what each rival says it would show.

    P(o | i) = r L_io + (1 - r) c_o, with c_o = sum π_i L_io / sum π_i over the named rivals; "none of these" takes c_o.
    The expected gain is the mutual information of rival and outcome. Given the rival, the outcome depends on nothing
    else, so where questions are linked it is also what the look tells of all of them together, and no more is told of
    any other (data processing; the chain rule).

    confidences  of the named rivals and of NONE as they now stand, summing to one
    outcomes     L_io = P(outcome | rival) by outcome and named rival; a rival's may sum to 0.9 … 1.1 and are then
                 divided by their sum
    reliability  r, chance that the look tells the truth, 0 … 1; else it says the same whatever is true. For a note from
                 an origin of its own it is soundness times credibility: the confidences after it are then those that
                 weighing the note would give
    prior        π of the same rivals, which the weighing takes for c; the confidences if left out
    may_lead     rivals that may lead; all of them if left out
    doubt        what is drawn; the gain has no range without it
    linked       questions whose leaders may change with this one's rivals

    Raises WeighingRefused: one line a fault, with what to mend.
    Source: Lindley, "On a measure of the information provided by an experiment", Ann. Math. Statist. 27 (1956); Cover &
    Thomas, Elements of Information Theory, 2nd ed. (2006), theorems 2.5.2 (chain rule) and 2.8.1 (data processing).
    """
    prior = confidences if prior is None else prior
    check_look(confidences, outcomes, reliability, prior)
    rivals = [*(rival for rival in confidences if rival != NONE), NONE]
    before = np.array([[confidences[rival] for rival in rivals]], dtype=float)
    before /= before.sum()
    table = np.array([[says[rival] for rival in rivals[:-1]] for says in outcomes.values()], dtype=float)
    shares = np.array([[prior[rival] for rival in rivals[:-1]]], dtype=float)
    shown = _shown(table[None], shares, reliability)
    taught = gains(before, shown)[0].tolist()
    joint = before[0] * shown[0]
    chances = joint.sum(axis=1) / joint.sum()
    seen = {
        name: Outcome(
            float(chance), dict(zip(rivals, (row / row.sum() if row.any() else before[0]).tolist(), strict=True)), gain
        )
        for name, chance, row, gain in zip(outcomes, chances, joint, taught, strict=True)
    }
    now = dict(zip(rivals, before[0].tolist(), strict=True))
    changing = {name for name, one in seen.items() if leader(one.confidences, may_lead) != leader(now, may_lead)}
    others = {one.question: _turning(one, now, seen) for one in linked}
    drawn = None if doubt is None else _drawn(rivals, outcomes, reliability, doubt)
    low, median, high = (None,) * 3 if drawn is None else np.quantile(drawn, LEVEL).tolist()
    return Worth(
        gain=math.fsum(one.chance * one.gain for one in seen.values()),
        leader_changes=_chance(seen, changing),
        outcomes=seen,
        low=low,
        median=median,
        high=high,
        elsewhere={question: _chance(seen, names) for question, names in others.items()},
        anywhere=_chance(seen, changing.union(*others.values())),
        drawn=drawn,
    )


def leader(confidences: Mapping[str, float], may_lead: Collection[str] | None) -> str | None:
    """Return who leads, ranked as standings are; None if nobody may that has any confidence."""
    able = [rival for rival, value in confidences.items() if value > 0 and (may_lead is None or rival in may_lead)]
    return min(able, key=lambda rival: (-round(confidences[rival], TIE_DIGITS), rival == NONE, rival), default=None)


def _shown(table: Array, prior: Array, reliability: float) -> Array:
    """Return P(outcome | rival) for all rivals, (draws, outcomes, rivals).

    table  L, (draws, outcomes, named rivals), any sum over the outcomes; a rival that says nothing at all of them
           expects each alike
    prior  of the named rivals, (draws, named rivals)
    """
    total = table.sum(axis=1, keepdims=True)
    says = np.where(total > 0, table / np.where(total > 0, total, 1.0), 1 / table.shape[1])
    mean = neutral(prior, says)[..., None]
    shown: Array = reliability * np.concatenate([says, mean], axis=-1) + (1 - reliability) * mean
    return shown


def _drawn(rivals: Sequence[str], outcomes: Outcomes, reliability: float, doubt: Doubt) -> Array:
    """Return the expected gain over the draws, (draws,)."""
    before = np.stack([doubt.confidences[rival] for rival in rivals], axis=1)
    before = before / before.sum(axis=1, keepdims=True)
    prior = np.stack([doubt.prior[rival] for rival in rivals[:-1]], axis=1)
    rows = []
    for name, says in outcomes.items():
        behind = doubt.stated.get(name, {})
        stated = [(behind[rival],) if rival in behind else () for rival in rivals[:-1]]
        rows.append(
            np.stack([doubt.drawn.of(says[rival], one) for rival, one in zip(rivals[:-1], stated, strict=True)], axis=1)
        )
    shown = _shown(np.stack(rows, axis=1), prior, reliability)
    chances = np.einsum("di,doi->do", before, shown)
    expected: Array = (chances * gains(before, shown)).sum(axis=1)
    return expected


def _turning(linked: Linked, now: Mapping[str, float], seen: Mapping[str, Outcome]) -> set[str]:
    """Return the outcomes after which another rival of a linked question leads."""

    def leads(own: Mapping[str, float]) -> str | None:
        able = {rival: value for rival, value in own.items() if value > 0}
        names = next(iter(linked.given.values()))
        spread = {name: math.fsum(value * linked.given[one][name] for one, value in able.items()) for name in names}
        return leader(spread, linked.may_lead)

    first = leads(now)
    return {name for name, one in seen.items() if leads(one.confidences) != first}


def _chance(seen: Mapping[str, Outcome], names: Collection[str]) -> float:
    return min(1.0, math.fsum(seen[name].chance for name in names))
