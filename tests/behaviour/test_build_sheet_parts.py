"""What the build sheet says where hubs, dogs, pins, rails and walls do not go together."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.building.telling.words import cell_text, value_text
from ledger.building.values import limits_of
from ledger.quantities.summary import Summary
from tests.independent.test_sheet_parts_by_hand import WHOLE
from tests.sheets import LATCH, said, sheet_of


@pytest.mark.parametrize(
    ("before", "after", "expected", "serious"),
    [
        ("dog-sleeve: 6.4", "dog-sleeve: 6.6", "At full travel 0 mm are left between sleeve and wheel", False),
        ("dog-sleeve: 6.4", "dog-sleeve: 6.7", "At full travel -0.05 mm are left between sleeve and wheel", True),
        ("depth: 3.3 mm", "depth: 2.8 mm", "left over the floor of a window", True),
        ("back: 35 °", "back: 55 °", "Lessen slope or height, or give it a wider angle.", True),
        (", slopes: leading", "", "Which of its flanks slopes is not stated.", False),
        ("slopes: leading", "slopes: leading, spread: 30 °", "Its dogs span 36.5° as they stand", False),
        ("at: 12.5 °", "at: 15 °", "wider than its window", True),
        ("at: -11.25 °", "at: 18 °", "Its driving flank bears on nothing", True),
        ("height: 1.5 mm, at: 12.5 °", "height: 1.5 mm, at: 20 °", "stand 6° over the land and do not drop in.", True),
        ("disc-pin: 2.5", "disc-pin: 2.4", "No dowel pin of ISO 8734 is 2.4 mm thick; the nearest is 2.5 mm.", False),
        ("shaft-float: 0.2 mm", "shaft-float: 0 mm", "Nothing is left to what runs on the shafts", False),
        ("shaft-float: 0.2 mm", "shaft-float: 35 mm", "The end float takes all of the 31.8 mm", True),
        ("size: 12 mm, held: is keyed, fit: H7/h6", "size: 12 mm, held: is keyed, fit: H7/k6", "12.012 mm", True),
        ("held: runs free, fit: E8/h6", "held: runs free, fit: K7/h6", "which may leave no clearance", True),
        ("held: runs free, fit: E8/h6", "held: is keyed, fit: H7/h6", "keyed it is always locked", True),
        ("first, size: 12 mm, held: is keyed", "first, size: 12 mm, held: runs free", "Its mate on output", True),
        ("first, size: 12 mm", "first, size: 13 mm", "The shaft is 12 mm at its station, and 13 mm stated here.", True),
        ("shaft: input, part: first, size", "shaft: input, part: sleeve, size", "no station sleeve on input", True),
        ("spline: 6 × 26 × 30", "spline: 8 × 36 × 40", "goes down to its spline of 40 mm", True),
        ("spline: 6 × 26 × 30", "spline: 8 × 32 × 36", "Its dogs begin 1.4 mm within the spline of 36 mm.", True),
        ("part: sleeve, length: 13.2 mm", "part: sleeve, length: 9 mm", "The shortest key of a shaft of 14 mm", True),
        ("at_x: 34 mm, at_y: -44 mm", "at_x: 34 mm, at_y: -30 mm", "into wheel first, driven. Move it in", True),
        ("at_x: 34 mm, at_y: -44 mm", "at_x: 44 mm, at_y: -15 mm", "within the sleeve", True),
        ("at_x: 34 mm, at_y: -44 mm", "at_x: 34 mm, at_y: -60 mm", "It runs through the disc.", True),
        ("{rail: one, at_x", "{rail: two, at_x", "Its rail one is not in `fork-rails`; there are two.", True),
        ("disc-y: -60 mm", "disc-y: -40 mm", "into wheel first, driven. Move it by `disc-y`.", True),
        ("z: -7 mm", "z: -20 mm", "in no end wall. Those reach over -14 to 0 mm.", True),
        ("rail: one, ball", "rail: two, ball", "neither a rail nor the disc. Rails are: one.", True),
        ('stands: "0 + 0 -"', 'stands: "0 + 0 -", pin_at: 5 °', "stand at an angle to the first", True),
    ],
)  # fmt: skip
def test_what_does_not_go_together(tmp_path: Path, before: str, after: str, expected: str, serious: bool) -> None:
    """Each is said in words with how to mend it; what cannot be is in the way, the rest is to be borne in mind."""
    assert before in WHOLE
    sheet = sheet_of(tmp_path, WHOLE.replace(before, after))
    assert expected in said(sheet)
    about = [problem.said for _, problem in sheet.wrong]
    assert any(expected in one for one in about) is serious


def test_hubs_of_one_ring_on_other_splines_have_drawings_of_their_own(tmp_path: Path) -> None:
    """One ring of dogs on two splines makes two hubs; the demo's four hubs are of two kinds."""
    more = """    - {shaft: input, part: spacer, size: 12 mm, held: is keyed, fit: K7/h6}
  hub-splines:
    - {hub: spacer, spline: 6 × 21 × 25, ring: lower}
"""
    sheet = sheet_of(tmp_path, WHOLE.replace("  hub-splines:\n", more))
    hubs = {one.name: one.fine for one in sheet.sketches if one.name.startswith("hub-")}
    assert set(hubs) == {"hub-lower", "hub-sleeve"}
    assert max(x for x, _ in hubs["hub-lower"].lines[0].points) == pytest.approx(12.5, abs=0.4)
    assert max(x for x, _ in hubs["hub-sleeve"].lines[0].points) == pytest.approx(15.0, abs=0.4)


def test_forks_do_not_cross_rails(tmp_path: Path) -> None:
    """A second rail on the way from the sleeve to the first is found."""
    rail = "    - {rail: one, at_x: 34 mm, at_y: -44 mm, left: 18 mm, right: 12 mm}\n"
    more = rail.replace("rail: one", "rail: two").replace("34 mm", "36 mm").replace("-44", "-40")
    sheet = sheet_of(tmp_path, WHOLE.replace(rail, rail + more))
    assert "It crosses the rail two" in said(sheet)


def test_a_drum_says_so_of_its_pins_too(tmp_path: Path) -> None:
    """3 mm is sold, 3.2 mm is not."""
    assert "No dowel pin" not in said(sheet_of(tmp_path / "sold", LATCH))
    assert "No dowel pin" in said(sheet_of(tmp_path / "not", LATCH.replace("drum-pin: 3", "drum-pin: 3.2")))


@pytest.mark.parametrize(
    ("nominal", "low", "high", "text"),
    [
        (54, 54, 54.03, "54 +0.030/0"),
        (15, 14.9, 15, "15 0/−0.100"),
        (0.6, 0.58, 0.62, "0.6 ±0.020"),
        (14, 14.032, 14.059, "14 +0.059/+0.032"),
        (12, 11.9945, 12.0055, "12 ±0.0055"),
        (12, 12, 12, "12"),
    ],
)
def test_limits_read_as_on_a_drawing(nominal: float, low: float, high: float, text: str) -> None:
    """Nominal, upper deviation, lower deviation; 0 stands alone."""
    assert cell_text(limits_of({"nominal": nominal, "low": low, "high": high}), "mm") == text


def test_a_parameter_with_limits_reads_as_it_was_written(tmp_path: Path) -> None:
    """The distance of the shafts is bored to its limits, not to the middle of them."""
    sheet = sheet_of(tmp_path, WHOLE.replace("centre-distance: 54 mm", "centre-distance: 54 +0.03/-0 mm"))
    assert value_text(sheet.parameters["centre-distance"]) == "54 +0.030/0 mm"
    summary = sheet.parameters["centre-distance"].summary
    assert isinstance(summary, Summary)
    assert (summary.estimate, summary.low, summary.high) == (54, 54, 54.03)
