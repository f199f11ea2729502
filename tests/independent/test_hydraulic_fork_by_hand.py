"""A cylinder against a case by hand, motion stepped in time, energy, and forces resolved at a detent."""

from __future__ import annotations

from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
from scipy import optimize

from ledger.calculators.binding import Upstream, bind
from ledger.calculators.drawing import Drawing
from ledger.calculators.hydraulic_fork import HYDRAULIC_FORK
from ledger.calculators.running import run
from ledger.entries.parts import Given
from ledger.mechanics import cylinder, detent

HAND = {"bore": 30.0, "pressure": 60.0, "flow": 20.0, "travel": 11.0, "mass": 4.0}


def test_a_cylinder_by_hand() -> None:
    """30 mm at 60 bar, 4 kg, 11 mm, 20 L/min.

    706.86 mm² push with 4241.2 N: 1060.3 m/s². 20 L/min hold 0.47157 m/s, reached in 0.4447 ms after 0.1049 mm; the
    rest takes 23.104 ms: 23.549 ms in all. A stroke takes 7.7754 cm³, a hundred shifts of two strokes 1.555 L, over 90
    s 1.0367 L/min. The stop takes 4·0.47157²/2 = 0.4448 J.
    """
    found = HYDRAULIC_FORK.compute(**HAND, strokes=2.0, shifts=100.0, lap=90.0, delay=5.0)
    expected = {
        "force": 4241.15, "steady_speed": 0.471570, "travel_time": 0.0235487, "time": 0.0285487, "oil_stroke": 7.77544,
        "oil_shift": 15.55088, "oil_lap": 1555.088, "mean_flow": 1.036725, "end_energy": 0.444757, "peak_flow": 20.0,
        "felt_mass": 4.0, "net_force": 4241.15, "detent_force": 0.0,
    }  # fmt: skip
    for name, value in expected.items():
        assert found[name] == pytest.approx(value, rel=1e-5), name
    assert found["moves"]
    assert found["flow_limits"]


@pytest.mark.parametrize(("flow", "load"), [(20.0, 0.0), (500.0, 0.0), (120.0, 3000.0), (60.0, 3900.0)])
def test_a_motion_stepped_in_time_takes_as_long(flow: float, load: float) -> None:
    """Newton's law in steps of a microsecond, the speed held at the flow's limit: the same time and last speed."""
    found = HYDRAULIC_FORK.compute(**{**HAND, "flow": flow}, load=load, pipe_length=0.8, rod=14.0, back_pressure=3.0)
    force = 6.0 * cylinder.bore_area(30.0) - 0.3 * cylinder.ring_area(30.0, 14.0) - load
    area = np.array([cylinder.bore_area(30.0), cylinder.ring_area(30.0, 14.0)])
    mass = 4.0 + float(np.sum(870 * 0.8 * area**2 / (pi * 16)) * 1e-6)
    limit = flow / 60_000 / (cylinder.bore_area(30.0) * 1e-6)

    time, way, speed, step = 0.0, 0.0, 0.0, 1e-6
    while way < 0.011:
        speed = min(speed + force / mass * step, limit)
        way, time = way + speed * step, time + step
    assert found["travel_time"] == pytest.approx(time, rel=5e-4)
    assert found["end_speed"] == pytest.approx(speed, rel=5e-4)


def test_the_work_of_the_oil_is_the_energy_of_mass_and_oil() -> None:
    """While the flow sets no limit, force times travel is all kinetic energy, most of it of the oil in the pipe."""
    found = HYDRAULIC_FORK.compute(**{**HAND, "flow": 1e4, "mass": 1.0}, pipe_length=1.0, rod=29.9)
    speed = found["end_speed"]
    pipe_area = pi * 8**2 / 4
    moved = 870 * 1.0 * pipe_area * 1e-6
    columns = [0.5 * moved * (speed * area / pipe_area) ** 2 for area in (pi * 900 / 4, pi * (900 - 29.9**2) / 4)]
    assert found["force"] * 0.011 == pytest.approx(0.5 * speed**2 + sum(columns), rel=1e-9)
    assert columns[0] > 0.5 * speed**2 * 8


def test_a_detent_is_left_by_the_force_of_resolved_contacts() -> None:
    """DET-1: normal and friction at the flank, resolved along and across the rail, balance spring and push."""
    spring, ramp, friction = 150.0, 40.0, 0.12

    def unbalanced(state: np.ndarray) -> list[float]:
        normal, push = state
        along = normal * sin(radians(ramp)) + friction * normal * cos(radians(ramp)) - push
        across = normal * cos(radians(ramp)) - friction * normal * sin(radians(ramp)) - spring
        return [along, across]

    leaving = optimize.fsolve(unbalanced, [spring, spring])[1]
    assert detent.detent_force(spring, ramp, friction) == pytest.approx(leaving, rel=1e-9)
    found = HYDRAULIC_FORK.compute(**HAND, spring=spring, ramp=ramp, detent_friction=friction)
    assert found["detent_force"] == found["resistance"] == pytest.approx(leaving)


def test_a_plunger_in_a_right_angled_hole() -> None:
    """Without friction a countersink of 90° holds as much sideways as the spring presses: 35.5 N for 35.5 N.

    Agrees with the rule S = F/tan(A/2) and its example on a workholding maker's page, whose inputs were seen; its
    result is a picture and was recomputed.
    """
    assert detent.detent_force(35.5, 90 - 90 / 2) == pytest.approx(35.5 / tan(radians(90 / 2)))


@pytest.mark.parametrize(
    "slip",
    [
        lambda h, a, v: h / v,  # forgets that the mass must be brought to speed
        lambda h, a, v: (2 * h / a) ** 0.5,  # forgets the flow
        lambda h, a, v: h / v + v / a,  # twice the time lost in starting
    ],
)
def test_the_hand_case_tells_a_wrong_time(slip: object) -> None:
    """Planted slips miss the stepped motion by more than its tolerance where acceleration and flow both count."""
    found = HYDRAULIC_FORK.compute(**{**HAND, "flow": 60.0}, load=3000.0)
    acceleration = float(found["net_force"] / found["felt_mass"])
    wrong = slip(0.011, acceleration, float(found["steady_speed"]))  # type: ignore[operator]
    assert abs(wrong / found["travel_time"] - 1) > 0.01


def test_draws_through_the_engine_are_a_loop_of_plain_python() -> None:
    """Uncertain pressure, flow, mass and load by another generator, one at a time: same mean and spread of the time."""
    stated = {
        "bore": "22 mm", "pressure": "50..70 bar", "flow": "12..60 L/min", "travel": "10..12 mm", "mass": "3..6 kg",
        "load": "200..1200 N",
    }  # fmt: skip
    given = {name: Given(value=value, reason="stated") for name, value in stated.items()}
    raw, _ = bind("calculations/try", HYDRAULIC_FORK, given, Upstream({}, {}, {}), Drawing(20_000))
    found = run("calculations/try", HYDRAULIC_FORK, raw)["time"]
    dice, times = np.random.default_rng(4), []
    area = pi * 0.022**2 / 4
    for _ in range(20_000):
        bar, flow, way, mass, load = dice.uniform([50, 12, 0.010, 3, 200], [70, 60, 0.012, 6, 1200]).tolist()
        pull, limit = (bar * 1e5 * area - load) / mass, flow / 60_000 / area
        starting = limit / pull
        free = 0.5 * pull * starting**2 >= way
        times.append((2 * way / pull) ** 0.5 if free else starting + (way - 0.5 * pull * starting**2) / limit)
    assert np.mean(found) == pytest.approx(np.mean(times), abs=5 * np.std(times) * np.sqrt(2 / 20_000))
    assert np.std(found) == pytest.approx(np.std(times), rel=0.04)


def test_the_course_ends_at_the_travel_and_its_time() -> None:
    """The drawn travel ends at the whole travel after the computed time; with all the oil it ends no later."""
    found = HYDRAULIC_FORK.compute(**HAND, delay=3.0)
    ends = {row["series"]: (row["x"], row["y"]) for row in found["course"]}
    assert ends["with the flow stated"] == pytest.approx((1000 * found["time"], 11.0), rel=1e-9)
    assert ends["with all the oil it could take"][0] < ends["with the flow stated"][0]
    assert ends["with all the oil it could take"][1] == pytest.approx(11.0)
