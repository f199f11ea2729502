"""The impact of things: the whole ledger without some of them. What moves, who leads then, which decisions fall.

Nothing is drawn: every confidence here is the one at the middles of all that is stated as a range.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from ledger.casebook.lessening import KINDS
from ledger.casebook.losing import Loss
from ledger.casebook.values import Casebook
from ledger.entries.models import Decision, Evidence, Hypothesis, Measurement, Question, Source
from ledger.tracing.grounds import Grounds, direct
from ledger.tracing.reasons import Reason

NOTICED = 1e-9  # of a confidence; what moves by less is not told


@dataclass(frozen=True)
class Move:
    """How the confidence in one rival moves; `after` is None where its question could not be weighed any more."""

    question: str
    rival: str
    before: float
    after: float | None

    @property
    def by(self) -> float:
        """Return by how much it moves, -1 to 1; 0 where that cannot be told."""
        return 0.0 if self.after is None else self.after - self.before


@dataclass(frozen=True)
class Led:
    """A question that another rival, or none, would lead; or that could not be weighed any more, `refused`: why."""

    question: str
    before: str | None
    after: str | None
    refused: str = ""


@dataclass(frozen=True)
class Withdrawal:
    """What withdrawing some things together would do to open questions and to decisions.

    moves      the confidences that would move: those that could not be told any more, then the farthest first
    leaders    the questions that another rival would lead
    answers    the resolved questions whose answers were learnt from one of these things
    decisions  the decisions that would lose ground, with the reasons
    leaning    the decisions that stand on these things too, if only through links, and would keep their ground
    fallen     the calculations that could not be computed any more, those withdrawn among them
    person     whose sources these are, where they were taken together for that
    """

    refs: tuple[str, ...]
    moves: tuple[Move, ...]
    leaders: tuple[Led, ...]
    decisions: Mapping[str, tuple[Reason, ...]]
    leaning: tuple[str, ...]
    answers: tuple[str, ...] = ()
    fallen: tuple[str, ...] = ()
    person: str = ""

    @property
    def largest(self) -> Move | None:
        """Return the farthest move, or None where nothing moves that could still be told."""
        return max(self.moves, key=lambda one: abs(one.by), default=None)


class Test:
    """What works out impacts in a casebook; what its trials share is worked out once."""

    __test__ = False  # for pytest, which takes the name for one of its own

    def __init__(self, casebook: Casebook) -> None:
        self.casebook = casebook
        self.losing = casebook.losing
        self.grounds = Grounds(casebook.entries)
        self._now = {
            question: {one.rival: one.confidence for one in weighing.standings}
            for question, weighing in casebook.weighings.items()
        }
        self._known = {
            item.ref: str(item.entry.resolved.source or "")
            for item in casebook.of_kind("question")
            if isinstance(item.entry, Question) and item.entry.resolved is not None
        }
        self._decisions = {
            item.ref: item.entry for item in casebook.of_kind("decision") if isinstance(item.entry, Decision)
        }

    def without(self, refs: Iterable[str], person: str = "") -> Withdrawal:
        """Return what withdrawing standing sources, notes, measurements and calculations together would do."""
        lost = tuple(dict.fromkeys(refs))
        without = self.losing.of(*lost)
        by_question = {loss.question: loss for loss in without.losses if loss.question not in self._known}
        decisions = self._fallen(set(lost), without.fallen, by_question)
        concerned = {*self.grounds.above(*lost), *self.grounds.above(*self._touched(by_question))}
        return Withdrawal(
            lost,
            tuple(sorted(self._moves(by_question.values()), key=_farthest)),
            tuple(Led(one.question, one.before, one.after, one.refused) for one in by_question.values() if _leads(one)),
            decisions,
            tuple(ref for ref in self._decisions if ref in concerned and ref not in decisions),
            tuple(question for question, source in self._known.items() if source in lost),
            tuple(sorted(without.fallen)),
            person,
        )

    def sweep(self) -> tuple[Withdrawal, ...]:
        """Return what withdrawing each source would do, ranked."""
        return ranked(self.without([item.ref]) for item in self.casebook.of_kind("source"))

    def by_person(self) -> tuple[Withdrawal, ...]:
        """Return what withdrawing everything from one author would do, of each with two sources or more, ranked."""
        return ranked(self.without(refs, name) for name, refs in persons(self.casebook).items() if len(refs) > 1)

    def _touched(self, losses: Mapping[str, Loss]) -> list[str]:
        """Return the rivals of the questions that would move, for links carry that farther than grounds do."""
        return [rival for question in losses for rival in self._now.get(question, {}) if rival in self.casebook.entries]

    def _moves(self, losses: Iterable[Loss]) -> Iterator[Move]:
        for loss in losses:
            for rival, before in self._now.get(loss.question, {}).items():
                after = None if loss.refused else loss.confidences.get(rival)
                if after is None or abs(after - before) > NOTICED:
                    yield Move(loss.question, rival, before, after)

    def _fallen(
        self, lost: Collection[str], calculations: Collection[str], losses: Mapping[str, Loss]
    ) -> dict[str, tuple[Reason, ...]]:
        """Return the decisions that would lose ground; one that stands on such a decision loses it too."""
        found: dict[str, tuple[Reason, ...]] = {}
        for ref, decision in self._decisions.items():
            reasons = tuple(self._reasons(decision, lost, calculations, losses))
            if reasons:
                found[ref] = reasons
        waiting = list(found)
        for ref in waiting:
            for tie in self.grounds.up(ref):
                if tie.upper in self._decisions and tie.upper not in found:
                    found[tie.upper] = (Reason("decision", ref),)
                    waiting.append(tie.upper)
        return dict(sorted(found.items()))

    def _reasons(
        self, decision: Decision, lost: Collection[str], calculations: Collection[str], losses: Mapping[str, Loss]
    ) -> Iterator[Reason]:
        told: set[str] = set()
        for ref in direct(decision):
            item = self.casebook.entries.get(ref)
            entry = item.entry if item is not None else None
            if ref in lost:
                yield Reason("withdrawn", ref)
            elif isinstance(entry, Evidence | Measurement) and entry.source in lost:
                yield Reason("source", ref)
            elif ref in calculations:
                yield Reason("refused", ref)
            elif isinstance(entry, Hypothesis | Question):
                question = str(entry.question) if isinstance(entry, Hypothesis) else ref
                if question in told:
                    continue
                told.add(question)
                if self._known.get(question, "") in lost:
                    yield Reason("source", question)
                elif question in losses:
                    yield from _led(losses[question])
        for ref, least in decision.least_confidence.items():
            yield from self._below(ref, least.low, losses)

    def _below(self, ref: str, least: float, losses: Mapping[str, Loss]) -> Iterator[Reason]:
        item = self.casebook.entries.get(ref)
        loss = losses.get(str(item.entry.question)) if item and isinstance(item.entry, Hypothesis) else None
        after = loss.confidences.get(ref) if loss is not None else None
        before = self._now.get(loss.question, {}).get(ref) if loss is not None else None
        if after is not None and before is not None and after < least <= before:
            yield Reason("confidence", ref, before=before, now=after, least=least)


def ranked(tests: Iterable[Withdrawal]) -> tuple[Withdrawal, ...]:
    """Return tests in order: most changed leaders first, then most decisions that fall, then the farthest move."""
    return tuple(sorted(tests, key=_rank))


def _farthest(one: Move) -> tuple[bool, float, str, str]:
    return one.after is not None, -round(abs(one.by), 12), one.question, one.rival


def _rank(one: Withdrawal) -> tuple[int, int, float, tuple[str, ...]]:
    farthest = abs(one.largest.by) if one.largest is not None else 0.0
    return -len(one.leaders), -len(one.decisions), -round(farthest, 12), one.refs


def persons(casebook: Casebook) -> dict[str, tuple[str, ...]]:
    """Return the standing sources by author, in order of name; names are one that differ only in case and spaces."""
    found: dict[str, tuple[str, list[str]]] = {}
    for item in casebook.of_kind("source"):
        assert isinstance(item.entry, Source)
        name = " ".join(item.entry.author.split())
        found.setdefault(name.casefold(), (name, []))[1].append(item.ref)
    return {name: tuple(refs) for _, (name, refs) in sorted(found.items())}


def testable(casebook: Casebook, ref: str) -> bool:
    """Return whether an entry has an impact: a standing source, note, measurement or calculation."""
    return ref in casebook.entries and casebook.entries[ref].kind in KINDS


def _leads(loss: Loss) -> bool:
    return loss.changed or bool(loss.refused and loss.before is not None)


def _led(loss: Loss) -> Iterator[Reason]:
    if loss.refused:
        yield Reason("unweighed", loss.question, words=loss.refused)
    elif loss.changed:
        yield Reason("leader", loss.question, before=loss.before, now=loss.after)
