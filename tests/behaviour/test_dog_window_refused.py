"""What forks, dogs and sensors refuse, and in what words."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from ledger.calculators.binding import Upstream, bind
from ledger.calculators.contract import Calculator
from ledger.calculators.dog_window import DOG_WINDOW
from ledger.calculators.drawing import Drawing
from ledger.calculators.hydraulic_fork import HYDRAULIC_FORK
from ledger.calculators.running import outcomes, run
from ledger.calculators.sensor_wheel import SENSOR_WHEEL
from ledger.entries.parts import Given
from ledger.errors import CalculationRefused

FORK = {"bore": "30 mm", "pressure": "60 bar", "flow": "20 L/min", "travel": "11 mm", "mass": "4 kg"}
DOGS = {
    "dogs": "6",
    "gap": "26 °",
    "dog": "11 °",
    "difference": "100 1/min",
    "axial_speed": "0.5 m/s",
    "depth": "5 mm",
    "patience": "40 ms",
}
WHEEL = {
    "targets": "36",
    "speed": "2300 1/min",
    "radius": "80 mm",
    "difference": "200 1/min",
    "window_time": "5 ms",
}


def through_the_engine(calculator: Calculator, given: dict[str, str]) -> dict[str, Any]:
    """Bind and run as an entry does."""
    inputs = {name: Given(value=value, reason="stated") for name, value in given.items()}
    raw, _ = bind("calculations/try", calculator, inputs, Upstream({}, {}, {}), Drawing(500))
    return run("calculations/try", calculator, raw)


@pytest.mark.parametrize(
    ("calculator", "given", "said"),
    [
        (HYDRAULIC_FORK, {**FORK, "rod": "30 mm"}, "The rod is as thick as the bore"),
        (HYDRAULIC_FORK, {**FORK, "rod": "20..40 mm"}, "The rod is as thick as the bore"),
        (HYDRAULIC_FORK, {**FORK, "spring": "100 N", "ramp": "80 °", "detent_friction": "0.3"}, "holds the plunger"),
        (HYDRAULIC_FORK, {**FORK, "flow": "0 L/min"}, "outside what is permitted"),
        (HYDRAULIC_FORK, {**FORK, "side": "left"}, "bore side, rod side"),
        (DOG_WINDOW, {**DOGS, "gap": "61 °"}, "a full turn or more"),
        (DOG_WINDOW, {**DOGS, "gap": "60 °"}, "no dogs are left"),
        (DOG_WINDOW, {**DOGS, "axial_speed": "0 m/s"}, "outside what is permitted"),
        (DOG_WINDOW, {**DOGS, "inertia": "5 kg·m²"}, "state all three"),
        (DOG_WINDOW, {**DOGS, "torque": "500 N·m"}, "state all three"),
        (DOG_WINDOW, {**DOGS, "dogs": "5.5"}, "whole number"),
        (SENSOR_WHEEL, {**WHEEL, "difference": "0 1/min"}, "outside what is permitted"),
        (SENSOR_WHEEL, {**WHEEL, "targets": "0"}, "outside what is permitted"),
        (SENSOR_WHEEL, {**WHEEL, "wanted": "120 %"}, "outside what is permitted"),
        (SENSOR_WHEEL, {**WHEEL, "pitch_time": "4 ms"}, "longer than to the next one"),
    ],
)
def test_impossible_inputs_are_refused(calculator: Calculator, given: dict[str, str], said: str) -> None:
    """Each with what is wrong, in words."""
    with pytest.raises(CalculationRefused, match=said):
        through_the_engine(calculator, given)


def test_all_that_is_wrong_is_said_at_once() -> None:
    """Formulas name every impossible value in one refusal."""
    with pytest.raises(ValueError, match=r"Bore.*Mass.*The rod"):
        HYDRAULIC_FORK.compute(bore=-1.0, pressure=60.0, flow=20.0, travel=11.0, mass=0.0, rod=5.0)
    with pytest.raises(ValueError, match=r"Axial speed.*Depth.*full turn"):
        DOG_WINDOW.compute(
            dogs=6.0, gap=80.0, dog=11.0, difference=9.0, axial_speed=0.0, depth=float("nan"), patience=1.0
        )
    with pytest.raises(ValueError, match=r"Targets.*Speed"):
        SENSOR_WHEEL.compute(targets=0.0, speed=float("nan"), radius=80.0, difference=9.0, window_time=1.0)


def test_windows_that_come_round_in_some_draws_only_are_refused() -> None:
    """One window or many is not a matter of doubt."""
    with pytest.raises(ValueError, match="above 0 in all draws, or 0"):
        SENSOR_WHEEL.compute(
            targets=36.0, speed=2300.0, radius=80.0, difference=200.0, window_time=5.0, pitch_time=np.array([0.0, 50.0])
        )


def test_a_lap_of_no_time_among_others_is_refused() -> None:
    """Where a lap's time is stated, none of its draws may be nothing."""
    with pytest.raises(ValueError, match="time of a lap is nothing"):
        HYDRAULIC_FORK.compute(
            bore=30.0, pressure=60.0, flow=20.0, travel=11.0, mass=4.0, shifts=100.0, lap=np.array([0.0, 90.0])
        )


@pytest.mark.parametrize(
    ("calculator", "given", "left_out"),
    [
        (HYDRAULIC_FORK, FORK, {"oil_lap", "mean_flow"}),
        (HYDRAULIC_FORK, {**FORK, "shifts": "100"}, {"mean_flow"}),
        (HYDRAULIC_FORK, {**FORK, "shifts": "100", "lap": "90..110 s"}, set()),
        (
            DOG_WINDOW,
            DOGS,
            {"common_speed", "energy_lost", "impact", "added_torque", "peak_torque", "blow_time"},
        ),
        (DOG_WINDOW, {**DOGS, "inertia": "5 kg·m²", "other_inertia": "9 kg·m²", "stiffness": "2e4 N·m/rad"}, set()),
        (SENSOR_WHEEL, WHEEL, set()),
    ],
)
def test_only_what_is_asked_for_is_given(calculator: Calculator, given: dict[str, str], left_out: set[str]) -> None:
    """Optional outputs are there when their inputs are; every other is always there, with its curves in place."""
    found = through_the_engine(calculator, given)
    assert {one.name for one in calculator.outputs} - set(found) == left_out
    for shown in outcomes(calculator, found):
        if shown.form == "curves":
            assert shown.value


def test_a_dog_as_wide_as_its_gap_never_gets_in() -> None:
    """It is no fault but an answer: no chance at any speed difference."""
    found = through_the_engine(DOG_WINDOW, {**DOGS, "dog": "26 °"})
    assert (found["chance"], found["greatest_difference"], bool(found["enters"])) == (0, 0, False)


def summed_up(calculator: Calculator, given: dict[str, str]) -> dict[str, Any]:
    """Outcomes by name, as people read them."""
    return {one.name: one for one in outcomes(calculator, through_the_engine(calculator, given))}


def test_waits_are_those_of_dogs_that_can_get_in() -> None:
    """No wait holds a second that stands for no entry: with the window shut in some draws, means are of the others."""
    found = summed_up(DOG_WINDOW, {**DOGS, "difference": "150..350 1/min"})
    share = found["enters"].chance
    assert share is not None
    assert 0.4 < share < 0.6
    for name in (
        "mean_wait", "half_wait", "most_wait", "longest_wait", "play", "greatest_play", "play_time",
        "greatest_play_time", "time_to_torque",
    ):  # fmt: skip
        assert found[name].share == pytest.approx(share), name
    for name in ("mean_wait", "longest_wait", "time_to_torque"):
        assert found[name].summary.high < 200, name
    shut = summed_up(DOG_WINDOW, {**DOGS, "difference": "300 1/min"})
    assert "mean_wait" not in shut
    assert "chance" in shut


def test_times_and_oil_are_those_of_a_fork_that_moves() -> None:
    """Against a load that stops it in some draws, no mean holds ten seconds; stopped in all, none is given."""
    timed = {
        "steady_speed", "power", "travel_time", "time", "mean_speed", "end_speed", "end_energy", "peak_flow",
        "return_flow", "oil_stroke", "oil_shift",
    }  # fmt: skip
    found = summed_up(HYDRAULIC_FORK, {**FORK, "load": "3000..5500 N"})
    share = found["moves"].chance
    assert share is not None
    assert 0.4 < share < 0.6
    assert all(found[name].share == pytest.approx(share) for name in timed)
    assert found["time"].summary.high < 1000
    stuck = summed_up(HYDRAULIC_FORK, {**FORK, "load": "5000 N"})
    assert not timed & set(stuck)
    assert {"net_force", "pressure_needed"} <= set(stuck)


def test_a_load_that_helps_needs_no_pressure() -> None:
    """Not a pressure below nothing: 0 bar, and it moves."""
    found = through_the_engine(HYDRAULIC_FORK, {**FORK, "load": "-500 N"})
    assert found["pressure_needed"] == 0
    assert found["moves"]
    assert found["power"] < 0


def test_declarations_are_complete() -> None:
    """Each calculator says what it stands on, what it leaves out and what can hurt."""
    for calculator in (HYDRAULIC_FORK, DOG_WINDOW, SENSOR_WHEEL):
        assert calculator.formula
        assert calculator.sources
        assert len(calculator.assumptions) >= 5
        assert any("carries people" in caution for caution in calculator.cautions)
