"""What `witness trace`, `witness impact` and `witness retake` say and do; what `witness check` says of decisions."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from time import sleep
from xml.etree import ElementTree

import pytest

from tests import traced

Run = Callable[..., tuple[int, str, str]]
DECISIONS = {
    "decisions/coil": """---
kind: decision
title: The model gets a coil
choice: A coil of 0.8 mm wire
grounds:
  - hypotheses/coil-spring
  - calculations/coil-fits
taken: 2021-05-17   # on the day
quotes:
  - {of: measurements/depth, said: 14 ± 1.5 mm}
least-confidence:
  coil-spring: 0.3
---
Because it rang.
""",
    "decisions/lid": """---
kind: decision
title: The lid is as deep
choice: As deep
grounds:
  - decisions/coil
taken: 2021-05-18
---
""",
}


@pytest.fixture(scope="module")
def started(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A started investigation with two decisions, its files not yet posted."""
    from ledger.cli.recording import start

    folder = tmp_path_factory.mktemp("started") / "case"
    start(folder, "A latch", "A. Reader")
    for ref, text in DECISIONS.items():
        path = folder / "entries" / f"{ref}.md"
        path.parent.mkdir(exist_ok=True)
        path.write_text(text)
    return folder


@pytest.fixture
def case(started: Path, tmp_path: Path, run: Run) -> Path:
    """A copy of it, posted."""
    folder = Path(shutil.copytree(started, tmp_path / "case"))
    code, out, err = run("post", "--in", folder)
    assert code == 0, out + err
    return folder


def file(case: Path, ref: str) -> Path:
    """The file of an entry."""
    return case / "entries" / f"{ref}.md"


def deeper(case: Path, run: Run, quantity: str = "26 ± 2 mm") -> None:
    """Measure the depth anew and post it."""
    path = file(case, "measurements/depth")
    said = path.read_text()
    path.write_text(
        "\n".join(f"quantity: {quantity}" if line.startswith("quantity:") else line for line in said.split("\n"))
    )
    assert run("post", "--in", case)[0] == 0


def test_a_trace_is_a_tree_with_weights(run: Run, case: Path) -> None:
    """From the decision to the photograph: confidence, decibans, criteria, quantity, soundness; twice told once."""
    code, out, _ = run("trace", "decisions/coil", "--in", case)
    assert code == 0
    lines = out.splitlines()
    assert lines[0].startswith("The model gets a coil")
    for words in ("\N{NO-BREAK SPACE}%", "decibans", "criteria", "mm", "sound: ", "without it ", "as above"):
        assert words in out
    depth = [len(line) - len(line.lstrip("│├└─ ")) for line in lines]
    assert depth[0] == 0 < depth[1] < max(depth)


def test_a_trace_as_json_has_nodes_and_edges(run: Run, case: Path) -> None:
    """Each entry once with its column, each tie with its decibans, and nothing that JSON does not have."""

    def refuse(constant: str) -> None:
        raise ValueError(constant)

    found = json.loads(run("trace", "decisions/lid", "--in", case, "--json")[1], parse_constant=refuse)
    assert found["root"] == "decisions/lid"
    columns = {ref: node["column"] for ref, node in found["nodes"].items()}
    assert columns["sources/cover-photograph"] == 0
    assert columns["measurements/depth"] == columns["evidence/ping"] == 1
    assert columns["hypotheses/coil-spring"] == columns["calculations/coil-fits"] == 2
    assert columns["decisions/coil"] == columns["decisions/lid"] == 3
    weighed = {(edge["upper"], edge["lower"]) for edge in found["edges"] if edge["decibans"] is not None}
    assert ("hypotheses/coil-spring", "evidence/ping") in weighed


def test_a_drawing_is_a_picture_of_its_own(run: Run, case: Path, tmp_path: Path) -> None:
    """The file is well-formed SVG with its colours in it, a box for each entry and no link that leads nowhere."""
    to = tmp_path / "coil.svg"
    code, out, _ = run("trace", "decisions/coil", "--drawing", to, "--in", case)
    assert code == 0
    assert str(to) in out
    picture = ElementTree.fromstring(to.read_text("utf-8"))
    space = "{http://www.w3.org/2000/svg}"
    assert picture.tag == f"{space}svg"
    assert "light-dark(" in "".join(style.text or "" for style in picture.iter(f"{space}style"))
    boxes = [box for box in picture.iter(f"{space}rect") if "wl-trace-box" in box.attrib["class"]]
    assert len(boxes) >= 6
    assert not list(picture.iter(f"{space}a"))
    assert "wl-trace-root" in to.read_text("utf-8")


def test_an_impact_goes_up_and_withdraws(run: Run, case: Path) -> None:
    """What stands on a source, by kind; and without it: what moves, and which decisions lose what."""
    code, out, _ = run("impact", "sources/cover-photograph", "--in", case)
    assert code == 0
    for words in ("decisions", "The model gets a coil", "If withdrawn", "loses ground", "would lose its ground itself"):
        assert words in out
    found = json.loads(run("impact", "sources/cover-photograph", "--in", case, "--json")[1])
    assert {"decisions/coil", "decisions/lid", "measurements/depth"} <= set(found["above"])
    assert found["without"]["moves"][0]["before"] != found["without"]["moves"][0]["after"]
    assert set(found["without"]["decisions"]) == {"decisions/coil", "decisions/lid"}


def test_an_impact_of_several_of_a_person_and_of_all(run: Run, case: Path) -> None:
    """Several entries together, everything from an author by name in any case, and every source in turn."""
    together = json.loads(run("impact", "evidence/ping", "evidence/rub-mark", "--in", case, "--json")[1])
    assert together["without"]["refs"] == ["evidence/ping", "evidence/rub-mark"]
    everything = json.loads(run("impact", "--all", "--in", case, "--json")[1])
    refs = {one["refs"][0] for one in everything["sources"]}
    assert refs == {f"sources/{path.stem}" for path in (case / "entries" / "sources").glob("*.md")}
    code, out, _ = run("impact", "--all", "--in", case)
    assert code == 0
    assert "leaders that change" in out
    code, out, _ = run("impact", "--person", "a. READER", "--in", case)
    assert code == 0
    assert "sources/cover-photograph" in out


def test_what_the_withdrawal_test_does_not_take_is_said(run: Run, case: Path) -> None:
    """A hypothesis has things standing on it, and is not withdrawn to see."""
    code, out, _ = run("impact", "hypotheses/coil-spring", "--in", case)
    assert code == 0
    assert "Not tested: hypotheses/coil-spring" in out
    assert "If withdrawn" not in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["trace", "decisions/coli"], "Nearest: decisions/coil"),
        (["trace", "nowhere"], "There is no entry `nowhere`"),
        (["impact"], "one of the three"),
        (["impact", "sources/owner", "--all"], "given     REF and --all"),
        (["impact", "--person", "A. Reeder"], "A. Reader"),
        (["impact", "sources/ownr"], "Nearest: sources/owner"),
        (["trace", "sources/owner", "--drawing", "x.svg"], "an entry that stands on something"),
        (["trace", "decisions/coil", "--drawing", "no/where/x.svg"], "a file in a folder that is there"),
        (["retake", "decisions/coli", "--reason", "So."], "Nearest: decisions/coil"),
        (["retake", "evidence/ping", "--reason", "So."], "`evidence/ping`, of kind evidence"),
        (["retake", "decisions/coil", "--reason", " "], "why it is taken again"),
        (["retake", "decisions/coil", "--reason", "So.", "--date", "tomorrow"], "a date like 2031"),
        (["retake", "decisions/coil", "--reason", "So.", "--date", "2020"], "before it was taken on 2021-05-17"),
    ],
)
def test_wrong_words_change_nothing(run: Run, case: Path, words: list[str], said: str) -> None:
    """One fault with what was expected, exit code 1, no traceback, and every file as it was."""
    before = {path: path.read_bytes() for path in sorted((case / "entries").rglob("*.md"))}
    code, out, err = run(*words, "--in", case)
    assert code == 1
    assert said in err
    assert "Traceback" not in out + err
    assert {path: path.read_bytes() for path in sorted((case / "entries").rglob("*.md"))} == before


def test_a_withdrawn_entry_is_not_traced(run: Run, case: Path) -> None:
    """It says why it was taken back instead; its former name leads to it too."""
    assert run("withdraw", "evidence/ping", "--reason", "A spoon.", "--in", case)[0] == 0
    for command in ("trace", "impact"):
        code, _, err = run(command, "evidence/ping", "--in", case)
        assert code == 1
        assert "withdrawn: A spoon." in err


def test_check_names_stale_decisions_and_is_not_upset(run: Run, case: Path) -> None:
    """A quiet ledger says nothing; a number that moved is something to look at, with what was and is; exit code 0."""
    code, out, _ = run("check", "--in", case)
    assert code == 0
    assert "taken again" not in out
    deeper(case, run)
    code, out, _ = run("check", "--in", case)
    assert code == 0
    assert "look decisions/coil stands to be taken again: " in out
    assert "14 ± 1.5 mm as quoted → 26 ± 2 mm now." in out
    assert "look decisions/lid stands to be taken again: “The model gets a coil”" in out
    assert "the results hold" in out


def test_retaking_writes_the_numbers_and_posts(run: Run, case: Path) -> None:
    """Reasons and numbers are shown, the file keeps every other byte, the decision is posted, and is quiet."""
    deeper(case, run)
    other = file(case, "evidence/ping")
    other.write_text(other.read_text() + "\nNot to be posted now.\n")
    before = file(case, "decisions/coil").read_text()
    sleep(1.1)  # What is posted within the same second counts as one posting.
    code, out, err = run(
        "retake", "decisions/coil", "--reason", "Measured again: deeper.", "--date", "2021-06-02", "--in", case
    )
    assert code == 0, err
    assert "since then “" in out
    assert "measurements/depth: 14 ± 1.5 mm → 26 ± 2 mm" in out
    assert "1 posted" in out
    after = file(case, "decisions/coil").read_text()
    assert 'taken: 2021-06-02\nretaken: "Measured again: deeper."\n' in after
    assert "  - of: measurements/depth\n    said: 26 ± 2 mm\n" in after
    kept = [line for line in before.split("\n") if line in after.split("\n")]
    assert len(kept) == len(before.split("\n")) - 2
    _, out, _ = run("check", "--in", case)
    assert "look decisions/coil" not in out
    assert "revised: taken 2021-05-17 → 2021-06-02" in out
    assert "retaken: " in run("show", "decisions/coil", "--in", case)[1].replace("retaken        ", "retaken: ")


def test_retaking_says_what_still_calls_for_it(run: Run, case: Path) -> None:
    """A confidence below its bound does not rise by retaking: it is said again."""
    path = file(case, "decisions/coil")
    path.write_text(path.read_text().replace("coil-spring: 0.3", "coil-spring: 0.97"))
    code, out, _ = run("retake", "decisions/coil", "--reason", "Thought over.", "--in", case)
    assert code == 0
    assert "still      “" in out
    assert "below the 97 % it must have" in out.replace("\N{NO-BREAK SPACE}", " ")


def test_a_retaking_that_cannot_be_posted_leaves_the_file(run: Run, case: Path) -> None:
    """A ground that was withdrawn must be taken out first: the fault says so, and the file is as it was."""
    assert run("withdraw", "calculations/coil-fits", "--reason", "Wrong.", "--in", case)[0] == 0
    before = file(case, "decisions/coil").read_bytes()
    code, _, err = run("retake", "decisions/coil", "--reason", "Thought over.", "--in", case)
    assert code == 1
    assert "a standing entry" in err
    assert file(case, "decisions/coil").read_bytes() == before
    path = file(case, "decisions/coil")
    path.write_text(path.read_text().replace("measurements/depth", "calculations/coil-fits#length"))
    before = path.read_bytes()
    code, _, err = run("retake", "decisions/coil", "--reason", "Thought over.", "--in", case)
    assert code == 1
    assert "quotes.1.of" in err
    assert "gives no number now" in err
    assert path.read_bytes() == before


def test_a_retaken_decision_without_a_file_gets_one(run: Run, case: Path) -> None:
    """Its words are taken from the ledger."""
    file(case, "decisions/lid").unlink()
    assert run("retake", "decisions/lid", "--reason", "Thought over.", "--date", "2021-06", "--in", case)[0] == 0
    assert "taken: 2021-06\nretaken: Thought over.\n" in file(case, "decisions/lid").read_text()


@pytest.mark.parametrize(
    ("old", "new", "field", "said"),
    [
        ("taken: 2021-05-17", "taken: 2021-06-01", "taken", "why it was taken again, in `retaken`"),
        ("measurements/depth,", "calculations/coil-fits#lenght,", "quotes.1.of", "Did you mean `length`?"),
        ("14 ± 1.5 mm", "14 ± 1.5 kg", "quotes.1.said", "a quantity in mm"),
        ("quotes:\n", "quotes:\n  - {of: measurements/depth, said: 14 mm}\n", "quotes.2.of", "each number once"),
        ("coil-spring: 0.3", "coil-spring: 1", "least-confidence.coil-spring", "below 1"),
    ],
)
def test_what_a_decision_must_not_say(run: Run, case: Path, old: str, new: str, field: str, said: str) -> None:
    """Each planted fault is found at its place, with what was expected, and nothing is posted."""
    path = file(case, "decisions/coil")
    assert old in path.read_text()
    path.write_text(path.read_text().replace(old, new))
    code, out, err = run("post", "--in", case)
    assert code == 1, out
    assert f"  {field}" in err
    assert said in err


def test_the_reason_of_the_last_time_is_no_reason(run: Run, case: Path) -> None:
    """Taken again twice, it needs two reasons; other numbers under the old day are something to look at."""
    assert run("retake", "decisions/coil", "--reason", "Once.", "--date", "2021-06-02", "--in", case)[0] == 0
    path = file(case, "decisions/coil")
    path.write_text(path.read_text().replace("2021-06-02", "2021-06-03"))
    code, _, err = run("post", "--in", case)
    assert code == 1
    assert "the reason of the last time" in err
    path.write_text(path.read_text().replace("2021-06-03", "2021-06-02").replace("14 ± 1.5 mm", "14.1 ± 1.5 mm"))
    code, out, _ = run("post", "--in", case)
    assert code == 0
    assert "another `quotes` under the old day" in out


def test_a_large_ledger_of_toys_is_traced_without_a_record_too(tmp_path: Path) -> None:
    """The trial ledger opens, and its decisions have taken nothing from a clock."""
    traced.lay_out(tmp_path / "box")
    taken = traced.opened(tmp_path / "box").taken()
    assert {one.at for one in taken.values()} == {traced.FIRST}
