"""What a person at a terminal sees: every command on a started investigation, words on wrong input, exit codes."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest
import typer

from ledger.cli import recording
from ledger.cli.app import COMMANDS, found
from ledger.errors import StoreBusy

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="module")
def started(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A started investigation, posted once."""
    folder = tmp_path_factory.mktemp("started") / "case"
    for words in (
        ["start", str(folder), "--title", "What: returns it?", "--by", 'A. "Reader"'],
        ["post", "--in", str(folder)],
    ):
        done = subprocess.run(
            [sys.executable, "-c", "from ledger.cli import main; main()", *words],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
    return folder


@pytest.fixture
def case(started: Path, tmp_path: Path) -> Path:
    """A copy of it to change."""
    return Path(shutil.copytree(started, tmp_path / "case"))


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


def test_a_started_investigation_ranks_at_once(run: Run, case: Path) -> None:
    """`rank` names the leader, as text and as JSON with confidences that sum to one."""
    code, out, _ = run("rank", "--in", case)
    assert code == 0
    assert "(leads)" in out
    code, out, _ = run("rank", "--in", case, "--json")
    ranked = json.loads(out)["questions/return"]
    assert sum(one["confidence"] for one in ranked["standings"]) == pytest.approx(1)
    assert ranked["leader"].startswith("hypotheses/")


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
    assert "0 posted, 10 unchanged." in out
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
    assert "11 revisions replayed" in out
    _, there, _ = run("history", "evidence/ping", "--in", clone, "--json")
    _, here, _ = run("history", "evidence/ping", "--in", case, "--json")
    assert json.loads(there) == json.loads(here)


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


def test_check_finds_a_result_changed_behind_its_back(run: Run, case: Path) -> None:
    """Results that do not follow from their inputs are wrong, and check says so with exit code 1."""
    run("rank", "--in", case)
    assert run("check", "--in", case)[0] == 0
    with sqlite3.connect(case / "witness.sqlite") as connection:
        connection.execute("UPDATE result SET summary = replace(summary, '0.9', '0.1') WHERE ref LIKE 'calculations/%'")
    connection.close()
    code, out, _ = run("check", "--in", case)
    assert code == 1
    assert "calculations/coil-fits" in out


def test_changes_that_go_with_a_withdrawal_are_told(run: Run, case: Path) -> None:
    """A file with changes that were not posted is withdrawn with them, and that is said; without any nothing is."""
    note = case / "entries" / "evidence" / "ping.md"
    _, out, _ = run("withdraw", "evidence/rub-mark", "--reason", "It is a scratch.", "--in", case)
    assert "posted with it" not in out
    note.write_text(f"{note.read_text().rstrip()} Twice.\n")
    _, out, _ = run("withdraw", "evidence/ping", "--reason", "It was the kettle.", "--in", case)
    assert "posted with it: changes of entries/evidence/ping.md" in out


def test_check_names_a_note_that_is_written_down_again(run: Run, case: Path) -> None:
    """The same words about one source with the same bearing count once more each time, and are named; others not."""
    note = case / "entries" / "evidence" / "rub-mark.md"
    again, other = note.with_stem("rub-mark-again"), note.with_stem("rub-mark-besides")
    again.write_text(note.read_text().replace("title: ", "title: Once more, ", 1))
    other.write_text(f"{note.read_text().rstrip()} It is fresh.\n")
    assert run("post", "--in", case)[0] == 0
    code, out, _ = run("check", "--in", case)
    assert code == 1
    assert "evidence/rub-mark, evidence/rub-mark-again say the same of sources/" in " ".join(out.split())
    assert "besides" not in out


def test_a_terminal_without_signs_ends_no_command(case: Path) -> None:
    """Where ± and – cannot be written, a question mark stands for them, and the command goes on."""
    command = [sys.executable, "-c", "from ledger.cli import main; main()", "rank", "--in", str(case)]
    done = subprocess.run(
        command, capture_output=True, text=True, encoding="ascii", env={**os.environ, "PYTHONIOENCODING": "ascii"}
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "53?% ?" in done.stdout


def test_check_names_a_measurement_that_would_count_twice(run: Run, case: Path) -> None:
    """A note that restates a measurement and a calculation that stands on it are named until one does not count."""
    note = case / "entries" / "evidence" / "rub-mark.md"
    note.write_text(note.read_text().replace("credibility: 2", "credibility: 2\nmeasurements: [depth]"))
    calculation = case / "entries" / "calculations" / "coil-fits.md"
    calculation.write_text(
        calculation.read_text().replace("criteria:\n", "observed: {output: length, measurement: depth}\ncriteria:\n")
    )
    leaf = case / "entries" / "hypotheses" / "leaf-spring.md"
    leaf.write_text(leaf.read_text().replace("prior: 0.4", "prior: 0.4\npredicts: {depth: 1..30 mm}"))
    assert run("post", "--in", case)[0] == 0
    code, out, _ = run("check", "--in", case)
    assert code == 1
    assert "measurements/depth would count twice" in out
    note.write_text(
        note.read_text().replace("credibility: 2", "credibility: 2\nuncounted: the calculation says it better")
    )
    assert run("post", "--in", case)[0] == 0
    assert run("check", "--in", case)[0] == 0


def test_calculate_reads_units_and_tables(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Inputs with units and a CSV table give a result with its interval, sources and cautions."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "path.csv").write_text("element,capacity,where,factor\nshaft,0.7 ± 0.06 kN·m,before,1\n")
    code, out, _ = run("calculate", "torque-headroom", "torque=500 ± 20 N·m", "elements=@path.csv")
    assert code == 0
    for words in (
        "500 ± 20 N·m",
        "95 % interval",
        "Sources",
        "Cautions",
        "never" if "never" in out else "not for rating",
    ):
        assert words in out
    code, out, _ = run("calculate", "torque-headroom", "torque=500 N·m", "elements=@path.csv", "--json")
    assert json.loads(out)["calculator"] == "torque-headroom"


@pytest.mark.parametrize("command", ["publish", "preview"])
def test_nothing_is_posted_for_a_site_without_a_configuration(run: Run, case: Path, command: str) -> None:
    """A missing `site/mkdocs.yml` is told with what to do, before anything is posted."""
    (case / "site/mkdocs.yml").unlink()
    note = case / "entries/evidence/ping.md"
    note.write_text(f"{note.read_text().rstrip()} Again.\n")
    code, _, err = run(command, "--in", case)
    assert code == 1
    assert "site/mkdocs.yml" in err
    assert "witness start" in err
    assert len(json.loads(run("history", "evidence/ping", "--json", "--in", case)[1])) == 1


def test_publish_builds_a_site_that_opens_from_a_file(run: Run, case: Path) -> None:
    """Publishing a started investigation says where to open it; publishing again gives the same bytes."""
    code, out, err = run("publish", "--in", case)
    assert code == 0, err
    index = case / "build" / "site" / "index.html"
    assert str(index) in out
    first = {path.relative_to(case): path.read_bytes() for path in (case / "build").rglob("*") if path.is_file()}
    assert run("publish", "--in", case)[0] == 0
    second = {path.relative_to(case): path.read_bytes() for path in (case / "build").rglob("*") if path.is_file()}
    assert first == second


def test_calculators_are_listed_and_explained(run: Run) -> None:
    """Every calculator of the register is listed; explaining one names its inputs, formula, sources and cautions."""
    from ledger.calculators.register import CALCULATORS

    code, out, _ = run("calculators", "--json")
    assert code == 0
    assert set(json.loads(out)) == {calculator.name for calculator in CALCULATORS}
    for calculator in CALCULATORS:
        code, out, _ = run("calculators", calculator.name)
        assert code == 0
        for words in ("Sources", "Assumptions", "Cautions", *(declared.name for declared in calculator.inputs)):
            assert words in out
    assert run("calculators", "axial-lenght")[0] == 1


def test_a_calculation_can_be_written_as_an_entry(
    run: Run, case: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The entry written by `calculate --entry` posts without a fault, and one that is there is not written over."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "stack.csv").write_text("part,length\nplate,2 ± 0.1 mm\npin,3..4 mm\n")
    words = (
        "calculate",
        "axial-length",
        "layout=@stack.csv",
        "--entry",
        "by-hand",
        "--title",
        "By hand: no",
        "--in",
        case,
    )
    code, _, err = run(*words)
    assert code == 0
    assert "by-hand.md" in err
    code, out, _ = run("post", "--in", case)
    assert code == 0
    assert "new        calculations/by-hand" in out
    before = (case / "entries" / "calculations" / "by-hand.md").read_bytes()
    code, _, err = run(*words)
    assert code == 1
    assert "there already" in err
    assert (case / "entries" / "calculations" / "by-hand.md").read_bytes() == before


def test_numbers_across_rivals_go_to_csv(run: Run, case: Path, tmp_path: Path) -> None:
    """One calculator's numbers for the rivals of a question come as a table, as JSON and as a CSV that pandas reads."""
    import pandas

    table = tmp_path / "table.csv"
    code, out, _ = run("compare", "return", "--calculator", "axial-length", "--csv", table, "--in", case)
    assert code == 0
    frame = pandas.read_csv(table)
    length = frame[frame["output"] == "length"].iloc[0]
    assert length["hypothesis"] == "hypotheses/coil-spring"
    assert length["estimate"] == pytest.approx(14 - (2 + 7.5 + 2.5), abs=0.05)
    assert 0 < length["kept"] < 1
    _, out, _ = run("compare", "return", "--calculator", "axial-length", "--in", case, "--json")
    assert len(json.loads(out)) == len(frame)
    assert run("compare", "return", "--csv", table, "--in", case)[0] == 1


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


def test_nothing_is_published_from_a_record_that_does_not_verify(run: Run, case: Path) -> None:
    """A title changed behind the record stops publishing with exit code 3; rebuilding from the revisions mends it."""
    connection = sqlite3.connect(case / "witness.sqlite")
    connection.execute("UPDATE entry SET title = 'hacked' WHERE ref = 'evidence/ping'")
    connection.commit()
    connection.close()
    code, _, err = run("publish", "--in", case)
    assert code == 3
    assert "evidence/ping" in err
    assert not (case / "build").exists()
    assert run("check", "--in", case)[0] == 1
    assert run("check", "--rebuild", "--in", case)[0] == 0


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


def test_next_ranks_what_to_look_for(run: Run, case: Path) -> None:
    """A lookout that would tell the rivals apart comes before one that would not, whose gain is nothing."""
    folder = case / "entries" / "lookouts"
    folder.mkdir()
    sharp = "{coil-spring: 0.9, leaf-spring: 0.1}", "{coil-spring: 0.1, leaf-spring: 0.9}"
    blunt = ("{coil-spring: 0.5, leaf-spring: 0.5}",) * 2
    for name, (yes, no) in (("sharp", sharp), ("blunt", blunt)):
        text = f"---\nkind: lookout\ntitle: {name}\nquestion: return\noutcomes:\n  seen: {yes}\n  not-seen: {no}\n---\n"
        (folder / f"{name}.md").write_text(text)
    code, _, err = run("post", "--in", case)
    assert code == 0, err
    _, out, _ = run("next", "--in", case, "--json")
    found = json.loads(out)["lookouts"]
    assert list(found) == ["lookouts/sharp", "lookouts/blunt"]
    assert found["lookouts/sharp"]["gain"] > 0.2
    assert found["lookouts/blunt"]["gain"] == pytest.approx(0, abs=1e-12)
    assert "sharp" in run("next", "--in", case)[1]


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
