"""Opening a ledger file: new, old, too new, damaged, another program's, or held by someone."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from ledger.errors import StoreBusy, StoreDamaged, StoreRefused, StoreTooNew
from ledger.store.engine import Store, open_store, refusals
from ledger.store.export import export
from ledger.store.migrating import Step, statements, steps
from ledger.store.posting import post
from ledger.store.records import current
from tests.ledger_files import SMALL, put

GROW = Step(len(steps()) + 1, "grow.sql", "CREATE TABLE grown (id INTEGER PRIMARY KEY) STRICT;")
FAIL = Step(
    len(steps()) + 1, "fail.sql", "CREATE TABLE grown (id INTEGER PRIMARY KEY) STRICT;\nINSERT INTO nowhere VALUES (1);"
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "witness.sqlite"


def count_references(store: Store) -> int:
    with store.reading() as connection:
        return int(connection.exec_driver_sql("SELECT count(*) FROM reference").scalar_one())


def version(path: Path) -> int:
    with closing(sqlite3.connect(path)) as connection:
        return int(connection.execute("PRAGMA user_version").fetchone()[0])


def test_a_new_store_has_the_newest_version_and_needs_no_copy(path: Path) -> None:
    """Opening makes the file with every migration run, and no copy of nothing."""
    store = open_store(path)
    assert version(path) == len(steps())
    assert store.copy is None
    assert os.listdir(path.parent) == [path.name]


def test_a_missing_store_is_made_only_when_asked(path: Path) -> None:
    """With `create=False` a missing file is a refusal that says what to do, and stays missing."""
    with pytest.raises(StoreRefused, match="witness post"):
        open_store(path, create=False)
    assert not path.exists()


def test_connections_keep_the_rules(path: Path) -> None:
    """Every connection enforces foreign keys, fires triggers on REPLACE, wipes what is deleted, and writes ahead."""
    with open_store(path).reading() as connection:
        for pragma, value in [
            ("foreign_keys", 1),
            ("recursive_triggers", 1),
            ("secure_delete", 1),
            ("journal_mode", "wal"),
            ("synchronous", 2),
            ("busy_timeout", 5000),
        ]:
            assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar() == value, pragma


def test_opening_and_reading_write_nothing(path: Path) -> None:
    """The main file has the same bytes and the same time of change after it was read."""
    open_store(path)
    before, time = path.read_bytes(), path.stat().st_mtime_ns
    with open_store(path).reading() as connection:
        connection.exec_driver_sql("SELECT count(*) FROM revision").scalar()
    assert path.read_bytes() == before
    assert path.stat().st_mtime_ns == time


def test_an_older_store_is_copied_then_brought_up(path: Path) -> None:
    """Migrating an existing file leaves a readable copy of the old state, named for the version it was made before."""
    open_store(path, known=steps()[:1])
    store = open_store(path)
    assert version(path) == len(steps())
    assert store.copy == path.with_name(f"witness.sqlite.before-v{len(steps())}")
    assert version(store.copy) == 1
    with closing(sqlite3.connect(store.copy)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        names = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
    assert "revision" in names
    assert "confidence" not in names
    assert not list(path.parent.glob("*.unfinished"))


def test_a_failing_migration_leaves_the_file_as_it_was(path: Path) -> None:
    """A step that fails half-way leaves not a byte of itself, and its refusal names the copy."""
    open_store(path)
    before = path.read_bytes()
    with pytest.raises(StoreDamaged, match=r"(?s)fail\.sql.*still of version.*before-v") as refusal:
        open_store(path, known=(*steps(), FAIL))
    assert path.read_bytes() == before
    assert isinstance(refusal.value.__cause__, sqlite3.OperationalError)
    assert open_store(path, known=(*steps(), GROW)).path == path
    assert version(path) == GROW.version


def test_a_damaged_store_is_not_migrated(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the copy does not verify, the migration does not begin."""
    open_store(path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute("UPDATE sqlite_master SET rootpage = 2 WHERE name = 'words'")
        connection.commit()
    before = path.read_bytes()
    with pytest.raises(StoreDamaged):
        open_store(path, known=(*steps(), GROW))
    assert path.read_bytes() == before


def test_a_store_from_a_later_program_is_refused(path: Path) -> None:
    """A version this program does not know is refused untouched, with what to do."""
    open_store(path, known=(*steps(), GROW))
    before = path.read_bytes()
    with pytest.raises(StoreTooNew, match=f"version {GROW.version}.*later program"):
        open_store(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("content", [b"---\nkind: source\n---\n" * 60, b"SQLite format 3\x00" + b"\xff" * 2000])
def test_a_file_that_is_no_database_is_refused(path: Path, content: bytes) -> None:
    """What is no SQLite file is refused and left alone."""
    path.write_bytes(content)
    with pytest.raises(StoreDamaged, match="SQLite"):
        open_store(path)
    assert path.read_bytes() == content


@pytest.mark.parametrize("mark", ["CREATE TABLE cheese (id)", "PRAGMA application_id = 7", "PRAGMA user_version = 1"])
def test_a_database_of_another_program_is_refused(path: Path, mark: str) -> None:
    """Another program's database is refused and left alone, whatever gives it away."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(mark)
        connection.commit()
    before = path.read_bytes()
    with pytest.raises(StoreDamaged, match="another program"):
        open_store(path)
    assert path.read_bytes() == before


def test_a_store_cut_short_is_refused(path: Path) -> None:
    """A file that lost its end is named as unreadable, not met with a traceback."""
    open_store(path)
    path.write_bytes(path.read_bytes()[:6000])
    with pytest.raises(StoreDamaged):
        count_references(open_store(path))


def test_a_folder_in_its_place_is_refused(path: Path) -> None:
    """A folder, or a missing parent, is a refusal in words."""
    path.mkdir()
    with pytest.raises(StoreRefused, match="folder"):
        open_store(path)
    with pytest.raises(StoreRefused, match="does not exist"):
        open_store(path / "deep" / "witness.sqlite")


def test_a_held_store_is_busy_for_writers_and_open_to_readers(path: Path) -> None:
    """While one program writes, another is told to wait, and reading goes on."""
    store = open_store(path, busy_seconds=0.05)
    with store.writing():
        with pytest.raises(StoreBusy, match="Another program holds"), store.writing():
            pass
        with store.reading() as connection:
            assert connection.exec_driver_sql("SELECT count(*) FROM revision").scalar() == 0
        with pytest.raises(StoreBusy):
            open_store(path, busy_seconds=0.05, known=(*steps(), GROW))


def test_a_lock_that_cannot_be_had_is_told(path: Path) -> None:
    """What SQLite says where it can neither lock nor wait, as beside a log on a full disc, is a refusal in words."""
    error = sqlite3.OperationalError("locking protocol")
    error.sqlite_errorcode = sqlite3.SQLITE_PROTOCOL
    with pytest.raises(StoreBusy, match="try again"), refusals(path):
        raise error


@pytest.mark.parametrize(
    "harm",
    [
        "DROP TABLE words",
        "ALTER TABLE entry RENAME COLUMN front TO back",
        "DROP TRIGGER revision_never_changes; UPDATE revision SET hash = CAST(X'C3C3' AS TEXT)",
    ],
)
def test_a_store_that_was_changed_from_outside_is_told(path: Path, tmp_path: Path, harm: str) -> None:
    """A table that is gone, a column of another name, and bytes that are no text are damage, told with a remedy."""
    store = open_store(path)
    post(store, put(tmp_path / "entries", SMALL), "2031-05-17T09:00:00Z")
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(f"PRAGMA ignore_check_constraints = ON; PRAGMA legacy_alter_table = ON; {harm}")

    def read() -> None:
        export(store, tmp_path / "entries")
        current(store)

    with pytest.raises(StoreDamaged, match="not as this program writes it"):
        read()


def test_an_error_inside_a_transaction_undoes_it(path: Path) -> None:
    """Whatever is raised while writing, nothing of that transaction is kept."""
    store = open_store(path)
    before = path.read_bytes()

    def interrupted() -> None:
        with store.writing() as connection:
            connection.exec_driver_sql("INSERT INTO confidence VALUES ('q', 'r', 0.1, 0.1, 0.1, 0.1, 1)")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert path.read_bytes() == before


def test_a_full_disc_inside_a_transaction_undoes_it(path: Path) -> None:
    """SQLite ends the transaction by itself then; the refusal names the free space, and nothing is kept."""
    store = open_store(path)
    before = path.read_bytes()

    def write() -> None:
        with store.writing() as connection:
            connection.exec_driver_sql("INSERT INTO confidence VALUES ('q', 'r', 0.1, 0.1, 0.1, 0.1, 1)")
            connection.exec_driver_sql("PRAGMA max_page_count = 1")
            connection.exec_driver_sql("INSERT INTO result VALUES ('c', 'k', '{}', randomblob(1000000))")

    with pytest.raises(StoreRefused, match=r"full.*free space"):
        write()
    assert path.read_bytes() == before


def test_statements_are_split_as_sqlite_ends_them() -> None:
    """Semicolons in triggers, texts and comments end nothing; an unfinished statement is refused."""
    sql = """
    -- first; a comment
    CREATE TABLE t (a TEXT DEFAULT ';');
    CREATE TRIGGER g AFTER INSERT ON t
    BEGIN
        SELECT 1;
        SELECT 2;
    END;
    -- last
    """
    assert len(list(statements(sql))) == 2
    with pytest.raises(ValueError, match="unfinished"):
        list(statements("CREATE TABLE t (a)"))
