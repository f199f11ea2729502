"""Writing the record out, taking a history in, and never losing words that were not posted."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ledger.errors import FaultsFound
from ledger.store.derived import edition
from ledger.store.engine import Store, open_store
from ledger.store.erasing import erase
from ledger.store.export import export
from ledger.store.posting import post
from ledger.store.records import current, history
from ledger.store.verifying import verify
from tests.ledger_files import SMALL, put, taken
from tests.states import fingerprint, head

AT = "2031-05-17T09:00:00Z"
NOTE = "evidence/sleeve-groove"


@pytest.fixture
def entries(tmp_path: Path) -> Path:
    return put(tmp_path / "entries", SMALL)


@pytest.fixture
def store(tmp_path: Path, entries: Path) -> Store:
    """A store with a past: an entry revised, one withdrawn, one renamed, and an edition."""
    store = open_store(tmp_path / "witness.sqlite")
    post(store, entries, AT)
    put(entries, {NOTE: SMALL[NOTE].replace("bright", "dull")})
    post(store, entries, AT)
    put(
        entries,
        {"evidence/whistle": SMALL["evidence/hiss"].replace("title:", "formerly: hiss\nwithdrawn: A kettle.\ntitle:")},
    )
    (entries / "evidence/hiss.md").unlink()
    post(store, entries, AT)
    edition(store)
    return store


def test_a_clone_has_the_whole_past(tmp_path: Path, store: Store, entries: Path) -> None:
    """Exported into an empty folder and posted into an empty store, everything is there again, to the hash."""
    elsewhere = tmp_path / "clone" / "entries"
    elsewhere.mkdir(parents=True)
    done = export(store, elsewhere)
    files = taken(elsewhere)
    history_file = files.pop("history.jsonl")
    assert files == taken(entries)
    assert done.revisions == len(history_file.splitlines()) - 1
    clone = open_store(tmp_path / "clone" / "witness.sqlite")
    report = post(clone, elsewhere, "2040-01-01T00:00:00Z")
    assert report.replayed == done.revisions
    assert (report.new, report.revised) == ((), ())
    assert head(clone) == head(store)
    assert current(clone) == current(store)
    assert history(clone, "evidence/hiss") == history(store, "evidence/whistle")
    assert edition(clone) == 1
    assert verify(clone).sound
    before = taken(elsewhere)
    export(clone, elsewhere)
    assert taken(elsewhere) == before


def test_export_writes_only_what_differs(store: Store, entries: Path) -> None:
    """A second export leaves every file alone, its time too."""
    export(store, entries)
    times = {path: path.stat().st_mtime_ns for path in entries.rglob("*")}
    assert export(store, entries).written == ()
    assert {path: path.stat().st_mtime_ns for path in entries.rglob("*")} == times


def test_words_that_were_not_posted_are_never_written_over(store: Store, entries: Path) -> None:
    """A changed file is a fault, found before anything is written; other files wait."""
    (entries / "evidence/whistle.md").unlink()
    put(entries, {NOTE: SMALL[NOTE].replace("bright", "rusty")})
    before = taken(entries)
    with pytest.raises(FaultsFound, match=r"sleeve-groove\.md.*not posted"):
        export(store, entries)
    assert taken(entries) == before


def test_an_older_posted_state_is_brought_up(store: Store, entries: Path) -> None:
    """A file with words of an earlier revision, and one under a former name, lose nothing by export."""
    put(entries, {NOTE: SMALL[NOTE], "evidence/hiss": SMALL["evidence/hiss"]})
    done = export(store, entries)
    assert done.written == (NOTE,)
    assert done.removed == ("evidence/hiss",)
    assert not (entries / "evidence/hiss.md").exists()
    put(entries, {"evidence/hiss": SMALL["evidence/hiss"] + "More.\n"})
    with pytest.raises(FaultsFound, match="former name"):
        export(store, entries)


def test_files_the_record_does_not_know_are_left_alone(store: Store, entries: Path) -> None:
    """A new file that waits to be posted is neither a fault nor touched."""
    put(entries, {"evidence/hum": "not even an entry"})
    export(store, entries)
    assert (entries / "evidence/hum.md").read_text() == "not even an entry"


def test_a_store_catches_up_with_a_longer_history(tmp_path: Path, store: Store, entries: Path) -> None:
    """What was posted elsewhere and exported is taken in by a store that has the beginning of the same past."""
    export(store, entries)
    other = open_store(tmp_path / "other.sqlite")
    post(other, entries, AT)
    put(entries, {NOTE: SMALL[NOTE].replace("bright", "worn")})
    post(other, entries, AT)
    edition(other)
    export(other, entries)
    report = post(store, entries, AT)
    assert (report.replayed, report.revised) == (1, ())
    assert head(store) == head(other)
    assert edition(store) == edition(other) == 2
    assert verify(store).sound


def test_a_history_that_branches_off_is_refused(tmp_path: Path, store: Store, entries: Path) -> None:
    """Two stores that went apart are neither joined by posting nor written over by export."""
    export(store, entries)
    other = open_store(tmp_path / "other.sqlite")
    post(other, entries, AT)
    for holder, word in ((store, "worn"), (other, "torn")):
        put(entries, {NOTE: SMALL[NOTE].replace("bright", word)})
        post(holder, entries, AT)
    export(other, entries)
    before = store.path.read_bytes()
    with pytest.raises(FaultsFound, match=r"history\.jsonl.*another revision 14.*Two pasts"):
        post(store, entries, AT)
    with pytest.raises(FaultsFound, match=r"history\.jsonl.*another revision 14"):
        export(store, entries)
    assert store.path.read_bytes() == before


def test_a_history_longer_than_the_store_is_not_written_over(tmp_path: Path, store: Store, entries: Path) -> None:
    """Export refuses to shorten a past."""
    export(store, entries)
    other = open_store(tmp_path / "other.sqlite")
    post(other, entries, AT)
    put(entries, {NOTE: SMALL[NOTE].replace("bright", "worn")})
    post(other, entries, AT)
    export(other, entries)
    with pytest.raises(FaultsFound, match=r"history\.jsonl"):
        export(store, entries)


Tamper = Callable[[list[dict[str, Any]]], None]


def _swap(lines: list[dict[str, Any]]) -> None:
    lines[2], lines[3] = lines[3], lines[2]


@pytest.mark.parametrize(
    ("line", "tamper"),
    [
        (3, lambda lines: lines[2].update(text="other words")),
        (3, lambda lines: lines[2].update(salt="0" * 32)),
        (3, lambda lines: lines[2].update(name="other")),
        (3, lambda lines: lines[2].update(at="2031-05-17T09:00:01Z")),
        (3, lambda lines: lines[2].update(digest="0" * 64)),
        (3, lambda lines: lines[2].update(hash="0" * 64)),
        (3, lambda lines: lines[2].update(previous="0" * 64)),
        (3, lambda lines: lines.pop(2)),
        (3, _swap),
        (3, lambda lines: lines.insert(2, dict(lines[1]))),
        (3, lambda lines: lines[2].pop("kind")),
        (3, lambda lines: lines[2].update(extra=1)),
        (3, lambda lines: lines[2].update(seq="3")),
        (3, lambda lines: lines[2].update(action="vanished")),
        (3, lambda lines: [lines[2].pop("text"), lines[2].pop("salt")]),
        (3, lambda lines: lines[2].pop("text")),
        (14, lambda lines: lines[-1].update(edition=2)),
        (14, lambda lines: lines[-1].update(seq=99)),
        (14, lambda lines: lines[-1].update(fingerprint="short")),
    ],
)
def test_a_history_that_does_not_verify_is_refused_by_line(
    tmp_path: Path, store: Store, entries: Path, line: int, tamper: Tamper
) -> None:
    """Whatever was changed in a history, posting names the line and posts nothing."""
    export(store, entries)
    path = entries / "history.jsonl"
    lines = [json.loads(line) for line in path.read_text().splitlines()]
    tamper(lines)
    path.write_text("".join(json.dumps(line) + "\n" for line in lines))
    empty = open_store(tmp_path / "empty.sqlite")
    before = empty.path.read_bytes()
    with pytest.raises(FaultsFound) as found:
        post(empty, entries, AT)
    assert (found.value.faults[0].file, found.value.faults[0].line) == ("entries/history.jsonl", line)
    assert empty.path.read_bytes() == before


def test_a_history_cut_off_in_a_line_is_refused(tmp_path: Path, store: Store, entries: Path) -> None:
    """A file cut short by a full disk is no history."""
    export(store, entries)
    path = entries / "history.jsonl"
    path.write_bytes(path.read_bytes()[:-20])
    with pytest.raises(FaultsFound, match=r"history\.jsonl:14"):
        post(open_store(tmp_path / "empty.sqlite"), entries, AT)


def test_an_empty_line_ends_no_history(tmp_path: Path, store: Store, entries: Path) -> None:
    """A blank line after the last one is no revision: it is told by its number, to a store and to an empty one."""
    export(store, entries)
    path = entries / "history.jsonl"
    lines = path.read_bytes().count(b"\n")
    path.write_bytes(path.read_bytes() + b"\n")
    for one in (store, open_store(tmp_path / "other.sqlite")):
        with pytest.raises(FaultsFound) as found:
            post(one, entries, AT)
        assert found.value.faults[0].line == lines + 1


def test_words_lost_from_a_history_by_hand_are_missed(tmp_path: Path, store: Store, entries: Path) -> None:
    """Only an erasure excuses missing words, and it comes after them."""
    erase(store, "replies/reader-one", AT)
    (entries / "replies/reader-one.md").unlink()
    export(store, entries)
    path = entries / "history.jsonl"
    lines = path.read_text().splitlines(keepends=True)
    kept = [line for line in lines if '"erased"' not in line and '"edition"' not in line]
    path.write_text("".join(kept))
    with pytest.raises(FaultsFound, match=r"no words, and no erasure"):
        post(open_store(tmp_path / "empty.sqlite"), entries, AT)


def test_erased_words_stay_erased_in_a_clone(tmp_path: Path, store: Store, entries: Path) -> None:
    """The history has neither text nor salt of what was erased; clone and latecomer have the same head."""
    export(store, entries)
    behind = open_store(tmp_path / "behind.sqlite")
    post(behind, entries, AT)
    erase(store, "replies/reader-one", AT)
    (entries / "replies/reader-one.md").unlink()
    export(store, entries)
    assert b"C. Reader" not in (entries / "history.jsonl").read_bytes()
    clone = open_store(tmp_path / "clone.sqlite")
    post(clone, entries, AT)
    assert post(behind, entries, AT).replayed == 1
    for each in (clone, behind):
        assert head(each) == head(store)
        assert fingerprint(each) == fingerprint(store)
        assert verify(each).problems == ()
        assert b"C. Reader" not in each.path.read_bytes()


def test_files_after_a_replay_are_posted_on_top(tmp_path: Path, store: Store, entries: Path) -> None:
    """A file edited after the export is a revision on top of the replayed past."""
    export(store, entries)
    put(entries, {NOTE: SMALL[NOTE].replace("bright", "worn")})
    clone = open_store(tmp_path / "clone.sqlite")
    report = post(clone, entries, AT)
    assert (report.replayed, report.revised) == (13, (NOTE,))
    assert verify(clone).sound


def test_a_faulty_file_keeps_the_history_out_too(tmp_path: Path, store: Store, entries: Path) -> None:
    """Replay and posting are one: with a fault in a file the store stays empty."""
    export(store, entries)
    put(entries, {NOTE: "no entry"})
    clone = open_store(tmp_path / "clone.sqlite")
    with pytest.raises(FaultsFound):
        post(clone, entries, AT)
    assert current(clone) == {}
