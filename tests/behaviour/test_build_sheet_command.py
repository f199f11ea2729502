"""`witness build-sheet`: what it prints, what it writes, and when it writes nothing."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import ezdxf
import numpy as np
import pandas
import pytest

from tests.sheets import LATCH, PAIR, decision, investigation

Run = Callable[..., tuple[int, str, str]]
WHOLE = (
    PAIR
    + """
  gear-blanks:
    - {gear: first, face: 15 mm, driver_bore: 12 mm, driven_bore: 14 mm}
  gear-backlash: 0.06..0.10 mm
  more-parts:
    - {part: "=HYPERLINK(1)", material: "@steel", note: "+1; -1"}
"""
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return investigation(tmp_path, {"decisions/model": decision(WHOLE)})


def test_it_prints_numbers_with_what_they_come_from(folder: Path, run: Run) -> None:
    """Tables, the parameters and decisions behind them, cautions, and what is undecided."""
    code, out, _ = run("build-sheet", "--in", folder)
    assert code == 0
    assert "Cautions" in out
    assert "first, driving" in out
    assert "28.5" in out
    assert "from gear-module, gear-pairs (decisions/model)" in out
    assert "Chosen freely" in out
    assert "Still undecided" in out


def test_with_nothing_decided_it_says_so(tmp_path: Path, run: Run) -> None:
    """It prints where to begin, and writes no folder."""
    folder = investigation(tmp_path, {})
    code, out, _ = run("build-sheet", "--in", folder)
    assert (code, "No decision fixes a parameter" in out) == (0, True)
    code, _, errors = run("build-sheet", "--in", folder, "--out", tmp_path / "out")
    assert code == 1
    assert "a decision that fixes a parameter" in errors
    assert not (tmp_path / "out").exists()


def test_it_says_what_can_be_fixed(run: Run) -> None:
    """Every parameter by the name that entries use, with its columns; also for a script."""
    code, out, _ = run("build-sheet", "--parameters")
    assert code == 0
    assert "centre-distance" in out
    assert "disc-tracks" in out
    _, out, _ = run("build-sheet", "--parameters", "--json")
    told = json.loads(out)
    assert {one["name"] for one in told["gears"]} >= {"gear-module", "gear-pairs", "centre-distance"}
    assert [one["name"] for one in told["drum"][0]["columns"]] == ["track", "stands", "pin_at"]


def test_a_script_can_read_it(folder: Path, run: Run) -> None:
    """JSON with every table, parameter and problem."""
    code, out, _ = run("build-sheet", "--in", folder, "--json")
    told = json.loads(out)
    assert code == 0
    gears = next(one for one in told["sections"] if one["name"] == "gears")
    assert {one["name"] for one in gears["tables"]} == {"gear-pairs", "gear-wheels"}
    assert told["drawings"] == ["gear-first-driving", "gear-first-driven"]


def test_it_writes_page_tables_and_drawings(folder: Path, run: Run, tmp_path: Path) -> None:
    """And the same again without changing a byte."""
    out = tmp_path / "sheet"
    code, said, errors = run("build-sheet", "--in", folder, "--out", out)
    assert code == 0, errors
    assert "files written" in said
    assert "Still undecided" in said
    assert "28.5" not in said, "numbers stand in the files"
    names = {path.name for path in out.iterdir()}
    assert names >= {"sheet.md", "gear-wheels.csv", "gear-pairs.csv", "parts.csv", "parameters.csv", "columns.csv"}
    assert names >= {f"gear-first-{side}.{ending}" for side in ("driving", "driven") for ending in ("dxf", "svg")}
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    code, said, _ = run("build-sheet", "--in", folder, "--out", out)
    assert (code, "0 files written" in said) == (0, True)
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before
    page = (out / "sheet.md").read_text("utf-8")
    assert "## Cautions" in page
    assert "decided in T (`decisions/model`)" in page


def test_tables_read_back_by_pandas(folder: Path, run: Run, tmp_path: Path) -> None:
    """Numbers are numbers, with the ends of their intervals where they have any; units stand in the heads."""
    run("build-sheet", "--in", folder, "--out", tmp_path / "sheet")
    wheels = pandas.read_csv(tmp_path / "sheet" / "gear-wheels.csv").set_index("wheel")
    assert wheels.loc["first, driven", "reference [mm]"] == pytest.approx(79.5)
    assert wheels["teeth"].tolist() == [19, 53]
    assert (wheels["span low [mm]"] < wheels["span [mm]"]).all()
    assert (wheels["span [mm]"] < wheels["span high [mm]"]).all()
    parameters = pandas.read_csv(tmp_path / "sheet" / "parameters.csv").set_index("parameter")
    assert parameters.loc["gear-module", "value"] == 1.5
    assert parameters.loc["gear-module", "decisions"] == "decisions/model"
    assert parameters.loc["gear-pressure", "how"] == "usual, not decided"
    columns = pandas.read_csv(tmp_path / "sheet" / "columns.csv").set_index(["table", "column"])
    assert columns.loc[("gear-pairs", "ratio"), "parameters"] == "gear-pairs"


def test_words_are_not_run_by_a_spreadsheet(folder: Path, run: Run, tmp_path: Path) -> None:
    """What begins like a formula has an apostrophe before it; negative numbers stay numbers."""
    run("build-sheet", "--in", folder, "--out", tmp_path / "sheet")
    parts = pandas.read_csv(tmp_path / "sheet" / "parts.csv")
    odd = parts[parts["part"].str.contains("HYPERLINK")].iloc[0]
    assert (odd["part"], odd["material"], odd["note"]) == ("'=HYPERLINK(1)", "'@steel", "'+1; -1")
    wheels = pandas.read_csv(tmp_path / "sheet" / "gear-wheels.csv")
    assert (wheels["generated"] < 0).all()


def test_words_do_nothing_in_the_page(tmp_path: Path, run: Run) -> None:
    """Bars, brackets and tags of a name stay words in a Markdown table."""
    name = "a | b [x](y) <b>"
    folder = investigation(tmp_path, {"decisions/model": decision(PAIR.replace("first", f'"{name}"'))})
    run("build-sheet", "--in", folder, "--out", tmp_path / "sheet")
    page = (tmp_path / "sheet" / "sheet.md").read_text("utf-8")
    assert "a \\| b \\[x\\](y) \\<b\\>" in page
    assert (tmp_path / "sheet" / "gear-a-b-x-y-b-driving.dxf").exists()


def test_a_drawing_has_the_size_of_its_wheel(folder: Path, run: Run, tmp_path: Path) -> None:
    """The DXF read back: the outline reaches from root to tip, the bore is its circle, in millimetres."""
    run("build-sheet", "--in", folder, "--out", tmp_path / "sheet")
    document = ezdxf.readfile(tmp_path / "sheet" / "gear-first-driving.dxf")
    assert document.units == ezdxf.units.MM
    (outline,) = document.modelspace().query("LWPOLYLINE")
    radii = np.hypot(*np.array([(x, y) for x, y, *_ in outline.get_points()]).T)
    assert radii.max() == pytest.approx(15.75, abs=1e-3)
    assert radii.min() == pytest.approx(24.64 / 2, abs=0.02)
    bores = [one.dxf.radius for one in document.modelspace().query("CIRCLE") if one.dxf.layer == "bore"]
    assert bores == [6.0]


def test_a_track_has_its_table_and_its_drawing(tmp_path: Path, run: Run) -> None:
    """The drum laid flat is π D long, and its pin path passes the rows of the table."""
    folder = investigation(tmp_path, {"decisions/model": decision(LATCH)})
    run("build-sheet", "--in", folder, "--out", tmp_path / "sheet")
    table = pandas.read_csv(tmp_path / "sheet" / "drum-track-bolt.csv")
    document = ezdxf.readfile(tmp_path / "sheet" / "drum.dxf")
    (path,) = [one for one in document.modelspace().query("LWPOLYLINE") if one.dxf.layer == "path"]
    points = np.array([(x, y) for x, y, *_ in path.get_points()])
    along = np.interp(table["around [mm]"], points[:, 0], points[:, 1])
    assert along == pytest.approx(table["along [mm]"].to_numpy(), abs=0.01)


def test_a_pair_that_does_not_mesh_is_printed_and_not_written(tmp_path: Path, run: Run) -> None:
    """The fault names the decision, the field and how to mend it; the folder is not made."""
    odd = PAIR + "    - {gear: odd, driver: 19, driven: 60}\n"
    folder = investigation(tmp_path, {"decisions/model": decision(odd)})
    code, out, _ = run("build-sheet", "--in", folder)
    assert code == 1
    assert "In the way of building" in out
    code, _, errors = run("build-sheet", "--in", folder, "--out", tmp_path / "sheet")
    assert code == 1
    assert "entries/decisions/model.md  fixes.gear-pairs" in errors
    assert "gear odd" in errors
    assert not (tmp_path / "sheet").exists()


def test_somebody_elses_file_is_not_written_over(folder: Path, run: Run, tmp_path: Path) -> None:
    """Nothing at all is written then."""
    out = tmp_path / "sheet"
    out.mkdir()
    (out / "parts.csv").write_text("mine")
    code, _, errors = run("build-sheet", "--in", folder, "--out", out)
    assert code == 1
    assert "parts.csv" in errors
    assert [path.name for path in out.iterdir()] == ["parts.csv"]
    assert (out / "parts.csv").read_text() == "mine"


def test_it_does_not_write_among_the_entries(folder: Path, run: Run) -> None:
    """Whatever lies there is taken for an entry."""
    code, _, errors = run("build-sheet", "--in", folder, "--out", folder / "entries" / "sheet")
    assert code == 1
    assert "a folder among the entry files" in errors


def test_names_that_an_older_program_let_pass_are_told(tmp_path: Path, run: Run) -> None:
    """Nothing is on the sheet, and the command says why."""
    folder = investigation(tmp_path, {"decisions/model": decision("\n  colour: red\n")}, checked=False)
    code, out, _ = run("build-sheet", "--in", folder)
    assert code == 1
    assert "decisions/model fixes `colour`, which is no parameter of the sheet." in out


def test_a_decision_gone_stale_is_told_wherever_the_sheet_goes(folder: Path, run: Run, tmp_path: Path) -> None:
    """Once a measurement it stands on is revised: at the head of print and page, in JSON, and beside the tables."""
    out = tmp_path / "sheet"
    assert "Make nothing of these" not in run("build-sheet", "--in", folder, "--out", out)[1]
    assert not (out / "take-again-first.txt").exists()
    width = folder / "entries/measurements/hub-width.md"
    width.write_text(width.read_text("utf-8").replace("62 ± 3 mm", "90 ± 3 mm"), "utf-8")
    assert run("post", "--in", folder)[0] == 0
    _, said, _ = run("build-sheet", "--in", folder, "--out", out)
    assert said.index("Make nothing of these") < said.index("Cautions")
    page = (out / "sheet.md").read_text("utf-8")
    assert page.index("Make nothing of these") < page.index("## Cautions")
    assert "decisions/model" in (out / "take-again-first.txt").read_text("utf-8")
    assert json.loads(run("build-sheet", "--in", folder, "--json")[1])["stale"]
