"""Posting: reading the entry files and adding to the record what changed.

A file whose salted digest is that of its entry's latest words is unchanged and is not parsed. When anything changed,
the whole ledger is checked; all faults are found first, and with a single one nothing is posted.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select

from ledger.entries.reading import read_folder
from ledger.errors import Fault, FaultsFound
from ledger.store.chain import digest
from ledger.store.engine import Store
from ledger.store.erasing import scrub
from ledger.store.files import ENDING, EntryFile, content_of, listed, parse
from ledger.store.judging import Around, Judged, Rules, judge
from ledger.store.planning import Known, Move
from ledger.store.recording import Chain, refer, rename, stand, utc
from ledger.store.replaying import catch_up
from ledger.store.tables import ENTRY, REVISION

# Plain rows on the path that a posting without changes takes: it is as short as reading and hashing the files allow.
_KNOWN = """
SELECT entry.ref, words.salt, revision.digest, entry.id, entry.withdrawn IS NOT NULL
FROM entry JOIN revision ON revision.seq = entry.latest LEFT JOIN words ON words.seq = entry.latest
"""


# What two computers' clocks may differ by, without a word.
AMONG_CLOCKS = timedelta(minutes=1)


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


def post(
    store: Store,
    entries_dir: Path,
    at: datetime | str,
    rules: Rules = lambda *_: (),
    only: Collection[str] | None = None,
) -> Report:
    """Add what changed in the entry files to the record, all of it or nothing.

    Revisions that `history.jsonl` has and the store lacks are replayed first: all of them, into an empty store.

    at     the time of the posting, with its zone; it need not be later than the last one
    rules  more rules that the layers above hold entries to: given all documents by ref and the refs of those that
           changed, they return faults; documents with faults of their own are among them in part
    only   refs to post and leave all other files as they are: changes, and faults, that wait elsewhere do not hold
           these up

    Raises FaultsFound with every fault of every file, StoreDamaged where the record that the files are held against
    does not verify.
    """
    moment = utc(at)
    with store.writing() as connection:
        replayed = catch_up(connection, entries_dir)
        report = _post(connection, entries_dir, moment, replayed.revisions, rules, only)
    if replayed.erased:
        scrub(store)
    return report


def _post(
    connection: Connection,
    entries_dir: Path,
    at: str,
    replayed: int,
    rules: Rules,
    only: Collection[str] | None,
) -> Report:
    rows = {row[0]: row for row in connection.connection.cursor().execute(_KNOWN)}
    present, changed, stray = _compare(entries_dir, rows, only)
    judged = Judged()
    if changed or replayed or stray:
        known = {ref: Known(entry, ref, bool(gone), salt, had) for ref, salt, had, entry, gone in rows.values()}
        files = {file.ref: parse(file, entries_dir) for file in changed}
        shown = entries_dir.resolve().name
        judged = judge(connection, files, Around(present, known, shown, tuple(stray), only), rules)
        clock = _clock_set_back(connection, at) if judged.moves else ()
        judged = replace(judged, warnings=(*judged.warnings, *clock))
        _write(connection, judged.moves, at)
        if replayed:
            # A replayed entry may refer to one that came only now, from its file.
            ids = {row.ref: row.id for row in connection.execute(select(ENTRY.c.ref, ENTRY.c.id))}
            refer(connection, {ids[ref]: document for ref, document in judged.documents.items()})
    absent = {ref for ref in rows.keys() - present if rows[ref][2] is not None} if only is None else set()
    listed_as_unchanged = present if only is None else set(only)
    report = _report(judged.moves, listed_as_unchanged, absent)
    return replace(report, replayed=replayed, warnings=judged.warnings)


def _compare(
    entries_dir: Path, rows: Mapping[str, Any], only: Collection[str] | None
) -> tuple[set[str], list[EntryFile], list[Fault]]:
    """Return the refs of all files, the files to post that differ from the record, and faults of what is no entry."""
    listing = listed(entries_dir)
    if listing is None:
        raise FaultsFound(_unreadable(entries_dir))
    stray: list[Fault] = []
    if not listing.plain and only is None:
        shown = entries_dir.resolve().name
        plain = {f"{shown}/{ref}{ENDING}" for ref, _ in listing.files}
        stray = [fault for fault in _unreadable(entries_dir) if fault.file not in plain]
    changed = []
    for ref, path in listing.files:
        if only is not None and ref not in only:
            continue
        try:
            content = content_of(path)
        except OSError as error:
            raise FaultsFound(_unreadable(entries_dir)) from error
        row = rows.get(ref)
        if row is None or row[1] is None or digest(row[1], content) != row[2]:
            changed.append(EntryFile(ref, path, content))
    return {ref for ref, _ in listing.files}, changed, stray


def _unreadable(entries_dir: Path) -> list[Fault]:
    """Return all that is wrong with the files, as the reader of whole folders says it."""
    _, faults = read_folder(entries_dir)
    expected = "files that stay while they are read"
    return faults or [Fault(entries_dir.name, 0, "folder", "files that came or went", expected, "Try again.")]


def _clock_set_back(connection: Connection, at: str) -> tuple[Fault, ...]:
    """Return a warning where the last posting is later by the clock than this one.

    Its time is kept as the clock says it. Were times made to follow each other, one clock that once ran ahead would
    falsify all that came after; what came first is told by the order of the record alone.
    """
    before = connection.scalar(select(REVISION.c.at).order_by(REVISION.c.seq.desc()).limit(1))
    if before is None or datetime.fromisoformat(at) > datetime.fromisoformat(before) - AMONG_CLOCKS:
        return ()
    expected = f"a time after the last posting, {before}"
    remedy = "See to the clock, if it is wrong. It was posted so; the order of the record is that of posting."
    return (Fault("the clock", 0, "", at, expected, remedy),)


def _write(connection: Connection, moves: Sequence[Move], at: str) -> None:
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
