"""Verifying finds every kind of tampering, and erasing leaves no words behind and nothing to find."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from ledger.errors import FaultsFound, NotInLedger, StoreBusy
from ledger.store.chain import link_hash
from ledger.store.derived import (
    Cached,
    Confidence,
    cached_results,
    confidences,
    edition,
    put_results,
    replace_confidences,
)
from ledger.store.engine import Store, open_store
from ledger.store.erasing import erase
from ledger.store.posting import post
from ledger.store.records import current, history
from ledger.store.verifying import verify
from tests.ledger_files import SMALL, put

AT = "2031-05-17T09:00:00Z"
SECRET = b"I saw a chain with my own eyes"


@pytest.fixture
def entries(tmp_path: Path) -> Path:
    return put(tmp_path / "entries", SMALL)


@pytest.fixture
def store(tmp_path: Path, entries: Path) -> Store:
    """A store with a rename, a withdrawal, an erasure and an edition in its past."""
    store = open_store(tmp_path / "witness.sqlite")
    put(entries, {"replies/reader-two": SMALL["replies/reader-one"]})
    post(store, entries, AT)
    erase(store, "replies/reader-two", AT)
    (entries / "replies/reader-two.md").unlink()
    text = SMALL["evidence/hiss"].replace("title:", "formerly: hiss\nwithdrawn: A kettle.\ntitle:")
    put(entries, {"evidence/whistle": text})
    (entries / "evidence/hiss.md").unlink()
    post(store, entries, AT)
    edition(store)
    return store


def tamper(store: Store, *statements: str) -> None:
    """Change rows as someone would who knows SQLite: take the triggers away, change, put them back."""
    with closing(sqlite3.connect(store.path, isolation_level=None)) as connection:
        triggers = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            connection.execute(statement)
        for _, sql in triggers:
            connection.execute(sql)


def problems(store: Store) -> str:
    return "\n".join(f"{' '.join(problem.about)}: {problem.message}" for problem in verify(store).problems)


def test_an_honest_store_verifies(store: Store) -> None:
    """Renames, withdrawals, erasures and editions are no problems; erased revisions are counted."""
    verified = verify(store)
    assert verified.problems == ()
    assert verified.sound
    assert (verified.revisions, verified.erased) == (14, 1)


@pytest.mark.parametrize(
    ("statement", "finding"),
    [
        ("UPDATE words SET text = text || '!' WHERE seq = 2", "words of revision 2 were changed"),
        ("UPDATE words SET salt = salt || '0' WHERE seq = 2", "words of revision 2 were changed"),
        ("UPDATE revision SET name = 'other' WHERE seq = 2", "revision 2 was changed"),
        ("UPDATE revision SET at = '2030-01-01T00:00:00Z' WHERE seq = 2", "revision 2 was changed"),
        ("UPDATE revision SET digest = hash WHERE seq = 2", "revision 2 was changed"),
        ("UPDATE revision SET hash = previous WHERE seq = 2", "revision 3 does not name the hash"),
        ("DELETE FROM revision WHERE seq = 2", "revision 3 stands where revision 2 belongs"),
        ("DELETE FROM words WHERE seq = 2", "words of revision 2 are gone, though"),
        ("INSERT INTO words SELECT 9, salt, text FROM words WHERE seq = 8", "revision 9 are there, though"),
        ("UPDATE entry SET title = 'Other' WHERE id = 2", "latest revision says (title)"),
        ("UPDATE entry SET front = '{}' WHERE id = 2", "latest revision says (front)"),
        ("UPDATE entry SET body = 'Other' WHERE id = 2", "latest revision says (body)"),
        ("UPDATE entry SET withdrawn = NULL", "latest revision says (withdrawn)"),
        ("UPDATE entry SET latest = 3 WHERE id = 2", "latest revision says (latest)"),
        ("DELETE FROM entry WHERE id = 8", "latest revision says (id"),
        ("INSERT INTO entry SELECT 14, 'evidence/y', kind, 'y', title, NULL, 2, front, body FROM entry WHERE id = 2",
         "the entry has no revision"),
        ("DELETE FROM reference WHERE field = 'source' AND entry = 2", "references are not those"),
        ("INSERT INTO reference VALUES (2, 'source', 3)", "references are not those"),
        ("UPDATE former_name SET ref = 'evidence/hush'", "former name is not what"),
        ("UPDATE former_name SET entry = 2", "former name is not what"),
        ("UPDATE edition SET fingerprint = (SELECT hash FROM revision)", "edition 1 has the fingerprint"),
        ("UPDATE edition SET seq = 4", "edition 1 has the fingerprint"),
        ("UPDATE edition SET number = 2", "edition 2 stands where edition 1 belongs"),
        ("INSERT INTO reference VALUES (2, 'source', 99)", "refers to nothing"),
        ("CREATE TRIGGER quiet BEFORE INSERT ON words BEGIN SELECT RAISE(IGNORE); END", "`quiet` is not the ledger's"),
        ("DROP VIEW notes", "view `notes` is missing"),
        ("ALTER TABLE former_name ADD COLUMN extra TEXT", "table `former_name` was changed"),
    ],
)  # fmt: skip
def test_tampering_is_found(store: Store, statement: str, finding: str) -> None:
    """Each kind of change to the record, or to what follows from it, is named."""
    tamper(store, statement)
    assert finding in problems(store)


def test_a_missing_trigger_is_found(store: Store) -> None:
    """A store that could be changed without notice is a problem before it is changed."""
    with closing(sqlite3.connect(store.path)) as connection:
        connection.execute("DROP TRIGGER revision_never_goes")
        connection.commit()
    assert "trigger `revision_never_goes` is missing" in problems(store)


def test_one_gap_is_told_once(store: Store) -> None:
    """After a missing revision the rest is followed on, not condemned."""
    tamper(store, "DELETE FROM words WHERE seq = 3", "DELETE FROM revision WHERE seq = 3")
    assert sum("stands where" in problem.message for problem in verify(store).problems) == 1


def test_a_hash_made_anew_is_found_by_the_next(store: Store) -> None:
    """Whoever changes a revision and its own hash is given away by the one after."""
    with store.reading() as connection:
        row = dict(connection.exec_driver_sql("SELECT * FROM revision WHERE seq = 2").mappings().one())
    new = link_hash(row | {"at": "2030-01-01T00:00:00Z"})
    tamper(store, f"UPDATE revision SET at = '2030-01-01T00:00:00Z', hash = '{new}' WHERE seq = 2")
    assert problems(store) == "hypotheses/drum: revision 3 does not name the hash of the revision before it"


def test_damage_to_the_file_is_found(store: Store) -> None:
    """An index that disagrees with its table is reported as damage, not as a traceback."""
    with closing(sqlite3.connect(store.path)) as connection:
        connection.execute("PRAGMA writable_schema = ON")
        other = "(SELECT rootpage FROM sqlite_master WHERE name = 'revisions_of_entry')"
        connection.execute(f"UPDATE sqlite_master SET rootpage = {other} WHERE name = 'references_to'")
        connection.commit()
    assert "the file is damaged" in problems(store)


def test_words_are_gone_after_an_erasure(store: Store, entries: Path) -> None:
    """Not a byte of an erased text, of any of its revisions, is left in the file or beside it; the chain verifies."""
    put(entries, {"replies/reader-one": SMALL["replies/reader-one"] + "And a sprocket, I swear.\n"})
    post(store, entries, AT)
    assert SECRET in store.path.read_bytes()
    erased = erase(store, "replies/reader-one", AT)
    assert (erased.ref, erased.revisions, erased.copies) == ("replies/reader-one", 2, ())
    for path in store.path.parent.glob("witness.sqlite*"):
        content = path.read_bytes()
        assert SECRET not in content
        assert b"sprocket" not in content
        assert b"C. Reader" not in content
    assert "replies/reader-one" not in current(store)
    assert [link.text for link in history(store, "replies/reader-one")] == [None, None, None]
    assert verify(store).sound
    assert verify(store).erased == 3


def test_an_erased_entry_does_not_come_back(store: Store, entries: Path) -> None:
    """A file that is still there, or that calls itself its successor, is a fault; without it all is well."""
    erase(store, "replies/reader-one", AT)
    with pytest.raises(FaultsFound, match=r"replies/reader-one\.md.*erased on request: delete"):
        post(store, entries, AT)
    (entries / "replies/reader-one.md").unlink()
    report = post(store, entries, AT)
    assert report.absent == ()
    put(
        entries, {"replies/reader-three": SMALL["replies/reader-one"].replace("title:", "formerly: reader-one\ntitle:")}
    )
    with pytest.raises(FaultsFound, match="drop `formerly`"):
        post(store, entries, AT)


def test_erasing_by_revision_or_former_name(store: Store, tmp_path: Path) -> None:
    """Any revision's number, or any name it had, leads to the entry."""
    seq = history(store, "evidence/whistle")[0].seq
    assert erase(store, seq, AT).ref == "evidence/whistle"
    assert erase(store, "evidence/hiss", AT).revisions == 0
    assert [link.action for link in history(store, "evidence/hiss")].count("erased") == 1
    with pytest.raises(NotInLedger, match="no revision 99"):
        erase(store, 99, AT)
    with pytest.raises(NotInLedger):
        erase(store, "replies/nobody", AT)


def test_what_others_refer_to_is_not_erased_under_them(store: Store) -> None:
    """Entries that refer to it are named first; nothing is erased."""
    with pytest.raises(FaultsFound, match=r"evidence/sleeve-groove\.md source:"):
        erase(store, "sources/bench-left", AT)
    assert "sources/bench-left" in current(store)


def test_derived_rows_that_may_quote_the_words_go_too(store: Store) -> None:
    """Results and confidences are emptied with an erasure; they can be computed again."""
    put_results(store, {"calculations/x": Cached("k", '{"reason": "I saw a chain with my own eyes"}', b"")})
    replace_confidences(store, [Confidence("questions/forks", "hypotheses/drum", 0.5, 0.5, 0.4, 0.6, 1)])
    erase(store, "replies/reader-one", AT)
    assert cached_results(store) == {}
    assert confidences(store) == ()
    assert SECRET not in store.path.read_bytes()


def test_copies_made_before_a_migration_are_named(store: Store) -> None:
    """An older copy of the store still has the words, and the person is told which."""
    copy = store.path.with_name("witness.sqlite.before-v2")
    copy.write_bytes(store.path.read_bytes())
    assert erase(store, "replies/reader-one", AT).copies == (copy,)


def test_an_erasure_under_a_reader_is_finished_later(store: Store) -> None:
    """While another program still reads the old state it is told so, and erasing again finishes the work."""
    hasty = open_store(store.path, busy_seconds=0.05)
    with store.reading() as connection:
        connection.exec_driver_sql("SELECT count(*) FROM words").scalar()
        with pytest.raises(StoreBusy):
            erase(hasty, "replies/reader-one", AT)
    erase(hasty, "replies/reader-one", AT)
    assert all(SECRET not in path.read_bytes() for path in store.path.parent.glob("witness.sqlite*"))
    assert verify(store).sound


def test_the_investigation_itself_is_not_erased(store: Store) -> None:
    """Without its investigation no ledger stands, so that entry is refused and keeps its words."""
    ref = next(ref for ref in current(store) if ref.startswith("investigation/"))
    with pytest.raises(FaultsFound, match="any other entry"):
        erase(store, ref, AT)
    assert current(store)[ref].text
