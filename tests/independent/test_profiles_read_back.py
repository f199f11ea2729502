"""Files of profiles, read by other libraries than the one that wrote them, hold what was drawn, in mm."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from math import cos, pi, sin
from pathlib import Path

import numpy as np
import pytest
import svgpathtools
import trimesh
from shapely import LineString, Point, Polygon

from ledger.building.drawings.drawing import Circle, Drawing
from ledger.building.drawings.profiles import to_dxf, to_svg
from ledger.building.sections.gears.drawing import gear_drawing
from ledger.building.sections.gears.tooth_shape import gear_outline
from ledger.building.sections.gears.wheels import Wheel, pair_on
from ledger.building.sections.tracks.drawing import drum_drawing, face_drawing
from ledger.building.sections.tracks.shape import drum_track, face_track
from tests.rolled import off_involute

WHEEL = replace(pair_on(45.5, 1.5, 20, 40, 12, backlash=0.05).first, bore=10.0)
LEANING = Wheel(1.0, 23, 0.15, 10, helix=20.0, thinning=0.02)
TURN = [(2 * pi * step / 360, 3 * sin(4 * pi * step / 360)) for step in range(361)]


def read_dxf(written: bytes) -> dict[str, list[tuple[np.ndarray, bool]]]:
    """Points and whether they close, by layer, as trimesh reads them; circles as a middle and a radius."""
    path = trimesh.load_path(BytesIO(written), file_type="dxf")
    assert path.units == "millimeters"
    assert path.metadata["DXF_HEADER"]["$INSUNITS"] == 4
    found: dict[str, list[tuple[np.ndarray, bool]]] = {}
    for one in path.entities:
        if isinstance(one, trimesh.path.entities.Arc):
            circle = one.center(path.vertices)
            points = np.array([*circle.center[:2], circle.radius])
        else:
            points = np.asarray(path.vertices[one.points])
        found.setdefault(str(one.layer).lower(), []).append((points, bool(one.closed)))
    return found


def read_svg(written: str, folder: Path) -> tuple[list[tuple[np.ndarray, bool]], dict[str, str]]:
    """Points of every path, y upwards, and whether it closes, as svgpathtools reads them; the picture's attributes."""
    file = folder / "profile.svg"
    file.write_text(written)
    paths, _, attributes = svgpathtools.svg2paths2(str(file), convert_circles_to_paths=False)
    found = []
    for path in paths:
        places = [path[0].start] + [piece.end for piece in path]
        found.append((np.array([(place.real, -place.imag) for place in places]), path.isclosed()))
    return found, attributes


@pytest.mark.parametrize("wheel", [WHEEL, LEANING], ids=str)
def test_a_wheels_dxf_holds_the_involute(wheel: Wheel) -> None:
    """The outline is one closed line, its flanks are unwound from the base circle, its circles are the wheel's."""
    found = read_dxf(to_dxf(gear_drawing(wheel)))
    ((points, closed),) = found["outline"]
    shape = gear_outline(wheel)
    assert closed
    assert np.array_equal(points[0], points[-1])
    assert points[:-1] == pytest.approx(np.array(shape.points), abs=1e-9)
    assert off_involute(points[:-1], wheel, shape.form) < 2e-6
    circles = {"reference": wheel.reference} | ({"bore": wheel.bore} if wheel.bore else {})
    assert set(found) == {"outline", *circles}
    for layer, diameter in circles.items():
        ((circle, _),) = found[layer]
        assert circle == pytest.approx([0, 0, diameter / 2], abs=1e-9)


@pytest.mark.parametrize("wheel", [WHEEL, LEANING], ids=str)
def test_a_wheels_svg_holds_the_involute(wheel: Wheel, tmp_path: Path) -> None:
    """Likewise; one user unit is one mm: width and height in mm are those of the view box."""
    written = to_svg(gear_drawing(wheel))
    ((points, closed),), attributes = read_svg(written, tmp_path)
    shape = gear_outline(wheel)
    assert closed
    assert points[:-1] == pytest.approx(np.array(shape.points), abs=1e-9)
    assert off_involute(points[:-1], wheel, shape.form) < 2e-6
    box = [float(one) for one in attributes["viewBox"].split()]
    assert attributes["width"].endswith("mm")
    assert [float(attributes[side].removesuffix("mm")) for side in ("width", "height")] == box[2:]
    assert box[0] < points[:, 0].min()
    assert box[0] + box[2] > points[:, 0].max()
    assert f'r="{wheel.reference / 2:.6f}'.rstrip("0").rstrip(".") in written


def test_a_profile_in_another_unit_or_of_another_rack_is_refused() -> None:
    """The check can fail: a file larger by 1 %, one in inches, and one of a wheel of 21 degrees."""
    drawing = gear_drawing(WHEEL)
    shape = gear_outline(WHEEL)
    points = np.array(drawing.lines[0].points) * 1.01
    grown = replace(drawing, lines=(replace(drawing.lines[0], points=tuple(map(tuple, points.tolist()))),))
    ((read, _),) = read_dxf(to_dxf(grown))["outline"]
    assert off_involute(read[:-1], replace(WHEEL, tip=WHEEL.top * 1.01), shape.form * 1.02) > 5 * shape.bound
    inches = to_dxf(drawing).replace(b"$INSUNITS\n 70\n4\n", b"$INSUNITS\n 70\n1\n")
    with pytest.raises(AssertionError):
        read_dxf(inches)
    ((other, _),) = read_dxf(to_dxf(gear_drawing(replace(WHEEL, pressure=21.0))))["outline"]
    assert off_involute(other[:-1], WHEEL, shape.form + 0.6) > 5 * shape.bound


def test_a_developed_drum_reads_back(tmp_path: Path) -> None:
    """The edge is π D long, the track's lines run from seam to seam, half its width off the pin's path all along."""
    track = drum_track(TURN, 40.0, 4.0)
    drawing = drum_drawing([track], -8.0, 16.0)
    found = read_dxf(to_dxf(drawing))
    ((edge, closed),) = found["edge"]
    assert closed
    assert np.ptp(edge, axis=0) == pytest.approx([40 * pi, 16.0], abs=1e-6)
    ((path, _),) = found["path"]
    for line, _ in found["track"]:
        assert [line[0, 0], line[-1, 0]] == pytest.approx([0.0, 40 * pi], abs=1e-6)
        assert line[0, 1] == pytest.approx(line[-1, 1], abs=1e-6)
        gaps = [LineString(path).distance(Point(point)) for point in line[20:-20]]
        assert gaps == pytest.approx([2.0] * len(gaps), abs=track.bound + 2e-6)
    at = np.interp(40 * pi / 8, path[:, 0], path[:, 1])
    assert at == pytest.approx(3.0, abs=1e-5)
    drawn, _ = read_svg(to_svg(drawing), tmp_path)
    everything = sorted(len(points) for points, _ in drawn)
    assert everything == sorted(len(line) for lines in found.values() for line, _ in lines)


def test_a_track_with_ends_is_one_closed_slot(tmp_path: Path) -> None:
    """What a round tool of the track's width sweeps along the path, by buffering the path."""
    stations = [(0.3 + 0.01 * step, 5 * (1 - cos(0.02 * step)) / 2) for step in range(200)]
    track = drum_track(stations, 30.0, 3.0)
    swept = LineString([(15 * angle, travel) for angle, travel in stations]).buffer(1.5, quad_segs=90)
    (edge,) = track.edges
    slot = Polygon(edge)
    assert slot.is_valid
    assert slot.symmetric_difference(swept).area < 2 * track.bound * slot.length
    (read, closed), *_ = read_svg(to_svg(drum_drawing([track], -3, 12)), tmp_path)[0]
    assert closed
    assert read[:-1] == pytest.approx(np.array(edge), abs=1e-9)


def test_a_face_track_reads_back() -> None:
    """A disc's track: two closed edges half the width off the path, about the disc's middle."""
    track = face_track([(angle, 25 + travel) for angle, travel in TURN], 4.0)
    found = read_dxf(to_dxf(face_drawing([track], 70.0, 8.0)))
    ((path, closed),) = found["path"]
    assert closed
    swept = Polygon(path).exterior.buffer(2.0, quad_segs=90)
    outer, inner = sorted((Polygon(line) for line, _ in found["track"]), key=lambda one: -one.area)
    ring = outer.difference(inner)
    assert ring.symmetric_difference(swept).area < 4 * track.bound * outer.length
    assert found["edge"][0][0] == pytest.approx([0, 0, 35.0], abs=1e-9)
    assert found["bore"][0][0] == pytest.approx([0, 0, 4.0], abs=1e-9)
    far = np.hypot(path[:, 0], path[:, 1])
    assert (far.min(), far.max()) == pytest.approx((22.0, 28.0), abs=1e-3)


def test_a_dxf_says_how_far_it_reaches() -> None:
    """Its header holds the box of what is drawn, and mm."""
    written = to_dxf(gear_drawing(WHEEL)).decode()
    tip = WHEEL.top / 2
    least, most = (written.partition(name)[2].splitlines()[1:5] for name in ("$EXTMIN", "$EXTMAX"))
    assert [float(least[1]), float(least[3])] == pytest.approx([-tip] * 2, abs=0.01)
    assert [float(most[1]), float(most[3])] == pytest.approx([tip] * 2, abs=0.01)
    assert written.partition("$INSUNITS")[2].splitlines()[2] == "4"
    assert written.partition("$MEASUREMENT")[2].splitlines()[2] == "1"


def test_a_circle_beside_the_middle_stays_there() -> None:
    """Circles keep their middles, y upwards in both files."""
    drawing = Drawing("off", (), (Circle("bore", 3.0, 4.0, 1.0),))
    ((circle, _),) = read_dxf(to_dxf(drawing))["bore"]
    assert circle == pytest.approx([3, 4, 1], abs=1e-9)
    assert '<circle cx="3" cy="-4" r="1"/>' in to_svg(drawing)
