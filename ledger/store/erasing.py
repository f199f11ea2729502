"""Erasing a person's words on request, while the chain still verifies.

The revisions stay, with their hashes, times and names; the salts and texts go, and with them every way to tell what was
said. The file is then rewritten, so that nothing of them is left in its free pages or its side files.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection, delete, func, select

from ledger.errors import Fault, FaultsFound, NotInLedger, StoreBusy
from ledger.store.engine import Store
from ledger.store.recording import Chain, stand_erased, utc
from ledger.store.records import find
from ledger.store.tables import CONFIDENCE, ENTRY, MOMENT, REFERENCE, RESULT, REVISION, WORDS


@dataclass(frozen=True)
class Erased:
    """What was erased: the entry, how many revisions lost their words, and copies of the store that still have them."""

    ref: str
    revisions: int
    copies: tuple[Path, ...]


def erase(store: Store, what: str | int, at: datetime | str, reason: str | None = None) -> Erased:
    """Erase all words of an entry, given by ref (a former name will do) or by the seq of any of its revisions.

    The reason is kept and travels with the history, so nothing of a person belongs in it. The entry's file and
    `history.jsonl` are not touched: delete the one and export anew for the other. Erasing again rewrites the store
    again. Raises NotInLedger, FaultsFound when other entries refer to it or it is the investigation itself, without
    which no ledger stands, StoreBusy when another program still reads.
    """
    moment = utc(at)
    with store.writing() as connection:
        entry = find(connection, what) if isinstance(what, str) else _entry_of(connection, what)
        row = connection.execute(select(ENTRY).where(ENTRY.c.id == entry)).one()
        if row.kind == "investigation":
            remedy = "Revise its words; a ledger that must go altogether is one file to delete."
            raise FaultsFound([Fault(f"entries/{row.ref}.md", 0, "", f"`{row.ref}`", "any other entry", remedy)])
        _require_unreferred(connection, entry, row.ref)
        revisions = connection.scalar(
            select(func.count())
            .select_from(WORDS.join(REVISION, WORDS.c.seq == REVISION.c.seq))
            .where(REVISION.c.entry == entry)
        )
        if row.front is not None:
            chain = Chain(connection)
            chain.add("erased", row.kind, row.name, moment, None, entry, reason)
            chain.write()
            stand_erased(connection, chain.added)
            # Results and confidences may quote the words, and can be computed again.
            connection.execute(delete(RESULT))
            connection.execute(delete(CONFIDENCE))
            connection.execute(delete(MOMENT))
    scrub(store)
    return Erased(row.ref, revisions or 0, tuple(sorted(store.path.parent.glob(f"{store.path.name}.before-*"))))


def _entry_of(connection: Connection, seq: int) -> int:
    entry = connection.scalar(select(REVISION.c.entry).where(REVISION.c.seq == seq))
    if entry is None:
        raise NotInLedger(f"There is no revision {seq}.")
    return int(entry)


def _require_unreferred(connection: Connection, entry: int, ref: str) -> None:
    statement = (
        select(ENTRY.c.ref, REFERENCE.c.field)
        .join(REFERENCE, REFERENCE.c.entry == ENTRY.c.id)
        .where(REFERENCE.c.target == entry, REFERENCE.c.entry != entry)
        .order_by(ENTRY.c.ref, REFERENCE.c.field)
    )
    referring: Sequence[tuple[str, str]] = [(row.ref, row.field) for row in connection.execute(statement)]
    if referring:
        remedy = "Change it and post it; then erase."
        raise FaultsFound(
            Fault(f"entries/{other}.md", 0, field, f"`{ref}`", "no reference to it", remedy)
            for other, field in referring
        )


def scrub(store: Store) -> None:
    """Rewrite the file from its living rows, and empty the write-ahead log into it."""
    with store.alone() as connection:
        connection.exec_driver_sql("VACUUM")
        busy = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").one()[0]
    if busy:
        raise StoreBusy(
            f"The words are erased, but another program still reads {store.path}. Close it and erase again."
        )
