"""Verifying a store from the ground up: every sum is computed again and every derived row is derived again.

It answers whether the store is what its own past says. A past rewritten from the start, with all its hashes, verifies;
hold the head against one kept elsewhere, such as a published page or an exported history, to exclude that.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.store.chain import START
from ledger.store.deriving import derive, problems_of
from ledger.store.engine import Store
from ledger.store.migrating import statements, steps
from ledger.store.past import REBUILD, RESTORE, Past, Problem, walked
from ledger.store.recording import ref_of
from ledger.store.records import fingerprint_of
from ledger.store.tables import EDITION

_STRUCTURE = (
    "Entries and history are not touched by this: `witness export`, move the file away, and `witness post` makes it "
    "anew with the structure it should have."
)
_DERIVED = ("entry", "former_name", "reference")


@dataclass(frozen=True)
class Verified:
    """What verifying found. Erased revisions are counted; they are no problem."""

    problems: tuple[Problem, ...]
    revisions: int
    erased: int
    head: str

    @property
    def sound(self) -> bool:
        """Return whether everything verifies."""
        return not self.problems


def verify(store: Store) -> Verified:
    """Return every problem of a store: chain, words, current entries, names, references, editions, structure, file."""
    with store.reading() as connection:
        damage = [row[0] for row in connection.exec_driver_sql("PRAGMA integrity_check") if row[0] != "ok"]
        if damage:
            broken = (Problem((), f"the file is damaged: {line}", RESTORE) for line in damage)
            return Verified(tuple(broken), 0, 0, START)
        past = walked(connection)
        problems = [
            *_structure(connection),
            *(
                Problem((), f"a row of `{row[0]}` refers to nothing in `{row[2]}`", _remedy_for(row[0]))
                for row in connection.exec_driver_sql("PRAGMA foreign_key_check")
            ),
            *past.all_problems(),
            *problems_of(connection, past, derive(past)),
            *_editions(connection, past),
        ]
    return Verified(tuple(problems), past.seq, past.wordless_count, past.hash)


def _remedy_for(table: str) -> str:
    return REBUILD if table in _DERIVED else RESTORE


def _structure(connection: Connection) -> Iterator[Problem]:
    """Compare tables, views and triggers with those the migrations build."""
    ask = "SELECT type, name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'"
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as fresh:
        for step in steps():
            for statement in statements(step.sql):
                fresh.execute(statement)
        wanted = {(kind, name): sql for kind, name, sql in fresh.execute(ask)}
    there = {(kind, name): sql for kind, name, sql in connection.exec_driver_sql(ask)}
    for (kind, name), sql in wanted.items():
        if (kind, name) not in there:
            yield Problem((), f"the {kind} `{name}` is missing", _STRUCTURE)
        elif there[kind, name] != sql:
            yield Problem((), f"the {kind} `{name}` was changed", _STRUCTURE)
    for kind, name in there.keys() - wanted.keys():
        if kind == "trigger":
            yield Problem((), f"the trigger `{name}` is not the ledger's", _STRUCTURE)


def _editions(connection: Connection, past: Past) -> Iterator[Problem]:
    """Take the fingerprint of the content at each edition again, unless words of it were erased since."""
    standing: dict[int, tuple[str, str | None]] = {}
    hidden: set[int] = set()
    editions = list(connection.execute(select(EDITION).order_by(EDITION.c.seq, EDITION.c.number)))
    said = iter(past.said)
    seq = 0
    for number, row in enumerate(sorted(editions, key=lambda row: row.number), 1):
        if row.number != number:
            yield Problem((), f"edition {row.number} stands where edition {number} belongs", RESTORE)
            break
    for row in editions:
        while seq < row.seq and (link := next(said, None)):
            seq = link.seq
            standing[link.entry] = (ref_of(link.kind, link.name), link.text)
            if link.action in ("withdrawn", "erased"):
                hidden.add(link.entry)
            elif link.action == "restored":
                hidden.discard(link.entry)
        content = [(ref, text) for entry, (ref, text) in standing.items() if entry not in hidden]
        whole = [(ref, text) for ref, text in content if text is not None]
        if len(whole) == len(content) and fingerprint_of(whole) != row.fingerprint:
            yield Problem((), f"edition {row.number} has the fingerprint of other content", RESTORE)
