"""The ledger as it stood after an earlier revision, rebuilt from the words of the record."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, field
from typing import Any

from ledger.calculators.contract import Calculator
from ledger.calculators.results import Kept, Result
from ledger.casebook.grounding import stand
from ledger.casebook.items import Item
from ledger.casebook.recomputing import Progress
from ledger.casebook.weighed import weigh_all
from ledger.entries.document import Document
from ledger.entries.models import FOLDERS
from ledger.entries.reading import read_text
from ledger.errors import FaultsFound, NotInLedger
from ledger.store.chain import Link
from ledger.store.derived import Cached
from ledger.store.recording import ref_of
from ledger.weighing.values import NONE, Weighing

SILENT = frozenset({"reply", "decision", "lookout", "precedent"})  # whose words no confidence stands on
State = Mapping[int, Link]
# What a state comes to, by the ids of entries, as JSON holds it: confidences, leaders, and chances that criteria held.
Told = dict[str, dict[str, Any]]
NOTHING: Told = {"confidences": {}, "leaders": {}, "kept": {}}


class Unreadable(Exception):
    """A state that cannot be rebuilt, and why."""


@dataclass
class Readings:
    """Revisions read as documents, each once."""

    made: dict[int, Document] = field(default_factory=dict)

    def document(self, link: Link) -> Document:
        """Return what a revision with words says. Raises FaultsFound for words that are no entry any more."""
        if link.seq not in self.made:
            assert link.text is not None
            self.made[link.seq] = read_text(link.text, FOLDERS[link.kind], link.name)
        return self.made[link.seq]


def states(chain: Iterable[Link], wanted: Set[int]) -> dict[int, State]:
    """Return the latest revision of every entry that was not erased, after each of the wanted revisions."""
    standing: dict[int, Link] = {}
    hidden: set[int] = set()
    found: dict[int, State] = {}
    for link in chain:
        standing[link.entry] = link
        if link.action == "erased":
            del standing[link.entry]
        elif link.action == "withdrawn":
            hidden.add(link.entry)
        elif link.action == "restored":
            hidden.discard(link.entry)
        if link.seq in wanted:
            # Words say themselves whether they are withdrawn; of those that are gone, the actions say it.
            known = standing.items()
            found[link.seq] = {entry: one for entry, one in known if one.text is not None or entry not in hidden}
    return found


def rebuilt(
    state: State,
    register: Mapping[str, Calculator],
    count: int,
    kept: dict[str, Cached],
    readings: Readings,
    progress: Progress,
    day: str,
) -> Told:
    """Return what a state comes to, by the ids of entries. What was computed anew is put into `kept`.

    Raises Unreadable for a state that cannot be rebuilt.
    """
    documents = {entry: _read(link, readings) for entry, link in state.items() if link.kind not in SILENT}
    standing = sorted((one for one in documents.values() if one.standing), key=lambda one: one.ref)
    entries = {one.ref: Item(one.ref, one.kind, one.name, one.entry, one.body, 1) for one in standing}
    fronts = {one.ref: one.front for one in standing}
    try:
        computed, ground = stand(
            entries, fronts, register, kept, count, lambda ref: progress(f"{ref} as of {day}"), explained=False
        )
    except NotInLedger:
        return NOTHING
    kept.update(computed.fresh)
    ids = {one.ref: entry for entry, one in documents.items()}
    return by_id(weigh_all(ground, 0).weighings, computed.results, ids)


def _read(link: Link, readings: Readings) -> Document:
    ref = ref_of(link.kind, link.name)
    if link.text is None:
        raise Unreadable(f"the words of {ref} were erased")
    try:
        return readings.document(link)
    except FaultsFound as found:
        raise Unreadable(f"the words of {ref} are no entry any more ({found.faults[0]})") from found


def by_id(weighings: Mapping[str, Weighing], results: Mapping[str, Result], ids: Mapping[str, int]) -> Told:
    """Return what weighings and results say, by the ids that `ids` has by ref; `none-of-these` has none."""

    def known(rival: str) -> str:
        return rival if rival == NONE else str(ids[rival])

    return {
        "confidences": {
            str(ids[question]): {known(one.rival): one.confidence for one in weighing.standings}
            for question, weighing in weighings.items()
        },
        "leaders": {
            str(ids[question]): None if weighing.leader is None else known(weighing.leader)
            for question, weighing in weighings.items()
        },
        "kept": {
            str(ids[ref]): {_numbered(kept, ids): kept.chance for kept in result.kept}
            for ref, result in results.items()
        },
    }


def criterion(kept: Kept) -> str:
    """Return a criterion in words: its output and limit."""
    return f"{kept.output} {kept.limit}"


def _numbered(kept: Kept, ids: Mapping[str, int]) -> str:
    """Return a criterion in words, the entries that its limits are taken from by their ids, which no rename changes."""
    said = criterion(kept)
    for one in kept.taken:
        ref, hash_sign, output = one.source.partition("#")
        said = said.replace(one.source, f"<{ids[ref]}>{hash_sign}{output}")
    return said


def named(said: str, names: Mapping[int, str]) -> str:
    """Return a criterion in words as `by_id` gives it, the entries that its limits are taken from by their refs."""
    return re.sub(r"<(\d+)>", lambda found: names[int(found[1])], said)
