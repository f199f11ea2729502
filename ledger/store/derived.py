"""What is computed from the record and kept beside it, to be thrown away at will; and editions.

Editions are numbered here and, once given, never change: the number stands on published pages.
"""

from __future__ import annotations

import logging
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass

from sqlalchemy import Connection, delete, func, insert, select
from sqlalchemy.dialects.sqlite import insert as upsert

from ledger.errors import NotInLedger, StoreBusy, StoreDamaged, StoreRefused
from ledger.store.engine import Store
from ledger.store.records import content_fingerprint, last
from ledger.store.tables import CONFIDENCE, EDITION, MOMENT, RESULT

log = logging.getLogger("ledger.store")


@dataclass(frozen=True)
class Cached:
    """A result: the key of everything that went into it, its summary as JSON text, its draws as bytes."""

    key: str
    summary: str
    draws: bytes


@dataclass(frozen=True)
class Confidence:
    """Where one rival of a question stands; `place` is its rank, from 1. Without a range `low` and `high` are None."""

    question: str
    rival: str
    prior: float
    confidence: float
    low: float | None
    high: float | None
    place: int


def cached_results(store: Store) -> dict[str, Cached]:
    """Return all that is cached, by the name it is kept under."""
    with store.reading() as connection:
        return cached(connection)


def cached(connection: Connection) -> dict[str, Cached]:
    """Return the same within an open transaction."""
    return {row.ref: Cached(row.key, row.summary, row.draws) for row in connection.execute(select(RESULT))}


@contextmanager
def as_far_as_possible() -> Iterator[None]:
    """Let what was worked out be used also where it cannot be kept, for want of room or of a turn; that is told."""
    try:
        yield
    except StoreDamaged:
        raise
    except StoreRefused as error:
        log.warning("What was worked out was not kept, and will be worked out again. %s", error)


def put_results(store: Store, results: Mapping[str, Cached], drop: Collection[str] = ()) -> None:
    """Keep results by the calculation's ref, replacing what was there; drop those no calculation gives any more."""
    if not results and not drop:
        return
    statement = upsert(RESULT)
    with store.writing() as connection:
        if drop:
            connection.execute(delete(RESULT).where(RESULT.c.ref.in_(sorted(drop))))
        if results:
            connection.execute(
                statement.on_conflict_do_update(
                    index_elements=["ref"],
                    set_={column: statement.excluded[column] for column in ("key", "summary", "draws")},
                ),
                [{"ref": ref, **asdict(result)} for ref, result in results.items()],
            )


def confidences(store: Store) -> tuple[Confidence, ...]:
    """Return all confidences by question and place."""
    with store.reading() as connection:
        return _confidences(connection)


def replace_confidences(store: Store, rows: Iterable[Confidence]) -> None:
    """Put these confidences in place of all that were there; nothing is written when they are the same."""
    wanted = tuple(sorted(rows, key=lambda row: (row.question, row.place)))
    if confidences(store) == wanted:
        return
    with store.writing() as connection:
        connection.execute(delete(CONFIDENCE))
        if wanted:
            connection.execute(insert(CONFIDENCE), [asdict(row) for row in wanted])


def _confidences(connection: Connection) -> tuple[Confidence, ...]:
    return tuple(
        Confidence(*row)
        for row in connection.execute(select(CONFIDENCE).order_by(CONFIDENCE.c.question, CONFIDENCE.c.place))
    )


def kept_moments(store: Store) -> dict[int, tuple[str, str]]:
    """Return by seq the key and the confidences, as JSON text, of every moment that is kept."""
    with store.reading() as connection:
        return {row.seq: (row.key, row.confidences) for row in connection.execute(select(MOMENT))}


def replace_moments(store: Store, wanted: Mapping[int, tuple[str, str]]) -> None:
    """Keep these moments in place of all that were there; nothing is written when they are the same."""
    if kept_moments(store) == wanted:
        return
    with store.writing() as connection:
        connection.execute(delete(MOMENT))
        if wanted:
            rows = [{"seq": seq, "key": key, "confidences": said} for seq, (key, said) in sorted(wanted.items())]
            connection.execute(insert(MOMENT), rows)


def carry_over(store: Store, former: Store) -> None:
    """Keep in a store what another copy of it had worked out; keys tell what of it still holds.

    A copy may have gone further: an edit that is taken back leaves revisions that this store never had.
    """
    put_results(store, cached_results(former))
    with store.reading() as connection:
        upto, _ = last(connection)
    worked = {seq: one for seq, one in kept_moments(former).items() if seq <= upto}
    replace_moments(store, {**kept_moments(store), **worked})


def edition(store: Store, fingerprint: str | None = None) -> int:
    """Return the number of the edition with the present content; content never published takes the next number.

    fingerprint  of that content, as it was read: StoreBusy is raised when other content has been posted meanwhile

    Raises NotInLedger when nothing has been posted.
    """
    with store.reading() as connection:
        fingerprint = fingerprint or content_fingerprint(connection)
        number = _edition_with(connection, fingerprint)
    if number is not None:
        return number
    with store.writing() as connection:
        number = _edition_with(connection, fingerprint)
        if number is not None:
            return number
        seq, _ = last(connection)
        if seq == 0:
            raise NotInLedger("Nothing has been posted yet, so there is nothing to publish. Run `witness post`.")
        if content_fingerprint(connection) != fingerprint:
            raise StoreBusy(f"Another program posted to {store.path} while this was worked out. Publish again.")
        number = 1 + (connection.scalar(select(func.max(EDITION.c.number))) or 0)
        connection.execute(insert(EDITION), {"number": number, "fingerprint": fingerprint, "seq": seq})
        return number


def numbered(store: Store) -> int:
    """Return the number of the edition with the present content; 0 where it was never published."""
    with store.reading() as connection:
        return _edition_with(connection, content_fingerprint(connection)) or 0


def _edition_with(connection: Connection, fingerprint: str) -> int | None:
    return connection.scalar(select(EDITION.c.number).where(EDITION.c.fingerprint == fingerprint))
