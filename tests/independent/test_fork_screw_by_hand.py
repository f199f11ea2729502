"""Fork screws against the motion integrated step by step, energy, and the lead that suits a motor best."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
from scipy import integrate, optimize

from ledger.calculators.fork_screw import FORK_SCREW
from ledger.mechanics import fork_screw as mechanics

BALLS = {
    "travel": 11.0, "lead": 5.0, "speed": 6000.0, "screw": "balls", "load": 150.0, "mass": 4.0, "rotor": 20.0,
    "torque": 0.8,
}  # fmt: skip


def integrated(given: dict, efficiency: float) -> float:
    """Time from rest to rest [s]: motor and load integrated from torque, switched to braking at half the travel."""
    lead, top = given["lead"] / 1000, given["speed"] / 60 * given["lead"] / 1000
    turning = given["rotor"] * 1e-6 * (2 * pi / lead) ** 2  # kg, referred to the fork
    carried = given["mass"] / efficiency
    push = given["torque"] * 2 * pi / lead
    rate = (push - given["load"] / efficiency) / (carried + turning)

    def motion(_: float, state: np.ndarray) -> list[float]:
        return [state[1], rate if state[1] < top else 0.0]

    half = integrate.solve_ivp(
        motion, (0, 5), [0.0, 0.0], events=[_arrived(given["travel"] / 2000)], max_step=2e-5, rtol=1e-9
    )
    return 2 * float(half.t_events[0][0])


def _arrived(place: float):
    def event(_: float, state: np.ndarray) -> float:
        return state[0] - place

    event.terminal = True
    return event


@pytest.mark.parametrize("speed", [3000.0, 12_000.0])
def test_the_time_is_that_of_the_motion_integrated(speed: float) -> None:
    """A trapezoid at 3000 1/min, a triangle at 12,000: the integral of Newton's law takes the same time."""
    given = {**BALLS, "speed": speed}
    found = FORK_SCREW.compute(**given)
    assert bool(found["reaches_speed"]) is (speed == 3000)
    assert found["time"] == pytest.approx(integrated(given, 0.9), rel=1e-3)


def test_a_move_by_hand() -> None:
    """Ball screw: k = 5/(2000π·0.9) = 0.8842e-3; load torque 0.1326; a = 0.6674/(3.537e-6 + 25.13e-6) = 23.28 m/s²."""
    found = FORK_SCREW.compute(**BALLS)
    per = 5 / (2000 * pi * 0.9)
    assert found["load_torque"] == pytest.approx(150 * per)
    assert found["acceleration"] == pytest.approx((0.8 - 150 * per) / (4 * per / 1000 + 20e-6 * 2 * pi / 5) / 1000)
    assert found["acceleration"] == pytest.approx(23.28, abs=0.005)
    assert found["peak_speed"] == pytest.approx(0.5)  # 6000 1/min at 5 mm
    assert found["time"] == pytest.approx(0.011 / 0.5 + 0.5 / found["acceleration"])
    assert found["turns"] == pytest.approx(2.2)
    assert found["peak_power"] == pytest.approx(0.8 * 6000 * 2 * pi / 60)


def test_energy_is_work_of_the_load_and_of_what_moves() -> None:
    """Load over travel through the efficiency, and kinetic energy of the mass through it and of the rotor."""
    found = FORK_SCREW.compute(**BALLS)
    work = 150 * 0.011 / 0.9 + 4 * 0.5**2 / 2 / 0.9 + 20e-6 * (2 * pi * 100) ** 2 / 2
    assert found["energy"] == pytest.approx(work, rel=1e-9)


def test_a_reduction_turns_rotor_and_torque() -> None:
    """With 3:1 the screw feels three times the torque and nine times the rotor; the motor turns three times as much."""
    direct = FORK_SCREW.compute(**{**BALLS, "torque": 2.4, "rotor": 180.0, "speed": 2000.0})
    reduced = FORK_SCREW.compute(**BALLS, ratio=3.0)
    assert reduced["time"] == pytest.approx(direct["time"])
    assert reduced["motor_turns"] == pytest.approx(6.6)
    assert reduced["motor_speed"] == pytest.approx(3 * direct["motor_speed"])


def test_the_best_lead_matches_the_inertias() -> None:
    """Without load the fork is quickest where m l²/(4π² η) equals J; a search over the lead finds that lead."""
    mass, rotor, efficiency = 4.0, 20e-6, 0.9

    def slowness(lead: float) -> float:
        per = mechanics.torque_per_force(lead, efficiency)
        return -float(mechanics.acceleration(0.8, 0.0, mass, lead, per, rotor))

    best = optimize.minimize_scalar(slowness, bounds=(1, 100), method="bounded", options={"xatol": 1e-9}).x
    assert best == pytest.approx(2000 * pi * sqrt(rotor * efficiency / mass), rel=1e-5)


def test_a_motor_too_weak_never_arrives() -> None:
    """Below the load's torque nothing moves: 60 s stands for never, and it is said."""
    found = FORK_SCREW.compute(**{**BALLS, "torque": 0.1, "wanted": 60.0})
    assert not found["moves"]
    assert not found["in_time"]
    assert found["time"] == 60.0
    assert found["peak_speed"] == 0
    assert found["needed_torque"] > 150 * 5 / (2000 * pi * 0.9)


def test_a_motor_too_slow_for_the_wanted_time() -> None:
    """11 mm at 0.1 m/s take 110 ms however strong the motor."""
    found = FORK_SCREW.compute(**{**BALLS, "speed": 1200.0, "torque": 0.0, "wanted": 60.0})
    assert not found["speed_suffices"]
    assert not found["in_time"]
    assert not found["moves"]
    assert found["needed_torque"] == 1e6  # the torque that stands for one that no motor has


def test_balls_never_lock_and_fine_threads_do() -> None:
    """A load drives a ball screw back; a thread holds where its lead angle stays below its friction's."""
    assert not FORK_SCREW.compute(**BALLS)["self_locking"]
    thread = {**BALLS, "screw": "sliding thread", "diameter": 10.0, "friction": 0.12, "flank": 0.0}
    limit = pi * 10 * 0.12
    assert FORK_SCREW.compute(**{**thread, "lead": limit * 0.999})["self_locking"]
    assert not FORK_SCREW.compute(**{**thread, "lead": limit * 1.001})["self_locking"]


def test_the_speed_drawn_covers_the_travel() -> None:
    """The area under the drawn speed is the travel, and it begins and ends at rest."""
    for speed in (3000.0, 12_000.0):
        curve = FORK_SCREW.compute(**{**BALLS, "speed": speed})["curves"]
        time, fork = np.array([(row["x"], row["y"]) for row in curve]).T
        assert np.trapezoid(fork, time) == pytest.approx(11, rel=2e-3)
        assert (fork[0], fork[-1]) == (0, pytest.approx(0, abs=1e-9))
