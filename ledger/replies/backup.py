"""Received replies backed up beside the ledger's backup, and taken back where there are none."""

from __future__ import annotations

import os
from contextlib import closing
from pathlib import Path

from ledger.errors import StoreDamaged
from ledger.replies.database import opened, told
from ledger.replies.received import FORM, STORE
from ledger.store.backup import beside, name_new, require_new
from ledger.store.migrating import copy_from


def name_for(target: Path) -> Path:
    """Return how the backup of the replies is called beside that of the ledger: `x.sqlite`, `x.replies.sqlite`."""
    return target.with_name(f"{target.stem}.replies{target.suffix}")


def back_up_received(root: Path, target: Path) -> Path | None:
    """Write a verified backup of the received replies to a new file; return it, or None where none were received.

    Raises what opening the replies raises, and StoreRefused where the file is there already or cannot be written.
    """
    if not (root / STORE).exists():
        return None
    require_new(target)
    _copy(root / STORE, target)
    return target


def restore_received(root: Path, backup: Path) -> bool:
    """Put backed up replies in place, if there are any and the investigation has none; return whether it was done."""
    if not backup.exists() or os.path.lexists(root / STORE):
        return False
    _copy(backup, root / STORE)
    return True


def _copy(path: Path, target: Path) -> None:
    with beside(target) as unfinished:
        with told(unfinished), closing(opened(path, FORM, create=False, write=False)) as source:
            try:
                copy_from(source, unfinished)
            except ValueError as error:
                raise StoreDamaged(f"{path} is damaged: {error}. Restore a copy of it.") from error
        opened(unfinished, FORM, create=False, write=False).close()
        name_new(unfinished, target)
