"""Editions as the record tells them: what each has that the one before it had not, and where its confidences stood."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from sqlalchemy import select

from ledger.casebook.rebuilding import Readings, states
from ledger.casebook.record import Record
from ledger.entries.bodies import links, named
from ledger.errors import FaultsFound
from ledger.store.chain import Link
from ledger.store.tables import EDITION

Standing = Mapping[int, tuple[Link, bool]]


@dataclass(frozen=True)
class Change:
    """What became of an entry between two editions.

    ref    its present one; `title` as in the later edition
    how    new, revised, renamed, withdrawn or restored
    heard  present refs of the replies that its text leads to and did not lead to before: those it came of
    """

    ref: str
    kind: str
    title: str
    how: str
    heard: tuple[str, ...] = ()


@dataclass(frozen=True)
class Published:
    """One edition.

    seq          of the last revision in it; `at` the time of that revision
    changes      against the edition before it, in order of ref; of the first edition everything that stood is new
    confidences  by question and rival, under present refs; empty where the state cannot be rebuilt
    leaders      by question; None where nobody led
    """

    number: int
    fingerprint: str
    seq: int
    at: str
    changes: tuple[Change, ...]
    confidences: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    leaders: Mapping[str, str | None] = field(default_factory=dict)


def editions(record: Record) -> tuple[Published, ...]:
    """Return every edition of the record, oldest first. What was erased since is in none of them."""
    with record.store.reading() as connection:
        rows = list(connection.execute(select(EDITION).order_by(EDITION.c.number)))
    rows = [row for row in rows if record.chain and row.seq <= record.chain[-1].seq]
    stood = states(record.chain, {row.seq for row in rows})
    places = {row.seq: record.place(row.seq) for row in rows}
    whole = {seq: place for seq, place in places.items() if record.ends[place].seq == seq}
    told, _ = record.told(set(whole.values()), alone=False)
    made: list[Published] = []
    before: Standing = {}
    for row in rows:
        after = _standing(stood[row.seq], record.readings)
        moment = record.moment(whole[row.seq], told[whole[row.seq]]) if whole.get(row.seq) in told else None
        made.append(
            Published(
                row.number,
                row.fingerprint,
                row.seq,
                record.ends[places[row.seq]].at,
                tuple(sorted(_changes(before, after, record), key=lambda one: one.ref)),
                {} if moment is None else moment.confidences,
                {} if moment is None else moment.leaders,
            )
        )
        before = after
    return tuple(made)


def _standing(state: Mapping[int, Link], readings: Readings) -> Standing:
    """Return by entry its revision and whether it stands; words that are no entry any more are left out."""
    found = {}
    for entry, link in state.items():
        try:
            found[entry] = link, link.text is not None and readings.document(link).standing
        except FaultsFound:
            continue
    return found


def _changes(before: Standing, after: Standing, record: Record) -> Iterator[Change]:
    for entry, (link, stands) in after.items():
        had, stood = before.get(entry, (None, False))
        if link.text is None or not (stands or stood):
            continue
        how = _how(had, link, stood, stands)
        if how:
            title = record.readings.document(link).entry.title
            yield Change(record.names[entry], link.kind, title, how, _heard(had, link, record) if stands else ())


def _heard(had: Link | None, link: Link, record: Record) -> tuple[str, ...]:
    """Return the replies that a text leads to and did not before; a reply that leads to another came of nothing."""
    if link.kind == "reply":
        return ()
    return tuple(sorted(_replies(link, record) - (_replies(had, record) if had is not None else set())))


def _replies(link: Link, record: Record) -> set[str]:
    if link.text is None:
        return set()
    refs = (named(target) for _, target in links(record.readings.document(link).body))
    known = (record.present_names.get(ref, "") for ref in refs if ref is not None)
    return {ref for ref in known if ref.startswith("replies/")}


def _how(had: Link | None, link: Link, stood: bool, stands: bool) -> str:
    if had is None:
        return "new"
    if stood != stands:
        return "restored" if stands else "withdrawn"
    if had.digest == link.digest or had.text == link.text:
        return "renamed" if had.name != link.name else ""
    return "revised"
