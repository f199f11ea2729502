"""Torque headroom against cases by hand, energy and momentum, closed-form chances and a loop of plain Python."""

from __future__ import annotations

import random
from math import pi, sqrt

import numpy as np
import pandas as pd
import pytest
from scipy import integrate, stats

from ledger.calculators.binding import Upstream, bind
from ledger.calculators.drawing import Drawing
from ledger.calculators.running import run
from ledger.calculators.torque_headroom import TORQUE_HEADROOM
from ledger.entries.parts import Given
from ledger.mechanics.torque_path import inertia_torque, torque_path

COUNT = 40_000
DOGS = {"element": "dogs", "capacity": 900.0, "where": "before", "factor": 1.0}
SHAFT = {"element": "shaft", "capacity": 2000.0, "where": "after", "factor": 1.25}


def through_the_engine(elements: list[dict], **given: object) -> dict:
    """Bind and run as an entry does."""
    inputs = {name: Given(value=value, reason="stated") for name, value in given.items()}
    inputs["elements"] = Given(rows=elements, reason="stated")
    raw, _ = bind("calculations/try", TORQUE_HEADROOM, inputs, Upstream({}, {}, {}), Drawing(COUNT))
    return run("calculations/try", TORQUE_HEADROOM, raw)


def test_a_path_by_hand() -> None:
    """400 N·m and 200 of inertia are 600 before, 1200 after a ratio of 2; margins 900/600 - 1 and 2000/1500 - 1."""
    drop = 200 / 0.04 * 0.02 * 60 / (2 * pi)
    found = TORQUE_HEADROOM.compute(
        elements=[DOGS, SHAFT], torque=400.0, ratio=2.0, inertia=0.04, drop=drop, duration=0.02
    )
    assert found["change_torque"] == pytest.approx(600)
    assert found["after_torque"] == pytest.approx(1200)
    assert [row["margin [%]"] for row in found["elements"]] == pytest.approx([50, 100 / 3])
    assert found["least_margin"] == pytest.approx(1 / 3)
    assert found["held_torque"] == pytest.approx(2000 / 1.25 / 2)
    assert found["headroom"] == pytest.approx(800 - 600)
    assert found["weakest"].startswith("shaft, the weakest in all")
    assert found["every_element_holds"]


@pytest.mark.parametrize(
    ("slip", "kept", "steady", "change", "slips"),
    [
        (1e9, 1.0, 400, 923.6, False),
        (700, 1.0, 400, 700, True),
        (300, 1.0, 300, 300, True),
        (1e9, 0.0, 400, 523.6, False),
        (923.7, 1.0, 400, 923.6, False),
    ],
)
def test_the_clutch_caps_engine_and_inertia_together(
    slip: float, kept: float, steady: float, change: float, slips: bool
) -> None:
    """400 N·m of the engine and 523.6 of its inertia pass the clutch together; no more than the slip torque does."""
    found = TORQUE_HEADROOM.compute(
        elements=[DOGS], torque=400.0, inertia=0.04, drop=2500.0, duration=0.02, kept=kept, slip=slip
    )
    assert (found["steady_torque"], found["change_torque"]) == (steady, pytest.approx(change, abs=0.05))
    assert (bool(found["clutch_slips"]), bool(found["clutch_slips_steadily"])) == (slips, slip < 400)


def test_a_cut_engine_is_judged_by_its_steady_torque() -> None:
    """With the torque cut and nothing slowed, what the elements must hold is the torque outside the change."""
    found = TORQUE_HEADROOM.compute(elements=[DOGS], torque=400.0, kept=0.0)
    assert (found["change_torque"], found["peak_torque"]) == (0, 400)


def test_the_torque_of_a_slowed_inertia_takes_up_its_energy() -> None:
    """Power of the torque along an even fall of speed, integrated, is the loss of kinetic energy."""
    inertia, start, drop, duration = 0.05, 11_000.0, 3000.0, 0.03
    torque = inertia_torque(inertia, drop, duration)

    def power(time: float) -> float:
        return torque * (start - drop * time / duration) * 2 * pi / 60

    energy = inertia / 2 * ((start * 2 * pi / 60) ** 2 - ((start - drop) * 2 * pi / 60) ** 2)
    assert integrate.quad(power, 0, duration)[0] == pytest.approx(energy, rel=1e-9)


def test_the_chance_of_being_the_weakest_has_a_closed_form() -> None:
    """Two normal capacities at one place: the chance that the first is the lesser is Φ((μ2 - μ1)/√(σ1² + σ2²))."""
    rows = [
        {"element": "first", "capacity": "500 ± 40 N·m (k=1)", "where": "before"},
        {"element": "second", "capacity": "530 ± 30 N·m (k=1)", "where": "before"},
    ]
    found = through_the_engine(rows, torque="480 N·m")
    chance = stats.norm.cdf(30 / 50)
    assert found["elements"][0]["chance that it is the weakest [%]"] == pytest.approx(100 * chance, abs=1.2)  # 5 sigma
    assert found["weakest"].startswith("first, the weakest in 7")
    holds = stats.norm.sf(480, 500, 40) * stats.norm.sf(480, 530, 30)
    assert np.mean(found["every_element_holds"]) == pytest.approx(holds, abs=0.012)


def test_a_loop_of_plain_python_gives_the_same_margin() -> None:
    """Every input in doubt, one case at a time by another generator: same mean and spread of the least margin."""
    found = through_the_engine(
        [
            {"element": "dogs", "capacity": "900 ± 50 N·m (k=1)", "where": "before"},
            {"element": "shaft", "capacity": "1500..2500 N·m", "where": "after", "factor": "1.0..1.3"},
        ],
        power="540..570 kW",
        speed="12000 ± 200 rpm (k=1)",
        ratio="1.7..1.9",
        inertia="0.03..0.05 kg·m²",
        drop="2500 1/min",
        duration="15..25 ms",
        slip="800 ± 40 N·m (k=1)",
    )["least_margin"]
    dice, margins = random.Random(5), []
    for _ in range(COUNT):
        torque = dice.uniform(540, 570) * 1000 / (dice.gauss(12_000, 200) * 2 * pi / 60)
        slowed = dice.uniform(0.03, 0.05) * 2500 * 2 * pi / 60 / dice.uniform(0.015, 0.025)
        cap = dice.gauss(800, 40)
        peak = max(min(torque, cap), min(torque + slowed, cap))
        after = peak * dice.uniform(1.7, 1.9) * dice.uniform(1.0, 1.3)
        margins.append(min(dice.gauss(900, 50) / peak, dice.uniform(1500, 2500) / after) - 1)
    spread = float(np.std(margins))
    assert np.mean(found) == pytest.approx(np.mean(margins), abs=5 * spread * sqrt(2 / COUNT))
    assert np.std(found) == pytest.approx(spread, rel=0.03)


def test_a_table_of_pandas_gives_the_same_margins() -> None:
    """Column arithmetic over a table of elements, the ratio on the rows after it."""
    table = pd.DataFrame(
        {
            "element": ["clutch", "dogs", "shaft"],
            "capacity": [700.0, 900.0, 2000.0],
            "where": ["before", "before", "after"],
            "factor": [1.0, 1.5, 1.1],
        }
    )
    found = TORQUE_HEADROOM.compute(elements=table.to_dict(orient="records"), torque=450.0, ratio=2.2)
    margins = table.capacity / (table.factor * 450.0 * table["where"].map({"before": 1.0, "after": 2.2})) - 1
    assert [row["margin [%]"] / 100 for row in found["elements"]] == pytest.approx(margins.tolist())
    assert found["least_margin"] == pytest.approx(margins.min())
    assert found["weakest"].startswith(table.element[margins.idxmin()])


def test_elements_alike_share_being_the_weakest() -> None:
    """Two elements of the same margin are both named, and their shares add up to one."""
    rows = [dict(DOGS), {**DOGS, "element": "other dogs"}]
    found = torque_path(400.0, rows)
    assert [row["weakest"] for row in found["elements"]] == [0.5, 0.5]
    assert TORQUE_HEADROOM.compute(elements=rows, torque=400.0)["weakest"].startswith("dogs and other dogs alike")


def test_the_blow_of_the_dogs_adds_to_what_the_engine_still_gives() -> None:
    """Half of 500 N·m and a blow of 900 N·m are 1,150 N·m in the path, or the 1,000 at which the clutch slips."""
    elements = [{"element": "shaft", "capacity": 2300.0, "where": "before", "factor": 1.0}]
    free = torque_path(500.0, elements, kept=0.5, impact=900.0)
    assert (free["change_torque"], free["least_margin"]) == (1150.0, 1.0)
    assert torque_path(500.0, elements, kept=0.5, impact=900.0, slip=1000.0)["peak_torque"] == 1000.0
    with pytest.raises(ValueError, match="counted twice"):
        torque_path(500.0, elements, inertia=0.04, drop=2500.0, duration=0.02, impact=900.0)


def test_every_gear_has_its_weakest_element() -> None:
    """Shafts of 150 N·m before and 250 after the ratio, under 100 N·m: ratio 3 breaks the second, ratio 1 spares it."""
    elements = [
        {"element": "input", "capacity": 150.0, "where": "before", "factor": 1.0, "step": 1.0},
        {"element": "output", "capacity": 250.0, "where": "after", "factor": 1.0, "step": 1.0},
    ]
    gears = [{"gear": "1", "ratio": 3.0}, {"gear": "3", "ratio": 1.0}]
    found = TORQUE_HEADROOM.compute(elements=elements, torque=100.0, gears=gears)
    first, third = found["gears"]
    assert (first["weakest element"], third["weakest element"]) == ("output", "input")
    assert first["its margin [%]"] == pytest.approx(100 * (250 / 300 - 1))
    assert third["its margin [%]"] == pytest.approx(50)
    assert not found["every_gear_holds"]
    assert "gears" not in TORQUE_HEADROOM.compute(elements=elements, torque=100.0)


def test_a_further_ratio_on_the_way_turns_the_torque() -> None:
    """Behind a step-up of speed by 1.5 an element feels two thirds of the torque."""
    one = {"element": "shaft", "capacity": 200.0, "where": "before", "factor": 1.0, "step": 2 / 3}
    assert torque_path(300.0, [one])["least_margin"] == pytest.approx(0)
