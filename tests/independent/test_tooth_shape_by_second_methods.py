"""Outlines of wheels held to the involute, to a rack that really cuts, to other formulas, and to a caliper."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, affinity, box, hausdorff_distance, unary_union

from ledger.building.sections.gears.tooth_shape import fillet_curve, gear_outline, usual_tolerance
from ledger.building.sections.gears.wheels import Wheel, geometry_of, pair_on
from ledger.mechanics import tooth_root, tooth_sizes
from tests.rolled import off_involute

WHEELS = (
    Wheel(1.5, 20, 0.2823, 12, tip=33.806, thinning=0.0247),
    Wheel(1.0, 10, 0.0, 8),
    Wheel(0.5, 8, 0.45, 5),
    Wheel(2.0, 43, -0.3, 12, profile="C"),
    Wheel(1.0, 21, 0.2, 10, helix=20.0),
    Wheel(1.0, 12, 0.0, 10, helix=-15.0, profile="D"),
    Wheel(2.5, 30, 0.5, 20, pressure=25.0, profile="own", addendum=0.9, dedendum=1.1, rounding=0.2),
    Wheel(1.0, 120, 0.0, 10, thinning=0.05),
)


def points_of(wheel: Wheel, tolerance: float | None = None) -> np.ndarray:
    """The points of an outline."""
    return np.array(gear_outline(wheel, tolerance).points)


@pytest.mark.parametrize("wheel", WHEELS, ids=str)
def test_flanks_are_unwound_from_the_base_circle(wheel: Wheel) -> None:
    """On every flank point the tangent to the base circle is as long as the arc it was unwound from."""
    shape = gear_outline(wheel)
    assert off_involute(np.array(shape.points), wheel, shape.form) < 2e-6


def test_a_wrong_pressure_angle_or_size_is_refused() -> None:
    """The check can fail: half a degree of pressure angle, or one per cent of size, is off by more than the bound."""
    wheel = WHEELS[0]
    shape = gear_outline(wheel)
    points = np.array(shape.points)
    assert off_involute(points, replace(wheel, pressure=20.5), shape.form + 0.3) > 3 * shape.bound
    assert off_involute(points * 1.01, replace(wheel, tip=wheel.top * 1.01), shape.form * 1.01) > 5 * shape.bound
    turned = np.array(gear_outline(replace(wheel, thinning=0.0)).points)
    assert off_involute(turned, wheel, shape.form + 0.1) > shape.bound


def rack_tooth(wheel: Wheel) -> Polygon:
    """One tooth of the tool in the transverse section, its datum line on the x axis, its tip downwards."""
    module, slope, steep = wheel.module, tan(radians(wheel.pressure)), radians(wheel.pressure)
    _, dedendum, rounding = wheel.rack
    round_tip, deep = rounding * module, dedendum * module
    land = pi / 4 * module - deep * slope - round_tip * (1 - sin(steep)) / cos(steep)
    straight = deep - round_tip * (1 - sin(steep))
    corners = [(pi / 4 * module + 2 * module * slope, 2 * module), (pi / 4 * module - straight * slope, -straight)]
    sides = Polygon([*corners, *((-x, y) for x, y in reversed(corners))])
    ends = [Point(side * land, round_tip - deep).buffer(round_tip, quad_segs=256) for side in (-1, 1)]
    whole = unary_union([sides, box(-land, -deep, land, 0), *ends])
    return affinity.scale(whole, 1 / cos(radians(wheel.helix)), 1.0, origin=(0, 0))


@pytest.mark.parametrize("wheel", [WHEELS[place] for place in (0, 1, 2, 4, 5, 6)], ids=str)
def test_a_rack_that_rolls_along_cuts_this_space(wheel: Wheel) -> None:
    """Material is taken from a blank at 600 places of the rolling tool; what is left is the outline, within chords."""
    radius = wheel.module * wheel.teeth / cos(radians(wheel.helix)) / 2
    pitch = 2 * pi / wheel.teeth
    tool = affinity.translate(rack_tooth(wheel), 0, radius + wheel.generated * wheel.module)
    reach = 0.9 + 3.2 * wheel.module / radius
    cuts = [
        affinity.rotate(affinity.translate(tool, -turn * radius, 0), -turn, origin=(0, 0), use_radians=True)
        for turn in np.linspace(-reach, reach, 601)
    ]
    space = unary_union(cuts)
    rim = pi / 2 + np.linspace(-pitch / 2, pitch / 2, 200)
    blank = Polygon([(0, 0), *(wheel.top / 2 * np.column_stack([np.cos(rim), np.sin(rim)]))])
    left = blank.difference(space)
    outline = Polygon(gear_outline(wheel, 2e-4).points)
    drawn = blank.intersection(affinity.rotate(outline, pi / 2 + pitch / 2, origin=(0, 0), use_radians=True))
    assert hausdorff_distance(left.boundary, drawn.boundary, densify=0.02) < 4e-4 * wheel.module + 2e-4


def test_fillets_are_those_that_strength_reckons_with() -> None:
    """For upright teeth the rolling ellipse is the rolling circle of the root's formulas."""
    wheel = Wheel(1.0, 17, 0.2)
    turns = np.linspace(0, pi / 2 - pi / 9, 9)
    radius, angle, _ = fillet_curve(wheel)(turns)
    half, height = tooth_root.fillet_point(17, 0.2, 1.25, 0.38, pi / 9, turns)
    assert radius == pytest.approx(np.hypot(half, height), rel=1e-12)
    assert angle == pytest.approx(np.arctan2(half, height), rel=1e-12)


@pytest.mark.parametrize("wheel", WHEELS, ids=str)
def test_flanks_begin_where_the_geometry_of_the_pair_says(wheel: Wheel) -> None:
    """The form circle of the outline is that of the upright tooth's formulas; undercut helical wheels within 1 %."""
    pair = pair_on(wheel.reference / 2 * 4, wheel.module, wheel.teeth, wheel.teeth * 3, 10, helix=abs(wheel.helix))
    pair = replace(pair, first=wheel, second=replace(wheel, teeth=wheel.teeth * 3, tip=0.0, shift=0.0))
    form = float(geometry_of(pair)["wheels"][0]["form"])
    assert gear_outline(wheel).form == pytest.approx(form, rel=1e-2 if wheel.helix else 1e-9)


@pytest.mark.parametrize("wheel", WHEELS, ids=str)
def test_outlines_keep_their_bound(wheel: Wheel) -> None:
    """Against an outline fifty times finer; the bound is below the tolerance asked for."""
    coarse, fine = gear_outline(wheel), gear_outline(wheel, usual_tolerance(wheel.module) / 50)
    assert fine.bound < coarse.bound <= usual_tolerance(wheel.module)
    per_tooth = [len(shape.points) // wheel.teeth for shape in (coarse, fine)]
    parts = [LineString(shape.points[: count + 1]) for shape, count in zip((coarse, fine), per_tooth, strict=True)]
    assert hausdorff_distance(*parts, densify=0.05) <= coarse.bound + fine.bound


def test_an_outline_coarser_than_it_says_is_refused() -> None:
    """The check can fail: with every second point left out the distance exceeds the bound."""
    coarse, fine = gear_outline(WHEELS[0]), gear_outline(WHEELS[0], 5e-5)
    count = len(fine.points) // 20
    part = LineString(coarse.points[: len(coarse.points) // 20 + 1][::4])
    assert hausdorff_distance(part, LineString(fine.points[: count + 1]), densify=0.05) > coarse.bound


@pytest.mark.parametrize(("wheel", "spanned"), [(WHEELS[0], 3), (WHEELS[3], 5), (WHEELS[7], 14), (Wheel(1.0, 10), 2)])
def test_a_caliper_laid_over_the_outline_reads_the_span(wheel: Wheel, spanned: int) -> None:
    """Flat faces square to the middle of k teeth, touching from outside, are as far apart as the span says."""
    points = points_of(wheel, 1e-5 if wheel.teeth < 100 else 1e-4)
    teeth = points.reshape(wheel.teeth, -1, 2)
    group = np.concatenate([np.roll(teeth, spanned // 2, axis=0)[place] for place in range(spanned)])
    lean = (spanned - 1) / 2 * 2 * pi / wheel.teeth - spanned // 2 * 2 * pi / wheel.teeth
    flanks = group[np.hypot(group[:, 0], group[:, 1]) > gear_outline(wheel).form / 2]
    across = flanks @ np.array([-sin(lean), cos(lean)])
    expected = float(tooth_sizes.span(wheel.module, wheel.teeth, wheel.generated, spanned))
    assert np.max(across) - np.min(across) == pytest.approx(expected, abs=4e-5 if wheel.teeth < 100 else 3e-4)


@pytest.mark.parametrize("wheel", [WHEELS[0], WHEELS[4]], ids=str)
def test_teeth_are_as_thick_as_their_formula_says(wheel: Wheel) -> None:
    """A circle about the middle, cut with the outline: thicknesses at mid-height and on the tip circle."""
    outline = Polygon(gear_outline(wheel, 1e-5).points)
    for diameter in (wheel.reference, wheel.top - 0.002):
        circle = Point(0, 0).buffer(diameter / 2, quad_segs=20000).exterior
        inside = circle.intersection(outline).length / wheel.teeth
        thick = tooth_sizes.tooth_thickness(
            diameter, wheel.module, wheel.teeth, wheel.generated, radians(wheel.pressure), radians(wheel.helix)
        )
        assert inside == pytest.approx(float(thick), abs=3e-4)
