"""Posting: reading the entry files and adding to the record what changed.

A file whose salted digest is that of its entry's latest words is unchanged and is not parsed. When anything changed,
the whole ledger is checked; all faults are found first, and with a single one nothing is posted.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select

from ledger.entries.checking import Checked, check_ledger
from ledger.entries.models import FOLDERS
from ledger.entries.reading import Document, read_folder, read_text, unread
from ledger.errors import Fault, FaultsFound
from ledger.store.chain import digest
from ledger.store.engine import Store
from ledger.store.erasing import scrub
from ledger.store.files import EntryFile, content_of, listed, parse, recorded
from ledger.store.planning import Known, Move, plan
from ledger.store.recording import Chain, refer, rename, stand, utc
from ledger.store.replaying import catch_up
from ledger.store.tables import ENTRY, FORMER_NAME, WORDS

# Plain rows on the path that a posting without changes takes: it is as short as reading and hashing the files allow.
_KNOWN = """
SELECT entry.ref, words.salt, revision.digest, entry.id, entry.withdrawn IS NOT NULL
FROM entry JOIN revision ON revision.seq = entry.latest LEFT JOIN words ON words.seq = entry.latest
"""


@dataclass(frozen=True)
class Report:
    """What a posting did.

    renamed   pairs of old and new refs
    absent    entries without a file; they are kept
    replayed  how many revisions came from `history.jsonl`
    warnings  what a person should look at
    """

    new: tuple[str, ...] = ()
    revised: tuple[str, ...] = ()
    withdrawn: tuple[str, ...] = ()
    restored: tuple[str, ...] = ()
    renamed: tuple[tuple[str, str], ...] = ()
    unchanged: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()
    replayed: int = 0
    warnings: tuple[Fault, ...] = ()

    @property
    def changed(self) -> bool:
        """Return whether anything was added to the record."""
        return bool(self.new or self.revised or self.withdrawn or self.restored or self.renamed or self.replayed)


Rules = Callable[[Mapping[str, Document], Set[str]], Iterable[Fault]]


def post(store: Store, entries_dir: Path, at: datetime | str, rules: Rules = lambda *_: ()) -> Report:
    """Add what changed in the entry files to the record, all of it or nothing.

    Revisions that `history.jsonl` has and the store lacks are replayed first: all of them, into an empty store.

    at     the time of the posting, with its zone; it need not be later than the last one
    rules  more rules that the layers above hold entries to: given all documents by ref and the refs of those that
           changed, they return faults

    Raises FaultsFound with every fault of every file.
    """
    moment = utc(at)
    with store.writing() as connection:
        replayed = catch_up(connection, entries_dir)
        report = _post(connection, entries_dir, moment, replayed.revisions, rules)
    if replayed.erased:
        scrub(store)
    return report


def _post(connection: Connection, entries_dir: Path, at: str, replayed: int, rules: Rules) -> Report:
    rows = {row[0]: row for row in connection.connection.cursor().execute(_KNOWN)}
    present, changed = _compare(entries_dir, rows)
    moves: list[Move] = []
    warnings: tuple[Fault, ...] = ()
    if changed or replayed:
        known = {ref: Known(entry, ref, bool(gone), salt, had) for ref, salt, had, entry, gone in rows.values()}
        moves, warnings, documents = _checked(connection, entries_dir, present, changed, known, rules)
        _write(connection, moves, at)
        if replayed:
            # A replayed entry may refer to one that came only now, from its file.
            ids = {row.ref: row.id for row in connection.execute(select(ENTRY.c.ref, ENTRY.c.id))}
            refer(connection, {ids[ref]: document for ref, document in documents.items()})
    absent = {ref for ref in rows.keys() - present if rows[ref][2] is not None}
    return replace(_report(moves, present, absent), replayed=replayed, warnings=warnings)


def _compare(entries_dir: Path, rows: Mapping[str, Any]) -> tuple[set[str], list[EntryFile]]:
    """Return the refs of all files, and the files that differ from the record."""
    files = listed(entries_dir)
    if files is None:
        raise _unreadable(entries_dir)
    changed = []
    for ref, path in files:
        try:
            content = content_of(path)
        except OSError as error:
            raise _unreadable(entries_dir) from error
        row = rows.get(ref)
        if row is None or row[1] is None or digest(row[1], content) != row[2]:
            changed.append(EntryFile(ref, path, content))
    return {ref for ref, _ in files}, changed


def _unreadable(entries_dir: Path) -> FaultsFound:
    """Return all that is wrong with the files, as the reader of whole folders says it."""
    _, faults = read_folder(entries_dir)
    expected = "files that stay while they are read"
    return FaultsFound(
        faults or [Fault(entries_dir.name, 0, "folder", "files that came or went", expected, "Try again.")]
    )


def _checked(
    connection: Connection,
    entries_dir: Path,
    present: set[str],
    changed: list[EntryFile],
    known: Mapping[str, Known],
    rules: Rules,
) -> tuple[list[Move], tuple[Fault, ...], Mapping[str, Document]]:
    """Return what the changed files do, warnings, and all documents as they will stand.

    Raises FaultsFound with all that is wrong in the whole ledger.
    """
    documents: dict[str, Document] = {}
    faults: list[Fault] = []
    for file in changed:
        try:
            documents[file.ref] = parse(file, entries_dir)
        except FaultsFound as found:
            faults += found.faults
    moves, misnamed = plan(documents, present, known, _former_names(connection, known))
    missing = unread(faults)
    leaving = {move.before.ref for move in moves if move.before}
    others = _others(connection, documents.keys() | leaving | missing, entries_dir.resolve().name, faults)
    everything = {**others, **documents}
    checked = check_ledger(everything, documents.keys(), missing)
    if lineless := _concerned(others, checked):
        everything |= {each.ref: read_text(each.text, FOLDERS[each.kind], each.name, each.file) for each in lineless}
        checked = check_ledger(everything, documents.keys(), missing)
    faults += [*misnamed, *checked.faults, *rules(everything, documents.keys())]
    if faults:
        raise FaultsFound(faults)
    return moves, checked.warnings, everything


def _former_names(connection: Connection, known: Mapping[str, Known]) -> dict[str, Known]:
    """Return, by former name, what the record knows of the entry that had it."""
    by_entry = {entry.entry: entry for entry in known.values()}
    return {row.ref: by_entry[row.entry] for row in connection.execute(select(FORMER_NAME))}


def _others(connection: Connection, apart_from: Set[str], shown: str, faults: list[Fault]) -> dict[str, Document]:
    """Return the documents of the entries that stay as the record has them."""
    statement = select(ENTRY.c.ref, WORDS.c.text, ENTRY.c.front, ENTRY.c.body).join(
        WORDS, WORDS.c.seq == ENTRY.c.latest
    )
    found = {}
    for row in connection.execute(statement):
        if row.ref not in apart_from:
            try:
                found[row.ref] = recorded(row.ref, row.text, json.loads(row.front), row.body, f"{shown}/{row.ref}.md")
            except FaultsFound as error:
                faults += error.faults
    return found


def _concerned(others: Mapping[str, Document], checked: Checked) -> list[Document]:
    """Return the unchanged entries that something is said about: their lines are needed after all."""
    named = {fault.file for fault in (*checked.faults, *checked.warnings)}
    return [document for document in others.values() if document.file in named]


def _write(connection: Connection, moves: list[Move], at: str) -> None:
    """Add the revisions, and let the entries stand as their files say."""
    chain = Chain(connection)
    documents, latest = {}, {}
    for move in moves:
        document = move.document
        entry = move.before.entry if move.before else None
        for action in move.actions:
            entry = chain.add(action, document.kind, document.name, at, document.text, entry)
        assert entry is not None
        documents[entry], latest[entry] = document, chain.seq
    chain.write()
    stand(connection, documents, latest)
    for move in moves:
        if move.before and "renamed" in move.actions:
            rename(connection, move.before.entry, move.before.ref, move.document.ref)


def _report(moves: Sequence[Move], present: set[str], absent: set[str]) -> Report:
    refs: dict[str, list[str]] = defaultdict(list)
    renamed = []
    for move in moves:
        for action in move.actions:
            refs[action].append(move.document.ref)
        if move.before and "renamed" in move.actions:
            renamed.append((move.before.ref, move.document.ref))
    return Report(
        new=tuple(refs["new"]),
        revised=tuple(refs["revised"]),
        withdrawn=tuple(refs["withdrawn"]),
        restored=tuple(refs["restored"]),
        renamed=tuple(renamed),
        unchanged=tuple(sorted(present - {move.document.ref for move in moves})),
        absent=tuple(sorted(absent - {old for old, _ in renamed})),
    )
