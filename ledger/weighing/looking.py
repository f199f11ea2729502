"""What a look is worth before anybody has looked: information in bits, and the chance that the leader changes."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledger.errors import WeighingRefused
from ledger.weighing.checking import SUM_TOLERANCE, is_chance
from ledger.weighing.likelihood import Array, logs, neutral
from ledger.weighing.values import NONE
from ledger.weighing.weigh import TIE_DIGITS

OUTCOMES_BAND = (0.9, 1.1)  # what the outcomes of one rival may sum to, as for the entry of a lookout
BIT = math.log(2.0)


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
    """

    gain: float
    leader_changes: float
    outcomes: Mapping[str, Outcome]


def entropy(chances: ArrayLike) -> float:
    """Return the entropy of a distribution, H = -sum p log2 p, 0 log 0 being 0 [bit].

    chances  of any shape, each 0 … 1, summing to one

    Raises WeighingRefused when they are no distribution.
    Source: Cover & Thomas, Elements of Information Theory, 2nd ed. (2006), §2.1.
    """
    return _entropy(_distribution(chances))


def mutual_information(joint: ArrayLike) -> float:
    """Return what two variables tell of each other, I(X; Y) = H(X) + H(Y) - H(X, Y), >= 0 [bit].

    joint  P(x, y), (x, y), each 0 … 1, summing to one

    Raises WeighingRefused when it is no such table.
    Source: Cover & Thomas, Elements of Information Theory, 2nd ed. (2006), theorem 2.4.1.
    """
    table = _distribution(joint)
    if table.ndim != 2:
        raise WeighingRefused(
            f"a joint table has two axes; this one has {table.ndim}. Give one row for each value of X."
        )
    return max(0.0, _entropy(table.sum(axis=1)) + _entropy(table.sum(axis=0)) - _entropy(table))


def worth(
    confidences: Mapping[str, float],
    outcomes: Mapping[str, Mapping[str, float]],
    reliability: float = 1.0,
    *,
    prior: Mapping[str, float] | None = None,
    may_lead: Collection[str] | None = None,
) -> Worth:
    """Return what a look is worth, given what each rival says it would show.

    P(o | i) = r L_io + (1 - r) c_o, with c_o = sum π_i L_io / sum π_i over the named rivals; "none of these" takes c_o.
    The expected gain is the mutual information of rival and outcome.

    confidences  of the named rivals and of NONE as they now stand, summing to one
    outcomes     L_io = P(outcome | rival) by outcome and named rival; a rival's may sum to 0.9 … 1.1 and are then
                 divided by their sum
    reliability  r, chance that the look tells the truth, 0 … 1; else it says the same whatever is true. For a note from
                 an origin of its own it is soundness times credibility: the confidences after it are then those that
                 weighing the note would give
    prior        π of the same rivals, which the weighing takes for c; the confidences if left out
    may_lead     rivals that may lead; all of them if left out

    Raises WeighingRefused: one line a fault, with what to mend.
    Source: Lindley, "On a measure of the information provided by an experiment", Ann. Math. Statist. 27 (1956).
    """
    prior = confidences if prior is None else prior
    faults = list(_faults(confidences, outcomes, reliability, prior))
    if faults:
        raise WeighingRefused("\n".join(faults))
    named = [rival for rival in confidences if rival != NONE]
    rivals = [*named, NONE]
    before = np.array([confidences[rival] for rival in rivals], dtype=float)
    before /= before.sum()
    table = np.array([[says[rival] for rival in named] for says in outcomes.values()], dtype=float)
    table /= table.sum(axis=0)
    mean = neutral(np.array([[prior[rival] for rival in named]], dtype=float), table[None])[0][:, None]
    shown = reliability * np.concatenate([table, mean], axis=1) + (1 - reliability) * mean
    chances = shown @ before
    chances /= chances.sum()
    seen = {
        name: _outcome(rivals, before, row, float(chance))
        for name, row, chance in zip(outcomes, shown, chances, strict=True)
    }
    leader = _leader(dict(zip(rivals, before.tolist(), strict=True)), may_lead)
    changing = [one.chance for one in seen.values() if _leader(one.confidences, may_lead) != leader]
    return Worth(
        gain=math.fsum(one.chance * one.gain for one in seen.values()),
        leader_changes=min(1.0, math.fsum(changing)),
        outcomes=seen,
    )


def _outcome(rivals: Sequence[str], before: Array, shown: Array, chance: float) -> Outcome:
    joint = before * shown
    if not joint.any():
        return Outcome(0.0, dict(zip(rivals, before.tolist(), strict=True)), 0.0)
    after = joint / joint.sum()
    left = after > 0
    gain = float(np.sum(after[left] * (logs(after[left]) - logs(before[left])))) / BIT
    return Outcome(chance, dict(zip(rivals, after.tolist(), strict=True)), max(0.0, gain))


def _leader(confidences: Mapping[str, float], may_lead: Collection[str] | None) -> str | None:
    """Return who leads, ranked as standings are; None if nobody may that has any confidence."""
    able = [rival for rival, value in confidences.items() if value > 0 and (may_lead is None or rival in may_lead)]
    return min(able, key=lambda rival: (-round(confidences[rival], TIE_DIGITS), rival == NONE, rival), default=None)


def _entropy(chances: Array) -> float:
    some = chances[chances > 0]
    return max(0.0, -float(np.sum(some * np.log2(some))))


def _distribution(chances: ArrayLike) -> Array:
    values = np.asarray(chances, dtype=float)
    if not bool(np.all((values >= 0) & (values <= 1))):
        raise WeighingRefused("a chance lies outside 0 to 1, or is no number. Correct it.")
    total = float(values.sum())
    if not abs(total - 1.0) <= SUM_TOLERANCE:
        raise WeighingRefused(f"the chances sum to {total:.12g}; expected 1. Divide each of them by that sum.")
    return values


def _faults(
    confidences: Mapping[str, float],
    outcomes: Mapping[str, Mapping[str, float]],
    reliability: float,
    prior: Mapping[str, float],
) -> Iterator[str]:
    if not is_chance(reliability):
        yield f"the reliability is {reliability}; expected a probability from 0 to 1. Correct the number."
    yield from _shares("confidence", confidences)
    if prior is not confidences:
        yield from _shares("prior", prior)
        if set(prior) != set(confidences):
            odd = ", ".join(sorted(set(prior) ^ set(confidences)))
            yield f"priors and confidences are of different rivals: {odd}. Give both for each."
    if not outcomes:
        yield "the look has no outcome; expected two or more. State what it may show."
    for name, says in outcomes.items():
        yield from _one_outcome(name, says, confidences)
    for rival in confidences:
        told = [says[rival] for says in outcomes.values() if rival in says]
        low, high = OUTCOMES_BAND
        total = math.fsum(told)
        if rival != NONE and told and len(told) == len(outcomes) and not low - 1e-9 <= total <= high + 1e-9:
            yield (
                f"the outcomes under {rival} sum to {total:.4g}; expected about 1, as one of them must come about. "
                "Change their chances, or add the outcome that is missing."
            )


def _one_outcome(name: str, says: Mapping[str, float], confidences: Mapping[str, float]) -> Iterator[str]:
    silent = [rival for rival in confidences if rival != NONE and rival not in says]
    if silent:
        yield f"the outcome {name} says nothing of {', '.join(silent)}; expected a chance under each rival. Add it."
    for rival, value in says.items():
        if rival == NONE:
            yield f"the outcome {name} speaks of {NONE}; it takes the mean of the others by itself. Leave it out."
        elif rival not in confidences:
            yield f"the outcome {name} speaks of {rival}, no rival here. Leave it out, or give it a confidence."
        elif not is_chance(value):
            yield f"the chance of {name} under {rival} is {value}; expected a probability from 0 to 1. Correct it."


def _shares(what: str, values: Mapping[str, float]) -> Iterator[str]:
    if NONE not in values:
        yield f"no {what} for {NONE}; every question has it as a rival. Give it one, 0 at least."
    if not any(rival != NONE for rival in values):
        yield f"there is no named rival with a {what}; expected one hypothesis at least. State one."
    for rival, value in values.items():
        if not is_chance(value):
            yield f"the {what} of {rival} is {value}; expected a probability from 0 to 1. Correct the number."
    total = math.fsum(values.values())
    if not abs(total - 1.0) <= SUM_TOLERANCE:
        yield f"the {what}s sum to {total:.12g}; expected 1. Divide each of them by {total:.12g}."
