"""What is said of wheels, pairs and tracks that cannot be, or should be thought over: all at once, with the remedy."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.building.drawings.drawing import Drawing, Line
from ledger.building.drawings.profiles import to_svg
from ledger.building.sections.gears.data import gear_data
from ledger.building.sections.gears.meshing import meshes
from ledger.building.sections.gears.tooth_shape import gear_outline
from ledger.building.sections.gears.wheels import Pair, Wheel, pair_on, wheel_faults
from ledger.building.sections.tracks.drawing import drum_drawing, face_drawing
from ledger.building.sections.tracks.shape import drum_track, face_track

GOOD = pair_on(45.5, 1.5, 20, 40, 12, backlash=0.06)


def test_a_good_pair_has_nothing_said_of_it() -> None:
    """Silence means that it meshes."""
    assert meshes(GOOD) == []


def test_everything_wrong_with_a_wheel_is_said_at_once() -> None:
    """Each with its value and what was expected."""
    said = " ".join(wheel_faults(Wheel(-1.0, 4, 3.0, 0.0, 60.0, 5.0, bore=-1.0, thinning=nan, tip=-2.0)))
    for part in (
        "Module: -1 given; permitted from 0.05",
        "Number of teeth: 4 given",
        "Profile shift: 3 given",
        "Width of the teeth in mesh: 0 given",
        "Pressure angle of the tool: 5 given",
        "Helix angle: 60 given",
        "Bore: -1 given",
        "Thinning of the teeth: nan given",
        "Tip diameter: -2 given",
    ):
        assert part in said


@pytest.mark.parametrize(
    ("wheel", "part"),
    [
        (Wheel(1.0, 20.5), "20.5 given; expected a whole number"),
        (Wheel(1.0, 20, bore=18.0), "Bore: 18 mm given; expected less than the root diameter, 17.500 mm"),
        (Wheel(1.0, 20, tip=17.0), "expected more than 18.794 mm, root and base circle"),
        (Wheel(1.0, 20, profile="E"), "'E' given; expected a profile"),
        (Wheel(1.0, 20, profile="own", rounding=0.7), "too narrow for its rounding"),
        (Wheel(1.0, 12, 0.9), "end in a point below the tip circle"),
        (Wheel(1.0, 6, -0.9), "undercut takes the whole flank"),
    ],
)
def test_a_wheel_that_cannot_be_cut_is_refused(wheel: Wheel, part: str) -> None:
    """With its number of teeth, the value and what was expected; the pair's list says the same."""
    with pytest.raises(ValueError, match="The wheel of") as caught:
        gear_outline(wheel)
    assert part in str(caught.value)
    told = meshes(Pair(wheel, Wheel(1.0, 40), 30.0))
    assert [one.about for one in told] == ["wheel"]
    assert told[0].serious
    assert part in told[0].said


def test_serious_things_come_first_and_name_the_wheel() -> None:
    """Thin tips and low contact of a pinion with a great shift."""
    told = meshes(pair_on(30.0, 1.0, 8, 52, 10))
    assert [one.serious for one in told] == sorted((one.serious for one in told), reverse=True)
    assert told[0].about == "tip"
    assert "Tips of the wheel of 8 teeth" in told[0].said
    assert "smaller profile shift or tip diameter" in told[0].said


@pytest.mark.parametrize(
    ("pair", "about", "serious", "part"),
    [
        (replace(GOOD, distance=45.4), "centre distance", True, "close 45.500 mm; stated are 45.4 mm"),
        (replace(GOOD, distance=10.0), "centre distance", True, "smaller than the base circles"),
        (replace(GOOD, distance=nan), "centre distance", True, "permitted from"),
        (pair_on(45.5, 1.5, 20, 40, 12, backlash=0.4), "backlash", False, "reversals will knock"),
        (pair_on(30.0, 1.0, 11, 49, 8, shift_1=0.0), "undercut", False, "0.357 modules short"),
        (pair_on(30.0, 1.0, 11, 49, 8, shift_1=0.0), "contact", False, "is below 1.2"),
        (replace(GOOD, first=replace(GOOD.first, tip=34.4)), "clearance", False, "expected above 0.180 mm"),
        (replace(GOOD, first=replace(GOOD.first, thinning=-0.0), second=GOOD.first), "centre distance", True, "close"),
    ],
)
def test_each_thing_is_told_in_its_words(pair: Pair, about: str, serious: bool, part: str) -> None:
    """What is wrong, with its numbers."""
    found = [one for one in meshes(pair) if one.about == about]
    assert found
    assert found[0].serious == serious
    assert part in found[0].said


numbers = st.one_of(st.floats(), st.floats(-2.0, 50.0), st.sampled_from([0.0, 1.0, 20.0, inf, nan]))


@given(
    first=st.builds(
        Wheel, numbers, numbers, numbers, numbers, numbers, numbers, tip=numbers, thinning=numbers, bore=numbers
    ),
    second=st.one_of(st.just(GOOD.second), st.builds(Wheel, st.just(1.5), st.integers(5, 60), st.floats(-1.5, 2.0))),
    distance=numbers,
)
def test_whatever_is_given_is_told_and_never_breaks(first: Wheel, second: Wheel, distance: float) -> None:
    """Any numbers at all, not-a-number and infinity among them, end in words."""
    for one in (*meshes(Pair(first, second, distance)), *meshes(Pair(GOOD.first, second, distance))):
        assert one.said
        assert "nan mm" not in one.said or "given" in one.said


@pytest.mark.parametrize(
    ("given", "part"),
    [
        ({"distance": 60.0}, "Profile shift"),
        ({"distance": 10.0}, "smaller than the base circles"),
        ({"module": 0.0}, "Module: 0 given"),
        ({"teeth_1": 3}, "Number of teeth: 3 given"),
        ({"bores": (30.0, 0.0)}, "Bore: 30 mm given"),
        ({"backlash": -0.1}, "Backlash: -0.1 given"),
        ({"profile": "Z"}, "'Z' given"),
        ({"shift_1": nan}, "Profile shift: nan given"),
    ],
)
def test_a_pair_that_cannot_close_its_distance_is_refused(given: dict[str, object], part: str) -> None:
    """In words, before anything is drawn."""
    asked = {"distance": 45.5, "module": 1.5, "teeth_1": 20, "teeth_2": 40, "width": 12.0} | given
    with pytest.raises(ValueError, match=part.split(":", maxsplit=1)[0].strip("'")) as caught:
        pair_on(**asked)
    assert part in str(caught.value)


@pytest.mark.parametrize("distance", [60.0, 40.0])
def test_a_distance_that_no_shifts_close_is_told_with_those_they_do(distance: float) -> None:
    """The distances named are those that a pair made for them closes with shifts of −1 and of 1.5 together."""
    with pytest.raises(
        ValueError, match=r"for 20 and 40 teeth of 1\.5 mm; profile shifts of −1 to 1\.5 together close"
    ) as told:
        pair_on(distance, 1.5, 20, 40, 12)
    least, most = str(told.value).partition("together close ")[2].split(" mm")[0].split(" to ")
    for stated, total in ((least, -1.0), (most, 1.5)):
        data = gear_data(pair_on(float(stated), 1.5, 20, 40, 12, shift_1=0.3))
        assert data.shift_sum == pytest.approx(total, abs=1e-3)


def test_a_data_table_says_what_is_drawn() -> None:
    """The shifts of a made pair are round numbers, and its sizes are those of these numbers."""
    data = gear_data(GOOD)
    assert data.first.shift == round(data.first.shift, 4)
    assert data.first.tip == round(data.first.tip, 3)
    assert data.first.generated < data.first.shift
    assert data.centre_without_backlash == pytest.approx(45.5, abs=2e-4)
    assert data.normal_backlash < data.backlash


TURN = [(2 * pi * step / 90, 3 * sin(2 * pi * step / 90)) for step in range(91)]


@pytest.mark.parametrize(
    ("stations", "diameter", "width", "part"),
    [
        (TURN, 0.0, 3.0, "Diameter of the drum: 0 given"),
        (TURN, 30.0, -1.0, "Width of the track: -1 given"),
        (TURN, 30.0, nan, "Width of the track: nan given"),
        (TURN[:1], 30.0, 3.0, "two stations or more; 1 given"),
        ([*TURN[:5], (0.1, 2.0)], 30.0, 3.0, "Angles of the stations must rise"),
        ([*TURN[:5], (nan, 2.0)], 30.0, 3.0, "not a number"),
        ([*TURN, (2 * pi + 0.2, 0.0)], 30.0, 3.0, "covers 371.46°"),
        ([*TURN[:-1], (2 * pi, 1.0)], 30.0, 3.0, "After a full turn the travel is 1 mm, at its start 0 mm"),
        ([(0.0, 0.0), (0.1, 0.0), (0.2, 5.0)], 30.0, 3.0, "turns sharply at 5.73°"),
        ([(step / 500, (step / 500 - 0.5) ** 2 * 40) for step in range(200, 301)], 10.0, 9.0, "bends more narrowly"),
    ],
)
def test_a_track_that_cannot_be_cut_is_refused(stations: list, diameter: float, width: float, part: str) -> None:
    """With the place and the value."""
    with pytest.raises(ValueError, match=r"rack|rum|station|turn") as caught:
        drum_track(stations, diameter, width)
    assert part in str(caught.value)


def test_a_face_track_through_the_middle_is_refused() -> None:
    """Its inner edge would have no room; one that does not meet itself is refused as well."""
    with pytest.raises(ValueError, match="within half the width of 4 mm"):
        face_track([(angle, 1.0 + angle) for angle, _ in TURN[:30]], 4.0)
    with pytest.raises(ValueError, match="the radius is 31 mm, at its start 30 mm"):
        face_track([(2 * pi * step / 60, 30 + step / 60) for step in range(61)], 3.0)


def test_a_drum_too_short_for_its_tracks_is_refused() -> None:
    """And a disc too small, tracks of two drums, and a drawing of nothing."""
    track = drum_track(TURN, 30.0, 4.0)
    with pytest.raises(ValueError, match="the drum from 0 to 10 mm"):
        drum_drawing([track], 0.0, 10.0)
    with pytest.raises(ValueError, match="different diameters"):
        drum_drawing([track, drum_track(TURN, 31.0, 4.0)], -8.0, 16.0)
    with pytest.raises(ValueError, match="A drum needs a track"):
        drum_drawing([], 0.0, 10.0)
    face = face_track([(angle, 25 + travel) for angle, travel in TURN], 4.0)
    with pytest.raises(ValueError, match="the disc from 0 to 25 mm"):
        face_drawing([face], 50.0)
    with pytest.raises(ValueError, match="the disc from 21 to 40 mm"):
        face_drawing([face], 80.0, 42.0)
    with pytest.raises(ValueError, match="A disc needs a track"):
        face_drawing([], 50.0)


def test_a_picture_for_a_page_leaves_its_looks_to_the_page() -> None:
    """No size, colour or stroke of its own: classes for the page's style sheet, a title and a description."""
    drawing = drum_drawing([drum_track(TURN, 30.0, 4.0)], -8.0, 16.0, "Drum")
    written = to_svg(drawing, "One track & its pin path.", standalone=False)
    assert written.startswith('<svg class="wl-drawing" viewBox="-2 -10 98.247')
    assert "<title>Drum</title>\n<desc>One track &amp; its pin path.</desc>" in written
    for absent in ("stroke", "currentColor", "mm", "xmlns"):
        assert absent not in written
    assert [layer in written for layer in ("wl-drawing-track", "wl-drawing-edge", "wl-drawing-path")] == [True] * 3
    assert written.count("<path") == to_svg(drawing).count("<path")


def test_a_picture_has_a_title_that_is_safe() -> None:
    """Signs of markup in a title stay text."""
    written = to_svg(Drawing("<b>&", (Line("outline", ((0.0, 0.0), (1.0, 1.0)), False),)))
    assert "<title>&lt;b&gt;&amp;</title>" in written
    assert '<path d="M0 0L1 -1"/>' in written
