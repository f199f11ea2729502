"""Room across the shafts, the float of bearings, and lengths of keys, by arithmetic of this file alone."""

from __future__ import annotations

from math import ceil, hypot
from pathlib import Path

import pytest

from ledger.building.values import Sheet
from ledger.errors import FaultsFound
from ledger.quantities.summary import Summary
from tests.sheets import decision, grid, investigation, number, said, sheet_of

MODULE, APART = 1.5, 54.0
# Two pairs of 72 teeth and an idler whose pin passes beside the second pair; nothing of it is in the way.
BOX = """
  scale: 0.3
  process: cut from metal
  gear-module: 1.5 mm
  centre-distance: 54 mm
  gear-shifts: none on the driving wheel
  gear-backlash: 0.06..0.10 mm
  gear-pairs:
    - {gear: low, driver: 19, driven: 53}
    - {gear: high, driver: 39, driven: 33}
    - {gear: back, driver: 23, driven: 25, distance: 36 mm, driven_is: idler}
    - {gear: back behind the idler, driver: 25, driven: 41, distance: 49.5 mm, driver_is: idler}
  gear-blanks:
    - {gear: low, face: 14 +0/-0.1 mm, driver_bore: 12 mm, driven_bore: 14 mm}
    - {gear: high, face: 10 mm, driver_bore: 12 mm, driven_bore: 14 mm}
    - {gear: back, face: 11 mm, driver_bore: 12 mm, driven_bore: 12 mm}
    - {gear: back behind the idler, face: 11 mm, driver_bore: 12 mm, driven_bore: 14 mm}
  shaft-axes:
    - {axis: idler, from_first: 36 mm, from_second: 49.5 mm}
  shaft-span: 70.4 ± 0.1 mm
  shaft-float: 0.2 mm
  shaft-stations:
    - {shaft: input, part: low, length: 14 +0/-0.1 mm, diameter: 12 mm}
    - {shaft: input, part: sleeve, length: 13.2 mm, diameter: 12 mm}
    - {shaft: input, part: high, length: 10 mm, diameter: 12 mm}
    - {shaft: input, part: gap, length: 12 mm, diameter: 12 mm}
    - {shaft: input, part: back, length: 11 mm, diameter: 12 mm}
    - {shaft: input, part: rest, diameter: 12 mm, closes: true}
    - {shaft: output, part: low, length: 14 +0/-0.1 mm, diameter: 14 mm}
    - {shaft: output, part: spacer, length: 13.2 mm, diameter: 14 mm, outside: 20 mm}
    - {shaft: output, part: high, length: 10 mm, diameter: 14 mm}
    - {shaft: output, part: room, length: 12 mm, diameter: 14 mm}
    - {shaft: output, part: back, length: 11 mm, diameter: 14 mm}
    - {shaft: output, part: end, diameter: 14 mm, closes: true}
    - {shaft: idler, part: tube, length: 49.2 mm, diameter: 8 mm, outside: 10 mm}
    - {shaft: idler, part: back, length: 11 mm, diameter: 8 mm}
    - {shaft: idler, part: washers, diameter: 8 mm, closes: true}
  shafts:
    - {shaft: input, stock: 12 mm, left: 9 mm, right: 9 mm, between: 70 ± 0.1 mm, left_diameter: 10 mm,
       right_diameter: 10 mm}
    - {shaft: idler, stock: 8 mm, left: 9 mm, right: 9 mm, left_diameter: 8 mm, right_diameter: 8 mm}
  bearings:
    - {seat: in front, shaft: 10 mm, kind: "ball, series 10", wall: front, axis: input}
    - {seat: behind, shaft: 10 mm, kind: "ball, series 10", wall: rear, axis: input}
    - {seat: in the idler, shaft: 8 mm, kind: drawn cup, axis: idler}
  forks:
    - {fork: low and high, sleeve: 25 mm, groove_bottom: 23 mm, station: sleeve}
  fork-groove: 2.6 mm
  fork-play: 0.2 mm
  fork-sleeve: 6.4 mm
  fork-arms: 4 mm
  fork-rail: 5 mm
  dog-travel: 3.3 mm
  hub-seats:
    - {shaft: input, part: low, size: 12 mm, held: runs free, fit: E8/h6}
    - {shaft: output, part: low, size: 14 mm, held: is keyed, fit: H7/h6}
"""


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> Sheet:
    made = sheet_of(tmp_path_factory.mktemp("room"), BOX)
    assert made.wrong == ()
    return made


def tip(teeth: int) -> float:
    """Return the radius of a wheel's tips: teeth and two more, by half a module each."""
    return MODULE * (teeth + 2) / 2


def gap(sheet: Sheet, begins: str) -> tuple[str, float]:
    """Return the one least feature whose words begin so."""
    (row,) = [one for one in grid(sheet, "least-features").rows if str(one[0]).startswith(begins)]
    assert isinstance(row[2], Summary)
    return str(row[0]), row[2].estimate


def test_the_gap_beside_a_tube_is_distance_less_radii(sheet: Sheet) -> None:
    """The pin of the idler passes 36 mm from the input, beside the largest wheel there: 39 teeth."""
    what, left = gap(sheet, "tube on idler")
    assert "wheel high, driving on input" in what
    assert left == pytest.approx(36 - tip(39) - 5)


def test_the_gap_beside_a_sleeve_is_distance_less_radii(sheet: Sheet) -> None:
    """A sleeve of 25 mm on the input, at full travel beside the driven wheel of 53 teeth."""
    what, left = gap(sheet, "sleeve, over its travel")
    assert "wheel low, driven on output" in what
    assert left == pytest.approx(APART - tip(53) - 12.5)


def test_a_tube_runs_into_a_wheel_as_soon_as_the_radii_say_so(tmp_path: Path) -> None:
    """36 mm less 30.75 mm leave 5.25 mm: a tube of 10.4 mm clears, one of 10.6 mm does not, and both are named."""
    left = 36 - tip(39)
    for place, (outside, strikes) in enumerate(((2 * left - 0.1, False), (2 * left + 0.1, True))):
        made = sheet_of(tmp_path / str(place), BOX.replace("outside: 10 mm", f"outside: {outside:.2f} mm"))
        hits = [one for _, one in made.wrong if "It may strike" in one.said]
        assert bool(hits) is strikes
        if strikes:
            assert hits[0].about == "tube on idler"
            assert "wheel high, driving on input" in hits[0].said
            assert "0.05 mm too little" in hits[0].said


def test_a_wheel_that_stands_beyond_the_tube_is_not_struck(tmp_path: Path) -> None:
    """A tube that ends before the wheel may be as thick as it likes; the pin behind it clears."""
    short = BOX.replace(
        "    - {shaft: idler, part: tube, length: 49.2 mm, diameter: 8 mm, outside: 10 mm}\n",
        "    - {shaft: idler, part: tube, length: 26 mm, diameter: 8 mm, outside: 14 mm}\n"
        "    - {shaft: idler, part: bare, length: 23.2 mm, diameter: 8 mm}\n",
    )
    assert sheet_of(tmp_path, short).wrong == ()


@pytest.mark.parametrize(
    ("sleeve", "strikes"), [(2 * (APART - tip(53)) - 0.1, False), (2 * (APART - tip(53)) + 0.1, True)]
)
def test_a_sleeve_strikes_as_soon_as_the_radii_say_so(tmp_path: Path, sleeve: float, strikes: bool) -> None:
    """It reaches 3.2 + 3.3 + 0.1 mm from its middle, which with the limits of the station is beside the wheel."""
    made = sheet_of(tmp_path, BOX.replace("sleeve: 25 mm", f"sleeve: {sleeve:.2f} mm"))
    assert any(one.about == "sleeve, over its travel" for _, one in made.wrong) is strikes


def test_a_sleeve_with_less_travel_stays_beside_its_wheels(tmp_path: Path) -> None:
    """A millimetre less of travel, and the thickest sleeve passes the end of the wheel with the float to spare."""
    thick = BOX.replace("sleeve: 25 mm", "sleeve: 44 mm").replace("groove_bottom: 23", "groove_bottom: 38")
    assert any("over its travel" in one.about for _, one in sheet_of(tmp_path / "far", thick).wrong)
    near = sheet_of(tmp_path / "near", thick.replace("dog-travel: 3.3", "dog-travel: 2.3"))
    assert not any("wheel low" in one.said for _, one in near.wrong)


def test_bearings_float_by_span_less_shoulders(sheet: Sheet) -> None:
    """70.4 less 70 mm, and twice a tenth less at the least; the stack is packed to what the shoulders leave."""
    assert number(sheet, "shafts", "input", "slack") == pytest.approx(0.4, abs=0.01)
    assert number(sheet, "shafts", "input", "left") == pytest.approx(70 - (13.95 + 13.2 + 10 + 12 + 11), abs=0.01)
    assert number(sheet, "shafts", "input", "whole") == pytest.approx(9 + 70 + 9, abs=0.01)


@pytest.mark.parametrize(
    ("before", "after", "expected", "serious"),
    [
        ("between: 70 ± 0.1 mm, ", "", "whatever is cut a hundredth off clamps them", True),
        ("between: 70 ± 0.1 mm", "between: 70.4 ± 0.1 mm", "clamp them in", True),
        ("between: 70 ± 0.1 mm", "between: 70.25 ± 0.1 mm", "clamp them in", True),
        ("between: 70 ± 0.1 mm", "between: 70.15 ± 0.1 mm", "clamp", False),
        ("part: back, length: 11 mm, diameter: 8 mm", "part: back, length: 11 mm, diameter: 14 mm", "HK0808", True),
        ("stock: 8 mm, left: 9 mm, right: 9 mm, left_diameter: 8 mm, right_diameter: 8 mm",
         "stock: 14 mm, left: 9 mm, right: 9 mm, left_diameter: 14 mm, right_diameter: 14 mm",
         "nothing slips onto it", True),
        ("right_diameter: 10 mm", "right_diameter: 11 mm", "input is 11 mm at its right end", True),
        ("seat: behind, shaft: 10 mm", "seat: behind, shaft: 12 mm", "6001 has a bore of 12 mm", True),
    ],
)  # fmt: skip
def test_what_clamps_or_does_not_fit(tmp_path: Path, before: str, after: str, expected: str, serious: bool) -> None:
    """Shoulders of one length clamp; an idler's pin of 14 mm goes into no cup of 8 mm; a thick end stops what slips."""
    assert before in BOX
    made = sheet_of(tmp_path, BOX.replace(before, after))
    assert any(expected in one.said for _, one in made.wrong) is serious
    assert (expected in said(made)) is serious


def test_a_key_is_no_longer_than_the_least_face(sheet: Sheet) -> None:
    """A face of 14 +0/-0.1 mm may be 13.9 mm: of the lengths 10, 12 and 14 mm of a 5 × 5 key the middle one fits."""
    ((_, part, key, *_),) = grid(sheet, "hub-keys").rows
    assert (part, key) == ("low", "5 × 5 × 12")


TRACKS = """
  scale: 0.3
  disc-tracks:
    - {track: one, stands: "0 0 + 0 - 0 0 0 x"}
    - {track: two, stands: "0 0.5 −2 2.5 nan 0 0 0 +"}
  drum-tracks:
    - {track: three, stands: "0 + 0 -"}
    - {track: three, stands: "0 - 0 +"}
  bearings:
    - {seat: "input, rear", shaft: 10 mm, kind: "ball, series 10"}
    - {seat: "input, rear", shaft: 12 mm, kind: "ball, series 10"}
  disc-thickness: 8 mm
  fork-rail: 0.5 cm
  casing-detents:
    - {detent: places, rail: disc, ball: 9 mm, side: +x}
    - {detent: fits, rail: disc, ball: 8 mm, side: -x}
    - {detent: one, rail: one, ball: 6 mm, side: +x}
    - {detent: two, rail: two, ball: 3 mm, side: +x}
"""


def test_rows_that_cannot_be_are_faults_before_posting(tmp_path: Path) -> None:
    """A word that is no place, two rows of one name, balls thicker than what they press on: all at once."""
    with pytest.raises(FaultsFound) as found:
        investigation(tmp_path, {"decisions/model": decision(TRACKS)})
    assert {one.field: one.given for one in found.value.faults} == {
        "fixes.disc-tracks.1.stands": "`x`",
        "fixes.disc-tracks.2.stands": "`−2`, `2.5`, `nan`",
        "fixes.drum-tracks.2.track": "`three`, which row 1 is too",
        "fixes.bearings.2.seat": "`input, rear`, which row 1 is too",
        "fixes.casing-detents.1.ball": "9 mm",
        "fixes.casing-detents.3.ball": "6 mm",
    }


def test_a_ball_is_held_against_a_rail_of_another_decision(tmp_path: Path) -> None:
    """Thinner rails, decided later, find the ball of the older decision."""
    balls = decision("\n  casing-detents:\n    - {detent: one, rail: one, ball: 4 mm, side: +x}\n")
    rails = decision("\n  fork-rail: 5 mm\n", taken="2031-07-01")
    investigation(tmp_path, {"decisions/balls": balls, "decisions/rails": rails})
    with pytest.raises(FaultsFound) as found:
        investigation(tmp_path, {"decisions/balls": balls, "decisions/rails": rails.replace("5 mm", "3 mm")})
    (fault,) = found.value.faults
    assert fault.file.endswith("decisions/balls.md")
    assert "3 mm by `fork-rail`" in fault.expected


def test_the_idlers_axis_is_where_two_circles_meet(sheet: Sheet) -> None:
    """So that the distances which the gaps are reckoned from are those of the axes."""
    x, y = (number(sheet, "shaft-axes", "idler", one) for one in ("x", "y"))
    assert (hypot(x, y), hypot(x - APART, y)) == pytest.approx((36, 49.5))
    assert ceil(y) > 0
