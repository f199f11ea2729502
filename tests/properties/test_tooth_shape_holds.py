"""What outlines and files of wheels and tracks keep to, whatever the wheel: turning, scale, limits, the same bytes."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from math import cos, pi, sin, sqrt, tan
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon

from ledger.building.drawings.profiles import to_dxf
from ledger.building.sections.gears.drawing import gear_drawing
from ledger.building.sections.gears.tooth_shape import gear_outline, half_tooth, usual_tolerance
from ledger.building.sections.gears.wheels import Wheel
from ledger.building.sections.tracks.shape import drum_track, face_track

ROOT = Path(__file__).parents[2]
wheels = st.builds(
    Wheel,
    module=st.floats(0.2, 8.0),
    teeth=st.integers(7, 150),
    shift=st.floats(-0.4, 0.9),
    helix=st.one_of(st.just(0.0), st.floats(-30.0, 30.0)),
    pressure=st.sampled_from([20.0, 20.0, 17.5, 22.5]),
    profile=st.sampled_from("ABC"),
    thinning=st.floats(0.0, 0.03),
)


@given(wheel=wheels)
def test_an_outline_is_a_plain_line_between_root_and_tip(wheel: Wheel) -> None:
    """It does not cross itself, runs counter-clockwise, and keeps between its circles; else it is refused in words."""
    said = _refused(wheel)
    if said:
        assert f"heel of {wheel.teeth} teeth: " in said
        return
    shape = gear_outline(wheel)
    polygon = Polygon(shape.points)
    assert polygon.is_valid
    assert polygon.exterior.is_ccw
    far = np.hypot(*np.array(shape.points).T)
    assert far.min() == pytest.approx(wheel.root / 2, abs=2e-6)
    assert far.max() == pytest.approx(wheel.top / 2, abs=2e-6)
    assert shape.bound <= usual_tolerance(wheel.module)
    assert wheel.root / 2 <= shape.form / 2 <= wheel.top / 2


@given(wheel=wheels)
def test_every_tooth_is_the_first_one_turned(wheel: Wheel) -> None:
    """And each is its own mirror image."""
    assume(not _refused(wheel))
    points = np.array(gear_outline(wheel).points)
    teeth = points.reshape(wheel.teeth, -1, 2)
    turn = 2 * pi / wheel.teeth
    back = teeth[1] @ np.array([[cos(turn), -sin(turn)], [sin(turn), cos(turn)]])
    assert back == pytest.approx(teeth[0], abs=3e-6)
    mirrored = teeth[0][1:][::-1] * np.array([1.0, -1.0])
    assert mirrored == pytest.approx(teeth[0][1:], abs=3e-6)


@settings(max_examples=40)
@given(scale=st.floats(0.3, 10.0), wheel=wheels)
def test_an_outline_grows_with_the_module(scale: float, wheel: Wheel) -> None:
    """Of a module k times as large, with tolerance and thinning k times as large, every point is k times as far out."""
    wheel = replace(wheel, module=1.0)
    assume(not _refused(wheel))
    large = replace(wheel, module=scale, thinning=wheel.thinning * scale)
    one = np.array(gear_outline(wheel, 2e-3).points)
    other = np.array(gear_outline(large, (2e-3 - 0.75e-6) * scale + 0.75e-6).points)
    assume(len(one) == len(other))
    assert other == pytest.approx(one * scale, abs=2e-6 * (1 + scale))


@given(module=st.floats(0.3, 5.0), shift=st.floats(-0.4, 0.4))
def test_teeth_of_a_huge_wheel_are_those_of_the_rack(module: float, shift: float) -> None:
    """Their flanks are straight lines that lean by the pressure angle, s = m (π/2 + 2 x tan α) thick at mid-height."""
    wheel = Wheel(module, 2000, shift)
    radius, angle, form, _ = half_tooth(wheel)
    height, half = radius * np.cos(angle) - wheel.reference / 2, radius * np.sin(angle)
    flank = (radius > form + 1e-4) & (half > angle.min()) & (radius < wheel.top / 2 - 1e-6)
    straight = (pi / 4 + shift * tan(pi / 9)) * module - height[flank] * tan(pi / 9)
    assert half[flank] == pytest.approx(straight, abs=2.5e-3 * module)


@pytest.mark.parametrize("tolerance", [0.05, 0.01, 1e-3])
def test_a_finer_tolerance_takes_as_many_points_as_it_needs(tolerance: float) -> None:
    """The bound follows the tolerance, and points grow by its root: a sixteenth of it, four times the points."""
    wheel = Wheel(2.0, 24, 0.2)
    here, finer = gear_outline(wheel, tolerance), gear_outline(wheel, tolerance / 16)
    assert here.bound <= tolerance
    assert finer.bound <= tolerance / 16
    assert len(finer.points) < 4.6 * len(here.points)


def _refused(wheel: Wheel) -> str:
    """Why a wheel has no outline, "" if it has one."""
    try:
        gear_outline(wheel)
    except ValueError as error:
        return str(error)
    return ""


PROGRAM = (
    f"import sys; sys.path.insert(0, {str(ROOT)!r})\n"
    "from math import pi, sin\n"
    "from hashlib import sha256\n"
    "from ledger.building.sections.gears.drawing import *\n"
    "from ledger.building.sections.tracks.drawing import *\n"
    "from ledger.building.drawings.profiles import to_dxf, to_svg\n"
    "from ledger.building.sections.tracks.shape import *\n"
    "from ledger.building.sections.gears.wheels import Wheel\n"
    "turn = [(2 * pi * step / 120, 30 + 2 * sin(2 * pi * step / 120)) for step in range(121)]\n"
    "for drawing in (gear_drawing(Wheel(1.0, 21, 0.2, bore=6.0)), drum_drawing([drum_track(turn, 30, 3)], 20, 20),\n"
    "    face_drawing([face_track(turn, 3)], 80, 5)):\n"
    "    print(sha256(to_dxf(drawing)).hexdigest(), sha256(to_svg(drawing).encode()).hexdigest())\n"
)


def test_the_same_drawing_gives_the_same_bytes() -> None:
    """Again in this run, and in fresh interpreters whatever their hash seed, time and place."""
    wheel = gear_drawing(Wheel(1.0, 21, 0.2, bore=6.0))
    assert to_dxf(wheel) == to_dxf(wheel)
    told = set()
    for seed, zone in (("0", "UTC"), ("1", "Asia/Tokyo"), ("77", "America/Lima")):
        environment = {"PYTHONHASHSEED": seed, "TZ": zone, "PATH": "/usr/bin:/bin"}
        done = subprocess.run(
            [sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=True, env=environment
        )
        told.add(done.stdout)
    assert len(told) == 1


def test_writing_leaves_the_librarys_options_as_they_were() -> None:
    """Whoever else writes DXF in the same run has their own time stamps."""
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    written = to_dxf(gear_drawing(Wheel(1.0, 12, 0.3)))
    assert ezdxf.options.write_fixed_meta_data_for_testing == before
    assert b"2451544.5" in written or b"2451545" in written


@given(
    harmonics=st.lists(st.floats(-1.0, 1.0), min_size=1, max_size=4),
    diameter=st.floats(10.0, 200.0),
    width=st.floats(0.5, 4.0),
    turned=st.floats(-3.0, 3.0),
)
def test_a_full_turn_of_track_meets_itself_at_the_seam(
    harmonics: list[float], diameter: float, width: float, turned: float
) -> None:
    """Whatever its first angle, its lines run from 0 to π D and end as high as they begin."""
    stations = []
    for step in range(241):
        angle = 2 * pi * (step % 240) / 240
        stations.append((turned + 2 * pi * step / 240, sum(h * sin((n + 1) * angle) for n, h in enumerate(harmonics))))
    try:
        track = drum_track(stations, diameter, width)
    except ValueError as error:
        said = str(error)
    else:
        said = ""
    if said:
        assert "bends more narrowly" in said or "turns sharply" in said
        return
    for line in (track.path, *track.edges):
        assert (line[0][0], line[-1][0]) == pytest.approx((0.0, pi * diameter), abs=1e-6)
        assert line[0][1] == pytest.approx(line[-1][1], abs=1e-6)
        assert all(before[0] < after[0] for before, after in pairwise(line))


@given(radius=st.floats(5.0, 60.0), width=st.floats(0.5, 4.0))
def test_a_round_face_track_is_two_circles(radius: float, width: float) -> None:
    """A pin that stays on one radius has edges half the width in and out, but for the chords of the stations."""
    track = face_track([(2 * pi * step / 180, radius) for step in range(181)], width)
    for edge, far in zip(track.edges, (radius - width / 2, radius + width / 2), strict=True):
        assert np.hypot(*np.array(edge).T) == pytest.approx(far, abs=track.bound + 1e-5)


@given(slope=st.floats(-2.0, 2.0), width=st.floats(0.5, 4.0))
def test_a_straight_track_is_its_width_across(slope: float, width: float) -> None:
    """Measured square to its run."""
    track = drum_track([(0.1, 0.0), (0.5, 0.4 * 10 * slope)], 20.0, width)
    (edge,) = track.edges
    points = np.array(edge) @ np.array([-slope, 1.0]) / sqrt(1 + slope * slope)
    offset = -slope * 1.0 / sqrt(1 + slope * slope)
    assert (points.min() - offset, points.max() - offset) == pytest.approx((-width / 2, width / 2), abs=2e-6)
