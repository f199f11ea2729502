"""Where everything in the ledger comes from, as W3C PROV-JSON.

Every entry is a thing, and every revision of it one that specialises it, made by a posting at the time that the record
has. What a source tells of is a thing of its own, for the photograph is its author's and the entry about it is not. The
latest revision of an entry stands on the revisions of others that it found: a note on its source, a decision on its
grounds and the numbers it quotes. Calculations and weighings are activities without a time: whenever they are done,
they give the same.

Left out are replies without consent, erased entries, and what earlier revisions said.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import (
    Calculation,
    Decision,
    Evidence,
    Hypothesis,
    Measurement,
    Precedent,
    Question,
    Reply,
    Source,
)
from ledger.entries.references import references
from ledger.errors import WitnessError
from ledger.handing.as_json import encoded
from ledger.handing.leaving import Leaving, leaving
from ledger.handing.statements import Statements, prov, word
from ledger.store.chain import Link
from ledger.store.recording import ref_of

NAME = "provenance.json"
PROGRAM = "Witness Ledger"


def files(casebook: Casebook, history: Sequence[Link]) -> dict[str, bytes]:
    """Return the provenance. `history` is the whole record, oldest revision first; it may go on past the casebook.

    Raises WitnessError for a history that lacks what the casebook has.
    """
    out = leaving(casebook)
    return {NAME: encoded(out.data(_Provenance(casebook, out, history).stated().document()))}


class _Provenance:
    """One ledger's provenance, stated part by part."""

    def __init__(self, casebook: Casebook, out: Leaving, history: Sequence[Link]) -> None:
        self.casebook = casebook
        self.items = {**out.entries, **out.withdrawn}
        self.postings = [list(links) for _, links in groupby(history, key=lambda link: link.at)]
        self.revisions = _revisions(self.items, history)
        self.number = {
            link.seq: (ref, place) for ref, links in self.revisions.items() for place, link in enumerate(links, 1)
        }
        ending = {link.seq: posting[-1].seq for posting in self.postings for link in posting}
        self.end = {ref: ending[links[-1].seq] for ref, links in self.revisions.items()}
        first = history[0].hash if history else casebook.edition.fingerprint
        self.say = Statements(f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_OID, first)}#")
        self.agents: dict[str, str] = {}

    def stated(self) -> Statements:
        """Return all statements."""
        self.program = self.say.agent("program", label=PROGRAM, type=prov("SoftwareAgent"))
        for item in self.items.values():
            self._entry(item)
        for number, posting in enumerate(self.postings, 1):
            self._posting(number, posting)
        for item in self.items.values():
            self._grounds(item)
        for ref in self.casebook.results:
            self._calculation(ref)
        for ref in self.casebook.weighings:
            self._weighing(ref)
        return self.say

    def _entry(self, item: Item) -> None:
        entry = item.entry
        invented = True if item.kind == "investigation" and self.casebook.investigation.invented else None
        name = self.say.entity(item.ref, label=item.title, type=word(item.kind), invented=invented)
        if isinstance(entry, Source):
            told = self.say.entity(
                f"{item.ref}/told-of", label=item.title, type=word(entry.medium), date=entry.date, rights=entry.rights
            )
            self.say.attributed(told, self._agent(entry.author))
        if isinstance(entry, Reply) and entry.name is not None:
            self.say.attributed(name, self._agent(entry.name))

    def _agent(self, name: str) -> str:
        """Return an author, of whom the ledger tells a name and nothing more."""
        if name not in self.agents:
            self.agents[name] = self.say.agent(f"author/{len(self.agents) + 1}", label=name)
        return self.agents[name]

    def _posting(self, number: int, posting: Sequence[Link]) -> None:
        shown = [link for link in posting if link.seq in self.number]
        if not shown:
            return
        at = posting[0].at
        activity = self.say.activity(f"posting/{number}", startTime=at, endTime=at, type=word("posting"))
        for author in self.casebook.investigation.by:
            self.say.associated(activity, self._agent(author))
        self.say.associated(activity, self.program)
        for link in shown:
            ref, place = self.number[link.seq]
            one = self.say.entity(
                f"{ref}/{place}", label=f"{ref}, revision {place}", type=word("revision"), action=link.action
            )
            self.say.generated(one, activity, at)
            self.say.specialised(one, f"ledger:{ref}")
            if place > 1:
                self.say.derived(one, f"ledger:{ref}/{place - 1}", "Revision", activity)
            if self.items[ref].entry.withdrawn is not None and link is self._withdrawal(ref):
                self.say.invalidated(f"ledger:{ref}", activity, at)

    def _withdrawal(self, ref: str) -> Link:
        """Return the revision since which an entry has been withdrawn; it may have been posted as such."""
        links = self.revisions[ref]
        return next((link for link in reversed(links) if link.action == "withdrawn"), links[0])

    def _grounds(self, item: Item) -> None:
        one = self._latest(item.ref)
        if isinstance(item.entry, Source):
            self.say.derived(one, f"ledger:{item.ref}/told-of", "PrimarySource")
            if item.entry.origin in self.items:
                self.say.derived(f"ledger:{item.ref}/told-of", f"ledger:{item.entry.origin}/told-of")
        for ground, kind in _grounds(item):
            if ground in self.items:
                self.say.derived(one, self._found(item.ref, ground), kind)

    def _latest(self, ref: str) -> str:
        return f"ledger:{ref}/{len(self.revisions[ref])}"

    def _found(self, ref: str, ground: str) -> str:
        """Return the revision of a ground that stood when the latest revision of an entry was posted."""
        then = sum(link.seq <= self.end[ref] for link in self.revisions[ground])
        return f"ledger:{ground}/{max(then, 1)}"

    def _calculation(self, ref: str) -> None:
        entry = self.items[ref].entry
        assert isinstance(entry, Calculation)
        activity = self.say.activity(f"{ref}/run", type=word("calculation"), calculator=entry.calculator)
        self.say.associated(activity, self.program)
        result = self.say.entity(f"{ref}/result", label=f"Result of {ref}", type=word("result"))
        self.say.generated(result, activity)
        grounds = {self._latest(ref)}
        for given in entry.grounds():
            if given.measurement in self.items:
                grounds.add(self._latest(str(given.measurement)))
            if given.calculation in self.casebook.results:
                grounds.add(f"ledger:{given.calculation}/result")
        for ground in sorted(grounds):
            self.say.used(activity, ground)
            self.say.derived(result, ground, activity=activity)

    def _weighing(self, ref: str) -> None:
        weighing = self.casebook.weighings[ref]
        activity = self.say.activity(f"{ref}/weighing", type=word("weighing"))
        self.say.associated(activity, self.program)
        said = self.say.entity(f"{ref}/confidences", label=f"Confidences of {ref}", type=word("confidences"))
        self.say.generated(said, activity)
        rivals = [standing.rival for standing in weighing.standings]
        named = {one for one in (ref, *rivals, *weighing.weights, *weighing.through) if one in self.items}
        tested = {
            one
            for one in self.casebook.results
            if isinstance(entry := self.items[one].entry, Calculation) and set(entry.hypotheses) & set(rivals)
        }
        for ground in (*map(self._latest, sorted(named)), *(f"ledger:{one}/result" for one in sorted(tested))):
            self.say.used(activity, ground)
            self.say.derived(said, ground, activity=activity)


def _revisions(items: Mapping[str, Item], history: Sequence[Link]) -> dict[str, list[Link]]:
    """Return the revisions of each entry, as many as the casebook has of it. WitnessError where some are missing."""
    by_entry: dict[int, list[Link]] = defaultdict(list)
    for link in history:
        by_entry[link.entry].append(link)
    found = {}
    for links in by_entry.values():
        names = {ref_of(link.kind, link.name) for link in links}
        for ref in sorted(names & items.keys()):
            kept = links[: items[ref].revisions]
            if len(kept) == items[ref].revisions and ref_of(kept[-1].kind, kept[-1].name) == ref:
                found[ref] = kept
    if missing := sorted(items.keys() - found.keys()):
        raise WitnessError(
            f"{NAME}: given a history without all revisions of {', '.join(missing[:3])}; expected the whole record. "
            "`witness check` says what is wrong with it."
        )
    return found


def _grounds(item: Item) -> Iterator[tuple[str | None, str]]:
    """Yield what an entry stands on, and as what kind of derivation."""
    entry = item.entry
    if isinstance(entry, Evidence):
        yield entry.source, "PrimarySource"
        yield from ((one, "") for one in entry.measurements)
    elif isinstance(entry, Measurement):
        yield entry.source, "PrimarySource"
        yield from ((one, "") for one in entry.combines)
    elif isinstance(entry, Precedent):
        yield entry.source, "PrimarySource"
    elif isinstance(entry, Source):
        yield entry.origin, ""
    elif isinstance(entry, Hypothesis):
        yield from ((one, "") for one in entry.precedents)
    elif isinstance(entry, Decision):
        yield from ((one, "") for one in dict.fromkeys(ref for _, ref in references(entry)))
    elif isinstance(entry, Question) and entry.resolved is not None:
        yield entry.resolved.source, ""
