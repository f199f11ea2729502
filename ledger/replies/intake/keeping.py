"""The intake's own store: replies are only ever added, many at once in one transaction, and acknowledged after it.

One thread writes. While a transaction reaches the disk the next replies gather, so that the disk is waited for once for
all of them.
"""

from __future__ import annotations

import asyncio
import secrets
import sqlite3
import threading
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from queue import Empty, SimpleQueue

from ledger.errors import StoreRefused
from ledger.replies.database import Form, opened, told, transaction

FORM = Form(
    "an intake's store",
    0x57494E54,
    (
        (
            "CREATE TABLE setting (name TEXT NOT NULL PRIMARY KEY, value TEXT NOT NULL) STRICT",
            """CREATE TABLE reply (
                seq INTEGER PRIMARY KEY AUTOINCREMENT,
                id TEXT NOT NULL UNIQUE,
                received TEXT NOT NULL CHECK (received GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
                digest TEXT NOT NULL CHECK (length(digest) = 64),
                document TEXT NOT NULL CHECK (json_valid(document))
            ) STRICT""",
            """CREATE TRIGGER a_reply_never_changes BEFORE UPDATE ON reply
            BEGIN SELECT RAISE(ABORT, 'a reply that was taken never changes'); END""",
        ),
    ),
)
MOST_WAITING = 2_000
MOST_TOGETHER = 500
# One page of an export ends with the reply that passes this.
PAGE_BYTES = 4_000_000
MOST_DELETED = 500
# What is deleted is deleted from the oldest on, so that the span of the numbers is how many there are at most.
_HELD = "SELECT coalesce(max(seq) - min(seq) + 1, 0) FROM reply"
_ADD = "INSERT INTO reply (id, received, digest, document) VALUES (?, ?, ?, ?) ON CONFLICT (id) DO NOTHING"


@dataclass(frozen=True)
class Sent:
    """A reply to be kept: its id, the day it came, the digest of its canonical form, and that form."""

    id: str
    received: str
    digest: str
    document: str


@dataclass(frozen=True)
class Kept:
    """What became of it: `new`, `again` (the same was there), `other` (another with its id was there), `full`.

    received  the day on which the reply that is there came
    """

    outcome: str
    received: str


@dataclass(frozen=True)
class Line:
    """A kept reply as it is exported."""

    seq: int
    received: str
    document: str


@dataclass
class _Waiting:
    sent: Sent
    future: asyncio.Future[Kept]
    loop: asyncio.AbstractEventLoop


class NotKept(Exception):
    """A reply could not be kept now; it can be sent again."""


class Keeper:
    """Takes replies into the file at `path`, which it makes if need be."""

    def __init__(self, path: Path, most: int) -> None:
        self.path = path
        self.most = most
        self.waiting = 0
        self.failed = False
        self._queue: SimpleQueue[_Waiting | None] = SimpleQueue()
        self._thread: threading.Thread | None = None
        self._starting = threading.Lock()
        with closing(opened(path, FORM, create=True)) as connection, told(path), transaction(connection):
            for name, value in (("store", secrets.token_hex(16)), ("secret", secrets.token_hex(32))):
                connection.execute("INSERT INTO setting VALUES (?, ?) ON CONFLICT DO NOTHING", (name, value))
        with closing(opened(path, FORM, create=False)) as connection:
            known = dict(connection.execute("SELECT name, value FROM setting"))
        self.store: str = known["store"]
        self.secret: bytes = bytes.fromhex(known["secret"])

    async def keep(self, sent: Sent) -> Kept:
        """Keep a reply; return once it is on the disk. Raises NotKept where it is not."""
        self.start()
        if self.waiting >= MOST_WAITING:
            raise NotKept
        loop = asyncio.get_running_loop()
        future: asyncio.Future[Kept] = loop.create_future()
        self.waiting += 1
        self._queue.put(_Waiting(sent, future, loop))
        try:
            return await future
        finally:
            self.waiting -= 1

    @property
    def well(self) -> bool:
        """Return whether replies can be kept, as far as is known: the last try did not fail."""
        return not self.failed and (self._thread is None or self._thread.is_alive())

    def start(self) -> None:
        """Start the writing thread, once; in a process that was forked off later, anew."""
        with self._starting:
            if self._thread is None or not self._thread.is_alive():
                self._thread = threading.Thread(target=self._write, name="intake", daemon=True)
                self._thread.start()

    def close(self) -> None:
        """Keep what still waits, and end the thread."""
        if self._thread is not None:
            self._queue.put(None)
            self._thread.join()

    def counts(self) -> dict[str, int]:
        """Return how many replies came on each day."""
        with told(self.path), closing(opened(self.path, FORM, create=False, write=False)) as connection:
            return dict(
                connection.execute(
                    "SELECT received, count(*) FROM reply GROUP BY received ORDER BY received"
                ).fetchall()
            )

    def waiting_to_be_fetched(self) -> int:
        """Return how many replies nobody has said to have kept elsewhere."""
        with told(self.path), closing(opened(self.path, FORM, create=False, write=False)) as connection:
            count = connection.execute("SELECT count(*) FROM reply WHERE seq > ?", (_fetched(connection),))
            return int(count.fetchone()[0])

    def _write(self) -> None:
        connection: sqlite3.Connection | None = None
        going = True
        while going:
            batch = list(self._gathered())
            going = batch[-1] is not None
            asked = [one for one in batch if one is not None]
            if not asked:
                continue
            kept: Sequence[Kept] | None
            try:
                if connection is None:
                    connection = opened(self.path, FORM, create=False)
                with told(self.path):
                    kept = _add(connection, [one.sent for one in asked], self.most)
            except (StoreRefused, sqlite3.Error):
                kept = None
                if connection is not None:
                    connection.close()
                connection = None
            self.failed = kept is None
            _answer(asked, kept)
        if connection is not None:
            connection.close()

    def _gathered(self) -> Iterator[_Waiting | None]:
        """Yield what waits now, at least one; None, which is the last, ends the work."""
        one = self._queue.get()
        yield one
        for _ in range(MOST_TOGETHER):
            if one is None:
                return
            try:
                one = self._queue.get_nowait()
            except Empty:
                return
            yield one


def exported(path: Path, after: int, limit: int) -> tuple[str, list[Line]]:
    """Return the store's own mark, and its replies after a number, in order: a page of at most so many."""
    with told(path), closing(opened(path, FORM, create=False, write=False)) as connection:
        mark = str(connection.execute("SELECT value FROM setting WHERE name = 'store'").fetchone()[0])
        rows = connection.execute(
            "SELECT seq, received, document FROM reply WHERE seq > ? ORDER BY seq LIMIT ?", (after, limit)
        )
        lines, size = [], 0
        for row in rows:
            lines.append(Line(*row))
            size += len(row[2])
            if size > PAGE_BYTES:
                break
    return mark, lines


def fetched_until(path: Path, seq: int) -> None:
    """Note that all replies up to a number are kept elsewhere too. A number that no reply ever had says nothing."""
    with told(path), closing(opened(path, FORM, create=False)) as connection, transaction(connection):
        given = connection.execute("SELECT seq FROM sqlite_sequence WHERE name = 'reply'").fetchone()
        if given is not None and _fetched(connection) < seq <= given[0]:
            connection.execute(
                "INSERT INTO setting VALUES ('fetched', ?) ON CONFLICT DO UPDATE SET value = excluded.value",
                (str(seq),),
            )


def purge(path: Path, before: str) -> int:
    """Delete replies that came before a day and are kept elsewhere too; return how many. None other is deleted."""
    deleted = 0
    with told(path), closing(opened(path, FORM, create=False)) as connection:
        while True:
            # Few at a time, so that those who send wait for none of it.
            with transaction(connection):
                gone = connection.execute(
                    "DELETE FROM reply WHERE seq IN (SELECT seq FROM reply WHERE seq <= ? AND received < ? LIMIT ?)",
                    (_fetched(connection), before, MOST_DELETED),
                ).rowcount
            deleted += gone
            if gone < MOST_DELETED:
                break
        if deleted:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return deleted


def _fetched(connection: sqlite3.Connection) -> int:
    row = connection.execute("SELECT value FROM setting WHERE name = 'fetched'").fetchone()
    return 0 if row is None else int(row[0])


def _add(connection: sqlite3.Connection, replies: Sequence[Sent], most: int) -> list[Kept]:
    with transaction(connection):
        room = most - int(connection.execute(_HELD).fetchone()[0])
        kept = []
        for one in replies:
            outcome = _one(connection, one, room > 0)
            room -= outcome.outcome == "new"
            kept.append(outcome)
    return kept


def _one(connection: sqlite3.Connection, one: Sent, room: bool) -> Kept:
    if room and connection.execute(_ADD, (one.id, one.received, one.digest, one.document)).rowcount:
        return Kept("new", one.received)
    there = connection.execute("SELECT digest, received FROM reply WHERE id = ?", (one.id,)).fetchone()
    if there is None:
        return Kept("full", "")
    return Kept("again" if there[0] == one.digest else "other", there[1])


def _answer(asked: Sequence[_Waiting], kept: Sequence[Kept] | None) -> None:
    """Hand outcomes to those who wait, each loop waked once."""
    by_loop: dict[asyncio.AbstractEventLoop, list[tuple[asyncio.Future[Kept], Kept | None]]] = {}
    for number, one in enumerate(asked):
        by_loop.setdefault(one.loop, []).append((one.future, None if kept is None else kept[number]))
    for loop, answers in by_loop.items():
        if not loop.is_closed():
            loop.call_soon_threadsafe(_settle, answers)


def _settle(answers: Sequence[tuple[asyncio.Future[Kept], Kept | None]]) -> None:
    for future, kept in answers:
        if future.done():
            continue
        if kept is None:
            future.set_exception(NotKept())
        else:
            future.set_result(kept)
