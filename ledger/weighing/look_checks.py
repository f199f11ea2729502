"""What a look must keep before its worth is worked out. All its faults are named at once, each with its remedy."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from ledger.errors import WeighingRefused
from ledger.weighing.checking import SUM_TOLERANCE, is_chance
from ledger.weighing.values import NONE

OUTCOMES_BAND = (0.9, 1.1)  # what the outcomes of one rival may sum to, as for the entry of a lookout


def check_look(
    confidences: Mapping[str, float],
    outcomes: Mapping[str, Mapping[str, float]],
    reliability: float,
    prior: Mapping[str, float],
) -> None:
    """Refuse a look that cannot be worked out as it stands.

    Raises WeighingRefused: one line a fault, with what was given, what was expected and how to mend it.
    """
    faults = list(_faults(confidences, outcomes, reliability, prior))
    if faults:
        raise WeighingRefused("\n".join(faults))


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
