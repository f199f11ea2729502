"""Reading the record: where entries stand, what happened to them, and the two sums that name a state.

The head is the hash of the last revision and names the whole past. The fingerprint names the content alone: two ledgers
whose standing entries say the same have the same fingerprint, whenever and in whatever order they were posted.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from sqlalchemy import Connection, func, select

from ledger.errors import NotInLedger, nearest
from ledger.store.chain import START, Link
from ledger.store.engine import Store
from ledger.store.tables import ENTRY, ERASURE, FORMER_NAME, REVISION, WORDS


@dataclass(frozen=True)
class Record:
    """An entry as it stands. `text` is its file; `first` and `latest` are the seqs of its revisions."""

    ref: str
    kind: str
    name: str
    withdrawn: str | None
    front: dict[str, Any]
    body: str
    text: str
    revisions: int
    first: int
    latest: int


def current(store: Store) -> dict[str, Record]:
    """Return every entry that has words, withdrawn ones too, by ref in order of ref."""
    with store.reading() as connection:
        return current_entries(connection)


def current_entries(connection: Connection) -> dict[str, Record]:
    """Return the same within an open transaction."""
    counts = select(REVISION.c.entry, func.count().label("revisions")).group_by(REVISION.c.entry).subquery()
    statement = (
        select(ENTRY, WORDS.c.text, counts.c.revisions)
        .join(WORDS, WORDS.c.seq == ENTRY.c.latest)
        .join(counts, counts.c.entry == ENTRY.c.id)
        .order_by(ENTRY.c.ref)
    )
    return {
        row.ref: Record(
            row.ref,
            row.kind,
            row.name,
            row.withdrawn,
            json.loads(row.front),
            row.body,
            row.text,
            row.revisions,
            row.id,
            row.latest,
        )
        for row in connection.execute(statement)
    }


def links(connection: Connection, entry: int | None = None) -> Iterable[Link]:
    """Return the chain in order, or one entry's part of it."""
    statement = (
        select(REVISION, WORDS.c.salt, WORDS.c.text, ERASURE.c.reason)
        .outerjoin(WORDS, WORDS.c.seq == REVISION.c.seq)
        .outerjoin(ERASURE, ERASURE.c.seq == REVISION.c.seq)
        .order_by(REVISION.c.seq)
    )
    if entry is not None:
        statement = statement.where(REVISION.c.entry == entry)
    return (Link(*row) for row in connection.execute(statement))


def history(store: Store, ref: str) -> tuple[Link, ...]:
    """Return every revision of an entry, oldest first; former names lead to it too. Erased ones have no text.

    Raises NotInLedger with the nearest names.
    """
    with store.reading() as connection:
        return tuple(links(connection, find(connection, ref)))


def find(connection: Connection, ref: str) -> int:
    """Return the id of the entry that has the name, or had it; raise NotInLedger with the nearest names."""
    found = connection.scalar(select(ENTRY.c.id).where(ENTRY.c.ref == ref)) or connection.scalar(
        select(FORMER_NAME.c.entry).where(FORMER_NAME.c.ref == ref)
    )
    if found is None:
        near = nearest(ref, connection.scalars(select(ENTRY.c.ref).order_by(ENTRY.c.ref)))
        hint = f" Nearest: {', '.join(near)}." if near else " `witness show` lists what there is."
        raise NotInLedger(f"There is no entry `{ref}`.{hint}")
    return int(found)


def present_name(store: Store, ref: str) -> str:
    """Return the ref that an entry has now, given that or any it had before. Raises NotInLedger with the nearest."""
    with store.reading() as connection:
        return str(connection.scalar(select(ENTRY.c.ref).where(ENTRY.c.id == find(connection, ref))))


def last(connection: Connection) -> tuple[int, str]:
    """Return seq and hash of the last revision: 0 and sixty-four zeros when there is none."""
    row = connection.execute(select(REVISION.c.seq, REVISION.c.hash).order_by(REVISION.c.seq.desc()).limit(1)).first()
    return (row.seq, row.hash) if row else (0, START)


def content_fingerprint(connection: Connection) -> str:
    """Return the fingerprint within an open transaction."""
    statement = (
        select(ENTRY.c.ref, WORDS.c.text).join(WORDS, WORDS.c.seq == ENTRY.c.latest).where(ENTRY.c.withdrawn.is_(None))
    )
    return fingerprint_of((row.ref, row.text) for row in connection.execute(statement))


def fingerprint_of(entries: Iterable[tuple[str, str]]) -> str:
    """Return sha256 over one JSON list `[ref, text]` and a line feed for each entry, in order of ref."""
    total = sha256()
    for ref, text in sorted(entries):
        total.update(json.dumps([ref, text]).encode() + b"\n")
    return total.hexdigest()
