"""Axial length and torque headroom as entries give them: what comes back, and what is refused."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ledger.calculators.axial_length import AXIAL_LENGTH
from ledger.calculators.bench import Bench
from ledger.calculators.binding import Upstream, bind
from ledger.calculators.contract import Calculator
from ledger.calculators.drawing import Drawing
from ledger.calculators.running import outcomes, run
from ledger.calculators.sweeping import result
from ledger.calculators.torque_headroom import TORQUE_HEADROOM
from ledger.entries.models import Calculation
from ledger.entries.parts import Given
from ledger.errors import CalculationRefused
from ledger.mechanics.axial_length import axial_length
from ledger.mechanics.permitted import outside
from ledger.mechanics.torque_path import PERMITTED, engine_torque, inertia_torque, torque_path
from ledger.quantities.notation import parse
from tests.stacks import part

ROOT = Path(__file__).parents[2]
DOGS = {"element": "dogs", "capacity": "900 ± 50 N·m", "where": "before"}
RING = {"part": "ring", "length": "20 +0/-0.05 mm"}


def through_the_engine(calculator: Calculator, given: dict[str, Any], upstream: Upstream | None = None) -> dict:
    """Bind and run as a calculation entry does; lists are rows."""
    inputs = {
        name: value
        if isinstance(value, Given)
        else Given(rows=value, reason="stated")
        if isinstance(value, list)
        else Given(value=value, reason="stated")
        for name, value in given.items()
    }
    raw, _ = bind("calculations/try", calculator, inputs, upstream or Upstream({}, {}, {}), Drawing(1000))
    return {one.name: one for one in outcomes(calculator, run("calculations/try", calculator, raw))}


def test_limits_of_a_drawing_reach_the_worst_case_as_written() -> None:
    """`20 +0/-0.05 mm` keeps its nominal and its ends; the draws lie between; other units are converted."""
    found = through_the_engine(AXIAL_LENGTH, {"layout": [RING, {"part": "wall", "length": "1 ± 0.02 cm"}]})
    values = {name: found[name].summary.estimate for name in ("nominal", "least", "greatest", "middle")}
    assert values == pytest.approx({"nominal": 30, "least": 29.75, "greatest": 30.2, "middle": 29.975})
    assert 29.75 < found["length"].summary.low < found["length"].summary.high < 30.2


def test_every_declared_output_of_an_axial_length_comes_back() -> None:
    """With another layout there are three rows of bounds, without one a single row and nothing about what is saved."""
    sleeve = {"part": "sleeve", "length": "15..20 mm"}
    both = through_the_engine(AXIAL_LENGTH, {"layout": [RING], "other": [RING, sleeve]})
    alone = through_the_engine(AXIAL_LENGTH, {"layout": [RING]})
    assert set(both) == {output.name for output in AXIAL_LENGTH.outputs}
    assert set(both) - set(alone) == {output.name for output in AXIAL_LENGTH.outputs if output.optional}
    assert [row["length of"] for row in both["layouts"].value] == ["this layout", "the other layout", "saved"]
    assert [row["length of"] for row in alone["layouts"].value] == ["this layout"]
    assert both["verdict"].value == "This layout is 17.5 mm shorter than the other; in the worst case 15.0 to 20.0 mm."


def test_the_words_tell_longer_from_shorter() -> None:
    """A layout with a part more is longer; the same layout is of the same length."""
    wall = {"part": "wall", "length": "4..6 mm"}
    longer = through_the_engine(AXIAL_LENGTH, {"layout": [RING, wall], "other": [RING]})
    assert longer["verdict"].value.endswith("mm longer than the other; in the worst case 4.0 to 6.0 mm.")
    same = through_the_engine(AXIAL_LENGTH, {"layout": [RING], "other": [RING]})
    assert same["verdict"].value == "Both layouts are of the same length."


def test_the_same_entry_gives_the_same_digits() -> None:
    """Draws are seeded: run twice, every outcome is equal."""
    given = {"layout": [{"part": "gear", "length": "12..13 mm", "quantity": 8}]}
    assert through_the_engine(AXIAL_LENGTH, given) == through_the_engine(AXIAL_LENGTH, given)


def test_every_declared_output_of_a_torque_headroom_comes_back() -> None:
    """Units are converted on the way in, the margin is shown in percent, elements are summed up cell by cell."""
    given = {"elements": [DOGS], "power": "750 hp", "speed": "12000 rpm", "ratio": 2, "duration": "20 ms"}
    found = through_the_engine(TORQUE_HEADROOM, {**given, "inertia": "40000 kg·mm²", "drop": "2500 rpm"})
    assert set(found) == {output.name for output in TORQUE_HEADROOM.outputs if not output.optional}
    assert found["engine_torque"].summary.estimate == pytest.approx(445.05, abs=0.01)  # 559,275 W over 1256.637 rad/s
    assert found["inertia_torque"].summary.estimate == pytest.approx(523.6, abs=0.05)
    assert found["least_margin"].unit == "%"
    assert found["least_margin"].summary.estimate == pytest.approx(100 * (900 / 968.64 - 1), abs=1)
    row = found["elements"].value[0]
    assert row["holds [N·m]"].estimate == pytest.approx(900, abs=5)
    assert row["chance that it is the weakest [%]"] == 100.0
    assert found["weakest"].value == "dogs, the weakest in all draws."


def test_a_measured_torque_takes_the_place_of_power_and_speed() -> None:
    """A measurement in the ledger can be bound where the engine's torque is known."""
    upstream = Upstream({"measurements/torque": parse("2950..3100 N·m")}, {}, {})
    given = {"elements": [{**DOGS, "capacity": "4000 N·m"}]}
    measured = Given(measurement="measurements/torque", reason="the rules limit it")
    found = through_the_engine(TORQUE_HEADROOM, {**given, "torque": measured}, upstream)
    assert found["engine_torque"].summary.estimate == pytest.approx(3025, abs=10)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"power": "500 kW", "speed": "0 rpm"}, "Speed: 0 given; permitted from 1"),
        ({"power": "0 kW", "speed": "9000 rpm"}, "Power: 0 given"),
        ({"power": "500 kW", "speed": "-9000 rpm"}, "outside what is permitted"),
        ({"power": "500 kW", "speed": "9000 rpm", "torque": "500 N·m"}, "not both"),
        ({}, "Nothing drives the path"),
        ({"torque": "500 N·m", "inertia": "0.04 kg·m²", "drop": "2500 rpm"}, "Time of the drop: 0 given"),
        ({"torque": "500 N·m", "kept": 1.2}, "outside what is permitted"),
        ({"torque": "500 N·m", "ratio": 0}, "outside what is permitted"),
        ({"torque": "500 N·m", "slip": "0 N·m"}, "outside what is permitted"),
        ({"torque": "500 kg"}, "torque"),
    ],
)
def test_impossible_torques_are_refused_in_words(given: dict, said: str) -> None:
    """Standing engines, two statements of one torque, drops in no time, wrong units: refused, and it is said why."""
    with pytest.raises(CalculationRefused, match=said):
        through_the_engine(TORQUE_HEADROOM, {"elements": [DOGS], **given})


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([DOGS, DOGS], "dogs stands in 2 rows"),
        ([{**DOGS, "element": " "}], "An element has no name"),
        ([{**DOGS, "capacity": "0 N·m"}], "outside what is permitted"),
        ([{**DOGS, "where": "beside"}], "expected one of before, after"),
        ([{**DOGS, "factor": -1}], "outside what is permitted"),
        ([], "needs 1 row or more"),
    ],
)
def test_impossible_elements_are_refused_in_words(rows: list, said: str) -> None:
    """Elements twice or without name, capacity or place."""
    with pytest.raises(CalculationRefused, match=said):
        through_the_engine(TORQUE_HEADROOM, {"elements": rows, "torque": "400 N·m"})


@pytest.mark.parametrize(
    ("layout", "other", "said"),
    [
        ([RING, RING], None, "ring stands in 2 rows of the layout"),
        ([{**RING, "part": ""}], None, "A part of the layout has no name"),
        ([RING], [{**RING, "length": "21 mm"}], "ring differs between the layouts"),
        ([RING], [{**RING, "varies": "all alike"}], "ring differs between the layouts"),
        ([{**RING, "quantity": -1}], None, "outside what is permitted"),
        ([{**RING, "quantity": 1.5}], None, "must be a whole number"),
        ([{**RING, "length": "-2 mm"}], None, "outside what is permitted"),
        ([{**RING, "length": "2 kg"}], None, "length"),
        ([{**RING, "direction": "up"}], None, "expected one of adds, takes away"),
    ],
)
def test_impossible_stacks_are_refused_in_words(layout: list, other: list | None, said: str) -> None:
    """Parts twice, without name, of two lengths in two layouts, of negative size or number."""
    with pytest.raises(CalculationRefused, match=said):
        through_the_engine(AXIAL_LENGTH, {"layout": layout, **({"other": other} if other else {})})


def test_parts_of_one_name_and_other_sizes_are_told_apart_on_request() -> None:
    """With `shared` set to false, two layouts may use one name for different parts."""
    given = {"layout": [RING], "other": [{**RING, "length": "21 mm"}], "shared": False}
    assert through_the_engine(AXIAL_LENGTH, given)["saved"].summary.estimate == pytest.approx(1.025, abs=0.01)


def test_formulas_name_every_fault_at_once() -> None:
    """Called directly, without the declaration before them, the formulas refuse in one sentence after another."""
    element = {"element": "", "capacity": -1.0, "where": "there", "factor": 0.0}
    with pytest.raises(ValueError, match="Torque of the engine") as refused:
        torque_path(
            0.0, [element], ratio=-1.0, inertia=1.0, drop=1.0, duration=0.0, kept=2.0, slip=float("inf")
        )  # fmt: skip
    whole = ("Ratio:", "Share of the torque kept", "clutch slips", "Time of the drop")
    for said in (*whole, "no name", "Capacity", "factor", "'there'"):
        assert said in str(refused.value)
    wrong = part("a", 5.0, 1.0, quantity=2.5, direction="up", varies="somehow")
    wrong["length"].update(low=7.0, draws=float("nan"))
    with pytest.raises(ValueError, match="must be whole") as refused:
        axial_length([wrong], [part("b", 20_000.0)])
    for said in ("lower limit is above", "Length of a part", "'up'", "'somehow'", "b of the other layout"):
        assert said in str(refused.value)
    with pytest.raises(ValueError, match="no part"):
        axial_length([])


@pytest.mark.parametrize("value", [0.0, -1.0, np.nan, np.inf, np.array([5.0, np.nan]), np.array([5.0, 0.0])])
def test_zero_negative_endless_and_missing_values_are_refused(value: Any) -> None:
    """No power, speed or time that a formula could turn into a NaN or an endless number passes, as float or draw."""
    with pytest.raises(ValueError, match="Power"):
        engine_torque(value, 1000.0)
    with pytest.raises(ValueError, match="Speed"):
        engine_torque(100.0, value)
    with pytest.raises(ValueError, match="Time of the drop"):
        inertia_torque(0.04, 2500.0, value)


@pytest.mark.parametrize("name", sorted(PERMITTED))
def test_both_ends_of_a_permitted_range_are_permitted(name: str) -> None:
    """The ends pass, a little beyond does not."""
    _, _, least, greatest = PERMITTED[name]
    assert outside(PERMITTED[name], least) == outside(PERMITTED[name], greatest) == ""
    assert outside(PERMITTED[name], greatest * 1.001) != ""
    assert outside(PERMITTED[name], least - 1e-6) != ""


def test_the_extremes_of_all_permitted_ranges_give_finite_numbers() -> None:
    """The least load on the strongest element and the greatest on the weakest: large numbers, but numbers."""
    ends = {name: (least, greatest) for name, (_, _, least, greatest) in PERMITTED.items()}
    for small in (0, 1):
        path = {name: ends[name][small] for name in ("power", "ratio", "inertia", "drop", "kept", "slip")}
        path |= {name: ends[name][1 - small] for name in ("speed", "duration")}
        element = {"element": "e", "where": "after", "factor": ends["factor"][small]}
        element["capacity"] = ends["capacity"][1 - small]
        found = TORQUE_HEADROOM.compute(elements=[element], **path)
        assert all(np.isfinite(found[one.name]) for one in TORQUE_HEADROOM.outputs if one.form == "number")


def test_the_formulas_run_without_numpy() -> None:
    """In a bare interpreter, as in a browser, floats give the same numbers."""
    code = (
        f"import sys; sys.path.insert(0, {str(ROOT)!r})\n"
        "from ledger.mechanics.axial_length import axial_length\n"
        "from ledger.mechanics.torque_path import engine_torque, torque_path\n"
        "length = {'low': 1.9, 'high': 2.1, 'nominal': 2.0, 'draws': 2.05}\n"
        "part = {'part': 'a', 'quantity': 4, 'direction': 'adds', 'varies': 'piece by piece', 'length': length}\n"
        "stack = axial_length([part], [dict(part, quantity=6)])\n"
        "element = {'element': 'e', 'capacity': 900.0, 'where': 'after', 'factor': 1.5}\n"
        "path = torque_path(engine_torque(500.0, 9000.0), [element], 2.0, 0.04, 2500.0, 0.02, 1.0, 700.0)\n"
        "print('numpy' in sys.modules, stack['length'], stack['saved'])\n"
        "print(stack['bounds']['half_width'], path['least_margin'])"
    )
    done = subprocess.run([sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True, check=True)
    loaded, *values = done.stdout.split()
    assert loaded == "False"
    assert [float(value) for value in values] == pytest.approx([8.2, 4.1, 0.2, 900 / (1.5 * 2 * 700) - 1])


@pytest.mark.parametrize("calculator", [AXIAL_LENGTH, TORQUE_HEADROOM], ids=lambda one: one.name)
def test_the_declaration_says_what_a_reader_needs(calculator: Calculator) -> None:
    """Sources, assumptions and cautions are there, names are given once, and every unit is one the ledger knows."""
    assert calculator.sources
    assert calculator.assumptions
    assert any("carries people" in line for line in calculator.cautions)
    for named in (calculator.inputs, calculator.outputs):
        assert len({one.name for one in named}) == len({one.label for one in named}) == len(named)
    for output in calculator.outputs:
        parse(f"1 {output.unit}").to(output.shown or output.unit)


def test_a_criterion_on_what_was_not_compared_is_refused() -> None:
    """A limit on the length saved, without another layout, is refused in words and never counts as kept or broken."""
    entry = Calculation.model_validate(
        {
            "kind": "calculation",
            "title": "t",
            "calculator": "axial-length",
            "inputs": {"layout": {"rows": [RING], "reason": "for the test"}},
            "criteria": [{"output": "saved", "at-least": "1 mm"}],
        }
    )
    with pytest.raises(CalculationRefused, match="do not ask for"):
        result(Bench({"axial-length": AXIAL_LENGTH}, {"calculations/t": entry}, {}), "calculations/t")
