"""Files and words that are not what they seem: links, other encodings, far too much, names that lead elsewhere."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.hostile import PATHS
from tests.ledger_files import SMALL, put, taken

Run = Callable[..., tuple[int, str, str]]
NOTE = "evidence/hiss"
WITHDRAW = ("withdraw", NOTE, "--reason", "It was the kettle.")


@pytest.fixture
def case(run: Run, tmp_path: Path) -> Path:
    """A posted ledger, with a file of somebody else's beside it."""
    root = tmp_path / "case"
    put(root / "entries", SMALL)
    assert run("post", "--in", root)[0] == 0
    (tmp_path / "secret.md").write_text(SMALL[NOTE] + "SECRET\n")
    return root


def outside(case: Path) -> dict[str, bytes]:
    """Return what lies beside the investigation."""
    folder = case.parent / "elsewhere"
    return {"secret.md": (case.parent / "secret.md").read_bytes(), **(taken(folder) if folder.exists() else {})}


def latin(note: Path) -> None:
    note.write_bytes(SMALL[NOTE].replace("hisses", "zischt ä").encode("latin-1"))


def wide(note: Path) -> None:
    note.write_text(SMALL[NOTE], "utf-16")


def linked(note: Path) -> None:
    note.unlink()
    note.symlink_to(note.parents[3] / "secret.md")


def in_a_linked_folder(note: Path) -> None:
    shutil.move(note.parent, note.parents[3] / "elsewhere")
    note.parent.symlink_to(note.parents[3] / "elsewhere")


def in_a_circle(note: Path) -> None:
    note.unlink()
    note.symlink_to(note)


def a_folder(note: Path) -> None:
    note.unlink()
    note.mkdir()


def a_pipe(note: Path) -> None:
    note.unlink()
    os.mkfifo(note)


def gigabytes(note: Path) -> None:
    os.truncate(note, 3_000_000_000)


def ten_megabytes(note: Path) -> None:
    note.write_text(f"---\nkind: evidence\ntitle: {'x' * 10_000_000}\n---\n")


def deep(note: Path) -> None:
    note.write_text(f"---\nkind: evidence\ntitle: {'[' * 100_000}\n---\n")


def a_bomb(note: Path) -> None:
    lines = "".join(f"k{number}: &k{number} [{', '.join([f'*k{number - 1}'] * 9)}]\n" for number in range(1, 12))
    note.write_text(f"---\nkind: evidence\nk0: &k0 x\n{lines}---\n")


SPOILT = (
    latin,
    wide,
    linked,
    in_a_linked_folder,
    in_a_circle,
    a_folder,
    a_pipe,
    gigabytes,
    ten_megabytes,
    deep,
    a_bomb,
)


@pytest.mark.parametrize("spoil", SPOILT)
def test_a_file_that_is_not_what_it_seems_is_told(run: Run, case: Path, spoil: Callable[[Path], None]) -> None:
    """Posting and withdrawing name the file and what to do, write nothing, and leave alone what a link leads to."""
    spoil(case / "entries" / f"{NOTE}.md")
    beside, ledger = outside(case), (case / "witness.sqlite").read_bytes()
    for words in (("post",), WITHDRAW):
        code, _, err = run(*words, "--in", case)
        assert (code, "mend" in err) == (1, True), words
        assert NOTE.partition("/")[0] in err
        assert (case / "witness.sqlite").read_bytes() == ledger
        assert outside(case) == beside


def test_nothing_is_exported_through_a_link(run: Run, case: Path) -> None:
    """A folder of entries that is a link elsewhere is refused, and nothing is written there."""
    in_a_linked_folder(case / "entries" / f"{NOTE}.md")
    (case.parent / "elsewhere" / "hiss.md").unlink()
    beside = outside(case)
    code, _, err = run("export", "--in", case)
    assert (code, "symbolic link" in err) == (1, True)
    assert outside(case) == beside


ELSEWHERE = (
    *PATHS,
    "../secret",
    "evidence/../../../secret",
    "evidence/../hiss",
    "x" * 5_000,
    "",
    "/",
    "..",
    "evidence/",
)
COMMANDS = (
    ("show",),
    ("history",),
    ("withdraw", "--reason", "x"),
    ("retake", "--reason", "x"),
    ("erase", "--reason", "x", "--yes"),
    ("trace",),
    ("measure",),
    ("replies", "accept"),
)


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_a_name_that_leads_elsewhere_leads_nowhere(run: Run, case: Path, command: tuple[str, ...]) -> None:
    """Whatever is given as the name of an entry, only an entry is read or written, and the answer is in words."""
    before = taken(case / "entries")
    beside = outside(case)
    for name in ELSEWHERE:
        code, out, err = run(*command, "--in", case, "--", name)
        assert code in (1, 2), (name, out)
        assert err, name
        assert "SECRET" not in out + err
        assert (taken(case / "entries"), outside(case)) == (before, beside)


def test_words_that_are_no_text_are_told(run: Run, case: Path) -> None:
    """A byte that is no UTF-8 on the command line is shown and refused, by whatever command."""
    for words in (("show", "evidence/\udcff"), (*WITHDRAW[:3], "\udce4"), ("post", "--in", "\udcff")):
        code, _, err = run(*words)
        assert (code, r"\udc" in err, "UTF-8" in err) == (1, True, True)
