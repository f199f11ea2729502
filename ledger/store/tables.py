"""Every table of the store, each a strict SQLite table with its own checks.

The record
  revision     one thing that happened to an entry; never changed, never removed; each names the hash before it
  words        the text of a revision and its salt; may be removed (erased), never changed
  erasure      why the words of an entry were erased
  entry        where each entry stands now; an entry's id is the seq of its first revision
  former_name  names an entry had before
  reference    which entry names which, and in which field
  edition      published states: number, fingerprint of the content, seq of the last revision in it

Derived, to be thrown away at will
  result       what a calculation, picks or a weighing gave, under the key of what went into it
  confidence   where the rivals of a question stand
  moment       where they stood after an earlier revision

`migrations/` builds the same tables step by step, with the triggers and views; a test holds the two together.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import REAL, CheckConstraint, Index, Integer, LargeBinary, Table, Text, UniqueConstraint
from sqlalchemy.orm import registry
from sqlmodel import Field, SQLModel

from ledger.entries.models import FOLDERS

ACTIONS = ("new", "revised", "withdrawn", "restored", "renamed", "erased")
STRICT = {"sqlite_strict": True}

_KIND = f"kind IN ({', '.join(repr(kind) for kind in FOLDERS)})"
_ACTION = f"action IN ({', '.join(repr(action) for action in ACTIONS)})"
_AT = (
    "at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9]Z' "
    "AND julianday(at) IS NOT NULL"
)


def _sha(column: str) -> str:
    return f"length({column}) = 64 AND {column} NOT GLOB '*[^0-9a-f]*'"


class StoreTable(SQLModel, registry=registry()):
    """What the tables share: metadata of their own, so that no other SQLModel class is ever created with them."""


class Revision(StoreTable, table=True):
    """One thing that happened to an entry. `digest` is of salt and text; an erasure has none."""

    __tablename__ = "revision"
    __table_args__ = (
        CheckConstraint(_KIND),
        CheckConstraint(_ACTION),
        CheckConstraint(_AT),
        CheckConstraint("entry <= seq AND (action = 'new') = (entry = seq)"),
        CheckConstraint("(action = 'erased') = (digest IS NULL)"),
        CheckConstraint(_sha("digest")),
        CheckConstraint(_sha("previous")),
        CheckConstraint(_sha("hash")),
        CheckConstraint("name <> ''"),
        Index("revisions_of_entry", "entry"),
        STRICT,
    )

    seq: int = Field(primary_key=True, sa_type=Integer)
    entry: int = Field(foreign_key="revision.seq", sa_type=Integer)
    kind: str = Field(sa_type=Text)
    name: str = Field(sa_type=Text)
    action: str = Field(sa_type=Text)
    at: str = Field(sa_type=Text)
    digest: str | None = Field(sa_type=Text)
    previous: str = Field(sa_type=Text)
    hash: str = Field(sa_type=Text)


class Words(StoreTable, table=True):
    """The text of a revision, apart from it, so that it can be erased while the chain still verifies."""

    __tablename__ = "words"
    __table_args__ = (CheckConstraint("length(salt) >= 32"), STRICT)

    seq: int = Field(primary_key=True, foreign_key="revision.seq", sa_type=Integer)
    salt: str = Field(sa_type=Text)
    text: str = Field(sa_type=Text)


class Erasure(StoreTable, table=True):
    """Why words were erased, under the revision that did it."""

    __tablename__ = "erasure"
    __table_args__ = (CheckConstraint("trim(reason) <> ''"), STRICT)

    seq: int = Field(primary_key=True, foreign_key="revision.seq", sa_type=Integer)
    reason: str = Field(sa_type=Text)


class EntryRow(StoreTable, table=True):
    """Where an entry stands now. An erased entry keeps its row and its name and nothing else."""

    __tablename__ = "entry"
    __table_args__ = (
        CheckConstraint(_KIND),
        CheckConstraint("name <> '' AND substr(ref, instr(ref, '/') + 1) = name"),
        CheckConstraint("front IS NULL OR json_valid(front)"),
        CheckConstraint("(front IS NULL) = (title IS NULL) AND (front IS NULL) = (body IS NULL)"),
        CheckConstraint("front IS NOT NULL OR withdrawn IS NULL"),
        UniqueConstraint("ref"),
        STRICT,
    )

    id: int = Field(primary_key=True, foreign_key="revision.seq", sa_type=Integer)
    ref: str = Field(sa_type=Text)
    kind: str = Field(sa_type=Text)
    name: str = Field(sa_type=Text)
    title: str | None = Field(sa_type=Text)
    withdrawn: str | None = Field(sa_type=Text)
    latest: int = Field(foreign_key="revision.seq", sa_type=Integer)
    front: str | None = Field(sa_type=Text)
    body: str | None = Field(sa_type=Text)


class FormerName(StoreTable, table=True):
    """A name an entry had before it was renamed; no other entry may take it."""

    __tablename__ = "former_name"
    __table_args__ = (CheckConstraint("instr(ref, '/') > 1"), STRICT)

    ref: str = Field(primary_key=True, sa_type=Text)
    entry: int = Field(foreign_key="entry.id", sa_type=Integer)


class Reference(StoreTable, table=True):
    """An entry names another in one of its fields."""

    __tablename__ = "reference"
    __table_args__ = (CheckConstraint("field <> ''"), Index("references_to", "target"), STRICT)

    entry: int = Field(primary_key=True, foreign_key="entry.id", sa_type=Integer)
    field: str = Field(primary_key=True, sa_type=Text)
    target: int = Field(primary_key=True, foreign_key="entry.id", sa_type=Integer)


class EditionRow(StoreTable, table=True):
    """One published state."""

    __tablename__ = "edition"
    __table_args__ = (
        CheckConstraint("number >= 1"),
        CheckConstraint(_sha("fingerprint")),
        UniqueConstraint("fingerprint"),
        STRICT,
    )

    number: int = Field(primary_key=True, sa_type=Integer)
    fingerprint: str = Field(sa_type=Text)
    seq: int = Field(foreign_key="revision.seq", sa_type=Integer)


class ResultRow(StoreTable, table=True):
    """What a calculation, picks or a weighing gave, under the key of everything that went into it."""

    __tablename__ = "result"
    __table_args__ = (CheckConstraint("key <> ''"), CheckConstraint("json_valid(summary)"), STRICT)

    ref: str = Field(primary_key=True, sa_type=Text)
    key: str = Field(sa_type=Text)
    summary: str = Field(sa_type=Text)
    draws: bytes = Field(sa_type=LargeBinary)


class ConfidenceRow(StoreTable, table=True):
    """Where a rival of a question stands; `place` is its rank, from 1."""

    __tablename__ = "confidence"
    __table_args__ = (
        CheckConstraint("prior BETWEEN 0 AND 1"),
        CheckConstraint("confidence BETWEEN 0 AND 1"),
        CheckConstraint("low BETWEEN 0 AND 1 AND high BETWEEN low AND 1"),
        CheckConstraint("(low IS NULL) = (high IS NULL)"),
        CheckConstraint("place >= 1"),
        UniqueConstraint("question", "place"),
        STRICT,
    )

    question: str = Field(primary_key=True, sa_type=Text)
    rival: str = Field(primary_key=True, sa_type=Text)
    prior: float = Field(sa_type=REAL)
    confidence: float = Field(sa_type=REAL)
    low: float | None = Field(sa_type=REAL)
    high: float | None = Field(sa_type=REAL)
    place: int = Field(sa_type=Integer)


class MomentRow(StoreTable, table=True):
    """Where the rivals of all questions stood after a revision, under the key of everything that went into it."""

    __tablename__ = "moment"
    __table_args__ = (CheckConstraint("key <> ''"), CheckConstraint("json_valid(confidences)"), STRICT)

    seq: int = Field(primary_key=True, foreign_key="revision.seq", sa_type=Integer)
    key: str = Field(sa_type=Text)
    confidences: str = Field(sa_type=Text)


def table(model: type[StoreTable]) -> Table:
    """Return the SQLAlchemy table behind a class, for statements that need no objects."""
    found: Any = model.__table__  # type: ignore[attr-defined]  # SQLModel sets it when the class is made
    assert isinstance(found, Table)
    return found


REVISION, WORDS, ENTRY, ERASURE = table(Revision), table(Words), table(EntryRow), table(Erasure)
FORMER_NAME, REFERENCE, EDITION = table(FormerName), table(Reference), table(EditionRow)
RESULT, CONFIDENCE, MOMENT = table(ResultRow), table(ConfidenceRow), table(MomentRow)
