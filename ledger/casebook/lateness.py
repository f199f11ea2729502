"""Replies that say beforehand what was known by then: by the order of the record, whatever their dates say.

A question's answer is recorded by the first of the revisions that have given one ever since; what a reader holds, by
the first of those that have said just these confidences. What was posted after the answer's posting is late.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from ledger.casebook.items import Item
from ledger.casebook.rebuilding import Readings
from ledger.casebook.record import Record
from ledger.entries.models import Entry, Question, Reply
from ledger.errors import FaultsFound
from ledger.store.chain import Link

Says = Callable[[Entry], bool]


def late(record: Record, entries: Mapping[str, Item]) -> dict[str, frozenset[str]]:
    """Return by resolved question the replies whose confidences were posted after its answer was."""
    resolved = [ref for ref, item in entries.items() if isinstance(item.entry, Question) and item.entry.resolved]
    replies = {ref: one.entry for ref, one in entries.items() if isinstance(one.entry, Reply) and one.entry.confidences}
    if not resolved or not replies:
        return {}
    own: dict[int, list[Link]] = {}
    for link in record.chain:
        own.setdefault(link.entry, []).append(link)

    def held(entry: Entry) -> dict[int | str, float]:
        said = entry.confidences if isinstance(entry, Reply) else {}
        return {record.ids.get(rival, rival): share for rival, share in said.items()}

    def says(now: Mapping[int | str, float]) -> Says:
        return lambda entry: held(entry) == now

    def since(ref: str, true: Says) -> Link:
        return _since(own[record.ids[ref]], record.readings, true)

    said = {ref: since(ref, says(held(reply))) for ref, reply in replies.items()}
    ends = {ref: _next_posting(record.chain, since(ref, _answered)) for ref in resolved}
    return {
        ref: frozenset(one for one, first in said.items() if end is not None and first.seq >= end)
        for ref, end in ends.items()
    }


def _since(revisions: Sequence[Link], readings: Readings, says: Says) -> Link:
    """Return the first of an entry's revisions that have all said something up to the last one."""
    first = revisions[-1]
    for link in reversed(revisions):
        if not _says(link, readings, says):
            break
        first = link
    return first


def _says(link: Link, readings: Readings, says: Says) -> bool:
    if link.text is None:
        return False
    try:
        return says(readings.document(link).entry)
    except FaultsFound:
        return False


def _answered(entry: Entry) -> bool:
    return isinstance(entry, Question) and entry.resolved is not None


def _next_posting(chain: Sequence[Link], link: Link) -> int | None:
    """Return the number of the first revision after the posting of another; None where that is the last."""
    return next((one.seq for one in chain if one.seq > link.seq and one.at != link.at), None)
