"""Verifying a store from the ground up: every sum is computed again and every derived row is derived again.

It answers whether the store is what its own past says. A past rewritten from the start, with all its hashes, verifies;
hold the head against one kept elsewhere, such as a published page or an exported history, to exclude that.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, select

from ledger.entries.models import FOLDERS
from ledger.entries.reading import Document, read_text
from ledger.errors import FaultsFound
from ledger.store.chain import START, Link
from ledger.store.engine import Store
from ledger.store.migrating import statements, steps
from ledger.store.recording import entry_row, erased_row, ref_of, reference_rows
from ledger.store.records import fingerprint_of, links
from ledger.store.tables import EDITION, ENTRY, FORMER_NAME, REFERENCE


@dataclass(frozen=True)
class Problem:
    """Something that does not verify: the entries it concerns, and what it is."""

    about: tuple[str, ...]
    message: str


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
            return Verified(tuple(Problem((), f"the file is damaged: {line}") for line in damage), 0, 0, START)
        past = _Past()
        for link in links(connection):
            past.take(link)
        problems = [
            *_structure(connection),
            *(
                Problem((), f"a row of `{row[0]}` refers to nothing in `{row[2]}`")
                for row in connection.exec_driver_sql("PRAGMA foreign_key_check")
            ),
            *past.problems,
            *past.words(),
            *_entries(connection, past),
            *_editions(connection, past),
        ]
    return Verified(tuple(problems), past.seq, past.wordless_count, past.hash)


@dataclass
class _Past:
    """The chain gone through once: what it says of every entry, and what is wrong with it."""

    seq: int = 0
    hash: str = START
    latest: dict[int, Link] = field(default_factory=dict)
    former: dict[str, int] = field(default_factory=dict)
    erased: set[int] = field(default_factory=set)
    worded: dict[int, list[int]] = field(default_factory=dict)
    wordless: dict[int, list[int]] = field(default_factory=dict)
    wordless_count: int = 0
    said: list[Link] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def take(self, link: Link) -> None:
        """Go on by one revision. After a gap the chain is followed from where it goes on, so one gap is told once."""
        ref = ref_of(link.kind, link.name)
        self.problems += [Problem((ref,), wrong) for wrong in link.faults(self.seq + 1, self.hash)]
        self.seq, self.hash = link.seq, link.hash
        if link.entry in self.latest and (before := ref_of(link.kind, self.latest[link.entry].name)) != ref:
            self.former[before] = link.entry
        if self.former.get(ref) == link.entry:
            del self.former[ref]
        if link.action == "erased":
            self.erased.add(link.entry)
        elif link.text is None:
            self.wordless.setdefault(link.entry, []).append(link.seq)
            self.wordless_count += 1
        else:
            self.worded.setdefault(link.entry, []).append(link.seq)
        self.latest[link.entry] = link
        self.said.append(link)

    def words(self) -> Iterator[Problem]:
        """Return words that are gone without an erasure, and words that are there in spite of one."""
        for entry, link in self.latest.items():
            ref = ref_of(link.kind, link.name)
            if entry in self.erased and entry in self.worded:
                yield Problem(
                    (ref,), f"the words of revision {self.worded[entry][0]} are there, though the entry was erased"
                )
            if entry not in self.erased and entry in self.wordless:
                yield Problem(
                    (ref,), f"the words of revision {self.wordless[entry][0]} are gone, though the entry was not erased"
                )


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
            yield Problem((), f"the {kind} `{name}` is missing")
        elif there[kind, name] != sql:
            yield Problem((), f"the {kind} `{name}` was changed")
    for kind, name in there.keys() - wanted.keys():
        if kind == "trigger":
            yield Problem((), f"the trigger `{name}` is not the ledger's")


def _entries(connection: Connection, past: _Past) -> Iterator[Problem]:
    """Derive the current entries, their former names and references again, and compare."""
    rows = {row["id"]: dict(row) for row in connection.execute(select(ENTRY)).mappings()}
    documents: dict[int, Document] = {}
    for entry, link in past.latest.items():
        ref = ref_of(link.kind, link.name)
        wanted: dict[str, Any] | None = None
        if entry in past.erased:
            wanted = erased_row(link)
        elif link.text is not None:
            try:
                documents[entry] = read_text(link.text, FOLDERS[link.kind], link.name)
            except FaultsFound as found:
                yield Problem((ref,), f"its words are no entry any more: {found.faults[0]}")
                continue
            wanted = entry_row(entry, documents[entry], link.seq)
        if wanted is not None and wanted != rows.get(entry):
            there = rows.get(entry, {})
            columns = ", ".join(name for name, value in wanted.items() if there.get(name, ...) != value)
            yield Problem((ref,), f"the current entry is not what its latest revision says ({columns})")
    for entry in rows.keys() - past.latest.keys():
        yield Problem((rows[entry]["ref"],), "the entry has no revision")
    ids = {ref_of(link.kind, link.name): entry for entry, link in past.latest.items()}
    names = {entry: ref for ref, entry in ids.items()}
    wanted_rows = {
        tuple(row.values()) for entry, document in documents.items() for row in reference_rows(entry, document, ids)
    }
    there_rows = {tuple(row) for row in connection.execute(select(REFERENCE))}
    for entry in sorted({row[0] for row in wanted_rows ^ there_rows}):
        yield Problem((names.get(entry, str(entry)),), "its references are not those in its words")
    former = {row.ref: row.entry for row in connection.execute(select(FORMER_NAME))}
    for ref in sorted(ref for ref in former.keys() | past.former.keys() if former.get(ref) != past.former.get(ref)):
        yield Problem((ref,), "the former name is not what the revisions say")


def _editions(connection: Connection, past: _Past) -> Iterator[Problem]:
    """Take the fingerprint of the content at each edition again, unless words of it were erased since."""
    standing: dict[int, tuple[str, str | None]] = {}
    hidden: set[int] = set()
    editions = list(connection.execute(select(EDITION).order_by(EDITION.c.seq, EDITION.c.number)))
    said = iter(past.said)
    seq = 0
    for number, row in enumerate(sorted(editions, key=lambda row: row.number), 1):
        if row.number != number:
            yield Problem((), f"edition {row.number} stands where edition {number} belongs")
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
            yield Problem((), f"edition {row.number} has the fingerprint of other content")
