"""Hubs, dogs, forks and bores of the build sheet by arithmetic and by plane geometry of a general library."""

from __future__ import annotations

from math import acos, asin, atan2, cos, degrees, hypot, pi, radians, sin, sqrt, tan
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box, unary_union
from shapely.affinity import translate

from ledger.building.drawings.outlines import fork, keyed_bore, sector, spline
from ledger.building.sheet import build_sheet
from ledger.building.telling.files import drawing_files, table_files
from ledger.building.values import Limits, Sheet
from ledger.handing.as_csv import safe
from tests.sheets import PAIR, cell, grid, number, opened, said, sheet_of
from tests.sheets import decision as decided

WITHIN = 0.002  # [mm], by how much the straight pieces of an arc may leave it
WHOLE = (
    PAIR
    + """
  gear-blanks:
    - {gear: first, face: 15 +0/-0.1 mm, driver_bore: 12 mm, driven_bore: 14 mm}
  gear-backlash: 0.06..0.10 mm
  shaft-span: 60 mm
  shaft-float: 0.2 mm
  shaft-stations:
    - {shaft: input, part: first, length: 15 +0/-0.1 mm, diameter: 12 mm}
    - {shaft: input, part: spacer, length: 13.2 mm, diameter: 12 mm}
    - {shaft: input, part: rest, diameter: 12 mm, closes: true}
    - {shaft: output, part: first, length: 15 mm, diameter: 14 mm}
    - {shaft: output, part: sleeve, length: 13.2 mm, diameter: 14 mm}
    - {shaft: output, part: end, diameter: 14 mm, closes: true}
  shafts:
    - {shaft: input, stock: 12 mm, left: 20 mm, right: 10 mm, left_diameter: 10 mm, right_diameter: 10 mm}
  bearings:
    - {seat: in, shaft: 10 mm, kind: "ball, series 10", shaft_class: k6, wall: front, axis: input, housing_class: H7}
    - {seat: out, shaft: 12 mm, kind: "ball, series 10", shaft_class: k6, wall: front, axis: output, housing_class: H7}
  disc-tracks:
    - {track: one, stands: "0 + 0 -"}
  disc-travel: 3.3 mm
  disc-pin: 2.5 mm
  disc-depth: 1.8 mm
  disc-radius: 15 mm
  disc-law: harmonic
  disc-thickness: 8 mm
  disc-x: 27 mm
  disc-y: -60 mm
  disc-z: 50 mm
  disc-pins: left
  dogs:
    - {kind: tall, count: 6, angle: 14 °, height: 3 mm, back: 35 °, at: -11.25 °}
    - {kind: short, count: 6, angle: 11.5 °, height: 1.5 mm, at: 12.5 °}
  dog-rings:
    - {ring: lower, radius: 18.6 mm, width: 4 mm, window: 38 °, depth: 3.3 mm, slopes: leading, inside: "first, driven"}
  dog-space: 13.2 mm
  dog-sleeve: 6.4 mm
  dog-travel: 3.3 mm
  forks:
    - {fork: one, sleeve: 45 mm, groove_bottom: 40 mm, station: sleeve, track: one}
  fork-groove: 2.6 mm
  fork-sleeve: 6.4 mm
  fork-arms: 4 mm
  fork-rail: 5 mm
  fork-rails:
    - {rail: one, at_x: 34 mm, at_y: -44 mm, left: 18 mm, right: 12 mm}
  hub-seats:
    - {shaft: input, part: first, size: 12 mm, held: is keyed, fit: H7/h6}
    - {shaft: output, part: first, size: 14 mm, held: runs free, fit: E8/h6}
    - {shaft: output, part: sleeve, size: 14 mm, held: is keyed, fit: K7/h6}
  hub-splines:
    - {hub: sleeve, spline: 6 × 26 × 30, ring: lower}
  casing-walls:
    - {wall: front, side: left, thickness: 14 mm}
  casing-detents:
    - {detent: one, rail: one, ball: 3 mm, z: -7 mm, side: -y}
    - {detent: places, rail: disc, ball: 4 mm, side: +x}
"""
)


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> Sheet:
    made = sheet_of(tmp_path_factory.mktemp("parts"), WHOLE)
    assert made.wrong == ()
    return made


def ends(sheet: Sheet, *place: str) -> tuple[float, float, float]:
    """Return nominal and limits of a cell."""
    found = cell(sheet, *place)
    assert isinstance(found, Limits)
    return found.estimate, found.low, found.high


def test_what_is_bored_has_the_limits_of_its_class(sheet: Sheet) -> None:
    """26 H7 is 26 +21/0, the seat 10 k6 is 10 +10/+1, a wheel that runs on 14 h6 is 14 E8: +59/+32, all in µm."""
    assert ends(sheet, "bearings", "in", "housing") == pytest.approx((26, 26, 26.021))
    assert ends(sheet, "bearings", "in", "seated") == pytest.approx((10, 10.001, 10.010))
    free = grid(sheet, "hub-seats").rows[1]
    names = [one.name for one in grid(sheet, "hub-seats").columns]
    row = dict(zip(names, free, strict=True))
    assert (row["hole"].low, row["hole"].high) == pytest.approx((14.032, 14.059))
    assert (row["rod"].low, row["rod"].high) == pytest.approx((13.989, 14))
    assert (row["least"].estimate, row["greatest"].estimate) == pytest.approx((0.032, 0.070))


def test_a_size_keeps_the_limits_it_was_given(sheet: Sheet) -> None:
    """A face of 15 +0/-0.1 mm is no 14.95 ± 0.05."""
    assert ends(sheet, "gear-wheels", "first, driving", "face") == (15, 14.9, 15)


def test_a_span_has_the_limits_of_the_backlash(sheet: Sheet) -> None:
    """From 0.10 to 0.06 mm on the pitch circles each span lies 0.05 to 0.03 mm times cos α below the book's."""
    alpha = radians(20)
    book = 1.5 * cos(alpha) * (2.5 * pi + 19 * (tan(alpha) - alpha))
    nominal, low, high = ends(sheet, "gear-wheels", "first, driving", "span")
    assert (nominal, low, high) == pytest.approx([book - part * cos(alpha) for part in (0.04, 0.05, 0.03)], abs=2e-4)


def test_keys_of_the_sheet(sheet: Sheet) -> None:
    """A 5 × 5 key of 12 mm fills 13.2 mm of a 14 mm shaft; bore and keyway are 14 + 2.3 mm."""
    (wheel, hub) = grid(sheet, "hub-keys").rows
    assert (wheel[2], hub[2]) == ("4 × 4 × 14", "5 × 5 × 12")
    across = hub[-1]
    assert isinstance(across, Limits)
    assert (across.estimate, across.low, across.high) == pytest.approx((16.3, 16.3, 16.4))
    parts = {(row[0], row[4]): row for row in grid(sheet, "parts").rows}
    assert ("parallel key", "DIN 6885-1 A 5 × 5 × 12 mm") in parts


def test_the_end_float_is_left(sheet: Sheet) -> None:
    """60 less 15 less 13.2 less 0.2."""
    assert number(sheet, "shafts", "output", "packing") == pytest.approx(31.6)


def test_a_sloping_back_takes_from_the_tip(sheet: Sheet) -> None:
    """3 tan 35° less than at the root; least at the inner edge, 16.6 mm off the axis."""
    run = 3 * tan(radians(35))
    assert number(sheet, "dogs", "lower", "tip") == pytest.approx(2 * 18.6 * sin(radians(7)) - run)
    assert number(sheet, "dogs", "lower", "least_tip") == pytest.approx(2 * 16.6 * sin(radians(7)) - run)
    assert number(sheet, "dog-rings", "lower", "spread") == pytest.approx(18.25 + 18.25)
    assert number(sheet, "dog-rings", "lower", "stop") == pytest.approx(3.4 - 3.3)
    floor = next(row for row in grid(sheet, "least-features").rows if "window's floor" in str(row[0]))
    assert floor[2].estimate == pytest.approx(3.3 - (3.3 - (3.4 - 3)))


def test_an_angle_at_the_tip_is_wider_at_the_root(tmp_path: Path) -> None:
    """By 3 tan 35° of arc."""
    made = sheet_of(tmp_path, WHOLE + "  dog-angle-at: tip\n")
    run = 3 * tan(radians(35))
    assert number(made, "dogs", "lower", "tip") == pytest.approx(2 * 18.6 * sin(radians(7)))
    assert number(made, "dogs", "lower", "angle") == pytest.approx(14 + degrees(run / 18.6))


def test_forks_reach_their_rail_and_pin(sheet: Sheet) -> None:
    """Sleeve at x = 54, rail at (34, -44); the pin 18.3 mm left of the spindle on the face at y = -60 + 4."""
    assert number(sheet, "forks", "one", "reach") == pytest.approx(hypot(20, 44))
    assert number(sheet, "fork-places", "one", "rail_from_pin_x") == pytest.approx(27 - 34)
    assert number(sheet, "fork-places", "one", "rail_from_pin_y") == pytest.approx(-56 + 44)
    neutral = 15 + 13.2 / 2
    assert number(sheet, "fork-places", "one", "fork_to_pin") == pytest.approx(50 - 18.3 - neutral)
    assert cell(sheet, "fork-places", "one", "plus") == "first (left)"
    assert cell(sheet, "fork-places", "one", "minus") == "end (right)"
    assert number(sheet, "fork-rails", "one", "length") == pytest.approx(60 + 18 + 12)


def test_pins_on_the_other_side_turn_the_signs_round(tmp_path: Path) -> None:
    """What led to the left leads to the right."""
    made = sheet_of(tmp_path, WHOLE.replace("disc-pins: left", "disc-pins: right"))
    assert number(made, "disc-pins", "one", "z") == pytest.approx(50 + 18.3)
    assert cell(made, "fork-places", "one", "plus") == "end (right)"


def test_bores_stand_where_the_axes_do(sheet: Sheet) -> None:
    """Bearings 8 mm deep at x = 0 and 54; the rail right through; a detent's hole meets the rail from below."""
    rows = {row[0]: row for row in grid(sheet, "casing-bores-front").rows}
    assert [one.estimate for one in rows["bearing of output"][1:]] == pytest.approx([54, 0, 28, 0, -8])
    assert [one.estimate for one in rows["rail, one"][1:]] == pytest.approx([34, -44, 5, 0, -14])
    places = [number(sheet, "casing-detents", "one", one) for one in ("x", "y", "z")]
    assert places == pytest.approx([34, -46.5, -7])
    rim = number(sheet, "disc", "disc", "diameter") / 2
    assert number(sheet, "casing-detents", "places", "x") == pytest.approx(27 + rim)


def test_what_rails_leave_beside_wheels(sheet: Sheet) -> None:
    """The rail is hypot(20, 44) off the wheel of 55 modules across its tips, and 2.5 mm thick from its middle."""
    room = next(row for row in grid(sheet, "least-features").rows if str(row[0]).startswith("rail one"))
    assert room[2].estimate == pytest.approx(hypot(20, 44) - 1.5 * 55 / 2 - 2.5)


def test_a_spline_has_parallel_flanks() -> None:
    """Between minor and major radius each spline is as wide as stated, square to its middle; by cutting with a line."""
    count, minor, major, width = 6, 26.0, 30.0, 6.0
    shape = Polygon(spline(count, minor, major, width))
    assert shape.is_valid
    for place in range(count):
        angle = 2 * pi * place / count
        for radius in (13.2, 14.6):
            middle = np.array([cos(angle), sin(angle)]) * radius
            across = np.array([-sin(angle), cos(angle)]) * 5
            cut = LineString([middle - across, middle + across]).intersection(shape)
            assert cut.length == pytest.approx(width, abs=1e-5)
    segment = major**2 / 4 * (asin(width / major) - width / major * cos(asin(width / major)))
    strip = width * sqrt(major**2 - width**2) / 2 - width * sqrt(minor**2 - width**2) / 2
    inner = minor**2 / 4 * (asin(width / minor) - width / minor * cos(asin(width / minor)))
    assert shape.area == pytest.approx(pi * minor**2 / 4 + count * (strip + segment - inner), abs=WITHIN * shape.length)


def test_splines_that_meet_are_refused() -> None:
    """Six of 14 mm do not stand round 26 mm."""
    with pytest.raises(ValueError, match="meet at the minor diameter"):
        spline(6, 26.0, 30.0, 14.0)


def test_a_keyed_bore_is_a_circle_and_a_strip() -> None:
    """A general library's union of both."""
    made = Polygon(keyed_bore(14.0, 5.0, 2.3))
    expected = Point(0, 0).buffer(7, quad_segs=200).union(box(0, -2.5, 9.3, 2.5))
    assert made.is_valid
    assert made.symmetric_difference(expected).area < WITHIN * made.length


def test_a_forks_plate_is_half_a_ring_and_a_tongue() -> None:
    """A general library's union of half a ring, a strip and a round end."""
    made = Polygon(fork(40.6, 53.0, 48.3, 9.0))
    ring = Point(0, 0).buffer(26.5, quad_segs=400).difference(Point(0, 0).buffer(20.3, quad_segs=400))
    half = ring.intersection(box(0, -30, 30, 30))
    end = Point(48.3, 0).buffer(4.5, quad_segs=99)
    tongue = box(22, -4.5, 48.3, 4.5).difference(Point(0, 0).buffer(20.3)).union(end)
    assert made.is_valid
    assert made.symmetric_difference(half.union(tongue)).area < WITHIN * made.length
    with pytest.raises(ValueError, match="within the arms"):
        fork(40.6, 53.0, 20.0, 9.0)


def test_a_sector_lies_between_its_radii_and_angles() -> None:
    """Its area is that of the ring's share."""
    made = Polygon(sector(16.6, 20.6, 0.2, 0.5))
    assert made.area == pytest.approx(0.15 * (20.6**2 - 16.6**2), abs=0.01)


def test_drawings_read_back(sheet: Sheet, tmp_path: Path) -> None:
    """Dogs, windows, hub and wall as DXF by its own library: counts, radii and places are those of the sheet."""
    files = drawing_files(sheet)
    read = {}
    for name in ("dogs-lower", "windows-lower", "dogs-lower-profile", "hub-lower", "fork-one", "wall-front"):
        (tmp_path / f"{name}.dxf").write_bytes(files[f"{name}.dxf"])
        read[name] = ezdxf.readfile(tmp_path / f"{name}.dxf").modelspace()
        assert f"{name}.svg" in files
    lines = {name: [np.array([(x, y) for x, y, *_ in one.get_points()]) for one in space.query("LWPOLYLINE")]
             for name, space in read.items()}  # fmt: skip
    dogs = [one for one in lines["dogs-lower"] if len(one) > 2]
    assert len(dogs) == 12
    radii = np.hypot(*np.vstack(dogs).T)
    assert (radii.min(), radii.max()) == pytest.approx((16.6, 20.6), abs=1e-5)
    first = dogs[0]
    turned = [degrees(atan2(y, x)) for x, y in first]
    assert (min(turned), max(turned)) == pytest.approx((-11.25 - 7, -11.25 + 7), abs=1e-4)
    windows = np.hypot(*np.vstack(lines["windows-lower"]).T)
    assert len(lines["windows-lower"]) == 6
    assert (windows.min(), windows.max()) == pytest.approx((16.5, 20.7), abs=1e-5)
    sleeve, wheel = lines["dogs-lower-profile"]
    assert sleeve[:, 1].max() == pytest.approx(3)
    assert wheel[:, 1].min() == pytest.approx((13.2 - 6.4) / 2)
    assert np.ptp(wheel[:, 1]) == pytest.approx(3.3)
    circles = {(round(one.dxf.center.x, 3), round(one.dxf.center.y, 3)): one.dxf.radius
               for one in read["wall-front"].query("CIRCLE") if one.dxf.layer == "bore"}  # fmt: skip
    assert circles == pytest.approx({(0, 0): 13, (54, 0): 14, (34, -44): 2.5})
    (rail,) = [one for one in read["fork-one"].query("CIRCLE") if one.dxf.layer == "bore"]
    assert rail.dxf.center.x == pytest.approx(hypot(20, 44), abs=1e-6)


def test_the_back_of_a_trailing_dog_is_on_the_other_side(tmp_path: Path) -> None:
    """The profile is the mirror image."""
    made = sheet_of(tmp_path, WHOLE.replace("slopes: leading", "slopes: trailing"))
    lead = sheet_of(tmp_path / "lead", WHOLE)
    drawings = [next(one for one in each.sketches if one.name == "dogs-lower-profile") for each in (lead, made)]
    assert [one.title.rpartition(" ")[2] for one in drawings] == ["left", "right"]
    profiles = [one.fine.lines[0].points for one in drawings]
    assert np.array(profiles[0])[::-1] * [-1, 1] == pytest.approx(np.array(profiles[1]), abs=1e-6)


def profile(sheet: Sheet) -> tuple[Polygon, Polygon]:
    """Return the dogs of one pitch and the wheel they enter, as drawn, each with some metal behind it."""
    lines = next(one for one in sheet.sketches if one.name == "dogs-lower-profile").fine.lines
    dogs, wheel = ([(x, y) for x, y in line.points] for line in lines)
    under = Polygon([*dogs, (dogs[-1][0], -1), (dogs[0][0], -1)])
    over = [Polygon([(x + aside, y) for x, y in (*wheel, (wheel[-1][0], 9), (wheel[0][0], 9))])
            for aside in (-2 * wheel[-1][0], 0, 2 * wheel[-1][0])]  # fmt: skip
    return under, unary_union(over)


def slid_back(dogs: Polygon, wheel: Polygon) -> float:
    """Return how far dogs go to the left before a flank bears on the wheel [mm]."""
    return next(back for back in np.arange(0, 20, 0.01) if translate(dogs, -back).intersection(wheel).area > 1e-9)


def test_tall_dogs_drive_and_short_ones_drop_in(sheet: Sheet) -> None:
    """With the tips of the tall dogs 0.6 mm in, the steep flanks reach the wall that drives; home, nothing strikes."""
    dogs, wheel = profile(sheet)
    part = translate(dogs, 0, 1.0)
    back = slid_back(part, wheel) - 0.01
    assert back == pytest.approx(18.6 * radians(19 - 18.25), abs=0.02)
    home = translate(dogs, -back, 3.3)
    assert home.intersection(wheel).area < 1e-9
    touching = translate(home, -0.02).intersection(wheel)
    assert touching.bounds[3] - touching.bounds[1] == pytest.approx(3 - 0.1, abs=0.02)
    onward = next(on for on in np.arange(0, 20, 0.01) if translate(home, on).intersection(wheel).area > 1e-9)
    square = translate(home, onward + 0.02).intersection(wheel)
    assert square.bounds[3] - square.bounds[1] == pytest.approx(1.5 - 0.1, abs=0.05)


def test_dogs_the_wrong_way_round_are_in_the_way(tmp_path: Path) -> None:
    """Exchanged, the short dog spans -41.5 to -30° once the tall one is seated; the land ends at -41°."""
    wrong = WHOLE.replace("at: -11.25", "at: 11.25").replace("at: 12.5", "at: -12.5")
    made = sheet_of(tmp_path, wrong)
    dogs, wheel = profile(made)
    back = slid_back(translate(dogs, 0, 1.0), wheel) - 0.01
    assert translate(dogs, -back, 3.3).intersection(wheel).area > 1
    about = [problem.said for _, problem in made.wrong]
    assert any("Its driving flank bears on nothing: that of the short dogs is 22.5° nearer" in one for one in about)
    assert any("they stand 11° over the land and do not drop in" in one for one in about)


def test_files_have_no_more_digits_than_the_doubt_supports(tmp_path: Path) -> None:
    """60 ± 0.1 less 28.2 at 400 draws: two digits of the half-width, and limits as they were given."""
    doubtful = WHOLE.replace("shaft-span: 60 mm", "shaft-span: 60 ± 0.1 mm")
    casebook = opened(tmp_path, {"decisions/model": decided(doubtful)})
    files = table_files(casebook, build_sheet(casebook), safe)
    lengths = files["shafts.csv"].decode().splitlines()
    head = lengths[0].split(",")
    row = dict(zip(head, lengths[2].split(","), strict=True))
    assert len(row["left [mm]"].partition(".")[2]) <= 3
    assert (row["between [mm]"], row["between low [mm]"], row["between high [mm]"]) == ("60", "59.9", "60.1")
    faces = files["gear-wheels.csv"].decode().splitlines()
    face = dict(zip(faces[0].split(","), faces[1].replace('"first, driving"', "first").split(","), strict=True))
    assert (face["face [mm]"], face["face low [mm]"], face["face high [mm]"]) == ("15", "14.9", "15")


def test_two_gears_are_in_together_while_rigid_forks_change(tmp_path: Path) -> None:
    """By the inverse of the harmonic law: dogs of 3 and 1.5 mm enter at 0.4 and 1.9 of 3.3 mm; 72° of 90° move."""
    two = WHOLE.replace('{track: one, stands: "0 + 0 -"}', '{track: one, stands: "0 + 0 0"}') + (
        '    - {track: two, stands: "0 0 - 0"}\n'
    )
    rows = two.splitlines()
    track = rows.pop(-1)
    rows.insert(next(place for place, row in enumerate(rows) if "track: one, stands" in row) + 1, track)
    fork = next(place for place, row in enumerate(rows) if "fork: one, sleeve" in row)
    forks = [rows[fork], "    - {fork: two, sleeve: 45 mm, groove_bottom: 40 mm, track: two, rail: one}"]
    rows[fork : fork + 1] = forks
    fixes = "\n".join(rows) + "\n"

    def turned(share: float) -> float:
        return 90 + 9 + 72 * acos(1 - 2 * share) / pi

    made = sheet_of(tmp_path, fixes)
    (row,) = grid(made, "fork-changes").rows
    assert row[0] == "place 2 to 3"
    shown = [one.estimate for one in row[3:]]
    expected = [turned(0.4 / 3.3), turned(1 - 1.9 / 3.3), turned(1 - 0.4 / 3.3)]
    assert shown == pytest.approx([*expected, expected[2] - expected[0]], abs=1e-3)
    assert f"together at {expected[0]:.1f} to {expected[2]:.1f}° of the turn" in said(made)
    apart = sheet_of(tmp_path / "apart", fixes + "  disc-moves: 2\n")
    assert grid(apart, "fork-changes").rows[0][-1].estimate == 0
    assert "are in together" not in said(apart)
