"""The two small SQLite files of this package, opened: each with its mark, its numbered steps, and durable writes."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from ledger.errors import StoreBusy, StoreDamaged, StoreRefused, StoreTooNew

BUSY_SECONDS = 5.0
_HELD = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_BROKEN = (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT)


@dataclass(frozen=True)
class Form:
    """A kind of file: what a person calls it, its `application_id`, and the SQL that leads to each version in turn."""

    called: str
    application: int
    steps: Sequence[Sequence[str]]


def opened(path: Path, form: Form, *, create: bool, write: bool = True) -> sqlite3.Connection:
    """Open a file of a form and bring it to the newest version; transactions are begun by hand.

    Raises StoreRefused where there is none and none is to be made, where it cannot be used, StoreDamaged where it is
    another program's or broken, StoreTooNew, StoreBusy.
    """
    if not path.exists() and not create:
        raise StoreRefused(f"{path} is not there; expected {form.called}.")
    if path.is_dir() or not path.absolute().parent.is_dir():
        raise StoreRefused(f"{path} cannot be {form.called}: it is a folder, or its folder does not exist.")
    with told(path):
        address = f"{path.absolute().as_uri()}?mode={'rwc' if create else 'rw' if write else 'ro'}"
        connection = sqlite3.connect(
            address, uri=True, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
        )
        try:
            connection.execute("PRAGMA secure_delete = ON")
            _bring(connection, path, form, write)
            if write:
                connection.execute("PRAGMA journal_mode = WAL")
                connection.execute("PRAGMA synchronous = FULL")
        except BaseException:  # closed also on an interruption, which goes on up
            connection.close()
            raise
    return connection


def _bring(connection: sqlite3.Connection, path: Path, form: Form, write: bool) -> None:
    version = _version(connection, path, form)
    if version > len(form.steps):
        raise StoreTooNew(f"{path} has version {version}; this program knows up to {len(form.steps)}.")
    if version == len(form.steps):
        return
    if not write:
        raise StoreRefused(f"{path} has version {version}; the program that writes it brings it to {len(form.steps)}.")
    with transaction(connection):
        for step in form.steps[_version(connection, path, form) :]:
            for statement in step:
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {form.application}")
        connection.execute(f"PRAGMA user_version = {len(form.steps)}")


def _version(connection: sqlite3.Connection, path: Path, form: Form) -> int:
    version, application, tables = (
        int(connection.execute(question).fetchone()[0])
        for question in ("PRAGMA user_version", "PRAGMA application_id", "SELECT count(*) FROM sqlite_master")
    )
    if application == form.application or (application == 0 and version == 0 and tables == 0):
        return version
    raise StoreDamaged(f"{path} is a database, but not {form.called}: another program wrote it.")


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """One transaction, the only writer from its first moment: all of it is kept, or on any error nothing."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:  # rolled back also on an interruption, which goes on up
        # A full disc ends a transaction by itself.
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn SQLite's errors about a file into refusals that say what to do."""
    try:
        yield
    except sqlite3.IntegrityError:
        raise
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF
        if code in _HELD:
            raise StoreBusy(f"Another program holds {path}. Let it finish, then try again.") from error
        if code in _BROKEN:
            raise StoreDamaged(f"{path} is no readable SQLite database ({error}). Restore a copy of it.") from error
        raise StoreRefused(f"{path} cannot be used ({error}). See to its permissions and the free space.") from error
