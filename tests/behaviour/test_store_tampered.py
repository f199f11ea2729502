"""What was tampered with is not built upon, every problem says what to do, and derived tables can be made anew."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from ledger.errors import StoreDamaged
from ledger.store.deriving import rebuild
from ledger.store.engine import Store, open_store
from ledger.store.erasing import erase
from ledger.store.export import export
from ledger.store.past import REBUILD, RESTORE
from ledger.store.posting import post
from ledger.store.verifying import verify
from tests.behaviour.test_store_verifying import tamper
from tests.ledger_files import SMALL, put, taken

AT = "2031-05-17T09:00:00Z"
# One row of `entry` for each entry; these are of evidence/sleeve-groove, and of evidence/whistle, renamed from hiss.
DERIVED = [
    "UPDATE entry SET title = 'Other' WHERE id = 2",
    "UPDATE entry SET front = json_set(front, '$.bearing.drum', 0.1) WHERE ref = 'evidence/sleeve-groove'",
    "UPDATE entry SET body = 'Other' WHERE id = 2",
    "UPDATE entry SET withdrawn = 'gone' WHERE id = 2",
    "UPDATE entry SET latest = 3 WHERE id = 2",
    "DELETE FROM entry WHERE ref = 'replies/reader-one'",
    "UPDATE former_name SET ref = 'evidence/hush'",
    "INSERT INTO entry SELECT 14, 'evidence/y', kind, 'y', title, NULL, 2, front, body FROM entry WHERE id = 2",
]
REFERENCES = [
    "DELETE FROM reference WHERE field = 'source'",
    "INSERT INTO reference VALUES (2, 'source', 3)",
    "INSERT INTO reference VALUES (2, 'source', 99)",
]
RECORD = [
    "UPDATE words SET text = text || '!' WHERE seq = 2",
    "UPDATE revision SET digest = hash WHERE seq = 2",
    "UPDATE revision SET hash = previous WHERE seq = 2",
    "UPDATE revision SET at = '2030-01-01T00:00:00Z' WHERE seq = 13",
    "DELETE FROM words WHERE seq = 2",
]

OTHERS = ["DROP VIEW notes", "UPDATE revision SET seq = 99 WHERE seq = 13"]


@pytest.fixture
def entries(tmp_path: Path) -> Path:
    return put(tmp_path / "entries", SMALL)


@pytest.fixture
def store(tmp_path: Path, entries: Path) -> Store:
    """A store with a rename and an erasure in its past."""
    store = open_store(tmp_path / "witness.sqlite")
    put(entries, {"replies/reader-two": SMALL["replies/reader-one"]})
    post(store, entries, AT)
    erase(store, "replies/reader-two", AT)
    (entries / "replies/reader-two.md").unlink()
    put(entries, {"evidence/whistle": SMALL["evidence/hiss"].replace("title:", "formerly: hiss\ntitle:")})
    (entries / "evidence/hiss.md").unlink()
    post(store, entries, AT)
    return store


def rows(store: Store) -> list[object]:
    with closing(sqlite3.connect(store.path)) as connection:
        names = ("revision", "words", "entry", "former_name", "reference")
        return [connection.execute(f"SELECT * FROM {name} ORDER BY 1, 2, 3").fetchall() for name in names[:3]] + [
            connection.execute(f"SELECT * FROM {name} ORDER BY 1, 2").fetchall() for name in names[3:]
        ]


@pytest.mark.parametrize("statement", [*DERIVED, *RECORD])
def test_nothing_is_posted_upon_what_does_not_verify(store: Store, entries: Path, statement: str) -> None:
    """When something changed, the record it is held against is verified first; the refusal says what to do."""
    tamper(store, statement)
    before = store.path.read_bytes()
    put(entries, {"evidence/whistle": (entries / "evidence/whistle.md").read_text() + "Louder.\n"})
    with pytest.raises(StoreDamaged, match="Nothing was posted") as refused:
        post(store, entries, AT)
    assert store.path.read_bytes() == before
    assert (REBUILD if statement in DERIVED else RESTORE) in str(refused.value)


@pytest.mark.parametrize("statement", RECORD)
def test_nothing_is_written_out_of_what_does_not_verify(store: Store, entries: Path, statement: str) -> None:
    """Files and history beside a damaged ledger are what it is made anew from, and so they are left alone."""
    export(store, entries)
    before = taken(entries)
    tamper(store, statement)
    with pytest.raises(StoreDamaged, match="Nothing was written"):
        export(store, entries)
    assert taken(entries) == before
    store.path.unlink()
    post(open_store(store.path), entries, AT)
    assert verify(open_store(store.path)).sound


@pytest.mark.parametrize("statement", DERIVED)
def test_what_is_written_out_is_told_by_the_revisions(store: Store, entries: Path, statement: str) -> None:
    """Tables that only follow from the record may be wrong: files and names are taken from the record itself."""
    export(store, entries)
    before = taken(entries)
    tamper(store, statement)
    export(store, entries)
    assert taken(entries) == before


@pytest.mark.parametrize("statement", [*DERIVED, *REFERENCES, *RECORD, *OTHERS])
def test_every_problem_says_what_to_do(store: Store, statement: str) -> None:
    """What follows from the record is rebuilt from it; what is the record itself is restored."""
    tamper(store, statement)
    found = verify(store).problems
    assert found
    assert all(problem.remedy and problem.remedy in str(problem) for problem in found)
    if statement in DERIVED + REFERENCES:
        assert {problem.remedy for problem in found} == {REBUILD}


@pytest.mark.parametrize("statement", [*DERIVED, *REFERENCES])
def test_derived_tables_are_rebuilt_from_the_revisions(store: Store, entries: Path, statement: str) -> None:
    """After rebuilding every row is as it was, and posting goes on."""
    before = rows(store)
    tamper(store, statement)
    assert rows(store) != before
    assert rebuild(store) == len(SMALL)
    assert rows(store) == before
    assert verify(store).sound
    put(entries, {"evidence/whistle": (entries / "evidence/whistle.md").read_text() + "Louder.\n"})
    assert post(store, entries, AT).revised == ("evidence/whistle",)


def test_rebuilding_what_is_sound_changes_nothing(store: Store) -> None:
    """Not a byte of a sound store."""
    before = store.path.read_bytes()
    rebuild(store)
    assert store.path.read_bytes() == before


@pytest.mark.parametrize("statement", RECORD)
def test_nothing_is_rebuilt_from_what_does_not_verify(store: Store, statement: str) -> None:
    """A record that was changed is no ground; nothing changes and a copy is asked for."""
    tamper(store, statement, DERIVED[0])
    before = store.path.read_bytes()
    with pytest.raises(StoreDamaged, match="Nothing was rebuilt"):
        rebuild(store)
    assert store.path.read_bytes() == before
