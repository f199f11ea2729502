"""Dogs against a case by hand, entries simulated step by step, and a shaft twisted by a general solver."""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np
import pytest
from scipy import integrate

from ledger.calculators.binding import Upstream, bind
from ledger.calculators.dog_window import DOG_WINDOW
from ledger.calculators.drawing import Drawing
from ledger.calculators.running import run
from ledger.entries.parts import Given
from ledger.mechanics import dog_window as mechanics

STARTS = 3000
STEP = 2e-5
HAND = {"dogs": 6.0, "gap": 26.0, "dog": 11.0, "difference": 100.0, "axial_speed": 0.5, "depth": 5.0, "patience": 40.0}


def test_a_ring_by_hand() -> None:
    """Six gaps of 26° and dogs of 11° at 100 1/min, 5 mm at 0.5 m/s.

    600 °/s for 10 ms are 6°, so 9° of the 15° remain: 9/60 get in at once, (9 + 24)/60 within 40 ms. All are in after
    (60 − 9)/600 = 85 ms. Of 33° that get in, 9 have 4.5° of play left on average and 24 have 9°: 7.77°. They wait 12 ms
    on average for 24 in 33.
    """
    found = DOG_WINDOW.compute(**HAND)
    expected = {
        "pitch": 60, "clearance": 15, "entry_time": 0.010, "window": 9, "window_time": 0.015, "chance_at_once": 9 / 60,
        "chance": 33 / 60, "greatest_difference": 250, "longest_wait": 0.085, "half_wait": 0.035, "most_wait": 0.080,
        "play": (9 * 4.5 + 24 * 9) / 33, "greatest_play": 9, "greatest_play_time": 0.015,
        "mean_wait": 24 / 33 * 0.020, "time_to_torque": 24 / 33 * 0.020 + 0.010 + (9 * 4.5 + 24 * 9) / 33 / 600,
    }  # fmt: skip
    for name, value in expected.items():
        assert found[name] == pytest.approx(value, rel=1e-12), name
    assert found["enters"]


def entries(given: dict[str, float], seed: int = 3) -> dict[str, np.ndarray]:
    """Simulate entries with nothing but geometry, step by step.

    A dog stands off the faces for as long as it overlaps another; over a gap it goes in at the axial speed; when the
    flank comes up before the depth is reached it is thrown back. Given are when each entry that succeeded began, and
    how much play was left at the depth.
    """
    pitch, clearance = 360.0 / given["dogs"], given["gap"] - given["dog"]
    rate, patience = 6.0 * given["difference"], given["patience"] / 1000.0
    depth, speed = given["depth"] / 1000.0, given["axial_speed"]
    angle = np.random.default_rng(seed).uniform(0.0, pitch, STARTS)
    reached, began = np.zeros(STARTS), np.full(STARTS, np.nan)
    start, play, done = np.full(STARTS, np.nan), np.full(STARTS, np.nan), np.zeros(STARTS, dtype=bool)
    time = 0.0
    while time <= patience + depth / speed + 2 * STEP:
        free = angle < clearance
        begins = free & (reached == 0) & ~done & (time <= patience + STEP / 2)
        start[begins] = time
        going = begins | (free & (reached > 0) & ~done)
        reached = np.where(going, reached + speed * STEP, np.where(done, reached, 0.0))
        inside = going & (reached >= depth)
        began[inside], done = start[inside], done | inside
        angle = angle + rate * STEP
        play[inside] = clearance - angle[inside]
        angle = np.where(angle >= pitch, angle - pitch, angle)
        time += STEP
    return {"done": done, "began": began[done], "play": play[done]}


CASES = [
    HAND,
    {**HAND, "difference": 0.0},
    {**HAND, "difference": 4.0, "patience": 80.0},
    {**HAND, "difference": 20.0, "patience": 80.0},
    {**HAND, "difference": 200.0},
    {**HAND, "difference": 245.0, "patience": 15.0},
    {**HAND, "difference": 255.0},
    {**HAND, "dogs": 3.0, "gap": 70.0, "dog": 45.0, "difference": 150.0, "patience": 25.0},
    {**HAND, "patience": 0.0},
]


@pytest.mark.parametrize("given", CASES)
def test_simulated_entries_agree(given: dict[str, float]) -> None:
    """Chance, mean wait and mean play are those of entries simulated step by step, from standstill to beyond the limit.

    The tolerance is four standard deviations of the number of starts, and two steps of the simulation.
    """
    found, seen = DOG_WINDOW.compute(**given), entries(given)
    chance, step = float(found["chance"]), 6.0 * given["difference"] * STEP / found["pitch"]
    spread = np.sqrt(max(chance * (1 - chance), 1 / STARTS) / STARTS)
    assert np.mean(seen["done"]) == pytest.approx(chance, abs=4 * spread + 2 * step)
    if chance > 0:
        count = np.sqrt(len(seen["began"]))
        waits, plays = seen["began"], seen["play"]
        assert np.mean(waits) == pytest.approx(float(found["mean_wait"]), abs=4 * np.std(waits) / count + 3 * STEP)
        assert np.mean(plays) == pytest.approx(float(found["play"]), abs=4 * np.std(plays) / count + 3 * step * 60)
        assert np.max(plays) <= float(found["greatest_play"]) + 3 * step * 60 + 1e-9


def test_the_distribution_of_waits_is_that_of_simulated_entries() -> None:
    """A share of all entries has begun by the time stated for it: half, and 95 of 100, with patience for all."""
    given = {**HAND, "patience": 90.0}
    found, waits = DOG_WINDOW.compute(**given), entries(given)["began"]
    assert len(waits) == STARTS
    assert np.quantile(waits, 0.5) == pytest.approx(float(found["half_wait"]), abs=0.003)
    assert np.quantile(waits, 0.95) == pytest.approx(float(found["most_wait"]), abs=0.003)
    assert np.max(waits) == pytest.approx(float(found["longest_wait"]), abs=0.001)


@pytest.mark.parametrize(
    ("slip", "given"),
    [
        (lambda w, r, t, p: min(1.0, w / p), HAND),  # blind to patience: falls with the speed difference throughout
        (lambda w, r, t, p: min(1.0, (w + 6 * r * t) / p), HAND),  # 1/min taken twice
        (lambda w, r, t, p: min(1.0, (w + 11.0 + r * t) / p), HAND),  # the gap not lessened by the dog
    ],
)
def test_the_simulation_tells_a_wrong_formula(slip: Any, given: dict[str, float]) -> None:
    """Planted slips lie further off the simulated share than its tolerance, so the agreement above means something."""
    found = DOG_WINDOW.compute(**given)
    wrong = slip(float(found["window"]), 6.0 * given["difference"], given["patience"] / 1000, float(found["pitch"]))
    assert abs(np.mean(entries(given)["done"]) - wrong) > 4 * np.sqrt(0.25 / STARTS) + 0.01


def test_the_best_speed_difference_is_that_of_a_search() -> None:
    """A fine grid of speed differences finds the same greatest chance: where it is sure, where not, and at rest.

    Where it is at the close of the window, a thousandth inside it.
    """
    for patience in (120.0, 30.0, 12.0, 5.0):
        grid = np.linspace(0, 260, 26_001)
        chances = DOG_WINDOW.compute(**{**HAND, "difference": grid, "patience": patience})["chance"]
        found = DOG_WINDOW.compute(**{**HAND, "patience": patience})
        assert np.max(chances) == pytest.approx(float(found["best_chance"]), abs=8e-4), patience
        assert grid[np.argmax(chances)] == pytest.approx(float(found["best_difference"]), abs=0.26), patience


def test_a_window_that_just_closes_is_closed() -> None:
    """4 mm at 0.8 m/s are 5 ms, in which 400 1/min take up the 12° of clearance: none gets in, a little slower 0.40 do.

    Rounding alone would leave 1.8e-15° or so of a window at some of such speeds.
    """
    given = {**HAND, "gap": 24.0, "dog": 12.0, "axial_speed": 0.8, "depth": 4.0, "patience": 10.0}
    found = DOG_WINDOW.compute(**given)
    assert found["greatest_difference"] == pytest.approx(400)
    assert found["best_difference"] == pytest.approx(399.6)
    for difference in (400.0, float(found["greatest_difference"]), 400.0 * (1 - 1e-15), 400.0 * (1 + 1e-15)):
        shut = DOG_WINDOW.compute(**{**given, "difference": difference})
        assert (float(shut["window"]), float(shut["chance"]), bool(shut["enters"])) == (0, 0, False)
    had = DOG_WINDOW.compute(**{**given, "difference": float(found["best_difference"])})
    assert had["chance"] == pytest.approx(float(found["best_chance"]))
    assert had["chance"] == pytest.approx(0.40, abs=0.001)


def test_windows_come_round_with_the_pitch() -> None:
    """60° at 600 °/s: a window every 100 ms."""
    assert DOG_WINDOW.compute(**HAND)["pitch_time"] == pytest.approx(0.100)


def swung(torque: float) -> tuple[float, float]:
    """Greatest torque of a shaft between two inertias that meet under a driving torque, integrated; and its time."""
    first, second, stiffness, difference = 5.0, 40.0, 30_000.0, 120.0

    def motion(_: float, state: np.ndarray) -> list[float]:
        twist = stiffness * (state[0] - state[1])
        return [state[2], state[3], (torque - twist) / first, twist / second]

    turning = 800 * pi / 30
    begin = [0.0, 0.0, turning + difference * pi / 30, turning]
    times = np.linspace(0, 0.08, 8001)
    path = integrate.solve_ivp(motion, (0, 0.08), begin, t_eval=times, rtol=1e-9, atol=1e-11)
    twists = stiffness * (path.y[0] - path.y[1])
    return float(np.max(twists)), float(times[np.argmax(twists)])


@pytest.mark.parametrize("torque", [0.0, 800.0, 3000.0])
def test_the_blow_is_that_of_a_solver(torque: float) -> None:
    """Two inertias and a spring, integrated: the same greatest torque, undriven and driven; more than a plain sum.

    A driving torque that comes on with the blow adds more than itself.
    """
    found = DOG_WINDOW.compute(
        **{**HAND, "difference": 120.0}, inertia=5.0, other_inertia=40.0, stiffness=30_000.0, speed=800.0, torque=torque
    )
    peak, time = swung(torque)
    assert found["peak_torque"] == pytest.approx(peak, rel=1e-5)
    assert found["peak_torque"] >= found["impact"] + torque * 40 / 45 - 1e-6
    if torque == 0:
        assert found["blow_time"] == pytest.approx(time, abs=2e-5)
    assert found["common_speed"] == pytest.approx((5 * 920 + 40 * 800) / 45)


def test_energy_is_kept() -> None:
    """What the blow loses is the kinetic energy before less that after, and is what the twisted shaft holds."""
    found = DOG_WINDOW.compute(**HAND, inertia=3.0, other_inertia=7.0, stiffness=20_000.0, speed=500.0)
    before = 0.5 * (3 * (600 * pi / 30) ** 2 + 7 * (500 * pi / 30) ** 2)
    after = 0.5 * 10 * (found["common_speed"] * pi / 30) ** 2
    assert found["energy_lost"] == pytest.approx(before - after, rel=1e-9)
    assert found["impact"] ** 2 / (2 * 20_000) == pytest.approx(before - after, rel=1e-9)


def test_draws_through_the_engine_are_a_loop_of_plain_python() -> None:
    """Uncertain gap, speed difference and depth, drawn by another generator and computed one at a time: same chance."""
    stated = {
        "dogs": "6", "gap": "24..28 °", "dog": "10..12 °", "difference": "100..300 1/min", "axial_speed": "0.6..1 m/s",
        "depth": "4..6 mm", "patience": "20 ms",
    }  # fmt: skip
    given = {name: Given(value=value, reason="stated") for name, value in stated.items()}
    raw, _ = bind("calculations/try", DOG_WINDOW, given, Upstream({}, {}, {}), Drawing(20_000))
    found = run("calculations/try", DOG_WINDOW, raw)["chance"]
    dice, chances = np.random.default_rng(9), []
    for _ in range(20_000):
        gap, dog, rate, speed, depth = dice.uniform([24, 10, 600, 0.6, 4], [28, 12, 1800, 1, 6]).tolist()
        opening = gap - dog - rate * depth / 1000 / speed
        chances.append(min(1.0, (opening + rate * 0.02) / 60) if opening > 0 else 0.0)
    assert np.mean(found) == pytest.approx(np.mean(chances), abs=5 * np.std(chances) * np.sqrt(2 / 20_000))
    assert np.std(found) == pytest.approx(np.std(chances), rel=0.03)


def test_curves_end_where_the_numbers_say() -> None:
    """The drawn chance is the computed one at the stated speed difference, and drops to nothing at the limit."""
    found = DOG_WINDOW.compute(**HAND)
    drawn = [(row["x"], row["y"]) for row in found["by_difference"] if row["series"] == "with the patience stated"]
    xs, ys = map(np.array, zip(*drawn, strict=True))
    assert np.interp(100.0, xs, ys) == pytest.approx(100 * float(found["chance"]), abs=0.5)
    assert ys[xs < 250 * (1 - 1e-8)].min() > 0 == ys[xs > 250].max()
    times = [(row["x"], row["y"]) for row in found["by_time"]]
    assert times[0] == (0.0, 0.0)
    assert times[-1][1] == pytest.approx(100 * float(mechanics.chance_of_entry(9, 600, times[-1][0] / 1000 - 0.01, 60)))
