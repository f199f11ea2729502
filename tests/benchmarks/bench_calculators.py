"""100,000 draws of every vectorised calculator in one call, beside one draw at a time, and beside numpy by hand.

Run by name: `pytest tests/benchmarks/bench_calculators.py -o addopts=`. One at a time is measured on 200 draws; times
500 it is what 100,000 would take.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from ledger.calculators.binding import Upstream, bind
from ledger.calculators.drawing import Drawing
from ledger.calculators.register import CALCULATORS, REGISTER
from tests.properties.test_every_calculator import at, given

DRAWS, FEW = 100_000, 200
VECTORISED = [calculator for calculator in CALCULATORS if calculator.vectorised]


def raw_of(name: str, count: int) -> dict[str, Any]:
    """The example's inputs, drawn."""
    calculator = REGISTER[name]
    return bind("calculations/bench", calculator, given(calculator), Upstream({}, {}, {}), Drawing(count))[0]


@pytest.mark.parametrize("name", [calculator.name for calculator in VECTORISED])
def test_together(benchmark: Any, name: str) -> None:
    """100,000 draws in one call."""
    benchmark.group = name
    raw = raw_of(name, DRAWS)
    benchmark.pedantic(lambda: REGISTER[name].compute(**raw), rounds=3)


@pytest.mark.parametrize("name", [calculator.name for calculator in VECTORISED])
def test_one_at_a_time(benchmark: Any, name: str) -> None:
    """200 draws, one call each: a five-hundredth of the same work."""
    benchmark.group = name
    raw = raw_of(name, FEW)
    each = [{key: at(value, place) for key, value in raw.items()} for place in range(FEW)]
    benchmark.pedantic(lambda: [REGISTER[name].compute(**one) for one in each], rounds=1)


def test_bare_torque(benchmark: Any) -> None:
    """The torque path's formula on the same draws, written by hand in numpy."""
    benchmark.group = "torque-headroom"
    raw = raw_of("torque-headroom", DRAWS)

    def bare() -> Any:
        torque = 60_000 * raw["power"] / (2 * np.pi * raw["speed"])
        slowed = raw["inertia"] * raw["drop"] * (2 * np.pi / 60) / raw["duration"]
        asked = raw["kept"] * torque + slowed
        peak = np.maximum(np.minimum(torque, raw["slip"]), np.minimum(asked, raw["slip"]))
        first, second = raw["elements"]
        one = first["capacity"] / (first["factor"] * peak) - 1
        two = second["capacity"] / (second["factor"] * raw["ratio"] * peak) - 1
        least = np.minimum(one, two)
        held = np.minimum(first["capacity"] / first["factor"], second["capacity"] / (second["factor"] * raw["ratio"]))
        ties = (one == least) * 1.0 + (two == least) * 1.0
        shares = (one == least) / ties, (two == least) / ties
        loads = first["factor"] * peak, second["factor"] * raw["ratio"] * peak
        return (
            least >= 0,
            held,
            held - peak,
            asked > raw["slip"],
            torque > raw["slip"],
            shares,
            loads,
            raw["ratio"] * peak,
        )

    benchmark.pedantic(bare, rounds=3)


def test_bare_window(benchmark: Any) -> None:
    """The window of the dogs and the chance to enter, by hand in numpy: a part of what the calculator gives."""
    benchmark.group = "dog-window"
    raw = raw_of("dog-window", DRAWS)

    def bare() -> Any:
        pitch = 2 * np.pi / raw["dogs"]
        turning = raw["difference"] * 2 * np.pi / 60
        clear = np.radians(raw["gap"] - raw["dog"])
        window = clear - turning * raw["depth"] / 1000 / raw["axial_speed"]
        return np.where(window > 0, np.minimum(1, (window + turning * raw["patience"] / 1000) / pitch), 0)

    benchmark.pedantic(bare, rounds=3)
