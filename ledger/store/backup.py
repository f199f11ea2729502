"""A ledger file backed up while others write to it, and taken back from a backup.

A backup is one ordinary file: the ledger as it stood at one moment, verified from the ground up before it gets its
name. Taking one back happens inside the ledger file, in one transaction that other programs see wholly or not at all;
what stood there before is kept aside first.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import select

from ledger.errors import StoreDamaged, StoreRefused
from ledger.store.engine import BUSY_SECONDS, Store, open_store, refusals
from ledger.store.migrating import SIDE_FILES, copy_from, migrate, version_of
from ledger.store.past import damaged
from ledger.store.protected import unchanged_uri
from ledger.store.recording import ref_of
from ledger.store.tables import REVISION
from ledger.store.verifying import Verified, verify
from ledger.store.whole import tidy

ASIDE = "before-restore"
SQLITE = b"SQLite format 3\0"  # at the head of every such file, by https://www.sqlite.org/fileformat.html, 1.3
UNFINISHED = ".unfinished-"


@dataclass(frozen=True)
class Restored:
    """What restoring did.

    revisions  how many the ledger has now
    before     how many it had; None where there was no ledger that could be read
    aside      where the ledger that stood there before is kept, if there was one
    again      refs of entries that were erased since the backup: their words are back
    """

    revisions: int
    before: int | None = None
    aside: Path | None = None
    again: tuple[str, ...] = ()


def back_up(store: Store, target: Path) -> Verified:
    """Write a verified backup of the store to a new file, as it stands at one moment; others may write meanwhile.

    Raises StoreRefused where something has that name or the file cannot be written, StoreDamaged, and writes nothing,
    where the store does not verify.
    """
    require_new(target)
    if any(target.name == f"{store.path.name}{ending}" for ending in SIDE_FILES):
        raise StoreRefused(f"{target} is a name that the ledger file takes for its own: name another.")
    with beside(target) as unfinished, store.reading() as connection:
        source = connection.connection.driver_connection
        assert isinstance(source, sqlite3.Connection)
        with refusals(target):
            found = _copied(source, unfinished, store.path)
        name_new(unfinished, target)
    return found


def _copied(source: sqlite3.Connection, unfinished: Path, of: Path) -> Verified:
    try:
        copy_from(source, unfinished)
    except ValueError as error:
        raise StoreDamaged(f"{of} is damaged, and nothing was backed up: {error}.") from error
    found = verify(open_store(unfinished, create=False, write=False))
    if not found.sound:
        raise damaged(list(found.problems), "Nothing was backed up.")
    return found


def require_new(target: Path) -> None:
    """Raise StoreRefused unless a new file can stand there."""
    if os.path.lexists(target):
        raise StoreRefused(f"{target} is there already, and nothing is ever written over. Name a new file.")
    if not target.absolute().parent.is_dir():
        raise StoreRefused(f"{target} cannot be written: its folder does not exist. Make it, or name another.")


@contextmanager
def beside(target: Path) -> Iterator[Path]:
    """Give a place for the unfinished file on the same disc; whatever is left in it goes."""
    folder = target.absolute().parent
    try:
        tidy(folder, UNFINISHED)
        with tempfile.TemporaryDirectory(prefix=UNFINISHED, dir=folder) as scratch:
            yield Path(scratch) / "witness.sqlite"
    except OSError as error:
        told = error.strerror or "an error"
        raise StoreRefused(f"{target} cannot be written: {told}. See to its folder and the free space.") from error


def name_new(unfinished: Path, target: Path) -> None:
    """Give a finished file its name, unless another file took it meanwhile."""
    try:
        os.link(unfinished, target)
    except FileExistsError as error:
        raise StoreRefused(f"{target} is there already, and nothing is ever written over. Name a new file.") from error
    except OSError:
        # Discs without a second name for a file, such as memory sticks.
        require_new(target)
        os.replace(unfinished, target)


def restore(path: Path, backup: Path, busy_seconds: float = BUSY_SECONDS) -> Restored:
    """Put a backup in the place of the store at `path`; a backup of an older version is brought to the newest.

    The backup is verified first and never changed. Other programs see the old store or the restored one, never parts.

    Raises StoreRefused where there is no backup, StoreDamaged where it does not verify, StoreTooNew, StoreBusy where
    another program holds the store; then nothing has changed.
    """
    path = Path(path)
    if not backup.is_file():
        raise StoreRefused(f"{backup} is no file. Name a backup that `witness backup` wrote.")
    with backup.open("rb") as file:
        if file.read(len(SQLITE)) not in (SQLITE, b""):
            raise StoreDamaged(f"{backup} is no backup of a ledger. Name one that `witness backup` wrote.")
    if path.exists() and backup.samefile(path):
        raise StoreRefused(f"{backup} is the ledger itself. Name a backup of it.")
    with beside(path) as fresh:
        found = _brought_up(backup, fresh, path)
        still = _told(fresh)[1]
        if not path.exists():
            aside = _moved_aside(path)
            os.replace(fresh, path)
            return Restored(found.revisions, aside=aside)
        try:
            before, aside, erased = _replaced(path, fresh, busy_seconds)
        except StoreDamaged:
            aside = _moved_aside(path)
            os.replace(fresh, path)
            return Restored(found.revisions, aside=aside)
    return Restored(found.revisions, before, aside, tuple(sorted(erased - still)))


def _brought_up(backup: Path, fresh: Path, path: Path) -> Verified:
    """Copy the backup, bring the copy to the newest version, and verify it."""
    ending = "Nothing was restored."
    with refusals(backup), closing(sqlite3.connect(unchanged_uri(backup), uri=True)) as source:
        if version_of(source, backup) == 0:
            raise StoreDamaged(f"{backup} is empty. {ending}")
        try:
            with refusals(path):
                copy_from(source, fresh)
        except (StoreDamaged, ValueError) as error:
            raise StoreDamaged(f"{backup} is damaged: {error}. {ending}") from error
    with refusals(path):
        migrate(fresh, BUSY_SECONDS)
    found = verify(open_store(fresh, create=False))
    if not found.sound:
        raise damaged(list(found.problems), ending)
    return found


def _replaced(path: Path, fresh: Path, busy_seconds: float) -> tuple[int | None, Path, frozenset[str]]:
    """Copy the store aside and put the fresh one into it; return its revisions, where it is kept, and what was erased.

    Nobody else gets in between: the connection keeps the file for itself until it is closed. StoreDamaged where the
    store is nothing that can be copied.
    """
    # One that is held is told before its state is judged; an older one is brought up, and so can be counted.
    open_store(path, busy_seconds=busy_seconds)
    aside = _free(path)
    with (
        refusals(path),
        closing(sqlite3.connect(path, timeout=busy_seconds, isolation_level=None)) as store,
        closing(sqlite3.connect(fresh)) as source,
    ):
        store.execute("PRAGMA locking_mode = EXCLUSIVE")
        store.execute("BEGIN EXCLUSIVE")
        store.execute("COMMIT")
        try:
            unfinished = aside.with_name(f"{aside.name}.unfinished")
            copy_from(store, unfinished)
        except ValueError as error:
            raise StoreDamaged(str(error)) from error
        os.replace(unfinished, aside)
        count, erased = _told(aside)
        source.backup(store)
    return count, aside, erased


def _moved_aside(path: Path) -> Path | None:
    """Move a store that cannot be read, and what lies beside it, to names of their own: whole, and not opened."""
    there = [one for one in (path, *(path.with_name(f"{path.name}{each}") for each in SIDE_FILES)) if one.exists()]
    if not there:
        return None
    aside = _free(path)
    for one in there:
        shutil.copy2(one, aside.with_name(f"{aside.name}{one.name.removeprefix(path.name)}"))
    for one in there[1:] if there[0] == path else there:
        one.unlink()
    return aside


def _free(path: Path) -> Path:
    names = (path.with_name(f"{path.name}.{ASIDE}-{number}") for number in range(1, 10_000))
    return next(one for one in names if not any(one.parent.glob(f"{one.name}*")))


def _told(path: Path) -> tuple[int | None, frozenset[str]]:
    """Return how many revisions a store has and which entries were erased; None of one that lacks its tables."""
    try:
        with open_store(path, create=False, write=False).reading() as connection:
            rows = connection.execute(select(REVISION.c.kind, REVISION.c.name, REVISION.c.action)).all()
    except StoreDamaged:
        return None, frozenset()
    return len(rows), frozenset(ref_of(row.kind, row.name) for row in rows if row.action == "erased")
