"""What holds for every stack and every torque path."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.calculators.axial_length import AXIAL_LENGTH
from ledger.calculators.torque_headroom import TORQUE_HEADROOM
from ledger.mechanics.torque_path import engine_torque
from tests.stacks import part

WAYS = st.sampled_from(["adds", "takes away"])
VARIES = st.sampled_from(["piece by piece", "all alike"])
TINY = 1e-9


@st.composite
def stacks(draw: st.DrawFn, names: str = "abcde", count: int = 300, plus: float = 3.0) -> list[dict[str, Any]]:
    """A few parts, each with draws within its limits."""
    generator = np.random.default_rng(draw(st.integers(0, 2**32)))
    parts = []
    for name in names[: draw(st.integers(1, len(names)))]:
        nominal, up, down = draw(st.floats(4, 60)), draw(st.floats(0, plus)), draw(st.floats(0, plus))
        parts.append(
            part(
                name, nominal, up, down,
                draws=generator.uniform(nominal - down, nominal + up, count),
                quantity=float(draw(st.integers(0, 6))), direction=draw(WAYS), varies=draw(VARIES),
            )
        )  # fmt: skip
    return parts


def numbers(outputs: dict[str, Any], calculator: Any) -> dict[str, Any]:
    """The outputs that are numbers or truths."""
    return {
        one.name: outputs[one.name]
        for one in calculator.outputs
        if one.form in ("number", "truth") and one.name in outputs
    }


def at(value: Any, place: int) -> Any:
    """One draw of an input, cells of tables included."""
    if isinstance(value, np.ndarray):
        return float(value[place])
    if isinstance(value, dict):
        return {key: at(cell, place) for key, cell in value.items()}
    return [at(row, place) for row in value] if isinstance(value, list) else value


@given(stacks(), stacks("abxy"), st.booleans())
@settings(deadline=None, max_examples=60)
def test_lengths_lie_within_the_worst_case(layout: list, other: list, renamed: bool) -> None:
    """Every draw of either layout and of what is saved lies between its bounds, shared parts or not."""
    if renamed:
        other = [{**one, "part": f"other {one['part']}"} for one in other]
        found = AXIAL_LENGTH.compute(layout=layout, other=other)
    else:
        found = AXIAL_LENGTH.compute(layout=layout, other=other, shared=False)
    for name, least, greatest in (("length", "least", "greatest"), ("saved", "saved_least", "saved_greatest")):
        assert np.all(found[name] >= found[least] - TINY)
        assert np.all(found[name] <= found[greatest] + TINY)


@given(stacks(), st.integers(0, 6), WAYS)
@settings(deadline=None, max_examples=60)
def test_what_shared_parts_save_lies_within_the_worst_case(layout: list, quantity: int, way: str) -> None:
    """Parts of both layouts, in other numbers and other directions: still no draw passes the bounds."""
    other = [{**one, "quantity": float(quantity), "direction": way} for one in layout]
    found = AXIAL_LENGTH.compute(layout=layout, other=other)
    assert np.all(found["saved"] >= found["saved_least"] - TINY)
    assert np.all(found["saved"] <= found["saved_greatest"] + TINY)


@given(stacks())
@settings(deadline=None, max_examples=60)
def test_the_root_sum_square_lies_within_the_worst_case(layout: list) -> None:
    """It never exceeds the worst case, and equals it for a single piece."""
    found = AXIAL_LENGTH.compute(layout=layout)
    half = (found["greatest"] - found["least"]) / 2
    assert found["half_width"] <= half + TINY
    single = AXIAL_LENGTH.compute(layout=[{**layout[0], "quantity": 1.0}])
    assert single["half_width"] == pytest.approx((single["greatest"] - single["least"]) / 2, abs=TINY)


@given(stacks(plus=0.0))
@settings(deadline=None, max_examples=40)
def test_without_tolerance_everything_agrees(layout: list) -> None:
    """Exact parts: worst case, root sum square, nominal and draws are one number, and no part has a share of doubt."""
    found = AXIAL_LENGTH.compute(layout=layout)
    for name in ("least", "greatest", "middle"):
        assert found[name] == pytest.approx(found["nominal"], abs=TINY)
    assert found["half_width"] == 0
    assert np.allclose(found["length"], found["nominal"], atol=TINY)
    assert {row["share of the sum of squares [%]"] for row in found["parts"]} == {0.0}


@given(stacks())
@settings(deadline=None, max_examples=40)
def test_a_layout_saves_nothing_against_itself(layout: list) -> None:
    """Saved is exactly nothing, without any doubt, in draws and in bounds."""
    found = AXIAL_LENGTH.compute(layout=layout, other=layout)
    assert np.all(found["saved"] == 0)
    assert all(found[name] == 0 for name in ("saved_least", "saved_greatest", "saved_middle", "saved_half_width"))


@given(stacks(), stacks("vwxyz"))
@settings(deadline=None, max_examples=40)
def test_what_one_saves_the_other_loses(layout: list, other: list) -> None:
    """Exchanging the layouts turns the saving round."""
    there, back = AXIAL_LENGTH.compute(layout=layout, other=other), AXIAL_LENGTH.compute(layout=other, other=layout)
    assert np.allclose(there["saved"], -back["saved"], atol=TINY)
    assert there["saved_least"] == pytest.approx(-back["saved_greatest"], abs=TINY)
    assert there["saved_half_width"] == pytest.approx(back["saved_half_width"], abs=TINY)


@given(stacks(count=7), st.integers(0, 6))
@settings(deadline=None, max_examples=40)
def test_a_length_in_one_draw_is_that_of_floats(layout: list, place: int) -> None:
    """Arrays of draws give, element by element, what floats give, as long as pieces are all alike."""
    layout = [{**one, "varies": "all alike"} for one in layout]
    many = numbers(AXIAL_LENGTH.compute(layout=layout), AXIAL_LENGTH)
    one = numbers(AXIAL_LENGTH.compute(layout=at(layout, place)), AXIAL_LENGTH)
    for name, value in one.items():
        assert np.broadcast_to(many[name], 7)[place] == pytest.approx(value, abs=TINY)


def spread(least: float, most: float) -> st.SearchStrategy[np.ndarray]:
    """Five draws between two values."""
    return st.lists(st.floats(least, most), min_size=5, max_size=5).map(np.array)


def elements(most: int = 4) -> st.SearchStrategy[list[dict[str, Any]]]:
    """A few elements of a path, their capacities and factors in draws."""
    cells = {"capacity": spread(50, 5000), "factor": spread(0.5, 3), "where": st.sampled_from(["before", "after"])}
    rows = st.lists(st.fixed_dictionaries(cells), min_size=1, max_size=most)
    return rows.map(lambda made: [{"element": f"element {place}", **row} for place, row in enumerate(made)])


PATHS = st.fixed_dictionaries(
    {
        "elements": elements(), "power": spread(10, 900), "speed": spread(500, 20_000), "ratio": spread(0.3, 5),
        "inertia": spread(0, 0.2), "drop": spread(0, 5000), "duration": spread(0.001, 1), "kept": spread(0, 1),
        "slip": spread(50, 3000),
    }
)  # fmt: skip


@given(PATHS, st.integers(0, 4))
@settings(deadline=None, max_examples=60)
def test_a_torque_path_in_one_draw_is_that_of_floats(path: dict, place: int) -> None:
    """Arrays of draws give, element by element, what floats give."""
    many = numbers(TORQUE_HEADROOM.compute(**path), TORQUE_HEADROOM)
    one = numbers(TORQUE_HEADROOM.compute(**{name: at(value, place) for name, value in path.items()}), TORQUE_HEADROOM)
    for name, value in one.items():
        assert np.broadcast_to(many[name], 5)[place] == pytest.approx(value, rel=1e-12)


@given(PATHS)
@settings(deadline=None, max_examples=60)
def test_the_margin_of_a_path_is_the_least_of_its_parts(path: dict) -> None:
    """Element by element alone, the least margin is the path's; every outcome is finite; shares add up to the whole."""
    whole = TORQUE_HEADROOM.compute(**path)
    alone = [TORQUE_HEADROOM.compute(**{**path, "elements": [one]})["least_margin"] for one in path["elements"]]
    assert np.allclose(whole["least_margin"], np.minimum.reduce(alone), rtol=1e-12)
    assert all(np.isfinite(value).all() for value in numbers(whole, TORQUE_HEADROOM).values())
    assert sum(row["chance that it is the weakest [%]"] for row in whole["elements"]) == pytest.approx(100)
    assert np.array_equal(whole["every_element_holds"], whole["least_margin"] >= 0)
    assert np.allclose((whole["least_margin"] + 1) * whole["peak_torque"], whole["held_torque"], rtol=1e-9)


@given(PATHS, elements(1))
@settings(deadline=None, max_examples=40)
def test_another_element_never_raises_the_margin(path: dict, more: list) -> None:
    """A longer path is at most as strong."""
    longer = {**path, "elements": path["elements"] + [{**more[0], "element": "one more"}]}
    before, after = TORQUE_HEADROOM.compute(**path), TORQUE_HEADROOM.compute(**longer)
    assert np.all(after["least_margin"] <= before["least_margin"])
    assert np.all(after["headroom"] <= before["headroom"])


@given(PATHS, st.floats(1, 3))
@settings(deadline=None, max_examples=40)
def test_more_load_never_raises_the_margin(path: dict, more: float) -> None:
    """More inertia, a deeper or a quicker drop, a clutch that holds more: never a greater margin."""
    before = TORQUE_HEADROOM.compute(**path)["least_margin"]
    for name, by in (("inertia", more), ("drop", more), ("duration", 1 / more), ("slip", more), ("power", more)):
        after = TORQUE_HEADROOM.compute(**{**path, name: path[name] * by})["least_margin"]
        assert np.all(after <= before * (1 + 1e-12) + 1e-9)


@given(PATHS)
@settings(deadline=None, max_examples=40)
def test_no_more_than_the_slip_torque_passes_the_clutch(path: dict) -> None:
    """Whatever engine and inertia do together, the clutch lets its slip torque through and no more."""
    found = TORQUE_HEADROOM.compute(**path)
    assert np.all(found["peak_torque"] <= path["slip"])
    assert np.all(found["peak_torque"] >= np.minimum(found["engine_torque"], path["slip"]))


@given(st.floats(1, 2000), st.floats(100, 50_000))
def test_twice_the_speed_at_the_same_power_is_half_the_torque(power: float, speed: float) -> None:
    """And torque times speed is the power."""
    assert engine_torque(power, 2 * speed) == pytest.approx(engine_torque(power, speed) / 2, rel=1e-12)
    assert engine_torque(power, speed) * speed * 2 * np.pi / 60 == pytest.approx(1000 * power, rel=1e-12)
