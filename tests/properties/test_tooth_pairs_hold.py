"""What holds for every box of gears and for every model of it."""

from __future__ import annotations

from itertools import pairwise
from math import gcd

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.mechanics.fits import FINE, GRADES, LOWER, UPPER, fit, limits
from ledger.mechanics.model_scale import scaled_torque, tip_widths
from ledger.mechanics.standard_bearings import KINDS, bearing_on, nearest_bore
from ledger.mechanics.standard_modules import CHOICES, nearest_module
from ledger.mechanics.tooth_pairs import closing_range, difference_chances, meetings, printed_range
from tests.gearboxes import exact, gear, normal, pairs_of, weigh
from tests.independent.test_model_scale_by_hand import model, part

SERIES = st.sampled_from(tuple(CHOICES))
TEETH = st.integers(14, 60)


@st.composite
def boxes(draw: st.DrawFn) -> list[tuple[int, int]]:
    """True pairs of a box, their sums within two teeth of one another."""
    common = draw(st.integers(44, 80))
    pairs = []
    for _ in range(draw(st.integers(1, 5))):
        total = common + draw(st.integers(-1, 1))
        first = draw(st.integers(max(14, total - 60), min(60, total - 14)))
        pairs.append((first, total - first))
    return pairs


def printed(pairs: list[tuple[int, int]], decimals: int = 2, how: str = "rounded") -> list[dict]:
    """Rows of a printed table of their ratios."""
    step = 10**decimals
    ratios = [round(b * step / a) if how == "rounded" else b * step // a for a, b in pairs]
    return [gear(str(place), ratio / step, how, decimals) for place, ratio in enumerate(ratios)]


@given(boxes(), st.sampled_from(["rounded", "cut off"]))
@settings(deadline=None, max_examples=40)
def test_the_true_box_is_never_shut_out(pairs: list[tuple[int, int]], how: str) -> None:
    """Whatever box the ratios were printed from, something fits, and sets add up to at most one."""
    found = weigh(printed(pairs, how=how), least=14, most=60)
    assert found["fits"]
    assert sum(row["probability [%]"] for row in found["sets"]) <= 100 + 1e-6
    shown = [row["probability [%]"] for row in found["pairs"]]
    assert all(0 <= one <= 100 for one in shown)
    assert found["set_chance"] <= min(max(pairs_of(found, str(place)).values()) for place in range(len(pairs))) + 1e-9


@given(boxes(), st.floats(0.2, 5))
@settings(deadline=None, max_examples=20)
def test_a_box_twice_the_size_is_as_probable(pairs: list[tuple[int, int]], size: float) -> None:
    """Distance and module enlarged alike change no probability of teeth."""
    distance = 2.5 * sum(pairs[0])
    found = [
        weigh(printed(pairs), distance=normal(distance * s, 4 * s), module=exact(5.0 * s), least=14, most=60)
        for s in (1.0, size)
    ]
    assert found[0]["set_chance"] == pytest.approx(found[1]["set_chance"], rel=1e-6)
    assert found[0]["sum_chance"] == pytest.approx(found[1]["sum_chance"], rel=1e-6)


@given(boxes())
@settings(deadline=None, max_examples=20)
def test_order_of_gears_changes_nothing(pairs: list[tuple[int, int]]) -> None:
    """Rows the other way round: the same pairs with the same probabilities."""
    rows = printed(pairs)
    found = [weigh(one, least=14, most=60) for one in (rows, rows[::-1])]
    assert found[0]["set_chance"] == pytest.approx(found[1]["set_chance"], rel=1e-9)
    for place in range(len(pairs)):
        one, other = (pairs_of(each, str(place)) for each in found)
        for pair in one.keys() & other.keys():
            assert one[pair] == pytest.approx(other[pair], rel=1e-9)


@given(boxes())
@settings(deadline=None, max_examples=20)
def test_more_decimals_leave_fewer_pairs(pairs: list[tuple[int, int]]) -> None:
    """Every pair that four decimals allow, two decimals allow too, where either digits are those of the same box."""
    rough, fine = (printed_range(round(b / a, n), n, "rounded") for n in (2, 4) for a, b in pairs[:1])
    assert rough[0] <= fine[0] + 1e-4
    assert fine[1] <= rough[1] + 1e-4
    assert fine[0] <= pairs[0][1] / pairs[0][0] <= fine[1]


@given(st.floats(0, 1), st.integers(0, 12))
def test_differences_of_sums_are_chances(same: float, spread: int) -> None:
    """They add up to one, are even to either side, and fall with the difference."""
    chances = difference_chances(same, spread)
    assert sum(chances.values()) == pytest.approx(1 if spread == 0 or same < 1 or 0 in chances else 0)
    for size in range(1, spread + 1):
        assert chances.get(size, 0) == chances.get(-size, 0)
        if size > 1:
            assert chances.get(size, 0) <= chances.get(size - 1, 0)
            if 0 < same < 1:
                assert chances[size] / chances[1] == pytest.approx(2 / (1 + size))


@given(st.floats(0.5, 10), st.integers(30, 150), st.floats(-0.5, 0.4), st.floats(0.5, 1.5))
def test_wider_shifts_close_more_distances(module: float, total: int, low: float, high: float) -> None:
    """The range of distances grows with the shift sums at either end, and holds that of reference circles."""
    least, most = closing_range(module, total, low, high)
    assert least <= closing_range(module, total, low + 0.05, high)[0]
    assert most >= closing_range(module, total, low, high - 0.05)[1]
    if low <= 0:
        assert least * (1 - 1e-12) <= module * total / 2 <= most


@given(TEETH, TEETH)
def test_meetings_are_the_least_common_multiple(first: int, second: int) -> None:
    """The count of meshes is a whole number of turns of either wheel, and no smaller one is."""
    meshes, divisor = meetings(first, second)
    assert meshes % first == meshes % second == 0
    assert divisor == gcd(first, second)
    assert all(one % second for one in range(first, meshes, first))


@given(st.lists(st.floats(0.1, 55), min_size=3, max_size=3), SERIES)
def test_modules_in_one_draw_are_those_of_floats(wanted: list[float], series: str) -> None:
    """Arrays give what floats give; the nearest is standard, and no other is nearer by ratio."""
    many = nearest_module(np.array(wanted), series)
    for value, taken in zip(wanted, many, strict=True):
        assert taken == nearest_module(value, series)
        assert float(taken) in CHOICES[series]
        off = max(taken / value, value / taken)
        assert all(off <= max(one / value, value / one) * (1 + 1e-12) for one in CHOICES[series])
        assert nearest_module(float(taken), series) == taken


@given(st.lists(st.floats(5.5, 45), min_size=3, max_size=3), st.sampled_from(tuple(KINDS)))
def test_bores_in_one_draw_are_those_of_floats(shafts: list[float], kind: str) -> None:
    """Arrays give what floats give; the bore is one of the kind's, and no other is nearer."""
    many = nearest_bore(np.array(shafts), kind)
    for shaft, bore in zip(shafts, many, strict=True):
        assert bore == nearest_bore(shaft, kind)
        assert bearing_on(float(bore), kind)[1] == bore
        assert all(abs(bore - shaft) <= abs(row[1] - shaft) for row in KINDS[kind])


@given(
    st.lists(st.floats(0.5, 180), min_size=3, max_size=3),
    st.sampled_from(("c", "d", "e", "f", "g", "h", "js", "m", "n", "p", "r", "s")),
    st.sampled_from(tuple(GRADES)),
)
def test_limits_in_one_draw_are_those_of_floats(sizes: list[float], letters: str, grade: int) -> None:
    """Arrays give what floats give, and upper less lower deviation is the grade's tolerance."""
    lower, upper = limits(np.array(sizes), f"{letters}{grade}")
    assert np.all(upper > lower)
    for place, size in enumerate(sizes):
        assert (lower[place], upper[place]) == limits(size, f"{letters}{grade}")
    least, greatest = fit(np.array(sizes), f"H{grade}", f"{letters}{grade}")
    assert np.allclose(greatest - least, 2 * (upper - lower))


def test_deviations_grow_with_size_and_letter() -> None:
    """In every step, c lies below d below … below s; with size, every deviation stays or moves away from zero."""
    order = [*UPPER.values(), *LOWER.values()]
    for below, above in pairwise(order):
        assert all(a <= b for a, b in zip(below, above, strict=True))
    for values in order:
        assert len(values) == len(FINE)
        assert all(abs(a) <= abs(b) for a, b in pairwise(values))


@given(st.floats(0.3, 10), TEETH, TEETH, st.floats(0.1, 10))
def test_tooth_tips_scale_with_the_module(module: float, first: int, second: int, size: float) -> None:
    """All lengths of a pair scale alike; its profile shifts stay."""
    distance = module * (first + second) / 2 * 1.01
    one = tip_widths(module, first, second, distance)
    other = tip_widths(module * size, first, second, distance * size)
    assert [each * size for each in one[:2]] == pytest.approx(other[:2], rel=1e-9)
    assert one[2] == pytest.approx(other[2], abs=1e-9)
    many = tip_widths(np.full(3, module), first, second, np.full(3, distance))
    assert np.allclose(many[0], one[0])


@given(st.floats(1, 1e3), st.floats(0.1, 10), st.floats(10, 2000), st.floats(10, 2000))
def test_a_torque_scales_there_and_back(torque: float, scale: float, strength: float, other: float) -> None:
    """Scaled back, in the first material, a torque is what it was; at full size in one material nothing changes."""
    there = scaled_torque(torque, scale, strength, other)
    assert scaled_torque(there, 1 / scale, other, strength) == pytest.approx(torque)
    assert scaled_torque(torque, 1.0, strength, strength) == pytest.approx(torque)


@given(st.floats(0.5, 30), st.floats(0.05, 1.0), st.sampled_from(["printed from filament", "cut from metal"]))
def test_at_the_least_scale_a_wall_just_holds(wall: float, scale: float, process: str) -> None:
    """A hair above it everything can be made, a hair below it not."""
    least = float(model(scale=scale, process=process, parts=[part("rim", wall, "wall")])["least_scale"])
    if 0.006 < least < 19:
        assert model(scale=least * 1.0001, process=process, parts=[part("rim", wall, "wall")])["made"]
        assert not model(scale=least * 0.9999, process=process, parts=[part("rim", wall, "wall")])["made"]


def test_a_model_in_one_draw_is_that_of_floats() -> None:
    """Draws of scale, module, shaft, wall and torque give, draw by draw, what floats give."""
    random = np.random.default_rng(2)
    drawn = {
        "scale": random.uniform(0.2, 0.5, 6),
        "module": random.uniform(3, 6, 6),
        "torque": random.uniform(10, 99, 6),
    }
    walls = random.uniform(1, 4, 6)
    fixed = {"strength": 900.0, "model_strength": 60.0, "gears": [{"gear": "1", "driver": 19, "driven": 53}]}
    many = model(**drawn, **fixed, parts=[part("rim", walls, "wall")])
    for place in range(6):
        one = model(
            **{name: float(values[place]) for name, values in drawn.items()},
            **fixed,
            parts=[part("rim", float(walls[place]), "wall")],
        )
        for name in (
            "actual_scale",
            "model_module",
            "model_torque",
            "least_tip",
            "least_scale",
            "made",
            "inertia_share",
        ):
            assert np.broadcast_to(many[name], 6)[place] == pytest.approx(one[name], rel=1e-12)


def test_a_planted_wrong_power_is_caught() -> None:
    """Torque with the square of the scale, a common slip, is not what torsion of a shaft gives."""
    wrong = 2000.0 * 0.3**2 * 70 / 900
    assert wrong / scaled_torque(2000.0, 0.3, 900.0, 70.0) == pytest.approx(1 / 0.3)
