"""What cases would be made from if sources, notes, measurements, calculations fell, and which questions that touches.

Everything is indexed once. A question is then built from its own few entries only, by the same code as ever, so that it
comes to exactly what a ledger without the thing says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from ledger.casebook.cases import Ground, links
from ledger.casebook.items import Held, Item
from ledger.casebook.known import open_links
from ledger.casebook.recomputing import Parts
from ledger.entries.models import Calculation, Evidence, Hypothesis, Measurement, Source

KINDS = ("source", "evidence", "measurement", "calculation")


@dataclass(frozen=True)
class Lessened:
    """A ledger without some things: the questions that may say something else, and how to get the ground for each.

    rows    the notes and measurements that fall away, where nothing else changes; None where more does
    fallen  the calculations that could not be computed any more
    """

    refs: tuple[str, ...]
    touched: tuple[str, ...]
    ground: Callable[[str], Ground]
    rows: frozenset[str] | None
    fallen: frozenset[str] = frozenset()


class Lessening:
    """A ledger from which things may be taken, one or several at a time.

    refused  calculations that could not be computed as it is
    """

    def __init__(self, ground: Ground, refused: Iterable[str]) -> None:
        self._ground, self._refused = ground, frozenset(refused)
        self._parts = ground.parts or Parts(ground.bench, {}, {})
        entries = ground.entries
        self.links = open_links(links(entries), entries)
        self.questions = tuple(ref for ref, item in entries.items() if item.kind == "question")
        self._owner = {
            ref: str(item.entry.question) for ref, item in entries.items() if isinstance(item.entry, Hypothesis)
        }
        self._calculations = {ref: item.entry for ref, item in entries.items() if isinstance(item.entry, Calculation)}
        self._chains = {ref: self._chain(ref) for ref, item in entries.items() if isinstance(item.entry, Source)}
        self._tests = self._tested()
        self._speaking = {ref for refs in self._tests.values() for ref in refs} | {
            ref
            for ref, calculation in self._calculations.items()
            if calculation.observed is not None and not calculation.uncounted and ref in ground.predicted
        }
        self._above = self._standing_on()
        self._by_measurement: dict[str, set[str]] = {}
        for ref, calculation in self._calculations.items():
            for given in calculation.grounds():
                if given.measurement is not None:
                    self._by_measurement.setdefault(str(given.measurement), set()).add(ref)
        self._retold = {one for chain in self._chains.values() for one in chain[1:]}
        self._from: dict[str, set[str]] = {}
        for ref, item in entries.items():
            if isinstance(item.entry, Evidence | Measurement):
                self._from.setdefault(str(item.entry.source), set()).add(ref)
        self._reached: dict[str, set[str]] = {}
        self._scopes: dict[str, dict[str, Item]] = {}
        self._index()

    def things(self) -> list[tuple[str, str]]:
        """Return kind and ref of every source, note, measurement and calculation."""
        return [(item.kind, ref) for ref, item in self._ground.entries.items() if item.kind in KINDS]

    def without(self, *refs: str) -> Lessened:
        """Return the ledger without sources, notes, measurements and calculations, all of them together."""
        gone, lost = self._gone(refs), frozenset(refs)
        rivals = {str(rival) for one in gone & self._speaking for rival in self._calculations[one].hypotheses}
        reached = {question for ref in refs for question in self._reached.get(ref, ())}
        touched = reached | {self._owner[rival] for rival in rivals if rival in self._owner}
        holds, predicted = self._ground.holds, self._ground.predicted
        if gone:
            holds = self._holds_without(gone, rivals)
            predicted = {one: draws for one, draws in predicted.items() if one not in gone}

        def ground(question: str) -> Ground:
            entries = {one: item for one, item in self._scopes[question].items() if one not in lost}
            return replace(self._ground, entries=entries, holds=holds, predicted=predicted)

        scoped = tuple(sorted(touched.intersection(self._scopes)))
        return Lessened(tuple(refs), scoped, ground, None if gone else self._rows(refs), frozenset(gone))

    def _gone(self, refs: Iterable[str]) -> set[str]:
        """Return the calculations that fall with some things: those that stand on measurements of theirs, and so on."""
        lost: set[str] = set()
        for ref in refs:
            entry = self._ground.entries[ref].entry
            if isinstance(entry, Calculation):
                lost.add(ref)
            for measured in (ref, *self._from.get(ref, ())):
                lost |= self._by_measurement.get(measured, set())
        return self._with_those_above(lost)

    def _rows(self, refs: Iterable[str]) -> frozenset[str] | None:
        """Return what falls away with notes, measurements and sources.

        None where a source among them is retold, for that changes origins.
        """
        rows: set[str] = set()
        for ref in refs:
            if ref in self._retold:
                return None
            rows |= self._from.get(ref, set()) if ref in self._chains else {ref}
        return frozenset(rows)

    def _chain(self, source: str) -> tuple[str, ...]:
        """Return a source and all that it retells."""
        chain: list[str] = []
        one: str | None = source
        while one is not None and one in self._ground.entries and one not in chain:
            entry = self._ground.entries[one].entry
            assert isinstance(entry, Source)
            chain.append(one)
            one = None if entry.origin is None else str(entry.origin)
        return tuple(chain)

    def _tested(self) -> dict[str, list[str]]:
        """Return the calculations that test each hypothesis, as they are put together when results are computed."""
        tests: dict[str, list[str]] = {}
        for ref, calculation in sorted(self._calculations.items()):
            if calculation.criteria and calculation.uncounted is None and ref not in self._refused:
                for rival in calculation.hypotheses:
                    tests.setdefault(str(rival), []).append(ref)
        return tests

    def _standing_on(self) -> dict[str, set[str]]:
        above: dict[str, set[str]] = {}
        for ref, calculation in self._calculations.items():
            for given in calculation.grounds():
                if given.calculation is not None:
                    above.setdefault(str(given.calculation), set()).add(ref)
        return above

    def _with_those_above(self, refs: set[str]) -> set[str]:
        found, queue = set(refs), list(refs)
        while queue:
            more = self._above.get(queue.pop(), set()) - found
            found |= more
            queue += more
        return found

    def _holds_without(self, gone: set[str], rivals: set[str]) -> dict[str, Held]:
        holds = dict(self._ground.holds)
        for rival in sorted(rivals):
            tests = self._tests.get(rival, [])
            left = [ref for ref in tests if ref not in gone]
            if len(left) == len(tests):
                continue
            held = self._parts.held(left) if left else None
            holds.pop(rival, None)
            if held is not None:
                holds[rival] = held
        return holds

    def _index(self) -> None:
        """Note what each question is built from, and which questions each entry reaches."""
        entries = self._ground.entries
        scopes: dict[str, set[str]] = {question: {question} for question in self.questions}
        for rival, question in self._owner.items():
            if question in scopes:
                scopes[question].add(rival)

        def reach(questions: Iterable[str], refs: Iterable[str]) -> None:
            for question in questions:
                if question in scopes:
                    scopes[question].update(refs)
                    for ref in refs:
                        self._reached.setdefault(ref, set()).add(question)

        for ref, item in entries.items():
            note = item.entry
            if isinstance(note, Evidence) and note.uncounted is None and note.source in entries:
                judged = {self._owner[rival] for rival in note.bearing if rival in self._owner}
                reach(judged, (ref, *self._chains[note.source]))
        for ref, calculation in self._calculations.items():
            speaks = {self._owner[rival] for rival in calculation.hypotheses if rival in self._owner}
            for question in speaks.intersection(scopes):
                scopes[question].add(ref)
            if calculation.observed is None or ref not in self._speaking:
                continue
            measured = entries.get(calculation.observed.measurement)
            if measured and isinstance(measured.entry, Measurement) and measured.entry.source in entries:
                reach(speaks, (measured.ref, *self._chains[measured.entry.source]))
        place = {ref: index for index, ref in enumerate(entries)}
        self._scopes = {
            question: {ref: entries[ref] for ref in sorted(refs, key=place.__getitem__)}
            for question, refs in scopes.items()
        }
