"""A sensor wheel against a case by hand, edges simulated one by one, and a general library."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats

from ledger.calculators.sensor_wheel import SENSOR_WHEEL
from ledger.mechanics.sensor_wheel import normal_share, share_within_any

COUNT = 40_000
HAND = {
    "targets": 36.0, "speed": 2300.0, "radius": 80.0, "difference": 200.0, "window_time": 5.0, "clock": 2e5,
    "jitter": 8.0, "misplacement": 0.04, "over": 8.0, "lead": 6.0,
}  # fmt: skip


def test_a_wheel_by_hand() -> None:
    """36 targets at 2300 1/min on 80 mm: 724.64 µs, 10°, 13.963 mm apart; 144.93 ticks of 200 kHz.

    An edge: 0.04/80 rad = 0.028648°, 8 µs at 13,800 °/s = 0.1104°, 5 µs/√12 = 0.019919°: 0.11578°. Foretold over 6.7246
    ms from a span of 8 ms, q = 0.84058: 0.11578·√(1.84058² + 0.84058²) = 0.23428°, both wheels 0.33132°; at 1200 °/s
    0.27610 ms.
    """
    found = SENSOR_WHEEL.compute(**HAND)
    expected = {
        "edge_time": 724.638e-6, "angle_resolution": 10.0, "target_spacing": 13.9626, "ticks": 144.928,
        "timed_resolution": 2300 / 145.928, "counted_resolution": 60 / 3.6, "edge_doubt": 0.1157826,
        "relative_doubt": 0.331321, "timing_doubt": 0.276101e-3, "timing_bias": 0.0, "relative_bias": 0.0,
    }  # fmt: skip
    for name, value in expected.items():
        assert found[name] == pytest.approx(value, rel=2e-5, abs=1e-12), name
    assert found["chance"] == pytest.approx(1.0)
    assert found["times_entry"]


def foretold(given: dict[str, Any], change: float = 0.0, seed: int = 11) -> np.ndarray:
    """Errors of the relative angle foretold [°], from edges with misplacement, jitter and whole ticks, one by one.

    `change` is the constant change of the speed difference [1/min/s], on the faster ring.
    """
    dice = np.random.default_rng(seed)
    between = 60.0 / (given["targets"] * given["speed"])
    span, horizon = max(given["over"] / 1000, between), given["lead"] / 1000 + between
    errors = []
    for acceleration in (6.0 * change, 0.0):
        rate, phase = 6.0 * given["speed"], dice.uniform(0, 1e-3, COUNT)
        spans = span * dice.uniform(1, 1.002, COUNT)  # so that no edge is bound to the tick of the other

        def angle(time: Any, rate: float = rate, acceleration: float = acceleration) -> Any:
            return rate * time + 0.5 * acceleration * time**2

        seen = []
        for true in (-spans, 0.0):
            place = dice.normal(0, given["misplacement"] / given["radius"] * 180 / np.pi, COUNT)
            late = place / rate + dice.normal(0, given["jitter"] * 1e-6, COUNT)
            ticked = (np.floor((true + late + phase) * given["clock"]) + 0.5) / given["clock"] - phase
            seen.append(ticked)
        told = angle(0.0) + (angle(0.0) - angle(-spans)) / (seen[1] - seen[0]) * (horizon - seen[1])
        errors.append(angle(horizon) - told)
    return errors[0] - errors[1]


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"jitter": 0.0, "misplacement": 0.0},
        {"clock": 1e7, "jitter": 0.0, "over": 0.0},
        {"clock": 1e7, "misplacement": 0.0, "lead": 0.0},
    ],
)
def test_edges_simulated_one_by_one_scatter_as_much(changed: dict[str, float]) -> None:
    """Timestamps with misplaced, jittering, ticked edges foretell the relative angle with the computed doubt.

    The tolerance is 3 %: the sampling of 40,000 is 0.35 % of a standard deviation, the rest is that a speed is a
    quotient.
    """
    given = {**HAND, **changed}
    found = SENSOR_WHEEL.compute(**given)
    assert np.std(foretold(given)) == pytest.approx(float(found["relative_doubt"]), rel=0.03)


def test_a_changing_speed_shifts_the_simulated_angle() -> None:
    """The mean error of the simulated angles is the computed bias, and without the change there is none."""
    found = SENSOR_WHEEL.compute(**HAND, acceleration=3000.0)
    assert np.mean(foretold(HAND, 3000.0)) == pytest.approx(float(found["relative_bias"]), rel=0.02)
    assert np.mean(foretold(HAND)) == pytest.approx(0.0, abs=5 * 0.33 / np.sqrt(COUNT))


def test_the_simulation_tells_a_wrong_doubt() -> None:
    """Planted: one edge's error alone, or one wheel's alone, is far off what the simulated edges scatter."""
    found = SENSOR_WHEEL.compute(**HAND)
    seen = np.std(foretold(HAND))
    assert abs(found["edge_doubt"] * np.sqrt(2) / seen - 1) > 0.3
    assert abs(found["relative_doubt"] / np.sqrt(2) / seen - 1) > 0.25


def test_the_chance_is_the_share_of_simulated_entries() -> None:
    """Foretold angles and a scattering actuator, counted: as many fall within the window as computed."""
    given = {**HAND, "window_time": 2.0}
    found = SENSOR_WHEEL.compute(**given, acceleration=2000.0, scatter=0.8)
    times = foretold(given, 2000.0) / (6 * 200.0) + np.random.default_rng(2).normal(0, 0.8e-3, COUNT)
    share = np.mean(np.abs(times) <= 1e-3)
    assert share == pytest.approx(float(found["chance"]), abs=4 * np.sqrt(0.25 / COUNT) + 0.005)
    assert not found["times_entry"]


@pytest.mark.parametrize("scatter", [0.1, 4.0, 12.0, 30.0, 300.0])
def test_entries_into_any_window_are_those_counted(scatter: float) -> None:
    """Errors of a normal, late by the bias, folded onto one pitch of 50 ms and counted within 5 ms about its middle."""
    given = {**HAND, "scatter": scatter, "acceleration": 40_000.0}
    found = SENSOR_WHEEL.compute(**given, pitch_time=50.0)
    errors = 1000 * np.random.default_rng(4).normal(found["timing_bias"], found["timing_doubt"], 400_000)
    folded = np.abs((errors + 25.0) % 50.0 - 25.0)
    assert found["chance"] == pytest.approx(np.mean(folded <= 2.5), abs=5 * np.sqrt(0.25 / 400_000))
    assert found["chance"] >= SENSOR_WHEEL.compute(**given)["chance"] - 1e-6


def test_windows_summed_by_a_general_library() -> None:
    """Over 81 windows with scipy's normal: bias, doubt and window of any size against the pitch, within 1e-6."""
    dice = np.random.default_rng(5)
    doubt, bias, window = dice.uniform(0.01, 3, 500), dice.uniform(-4, 4, 500), dice.uniform(0, 1, 500)
    middles = np.arange(-40, 41)[:, None]
    whole = np.sum(
        stats.norm.cdf((middles + window / 2 - bias) / doubt) - stats.norm.cdf((middles - window / 2 - bias) / doubt), 0
    )
    assert np.max(np.abs(share_within_any(window, 1.0, bias, doubt) - whole)) < 1e-6


def test_an_entry_that_is_not_aimed_has_the_share_of_the_window() -> None:
    """Scatter of many pitches: 5 ms in 50 are a tenth, where one window alone would have next to nothing."""
    given = {**HAND, "scatter": 2000.0}
    assert SENSOR_WHEEL.compute(**given, pitch_time=50.0)["chance"] == pytest.approx(0.1)
    assert SENSOR_WHEEL.compute(**given)["chance"] < 0.002


def test_the_normal_share_is_scipys() -> None:
    """Within 7.5e-8 over the whole line, as the source states."""
    at = np.linspace(-40, 40, 4001)
    assert np.max(np.abs(normal_share(at) - stats.norm.cdf(at))) < 8e-8
