"""What a file of replies gave: those that can be taken, and what is wrong with the rest."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.errors import Fault
from ledger.replies.received import Incoming

MOST_BYTES = 200_000_000


@dataclass(frozen=True)
class Gathered:
    """Replies of one file in its order, and a fault for each thing that is wrong in it."""

    replies: tuple[Incoming, ...] = ()
    faults: tuple[Fault, ...] = ()


def nothing(file: str, field: str, given: str, expected: str, remedy: str, line: int = 0) -> Gathered:
    """Return what a file gives that cannot be read at all."""
    return Gathered(faults=(Fault(file, line, field, given, expected, remedy),))
