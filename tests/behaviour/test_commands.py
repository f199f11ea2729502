"""What a person at a terminal sees of every command: help, words on wrong input, exit codes, poor terminals."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from ledger.cli.app import COMMANDS, found
from tests.conftest import Run


def test_every_command_explains_itself(run: Run) -> None:
    """`--help` works on the whole and on every command, and every option and argument has words."""
    code, out, _ = run("--help")
    assert code == 0
    words = "start post show history rank compare calculate publish preview withdraw export backup restore check"
    commands = [*words.split(), "calculators", "next"]
    for command in commands:
        assert command in out
        code, words, _ = run(command, "--help")
        assert code == 0
        assert "Usage" in words


@pytest.mark.parametrize("name", COMMANDS)
def test_help_lists_a_command_by_its_own_words(name: str) -> None:
    """What the list says of a command is what the command says of itself."""
    command = found(name)
    said = command.info.help if isinstance(command, typer.Typer) else command.__doc__
    assert " ".join(str(said).split("\n\n")[0].split()) == COMMANDS[name][1]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("show", "evidence/pingg"), 1, "Nearest: evidence/ping"),
        (("history", "evidence/nothing-like-it"), 1, "no entry"),
        (("withdraw", "evidence/pingg", "--reason", "x"), 1, "Nearest: evidence/ping"),
        (("compare", "retrun"), 1, "questions/return"),
        (("calculate", "axial-lenght"), 1, "Did you mean `axial-length`?"),
        (("calculate", "axial-length"), 1, "Give `layout=@table.csv`."),
        (("calculate", "shift-states", "gears=eight"), 1, "gears"),
        (("calculate", "shift-states", "gears=4", "gears=5", "wheels=2"), 1, "2 faults"),
        (("rank", "--no-such-option"), 2, "No such option"),
        (("nonsense",), 2, "No such command"),
    ],
)
def test_wrong_words_get_right_answers(run: Run, case: Path, words: tuple[str, ...], code: int, said: str) -> None:
    """Every mistake is answered with what would be right, an exit code for scripts, and no traceback."""
    place = () if words[0] in ("calculate", "nonsense") else ("--in", case)
    given, out, err = run(*words, *place)
    assert given == code
    assert said in out + err
    assert "Traceback" not in out + err


def test_a_folder_that_is_none_says_how_to_make_one(run: Run, tmp_path: Path) -> None:
    """Outside an investigation every command says how to lay one out; with no ledger yet, how to make it."""
    code, _, err = run("rank", "--in", tmp_path)
    assert code == 1
    assert "witness start" in err
    (tmp_path / "entries").mkdir()
    code, _, err = run("rank", "--in", tmp_path)
    assert code == 3
    assert "witness post" in err


def test_a_file_that_is_no_ledger_is_refused(run: Run, case: Path) -> None:
    """A text file and another program's database are refused with exit code 3, and left as they were."""
    (case / "witness.sqlite").write_text("not a ledger at all, just some words" * 10)
    code, _, err = run("post", "--in", case)
    assert code == 3
    assert "witness.sqlite" in err
    assert (case / "witness.sqlite").read_text().startswith("not a ledger")


def test_a_terminal_without_signs_ends_no_command(case: Path) -> None:
    """Where ± and – cannot be written, a question mark stands for them, and the command goes on."""
    command = [sys.executable, "-c", "from ledger.cli import main; main()", "rank", "--in", str(case)]
    done = subprocess.run(
        command, capture_output=True, text=True, encoding="ascii", env={**os.environ, "PYTHONIOENCODING": "ascii"}
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "53?% ?" in done.stdout


def test_version_and_a_table_narrow_enough_for_a_terminal(
    run: Run, case: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`--version` prints it; at 80 columns no weight of `compare` is cut off."""
    code, out, _ = run("--version")
    assert code == 0
    assert out.count(".") == 2
    import re

    from ledger.cli import answering

    monkeypatch.setattr(answering.console, "_width", 80)
    _, out, _ = run("compare", "return", "--in", case)
    assert len(re.findall(r"[+-]\d+\.\d │", out)) >= 9
    assert "…" not in out.split("weight in decibans")[1].split("Account")[0].split("calculation")[0]


def test_a_read_only_investigation_can_be_read(run: Run, case: Path) -> None:
    """Ranking, showing and checking need not write; posting into what cannot be written is refused in words."""
    run("rank", "--in", case)
    paths = [case / "witness.sqlite", case]
    modes = [path.stat().st_mode for path in paths]
    (case / "witness.sqlite").chmod(0o444)
    case.chmod(0o555)
    try:
        for words in (["rank"], ["show", "evidence/ping"], ["check"]):
            code, _, err = run(*words, "--in", case)
            assert code == 0, err
    finally:
        for path, mode in zip(paths, modes, strict=True):
            path.chmod(mode)


@pytest.mark.parametrize("words", [("check",), ("rank",), ("show", "evidence/ping"), ("compare", "return")])
def test_a_reader_that_is_gone_stops_nothing(case: Path, words: tuple[str, ...]) -> None:
    """A pipe that nobody reads any more is no fault: the command comes to its end, and says so by 0."""
    read, write = os.pipe()
    os.close(read)
    command = [sys.executable, "-c", "from ledger.cli import main; main()", *words, "--in", str(case)]
    done = subprocess.run(command, stdout=write, stderr=subprocess.PIPE, text=True, check=False)
    os.close(write)
    assert (done.returncode, done.stderr) == (0, "")


def test_where_nobody_can_be_asked_nothing_is_erased(case: Path) -> None:
    """Without anything to read an answer from, the command says how to answer beforehand."""
    script = "import sys; sys.stdin = None; from ledger.cli import main; main()"
    command = [sys.executable, "-c", script, "erase", "evidence/ping", "--reason", "asked", "--in", str(case)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "Write `--yes`." in done.stderr
    assert "Traceback" not in done.stderr
    assert (case / "entries" / "evidence" / "ping.md").exists()
