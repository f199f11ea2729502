"""What a person sees of handing out: every form in a folder, nothing of others written over, all or nothing."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.errors import FaultsFound, WitnessError
from ledger.handing import folder as handing
from ledger.handing.folder import LIST, write_out
from ledger.store.engine import open_store
from ledger.store.erasing import erase
from tests.ledger_files import put

Run = Callable[..., tuple[int, str, str]]
FILES = {
    "json": {"ledger.json", "ledger.schema.json"},
    "csv": {"entries.csv", "sources.csv", "notes.csv", "measurements.csv", "calculations.csv", "criteria.csv",
            "confidences.csv", "weights.csv", "decisions.csv", "references.csv", "tables.txt"},
    "prov": {"provenance.json"},
    "bibtex": {"sources.bib"},
    "csl": {"sources.csl.json"},
}  # fmt: skip
EVERY = set().union(*FILES.values())
SECRET, FORGOTTEN = "kept-to-ourselves", "asked-to-be-forgotten"


def reply(words: str, consent: str) -> str:
    """Return a reply's file."""
    return (
        f"---\nkind: reply\ntitle: Title {words}\nabout: questions/return\nstance: doubt\nname: Name {words}\n"
        f"date: 2031-06-01\nconsent: {consent}\n---\nBody {words}.\n"
    )


@pytest.fixture(scope="module")
def posted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A started investigation with a reply that may not be shown and one that was erased, posted."""
    from ledger.cli.app import gathered

    root = tmp_path_factory.mktemp("posted") / "case"
    gathered(["start"])(["start", str(root), "--by", "A. Keeper"], standalone_mode=False)
    files = {f"replies/{SECRET}": reply(SECRET, "false"), f"replies/{FORGOTTEN}": reply(FORGOTTEN, "true")}
    put(root / "entries", files)
    gathered(["post"])(["post", "--in", str(root)], standalone_mode=False)
    erase(open_store(root / "witness.sqlite"), f"replies/{FORGOTTEN}", "2031-06-02T10:00:00Z")
    (root / "entries" / "replies" / f"{FORGOTTEN}.md").unlink()
    return root


@pytest.fixture
def case(posted: Path, tmp_path: Path) -> Path:
    """A copy of it to change."""
    return Path(shutil.copytree(posted, tmp_path / "case"))


def contents(place: Path) -> dict[str, bytes]:
    """Return every file of a folder with its bytes."""
    return {path.name: path.read_bytes() for path in place.iterdir() if path.is_file()}


def test_every_form_is_handed_out_into_a_new_folder(run: Run, case: Path, tmp_path: Path) -> None:
    """Without a form all are written, into a folder that did not exist, with the list of them beside."""
    target = tmp_path / "a" / "b"
    code, said, _ = run("out", target, "--in", case)
    assert code == 0
    assert set(contents(target)) == EVERY | {LIST}
    assert all(f"written    {name}" in said for name in EVERY)
    assert f"{len(EVERY)} written in" in said
    told = json.loads((target / "ledger.json").read_text("utf-8"))
    assert told["questions"][0]["ref"] == "questions/return"
    assert "number" not in told["edition"]


@pytest.mark.parametrize("form", FILES)
def test_one_form_is_written_alone(run: Run, case: Path, tmp_path: Path, form: str) -> None:
    """A form that is named is written and no other; what was handed out before in others stays known."""
    target = tmp_path / "out"
    assert run("out", target, "--form", form, "--in", case)[0] == 0
    assert set(contents(target)) == FILES[form] | {LIST}
    assert run("out", target, "--in", case)[0] == 0
    assert set(contents(target)) == EVERY | {LIST}
    assert set(json.loads((target / LIST).read_text())) == EVERY


def test_the_same_ledger_gives_the_same_bytes(run: Run, case: Path, tmp_path: Path) -> None:
    """A second time nothing is written; another folder gets the same bytes, also from a copy of the ledger."""
    run("out", tmp_path / "one", "--in", case)
    code, said, _ = run("out", tmp_path / "one", "--in", case)
    assert code == 0
    assert f"0 written in {tmp_path / 'one'}, {len(EVERY)} were the same." in said
    shutil.copytree(case, tmp_path / "copy")
    run("out", tmp_path / "two", "--in", tmp_path / "copy")
    assert contents(tmp_path / "one") == contents(tmp_path / "two")


def test_what_may_not_leave_does_not(run: Run, case: Path, tmp_path: Path) -> None:
    """A reply without consent and erased words are in no file, not even by name."""
    note = case / "entries" / "evidence" / "ping.md"
    note.write_text(note.read_text() + f"\nSee [a reply](replies/{SECRET}.md).\n")
    assert run("post", "--in", case)[0] == 0
    run("out", tmp_path / "out", "--in", case)
    for name, content in contents(tmp_path / "out").items():
        assert SECRET.encode() not in content, name
        assert FORGOTTEN.encode() not in content, name
    assert b"See [a reply](replies/withheld.md)." in (tmp_path / "out" / "entries.csv").read_bytes()


def test_a_published_edition_is_handed_out_with_its_number(run: Run, case: Path, tmp_path: Path) -> None:
    """Handing out gives no number; where the same content was published, it has that edition's."""
    from ledger.store import derived

    store = open_store(case / "witness.sqlite")
    run("out", tmp_path / "before", "--in", case)
    assert derived.numbered(store) == 0
    number = derived.edition(store)
    run("out", tmp_path / "after", "--in", case)
    assert derived.numbered(store) == number
    assert json.loads((tmp_path / "after" / "ledger.json").read_text("utf-8"))["edition"]["number"] == number


def test_a_later_posting_is_handed_out_over_the_earlier(run: Run, case: Path, tmp_path: Path) -> None:
    """Files that were handed out before, and left alone since, are replaced by what the ledger says now."""
    target = tmp_path / "out"
    run("out", target, "--in", case)
    before = contents(target)
    run("withdraw", "evidence/ping", "--reason", "heard wrong", "--in", case)
    code, _, _ = run("out", target, "--in", case)
    assert code == 0
    assert contents(target)["ledger.json"] != before["ledger.json"]
    assert contents(target)["sources.bib"] == before["sources.bib"]
    assert b"heard wrong" in contents(target)["entries.csv"]


def test_files_of_others_are_never_written_over(run: Run, case: Path, tmp_path: Path) -> None:
    """Somebody's file, a changed one, a link and a folder in the way are told all at once, and nothing is written."""
    target = tmp_path / "out"
    run("out", target, "--form", "json", "--in", case)
    (target / "ledger.json").write_text("edited")
    (target / "sources.bib").write_text("my own bibliography")
    (target / "notes.csv").mkdir()
    (target / "provenance.json").symlink_to(case / "witness.sqlite")
    before = contents(target)
    code, _, err = run("out", target, "--in", case)
    assert code == 1
    assert "4 faults; nothing was changed." in err
    for name, given in (
        ("ledger.json", "a file that was changed since it was handed out"),
        ("sources.bib", "a file of somebody else's"),
        ("notes.csv", "no ordinary file"),
        ("provenance.json", "no ordinary file"),
    ):
        assert f"{target / name}  file\n    given     {given}" in err
    assert contents(target) == before
    assert not (target / "entries.csv").exists()


@pytest.mark.parametrize("content", ["", "[]", '{"a": 1}', '{"a": "b"}', "\xff"])
def test_a_list_that_is_somebody_elses_is_refused(run: Run, case: Path, tmp_path: Path, content: str) -> None:
    """A file of the list's name that is no such list is left alone, and so is everything else."""
    target = tmp_path / "out"
    target.mkdir()
    (target / LIST).write_text(content, "latin-1")
    code, _, err = run("out", target, "--in", case)
    assert code == 1
    assert "the list of what was handed out, as it was written" in err
    assert list(contents(target)) == [LIST]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("case/entries/replies",), 1, "a folder among the entry files"),
        (("case",), 1, "the investigation's own folder"),
        (("case/build/site/data",), 1, "a folder in the published site"),
        (("case/site/pages",), 1, "a folder among the site's own pages"),
        (("case/witness.sqlite",), 1, "given     a file"),
        (("out", "--form", "xml"), 2, "given `xml`; expected one of"),
        ((), 2, "DIR"),
    ],
)
def test_wrong_words_get_right_answers(
    run: Run, case: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], code: int, said: str
) -> None:
    """Every mistake is answered with what would be right, and nothing is written."""
    monkeypatch.chdir(case.parent)
    before = sorted(case.parent.rglob("*"))
    given, printed, err = run("out", *words, "--in", case)
    assert given == code
    assert said in printed + err
    assert "Traceback" not in printed + err
    assert [path for path in sorted(case.parent.rglob("*")) if path not in before] == []


def test_a_record_that_does_not_verify_is_not_handed_out(run: Run, case: Path, tmp_path: Path) -> None:
    """A word changed behind the ledger's back stops everything, with exit code 3."""
    with sqlite3.connect(case / "witness.sqlite") as connection:
        connection.execute("DROP TRIGGER words_never_change")
        connection.execute("UPDATE words SET text = replace(text, 'rub', 'scratch')")
    code, _, err = run("out", tmp_path / "out", "--in", case)
    assert code == 3
    assert "Nothing was written." in err
    assert not (tmp_path / "out").exists()


def test_a_script_gets_names(run: Run, case: Path, tmp_path: Path) -> None:
    """With --json the names are told and nothing else; faults too."""
    code, said, _ = run("out", tmp_path / "out", "--form", "csl", "--in", case, "--json")
    assert code == 0
    assert json.loads(said) == {"written": ["sources.csl.json"], "unchanged": []}
    (tmp_path / "out" / "sources.csl.json").write_text("mine")
    code, said, _ = run("out", tmp_path / "out", "--form", "csl", "--in", case, "--json")
    assert code == 1
    assert json.loads(said)["faults"][0]["given"] == "a file that was changed since it was handed out"


@pytest.mark.parametrize("fails", [1, 2, 3])
def test_all_files_are_in_place_or_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: int) -> None:
    """Where one file cannot be put into place, those before it are put back as they were, and nothing else is left."""
    target = tmp_path / "deep" / "out"
    write_out(target, {"a": b"old"})
    before = contents(target)
    replace, calls = os.replace, []

    def breaking(one: Path, other: Path) -> None:
        calls.append(other)
        if len(calls) == fails:
            raise OSError(28, "No space left on device")
        replace(one, other)

    monkeypatch.setattr(handing.os, "replace", breaking)
    with pytest.raises(WitnessError, match=r"cannot be written: No space left on device.*nothing was written"):
        write_out(target, {"a": b"new", "b": b"new"})
    monkeypatch.undo()
    assert contents(target) == before
    assert [path.name for path in target.iterdir() if path.name not in before] == []
    calls.clear()
    monkeypatch.setattr(handing.os, "replace", breaking)
    with pytest.raises(WitnessError):
        write_out(tmp_path / "fresh" / "out", {"a": b"new", "b": b"new"})
    monkeypatch.undo()
    assert not (tmp_path / "fresh").exists()


def test_an_interrupted_hand_leaves_no_half(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopped by hand in the middle, the folder is as it was."""
    write_out(tmp_path / "out", {"a": b"old"})
    before = contents(tmp_path / "out")

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(handing, "_whole", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_out(tmp_path / "out", {"a": b"new"})
    monkeypatch.undo()
    assert contents(tmp_path / "out") == before


def test_the_list_says_what_was_written(tmp_path: Path) -> None:
    """Every file stands in it by its sha256, and one that has the wanted bytes already is taken for handed out."""
    (tmp_path / "b").write_bytes(b"same")
    done = write_out(tmp_path, {"a": b"one", "b": b"same"})
    assert (done.written, done.unchanged) == (("a",), ("b",))
    assert set(json.loads((tmp_path / LIST).read_text())) == {"a", "b"}
    (tmp_path / "a").write_bytes(b"mine")
    with pytest.raises(FaultsFound):
        write_out(tmp_path, {"a": b"two"})
