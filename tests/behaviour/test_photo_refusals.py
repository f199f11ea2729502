"""What cannot be measured is refused in words that help."""

from __future__ import annotations

from math import inf, nan

import numpy as np
import pytest

from ledger.errors import PhotoRefused, WitnessError
from ledger.photo.combining import Reading, combine
from ledger.photo.lens import BrownLens, Lens, Straight, UnknownLens
from ledger.photo.plane import CAUSES, angle, length, on_plane
from ledger.photo.plane_known import Frame, known_circle, known_points, known_rectangle
from ledger.photo.scale_bar import View, scale_bar
from ledger.photo.shaft_line import axial_stack
from ledger.photo.values import Pick, measured
from ledger.quantities.notation import parse

MM = parse("100 mm")
SQUARE = tuple(Pick(x, y) for x, y in ((500, 400), (2000, 450), (1950, 1500), (520, 1480)))
INSIDE = Pick(900, 900), Pick(1500, 1200)
LINE = {"a": (0, "0 mm"), "b": (500, "30 mm"), "c": (900, "60 mm")}


def square(picks: tuple[Pick, ...] = SQUARE) -> Frame:
    """A square of 100 mm."""
    return known_rectangle(picks, MM, MM)


def line(known: dict[str, tuple[float, str]] | None = None, wanted: tuple[float, float] = (700, 0), **more: object):  # type: ignore[no-untyped-def]
    """A level shaft; known places by label, and one that is wanted."""
    return axial_stack(
        {name: (Pick(x, 300), parse(text)) for name, (x, text) in (known or LINE).items()},
        {"wanted": Pick(wanted[0], 300 + wanted[1])},
        Straight(),
        count=200,
        **more,  # type: ignore[arg-type]
    )


PLANES = {
    "three points": (known_points(SQUARE[:3], [(MM, MM)] * 3), "expected four at least"),
    "no points": (known_points([], []), "given 0 known points"),
    "five corners": (known_rectangle((*SQUARE, Pick(1, 1)), MM, MM), "four corners, in order"),
    "NaN": (square((Pick(nan, 3), *SQUARE[1:])), "known point 1: given \\(nan, 3\\)"),
    "infinite": (square((Pick(3, inf), *SQUARE[1:])), "expected pixels within"),
    "no doubt": (square((Pick(500, 400, 0), *SQUARE[1:])), "uncertainty of 0 px; expected one above zero"),
    "negative doubt": (square((Pick(500, 400, -1), *SQUARE[1:])), "expected one above zero"),
    "three on a line": (square((SQUARE[0], Pick(1250, 425), SQUARE[1], SQUARE[3])), "1, 2 and 3 on one line"),
    "nearly on a line": (square((SQUARE[0], Pick(1250, 427), SQUARE[1], SQUARE[3])), "within their doubt"),
    "coincident": (square((SQUARE[0], SQUARE[0], *SQUARE[2:])), "or coincident"),
    "crossed": (square((SQUARE[0], SQUARE[2], SQUARE[1], SQUARE[3])), "in order round"),
    "zero width": (known_rectangle(SQUARE, parse("0 mm"), MM), "width: given `0 mm`; expected surely more than 0"),
    "width that may be none": (known_rectangle(SQUARE, parse("5 ± 4 mm"), MM), "width: .* surely more"),
    "width in degrees": (known_rectangle(SQUARE, parse("5 °"), MM), "width: given 5 °"),
    "diameter below zero": (known_circle(SQUARE, parse("-5 mm"), [parse("0 °")] * 4), "diameter"),
    "angles in mm": (known_circle(SQUARE, MM, [MM] * 4), "angle of point 4"),
    "an angle missing": (known_circle(SQUARE, MM, [parse("0 °")] * 3), "expected 5"),
    "angles alike": (known_circle(SQUARE, MM, [parse(f"{a} °") for a in (0, 0, 180, 270)]), "known places 1, 2"),
    "known on a line": (
        known_points(SQUARE, [(parse(f"{x} mm"), parse("3 mm")) for x in (0, 10, 20, 40)]),
        "known places 1, 2 and 3 on one line",
    ),
    "all but one on a line": (
        known_points(
            (*(Pick(100 + 200 * n, 300) for n in range(5)), Pick(500, 900)),
            [(parse(f"{10 * n} mm"), parse("0 mm")) for n in range(5)] + [(parse("20 mm"), parse("30 mm"))],
        ),
        "1, 2, 3, 4 and 5 on one line",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", PLANES)
def test_impossible_frames_are_refused(name: str) -> None:
    """Every measurement on such a frame says what was given, what was expected, and how to mend it."""
    frame, words = PLANES[name]
    for measure in (
        lambda: length(frame, *INSIDE, Straight()),
        lambda: angle(frame, *INSIDE, Pick(1000, 1300), Straight()),
        lambda: on_plane(frame, INSIDE[:1], Straight(), CAUSES, 50),
    ):
        with pytest.raises(PhotoRefused, match=words) as refused:
            measure()
        assert "expected" in str(refused.value)
        assert isinstance(refused.value, WitnessError)


TARGETS = {
    "coincident": ((Pick(900, 900), Pick(900, 900)), "picks 1 and 2: given 0 px apart"),
    "within their doubt": ((Pick(900, 900), Pick(902, 901)), "at least 3 times that doubt"),
    "NaN": ((Pick(900, nan), Pick(1500, 1200)), "pick 1: given"),
    "no doubt": ((Pick(900, 900), Pick(1500, 1200, nan)), "pick 2: given an uncertainty of nan"),
}


@pytest.mark.parametrize("name", TARGETS)
def test_impossible_picks_are_refused(name: str) -> None:
    """Picks that coincide, or are no pixels, measure nothing."""
    picks, words = TARGETS[name]
    with pytest.raises(PhotoRefused, match=words):
        length(square(), *picks, Straight())


def test_points_beyond_the_horizon_are_refused() -> None:
    """A floor seen so obliquely has a horizon in the picture; what lies above it is not on the floor."""
    floor = square((Pick(500, 1500), Pick(2500, 1500), Pick(1800, 900), Pick(1200, 900)))
    assert length(floor, Pick(1400, 1200), Pick(1600, 1200), Straight()).estimate > 0
    with pytest.raises(PhotoRefused, match="horizon"):
        length(floor, Pick(1400, 300), Pick(1600, 1200), Straight())


def test_points_that_may_be_beyond_the_horizon_are_refused() -> None:
    """Near the horizon doubt reaches across it, and no interval is finite."""
    floor = square((Pick(500, 1500, 6), Pick(2500, 1500, 6), Pick(1800, 900, 6), Pick(1200, 900, 6)))
    with pytest.raises(PhotoRefused, match="near to it"):
        length(floor, Pick(1500, 660, 6), Pick(1600, 1200, 6), Straight())


LENSES: dict[str, tuple[Lens, str]] = {
    "no focal length": (BrownLens(0, 500, 320, 240), "focal lengths 0 and 500 px"),
    "NaN term": (BrownLens(500, 500, 320, 240, nan), "no finite number"),
    "negative residual": (BrownLens(500, 500, 320, 240, residual=-1), "residual of -1 px"),
    "no width": (UnknownLens(0, 2000), "picture of 0 by 2000 px"),
    "a small picture": (UnknownLens(640, 480), "outside the picture"),
    "a bend in mm": (UnknownLens(3000, 2000, MM), "lens bend"),
    "too much bend": (UnknownLens(3000, 2000, parse("0 ± 2")), "within ±0.9"),
    "too far aside": (UnknownLens(3000, 2000, parse("0"), parse("0 ± 2")), "lens aside: .*within ±0.5"),
    "a fold": (BrownLens(300, 300, 320, 240, -0.6), "fold"),
}


@pytest.mark.parametrize("name", LENSES)
def test_impossible_lenses_are_refused(name: str) -> None:
    """A lens that is none, or bends the picked places over, measures nothing."""
    lens, words = LENSES[name]
    with pytest.raises(PhotoRefused, match=words):
        length(square(), *INSIDE, lens)


def test_all_faults_are_told_at_once() -> None:
    """A bad lens, a bad pick, and a bad known value stand in one message, a line each."""
    frame = known_rectangle((Pick(nan, 1), *SQUARE[1:]), parse("0 mm"), parse("3 °"))
    with pytest.raises(PhotoRefused) as refused:
        length(frame, Pick(inf, 1), INSIDE[1], BrownLens(-1, 1, 0, 0))
    assert len(str(refused.value).splitlines()) == 5


def test_shafts_that_cannot_be_measured_are_refused() -> None:
    """Too few, coincident, out of order, off the line, beyond the vanishing point, unlike units."""
    cases = (
        (lambda: line({"a": (0, "0 mm"), "b": (500, "30 mm")}), "given 2 known places; expected three"),
        (lambda: line({**LINE, "wanted": (950, "70 mm")}), "`wanted` as known and as wanted"),
        (lambda: line({**LINE, "c": (501, "60 mm")}), "`b` and `c`: given picks 1 px apart"),
        (lambda: line({**LINE, "c": (900, "30 mm")}), "`b` and `c`: given places 0 mm apart"),
        (lambda: line({**LINE, "c": (900, "32 ± 4 mm")}), "`b` and `c`: given places 2 mm apart with a doubt"),
        (lambda: line({**LINE, "b": (500, "90 mm"), "d": (1200, "80 mm")}), "in another order"),
        (lambda: line({**LINE, "c": (900, "60 °")}), "place of `c`"),
        (lambda: line({**LINE, "c": (nan, "60 mm")}), "`c`, pick 1: given"),
        (lambda: line(wanted=(700, 40)), "px off the line"),
        (lambda: line({"a": (0, "0 mm"), "b": (500, "30 mm"), "c": (700, "60 mm")}, (1500, 0)), "vanishing point"),
        (lambda: line({**LINE, "b": (500, "-30 mm")}, chained=True), "place of `b`: .*surely more than 0"),
    )
    for measure, words in cases:
        with pytest.raises(PhotoRefused, match=words):
            measure()
    assert line().positions[2].label == "wanted"
    assert line({**LINE, "c": (900, "30 mm")}, chained=True).positions[-1].estimate == pytest.approx(60)


def test_scale_bars_that_cannot_be_used_are_refused() -> None:
    """No length, no picture, no focal length, a steep tilt, a place behind the camera."""
    bar, view = (SQUARE[0], SQUARE[1]), View(3000, 2000)
    cases = (
        (parse("0 mm"), view, parse("0 mm"), "known length: given `0 mm`"),
        (parse("3 °"), view, parse("0 mm"), "known length"),
        (MM, View(0, 2000), parse("0 mm"), "picture of 0 by 2000"),
        (MM, View(3000, 2000, parse("0 ± 1")), parse("0 mm"), "focal length over the longer side"),
        (MM, View(3000, 2000, tilt=parse("0..85 °")), parse("0 mm"), "within ±75°"),
        (MM, View(3000, 2000, parse("0.3"), parse("70 °")), parse("0 mm"), "beyond the horizon"),
        (MM, View(3000, 2000, tilt=MM), parse("0 mm"), "tilt"),
        (MM, view, parse("-5 m"), "before the camera"),
        (MM, view, parse("3 °"), "difference in depth"),
    )
    for known, seen, depth, words in cases:
        with pytest.raises(PhotoRefused, match=words):
            scale_bar(bar, known, INSIDE, seen, Straight(), depth=depth)
    with pytest.raises(PhotoRefused, match="picks 1 and 2"):
        scale_bar((bar[0], bar[0]), MM, INSIDE, view, Straight())


def test_readings_that_cannot_be_combined_are_refused() -> None:
    """One alone, a label twice, unlike units, no doubt, NaN, more shared than there is, nothing of one's own."""
    good = Reading("a", "mm", 10.0, 1.0, {})
    cases = (
        ([good], "given 1 readings; expected two"),
        ([good, good], "given `a` twice"),
        ([good, Reading("b", "°", 10.0, 1.0, {})], "expected one unit"),
        ([good, Reading("b", "mm", 10.0, 0.0, {})], "`b`: .*uncertainty above zero"),
        ([good, Reading("b", "mm", nan, 1.0, {})], "`b`: given nan"),
        ([good, Reading("b", "mm", 10.0, 1.0, {"p": 1.5})], "`b`: given shared parts"),
        ([good, Reading("b", "mm", -10.0, 1.0, {})], "Say that they do not grow"),
        ([Reading(n, "mm", 10.0, 1.0, {"p": 1.0}) for n in "ab"], "share all they are uncertain of"),
    )
    for readings, words in cases:
        with pytest.raises(PhotoRefused, match=words):
            combine("x", readings)


def test_no_measured_value_is_nan() -> None:
    """Draws that are not finite are refused where the measured value is made."""
    with pytest.raises(PhotoRefused, match="no finite number"):
        measured("length", "mm", np.array([1.0, nan]))
