"""What a case must keep before it is weighed. All faults of a case are named at once, each with its remedy."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from ledger.errors import WeighingRefused
from ledger.weighing.values import NONE, Case, Link, Note, Prediction

SUM_TOLERANCE = 1e-9
KINDS = ("needs", "rules-out", "favours")


def check(case: Case) -> None:
    """Refuse a case that cannot be weighed as it stands.

    Raises WeighingRefused: one line a fault, with what was given, what was expected and how to mend it.
    """
    faults = [
        *_priors(case),
        *_soundness(case),
        *_refs(case),
        *_notes(case),
        *_predictions(case),
        *_feasibilities(case),
    ]
    if faults:
        raise WeighingRefused("\n".join(f"{case.question}: {fault}" for fault in faults))


def check_links(cases: Sequence[Case], links: Sequence[Link]) -> None:
    """Refuse links that do not fit the questions they are to connect, or that say a thing twice.

    Raises WeighingRefused: one line a fault, with what was given, what was expected and how to mend it.
    """
    owner = {rival: case.question for case in cases for rival in case.prior if rival != NONE}
    faults = [f"{case.question} is given twice; expected once. Leave one out." for case in _repeated(cases)]
    named = [rival for case in cases for rival in case.prior if rival != NONE]
    for rival, count in Counter(named).items():
        if count > 1 and links:
            faults.append(f"{rival} is a rival of {count} questions; expected one, so that links are clear. Rename it.")
    seen: dict[frozenset[str], list[Link]] = {}
    for link in links:
        faults += _link(link, owner)
        before = seen.setdefault(frozenset({link.one, link.other}), [])
        if any(not _each_needs_the_other(link, earlier) for earlier in before):
            faults.append(f"{link.one} and {link.other} are linked twice; expected once. Keep one of the links.")
        before.append(link)
    if faults:
        raise WeighingRefused("\n".join(faults))


def _each_needs_the_other(link: Link, earlier: Link) -> bool:
    """Return whether two links of a pair say that both are true or neither, which takes two."""
    return link.kind == earlier.kind == "needs" and (link.one, link.other) == (earlier.other, earlier.one)


def _repeated(cases: Sequence[Case]) -> Iterator[Case]:
    seen: set[str] = set()
    for case in cases:
        if case.question in seen:
            yield case
        seen.add(case.question)


def _link(link: Link, owner: Mapping[str, str]) -> Iterator[str]:
    for rival in (link.one, link.other):
        if rival not in owner:
            yield f"the link `{link.name}` speaks of {rival}, a rival of no question here. Name one, or leave it out."
    if link.one in owner and owner.get(link.one) == owner.get(link.other):
        yield f"the link `{link.name}` is between rivals of one question, which exclude each other. Leave it out."
    if link.kind not in KINDS:
        yield f"the link `{link.name}` is of the kind {link.kind}; expected one of {', '.join(KINDS)}."
    if not 0.0 < link.factor < math.inf:
        yield f"the factor of `{link.name}` is {link.factor}; expected a finite number above 0. Correct it."


def is_chance(value: float) -> bool:
    """Return whether a value is a probability; NaN is none."""
    return 0.0 <= value <= 1.0


def _chance(what: str, value: float) -> Iterator[str]:
    if not is_chance(value):
        yield f"{what} is {value}; expected a probability from 0 to 1. Correct the number."


def _known(what: str, names: Mapping[str, float], case: Case) -> Iterator[str]:
    for name in names:
        if name == NONE:
            yield f"{what} speaks of {NONE}; it takes the mean of the others by itself. Leave it out."
        elif name not in case.prior:
            yield f"{what} speaks of {name}, which is no rival here. Give {name} a prior, or leave it out."


def _rows(case: Case) -> tuple[Note | Prediction, ...]:
    return (*case.notes, *case.predictions)


def _priors(case: Case) -> Iterator[str]:
    if NONE not in case.prior:
        yield f"no prior for {NONE}; every question has it as a rival. Give it one, 0 at least."
    if not any(rival != NONE for rival in case.prior):
        yield "there is no rival to weigh; expected one hypothesis at least. State one."
    for rival, value in case.prior.items():
        yield from _chance(f"the prior of {rival}", value)
    total = math.fsum(case.prior.values())
    if not abs(total - 1.0) <= SUM_TOLERANCE:
        yield f"the priors sum to {total:.12g}; expected 1. Divide each of them by {total:.12g}."


def _soundness(case: Case) -> Iterator[str]:
    for origin, value in case.soundness.items():
        yield from _chance(f"the soundness of {origin}", value)
    for item in _rows(case):
        if item.origin not in case.soundness:
            yield f"{item.ref} comes from {item.origin}, whose soundness is not given. Grade that source."


def _refs(case: Case) -> Iterator[str]:
    refs = Counter(item.ref for item in _rows(case))
    for ref, count in refs.items():
        if count > 1:
            yield f"{ref} is given {count} times; expected once, or it would count twice. Keep one."
        if ref in case.soundness:
            yield f"{ref} is the name of a note and of a source. Name one of them differently."


def _notes(case: Case) -> Iterator[str]:
    for note in case.notes:
        yield from _chance(f"the credibility of {note.ref}", note.credibility)
        if not note.bearing:
            yield f"{note.ref} judges no rival; expected a bearing on one at least. State one, or leave the note out."
        yield from _known(note.ref, note.bearing, case)
        for rival, value in note.bearing.items():
            yield from _chance(f"the bearing of {note.ref} on {rival}", value)


def _predictions(case: Case) -> Iterator[str]:
    for prediction in case.predictions:
        ref = prediction.ref
        yield from _chance(f"the credibility of {ref}", prediction.credibility)
        yield from _known(ref, prediction.density, case)
        yield from _known(f"the doubt of {ref}", prediction.doubt, case)
        silent = [rival for rival in case.prior if rival != NONE and rival not in prediction.density]
        if silent:
            yield (
                f"{ref} has no prediction of {', '.join(silent)}; expected one from every rival. "
                "State what each would predict, or a broad range."
            )
        for rival, value in prediction.density.items():
            if not 0.0 <= value < math.inf:
                yield f"the density of {ref} under {rival} is {value}; expected 0 or more, and finite. Correct it."
        if not any(value > 0.0 for value in prediction.density.values()):
            yield f"{ref} has density 0 under every rival: no prediction reaches the measured value. Widen one."
        for rival, value in prediction.doubt.items():
            yield from _chance(f"the doubt of {ref} on {rival}", value)


def _feasibilities(case: Case) -> Iterator[str]:
    for item in case.feasibilities:
        yield from _known("a feasibility", {item.rival: item.holds}, case)
        yield from _chance(f"the feasibility of {item.rival}", item.holds)
        yield from _chance(f"the doubt about the feasibility of {item.rival}", item.doubt)
    for rival, count in Counter(item.rival for item in case.feasibilities).items():
        if count > 1:
            yield (
                f"{rival} has {count} feasibilities; expected one, since its criteria must hold in the same draw. "
                "Join its calculations into one."
            )
