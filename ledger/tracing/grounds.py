"""What stands directly on what, and everything below and above an entry.

Down from a decision: to what it names. From a hypothesis: to the notes that bear on its question, to the calculations
that speak to it or to its rivals, to precedents, to hypotheses linked to it or to its rivals, and to what its question
came out as. From a note, a measurement, a calculation, a precedent: to what it was taken from. What is withdrawn, or
declared not to count, carries nothing; a reply or a lookout neither, but where a decision names it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from ledger.casebook.items import Item
from ledger.casebook.known import answers
from ledger.entries.models import (
    Calculation,
    Decision,
    Entry,
    Evidence,
    Hypothesis,
    Measurement,
    Precedent,
    Question,
    Source,
)

LINKED = "linked"


@dataclass(frozen=True)
class Tie:
    """One entry stands on another.

    why    named, quoted, counted-on, bears, tests, tests-rival, precedent, linked, answer, rival, takes, held-against,
           restates, combines, from, retells
    rival  the hypothesis that a calculation tests, where the tie is one of `tests` or `tests-rival`
    """

    upper: str
    lower: str
    why: str
    rival: str = ""


class Grounds:
    """The ties between standing entries. Refs come in the order in which the ties were found, so always the same."""

    def __init__(self, entries: Mapping[str, Item]) -> None:
        self._down: dict[str, dict[str, Tie]] = {ref: {} for ref in entries}
        self._up: dict[str, dict[str, Tie]] = {ref: {} for ref in entries}
        for tie in _Ties(entries).all():
            if tie.lower in entries and tie.lower != tie.upper and tie.lower not in self._down[tie.upper]:
                self._down[tie.upper][tie.lower] = tie
                self._up[tie.lower][tie.upper] = tie

    def down(self, ref: str) -> tuple[Tie, ...]:
        """Return the ties to what an entry stands on directly."""
        return tuple(self._down.get(ref, {}).values())

    def up(self, ref: str) -> tuple[Tie, ...]:
        """Return the ties to what stands directly on an entry."""
        return tuple(self._up.get(ref, {}).values())

    def below(self, *refs: str, links: bool = False) -> tuple[str, ...]:
        """Return everything that some entries stand on, nearest first, without themselves.

        links  whether to go on through links between hypotheses; most ledgers hang together by them
        """
        return tuple(_reached(refs, self._down, links))

    def above(self, *refs: str, links: bool = False) -> tuple[str, ...]:
        """Return everything that stands on some entries, nearest first, without themselves; `links` as for `below`."""
        return tuple(_reached(refs, self._up, links))


def _reached(refs: Iterable[str], ties: Mapping[str, Mapping[str, Tie]], links: bool) -> Iterator[str]:
    seen = dict.fromkeys(refs)
    queue = list(seen)
    for ref in queue:
        for other, tie in ties.get(ref, {}).items():
            if other not in seen and (links or tie.why != LINKED):
                seen[other] = None
                queue.append(other)
                yield other


def direct(decision: Decision) -> dict[str, str]:
    """Return what a decision names that it stands on, in order, and how: named, quoted or counted-on.

    Its grounds and what its fixed parameters are taken from are named.
    """
    fixed = [taken for one in decision.fixes.values() for taken in (one.measurement, one.calculation)]
    cells = [
        taken
        for one in decision.fixes.values()
        for row in one.rows or []
        for cell in row.values()
        for taken in (getattr(cell, "measurement", None), getattr(cell, "calculation", None))
    ]
    extra = [ref for one in decision.fixes.values() for ref in one.grounds]
    found = {str(ref): "named" for ref in (*decision.grounds, *fixed, *cells, *extra) if ref is not None}
    for quote in decision.quotes:
        found.setdefault(str(quote.of.measurement or quote.of.calculation), "quoted")
    for ref in decision.least_confidence:
        found.setdefault(str(ref), "counted-on")
    return found


class _Ties:
    """The ties of a ledger, found through a few indexes made once."""

    def __init__(self, entries: Mapping[str, Item]) -> None:
        self.entries = entries
        self._known = answers(entries)
        self.rivals: dict[str, list[str]] = {}
        self.owner: dict[str, str] = {}
        for ref, item in entries.items():
            if isinstance(item.entry, Hypothesis):
                self.owner[ref] = str(item.entry.question)
                self.rivals.setdefault(str(item.entry.question), []).append(ref)
        self.notes: dict[str, list[str]] = {}
        self.tests: dict[str, list[tuple[str, str]]] = {}
        self.examples: dict[str, list[str]] = {}
        self.links: dict[str, list[str]] = {}
        for ref, item in entries.items():
            self._index(ref, item.entry)

    def _index(self, ref: str, entry: Entry) -> None:
        if isinstance(entry, Evidence) and entry.uncounted is None:
            for question in dict.fromkeys(self.owner[one] for one in entry.bearing if one in self.owner):
                self.notes.setdefault(question, []).append(ref)
        elif isinstance(entry, Calculation) and entry.uncounted is None and (entry.criteria or entry.observed):
            for rival in entry.hypotheses:
                if rival in self.owner:
                    self.tests.setdefault(self.owner[rival], []).append((ref, str(rival)))
        elif isinstance(entry, Precedent):
            for rival in entry.example_of:
                self.examples.setdefault(str(rival), []).append(ref)
        elif isinstance(entry, Hypothesis):
            for other in (*entry.needs, *entry.rules_out, *entry.favours):
                if other in self.owner:
                    self.links.setdefault(str(entry.question), []).append(str(other))
                    self.links.setdefault(self.owner[other], []).append(ref)

    def all(self) -> Iterator[Tie]:
        """Yield every tie; the first of two between the same entries is the one to keep."""
        for ref, item in self.entries.items():
            for lower, why, rival in self._of(ref, item.entry):
                yield Tie(ref, str(lower), why, rival)

    def _of(self, ref: str, entry: Entry) -> Iterator[tuple[str, str, str]]:
        if isinstance(entry, Decision):
            yield from ((lower, why, "") for lower, why in direct(entry).items())
        elif isinstance(entry, Hypothesis):
            yield from self._hypothesis(ref, entry)
        elif isinstance(entry, Question):
            yield from self._question(ref, entry)
        elif isinstance(entry, Calculation):
            for given in entry.grounds():
                yield from ((one, "takes", "") for one in (given.measurement, given.calculation) if one is not None)
            if entry.observed is not None:
                yield entry.observed.measurement, "held-against", ""
        elif isinstance(entry, Evidence):
            yield entry.source, "from", ""
            yield from ((one, "restates", "") for one in entry.measurements)
        elif isinstance(entry, Measurement):
            yield entry.source, "from", ""
            yield from ((one, "combines", "") for one in entry.combines)
        elif isinstance(entry, Precedent) and entry.source is not None:
            yield entry.source, "from", ""
        elif isinstance(entry, Source) and entry.origin is not None:
            yield entry.origin, "retells", ""

    def _hypothesis(self, ref: str, entry: Hypothesis) -> Iterator[tuple[str, str, str]]:
        question = str(entry.question)
        yield from ((note, "bears", "") for note in self.notes.get(question, ()))
        tests = self.tests.get(question, ())
        yield from ((one, "tests", rival) for one, rival in tests if rival == ref)
        yield from ((one, "tests-rival", rival) for one, rival in tests if rival != ref)
        yield from ((one, "precedent", "") for one in (*entry.precedents, *self.examples.get(ref, ())))
        if question in self._known:
            yield question, "answer", ""
            return
        for other in self.links.get(question, ()):
            known = self.owner[other] in self._known
            yield (self.owner[other], "answer", "") if known else (other, LINKED, "")

    def _question(self, ref: str, entry: Question) -> Iterator[tuple[str, str, str]]:
        """Yield what a question's answer stands on: where it is known, on what it was learnt from."""
        if entry.resolved is None:
            yield from ((rival, "rival", "") for rival in self.rivals.get(ref, ()))
        elif entry.resolved.source is not None:
            yield entry.resolved.source, "from", ""
