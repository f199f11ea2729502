"""Ledgers that earlier programs wrote open, keep every word, and are left alone where they cannot be brought up."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from pydantic import model_validator

from ledger.casebook import opening
from ledger.casebook.opening import STORE
from ledger.entries.models import MODELS, Source
from ledger.errors import FaultsFound, StoreDamaged
from ledger.quantities.notation import NotationError
from ledger.store.derived import edition
from ledger.store.engine import open_store
from ledger.store.export import export
from ledger.store.migrating import Step, steps
from ledger.store.posting import post
from ledger.store.records import current, history
from ledger.store.verifying import verify
from tests.ledger_files import SMALL, put, taken
from tests.old_ledgers.keep import RENAMED, REVISED, WITHDRAWN, build, live
from tests.states import head

VERSIONS = range(1, len(steps()) + 1)
FAIL = Step(len(steps()) + 1, "fail.sql", "CREATE TABLE grown (id INTEGER) STRICT;\nINSERT INTO no VALUES (1);")
GONE = ("replies/reader-one", "measurements/hub-width")
STANDING = {ref: text for ref, text in SMALL.items() if ref not in GONE} | {
    "sources/letter": REVISED,
    "evidence/hiss": WITHDRAWN,
    "measurements/hub-wide": RENAMED,
}


def version_of(path: Path) -> int:
    with closing(sqlite3.connect(path)) as connection:
        return int(connection.execute("PRAGMA user_version").fetchone()[0])


def last_hash(path: Path) -> str:
    """Return the head as plain SQL reads it."""
    with closing(sqlite3.connect(path)) as connection:
        return str(connection.execute("SELECT hash FROM revision ORDER BY seq DESC LIMIT 1").fetchone()[0])


@pytest.fixture(params=VERSIONS)
def old(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A ledger file of a version."""
    build(request.param, tmp_path / "witness.sqlite")
    assert version_of(tmp_path / "witness.sqlite") == request.param
    return tmp_path / "witness.sqlite"


def test_an_old_ledger_opens_with_every_word(old: Path, tmp_path: Path) -> None:
    """It verifies at the newest version with the head it had, says what was posted, and goes on growing."""
    had, before = version_of(old), last_hash(old)
    store = open_store(old)
    assert version_of(old) == len(steps())
    assert verify(store).problems == ()
    assert head(store) == before
    assert {ref: record.text for ref, record in current(store).items()} == STANDING
    assert [link.action for link in history(store, "replies/reader-one")] == ["new", "erased"]
    assert (store.copy is None) == (had == len(steps()))
    if store.copy is not None:
        assert (version_of(store.copy), last_hash(store.copy)) == (had, before)
    assert edition(store) == 2
    entries = tmp_path / "entries"
    export(store, entries)
    assert {name for name in taken(entries) if name != "history.jsonl"} == {f"{ref}.md" for ref in STANDING}
    put(entries, {"sources/letter": SMALL["sources/letter"]})
    assert post(store, entries, "2031-06-01T09:00:00Z").revised == ("sources/letter",)
    assert verify(store).problems == ()


def test_a_migration_that_fails_leaves_the_old_file(old: Path) -> None:
    """Steps that went well before the failing one are undone with it: every byte is as it was, and this is said."""
    before, had = old.read_bytes(), version_of(old)
    with pytest.raises(StoreDamaged, match=rf"(?s)fail\.sql.*still of version {had}\. A copy"):
        open_store(old, known=(*steps(), FAIL))
    assert old.read_bytes() == before
    assert verify(open_store(old)).problems == ()


def test_the_present_schema_is_kept_as_this_program_writes_it(tmp_path: Path) -> None:
    """The kept ledger of the newest version has the tables, and the chain, of one that is made now."""
    build(len(steps()), tmp_path / "kept.sqlite")
    assert last_hash(tmp_path / "kept.sqlite") == last_hash(live(tmp_path))
    ask = "SELECT type, name, sql FROM sqlite_master ORDER BY 1, 2"
    with (
        closing(sqlite3.connect(tmp_path / "kept.sqlite")) as kept,
        closing(sqlite3.connect(tmp_path / "witness.sqlite")) as made,
    ):
        assert kept.execute(ask).fetchall() == made.execute(ask).fetchall()


def test_words_that_are_no_entry_any_more_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a later program is stricter, each entry it cannot take is named with what to mend in it."""

    class Stricter(Source):
        @model_validator(mode="after")
        def dated(self) -> Stricter:
            raise NotationError(self.title, "a longer title", "Write more.")

    put(tmp_path / "entries", SMALL)
    post(open_store(tmp_path / STORE), tmp_path / "entries", "2031-05-17T09:00:00Z")
    monkeypatch.setattr(opening, "MODELS", {**MODELS, "source": Stricter})
    with pytest.raises(FaultsFound) as found:
        opening.open_casebook(tmp_path)
    assert {fault.file for fault in found.value.faults} == {f"entries/{ref}.md" for ref in SMALL if "sources/" in ref}
    assert {fault.remedy for fault in found.value.faults} == {"Write more."}
    monkeypatch.undo()
    assert opening.open_casebook(tmp_path).entries.keys() == SMALL.keys()
