"""The build sheet as a person meets it: what is on it, what it stands on, what is missing."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.building.sheet import build_sheet, decides
from ledger.building.telling.chains import paths
from ledger.building.telling.words import comes_from, free
from ledger.building.values import DEFAULT, FREE, PARTLY, STANDS, TAKEN
from ledger.casebook.opening import open_casebook
from ledger.quantities.summary import Summary
from tests.sheets import DRAWS, LATCH, PAIR, cell, decision, grid, investigation, number, opened, said, sheet_of

LENGTH = """---
kind: calculation
title: Length
calculator: axial-length
inputs:
  layout:
    rows:
      - {part: hub, length: measurements/hub-width}
      - {part: washer, length: 0.5..0.7 mm}
    reason: so
---
"""
LOOKOUT = """---
kind: lookout
title: Look under the cover
question: forks
outcomes:
  seen: {drum: 0.9, face-cam: 0.1}
  unseen: {drum: 0.1, face-cam: 0.9}
---
"""


def test_without_a_decision_that_fixes_anything_there_is_no_sheet(tmp_path: Path) -> None:
    """Decisions without `fixes` make none."""
    plain = decision("").replace("fixes:", "")
    casebook = opened(tmp_path, {"decisions/plain": plain})
    assert not decides(casebook)
    sheet = build_sheet(casebook)
    assert (sheet.chapters, sheet.undecided, sheet.wrong) == ((), (), ())


def test_only_the_sections_that_decisions_fix_are_on_the_sheet(tmp_path: Path) -> None:
    """A lock's latch has a drum and no gears, and everything that follows from a drum."""
    sheet = sheet_of(tmp_path, LATCH)
    assert [one.section.name for one in sheet.chapters] == ["model", "drum", "least-features", "parts"]
    assert sheet.wrong == ()
    assert [one.name for one in sheet.undecided] == ["drum-bore"]
    assert [sketch.name for sketch in sheet.sketches] == ["drum"]
    parts = {row[0]: row for row in grid(sheet, "parts").rows}
    assert set(parts) == {"selector drum", "pin of a drum track"}
    assert not any("gear" in line.lower() for line in sheet.cautions)


def test_what_is_undecided_is_named_with_what_may_decide_it(tmp_path: Path) -> None:
    """Gears without a distance wait for it; the question that their decision rests on may help, and its lookout."""
    fixes = "\n  gear-module: 1.5 mm\n  gear-pairs:\n    - {gear: first, driver: 19, driven: 53}\n"
    sheet = sheet_of(tmp_path, fixes, {"lookouts/cover": LOOKOUT}, grounds="hypotheses/drum measurements/hub-width")
    lacking = {one.name: one for one in sheet.undecided}
    assert list(lacking) == ["centre-distance", "scale", "process", "gear-blanks"]
    assert lacking["centre-distance"].needed
    assert not lacking["gear-blanks"].needed
    assert lacking["centre-distance"].questions == ("questions/forks",)
    assert lacking["centre-distance"].lookouts == ("lookouts/cover",)
    assert [one.section.name for one in sheet.chapters if one.tables] == ["model"]


def test_a_decision_on_an_open_question_says_how_sure_the_ledger_is(tmp_path: Path) -> None:
    """Also through a decision that it stands on; a question with an answer is not open."""
    files = {
        "decisions/model": decision(PAIR, "hypotheses/drum"),
        "decisions/later": decision("\n  gear-material: brass\n", "decisions/model", taken="2031-07-01"),
    }
    casebook = opened(tmp_path / "open", files)
    (resting,) = build_sheet(casebook).opens
    assert (resting.hypothesis, resting.question) == ("hypotheses/drum", "questions/forks")
    assert resting.decisions == ("decisions/later", "decisions/model")
    standing = next(one for one in casebook.weighings["questions/forks"].standings if one.rival == "hypotheses/drum")
    assert resting.confidence == standing.confidence
    resolved = "---\nkind: question\ntitle: Q\nresolved: {answer: drum, date: 2031-07-02, reason: seen}\n---\n"
    assert build_sheet(opened(tmp_path / "known", {**files, "questions/forks": resolved})).opens == ()


def test_each_number_says_how_it_came_about(tmp_path: Path) -> None:
    """Taken from a calculation, standing on a measurement, chosen freely, free in part, or merely usual."""
    fixes = """
  scale: 0.3
  gear-module: {value: 1.5 mm, grounds: [evidence/sleeve-groove]}
  centre-distance: {value: 54 mm, grounds: [measurements/hub-width]}
  gear-pairs:
    rows:
      - {gear: first, driver: 19, driven: 53}
    grounds: [measurements/hub-width]
  shaft-span: calculations/length#length
  shaft-stations:
    - {shaft: one, part: a, length: 10 mm}
"""
    grounds = "measurements/hub-width evidence/sleeve-groove"
    files = {
        "decisions/more": decision("\n  gear-pairs:\n    - {gear: last, driver: 20, driven: 52}\n", taken="2031-07-01"),
        "calculations/length": LENGTH,
    }
    sheet = sheet_of(tmp_path, fixes, files, grounds=grounds)
    how = {name: one.how for name, one in sheet.parameters.items()}
    assert how["scale"] == FREE
    assert how["gear-module"] == how["centre-distance"] == STANDS
    assert how["gear-pairs"] == PARTLY
    assert how["shaft-span"] == TAKEN
    assert how["gear-profile"] == DEFAULT
    told = {one.name: rows for one, rows in free(sheet)}
    assert told == {"scale": "", "gear-pairs": "last", "shaft-stations": ""}
    pairs = sheet.parameters["gear-pairs"]
    assert [(one.decision, one.rows) for one in pairs.shares] == [
        ("decisions/model", ("first",)),
        ("decisions/more", ("last",)),
    ]


def test_a_number_taken_from_a_calculation_has_its_doubt(tmp_path: Path) -> None:
    """62 ± 3 mm and half a tenth: the span of the sheet is that of the calculation, draw by draw."""
    fixes = """
  scale: 0.3
  process: cut from metal
  shaft-span: calculations/length#length
  shaft-stations:
    - {shaft: one, part: hub, length: measurements/hub-width}
    - {shaft: one, part: washer, closes: true}
"""
    sheet = sheet_of(tmp_path, fixes, {"calculations/length": LENGTH})
    span = sheet.parameters["shaft-span"].bound.summary
    assert span is not None
    assert (span.low, span.high) == (pytest.approx(59.6, abs=0.5), pytest.approx(65.6, abs=0.5))
    left = cell(sheet, "shafts", "one", "left")
    assert isinstance(left, Summary)
    assert 0.5 <= left.low <= left.high <= 0.7


def test_the_columns_of_a_table_name_the_parameters_they_come_from(tmp_path: Path) -> None:
    """The base pitch comes from module and counts; the backlash from the distance too."""
    sheet = sheet_of(tmp_path, PAIR)
    named = {
        column.name: {one.name for one in settled}
        for columns, settled in comes_from(sheet, grid(sheet, "gear-pairs"))
        for column in columns
    }
    assert named["ratio"] == {"gear-pairs"}
    assert named["base_pitch"] == {"gear-module", "gear-pairs"}
    assert named["backlash"] == {"gear-module", "gear-pairs", "centre-distance", "gear-shifts"}


def test_evidence_at_scale_stands_beside_what_was_decided(tmp_path: Path) -> None:
    """62 ± 3 mm at 3:10 is 18.6 ± 0.9: 18.2 mm lies within it, 14 mm is 3.7 below, 28.5 mm above."""
    fixes = (
        PAIR
        + """
  shaft-span: {value: 18.2 mm, grounds: [measurements/hub-width]}
  shaft-stations:
    - {shaft: one, part: hub, length: 14 mm}
  full-size:
    - {number: shaft-stations/one-hub/length, measured: measurements/hub-width}
    - {number: gear-wheels/first-driving/reference, measured: measurements/hub-width}
"""
    )
    sheet = sheet_of(tmp_path, fixes)
    inside = {row[0]: row[5] for row in grid(sheet, "full-size").rows}
    assert inside["Span between the bearing shoulders"] == "yes"
    assert str(inside["one, hub: length"]).startswith("no, 3.")
    assert str(inside["one, hub: length"]).endswith("below it")
    assert str(inside["first, driving: reference diameter"]).endswith("above it")
    scaled = cell(sheet, "full-size", "one, hub: length", "at_scale")
    assert isinstance(scaled, Summary)
    assert (scaled.low, scaled.high) == (pytest.approx(17.7, abs=0.2), pytest.approx(19.5, abs=0.2))


def test_a_number_that_is_not_on_the_sheet_cannot_be_compared(tmp_path: Path) -> None:
    """The nearest that is there is offered."""
    more = "  full-size:\n    - {number: gear-wheels/first-drivin/tip, measured: measurements/hub-width}\n"
    sheet = sheet_of(tmp_path, PAIR + more)
    assert "Did you mean `gear-wheels/first-driving/tip`?" in said(sheet)


def test_a_withdrawn_measurement_refuses_the_section_that_stands_on_it_alone(tmp_path: Path) -> None:
    """Its source gone, the number is gone; gears stay."""
    fixes = PAIR + "  shaft-stations:\n    - {shaft: one, part: hub, length: measurements/hub-width}\n"
    gone = """---
kind: source
title: The gearbox on a bench, from the left
medium: photograph
author: A. Draughtsman
date: 2031-05-17
rights: by leave of the author
reliability: B
withdrawn: not what it seemed
---
"""
    opened(tmp_path, {"decisions/model": decision(fixes)})
    casebook = opened(tmp_path, {"decisions/model": decision(fixes), "sources/bench-left": gone})
    sheet = build_sheet(casebook)
    assert "measurements/hub-width does not stand" in said(sheet)
    assert [section for section, _ in sheet.wrong] == ["shafts"]
    assert grid(sheet, "gear-wheels").rows


def test_the_bill_adds_like_parts_and_takes_more(tmp_path: Path) -> None:
    """Two seats with one bearing are two of it; parts of one's own stand beside those that follow."""
    fixes = (
        PAIR
        + """
  bearings:
    - {seat: front, shaft: 10 mm, kind: "ball, series 10"}
    - {seat: rear, shaft: 10 mm, kind: "ball, series 10"}
  more-parts:
    - {part: guard, material: acrylic, made_by: bought, note: screwed down}
"""
    )
    rows = {row[0]: row for row in grid(sheet_of(tmp_path, fixes), "parts").rows}
    bearing = rows["bearing 6000"][1]
    assert isinstance(bearing, Summary)
    assert bearing.estimate == 2
    assert rows["bearing 6000"][3] == rows["guard"][3] == "bought"
    assert rows["wheel first, driving, 19 teeth"][4] == "round, ⌀ 33 mm; face undecided"


def test_a_chain_leads_down_to_the_sources(tmp_path: Path) -> None:
    """From the calculation to the measurement in it, and to where that was seen; every way, each once."""
    casebook = opened(tmp_path, {"calculations/length": LENGTH})
    (length,) = paths(casebook, "calculations/length")
    assert length == "calculations/length < measurements/hub-width < sources/bench-left"
    assert paths(casebook, "evidence/hiss") == ["evidence/hiss < sources/letter < sources/bench-left"]
    assert paths(casebook, "hypotheses/drum") == ["hypotheses/drum < questions/forks"]


def test_what_an_older_program_let_pass_is_told(tmp_path: Path) -> None:
    """A name that is none, and a value fixed twice: the earlier decision stands, and nothing is written."""
    files = {
        "decisions/model": decision(PAIR),
        "decisions/other": decision("\n  centre-distance: 55 mm\n  colour: red\n", taken="2031-07-01"),
    }
    folder = investigation(tmp_path, files, checked=False)
    sheet = build_sheet(open_casebook(folder, count=DRAWS))
    assert number(sheet, "gear-pairs", "first", "distance") == 54
    assert "decisions/other fixes `colour`, which is no parameter of the sheet." in sheet.conflicts
    assert any("`centre-distance`" in line for line in sheet.conflicts)


def test_a_section_that_waits_is_no_fault_of_those_that_lean_on_it(tmp_path: Path) -> None:
    """Forks whose shafts and tracks are not decided yet have no place yet, and nothing is in the way."""
    fixes = """
  forks:
    - {fork: bolt, sleeve: 30 mm, groove_bottom: 26 mm, track: bolt, station: sleeve}
  fork-groove: 3 mm
  fork-arms: 4 mm
  fork-rail: 5 mm
"""
    sheet = sheet_of(tmp_path, fixes)
    assert sheet.wrong == ()
    assert [column.name for column in grid(sheet, "fork-places").columns] == ["fork", "station", "track"]
    assert "Its station sleeve is not on the sheet yet" in said(sheet)


def test_cautions_stand_on_the_sheet(tmp_path: Path) -> None:
    """Guards, pinch points, stored energy and model use only, whatever the investigation says itself."""
    told = " ".join(sheet_of(tmp_path, LATCH + "  gear-module: 1 mm\n").cautions).lower()
    for word in ("guard", "pinch", "spring", "model", "carries people"):
        assert word in told
