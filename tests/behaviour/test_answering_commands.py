"""Commands that answer, as a person sees them: rank, calculate, calculators, compare, next."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.conftest import Run


def test_a_started_investigation_ranks_at_once(run: Run, case: Path) -> None:
    """`rank` names the leader, as text and as JSON with confidences that sum to one."""
    code, out, _ = run("rank", "--in", case)
    assert code == 0
    assert "(leads)" in out
    code, out, _ = run("rank", "--in", case, "--json")
    ranked = json.loads(out)["questions/return"]
    assert sum(one["confidence"] for one in ranked["standings"]) == pytest.approx(1)
    assert ranked["leader"].startswith("hypotheses/")


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


def test_calculate_tells_all_that_is_wrong_as_an_entry_would(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Unknown names, values that are none, units, ranges, cells and what is missing: at once, each with its place."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "curve.csv").write_text("speed,torque\n1000 1/min,much\n2000 kg,300 N·m\n")
    words = ("curve=@curve.csv", "mass=3 s", "radius=-1 m", "efficency=0.9", "drag_area=wide", "rolling=")
    code, out, _ = run("calculate", "shift-gap", *words, "--json")
    assert code == 1
    faults = {one["field"]: one for one in json.loads(out)["faults"]}
    assert {"curve.rows.1.torque", "curve.rows.2.speed", "mass", "radius", "drag_area", "rolling"} < set(faults)
    assert {"efficency", "gears", "gap", "shift_speed"} < set(faults)
    assert faults["mass"]["given"] == "`3 s`"
    assert all(one["expected"] and one["remedy"] for one in faults.values())
    assert {one["file"] for one in faults.values()} == {"the command line"}


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
    outside = tmp_path / "outside.md"
    (case / "entries" / "calculations" / "elsewhere.md").symlink_to(outside)
    assert run(*("elsewhere" if word == "by-hand" else word for word in words))[0] == 1
    assert not outside.exists()


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


def test_a_name_of_another_kind_is_told_as_what_it_is(run: Run, case: Path, tmp_path: Path) -> None:
    """The value given, its kind or the nearest names; a file, a missing folder and one without entries apart."""
    assert run("post", "--in", case)[0] == 0
    told = {
        ("compare", "evidence/ping"): ("`evidence/ping`, of kind evidence", "questions/return"),
        ("compare", "retur"): ("`questions/retur`", "Nearest: questions/return."),
        ("retake", "evidence/ping", "--reason", "Because."): ("`evidence/ping`, of kind evidence", "a decision"),
        ("show", "ping"): ("There is no entry `ping`", "evidence/ping"),
    }
    for call, expected in told.items():
        code, out, err = run(*call, "--in", case)
        assert code == 1, call
        for words in expected:
            assert words in out + err, call
    (tmp_path / "file").write_text("")
    (tmp_path / "bare").mkdir()
    for name, given in (("file", "a file"), ("bare", "a folder without `entries/`"), ("away", "no such folder")):
        assert given in run("rank", "--in", tmp_path / name)[2]


def test_a_table_that_is_away_or_none_is_told_in_plain_words(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No words of a library."""
    monkeypatch.chdir(tmp_path)
    assert "`@away.csv`, which is no file here" in run("calculate", "axial-length", "layout=@away.csv")[2]
    (tmp_path / "uneven.csv").write_text('part,length\n"a,1 mm\nb,c,d,e\n')
    err = run("calculate", "axial-length", "layout=@uneven.csv")[2]
    assert "a file that is no such table" in err
    assert "tokenizing" not in err


def test_words_of_options_are_told_in_plain_words(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The value given and what was expected; no words of a library, and nothing laid out or written."""
    monkeypatch.chdir(tmp_path)
    told = {
        ("next", "--by", "hour"): ("given `hour`", "gain, effort"),
        ("out", "there", "--form", "jsn"): ("given `jsn`", "bibtex"),
        ("calculate", "axial-length", "--draws", "ten"): ("given `ten`", "from 100 to 1000000"),
        ("calculate", "axial-length", "--draws", "99"): ("given `99`", "from 100 to 1000000"),
        ("start", ""): ("given nothing", "a folder"),
    }
    for call, expected in told.items():
        code, out, err = run(*call)
        assert code == 2, call
        for words in expected:
            assert words in out + err, call
        for words in ("Value error", "parse string"):
            assert words not in out + err, call
    assert not any(tmp_path.iterdir())


def test_a_table_goes_into_no_folder_that_is_away(run: Run, case: Path, tmp_path: Path) -> None:
    """The file given, what was expected and how to mend it."""
    assert run("post", "--in", case)[0] == 0
    call = ("compare", "return", "--calculator", "axial-length", "--in", case, "--csv")
    code, _, err = run(*call, tmp_path / "away" / "table.csv")
    assert code == 1
    for words in ("--csv", "in a folder that is not there", "Make the folder"):
        assert words in err
    assert "a folder" in run(*call, tmp_path)[2]


def test_a_measurement_without_picks_is_a_fault_like_any_other(run: Run, case: Path) -> None:
    """Place, field, what was given and expected."""
    code, _, err = run("measure", "measurements/depth", "--in", case)
    assert code == 1
    for words in ("measurements/depth.md", "picked", "expected  picks to measure by", "witness bench"):
        assert words in err


@pytest.mark.parametrize(("command", "name"), [("show", "REF"), ("trace", "REF"), ("calculate", "CALCULATOR")])
def test_help_names_arguments_as_the_reference_does(run: Run, command: str, name: str) -> None:
    """In capitals."""
    usage = next(line for line in run(command, "--help")[1].splitlines() if "Usage" in line)
    assert name in usage
    assert name.lower() not in usage.replace(f"witness {command}", "")
