"""The build sheet by second methods: a gear table by hand, stations added up, tracks against their motion law."""

from __future__ import annotations

from itertools import pairwise
from math import acos, cos, degrees, hypot, pi, radians, sin, sqrt, tan
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from ledger.building.values import Sheet
from ledger.quantities.summary import Summary
from tests.sheets import LATCH, PAIR, cell, grid, number, sheet_of

ALPHA = radians(20)


def involute(angle: float) -> float:
    return tan(angle) - angle


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> Sheet:
    return sheet_of(tmp_path_factory.mktemp("pair"), PAIR)


@pytest.mark.parametrize(("wheel", "teeth", "spanned"), [("first, driving", 19, 3), ("first, driven", 53, 6)])
def test_a_wheel_of_the_sheet_is_the_wheel_of_the_handbook(pair: Sheet, wheel: str, teeth: int, spanned: int) -> None:
    """Module 1.5, unshifted, without backlash: d = z m, and the span over k teeth is m cos α (π(k - 1/2) + z inv α)."""
    expected = {
        "teeth": teeth,
        "shift": 0.0,
        "reference": 1.5 * teeth,
        "base": 1.5 * teeth * cos(ALPHA),
        "pitch": 1.5 * teeth,
        "tip": 1.5 * (teeth + 2),
        "root": 1.5 * (teeth - 2.5),
        "spanned": spanned,
        "span": 1.5 * cos(ALPHA) * (pi * (spanned - 0.5) + teeth * involute(ALPHA)),
    }
    for column, value in expected.items():
        assert number(pair, "gear-wheels", wheel, column) == pytest.approx(value, abs=1e-6), column
    tip = acos(teeth * cos(ALPHA) / (teeth + 2))
    thick = 1.5 * (teeth + 2) * (pi / (2 * teeth) + involute(ALPHA) - involute(tip))
    assert number(pair, "gear-wheels", wheel, "tip_thickness") == pytest.approx(thick, abs=1e-6)


def test_the_size_over_pins_lets_the_pin_touch_both_flanks(pair: Sheet) -> None:
    """A pin's middle lies on the involute beside the flank, its radius away along the base circle; by bisection."""
    teeth, base = 53, 1.5 * 53 * cos(ALPHA) / 2
    pin = number(pair, "gear-wheels", "first, driven", "pin")
    space = pi / (2 * teeth) - involute(ALPHA)  # half of it, as an angle on the base circle
    middle = brentq(lambda radius: base * (involute(acos(base / radius)) + space) - pin / 2, base, 2 * base)
    over = 2 * middle * cos(pi / 2 / teeth) + pin
    assert number(pair, "gear-wheels", "first, driven", "over") == pytest.approx(over, abs=1e-6)


def test_the_contact_ratio_is_the_line_of_action_between_the_tips_over_the_base_pitch(pair: Sheet) -> None:
    """Cut by both tip circles, found as distances along the common tangent of the base circles."""
    small, great = (1.5 * teeth / 2 * cos(ALPHA) for teeth in (19, 53))
    reach = sqrt((1.5 * 21 / 2) ** 2 - small**2) + sqrt((1.5 * 55 / 2) ** 2 - great**2) - 54 * sin(ALPHA)
    ratio = reach / (1.5 * pi * cos(ALPHA))
    assert number(pair, "gear-pairs", "first", "contact_ratio") == pytest.approx(ratio, abs=1e-6)
    assert number(pair, "gear-pairs", "first", "base_pitch") == pytest.approx(1.5 * pi * cos(ALPHA))
    assert number(pair, "gear-pairs", "first", "clearance") == pytest.approx(0.375)


def test_shifts_close_another_distance(tmp_path: Path) -> None:
    """At 54.6 mm the sum of shifts solves the equation of the centre distance, and tips keep their clearance."""
    sheet = sheet_of(tmp_path, PAIR.replace("centre-distance: 54 mm", "centre-distance: 54.6 mm"))

    def distance(total: float) -> float:
        turned = brentq(lambda a: involute(a) - involute(ALPHA) - 2 * total * tan(ALPHA) / 72, 0.01, 1.2)
        return 1.5 * 72 / 2 * cos(ALPHA) / cos(turned)

    total = brentq(lambda x: distance(x) - 54.6, -0.5, 1.5)
    assert number(sheet, "gear-pairs", "first", "shift_sum") == pytest.approx(total, abs=1e-4)
    assert number(sheet, "gear-wheels", "first, driving", "shift") == 0
    assert number(sheet, "gear-pairs", "first", "clearance") == pytest.approx(0.375, abs=2e-3)
    tips = [number(sheet, "gear-wheels", f"first, {side}", "tip") for side in ("driving", "driven")]
    roots = [number(sheet, "gear-wheels", f"first, {side}", "root") for side in ("driven", "driving")]
    assert all(54.6 - (tip + root) / 2 >= 0.37 for tip, root in zip(tips, roots, strict=True))


def test_backlash_comes_from_thinner_teeth_and_widens_with_the_distance(tmp_path: Path) -> None:
    """A backlash of 0.08 mm takes 0.08 cos α off both spans; 0.04 mm more distance adds 2 · 0.04 tan α to it."""
    fixes = PAIR.replace("54 mm", "54 +0.04/-0 mm") + "  gear-backlash: 0.08 mm\n"
    sheet, plain = sheet_of(tmp_path / "play", fixes), sheet_of(tmp_path / "none", PAIR)
    taken = sum(
        number(plain, "gear-wheels", f"first, {side}", "span") - number(sheet, "gear-wheels", f"first, {side}", "span")
        for side in ("driving", "driven")
    )
    assert taken == pytest.approx(0.08 * cos(ALPHA), abs=3e-4)
    play = cell(sheet, "gear-pairs", "first", "backlash")
    assert isinstance(play, Summary)
    assert play.low == pytest.approx(0.08, abs=2e-3)
    assert play.high == pytest.approx(0.08 + 2 * 0.04 * tan(ALPHA), abs=2e-3)


STATIONS = """
  scale: 0.3
  process: cut from metal
  centre-distance: 54 mm
  gear-module: 1.5 mm
  gear-pairs:
    - {gear: a, driver: 19, driven: 53}
  shaft-span: 60 ± 0.2 mm
  shaft-stations:
    - {shaft: one, part: washer, length: 1 mm}
    - {shaft: one, part: a, length: 15 +0/-0.1 mm}
    - {shaft: one, part: sleeve, length: 13.2 ± 0.1 mm}
    - {shaft: one, part: rest, closes: true}
    - {shaft: two, part: collar, length: 1.4 mm}
    - {shaft: two, part: a, length: 15 mm}
  shafts:
    - {shaft: one, stock: 12 mm, left: 10 mm, right: 30 mm}
  shaft-axes:
    - {axis: idler, from_first: 36 mm, from_second: 49.5 mm, side: right}
"""


@pytest.fixture(scope="module")
def shafts(tmp_path_factory: pytest.TempPathFactory) -> Sheet:
    return sheet_of(tmp_path_factory.mktemp("shafts"), STATIONS)


def test_stations_add_up(shafts: Sheet) -> None:
    """Each begins where the one before it ends; the closing one ends where the span does; the ends stand outside."""
    rows = [dict(zip((one.name for one in table.columns), row, strict=True))
            for table in [grid(shafts, "shaft-stations-one")] for row in table.rows]  # fmt: skip
    assert [row["part"] for row in rows] == ["left end", "washer", "a", "sleeve", "rest", "right end"]
    ends = [row["ends"].estimate for row in rows]
    assert [row["begins"].estimate for row in rows] == pytest.approx([-10.0, *ends[:-1]])
    assert ends == pytest.approx([0, 1, 15.95, 29.15, 60, 90], abs=0.03)
    assert rows[4]["length"].estimate == pytest.approx(60 - 29.15, abs=0.03)


def test_doubts_of_stations_add_in_squares_and_worst_cases_add(shafts: Sheet) -> None:
    """A rectangle of 0.1 mm, 0.1 mm at 95 % and the span's 0.2 mm; worst is 0.05 and 0.1 mm either way."""
    left = cell(shafts, "shafts", "one", "left")
    assert isinstance(left, Summary)
    spread = sqrt(0.1**2 / 12 + (0.1 / 1.96) ** 2 + (0.2 / 1.96) ** 2)
    assert left.uncertainty == pytest.approx(spread, rel=0.1)
    assert number(shafts, "shafts", "one", "least") == pytest.approx(1 + 14.9 + 13.1)
    assert number(shafts, "shafts", "one", "greatest") == pytest.approx(1 + 15 + 13.3)
    assert number(shafts, "shafts", "one", "whole") == pytest.approx(100, abs=0.03)


def test_parts_of_one_name_stand_opposite_each_other(shafts: Sheet) -> None:
    """Gear a begins at 1 mm on one shaft and at 1.4 mm on the other, and is 0.05 mm longer there."""
    assert number(shafts, "opposite", "a", "aside") == pytest.approx(1.4 + 7.5 - (1 + 14.95 / 2), abs=0.01)
    assert number(shafts, "opposite", "a", "overlap") == pytest.approx(15.95 - 1.4, abs=0.02)


def test_axes_have_the_stated_distances(shafts: Sheet) -> None:
    """The idler is 36 mm from the first shaft and 49.5 mm from the second, on the right of the line between them."""
    x, y = (number(shafts, "shaft-axes", "idler", one) for one in ("x", "y"))
    assert y < 0
    assert hypot(x, y) == pytest.approx(36)
    assert hypot(x - 54, y) == pytest.approx(49.5)


DISC = """
  scale: 1
  process: cut from metal
  disc-tracks:
    - {track: one, stands: "0 + 0 -"}
    - {track: two, stands: "- 0 0 +", pin_at: 90 °}
  disc-travel: 4 mm
  disc-pin: 3 mm
  disc-depth: 2 mm
  disc-radius: 20 mm
  disc-law: harmonic
  disc-dwell: 0.2
  disc-points: 0.5 °
"""


@pytest.fixture(scope="module")
def disc(tmp_path_factory: pytest.TempPathFactory) -> Sheet:
    return sheet_of(tmp_path_factory.mktemp("disc"), DISC)


def rows_of(sheet: Sheet, name: str) -> np.ndarray:
    """Return the numbers of a table of numbers."""
    return np.array([[one.estimate for one in row if isinstance(one, Summary)] for row in grid(sheet, name).rows])


def test_a_groove_rests_at_its_stands_and_moves_by_the_law_between(disc: Sheet) -> None:
    """Four positions 90° apart, 18° of rest each; between them the harmonic law h (1 - cos π z)/2."""
    angle, travel, radius, x, y = rows_of(disc, "disc-track-one").T
    stands, step, rest = [0, 4, 0, -4], 90.0, 9.0
    for one, row in zip(angle, np.column_stack([travel, radius, x, y]), strict=True):
        behind = min(int(one // step), 2)
        share = min(max((one - behind * step - rest) / (step - 2 * rest), 0.0), 1.0)
        begun, end = stands[behind], stands[behind + 1]
        expected = begun + (end - begun) * (1 - cos(pi * share)) / 2
        assert row[0] == pytest.approx(expected, abs=1e-9)
        assert row[1] == pytest.approx(24 + expected)
        assert hypot(row[2], row[3]) == pytest.approx(row[1])
        assert degrees(np.arctan2(row[3], row[2])) % 360 == pytest.approx(one % 360, abs=1e-6)


def test_where_moves_begin_and_end_stands_in_the_table(disc: Sheet) -> None:
    """The corners between rest and motion are rows of their own, whatever the step of the table."""
    angles = set(np.round(rows_of(disc, "disc-track-one")[:, 0], 6))
    assert {9.0, 81.0, 99.0, 171.0, 189.0, 261.0} <= angles
    assert 270.0 in angles


def test_the_steepest_place_of_a_groove_has_the_stated_pressure_angle(disc: Sheet) -> None:
    """By differences of the table itself: tan α = dr / (r dθ), greatest over all moves."""
    angle, _, radius, _, _ = rows_of(disc, "disc-track-one").T
    slopes = [abs(b - a) / ((a + b) / 2) / radians(end - start)
              for (start, a), (end, b) in pairwise(zip(angle, radius, strict=True))]  # fmt: skip
    steepest = degrees(np.arctan(max(slopes)))
    assert number(disc, "disc-tracks", "one", "pressure_angle") == pytest.approx(steepest, abs=0.02)


def test_the_second_face_is_the_mirror_image_and_the_pin_turns_the_groove(disc: Sheet) -> None:
    """Seen from in front, face 2 turns the other way; its pin stands a quarter turn on."""
    angle, _, radius, x, y = rows_of(disc, "disc-track-two").T
    assert x == pytest.approx(radius * np.cos(np.radians(angle + 90)))
    assert y == pytest.approx(-radius * np.sin(np.radians(angle + 90)))
    assert number(disc, "disc-tracks", "two", "face") == 2


def test_the_disc_ends_a_rim_outside_its_groove(disc: Sheet) -> None:
    """Least radius 20, swing 8, half a pin 1.5, rim 3: 65 mm across."""
    assert number(disc, "disc", "disc", "diameter") == pytest.approx(2 * (20 + 8 + 1.5 + 3))


def test_a_drum_laid_flat_is_pi_d_around(tmp_path: Path) -> None:
    """x = π D θ / 360°; three positions 120° apart; tan α = (π/2) h / (r β) at the middle of the depth."""
    sheet = sheet_of(tmp_path, LATCH)
    angle, travel, around, along = rows_of(sheet, "drum-track-bolt").T
    assert around == pytest.approx(pi * 30 * angle / 360)
    assert travel.max() == pytest.approx(6)
    assert along == pytest.approx(3 + 1.5 + travel)
    assert number(sheet, "drum", "drum", "length") == pytest.approx(3 + 3 + 6 + 3)
    slope = pi / 2 * 6 / (14 * radians(90))
    assert number(sheet, "drum-tracks", "bolt", "pressure_angle") == pytest.approx(degrees(np.arctan(slope)))


def test_dogs_by_arithmetic(tmp_path: Path) -> None:
    """2 R sin(α/2); window less dog; (13.2 - 6.6)/2 - 3 = 0.3 before it; 3.3 - 0.3 engaged."""
    fixes = """
  scale: 0.3
  process: cut from metal
  dogs:
    - {kind: tall, count: 6, angle: 14 °, height: 3 mm}
  dog-rings:
    - {ring: lower, radius: 18.6 mm, width: 4 mm, window: 38 °}
  dog-space: 13.2 mm
  dog-sleeve: 6.6 mm
  dog-travel: 3.3 mm
  dog-shear: 70 MPa
  dog-pressure: 100 MPa
  dog-bending: 100 MPa
  dog-share: 1
"""
    sheet = sheet_of(tmp_path, fixes)
    thick = 2 * 18.6 * sin(radians(7))
    expected = {"thickness": thick, "play": 24, "play_mm": radians(24) * 18.6, "clear": 0.3, "engaged": 3.0}
    for column, value in expected.items():
        assert number(sheet, "dogs", "lower", column) == pytest.approx(value), column
    shear, pressure = 70 * 6 * thick * 4 * 18.6 / 1000, 100 * 6 * 3 * 4 * 18.6 / 1000
    bending = 100 * 6 * 4 * thick**2 / 6 / 1.5 * 18.6 / 1000
    assert number(sheet, "dogs", "lower", "held") == pytest.approx(min(shear, pressure, bending))


def test_a_dog_that_enters_in_part_is_loaded_at_its_tip(tmp_path: Path) -> None:
    """2 mm of 3 mm stand in the window: the middle of the contact lies 2 mm from the root, whatever the clearance."""
    fixes = """
  scale: 0.3
  process: cut from metal
  dogs:
    - {kind: tall, count: 6, angle: 14 °, height: 3 mm}
  dog-rings:
    - {ring: lower, radius: 18.6 mm, width: 4 mm}
  dog-space: 13.2 mm
  dog-sleeve: 6.6 mm
  dog-travel: 2.3 mm
  dog-shear: 10000 MPa
  dog-pressure: 10000 MPa
  dog-bending: 100 MPa
  dog-share: 1
"""
    thick = 2 * 18.6 * sin(radians(7))
    bending = 100 * 6 * 4 * thick**2 / 6 / 2.0 * 18.6 / 1000
    assert number(sheet_of(tmp_path, fixes), "dogs", "lower", "held") == pytest.approx(bending)


def test_seats_and_fits_by_the_tables(tmp_path: Path) -> None:
    """12 H7/k6: +18/0 and +12/+1 µm. A bore of 10 mm, 0/-8 µm, on k6 +10/+1. The nearest bore to 13 mm is 12."""
    fixes = """
  scale: 0.3
  process: cut from metal
  bearings:
    - {seat: front, shaft: 10 mm, kind: "ball, series 10", shaft_class: k6}
    - {seat: rear, shaft: 13 mm, kind: "ball, series 10"}
  bearing-fits:
    - {place: a gear, size: 12 mm, fit: H7/k6}
"""
    sheet = sheet_of(tmp_path, fixes)
    assert cell(sheet, "bearings", "front", "bearing") == "6000"
    assert [number(sheet, "bearings", "front", one) for one in ("outside", "width")] == [26, 8]
    assert [number(sheet, "bearings", "front", one) for one in ("least", "greatest")] == pytest.approx([-0.018, -0.001])
    assert cell(sheet, "bearings", "rear", "bearing") == "6001"
    assert [number(sheet, "fits", "a gear", one) for one in ("least", "greatest")] == pytest.approx([-0.012, 0.017])
