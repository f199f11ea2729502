"""What holds for every motion law, selector drum and face-cam disc."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.calculators.face_cam_disc import FACE_CAM_DISC
from ledger.calculators.selector_drum import SELECTOR_DRUM
from ledger.mechanics import cam_drive, drum_track, face_cam, motion_laws
from ledger.mechanics.motion_laws import LAWS, acceleration, displacement, jerk, velocity

SHARES = st.floats(0, 1)
LAW = st.sampled_from(LAWS)
SMOOTH = st.sampled_from([law for law in LAWS if motion_laws.PEAKS[law][2] is not None])


def spread(least: float, most: float) -> st.SearchStrategy[np.ndarray]:
    """Four draws between two values."""
    return st.lists(st.floats(least, most), min_size=4, max_size=4).map(np.array)


STEPS = {
    "positions": st.lists(st.integers(3, 16), min_size=4, max_size=4).map(lambda one: np.array(one, dtype=float)),
    "travel": spread(2, 15), "dwell": spread(0.1, 0.7), "pin": spread(4, 10), "depth": spread(3, 8), "law": LAW,
    "limit": spread(15, 60), "space": spread(40, 300), "casing": spread(0, 8), "duration": spread(10, 200),
    "load": spread(0, 400), "mass": spread(0, 8), "pin_friction": spread(0, 0.2), "rail_friction": spread(0, 0.2),
    "overhang": spread(0, 60), "guide": spread(20, 120), "offset": spread(0, 60), "inertia": spread(0.0001, 0.01),
}  # fmt: skip
DRUMS = st.fixed_dictionaries({**STEPS, "mean_radius": st.one_of(st.just(0.0), spread(10, 80))})
DISCS = st.fixed_dictionaries(
    {**STEPS, "grooves": st.integers(1, 3).map(float), "inner_radius": st.one_of(st.just(0.0), spread(20, 90))}
)


def one_of(value: Any, place: int) -> Any:
    """One draw of an input."""
    return float(value[place]) if isinstance(value, np.ndarray) else value


def numbers(calculator: Any, outputs: dict[str, Any]) -> dict[str, Any]:
    """The outputs that are numbers or truths."""
    return {
        one.name: outputs[one.name]
        for one in calculator.outputs
        if one.form in ("number", "truth") and one.name in outputs
    }


@given(LAW, SHARES)
def test_a_law_is_symmetrical_about_its_middle(law: str, z: float) -> None:
    """s(1 - z) = 1 - s(z), v(1 - z) = v(z), a(1 - z) = -a(z) but where it jumps, and 0 ≤ s ≤ 1."""
    assert displacement(law, 1 - z) == pytest.approx(1 - displacement(law, z), abs=1e-12)
    assert velocity(law, 1 - z) == pytest.approx(velocity(law, z), abs=1e-9)
    if abs(z - 0.5) > 1e-9:
        assert acceleration(law, 1 - z) == pytest.approx(-acceleration(law, z), abs=1e-8)
    assert -1e-12 <= displacement(law, z) <= 1 + 1e-12


@given(LAW, st.lists(SHARES, min_size=3, max_size=8))
def test_a_law_of_arrays_is_that_of_floats(law: str, shares: list[float]) -> None:
    """Displacement, velocity, acceleration and jerk, element by element."""
    for function in (displacement, velocity, acceleration, jerk):
        many = function(law, np.array(shares))
        assert np.allclose(many, [float(function(law, z)) for z in shares], rtol=1e-12, atol=1e-12)


@given(LAW, SHARES, SHARES)
def test_a_follower_never_goes_back(law: str, first: float, second: float) -> None:
    """Displacement rises along the move."""
    low, high = sorted((first, second))
    assert displacement(law, low) <= displacement(law, high) + 1e-12


@given(SMOOTH)
def test_a_smooth_law_begins_and_ends_at_rest(law: str) -> None:
    """Velocity and acceleration are zero at both ends."""
    for z in (0.0, 1.0):
        assert velocity(law, z) == pytest.approx(0, abs=1e-12)
        assert acceleration(law, z) == pytest.approx(0, abs=1e-12)


@given(LAW, st.floats(1, 30), st.floats(0.05, 3), st.floats(0.15, 1.39))
def test_a_drum_of_least_radius_has_exactly_the_limiting_angle(
    law: str, travel: float, arc: float, limit: float
) -> None:
    """And on that radius the least arc is the one it was made for."""
    factor = motion_laws.velocity_factor(law)
    radius = drum_track.least_radius(travel, arc, limit, factor)
    assert drum_track.pressure_angle(travel, arc, radius, factor) == pytest.approx(limit, rel=1e-12)
    assert drum_track.least_arc(travel, radius, limit, factor) == pytest.approx(arc, rel=1e-12)


@given(LAW, st.floats(1, 30), st.floats(0.05, 1.5), st.floats(0.15, 1.39))
def test_a_disc_of_least_radius_has_exactly_the_limiting_angle(
    law: str, travel: float, arc: float, limit: float
) -> None:
    """Where there is such a radius at all; the disc is never smaller than the drum less the travel, nor larger."""
    radius = face_cam.least_radius(law, travel, arc, limit)
    drum = drum_track.least_radius(travel, arc, limit, motion_laws.velocity_factor(law))
    assert drum - travel <= radius <= drum + 1e-9
    if radius > 0.1:
        assert face_cam.pressure_angle(law, travel, arc, radius) == pytest.approx(limit, rel=1e-12)


@given(st.integers(2, 100), st.floats(0, 0.9), st.integers(1, 4))
def test_positions_and_arcs_are_inverse(positions: int, dwell: float, moves: int) -> None:
    """As many positions as fit an arc have that arc."""
    arc = drum_track.move_arc(drum_track.step_angle(float(positions), True), dwell, moves)
    assert drum_track.most_positions(arc, dwell, moves) == pytest.approx(positions, rel=1e-12)


@given(DRUMS, st.integers(0, 3))
@settings(deadline=None, max_examples=25)
def test_a_drum_in_one_draw_is_that_of_floats(drum: dict, place: int) -> None:
    """Arrays of draws give, element by element, what floats give; every number is finite."""
    many = numbers(SELECTOR_DRUM, SELECTOR_DRUM.compute(**drum))
    one = numbers(SELECTOR_DRUM, SELECTOR_DRUM.compute(**{name: one_of(value, place) for name, value in drum.items()}))
    for name, value in one.items():
        assert np.isfinite(many[name]).all()
        assert np.broadcast_to(many[name], 4)[place] == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(DISCS, st.integers(0, 3))
@settings(deadline=None, max_examples=25)
def test_a_disc_in_one_draw_is_that_of_floats(disc: dict, place: int) -> None:
    """Arrays of draws give, element by element, what floats give; every number is finite."""
    many = numbers(FACE_CAM_DISC, FACE_CAM_DISC.compute(**disc))
    one = numbers(FACE_CAM_DISC, FACE_CAM_DISC.compute(**{name: one_of(value, place) for name, value in disc.items()}))
    for name, value in one.items():
        assert np.isfinite(many[name]).all()
        assert np.broadcast_to(many[name], 4)[place] == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(DRUMS)
@settings(deadline=None, max_examples=25)
def test_a_least_drum_keeps_its_limit_and_a_larger_one_does_too(drum: dict) -> None:
    """Never steeper on a larger radius; at the least one nothing is left of the limit and it is kept."""
    least = SELECTOR_DRUM.compute(**{**drum, "mean_radius": 0.0})
    deep = least["least_radius"] > np.maximum(drum["depth"], drum["pin"] / 2)
    assert np.all(np.where(deep, least["angle_room"] == 0, least["angle_room"] >= 0))
    assert np.all(least["keeps_limit"])
    larger = SELECTOR_DRUM.compute(**{**drum, "mean_radius": 1.1 * least["least_radius"]})
    assert np.all(larger["pressure_angle"] < least["pressure_angle"])
    assert np.all(larger["keeps_limit"])
    smaller = SELECTOR_DRUM.compute(**{**drum, "mean_radius": np.maximum(0.9 * least["least_radius"], drum["pin"] / 2)})
    assert not np.any(smaller["keeps_limit"] & deep)


@given(DRUMS)
@settings(deadline=None, max_examples=25)
def test_what_fits_is_what_has_room(drum: dict) -> None:
    """A least drum fits its space exactly where at least its positions fit, unless its depth decides."""
    found = SELECTOR_DRUM.compute(**{**drum, "mean_radius": 0.0})
    clear = (np.abs(found["room"]) > 1e-6) & (found["least_radius"] > np.maximum(drum["depth"], drum["pin"] / 2))
    assert np.array_equal((found["positions_that_fit"] >= drum["positions"])[clear], found["fits"][clear])


@given(DRUMS)
@settings(deadline=None, max_examples=25)
def test_a_rail_jams_just_where_the_angle_says(drum: dict) -> None:
    """It moves freely just where the greatest pressure angle stays below the jamming angle."""
    found = SELECTOR_DRUM.compute(**drum)
    clear = np.abs(found["pressure_angle"] - found["jamming_angle"]) > 0.1
    below = found["pressure_angle"] < found["jamming_angle"]
    assert np.array_equal(below[clear], found["moves_freely"][clear])


@given(DRUMS, st.floats(1.01, 3))
@settings(deadline=None, max_examples=25)
def test_more_load_or_friction_never_eases_the_drum(drum: dict, more: float) -> None:
    """More load, mass, friction, overhang or haste: never less contact force or torque, within the same track."""
    fixed = {**drum, "mean_radius": 40.0}
    before = SELECTOR_DRUM.compute(**fixed)
    for name, by in (("load", more), ("pin_friction", more), ("rail_friction", more), ("overhang", more)):
        after = SELECTOR_DRUM.compute(**{**fixed, name: fixed[name] * by})
        assert np.all(after["contact_force"] >= before["contact_force"] * (1 - 1e-9))
        assert np.all(after["torque"] >= before["torque"] * (1 - 1e-9))


@given(LAW, st.floats(1, 20), st.floats(0.005, 0.5), st.floats(1.1, 4))
def test_half_the_time_is_twice_the_speed(law: str, travel: float, duration: float, quicker: float) -> None:
    """Speed goes with 1/T, acceleration with 1/T², jerk with 1/T³."""
    speed = cam_drive.peak_speed(law, travel, duration)
    assert cam_drive.peak_speed(law, travel, duration / quicker) == pytest.approx(quicker * speed)
    if motion_laws.PEAKS[law][1] is not None:
        bend = cam_drive.peak_acceleration(law, travel, duration)
        assert cam_drive.peak_acceleration(law, travel, duration / quicker) == pytest.approx(quicker**2 * bend)
    if motion_laws.PEAKS[law][2] is not None:
        snap = cam_drive.peak_jerk(law, travel, duration)
        assert cam_drive.peak_jerk(law, travel, duration / quicker) == pytest.approx(quicker**3 * snap)
