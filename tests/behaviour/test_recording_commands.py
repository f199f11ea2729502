"""Commands that write the record, as a person sees them: start, post, withdraw, export, and names that change."""

from __future__ import annotations

import json
import shutil
from contextlib import suppress
from pathlib import Path

import pytest

from ledger.cli import posting, recording
from ledger.errors import StoreBusy
from tests.conftest import Run


def test_title_and_author_are_taken_as_given(run: Run, case: Path) -> None:
    """Signs that mean something in front matter survive the start."""
    _, out, _ = run("show", "investigation/latch", "--in", case, "--json")
    assert json.loads(out)["front"]["title"] == "What: returns it?"
    assert json.loads(out)["front"]["by"] == ['A. "Reader"']


def test_start_writes_over_nothing(run: Run, case: Path) -> None:
    """A folder with something in it is refused and left as it was."""
    before = sorted(case.rglob("*"))
    code, _, err = run("start", case)
    assert code == 1
    assert "nothing is ever written over" in err
    assert sorted(case.rglob("*")) == before


def test_posting_twice_changes_nothing(run: Run, case: Path) -> None:
    """The second posting reports everything unchanged, and the ledger file keeps its bytes."""
    before = (case / "witness.sqlite").read_bytes()
    code, out, _ = run("post", "--in", case)
    assert code == 0
    assert "0 posted, 11 unchanged." in out
    assert (case / "witness.sqlite").read_bytes() == before


def test_faults_are_told_all_at_once_and_nothing_is_posted(run: Run, case: Path) -> None:
    """Three faults in two files give three reports with place and remedy, exit code 1, and an unchanged ledger."""
    note = case / "entries" / "evidence" / "ping.md"
    note.write_text(note.read_text().replace("credibility: 3", "credibility: 9").replace("likely", "surely"))
    calculation = case / "entries" / "calculations" / "coil-fits.md"
    calculation.write_text(calculation.read_text().replace("output: length", "output: lenght"))
    before = (case / "witness.sqlite").read_bytes()
    code, _, err = run("post", "--in", case)
    assert code == 1
    assert "3 faults; nothing was changed." in err
    for words in ("ping.md:5", "ping.md:7", "coil-fits.md", "Did you mean `length`?"):
        assert words in err
    assert (case / "witness.sqlite").read_bytes() == before
    code, out, _ = run("post", "--in", case, "--json")
    assert code == 1
    assert len(json.loads(out)["faults"]) == 3


def test_a_withdrawn_entry_keeps_its_history(run: Run, case: Path) -> None:
    """Withdrawing writes the reason into the file, takes the weight away, and leaves two revisions."""
    code, out, _ = run("withdraw", "evidence/ping", "--reason", "heard wrong: it was a bell", "--in", case)
    assert code == 0
    assert "withdrawn" in out
    assert 'withdrawn: "heard wrong: it was a bell"' in (case / "entries" / "evidence" / "ping.md").read_text()
    _, out, _ = run("history", "evidence/ping", "--in", case, "--json")
    assert [one["action"] for one in json.loads(out)] == ["new", "withdrawn"]
    _, out, _ = run("compare", "return", "--in", case, "--json")
    assert "evidence/ping" not in json.loads(out)["weights"]


def test_a_deleted_file_deletes_nothing(run: Run, case: Path) -> None:
    """The entry is kept and reported; withdrawing it brings its file back with the reason."""
    (case / "entries" / "evidence" / "ping.md").unlink()
    code, out, _ = run("post", "--in", case)
    assert code == 0
    assert "evidence/ping: kept in the ledger" in out
    code, _, _ = run("withdraw", "evidence/ping", "--reason", "lost", "--in", case)
    assert code == 0
    assert "withdrawn: lost" in (case / "entries" / "evidence" / "ping.md").read_text()


def test_export_gives_a_clone_the_past(run: Run, case: Path, tmp_path: Path) -> None:
    """A folder with the exported entries posts into an empty ledger with the same history."""
    run("withdraw", "evidence/ping", "--reason", "heard wrong", "--in", case)
    code, _, _ = run("export", "--in", case)
    assert code == 0
    clone = tmp_path / "clone"
    shutil.copytree(case / "entries", clone / "entries")
    code, out, _ = run("post", "--in", clone)
    assert code == 0
    assert "12 revisions replayed" in out
    _, there, _ = run("history", "evidence/ping", "--in", clone, "--json")
    _, here, _ = run("history", "evidence/ping", "--in", case, "--json")
    assert json.loads(there) == json.loads(here)


def test_changes_that_go_with_a_withdrawal_are_told(run: Run, case: Path) -> None:
    """A file with changes that were not posted is withdrawn with them, and that is said; without any nothing is."""
    note = case / "entries" / "evidence" / "ping.md"
    _, out, _ = run("withdraw", "evidence/rub-mark", "--reason", "It is a scratch.", "--in", case)
    assert "posted with it" not in out
    note.write_text(f"{note.read_text().rstrip()} Twice.\n")
    _, out, _ = run("withdraw", "evidence/ping", "--reason", "It was the kettle.", "--in", case)
    assert "posted with it: changes of entries/evidence/ping.md" in out


def test_a_withdrawal_is_not_held_up_by_other_files(run: Run, case: Path) -> None:
    """A fault waiting in one file does not keep another entry from being withdrawn."""
    mark = case / "entries" / "evidence" / "rub-mark.md"
    mark.write_text(mark.read_text().replace("credibility: 2", "credibility: 9"))
    code, _, err = run("withdraw", "evidence/ping", "--reason", "heard wrong", "--in", case)
    assert code == 0, err
    assert run("post", "--in", case)[0] == 1


def test_show_follows_former_names(run: Run, case: Path) -> None:
    """After a rename the old name still leads to the entry."""
    old = case / "entries" / "evidence" / "ping.md"
    text = old.read_text().replace("credibility: 3", "credibility: 3\nformerly: ping")
    old.unlink()
    (case / "entries" / "evidence" / "ringing.md").write_text(text)
    code, out, err = run("post", "--in", case)
    assert code == 0, err
    assert "evidence/ping is now evidence/ringing" in out
    code, out, _ = run("show", "evidence/ping", "--in", case)
    assert code == 0
    assert out.startswith("evidence/ringing")


@pytest.mark.parametrize("stop", [KeyboardInterrupt, StoreBusy("busy")])
def test_a_withdrawal_that_cannot_be_posted_leaves_the_file(
    run: Run, case: Path, monkeypatch: pytest.MonkeyPatch, stop: BaseException
) -> None:
    """Whatever stops the posting, the entry's file is as it was; a file that was not there is not there."""

    def stopped(*_: object, **__: object) -> None:
        raise stop

    monkeypatch.setattr(recording, "post_and_report", stopped)
    file = case / "entries" / "evidence" / "ping.md"
    before = file.read_bytes()
    for there in (True, False):
        if not there:
            file.unlink()
        with suppress(KeyboardInterrupt):
            assert run("withdraw", "evidence/ping", "--reason", "heard wrong", "--in", case)[0] != 0
        assert (file.read_bytes() if file.exists() else None) == (before if there else None)


@pytest.mark.parametrize("stop", [KeyboardInterrupt, OSError("No space left on device")])
def test_a_withdrawal_that_was_posted_leaves_its_file(
    run: Run, case: Path, monkeypatch: pytest.MonkeyPatch, stop: BaseException
) -> None:
    """What stops the report of a posting takes nothing back: file and record say the same, and the next post agrees."""

    def stopped(_: object) -> None:
        raise stop

    with monkeypatch.context() as patched:
        patched.setattr(posting, "_print_report", stopped)
        with suppress(KeyboardInterrupt):
            run("withdraw", "evidence/ping", "--reason", "heard wrong", "--in", case)
    assert "withdrawn: heard wrong" in (case / "entries" / "evidence" / "ping.md").read_text()
    _, out, _ = run("post", "--in", case)
    assert "0 posted, 11 unchanged." in out
    _, out, _ = run("history", "evidence/ping", "--in", case, "--json")
    assert [one["action"] for one in json.loads(out)] == ["new", "withdrawn"]
