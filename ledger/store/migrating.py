"""Bringing a store to the newest form, one numbered step at a time.

A step is a file `NNNN_name.sql` in `migrations/`. All steps that a file lacks run in one transaction together with the
bump of `PRAGMA user_version`, so that a file is brought up wholly or stays as it was. Before the first step on a store
that holds something, the file is copied and the copy is verified.
"""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from ledger.errors import StoreDamaged, StoreTooNew

APPLICATION = 0x574C4544
SIDE_FILES = ("-journal", "-wal", "-shm")
# Failures that say nothing of the file: it is held, or there is no room, or it may not be written.
_OF_THE_PLACE = (
    sqlite3.SQLITE_BUSY,
    sqlite3.SQLITE_LOCKED,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_PERM,
)
_STEP = re.compile(r"(\d{4})_\w+\.sql\Z")


@dataclass(frozen=True)
class Step:
    """One migration: the version it leads to, its name, its SQL."""

    version: int
    name: str
    sql: str


def steps() -> tuple[Step, ...]:
    """Return the steps this program knows, in order; they are numbered from 1 without a gap."""
    found = []
    for file in files("ledger.store.migrations").iterdir():
        if match := _STEP.match(file.name):
            found.append(Step(int(match[1]), file.name, file.read_text(encoding="utf-8")))
    found.sort(key=lambda step: step.version)
    assert [step.version for step in found] == list(range(1, len(found) + 1))
    return tuple(found)


def statements(sql: str) -> Iterator[str]:
    """Split SQL into statements; a trigger with its inner statements is one."""
    pending = ""
    for line in sql.splitlines(keepends=True):
        pending += line
        if sqlite3.complete_statement(pending):
            yield pending
            pending = ""
    if any(line.strip() and not line.lstrip().startswith("--") for line in pending.splitlines()):
        raise ValueError(f"unfinished SQL: {pending.strip()[:80]}")


def version_of(connection: sqlite3.Connection, path: Path) -> int:
    """Return a file's version; refuse files of other programs. An empty file has version 0."""
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    application = int(connection.execute("PRAGMA application_id").fetchone()[0])
    if application == APPLICATION and version > 0:
        return version
    holds_something = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if application == 0 and version == 0 and not holds_something:
        return 0
    raise StoreDamaged(f"{path} is a database, but not a ledger: another program wrote it, or its heading was changed.")


def migrate(path: Path, busy_seconds: float, known: tuple[Step, ...] | None = None) -> Path | None:
    """Bring the file at `path` to the newest version; return the verified copy made before, if one was needed."""
    known = steps() if known is None else known
    with closing(sqlite3.connect(path, timeout=busy_seconds, isolation_level=None)) as connection:
        connection.execute("PRAGMA foreign_keys = ON")
        version = version_of(connection, path)
        if version > len(known):
            raise StoreTooNew(
                f"{path} has version {version}; this program knows up to {len(known)}. Install a later program."
            )
        copy = _bring_up(connection, path, known) if version < len(known) else None
        if known and connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            connection.execute("PRAGMA journal_mode = WAL")
    return copy


def _bring_up(connection: sqlite3.Connection, path: Path, known: tuple[Step, ...]) -> Path | None:
    connection.execute("BEGIN IMMEDIATE")
    # Another program may have brought it up while this one waited.
    began = version = version_of(connection, path)
    copy = None
    try:
        if 0 < began < len(known):
            copy = copy_file(path, path.with_name(f"{path.name}.before-v{len(known)}"))
        for step in known[began:]:
            _run(connection, step)
            version = step.version
        connection.execute("COMMIT")
    except BaseException as error:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        refused = isinstance(error, sqlite3.DatabaseError | ValueError)
        if refused and getattr(error, "sqlite_errorcode", 0) & 0xFF not in _OF_THE_PLACE:
            where = f" A copy made before stands in {copy}." if copy else ""
            name = known[version].name if version < len(known) else "the end"
            raise StoreDamaged(
                f"{path} could not be brought from version {began} to {len(known)} ({name}: {error}). "
                f"It is still of version {began}.{where}"
            ) from error
        raise
    return copy


def _run(connection: sqlite3.Connection, step: Step) -> None:
    """Run one step inside the open transaction."""
    for statement in statements(step.sql):
        connection.execute(statement)
    broken = connection.execute("PRAGMA foreign_key_check").fetchone()
    if broken:
        raise sqlite3.IntegrityError(f"a row of `{broken[0]}` would refer to nothing")
    connection.execute(f"PRAGMA user_version = {step.version}")


def copy_file(path: Path, final: Path) -> Path:
    """Copy the store as it stands at one moment, verify the copy, and only then give it its name."""
    unfinished = final.with_name(f"{final.name}.unfinished")
    with closing(sqlite3.connect(path)) as source:
        copy_from(source, unfinished)
    os.replace(unfinished, final)
    return final


def copy_from(source: sqlite3.Connection, target: Path) -> None:
    """Copy what a connection sees into one new file without side files, whatever a stopped copy left in its place.

    Raises ValueError where the copy does not pass SQLite's check of its integrity.
    """
    # A side file left behind would be taken for one of the new file's own.
    for left in (target, *(target.with_name(f"{target.name}{ending}") for ending in SIDE_FILES)):
        left.unlink(missing_ok=True)
    with closing(sqlite3.connect(target)) as copy:
        source.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")
        state = copy.execute("PRAGMA integrity_check").fetchone()[0]
        if state != "ok":
            raise ValueError(f"the copy is damaged: {state}")
