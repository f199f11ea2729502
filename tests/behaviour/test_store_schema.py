"""The tables that migrations build and the tables the classes declare are the same, and they defend themselves."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine

from ledger.store.engine import open_store
from ledger.store.migrating import statements, steps
from ledger.store.tables import StoreTable

ZEROS, ONES = "0" * 64, "1" * 64
REVISION = "INSERT INTO revision VALUES (?, ?, 'source', 'shed', ?, '2031-05-17T09:00:00Z', ?, ?, ?)"


def checks(sql: str) -> list[str]:
    """Return the CHECK expressions of a CREATE TABLE, with single spaces, in order of text."""
    found = []
    for match in re.finditer(r"\bCHECK\s*\(", sql):
        depth, quoted, end = 1, False, match.end()
        while depth:
            sign = sql[end]
            quoted ^= sign == "'"
            depth += 0 if quoted else (sign == "(") - (sign == ")")
            end += 1
        found.append(" ".join(sql[match.end() : end - 1].split()))
    return sorted(found)


def schema(connection: sqlite3.Connection) -> dict[str, Any]:
    """Return all that can be asked about the tables of a database."""
    tables = {row[1]: row for row in connection.execute("PRAGMA table_list") if row[0] == "main" and row[2] == "table"}
    described = {}
    for name, row in tables.items():
        if name.startswith("sqlite_"):
            continue
        (sql,) = connection.execute("SELECT sql FROM sqlite_master WHERE name = ?", (name,)).fetchone()
        indexes = []
        for _, index, unique, origin, partial in connection.execute(f"PRAGMA index_list({name})"):
            columns = tuple(row[2] for row in connection.execute(f"PRAGMA index_info('{index}')"))
            indexes.append((index if origin == "c" else "", unique, origin, partial, columns))
        described[name] = {
            "without rowid, strict": row[4:6],
            "columns": connection.execute(f"PRAGMA table_xinfo({name})").fetchall(),
            "foreign keys": sorted(row[2:] for row in connection.execute(f"PRAGMA foreign_key_list({name})")),
            "indexes": sorted(indexes),
            "checks": checks(sql),
        }
    return described


def migrated(change: tuple[str, str] | None = None) -> dict[str, Any]:
    """Return the schema the migrations reach, with one piece of their SQL replaced if asked."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    replaced = 0
    for step in steps():
        replaced += step.sql.count(change[0]) if change else 0
        for statement in statements(step.sql.replace(*change) if change else step.sql):
            connection.execute(statement)
    assert not change or replaced, f"{change[0]} is nowhere in the migrations"
    return schema(connection)


def declared() -> dict[str, Any]:
    """Return the schema the classes declare."""
    engine = create_engine("sqlite://")
    with engine.connect() as connection:
        StoreTable.metadata.create_all(connection)
        return schema(connection.connection.driver_connection)


def test_migrations_reach_what_the_classes_declare() -> None:
    """Columns, types, keys, foreign keys, uniques, checks, indexes and strictness are equal both ways."""
    assert migrated() == declared()


@pytest.mark.parametrize(
    "change",
    [
        ("digest TEXT,", "digest TEXT NOT NULL,"),
        ("place INTEGER NOT NULL", "place REAL NOT NULL"),
        (") STRICT;", ");"),
        ("CHECK (place >= 1)", "CHECK (place >= 0)"),
        ("FOREIGN KEY (target) REFERENCES entry (id)", "FOREIGN KEY (target) REFERENCES revision (seq)"),
        ("UNIQUE (fingerprint),", ""),
        ("PRIMARY KEY (entry, field, target)", "PRIMARY KEY (entry, target)"),
        ("CREATE INDEX references_to ON reference (target);", ""),
        ("'lookout', ", ""),
        ("salt TEXT NOT NULL,", "salt TEXT NOT NULL, pepper TEXT,"),
    ],
)
def test_a_planted_difference_is_seen(change: tuple[str, str]) -> None:
    """The comparison refuses a difference of any kind it claims to compare."""
    assert migrated(change) != declared()


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    """A new store with two revisions, opened as the sqlite3 shell does: no pragmas of ours."""
    store = open_store(tmp_path / "witness.sqlite")
    connection = sqlite3.connect(store.path, isolation_level=None)
    connection.execute(REVISION, (1, 1, "new", ONES, ZEROS, ONES))
    connection.execute(REVISION, (2, 1, "revised", ONES, ONES, ZEROS))
    connection.execute("INSERT INTO words VALUES (1, ?, 'text')", (ONES,))
    connection.execute("INSERT INTO entry VALUES (1, 'sources/shed', 'source', 'shed', 'The shed', NULL, 2, '{}', '')")
    connection.execute("INSERT INTO edition VALUES (1, ?, 2)", (ONES,))
    yield connection
    connection.close()


@pytest.mark.parametrize(
    "tampering",
    [
        "UPDATE revision SET name = 'barn' WHERE seq = 1",
        "UPDATE OR REPLACE revision SET seq = 2 WHERE seq = 1",
        "DELETE FROM revision WHERE seq = 2",
        "DELETE FROM revision",
        f"REPLACE INTO revision SELECT 2, 1, kind, 'barn', action, at, digest, '{ONES}', hash FROM revision LIMIT 1",
        f"REPLACE INTO revision SELECT 1, 1, kind, 'barn', action, at, digest, '{ZEROS}', hash FROM revision LIMIT 1",
        f"INSERT INTO revision SELECT 4, 1, kind, name, action, at, digest, '{ZEROS}', hash FROM revision LIMIT 1",
        f"INSERT INTO revision SELECT 3, 1, kind, name, action, at, digest, '{ONES}', hash FROM revision LIMIT 1",
        "UPDATE words SET text = 'other'",
        "REPLACE INTO words SELECT seq, salt, 'other' FROM words",
        "UPDATE edition SET seq = 1",
        "DELETE FROM edition",
        f"REPLACE INTO edition VALUES (1, '{ZEROS}', 2)",
        f"REPLACE INTO edition VALUES (2, '{ONES}', 2)",
        f"INSERT INTO edition VALUES (3, '{ZEROS}', 2)",
    ],
)
def test_the_record_only_grows(bare: sqlite3.Connection, tampering: str) -> None:
    """No statement of a bare SQLite program changes, replaces, removes or skips a revision, its words or an edition."""
    before = list(bare.iterdump())
    with pytest.raises(sqlite3.IntegrityError, match=r"revision|words|edition"):
        bare.execute(tampering)
    assert list(bare.iterdump()) == before


def test_a_revision_in_its_place_is_taken(bare: sqlite3.Connection) -> None:
    """The triggers refuse only what breaks the chain."""
    bare.execute(REVISION, (3, 1, "erased", None, ZEROS, ONES))
    bare.execute("DELETE FROM words WHERE seq = 1")
    assert bare.execute("SELECT count(*) FROM revision").fetchone() == (3,)


@pytest.mark.parametrize(
    ("table", "row"),
    [
        ("revision", (3, 1, "source", "shed", "vanished", "2031-05-17T09:00:00Z", ONES, ZEROS, ONES)),
        ("revision", (3, 1, "sauce", "shed", "revised", "2031-05-17T09:00:00Z", ONES, ZEROS, ONES)),
        ("revision", (3, 1, "source", "shed", "revised", "2031-05-17 09:00", ONES, ZEROS, ONES)),
        ("revision", (3, 1, "source", "shed", "revised", "2031-15-17T09:00:00Z", ONES, ZEROS, ONES)),
        ("revision", (3, 1, "source", "shed", "new", "2031-05-17T09:00:00Z", ONES, ZEROS, ONES)),
        ("revision", (3, 1, "source", "shed", "revised", "2031-05-17T09:00:00Z", "short", ZEROS, ONES)),
        ("revision", (3, 1, "source", "shed", "revised", "2031-05-17T09:00:00Z", None, ZEROS, ONES)),
        ("revision", (3, 1, "source", "", "revised", "2031-05-17T09:00:00Z", ONES, ZEROS, ONES)),
        ("revision", (3, 1, "source", b"shed", "revised", "2031-05-17T09:00:00Z", ONES, ZEROS, ONES)),
        ("words", (2, "short", "text")),
        ("words", (9, ONES, "text")),
        ("entry", (2, "sources/barn", "source", "shed", "The barn", None, 2, "{}", "")),
        ("entry", (2, "sources/barn", "source", "barn", "The barn", None, 2, "no json", "")),
        ("entry", (2, "sources/barn", "source", "barn", "The barn", None, 2, None, "")),
        ("entry", (2, "sources/shed", "source", "shed", "The barn", None, 2, "{}", "")),
        ("entry", (2, "sources/barn", "source", "barn", None, "gone", 2, None, None)),
        ("former_name", ("sources/hut", 9)),
        ("former_name", ("hut", 1)),
        ("reference", (1, "", 1)),
        ("reference", (1, "source", 9)),
        ("result", ("calculations/drum", "", "{}", b"")),
        ("result", ("calculations/drum", "k", "no json", b"")),
        ("result", ("calculations/drum", "k", "{}", "text")),
        ("confidence", ("questions/forks", "hypotheses/drum", 0.5, 1.5, 0.1, 0.9, 1)),
        ("confidence", ("questions/forks", "hypotheses/drum", 0.5, float("nan"), 0.1, 0.9, 1)),
        ("confidence", ("questions/forks", "hypotheses/drum", 0.5, 0.5, 0.9, 0.1, 1)),
        ("confidence", ("questions/forks", "hypotheses/drum", 0.5, 0.5, 0.1, 0.9, 0)),
    ],
)
def test_a_table_refuses_what_makes_no_sense(bare: sqlite3.Connection, table: str, row: tuple[Any, ...]) -> None:
    """Checks, strict types and foreign keys hold without help from the program above."""
    bare.execute("PRAGMA foreign_keys = ON")
    with pytest.raises(sqlite3.IntegrityError):
        bare.execute(f"INSERT INTO {table} VALUES ({', '.join('?' * len(row))})", row)
