"""The received replies of an investigation: a store beside the ledger, so that nothing unasked enters the record.

Each reply stands in it once, with everything that was decided on it. What a person asked to have forgotten leaves its
id and digest, so that a copy which comes in again is known and not taken.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, get_args

from ledger.errors import NotInLedger
from ledger.replies.database import Form, opened, told, transaction
from ledger.replies.document import ReplyDocument, canonical, digest, same_words

STORE = "replies.sqlite"
State = Literal["new", "asked", "accepted", "declined", "forgotten"]
STATES: tuple[State, ...] = get_args(State)
OPEN: tuple[State, ...] = ("new", "asked")
FORM = Form(
    "a store of received replies",
    0x57524356,
    (
        (
            """CREATE TABLE received (
                seq INTEGER PRIMARY KEY AUTOINCREMENT,
                id TEXT NOT NULL UNIQUE,
                day TEXT NOT NULL CHECK (day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
                digest TEXT NOT NULL CHECK (length(digest) = 64),
                words TEXT,
                document TEXT CHECK (document IS NULL OR json_valid(document)),
                CHECK ((words IS NULL) = (document IS NULL))
            ) STRICT""",
            "CREATE INDEX received_words ON received (words)",
            """CREATE TABLE decision (
                seq INTEGER PRIMARY KEY AUTOINCREMENT,
                id TEXT NOT NULL REFERENCES received (id),
                at TEXT NOT NULL,
                state TEXT NOT NULL CHECK (state IN ('asked', 'accepted', 'declined', 'forgotten')),
                reason TEXT NOT NULL,
                entries TEXT NOT NULL CHECK (json_valid(entries))
            ) STRICT""",
            "CREATE INDEX decisions_on ON decision (id, seq)",
            "CREATE TABLE fetched (store TEXT NOT NULL PRIMARY KEY, after INTEGER NOT NULL) STRICT",
            "CREATE TABLE setting (name TEXT NOT NULL PRIMARY KEY, value TEXT NOT NULL) STRICT",
            """CREATE VIEW reply AS
            SELECT received.seq, received.id, received.day, coalesce(decision.state, 'new') AS state,
                decision.at AS decided, coalesce(decision.reason, '') AS reason,
                coalesce(decision.entries, '[]') AS entries, received.document,
                (SELECT min(other.seq) FROM received AS other
                    WHERE other.words = received.words AND other.seq < received.seq) AS repeats
            FROM received LEFT JOIN decision ON decision.seq
                = (SELECT max(last.seq) FROM decision AS last WHERE last.id = received.id)""",
        ),
    ),
)
_LIST = """
SELECT reply.seq, reply.id, reply.day, reply.state, reply.document ->> '$.stance', reply.document ->> '$.about',
    reply.document ->> '$.name', substr(reply.document ->> '$.text', 1, 200), earlier.id
FROM reply LEFT JOIN received AS earlier ON earlier.seq = reply.repeats ORDER BY reply.seq
"""


@dataclass(frozen=True)
class Incoming:
    """A reply that came in: `day` is when it was surely there, `place` says where it was found."""

    document: ReplyDocument
    day: str
    place: str


@dataclass(frozen=True)
class Taken:
    """What became of replies that came in, as their ids.

    new      taken
    repeats  of these, those that say the same words as an earlier one under another id
    again    there already, word by word
    other    there already under this id with other words: the first ones stay; `aside` says where each was found
    gone     forgotten on request before
    """

    new: tuple[str, ...] = ()
    repeats: tuple[str, ...] = ()
    again: tuple[str, ...] = ()
    other: tuple[str, ...] = ()
    aside: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()


@dataclass(frozen=True)
class Row:
    """A received reply in a list; `start` is how its text begins, `repeats` the id of an earlier one that says it."""

    seq: int
    id: str
    day: str
    state: State
    stance: str | None
    about: str | None
    name: str | None
    start: str | None
    repeats: str | None


@dataclass(frozen=True)
class Reply:
    """A received reply whole; `document` is None where it was forgotten. `entries`: the refs it was accepted as."""

    id: str
    day: str
    state: State
    decided: str | None
    reason: str
    entries: tuple[str, ...]
    document: ReplyDocument | None


class Received:
    """An opened store of received replies."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._connection = connection

    @contextmanager
    def writing(self) -> Iterator[None]:
        """One transaction."""
        with told(self.path), transaction(self._connection):
            yield

    def take(self, incoming: Iterable[Incoming], fetched: tuple[str, int] | None = None) -> Taken:
        """Take replies in, each once; all of them or, on an error, none.

        fetched  the mark of an intake's store and the number up to which it was read, to be remembered with them
        """
        found: dict[str, list[str]] = {name: [] for name in ("new", "repeats", "again", "other", "aside", "gone")}
        with self.writing():
            for one in incoming:
                for outcome in self._take(one):
                    found[outcome].append(one.document.id)
                    found["aside"] += [one.place] * (outcome == "other")
            if fetched is not None:
                self._connection.execute(
                    "INSERT INTO fetched VALUES (?, ?) ON CONFLICT DO UPDATE SET after = max(after, excluded.after)",
                    fetched,
                )
        return Taken(**{name: tuple(ids) for name, ids in found.items()})

    def _take(self, one: Incoming) -> Iterator[str]:
        document, words = one.document, same_words(one.document)
        there = self._ask("SELECT digest, document IS NULL FROM received WHERE id = ?", document.id)
        if there:
            yield "gone" if there[0][1] else "again" if there[0][0] == digest(document) else "other"
            return
        if self._ask("SELECT 1 FROM received WHERE words = ? LIMIT 1", words):
            yield "repeats"
        self._connection.execute(
            "INSERT INTO received (id, day, digest, words, document) VALUES (?, ?, ?, ?, ?)",
            (document.id, one.day, digest(document), words, canonical(document)),
        )
        yield "new"

    def listed(self) -> list[Row]:
        """Return all received replies in the order they came."""
        return [Row(*row) for row in self._ask(_LIST)]

    def find(self, start: str) -> Reply:
        """Return the reply whose id begins so. NotInLedger where there is none, or more than one."""
        if not start.strip("-"):
            raise NotInLedger("Give an id, or how it begins: `witness replies` lists them.")
        rows = self._ask(
            "SELECT id, day, state, decided, reason, entries, document FROM reply "
            "WHERE substr(id, 1, ?) = ? ORDER BY seq LIMIT 9",
            len(start),
            start.lower(),
        )
        if not rows:
            raise NotInLedger(f"There is no received reply `{start}`. `witness replies --all` lists them.")
        if len(rows) > 1:
            raise NotInLedger(
                f"`{start}` begins several ids: {', '.join(row[0] for row in rows[:8])}. Write more of it."
            )
        (name, day, state, decided, reason, entries, text) = rows[0]
        document = None if text is None else ReplyDocument.model_validate_json(text)
        return Reply(name, day, state, decided, reason, tuple(json.loads(entries)), document)

    def decide(self, reply: str, state: State, at: str, reason: str = "", entries: Sequence[str] = ()) -> None:
        """Write a decision on a reply, inside `writing`."""
        self._connection.execute(
            "INSERT INTO decision (id, at, state, reason, entries) VALUES (?, ?, ?, ?, ?)",
            (reply, at, state, reason, json.dumps(list(entries))),
        )

    def undo(self, reply: str) -> None:
        """Take the last decision on a reply back, inside `writing`."""
        self._connection.execute(
            "DELETE FROM decision WHERE seq = (SELECT max(seq) FROM decision WHERE id = ?)", (reply,)
        )

    def forget(self, reply: str, at: str, reason: str) -> None:
        """Take a reply's words away; its id and digest stay, and what was decided, without the reasons."""
        with self.writing():
            self._connection.execute("UPDATE received SET document = NULL, words = NULL WHERE id = ?", (reply,))
            self._connection.execute("UPDATE decision SET reason = '' WHERE id = ?", (reply,))
            self.decide(reply, "forgotten", at, reason)
        with told(self.path):
            self._connection.execute("VACUUM")
            self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")

    def accepted(self) -> dict[str, tuple[str, ...]]:
        """Return by id the refs that replies were accepted as."""
        rows = self._ask("SELECT id, entries FROM reply WHERE state = 'accepted' ORDER BY seq")
        return {name: tuple(json.loads(entries)) for name, entries in rows}

    def after(self, store: str) -> int:
        """Return up to which number an intake's store was read."""
        rows = self._ask("SELECT after FROM fetched WHERE store = ?", store)
        return int(rows[0][0]) if rows else 0

    def setting(self, name: str) -> str | None:
        """Return what was remembered under a name."""
        rows = self._ask("SELECT value FROM setting WHERE name = ?", name)
        return str(rows[0][0]) if rows else None

    def remember(self, name: str, value: str) -> None:
        """Remember a value under a name."""
        with self.writing():
            self._connection.execute(
                "INSERT INTO setting VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value", (name, value)
            )

    def _ask(self, question: str, *values: str | int) -> list[tuple[Any, ...]]:
        with told(self.path):
            return self._connection.execute(question, values).fetchall()


@contextmanager
def received(root: Path) -> Iterator[Received]:
    """Open the received replies of an investigation; the store is made when first asked for."""
    path = root / STORE
    with closing(opened(path, FORM, create=True)) as connection:
        connection.execute("PRAGMA foreign_keys = ON")
        yield Received(path, connection)
