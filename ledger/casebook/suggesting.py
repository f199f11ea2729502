"""Lookouts that nobody has stated: where the two rivals that lead predict different things and nothing tells yet.

A calculator that was run once for each of the two predicts its outputs for both; a hypothesis predicts what it
`predicts`. Whether an output can be read at all, a person must say: these are suggestions.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ledger.calculators.results import Outcome
from ledger.casebook.lookouts import may_lead, open_questions
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation, Evidence, Hypothesis, Measurement
from ledger.quantities.notation import Z95, Quantity
from ledger.quantities.percents import draws
from ledger.quantities.quantity import render
from ledger.quantities.summary import show
from ledger.weighing.looking import worth
from ledger.weighing.reading import told_by_reading
from ledger.weighing.values import NONE, Weighing

LEAST = 0.01  # bits
APART = 0.5  # by how much two chances of a truth differ at least


@dataclass(frozen=True)
class Suggestion:
    """A lookout to consider.

    title           what to read, in plain words
    says            what each of the two rivals predicts, in words
    gain            expected information if it were read as sharply as it is predicted [bit]
    leader_changes  chance that another rival leads then
    grounds         the calculations or the measurement that say so
    others          further results of the same calculations that differ, and tell less or the same
    """

    question: str
    title: str
    says: Mapping[str, str]
    gain: float
    leader_changes: float
    grounds: tuple[str, ...]
    others: tuple[str, ...] = ()


def suggestions(casebook: Casebook) -> tuple[Suggestion, ...]:
    """Return where the first two named rivals of a question differ and nothing in the ledger tells, the best first.

    Of the results of one calculator, that which tells most stands for all. Not among them are results that another
    entry holds against a measurement; those of calculations with inputs that are the designer's free choice, for they
    predict no one value; those of calculators that were run several times for a rival, for nobody said which is to be
    set beside which; and sizes without any doubt, for nobody said how sharply these are predicted.
    """
    found: list[Suggestion] = []
    for weighing in open_questions(casebook).values():
        named = [one.rival for one in weighing.standings if one.rival != NONE and one.confidence > 0]
        if len(named) > 1:
            first, second = named[:2]
            found += _by_calculators(casebook, weighing, first, second)
            found += _by_hypotheses(casebook, weighing, first, second)
    told = [one for one in found if one.gain >= LEAST]
    return tuple(sorted(told, key=lambda one: (-one.gain, one.question, one.title)))


def _by_calculators(casebook: Casebook, weighing: Weighing, first: str, second: str) -> Iterator[Suggestion]:
    ours, theirs = _once(casebook, first), _once(casebook, second)
    for calculator in sorted(ours.keys() & theirs.keys()):
        refs = (ours[calculator], theirs[calculator])
        if refs[0] == refs[1]:
            continue
        found = []
        for outcome in casebook.results[refs[0]].outcomes:
            other = casebook.results[refs[1]].outcome(outcome.name)
            predicted = None if other is None else _apart(outcome, other)
            if other is None or predicted is None or outcome.name in _held(casebook, calculator):
                continue
            gain, changes = _worth(casebook, weighing, dict(zip((first, second), predicted, strict=True)), refs)
            says = {first: _words(outcome), second: _words(other)}
            found.append(Suggestion(weighing.question, outcome.label, says, gain, changes, refs))
        found.sort(key=lambda one: -one.gain)
        for best in found[:1]:
            others = tuple(one.title for one in found[1:] if one.gain >= LEAST)
            yield Suggestion(best.question, best.title, best.says, best.gain, best.leader_changes, best.grounds, others)


def _by_hypotheses(casebook: Casebook, weighing: Weighing, first: str, second: str) -> Iterator[Suggestion]:
    case = casebook.cases.get(weighing.question)
    weighed = {one.ref for one in case.predictions} if case is not None else set()
    ours, theirs = (_entry(casebook, rival).predicts for rival in (first, second))
    for ref in sorted(ours.keys() & theirs.keys()):
        item = casebook.entries.get(ref)
        if item is None or not isinstance(item.entry, Measurement) or ref in weighed or _noted(casebook, ref):
            continue
        unit = item.entry.quantity.unit
        predicted = ours[ref].to(unit), theirs[ref].to(unit)
        if not _disjoint(*map(_reach, predicted)):
            continue
        gain, changes = _worth(casebook, weighing, dict(zip((first, second), predicted, strict=True)), ())
        says = {first: ours[ref].text, second: theirs[ref].text}
        yield Suggestion(weighing.question, item.title, says, gain, changes, (ref,))


def _worth(
    casebook: Casebook, weighing: Weighing, predicted: Mapping[str, Quantity], refs: tuple[str, ...]
) -> tuple[float, float]:
    """Return the expected gain of a reading and the chance that it changes the leader."""
    prior = {one.rival: one.prior for one in weighing.standings}
    doubt: dict[str, float] = {}
    if casebook.ground is not None:
        doubt = {rival: casebook.ground.doubt_of([ref])[0] for rival, ref in zip(predicted, refs, strict=False)}
    found = worth(
        {one.rival: one.confidence for one in weighing.standings},
        told_by_reading(predicted, doubt, prior),
        prior=prior,
        may_lead=may_lead(weighing),
    )
    return found.gain, found.leader_changes


def _once(casebook: Casebook, rival: str) -> dict[str, str]:
    """Return by calculator the one calculation of a rival that predicts, where there is one and no more."""
    refs: dict[str, list[str]] = {}
    for ref, result in casebook.results.items():
        entry = casebook.entries[ref].entry
        if isinstance(entry, Calculation) and rival in entry.hypotheses and entry.uncounted is None:
            refs.setdefault(result.calculator, []).append(ref)
    return {name: one[0] for name, one in refs.items() if len(one) == 1 and not _chosen(casebook, one[0], set())}


def _chosen(casebook: Casebook, ref: str, seen: set[str]) -> bool:
    """Return whether a calculation or any that it stands on has inputs that are the designer's free choice."""
    entry = casebook.entries[ref].entry if ref in casebook.entries else None
    if ref in seen or not isinstance(entry, Calculation):
        return False
    seen.add(ref)
    upstream = {str(ground.calculation) for ground in entry.grounds() if ground.calculation is not None}
    return bool(entry.chosen) or any(_chosen(casebook, one, seen) for one in sorted(upstream))


def _held(casebook: Casebook, calculator: str) -> set[str]:
    """Return the outputs of a calculator that some calculation holds against a measurement."""
    entries = [item.entry for item in casebook.of_kind("calculation")]
    return {
        one.observed.output
        for one in entries
        if isinstance(one, Calculation) and one.calculator == calculator and one.observed is not None
    }


def _noted(casebook: Casebook, measurement: str) -> bool:
    """Return whether an evidence note that counts restates a measurement."""
    notes = [item.entry for item in casebook.of_kind("evidence")]
    return any(isinstance(one, Evidence) and one.uncounted is None and measurement in one.measurements for one in notes)


def _entry(casebook: Casebook, rival: str) -> Hypothesis:
    entry = casebook.entries[rival].entry
    assert isinstance(entry, Hypothesis)
    return entry


def _apart(one: Outcome, other: Outcome) -> tuple[Quantity, Quantity] | None:
    """Return what two results predict, where they differ by more than their doubt."""
    if one.chance is not None and other.chance is not None:
        return (_truth(one.chance), _truth(other.chance)) if abs(one.chance - other.chance) >= APART else None
    if one.summary is None or other.summary is None:
        return None
    if one.form == "number" and one.summary.uncertainty == other.summary.uncertainty == 0:
        return None
    ends = [(each.summary.low, each.summary.high) for each in (one, other) if each.summary is not None]
    return (_number(one), _number(other)) if _disjoint(ends[0], ends[1]) else None


def _truth(chance: float) -> Quantity:
    return Quantity("", "whole", "", (0.0, 1 - chance, 1.0, chance))


def _number(outcome: Outcome) -> Quantity:
    assert outcome.summary is not None
    mean, deviation = outcome.summary.estimate, outcome.summary.uncertainty
    if deviation > 0:
        return Quantity(render("normal", outcome.unit, (mean, deviation)), "normal", outcome.unit, (mean, deviation))
    return Quantity(render("exact", outcome.unit, (mean,)), "exact", outcome.unit, (mean,))


def _disjoint(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return one[1] < other[0] or other[1] < one[0]


def _reach(quantity: Quantity) -> tuple[float, float]:
    """Return what a stated quantity covers: its whole support, or 95 % of a normal one."""
    if quantity.shape == "normal":
        return quantity.mean - Z95 * quantity.std, quantity.mean + Z95 * quantity.std
    return quantity.support


def _words(outcome: Outcome) -> str:
    if outcome.chance is not None:
        return f"true {draws(outcome.chance)}"
    assert outcome.summary is not None
    return show(outcome.summary, outcome.unit)
