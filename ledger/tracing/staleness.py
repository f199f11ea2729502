"""Decisions that must be taken again, and why: what they stand on held against what it was when they were taken."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from graphlib import TopologicalSorter

from ledger.casebook.items import Item
from ledger.casebook.rebuilding import criterion
from ledger.casebook.taking import Then
from ledger.casebook.values import Casebook
from ledger.entries.models import Decision, Hypothesis, Question
from ledger.entries.parts import Quote
from ledger.tracing.grounds import Grounds, direct
from ledger.tracing.quoting import moved, present
from ledger.tracing.reasons import Reason
from ledger.tracing.revising import changes

HOLDS = 0.5  # of the draws: a criterion that is kept in fewer fails
# The order in which reasons are told.
RANKS = (
    "withdrawn", "refused", "answer", "leader", "unweighed", "confidence", "number", "criterion", "revised", "decision",
)  # fmt: skip


@dataclass(frozen=True)
class Stale:
    """A decision and the reasons why it must be taken again.

    at      when it was taken, as the record says; empty where there is no record
    untold  what cannot be told any more of the day it was taken; with no reasons it stands, as far as is known
    """

    ref: str
    at: str
    reasons: tuple[Reason, ...]
    untold: tuple[str, ...] = ()


def stale(casebook: Casebook) -> dict[str, Stale]:
    """Return the decisions with reasons to take them again, and those of which not all can be told, by ref.

    What was weighed and computed then is weighed and computed from the words of then by the program of now, so that a
    better program is no reason; a number that it changes is, through what the decision quotes.
    """
    taken, found = casebook.taken(), dict[str, Stale]()
    grounds: dict[str, Grounds] = {}
    decisions = {item.ref: item.entry for item in casebook.of_kind("decision") if isinstance(item.entry, Decision)}
    named = {ref: [one for one in direct(entry) if one in decisions] for ref, entry in decisions.items()}
    for ref in TopologicalSorter({ref: sorted(named[ref]) for ref in sorted(named)}).static_order():
        then = taken.get(ref)
        reasons = [*_now(casebook, decisions[ref], then)]
        untold: list[str] = []
        if then is not None:
            if then.at not in grounds:
                grounds[then.at] = Grounds(then.entries)
            reasons += _since(casebook, decisions[ref], then, grounds[then.at])
            untold += _untold(decisions[ref], then)
        reasons += [Reason("decision", one) for one in named[ref] if one in found and found[one].reasons]
        if reasons or untold:
            reasons.sort(key=lambda one: (bool(one.through), RANKS.index(one.kind)))
            found[ref] = Stale(ref, then.at if then else "", tuple(reasons), tuple(untold))
    return dict(sorted(found.items()))


def _now(casebook: Casebook, decision: Decision, then: Then | None) -> Iterator[Reason]:
    """Yield what needs no past but what the decision itself says: what is gone, quoted numbers, bounds, refusals."""
    for ref in direct(decision):
        if ref not in casebook.entries:
            yield Reason("withdrawn", ref, words=_gone(casebook, ref))
    for quote in decision.quotes:
        yield from _quoted(casebook, quote)
    for ref, least in decision.least_confidence.items():
        yield from _counted_on(casebook, ref, least.low, then)
    for ref in direct(decision):
        if ref in casebook.refused:
            yield Reason("refused", ref, words=casebook.refused[ref])


def _quoted(casebook: Casebook, quote: Quote) -> Iterator[Reason]:
    ref = str(quote.of.measurement or quote.of.calculation)
    now = present(casebook, quote)
    if now is None:
        if ref in casebook.entries and ref not in casebook.refused:
            yield Reason("refused", ref, words=f"it gives no number `{quote.of.output}` any more")
    elif moved(quote.said, now):
        yield Reason("number", ref, words=quote.of.output or "", before=quote.said.text, now=now.text)


def _counted_on(casebook: Casebook, ref: str, least: float, then: Then | None) -> Iterator[Reason]:
    item = casebook.entries.get(ref)
    if item is None or not isinstance(item.entry, Hypothesis):
        return
    question = str(item.entry.question)
    now = confidence(casebook, question, ref) if _answer(casebook.entries.get(question)) is None else None
    if now is not None and now < least:
        shares = then.moment.confidences.get(question, {}) if then is not None and then.moment is not None else {}
        yield Reason("confidence", ref, before=shares.get(ref), now=now, least=least)


def confidence(casebook: Casebook, question: str, rival: str) -> float | None:
    """Return the confidence of a rival, or None where its question is not weighed."""
    weighing = casebook.weighings.get(question)
    return next((one.confidence for one in weighing.standings if one.rival == rival), None) if weighing else None


def _since(casebook: Casebook, decision: Decision, then: Then, grounds: Grounds) -> Iterator[Reason]:
    """Yield what has changed since the decision was taken."""
    how = direct(decision)
    for ref in how:
        if how[ref] == "named" and ref in casebook.entries and ref in then.former:
            found = changes(then.entries[then.former[ref]], casebook.entries[ref], then.present)
            if found:
                yield Reason("revised", ref, changes=found)
    yield from _deeper(casebook, how, then, grounds)
    if then.moment is not None:
        yield from _led(casebook, how, then)
        yield from _kept(casebook, how, then, grounds)


def _deeper(casebook: Casebook, how: Mapping[str, str], then: Then, grounds: Grounds) -> Iterator[Reason]:
    """Yield what stood below a ground then and is withdrawn now, each once, under the first ground that stood on it."""
    told = set(how)
    for ref in how:
        for lower in grounds.below(then.former[ref]) if ref in then.former else ():
            now = then.present[lower]
            if now not in casebook.entries and now not in told:
                told.add(now)
                yield Reason("withdrawn", now, through=ref, words=_gone(casebook, now))


def _gone(casebook: Casebook, ref: str) -> str:
    item = casebook.withdrawn.get(ref)
    return (item.entry.withdrawn or "") if item is not None else "its words were erased"


def _led(casebook: Casebook, how: Mapping[str, str], then: Then) -> Iterator[Reason]:
    """Yield the questions of its hypotheses, and those it names, that have another leader or came out otherwise."""
    assert then.moment is not None
    told: set[str] = set()
    for ref in how:
        item = casebook.entries.get(ref)
        entry = item.entry if item is not None else None
        question = str(entry.question) if isinstance(entry, Hypothesis) else ref
        if not isinstance(entry, Hypothesis | Question) or question in told:
            continue
        told.add(question)
        if question in then.moment.leaders and _answer(casebook.entries.get(question)) is None:
            weighing = casebook.weighings.get(question)
            before = then.moment.leaders[question]
            if weighing is None:
                yield Reason("unweighed", question, words=_unweighed(casebook, question))
            elif weighing.leader != before:
                yield Reason("leader", question, before=before, now=weighing.leader)
        counted = {one for one in how if _answers(casebook, one, question)}
        yield from _answered(casebook, question, counted or {then.moment.leaders.get(question)}, then)


def _unweighed(casebook: Casebook, question: str) -> str:
    if question not in casebook.entries:
        return f"it was withdrawn: {_gone(casebook, question)}"
    return next((one.message for one in casebook.findings if question in one.about), "")


def _answers(casebook: Casebook, ref: str, question: str) -> bool:
    item = casebook.entries.get(ref)
    return item is not None and isinstance(item.entry, Hypothesis) and item.entry.question == question


def _answered(casebook: Casebook, question: str, counted: Collection[str | None], then: Then) -> Iterator[Reason]:
    """Yield a question whose answer became known since, where it is not what the decision counted on."""
    before = _answer(then.entries.get(then.former.get(question, "")))
    now = _answer(casebook.entries.get(question))
    if now is not None and now not in counted and (before is None or then.present.get(before, before) != now):
        yield Reason("answer", question, now=now)


def _answer(item: Item | None) -> str | None:
    resolved = item.entry.resolved if item is not None and isinstance(item.entry, Question) else None
    return None if resolved is None else str(resolved.answer)


def _kept(casebook: Casebook, how: Mapping[str, str], then: Then, grounds: Grounds) -> Iterator[Reason]:
    """Yield criteria that held then and fail now: of calculations it names, and of those that test its hypotheses."""
    assert then.moment is not None
    through = {ref: "" for ref in how if ref.startswith("calculations/")}
    for ref in how:
        for tie in grounds.down(then.former[ref]) if ref in then.former else ():
            if tie.why == "tests":
                through.setdefault(then.present[tie.lower], ref)
    for ref, ground in through.items():
        result = casebook.results.get(ref)
        was = then.moment.kept.get(ref, {})
        for kept in result.kept if result is not None else ():
            before = was.get(criterion(kept))
            if before is not None and before >= HOLDS > kept.chance:
                words = criterion(kept)
                yield Reason("criterion", ref, through=ground, words=words, before=before, now=kept.chance)


def _untold(decision: Decision, then: Then) -> Iterator[str]:
    """Yield what a decision would be held against, and cannot be told any more."""
    how = direct(decision)
    if then.moment is None and any(ref.split("/")[0] in ("hypotheses", "questions", "calculations") for ref in how):
        yield f"who led and what was kept on {then.at[:10]} cannot be worked out any more: {then.lost}"
    for ref, why in then.unread.items():
        if then.present[ref] in how:
            yield f"what {then.present[ref]} said on {then.at[:10]} is not known: {why}"
