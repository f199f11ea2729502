"""One-way elements against forces resolved in the plane, a buckled column solved numerically, and cases by hand."""

from __future__ import annotations

from math import acos, atan, cos, degrees, hypot, pi, radians, sin, tan

import numpy as np
import pytest

from ledger.calculators.one_way_element import ONE_WAY_ELEMENT
from ledger.mechanics import hertz, one_way
from tests.capacities import computed

ROLLERS = {"form": "roller", "count": 10, "share": 1.0, "radius": 50.0, "width": 30.0, "rounding": 6.0, "flat": 37.8}


def test_a_wedged_roller_is_in_balance() -> None:
    """On a flat at 37.8 mm: both contact forces lie on the line between the contacts, and their torque is n N tan R.

    The roller's middle lies 43.8 mm up and 44 mm out; contacts, normals and moment are worked out in coordinates.
    """
    up, out = 37.8 + 6.0, 50.0 - 6.0
    across = (out**2 - up**2) ** 0.5
    middle = np.array([across, up])
    outer, inner = middle * 50.0 / out, np.array([across, 37.8])
    line = (outer - inner) / hypot(*(outer - inner))
    normal = middle / out
    lean = acos(float(line @ normal))
    assert lean == pytest.approx(acos(float(line @ np.array([0.0, 1.0]))), rel=1e-9)
    pressed = 10_000.0
    force = line * pressed / cos(lean)
    moment = abs(float(outer[0] * force[1] - outer[1] * force[0])) / 1000
    found = computed(ONE_WAY_ELEMENT, **ROLLERS, torque=10 * moment)
    assert found["wedge_angle"] == pytest.approx(2 * degrees(lean), rel=1e-9)
    assert found["element_force"] == pytest.approx(pressed, rel=1e-9)
    assert found["friction_needed"] == pytest.approx(tan(lean), rel=1e-9)


def test_the_capacity_of_rollers_reaches_the_permitted_pressure() -> None:
    """The normal force at the capacity, put back into the contact on the flat, gives the permitted pressure."""
    found = computed(ONE_WAY_ELEMENT, **ROLLERS, pressure=3000.0)
    load = one_way.wedge_normal(found["capacity"], 10.0, found["wedge_angle"], 50.0) / 30.0
    stiffness = hertz.joint_stiffness(206e3, 0.29, 206e3, 0.29)
    assert hertz.line_pressure(load, 6.0, stiffness) == pytest.approx(3000)
    assert hertz.line_pressure(load, hertz.joint_radius(6.0, -50.0), stiffness) < 3000


def test_sprags_press_on_a_race_that_bulges() -> None:
    """30 sprags of 6 mm on a race of 37 mm at half a wedge of 7°, 90 % carrying, by hand."""
    found = computed(
        ONE_WAY_ELEMENT, form="sprag", count=30, share=0.9, radius=37.0, width=40.0, rounding=6.0, wedge=7.0,
        pressure=3000.0, modulus=206e3, poisson=0.29,
    )  # fmt: skip
    force = pi * 40 * 3000**2 * (1 - 0.29**2) * 2 / 206e3 / (1 / 6 + 1 / 37)
    assert found["capacity"] == pytest.approx(27 * force * tan(radians(3.5)) * 37 / 1000)


def test_an_outer_race_stretches() -> None:
    """n forces over the circumference are a pressure; half of it, cut, is the pull in two walls of the ring."""
    found = computed(ONE_WAY_ELEMENT, **ROLLERS, rim=5.0, hoop=500.0)
    each = one_way.wedge_normal(found["race_capacity"], 10.0, found["wedge_angle"], 50.0)
    pull = 10 * each / (2 * pi * 50 * 30) * (2 * 50 * 30) / 2
    assert pull / (5 * 30) == pytest.approx(500)


def test_six_pawls_by_hand() -> None:
    """Three of six bear at 38 mm: nose 6 by 30 mm, pivot 10 mm, force 8° off the tangent."""
    found = computed(
        ONE_WAY_ELEMENT, form="pawl", count=6, share=0.5, radius=38.0, width=30.0, nose=6.0, pivot=10.0,
        crushing=500.0, angle=8.0, torque=1000.0, friction=0.1,
    )  # fmt: skip
    assert found["nose_capacity"] == found["capacity"] == pytest.approx(500 * 3 * 180 * 38 / 1000)
    assert found["pivot_capacity"] == pytest.approx(500 * 3 * 300 * cos(radians(8)) * 38 / 1000)
    assert found["element_force"] == pytest.approx(1_000_000 / 38 / 3)
    assert not found["holds"]  # tan 8° is 0.141


def test_a_slender_strut_buckles_as_a_column_solved_numerically() -> None:
    """Least eigenvalue of -E I y'' = P y, hinged, by finite differences: Euler's stress to a thousandth."""
    length, thickness, modulus, count = 100.0, 3.0, 206e3, 400
    step = length / count
    matrix = (2 * np.eye(count - 1) - np.eye(count - 1, k=1) - np.eye(count - 1, k=-1)) / step**2
    stress = modulus * thickness**2 / 12 * np.linalg.eigvalsh(matrix)[0]
    assert one_way.column_stress(1200.0, modulus, length, thickness) == pytest.approx(stress, rel=1e-3)


def test_johnson_meets_euler_at_half_the_yield_strength() -> None:
    """Where they meet both are S/2 with one slope; a strut of no length yields at S."""
    slender = (2 * pi**2 * 206e3 / 1200) ** 0.5
    length = slender * 3.0 / 12**0.5
    below, above = (one_way.column_stress(1200.0, 206e3, length * by, 3.0) for by in (0.99999, 1.00001))
    assert below == pytest.approx(600, rel=1e-4)
    assert above == pytest.approx(600, rel=1e-4)
    assert one_way.column_stress(1200.0, 206e3, 0.0, 3.0) == 1200


def test_the_angle_of_friction_is_the_edge_of_holding() -> None:
    """Just under twice arctan µ a roller holds, just above it slips; a strut drawn in needs no friction."""
    edge = 2 * degrees(atan(0.08))
    for wedge, holds in ((edge * 0.999, True), (edge * 1.001, False)):
        found = computed(ONE_WAY_ELEMENT, **{**ROLLERS, "flat": 0.0}, wedge=wedge, friction=0.08)
        assert bool(found["holds"]) is holds
    drawn_in = computed(
        ONE_WAY_ELEMENT, form="strut", count=4, radius=40.0, width=10.0, nose=3.0, angle=-5.0, friction=0.0
    )
    assert drawn_in["holds"]
    assert drawn_in["friction_needed"] == 0


def test_a_wedge_that_slips_holds_next_to_nothing() -> None:
    """A roller at 12° with 0.08: tan 6° is 0.105. Slipping comes first; with 0.12 it holds and is no way at all."""
    given = {**ROLLERS, "flat": 0.0, "wedge": 12.0, "rim": 8.0}
    slips, holds = (computed(ONE_WAY_ELEMENT, **given, friction=friction) for friction in (0.08, 0.12))
    assert slips["capacity"] == 0.001
    assert slips["weakest"] == "Slipping out, first in all draws."
    assert slips["contact_capacity"] == holds["contact_capacity"] > 100
    assert {row["way"] for row in holds["ways"]} == {"contact with the flat or ramp", "stretching of the outer race"}
    assert {row["y"] for row in slips["curves"] if row["series"] == "slipping out"} == {0.001}
    some = computed(ONE_WAY_ELEMENT, **given, friction=np.array([0.08, 0.12]))
    assert list(some["capacity"]) == [0.001, holds["capacity"]]


def test_a_strut_that_friction_does_not_keep_in_still_has_its_capacity() -> None:
    """Springs may hold it: it is not counted as slipping."""
    given = {"form": "strut", "count": 4, "radius": 40.0, "width": 10.0, "nose": 3.0, "crushing": 500.0}
    steep, flat = (computed(ONE_WAY_ELEMENT, **given, angle=angle) for angle in (20.0, 0.0))
    assert not steep["holds"]
    assert steep["capacity"] == flat["capacity"]


def test_rollers_go_round_as_circles_in_a_ring() -> None:
    """Middles 44 mm out, 6 mm rollers: 22 have chords of 2·44·sin(π/22) = 12.52 mm, 23 of 11.98 mm, less than 12."""
    assert one_way.crowding(22.0, 6.0, 50.0) == ""
    assert "do not go round" in one_way.crowding(23.0, 6.0, 50.0)
    assert one_way.crowding(1.0, 40.0, 50.0) == ""


def test_a_sprag_is_sharpest_on_its_inner_race() -> None:
    """The way is named after what is computed: a roller's flat or ramp, a sprag's inner race."""
    found = computed(ONE_WAY_ELEMENT, form="sprag", count=30, radius=37.0, width=40.0, rounding=6.0, wedge=7.0)
    assert [row["way"] for row in found["ways"]] == ["contact with the inner race"]


def test_a_whole_wedge_angle_taken_for_half_is_caught() -> None:
    """A planted tan ε in place of tan(ε/2) doubles the torque, and is refused by the balance above."""
    found = computed(ONE_WAY_ELEMENT, **ROLLERS, pressure=3000.0)
    wedge = radians(found["wedge_angle"])
    assert found["capacity"] * tan(wedge) / tan(wedge / 2) != pytest.approx(found["capacity"], rel=0.5)
    assert sin(wedge) > 0
