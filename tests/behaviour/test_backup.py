"""Backing a ledger up and taking it back: what is kept verifies, and nothing that was posted is lost by either."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from threading import Event, Thread

import pytest

from ledger.errors import StoreBusy, StoreDamaged, StoreRefused, StoreTooNew
from ledger.replies.document import ReplyDocument
from ledger.replies.received import Incoming, received
from ledger.store.backup import back_up, restore
from ledger.store.engine import Store, open_store
from ledger.store.erasing import erase
from ledger.store.migrating import statements, steps
from ledger.store.posting import post
from ledger.store.records import history, links
from ledger.store.verifying import verify
from tests.intakes import reply
from tests.ledger_files import SMALL, put, taken
from tests.states import head

AT = "2031-05-17T09:00:00Z"
LETTER = "sources/letter"


@pytest.fixture
def store(tmp_path: Path) -> Store:
    made = open_store(tmp_path / "witness.sqlite")
    post(made, put(tmp_path / "entries", SMALL), AT)
    return made


def revise(store: Store, words: str) -> str:
    """Post a revision of the letter and return the head."""
    put(store.path.parent / "entries", {LETTER: SMALL[LETTER] + words})
    post(store, store.path.parent / "entries", AT)
    return head(store)


def past(store: Store) -> list[str]:
    with store.reading() as connection:
        return [link.hash for link in links(connection)]


@contextmanager
def written_to(store: Store) -> Iterator[list[str]]:
    """Have another thread post without pause, and collect the heads of what was posted."""
    heads: list[str] = []
    stop = Event()

    def write() -> None:
        while not stop.is_set():
            with suppress(StoreBusy):
                heads.append(revise(store, f"More, number {len(heads)}.\n"))

    writer = Thread(target=write)
    writer.start()
    try:
        while not heads:
            writer.join(0.01)
        yield heads
    finally:
        stop.set()
        writer.join()


def test_a_backup_taken_while_others_write_is_one_state_of_the_past(store: Store, tmp_path: Path) -> None:
    """Each of several backups under steady posting verifies, is a single file, and is how the ledger began."""
    with written_to(store) as heads:
        for number in range(5):
            count = len(heads)
            while len(heads) == count:
                pass
            back_up(store, tmp_path / f"kept-{number}.sqlite")
    whole = past(store)
    for number in range(5):
        kept = open_store(tmp_path / f"kept-{number}.sqlite", create=False, write=False)
        own = past(kept)
        assert verify(kept).problems == ()
        assert whole[: len(own)] == own
    assert sorted(os.listdir(tmp_path)) == ["entries", *(f"kept-{each}.sqlite" for each in range(5)), "witness.sqlite"]


def test_a_restore_while_others_write_loses_nothing(store: Store, tmp_path: Path) -> None:
    """Whatever was posted before the restore stands in the file kept aside; what came after, in the restored ledger."""
    back_up(store, tmp_path / "kept.sqlite")
    began = past(store)
    with written_to(store) as heads:
        while True:
            with suppress(StoreBusy):
                done = restore(store.path, tmp_path / "kept.sqlite")
                break
        count = len(heads)
        while len(heads) < count + 2:
            pass
    assert done.aside is not None
    aside = open_store(done.aside, create=False, write=False)
    assert verify(store).problems == verify(aside).problems == ()
    assert past(aside)[: len(began)] == past(store)[: len(began)] == began
    assert set(heads) <= {*past(aside), *past(store)}
    assert done.before == len(past(aside))
    assert not list(tmp_path.glob(".*"))


def test_nothing_is_written_over_by_a_backup(store: Store, tmp_path: Path) -> None:
    """A name that is taken, also by a link to nowhere, by the ledger's own side file or in no folder is refused."""
    (tmp_path / "there").write_text("mine")
    (tmp_path / "link").symlink_to("nowhere")
    for name in ("there", "link", "witness.sqlite", "witness.sqlite-wal", "no/folder"):
        before = taken(tmp_path)
        with pytest.raises(StoreRefused, match=r"[Nn]ame"):
            back_up(store, tmp_path / name)
        assert taken(tmp_path) == before


def test_a_ledger_that_does_not_verify_is_not_backed_up(store: Store, tmp_path: Path) -> None:
    """A changed word is told, and there is no file that looks like a backup."""
    with closing(sqlite3.connect(store.path)) as connection:
        connection.execute("DROP TRIGGER words_never_change")
        connection.execute("UPDATE words SET text = replace(text, 'bench', 'bank')")
        connection.commit()
    with pytest.raises(StoreDamaged, match="Nothing was backed up"):
        back_up(store, tmp_path / "kept.sqlite")
    assert sorted(os.listdir(tmp_path)) == ["entries", "witness.sqlite"]


def cut(path: Path) -> None:
    os.truncate(path, 20_000)


def tampered(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TRIGGER revision_never_changes")
        connection.execute("UPDATE revision SET name = 'other' WHERE seq = 2")
        connection.commit()


def too_new(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA user_version = {len(steps()) + 1}")


def foreign(path: Path) -> None:
    path.unlink()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE cheese (id)")


@pytest.mark.parametrize(
    ("spoil", "refusal"),
    [
        (cut, StoreDamaged),
        (tampered, StoreDamaged),
        (too_new, StoreTooNew),
        (foreign, StoreDamaged),
        (lambda path: path.write_bytes(b""), StoreDamaged),
        (lambda path: path.write_bytes(b"no database" * 99), StoreDamaged),
        (Path.unlink, StoreRefused),
    ],
)
def test_a_bad_backup_is_refused(
    store: Store, tmp_path: Path, spoil: Callable[[Path], object], refusal: type[StoreRefused]
) -> None:
    """The ledger keeps its bytes, nothing is left behind, and the backup is not touched."""
    back_up(store, tmp_path / "kept.sqlite")
    spoil(tmp_path / "kept.sqlite")
    before = taken(tmp_path)
    with pytest.raises(refusal):
        restore(store.path, tmp_path / "kept.sqlite")
    assert taken(tmp_path) == before


def test_a_file_of_another_kind_is_no_backup(store: Store, tmp_path: Path) -> None:
    """An entry file is told to be none; nobody is told to move it away."""
    entry = tmp_path / "note.md"
    entry.write_text("---\nkind: evidence\n---\n" * 50)
    with pytest.raises(StoreDamaged, match="Name one that `witness backup` wrote") as refused:
        restore(store.path, entry)
    assert "move it away" not in str(refused.value)


def test_the_ledger_is_no_backup_of_itself(store: Store) -> None:
    """Naming the ledger file itself, by whatever path, is refused."""
    with pytest.raises(StoreRefused, match="itself"):
        restore(store.path, store.path.parent / "entries" / ".." / "witness.sqlite")


@pytest.mark.parametrize(
    "spoil", [cut, foreign, Path.unlink, lambda path: path.write_bytes(b""), lambda path: path.write_bytes(b"x" * 999)]
)
def test_what_is_no_ledger_any_more_is_kept_and_replaced(
    store: Store, tmp_path: Path, spoil: Callable[[Path], object]
) -> None:
    """A truncated, foreign, emptied, spoilt or missing ledger gives way to the backup; its bytes are kept aside."""
    back_up(store, tmp_path / "kept.sqlite")
    before = head(store)
    spoil(store.path)
    # Whatever lies beside a lost file must not be taken for part of the restored one.
    store.path.with_name("witness.sqlite-wal").write_bytes(b"left over")
    there = store.path.read_bytes() if store.path.exists() else b""
    done = restore(store.path, tmp_path / "kept.sqlite")
    assert (head(store), verify(store).problems) == (before, ())
    if there:
        assert done.aside is not None
        assert done.aside.read_bytes() == there


def test_an_old_backup_is_brought_up(tmp_path: Path) -> None:
    """A backup of the first version is restored at the newest, verifies, and stays as it was itself."""
    with closing(sqlite3.connect(tmp_path / "old.sqlite", isolation_level=None)) as connection:
        for statement in statements(steps()[0].sql):
            connection.execute(statement)
        connection.execute("PRAGMA user_version = 1")
    before = (tmp_path / "old.sqlite").read_bytes()
    restore(tmp_path / "witness.sqlite", tmp_path / "old.sqlite")
    assert verify(open_store(tmp_path / "witness.sqlite", create=False)).problems == ()
    assert (tmp_path / "old.sqlite").read_bytes() == before
    assert sorted(os.listdir(tmp_path)) == ["old.sqlite", "witness.sqlite"]


def test_words_erased_since_are_named(store: Store, tmp_path: Path) -> None:
    """A backup brings erased words back, so their entries are told, and erasing names the copies that have them."""
    back_up(store, tmp_path / "kept.sqlite")
    erase(store, "replies/reader-one", AT)
    done = restore(store.path, tmp_path / "kept.sqlite")
    assert done.again == ("replies/reader-one",)
    assert history(store, "replies/reader-one")[0].text
    assert erase(store, "replies/reader-one", AT).copies == (done.aside,)


def test_the_commands_keep_ledger_and_replies(run: Callable[..., tuple[int, str, str]], tmp_path: Path) -> None:
    """`backup` writes both files and says so; `restore` brings both back into a folder that lost everything."""
    root, kept = tmp_path / "case", tmp_path / "kept.sqlite"
    put(root / "entries", SMALL)
    assert run("post", "--in", root)[0] == 0
    document = ReplyDocument.model_validate(reply())
    with received(root) as replies:
        replies.take([Incoming(document, "2031-06-01", "reply.json")])
    code, out, _ = run("backup", kept, "--in", root)
    assert (code, "10 revisions" in out, "kept.replies.sqlite" in out) == (0, True, True)
    code, _, err = run("backup", kept, "--in", root)
    assert (code, "nothing is ever written over" in err) == (3, True)
    code, out, _ = run("restore", kept, "--in", root)
    assert (code, "received replies stay" in out, "before-restore-1" in out) == (0, True, True)
    lost = tmp_path / "lost"
    lost.mkdir()
    code, out, _ = run("restore", kept, "--in", lost)
    assert (code, "replies are back" in out, "witness export" in out) == (0, True, True)
    assert run("export", "--in", lost)[0] == 0
    assert {name for name in taken(lost / "entries") if name.endswith(".md")} == {f"{ref}.md" for ref in SMALL}
    with received(lost) as replies:
        assert replies.find(document.id).document == document
    code, _, err = run("restore", tmp_path / "nothing.sqlite", "--in", lost)
    assert (code, "witness backup" in err) == (3, True)
