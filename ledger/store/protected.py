"""A ledger file that can be read but not written: on a disc, from an archive, or in someone else's folder.

SQLite's write-ahead log wants side files next to the ledger even for reading. Where they cannot be made, and nothing
waits in them, the file is read as one that nobody changes (`immutable`).
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from ledger.errors import StoreRefused, StoreTooNew
from ledger.store.migrating import Step, steps, version_of


def can_write(path: Path) -> bool:
    """Return whether the file and the folder around it can be written by whoever runs this."""
    effective = {"effective_ids": True} if os.access in os.supports_effective_ids else {}
    return all(os.access(each, os.W_OK, **effective) for each in (path, path.absolute().parent))


def unchanged_uri(path: Path) -> str:
    """Return the address under which SQLite reads a file and leaves it and its folder as they are, if it can be.

    Where changes wait in a side file they are part of what is read, and the side files may be touched.
    """
    log = path.with_name(f"{path.name}-wal")
    waiting = log.exists() and log.stat().st_size > 0
    return f"{path.absolute().as_uri()}?mode=ro" + ("" if waiting else "&immutable=1")


def reading_uri(path: Path, known: tuple[Step, ...] | None = None) -> str:
    """Return the address under which SQLite reads a protected file.

    Raises StoreRefused where it is of an older version, which cannot be brought up here, or where changes wait in a
    side file that cannot be read; StoreTooNew; StoreDamaged for what is no ledger.
    """
    known = steps() if known is None else known
    uri = unchanged_uri(path)
    try:
        with closing(sqlite3.connect(uri, uri=True)) as connection:
            version = version_of(connection, path)
    except sqlite3.OperationalError as error:
        if "immutable" in uri:
            raise
        raise StoreRefused(
            f"{path} has changes in {path.name}-wal that cannot be read in a protected folder. "
            "Let the program that writes it finish, or copy the whole folder to a place where you may write."
        ) from error
    if version > len(known):
        raise StoreTooNew(
            f"{path} has version {version}; this program knows up to {len(known)}. Install a later program."
        )
    if version < len(known):
        raise StoreRefused(
            f"{path} has version {version} and has to be brought to {len(known)}, but it cannot be written. "
            "Copy the folder to a place where you may write, and open it there."
        )
    return uri
