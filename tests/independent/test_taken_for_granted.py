"""What is taken for granted where nothing is stated is said, with how much it matters.

Expected values are those of a pinhole: lengths go as the distance, a plane leaning by α is seen shortened to cos α.
"""

from __future__ import annotations

import re

import numpy as np
import pytest

from ledger.photo.declaring import Found
from ledger.photo.lens import UnknownLens, straighten
from ledger.photo.methods import REGISTER, measure
from ledger.photo.values import Pick
from ledger.quantities.notation import parse

SIZE = (1200.0, 800.0)


def beside(known: dict[str, str], part: float = 200.0) -> Found:
    """A bar of 50 mm seen 300 px long, and a part above it."""
    points = {"bar": [[450.0, 420.0], [750.0, 420.0]], "part": [[500.0, 300.0], [500.0 + part, 300.0]]}
    return measure(REGISTER["scale-bar"], points, {"bar": "50 mm", "tilt": "0 ± 1 °", **known}, "none", SIZE, 0.5, 2000)


def test_a_depth_that_is_not_stated_is_said_with_its_effect() -> None:
    """At 100 mm focal length the bar is 100/36 · 1200 · 50/300 = 556 mm away: 10 mm farther is 1.8 % longer."""
    told = beside({"focal": "100 mm"}).notes
    assert len(told) == 1
    assert "10 mm farther from the camera the wanted length would be 1.8 % longer" in told[0]
    farther = beside({"focal": "100 mm", "depth": "10 mm"})
    assert farther.notes == ()
    assert farther.estimate / beside({"focal": "100 mm"}).estimate == pytest.approx(1.018, abs=5e-4)


def test_with_any_lens_the_effect_is_told_as_a_range() -> None:
    """20 to 200 mm of focal length put the bar 111 to 1,111 mm away: 0.9 to 9 %."""
    assert "0.9 to 9 % longer" in beside({}).notes[0]


@pytest.mark.parametrize("focal", [22.0, 28.0, 162.0, 174.0, 180.0])
def test_a_wanted_length_behind_the_bar_is_held_by_any_usual_lens(focal: float) -> None:
    """40 mm on a wheel 60 mm behind the bar, whatever the lens, if the depth is stated and the lens is not."""
    away = focal / 36 * SIZE[0] * 50 / 300
    found = beside({"depth": "60 mm"}, part=focal / 36 * SIZE[0] * 40 / (away + 60))
    assert found.low < 40 < found.high


def rectangle(lean: float, width: str, height: str, method: str = "plane-length") -> Found:
    """A rectangle of 100 by 80 mm, leaning about its width, 2 m before a camera of 2,400 px."""
    turn = np.radians(lean)
    corners = np.array([(-50.0, -40.0), (50.0, -40.0), (50.0, 40.0), (-50.0, 40.0)])
    ahead = 2000 / 4 + corners[:, 1] * np.sin(turn)
    seen = 2400 * np.column_stack((corners[:, 0], corners[:, 1] * np.cos(turn))) / ahead[:, None] + np.array(SIZE) / 2
    places = seen.tolist()
    part = places[:2] if method == "plane-length" else places[:3]
    known = {"width": width, "height": height}
    return measure(REGISTER[method], {"corners": places, "part": part}, known, "none", SIZE, 0.5, 400)


@pytest.mark.parametrize("method", ["plane-length", "plane-angle"])
def test_sides_stated_the_wrong_way_round_are_asked_after(method: str) -> None:
    """100 by 80 mm taken as 80 by 100 implies a lean of acos(0.64) = 50°; the right way round nothing is said."""
    assert rectangle(0.0, "100 mm", "80 mm", method).notes == ()
    assert rectangle(15.0, "100 mm", "80 mm", method).notes == ()
    told = rectangle(0.0, "80 mm", "100 mm", method).notes
    assert "leans about 50° from facing the camera" in told[0]
    assert "which side is the width" in told[0]


def test_a_plane_that_truly_leans_is_told_its_lean() -> None:
    """40° is said as 40° to a degree, and the length still holds."""
    found = rectangle(40.0, "100 mm", "80 mm")
    (degrees,) = re.findall(r"about (\d+)°", found.notes[0])
    assert abs(int(degrees) - 40) <= 1
    assert found.estimate == pytest.approx(100, rel=0.01)


def test_the_bow_of_a_straight_edge_tells_the_bend() -> None:
    """n H²/(h L²) of an edge drawn by the lens itself gives the bend back, to what the formula leaves out."""
    half, bend, off, reach = float(np.hypot(*SIZE) / 2), 0.03, 300.0, 400.0
    found = []
    # Which picks are seen of the straight edge: those that the lens makes straight again.
    for across in (-reach, 0.0, reach):
        seen = np.array([across, off])
        for _ in range(50):
            seen = np.array([across, off]) * (1 - bend * float(seen @ seen) / half**2)
        found.append(seen)
    bow = found[1][1] - (found[0][1] + found[2][1]) / 2
    length = (found[2][0] - found[0][0]) / 2
    assert bow * half**2 / (off * length**2) == pytest.approx(bend, rel=0.15)
    pixels = np.array([found]) + np.array(SIZE) / 2
    lens = UnknownLens(*SIZE, parse(str(bend)), parse("0"))
    straight = straighten(lens, pixels, [Pick(*one) for one in pixels[0]], False, "")[0] - np.array(SIZE) / 2
    assert straight[:, 1] == pytest.approx([off] * 3, abs=1e-6)
