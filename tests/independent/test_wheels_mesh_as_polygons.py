"""Pairs that are said to mesh do so as polygons, rolled over a whole pitch; pairs that are said not to, do not."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import affinity

from ledger.building.sections.gears.meshing import meshes
from ledger.building.sections.gears.rolling import digging
from ledger.building.sections.gears.wheels import Pair, Wheel, geometry_of, pair_on
from ledger.mechanics.gear_geometry import centre_distance
from tests.rolled import polygon_of, rolled

PAIRS = {
    "near standard": pair_on(45.5, 1.5, 20, 40, 12, backlash=0.06),
    "few teeth": pair_on(30.6, 1.0, 10, 50, 8, backlash=0.05),
    "undercut": pair_on(30.0, 1.0, 11, 49, 8, backlash=0.05, shift_1=0.2),
    "equal": pair_on(25.0, 1.25, 20, 20, 8, backlash=0.05),
    "greater drives": pair_on(52.3, 2.0, 33, 19, 15, backlash=0.08),
    "helical": pair_on(39.0, 1.25, 22, 37, 12, helix=18.0, backlash=0.05),
    "short distance": pair_on(59.4, 2.0, 25, 35, 12, backlash=0.06),
    "other rack": pair_on(45.5, 1.5, 20, 40, 12, profile="D", backlash=0.06),
    "steep": pair_on(45.5, 1.5, 20, 40, 12, pressure=25.0, profile="C", backlash=0.06),
    "tiny": pair_on(8.1, 0.3, 18, 36, 4, backlash=0.03),
}


def serious(pair: Pair) -> set[str]:
    """What is seriously in the way of a pair."""
    return {one.about for one in meshes(pair) if one.serious}


@pytest.mark.parametrize("pair", PAIRS.values(), ids=PAIRS)
def test_a_pair_that_meshes_runs(pair: Pair) -> None:
    """Nothing overlaps, and half the backlash is left to either side in every place of a pitch, within the chords.

    The gap stays so only if contact is handed on from tooth to tooth at one speed: same base pitch, a working centre
    distance, a contact ratio above one.
    """
    assert not serious(pair)
    found = rolled(pair, 40)
    assert found.runs, found


@pytest.mark.parametrize("pair", PAIRS.values(), ids=PAIRS)
@pytest.mark.parametrize("held", [-0.45, 0.45])
def test_a_pair_runs_with_its_flanks_together(pair: Pair, held: float) -> None:
    """With all but a twentieth of the backlash taken up to one side the gap there is that twentieth."""
    found = rolled(pair, 20, held)
    assert found.least == pytest.approx(found.play, abs=found.allowed)
    assert found.overlap < 20 * pair.first.module * found.allowed


def test_teeth_turned_by_more_than_the_backlash_overlap() -> None:
    """The check can fail: a hundredth of a module beyond the backlash shows."""
    pair = PAIRS["near standard"]
    beyond = 0.5 + 0.02 / float(geometry_of(pair)["backlash"])
    assert rolled(pair, 8, beyond).overlap > 0


@settings(max_examples=50)
@given(
    module=st.sampled_from([0.3, 0.5, 1.0, 1.5, 2.0]),
    first=st.integers(8, 45),
    second=st.integers(8, 70),
    spread=st.floats(-0.3, 1.2),
    helix=st.sampled_from([0.0, 0.0, 12.0, 25.0]),
    profile=st.sampled_from("ABCD"),
)
def test_whatever_is_said_to_mesh_runs(
    module: float, first: int, second: int, spread: float, helix: float, profile: str
) -> None:
    """Any pair made for a distance that `meshes` lets pass runs as polygons."""
    distance = float(centre_distance(module, first, second, spread, radians(20), radians(helix)))
    try:
        pair = pair_on(distance, module, first, second, 10, helix=helix, profile=profile, backlash=0.05 * module)
    except ValueError:
        assume(False)
    assume(not serious(pair))
    found = rolled(pair, 8)
    assert found.runs, found


@pytest.mark.parametrize(
    ("pair", "about"),
    [
        (replace(PAIRS["near standard"], distance=45.3), "centre distance"),
        (replace(PAIRS["near standard"], distance=46.2), "centre distance"),
        (Pair(Wheel(1.0, 20, thinning=0.03), Wheel(1.0, 60, thinning=0.03, tip=62.7), 40.0), "interference"),
        (Pair(Wheel(1.0, 20, thinning=0.03), Wheel(1.0, 60, thinning=0.03, tip=62.7), 40.0), "clearance"),
        (Pair(Wheel(1.0, 11, tip=11.2), Wheel(1.0, 49, tip=49.2), 30.0), "contact"),
    ],
)
def test_a_pair_that_does_not_mesh_is_told_and_does_not_run(pair: Pair, about: str) -> None:
    """Wrong distances, tips in fillets and roots, contact that breaks off: words and polygons agree."""
    assert about in serious(pair)
    found = rolled(pair, 40)
    if about == "contact":
        assert found.greatest > found.play + found.allowed
    elif about == "centre distance":
        stated = rolled(PAIRS["near standard"], 4).play
        assert abs(found.least - stated) > found.allowed
    else:
        assert found.overlap > 0


@pytest.mark.parametrize(
    ("change", "about"),
    [
        ({"pressure": 21.0}, "base pitch"),
        ({"module": 1.52}, "base pitch"),
        ({"helix": 10.0}, "base pitch"),
        ({"profile": "D"}, "rack"),
    ],
)
def test_wheels_of_different_racks_are_told(change: dict[str, float | str], about: str) -> None:
    """A planted wheel of another pressure angle, module, helix or profile."""
    pair = PAIRS["near standard"]
    assert serious(replace(pair, first=replace(pair.first, **change))) == {about}


def test_a_planted_pressure_angle_does_not_run() -> None:
    """The check can fail: one wheel cut with 21 degrees, thickness on the reference circle as before."""
    pair = PAIRS["near standard"]
    other = replace(pair.first, pressure=21.0, shift=0.9 * pair.first.shift)
    assert not rolled(pair, 12, first=polygon_of(other)[0]).runs


def test_a_flank_larger_by_one_per_cent_does_not_run() -> None:
    """The check can fail: one outline larger by 1 %."""
    pair = PAIRS["near standard"]
    larger = affinity.scale(polygon_of(pair.first)[0], 1.01, 1.01, origin=(0, 0))
    assert not rolled(pair, 12, first=larger).runs


def test_tips_dig_as_deep_as_their_outlines_overlap() -> None:
    """Of tips made ever longer, the first that dig are the first whose polygons overlap with the flanks together."""
    for tip in (62.0, 62.2, 62.4, 62.5, 62.6, 62.8):
        pair = Pair(Wheel(1.0, 20, thinning=0.02), Wheel(1.0, 60, thinning=0.02, tip=tip), 40.0)
        depth = digging(pair.first, pair.second, geometry_of(pair))
        found = rolled(pair, 60, 0.5)
        assert (depth > 0.002) == (found.overlap > 1e-4), (tip, depth, found.overlap)


def test_undercut_leaves_room_for_long_tips() -> None:
    """A wheel's tips that reach beyond the line of action on an undercut pinion do not dig into it."""
    pair = pair_on(30.0, 1.0, 10, 50, 8, backlash=0.02, shift_1=0.1)
    geometry = geometry_of(pair)
    assert bool(geometry["wheels"][1]["interferes"])
    assert digging(pair.first, pair.second, geometry) < 1e-3
    assert rolled(pair, 40).overlap == 0
    assert "interference" not in {one.about for one in meshes(pair)}


def test_a_helical_pair_of_one_hand_is_told() -> None:
    """Two right hands do not mesh on parallel shafts."""
    pair = PAIRS["helical"]
    assert serious(replace(pair, second=replace(pair.second, helix=18.0))) == {"rack"}
    assert not serious(pair)
