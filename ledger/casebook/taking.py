"""What decisions stood on when they were taken, from the record.

A decision was taken, or taken again, by the posting of the latest of its revisions that changed what is decided, what
it stands on, its day or why it was taken again. A rename, of itself or of what it names, and other words under it are
no retaking.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from ledger.casebook.items import Item
from ledger.casebook.moments import Moment
from ledger.casebook.rebuilding import State, states
from ledger.casebook.record import Record
from ledger.entries.said import said
from ledger.errors import FaultsFound
from ledger.store.chain import Link
from ledger.store.recording import ref_of

DECIDES = ("choice", "grounds", "taken", "retaken", "fixes", "quotes", "least-confidence")


@dataclass(frozen=True)
class Then:
    """The ledger as it stood when a decision was taken.

    at       the time of the posting it was taken by
    entries  what stood, the decision too, by the refs of then
    present  the refs of now by all refs that entries ever had
    moment   confidences, leaders and criteria kept, under present refs; None where they cannot be rebuilt, `lost`: why
    unread   refs of then whose words cannot be read any more, and why
    """

    at: str
    entries: Mapping[str, Item]
    present: Mapping[str, str]
    moment: Moment | None
    lost: str = ""
    unread: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def former(self) -> dict[str, str]:
        """Return, by present ref, the ref of then of everything that stood and can be read."""
        return {self.present[ref]: ref for ref in self.entries}


def decided(record: Record, decisions: Iterable[str]) -> dict[str, int]:
    """Return the place of the posting by which each decision, by its present ref, was taken."""
    wanted = {record.ids[ref]: ref for ref in decisions}
    own: dict[int, list[Link]] = {entry: [] for entry in wanted}
    for link in record.chain:
        if link.entry in own:
            own[link.entry].append(link)
    return {wanted[entry]: record.place(_taken(record, revisions).seq) for entry, revisions in own.items()}


def _taken(record: Record, revisions: list[Link]) -> Link:
    first, now = revisions[-1], _decides(record, revisions[-1])
    for link in reversed(revisions[:-1]):
        if _decides(record, link) != now:
            break
        first = link
    return first


def _decides(record: Record, link: Link) -> object:
    """Return what is decided and what it stands on, under present refs; None where it cannot be read any more."""
    if link.text is None:
        return None
    try:
        found = said(record.readings.document(link).entry, record.present_names, *DECIDES)
    except FaultsFound:
        return None
    return {**found, "grounds": sorted(set(found["grounds"]))}


def taken(record: Record, places: Mapping[str, int], items: Mapping[str, Item]) -> dict[str, Then]:
    """Return what stood when decisions were taken, by their present refs.

    places  of the postings by which they were taken, by present ref
    items   all entries as they are now
    """
    if not places:
        return {}
    told, lost = record.told(set(places.values()), alone=False)
    stood = states(record.chain, {record.ends[place].seq for place in places.values()})
    found: dict[int, Then] = {}
    for place in sorted(set(places.values())):
        end = record.ends[place]
        entries, unread = _entries(record, stood[end.seq], end.seq, items)
        moment = record.moment(place, told[place]) if place in told else None
        found[place] = Then(end.at, entries, record.present_names, moment, lost.get(place, ""), unread)
    return {ref: found[place] for ref, place in places.items()}


def _entries(
    record: Record, state: State, seq: int, items: Mapping[str, Item]
) -> tuple[dict[str, Item], dict[str, str]]:
    """Return the entries that stood in a state, by the refs of then, and what cannot be read any more."""
    revisions = Counter(link.entry for link in record.chain if link.seq <= seq)
    latest = {link.entry: link.seq for link in record.chain}
    entries, unread = {}, {}
    for entry, link in state.items():
        ref = ref_of(link.kind, link.name)
        if link.seq == latest[entry] and ref in items:
            item = replace(items[ref], revisions=revisions[entry])
        elif link.text is None:
            unread[ref] = "its words were erased"
            continue
        else:
            try:
                document = record.readings.document(link)
            except FaultsFound as wrong:
                unread[ref] = f"its words are no entry any more ({wrong.faults[0]})"
                continue
            item = Item(ref, link.kind, link.name, document.entry, document.body, revisions[entry])
        if item.entry.withdrawn is None:
            entries[ref] = item
    return dict(sorted(entries.items())), unread
