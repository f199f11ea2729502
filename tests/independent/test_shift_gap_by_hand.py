"""Shift gaps against closed forms (VEH-1 to VEH-5 of the check values) and a general solver of equations of motion."""

from __future__ import annotations

from math import pi, sqrt
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ledger.calculators.shift_gap import SHIFT_GAP
from ledger.mechanics.longitudinal import advance, time_between, torque_at
from ledger.mechanics.shift_lap import each_change, lap_loss
from ledger.mechanics.shift_loss import run_straight
from ledger.mechanics.vehicle import without_gaps
from tests.vehicles import TORQUES, pushed, racer, racer_inputs


def test_veh_1_constant_force() -> None:
    """VEH-1: 1500 N on 250 kg from rest: 75 m take 5 s and end at 30 m/s."""
    found = run_straight(pushed(1500, 250), 75.0, 0.0, 0.0, 0.5)
    assert (found["time"], found["speed"]) == (pytest.approx(5, rel=1e-9), pytest.approx(30, rel=1e-9))


def test_veh_2_constant_power() -> None:
    """VEH-2: 50 kW on 250 kg from rest to 27.7778 m/s: 1.92902 s and 35.7225 m, by steps in time and by Simpson."""
    mass, power, end = 250.0, 50_000.0, 27.7778

    def pull(speed: float) -> float:
        return power / (mass * speed)

    start = 0.02 * end
    time, place, speed = mass * start**2 / (2 * power), mass * start**3 / (3 * power), start
    while speed < end * (1 - 1e-12):
        left = mass * (end**2 - speed**2) / (2 * power)
        step = min(left, 0.02 * time)
        speed, covered = advance(speed, pull(speed), pull, step)
        time, place = time + step, place + covered
    assert time == pytest.approx(1.92902, rel=3e-6)
    assert place == pytest.approx(35.7225, abs=5e-5)
    # dv/a = m v dv / P and v dv/a = m v² dv / P are polynomials that Simpson's rule integrates exactly
    whole = time_between(0.001, end, pull(0.001), pull, 1e-9)
    assert whole == (pytest.approx(1.92902, rel=3e-6), pytest.approx(35.7225, abs=5e-5))


def test_veh_3_force_against_drag() -> None:
    """VEH-3: 1500 N against 0.4 v² on 250 kg from rest: 72.1790 m take 5 s and end at 27.8100 m/s."""
    found = run_straight(pushed(1500, 250, drag=0.4), 72.1790, 0.0, 0.0, 0.1)
    assert found["time"] == pytest.approx(5, rel=1e-6)
    assert found["speed"] == pytest.approx(27.8100, rel=2e-6)
    long = run_straight(pushed(1500, 250, drag=0.4), 5000.0, 0.0, 0.0, 1.0)
    assert long["speed"] == pytest.approx(61.2372, rel=1e-6)


def test_veh_4_a_gap_to_a_place_and_to_a_speed() -> None:
    """VEH-4: 0.1 s at 30 m/s, 6 m/s² otherwise: 4.574271 s without, 4.621905 with; 0.1 s exactly to a speed."""
    vehicle = pushed(1500, 250, shift=30.0, gap=0.1)
    with_ = run_straight(vehicle, 200.0, 30.0, 0.0, 0.5)
    without = run_straight(without_gaps(vehicle), 200.0, 30.0, 0.0, 0.5)
    assert without["time"] == pytest.approx(4.574271, rel=1e-6)
    assert with_["time"] == pytest.approx(4.621905, rel=1e-6)
    assert with_["time"] - without["time"] == pytest.approx(0.047633, abs=5e-7)
    assert with_["delay"] == pytest.approx(0.1, rel=1e-9)
    assert with_["changes"] == without["changes"] == 1


def test_veh_5_coasting_in_the_gap() -> None:
    """VEH-5: 0.1 s on drag 0.4 v² from 30 m/s, 250 kg: 29.85669 m/s after 2.99282 m."""
    vehicle = pushed(1500, 250, shift=30.0, gap=0.1, drag=0.4)
    found = run_straight(vehicle, 2.99282, 30.0, 0.0, 0.5)
    assert found["time"] == pytest.approx(0.1, rel=2e-6)
    assert found["speed"] == pytest.approx(29.85669, rel=1e-6)
    assert each_change(vehicle)[0]["after"] == pytest.approx(29.85669, rel=1e-6)


def test_loss_to_a_speed_is_the_gap_times_what_it_takes_to_win_the_speed_back() -> None:
    """Constant drive F and resistance R: the gap d costs d (1 + R/(F - R)) to a speed."""
    force, held, mass, gap = 1500.0, 400.0, 250.0, 0.05
    vehicle = pushed(force, mass, shift=30.0, gap=gap, rolling=held / (mass * 9.80665))
    found = run_straight(vehicle, 300.0, 20.0, 0.0, 0.5)
    assert found["delay"] == pytest.approx(gap * (1 + held / (force - held)), rel=1e-9)


def test_curve_between_rows() -> None:
    """Torque between and beyond rows is that of linear interpolation by another library."""
    rows = [{"speed": float(speed), "torque": float(torque)} for speed, torque in TORQUES]
    speeds = np.linspace(0, 15_000, 301)
    assert torque_at(speeds, rows) == pytest.approx(np.interp(speeds, *zip(*TORQUES, strict=True)))


def solved(vehicle: dict[str, Any], length: float, entry: float, mass_in_gap: float) -> tuple[float, float]:
    """Time and end speed by a general solver, written from the equations alone."""
    speeds, torques = zip(*TORQUES, strict=True)
    radius, mass, grip = vehicle["radius"], vehicle["mass"], vehicle["grip"]

    def pull(speed: float, ratio: float, phase: str, before: float, gap: float) -> float:
        held = vehicle["drag"] * speed**2 + mass * 9.80665 * vehicle["rolling"]
        most = grip * (vehicle["driven"] * mass * 9.80665 + vehicle["downforce"] * speed**2)
        moved = mass_in_gap + vehicle["efficiency"] * vehicle["engine_inertia"] * (ratio / radius) ** 2
        torque = np.interp(speed * ratio / radius * 30 / pi, speeds, torques)
        if phase == "gap":
            return -held / mass_in_gap
        if phase == "overlap":
            slowed = begun * (before - ratio) / radius
            torque = np.interp((speed * ratio / radius + slowed / 2) * 30 / pi, speeds, torques)
            torque += vehicle["engine_inertia"] * slowed / -gap
        drive = torque * vehicle["efficiency"] * ratio / radius
        return min((drive - held) / moved, (most - held) / mass)

    time, place, speed, gear, phase, ends, begun = 0.0, 0.0, entry, 0, "gear", 1e9, entry
    ratios = vehicle["ratios"]
    while speed > vehicle["shift_speed"] * pi / 30 * radius / ratios[gear]:
        gear += 1
    while True:
        limit = vehicle["shift_speed"] * pi / 30 * radius / ratios[gear] if gear < len(ratios) - 1 else 1e9
        gap = vehicle["gaps"][gear - 1] if gear else 0.0
        before = ratios[gear - 1] if gear else 0.0

        def arrives(_: float, state: list[float]) -> float:
            return state[0] - length

        def changes(_: float, state: list[float], limit: float = limit, phase: str = phase) -> float:
            return state[1] - limit if phase == "gear" else -1.0

        arrives.terminal = changes.terminal = True  # type: ignore[attr-defined]
        found = solve_ivp(
            lambda _, state, gear=gear, phase=phase, before=before, gap=gap: [
                state[1], pull(state[1], ratios[gear], phase, before, gap),
            ],
            (time, min(ends, time + 100)), [place, speed], events=(arrives, changes), rtol=1e-10, atol=1e-10,
            max_step=0.05,
        )  # fmt: skip
        time, (place, speed) = found.t[-1], found.y[:, -1]
        if found.t_events[0].size:
            return time, speed
        if found.t_events[1].size:
            gear, begun = gear + 1, speed
            gap = vehicle["gaps"][gear - 1]
            phase, ends = ("gear", 1e9) if gap == 0 else ("gap" if gap > 0 else "overlap", time + abs(gap))
        else:
            phase, ends = "gear", 1e9


@pytest.mark.parametrize("gap", [0.0, 0.04, -0.02])
def test_a_general_solver_agrees(gap: float) -> None:
    """Time and end speed of a straight with kinks, tyre limit, gaps or overlaps: within 10 µs of solve_ivp."""
    vehicle = racer(gap)
    bare = vehicle["mass"] + vehicle["wheel_inertia"] / vehicle["radius"] ** 2
    time, speed = solved(vehicle, 500.0, 25.0, bare)
    found = run_straight(vehicle, 500.0, 25.0, 0.0, 0.5)
    assert found["time"] == pytest.approx(time, abs=1e-5)
    assert found["speed"] == pytest.approx(speed, abs=1e-3)


def test_a_short_overlap_passes_on_the_momentum_of_the_engine() -> None:
    """With tyres that hold anything and no torque, an overlap adds J dw eta i/r to the momentum of what is carried."""
    vehicle = racer(-1e-4, grip=10.0, downforce=1e4, overlap_drive=0.0, rolling=0.0, drag=0.0)
    for row, before, after in zip(each_change(vehicle), vehicle["ratios"], vehicle["ratios"][1:], strict=False):
        slowed = row["speed"] * (before - after) / vehicle["radius"]
        moved = 700 + (4.0 + 0.92 * 0.05 * after**2) / 0.33**2
        gained = 0.05 * slowed * 0.92 * after / 0.33 / moved
        assert row["after"] - row["speed"] == pytest.approx(gained, rel=1e-9)
        assert row["torque"] == pytest.approx(0.05 * slowed / 1e-4, rel=1e-9)


def test_the_tyre_limit_caps_the_surge() -> None:
    """An overlap of no time at all gains nothing: what the tyres do not hold is lost."""
    assert each_change(racer(-1e-9))[2]["after"] == pytest.approx(each_change(racer(0.0))[2]["speed"], abs=1e-7)
    capped, free = (
        each_change(racer(-0.002, grip=grip, downforce=b))[2]["after"] for grip, b in ((1.6, 0.9), (10, 1e4))
    )
    assert capped < free


def test_a_slipping_clutch_caps_the_surge() -> None:
    """With a clutch that slips at 500 N·m an overlap pushes as 500 N·m would, for its duration, and no more."""
    free = {"grip": 10.0, "downforce": 1e4, "rolling": 0.0, "drag": 0.0}
    vehicle = racer(-0.001, slip=500.0, **free)
    for row, ratio in zip(each_change(vehicle), vehicle["ratios"][1:], strict=True):
        moved = 700 + (4.0 + 0.92 * 0.05 * ratio**2) / 0.33**2
        assert row["after"] - row["speed"] == pytest.approx(0.001 * 500 * 0.92 * ratio / 0.33 / moved, rel=1e-9)


def test_loss_to_a_place_to_first_order() -> None:
    """Delay less distance ahead over the speed at the mark is the loss there, for small gaps."""
    vehicle = racer(0.002)
    with_ = run_straight(vehicle, 500.0, 25.0, 0.0, 0.5)
    without = run_straight(without_gaps(vehicle), 500.0, 25.0, 0.0, 0.5)
    expected = with_["delay"] - with_["ahead"] / with_["speed"]
    assert with_["time"] - without["time"] == pytest.approx(expected, rel=0.01)


def test_distance_lost_is_where_the_other_vehicle_stands() -> None:
    """When the vehicle without gaps is at the mark, the other has yet to go what is called lost."""
    vehicle = racer(0.03)
    straight = {"name": "one", "length": 500.0, "entry": 25.0, "grade": 0.0, "times": 1.0}
    lost = lap_loss(vehicle, [straight], 0.5)["distance_loss"]
    shorter = run_straight(vehicle, 500.0 - float(lost), 25.0, 0.0, 0.5)["time"]
    assert shorter == pytest.approx(run_straight(without_gaps(vehicle), 500.0, 25.0, 0.0, 0.5)["time"], abs=1e-5)


def test_a_grade_is_a_share_of_gravity() -> None:
    """Uphill at 10 % without other resistance the acceleration falls by g sin(atan 0.1)."""
    flat, steep = (run_straight(pushed(1500, 250), 75.0, 0.0, grade, 0.5)["acceleration"] for grade in (0.0, 0.1))
    assert flat - steep == pytest.approx(9.80665 * 0.1 / sqrt(1.01), rel=1e-9)


def test_a_ladder_of_many_gears_nears_constant_power() -> None:
    """A narrow band of constant power and sixty gears without gaps: the closed form of constant power, within 0.1 %."""
    power, mass, low, high = 50_000.0, 250.0, 5.0, 30.0
    rows = [{"speed": n, "torque": power / (n * pi / 30)} for n in (9_000.0, 9_400.0, 9_800.0, 10_000.0)]
    ratios = [10_000 * pi / 30 / (low * (high / low) ** (place / 59)) for place in range(60)]
    vehicle = {**pushed(1.0, mass), "curve": rows, "ratios": ratios, "gaps": [0.0] * 59, "shift_speed": 10_000.0}
    length = mass * (high**3 - low**3) / (3 * power)
    found = run_straight(vehicle, length, low, 0.0, 0.5)
    assert found["time"] == pytest.approx(mass * (high**2 - low**2) / (2 * power), rel=1e-3)


def test_draws_together_are_runs_alone() -> None:
    """The lap of two kinds of straights, gaps drawn: each draw's loss is that of runs of its own, summed by hand."""
    draws = np.array([-0.01, 0.0, 0.004, 0.02, 0.4])
    many = SHIFT_GAP.compute(**racer_inputs(gap=draws))["place_loss_lap"]
    for gap, lost in zip(draws, many, strict=True):
        alone = 0.0
        for length, entry, times in ((600.0, 72.0, 4), (250.0, 110.0, 8)):
            with_, without = (
                run_straight(one, length, entry / 3.6, 0.0, 0.5)["time"]
                for one in (racer(gap), without_gaps(racer(gap)))
            )
            alone += times * float(with_ - without)
        assert lost == pytest.approx(alone, abs=1e-6)


def test_the_worked_sentence_of_the_page() -> None:
    """0.1 s at 30 m/s, 6 m/s² otherwise, a mark 200 m on: 0.0476 s; the page says so, and so does the calculator."""
    found = SHIFT_GAP.compute(
        curve=[{"speed": 1.0, "torque": 2000.0}, {"speed": 20_000.0, "torque": 2000.0}],
        gears=[{"ratio": 1.0}, {"ratio": 0.999}],
        shift_speed=30 * 30 / pi, gap=0.1, radius=1.0, mass=250.0, drag_area=0.0, rolling=0.0, grip=1500 / 2451.6625,
        straights=[{"length": 200.0, "entry": 108.0}],
    )  # fmt: skip
    assert found["place_loss_lap"] == pytest.approx(0.0476, abs=5e-5)
    assert found["speed_loss_lap"] == pytest.approx(0.1, rel=1e-6)
    assert found["time"] == pytest.approx(4.621905, rel=1e-6)
