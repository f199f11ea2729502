"""What the latest edition brought: to the whole case, and to one question."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ledger.casebook.editions import Change
from ledger.casebook.values import Casebook
from ledger.publishing import words
from ledger.publishing.addresses import EDITIONS, Link, Ways
from ledger.publishing.editions import Moved, again, latest_moves
from ledger.weighing.values import Weighing


@dataclass(frozen=True)
class Since:
    """The latest edition against the one before it.

    edition  its place on the page of editions; `day` the day of its last revision
    moved    answers that went elsewhere; `changed` what was posted that touches the question, and what became of it
    count    how many entries changed in all, in words
    """

    edition: Link
    day: str
    moved: tuple[Moved, ...]
    changed: tuple[tuple[Link, str], ...]
    count: str


def since(casebook: Casebook, ways: Ways, weighing: Weighing | None = None) -> Since | None:
    """Return what the latest edition brought to a question, or to all of them.

    None where there is none before it, and where what it brought no longer stands.
    """
    known = casebook.editions()
    if len(known) < 2 or again(casebook):
        return None
    latest = known[-1]
    moved = latest_moves(casebook, ways)
    if weighing is not None:
        moved = tuple(one for one in moved if one.question == ways.to(weighing.question))
    touching = _touching(latest.changes, weighing) if weighing is not None else ()
    return Since(
        edition=ways.page(EDITIONS, f"Edition {latest.number}", f"edition-{latest.number}"),
        day=latest.at[:10],
        moved=moved,
        changed=tuple((ways.to(one.ref), one.how) for one in touching),
        count=f"{words.count(len(latest.changes), 'entry', 'entries')} changed",
    )


def _touching(changes: Iterable[Change], weighing: Weighing) -> tuple[Change, ...]:
    told = {weighing.question, *weighing.weights, *(one.rival for one in weighing.standings)}
    return tuple(one for one in changes if one.ref in told)
