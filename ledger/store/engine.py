"""Opening a store, and the two ways into it: reading and writing.

Every connection is opened for one purpose and closed after it, so that nothing stays in the side files longer than
needed and a store at rest is one file. Transactions are begun by hand: Python's sqlite3 begins them too late for
read-then-write.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, event
from sqlalchemy.exc import DBAPIError

from ledger.errors import StoreBusy, StoreDamaged, StoreRefused
from ledger.store.migrating import Step, migrate
from ledger.store.protected import can_write, reading_uri

PRAGMAS = (
    "foreign_keys = ON",
    "recursive_triggers = ON",
    "secure_delete = ON",
    "synchronous = FULL",
    "temp_store = MEMORY",
)
BUSY_SECONDS = 5.0
# SQLite takes a file shorter than its shortest page for an empty one, and would write over it.
LEAST_BYTES = 512
_MOVE_AWAY = "Restore a backup of it; or move it away and post the entries again."


@dataclass(frozen=True)
class Store:
    """An opened store.

    copy      the copy made before migration, if there was one
    writable  whether it can be written to, or only read, where the file or its folder is protected
    """

    path: Path
    engine: Engine
    copy: Path | None = None
    writable: bool = True

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One consistent view; the main file is not touched."""
        with self._transaction("BEGIN") as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction, the only writer from its first moment: all of it is kept, or on any error nothing."""
        self._require_writable()
        with self._transaction("BEGIN IMMEDIATE") as connection:
            yield connection

    @contextmanager
    def alone(self) -> Iterator[Connection]:
        """A connection outside any transaction, for VACUUM and checkpoints."""
        self._require_writable()
        with refusals(self.path), self.engine.connect() as connection:
            yield connection

    def _require_writable(self) -> None:
        if not self.writable:
            raise StoreRefused(
                f"{self.path} can be read here but not written: the file or its folder is protected. "
                "Allow writing to both, or work on a copy of the folder."
            )

    @contextmanager
    def _transaction(self, begin: str) -> Iterator[Connection]:
        with refusals(self.path), self.engine.connect() as connection:
            connection.exec_driver_sql(begin)
            try:
                yield connection
            except BaseException:  # rolled back also on an interruption, which goes on up
                # A full disc ends a transaction by itself.
                if getattr(connection.connection.driver_connection, "in_transaction", True):
                    connection.exec_driver_sql("ROLLBACK")
                raise
            connection.exec_driver_sql("COMMIT")


def open_store(
    path: Path,
    *,
    create: bool = True,
    write: bool = True,
    busy_seconds: float = BUSY_SECONDS,
    known: tuple[Step, ...] | None = None,
) -> Store:
    """Open the store at `path`, bring it to the newest version, and make an empty one where there is none.

    Where the file, or the folder that SQLite keeps its side files in, cannot be written, it is opened for reading; so
    it is, and left as it is, with `write=False`, which is for a file that no program writes.

    Raises StoreTooNew, StoreDamaged (no database, another program's, or unreadable), StoreBusy, and StoreRefused (it
    cannot be opened, or is missing with `create=False`).
    """
    path = Path(path)
    try:
        there = path.exists()
        if not there and not create:
            raise StoreRefused(f"There is no ledger at {path}. `witness post` makes one from the entries.")
        if path.is_dir() or not path.parent.is_dir():
            why = "it is a folder" if path.is_dir() else "its folder does not exist"
            raise StoreRefused(f"{path} cannot be a ledger: {why}.")
        size = path.stat().st_size if there else 0
        if there and not size and not create:
            raise StoreRefused(f"There is no ledger in {path}: the file is empty. Restore a backup, or `witness post`.")
        if 0 < size < LEAST_BYTES:
            raise StoreDamaged(f"{path} is cut off: it has {size} bytes. {_MOVE_AWAY}")
    except PermissionError as error:
        raise StoreRefused(f"{path} lies in a folder that may not be looked into. Allow it to be read.") from error
    writable = not there or (write and can_write(path))
    with refusals(path):
        copy = migrate(path, busy_seconds, known) if writable else None
        uri = None if writable else reading_uri(path, known)
    place = URL.create("sqlite", database=str(path) if uri is None else uri, query={"uri": "true"} if uri else {})
    engine = create_engine(
        place,
        poolclass=NullPool,
        isolation_level="AUTOCOMMIT",
        connect_args={"timeout": busy_seconds},
    )

    @event.listens_for(engine, "connect")
    def prepare(connection: Any, _record: Any) -> None:
        with closing(connection.cursor()) as cursor:
            for pragma in PRAGMAS:
                cursor.execute(f"PRAGMA {pragma}")

    return Store(path, engine, copy, writable)


@contextmanager
def refusals(path: Path) -> Iterator[None]:
    """Turn SQLite's errors about the file into refusals that say what to do; others pass."""
    try:
        yield
    except DBAPIError as error:
        if isinstance(error.orig, sqlite3.Error) and (refusal := _refusal(path, error.orig)):
            raise refusal from error
        raise
    except sqlite3.Error as error:
        if refusal := _refusal(path, error):
            raise refusal from error
        raise


def _refusal(path: Path, error: sqlite3.Error) -> StoreRefused | None:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_PROTOCOL):
        return StoreBusy(f"Another program holds {path}. Let it finish, then try again.")
    if code in (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT):
        return StoreDamaged(f"{path} is not a readable SQLite database ({error}). {_MOVE_AWAY}")
    if code in (
        sqlite3.SQLITE_READONLY,
        sqlite3.SQLITE_CANTOPEN,
        sqlite3.SQLITE_FULL,
        sqlite3.SQLITE_IOERR,
        sqlite3.SQLITE_PERM,
    ):
        return StoreRefused(f"{path} cannot be used ({error}). See to the folder's permissions and the free space.")
    if isinstance(error, sqlite3.OperationalError):
        # The questions are right: a table that is not there, or text that is none, was changed from outside.
        return StoreDamaged(f"{path} is not as this program writes it ({error}). {_MOVE_AWAY}")
    return None
