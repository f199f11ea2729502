"""A ledger that may be read and not written is read, and says so when it is to be written."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from ledger.errors import NotInLedger, StoreDamaged, StoreRefused, StoreTooNew
from ledger.store.derived import cached_results, confidences
from ledger.store.engine import open_store
from ledger.store.migrating import Step, steps
from ledger.store.posting import post
from ledger.store.records import current, history, present_name
from ledger.store.verifying import verify
from tests.ledger_files import SMALL, put

AT = "2031-05-17T09:00:00Z"
NOBODY = 65534
GROW = Step(len(steps()) + 1, "grow.sql", "CREATE TABLE grown (id INTEGER PRIMARY KEY) STRICT;")


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder with a posted ledger, in a place that everybody may reach."""
    top = Path(tempfile.mkdtemp())
    top.chmod(0o755)
    store = open_store(top / "witness.sqlite")
    post(store, put(top / "entries", SMALL), AT)
    verify(store)
    yield top
    top.chmod(0o755)
    shutil.rmtree(top)


@contextmanager
def protected(folder: Path, file: int = 0o444, top: int = 0o555) -> Iterator[None]:
    """Protect the ledger file and its folder; whoever may do everything becomes somebody who may not."""
    (folder / "witness.sqlite").chmod(file)
    folder.chmod(top)
    almighty = os.geteuid() == 0
    if almighty:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if almighty:
            os.seteuid(0)
        folder.chmod(0o755)


@pytest.mark.parametrize(("file", "top"), [(0o444, 0o555), (0o666, 0o555), (0o444, 0o777)])
def test_a_protected_ledger_is_read(folder: Path, file: int, top: int) -> None:
    """The file, the folder, or both: everything that only reads works, and nothing is left behind."""
    there = sorted(os.listdir(folder))
    with protected(folder, file, top):
        store = open_store(folder / "witness.sqlite", create=False)
        assert not store.writable
        assert {ref: record.text for ref, record in current(store).items()} == SMALL
        assert len(history(store, "evidence/hiss")) == 1
        assert verify(store).sound
        assert cached_results(store) == {}
        assert confidences(store) == ()
        assert sorted(os.listdir(folder)) == there


def test_writing_is_refused_in_plain_words(folder: Path) -> None:
    """A posting says what to do, and posts nothing."""
    before = (folder / "witness.sqlite").read_bytes()
    put(folder / "entries", {"questions/forks": SMALL["questions/forks"] + "More.\n"})
    with protected(folder):
        store = open_store(folder / "witness.sqlite")
        with pytest.raises(StoreRefused, match="work on a copy of the folder"):
            post(store, folder / "entries", AT)
        with pytest.raises(StoreRefused, match="can be read here"), store.alone():
            pass
    assert (folder / "witness.sqlite").read_bytes() == before
    assert open_store(folder / "witness.sqlite").writable


def test_other_versions_are_refused_in_plain_words(folder: Path) -> None:
    """An older ledger cannot be brought up where it cannot be written, a newer one is too new as ever."""
    path = folder / "witness.sqlite"
    with protected(folder), pytest.raises(StoreRefused, match=r"cannot be written\. Copy the folder"):
        open_store(path, known=(*steps(), GROW))
    open_store(path, known=(*steps(), GROW))
    with protected(folder), pytest.raises(StoreTooNew):
        open_store(path)


def test_what_is_no_ledger_stays_none(folder: Path) -> None:
    """Protection makes no ledger of another file, nor of one that is missing."""
    path = folder / "witness.sqlite"
    path.write_bytes(b"not a ledger at all" * 100)
    with protected(folder), pytest.raises(StoreDamaged):
        open_store(path)
    path.unlink()
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE t (a)")
    with protected(folder), pytest.raises(StoreDamaged):
        open_store(path)


def test_a_folder_that_may_not_be_entered_is_refused(folder: Path) -> None:
    """What cannot even be looked for is a refusal, not a traceback."""
    with protected(folder, 0o444, 0o600), pytest.raises(StoreRefused, match="may not be looked into"):
        open_store(folder / "witness.sqlite")


def test_changes_that_wait_beside_the_file_are_not_passed_over(folder: Path) -> None:
    """With a log that cannot be read the ledger is refused rather than shown as it was before."""
    path = folder / "witness.sqlite"
    with closing(sqlite3.connect(path, isolation_level=None)) as writer:
        writer.execute("PRAGMA wal_autocheckpoint = 0")
        writer.execute("INSERT INTO confidence VALUES ('q', 'r', 0.1, 0.1, 0.1, 0.1, 1)")
        copy = folder / "copy"
        copy.mkdir()
        for name in ("witness.sqlite", "witness.sqlite-wal"):
            shutil.copy(folder / name, copy / name)
    with protected(copy), pytest.raises(StoreRefused, match="copy the whole folder"):
        open_store(copy / "witness.sqlite")


def test_any_name_leads_to_the_present_one(folder: Path) -> None:
    """The present name itself and every former one; a name nobody had is answered with the nearest."""
    entries = folder / "entries"
    store = open_store(folder / "witness.sqlite")
    for old, new in (("hiss", "whistle"), ("whistle", "wheeze")):
        text = (entries / f"evidence/{old}.md").read_text().replace("formerly: hiss\n", "")
        (entries / f"evidence/{old}.md").unlink()
        put(entries, {f"evidence/{new}": text.replace("title:", f"formerly: {old}\ntitle:")})
        post(store, entries, AT)
    names = ("evidence/hiss", "evidence/whistle", "evidence/wheeze", "sources/letter")
    assert [present_name(store, name) for name in names] == ["evidence/wheeze"] * 3 + ["sources/letter"]
    with pytest.raises(NotInLedger, match="evidence/wheeze"):
        present_name(store, "evidence/wheez")
