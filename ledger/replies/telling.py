"""Faults of replies that were read, as the command line tells them."""

from __future__ import annotations

from collections.abc import Iterable

from ledger.errors import Fault
from ledger.replies.wording import Wrong


def faults_of(wrongs: Iterable[Wrong], file: str, line: int = 0) -> list[Fault]:
    """Return what is wrong with one reply as faults of a file."""
    return [Fault(file, line, one["field"], one["given"], one["expected"], one["remedy"]) for one in wrongs]
