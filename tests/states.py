"""What tells one state of a ledger from another."""

from __future__ import annotations

from ledger.store.engine import Store
from ledger.store.records import content_fingerprint, last


def head(store: Store) -> str:
    """The hash of the last revision."""
    with store.reading() as connection:
        return last(connection)[1]


def fingerprint(store: Store) -> str:
    """The fingerprint of the standing entries."""
    with store.reading() as connection:
        return content_fingerprint(connection)
