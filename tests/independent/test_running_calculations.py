"""What runs calculations, held against arithmetic by hand and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from ledger.calculators.sweeping import feasibility, result
from ledger.errors import CalculationRefused
from tests.toys import bench, calculation, chosen, value


def test_units_are_converted_on_the_way_in_and_out() -> None:
    """A plate of 2 cm by 0.03 m by 5 mm of 1000 kg/m³ has 600 mm² and 3 g."""
    one = calculation("plate", {"width": value("2 cm"), "height": value("0.03 m")})
    found, raw = result(bench({"a": one}), "calculations/a")
    assert found.outcome("area").summary.estimate == pytest.approx(600)
    assert found.outcome("mass").unit == "g"
    assert found.outcome("mass").summary.estimate == pytest.approx(3.0)
    assert float(raw["mass"]) == pytest.approx(0.003)
    assert found.outcome("thin").chance == 0.0


def test_a_measurement_used_twice_is_one_draw() -> None:
    """w·w from one measurement has the mean of a square, s² + m²; two measurements alike give m²."""
    shared = calculation("plate", {"width": "measurements/w", "height": "measurements/w"})
    apart = calculation("plate", {"width": "measurements/w", "height": "measurements/v"})
    both = bench({"a": shared, "b": apart}, {"w": "100 ± 20 mm (k=1)", "v": "100 ± 20 mm (k=1)"}, 100_000)
    one, two = (result(both, f"calculations/{name}")[0].outcome("area").summary for name in "ab")
    assert one.estimate == pytest.approx(100**2 + 20**2, rel=3e-3)
    assert two.estimate == pytest.approx(100**2, rel=3e-3)
    assert one.uncertainty == pytest.approx(np.sqrt(4 * 100**2 * 20**2 + 2 * 20**4), rel=0.02)
    assert two.uncertainty == pytest.approx(np.sqrt(2 * 100**2 * 20**2 + 20**4), rel=0.02)


def test_a_chained_input_keeps_its_draws_and_its_unit() -> None:
    """A plate whose width is the length of a fence in metres is computed draw by draw in millimetres."""
    fence = calculation("fence", {"posts": value("3: 0.25, 4: 0.75"), "gap": value("0.1 m")})
    plate = calculation("plate", {"width": "calculations/f#length", "height": value("1 mm")})
    found, _ = result(bench({"f": fence, "p": plate}, count=100_000), "calculations/p")
    assert found.outcome("area").summary.estimate == pytest.approx(0.25 * 200 + 0.75 * 300, rel=3e-3)
    summary = found.outcome("area").summary
    assert (summary.low, summary.high) == pytest.approx((200.0, 300.0))


def test_a_soft_limit_is_kept_as_often_as_the_normal_law_says() -> None:
    """P(X <= Y) for X normal(100, 3), Y normal(104, 4) is the normal law of 4/5."""
    one = calculation(
        "plate",
        {"width": value("100 ± 3 mm (k=1)"), "height": value("1 mm")},
        criteria=[{"output": "area", "at-most": "104 ± 4 mm² (k=1)"}],
    )
    found, _ = result(bench({"a": one}, count=200_000), "calculations/a")
    assert found.kept[0].chance == pytest.approx(stats.norm.cdf(0.8), abs=4e-3)


def test_a_limit_taken_from_a_measurement_is_kept_as_often_as_the_normal_law_says() -> None:
    """P(X <= Y) for a width X normal(100, 3) and a measured Y normal(10.4, 0.4) cm is the normal law of 4/5."""
    one = calculation(
        "plate",
        {"width": value("100 ± 3 mm (k=1)"), "height": value("1 mm")},
        criteria=[{"output": "edge", "at-most": "measurements/room"}],
    )
    found, _ = result(bench({"a": one}, {"room": "10.4 ± 0.4 cm (k=1)"}, count=200_000), "calculations/a")
    assert found.kept[0].chance == pytest.approx(stats.norm.cdf(0.8), abs=4e-3)
    assert found.kept[0].limit == "at most measurements/room"
    (taken,) = found.kept[0].taken
    assert (taken.side, taken.source, taken.unit) == ("at-most", "measurements/room", "mm")
    assert taken.summary.estimate == pytest.approx(104, abs=0.05)


def test_a_limit_is_the_same_draw_as_the_input_it_is_taken_with() -> None:
    """A width that is measured is never more than that measurement, in no draw; of a like one, in half of them."""
    one = calculation(
        "plate",
        {"width": "measurements/w", "height": value("1 mm")},
        criteria=[{"output": "edge", "at-most": "measurements/w"}, {"output": "edge", "at-most": "measurements/v"}],
    )
    found, _ = result(bench({"a": one}, {"w": "100 ± 20 mm", "v": "100 ± 20 mm"}, 100_000), "calculations/a")
    assert found.kept[0].chance == 1.0
    assert found.kept[1].chance == pytest.approx(0.5, abs=0.01)


def test_a_limit_taken_from_a_calculation_brings_its_choices_with_it() -> None:
    """A fence of 0.8 m fits a plate whose width is free up to 0.9 m, and is as long as wanted in half of the draws."""
    room = calculation("plate", {"width": chosen("100..900 mm"), "height": value("1 mm")})
    fence = calculation(
        "fence",
        {"posts": value(9), "gap": value("0.1 m")},
        criteria=[{"output": "length", "at-most": "calculations/r#edge", "at-least": "measurements/w"}],
    )
    toys = bench({"r": room, "f": fence}, {"w": "0.7..0.9 m"}, 50_000)
    assert toys.upstream_of("calculations/f") == ("calculations/r", "calculations/f")
    assert feasibility(toys, ("calculations/f",)).mean() == pytest.approx(0.5, abs=0.01)
    tight = calculation("plate", {"width": chosen("100..700 mm"), "height": value("1 mm")})
    assert feasibility(bench({"r": tight, "f": fence}, {"w": "0.7..0.9 m"}), ("calculations/f",)).mean() == 0.0


@pytest.mark.parametrize(
    ("limit", "words"),
    [
        ("measurements/gone", "measurements/gone, which does not stand: it, or its source, is withdrawn"),
        ("measurements/w", "a limit in mm² is taken from 100 mm"),
        ("calculations/f#words", "gives no such number"),
        ("calculations/f#length", "a limit in mm² is taken from calculations/f#length"),
    ],
)
def test_a_limit_that_says_nothing_is_refused(limit: str, words: str) -> None:
    """A limit that leads nowhere, or to another dimension, is refused by name; no chance is given."""
    fence = calculation("fence", {"posts": value(3), "gap": value("1 m")})
    plate = calculation(
        "plate", {"width": value("1 mm"), "height": value("1 mm")}, criteria=[{"output": "area", "at-most": limit}]
    )
    with pytest.raises(CalculationRefused, match=words):
        result(bench({"f": fence, "a": plate}, {"w": "100 mm"}), "calculations/a")


def test_criteria_hold_together_in_the_same_draw() -> None:
    """A < 100 and A > 100 for one draw A never hold together, though each holds in half of the draws."""
    inputs = {"width": "measurements/w", "height": value("1 mm")}
    below = calculation("plate", inputs, criteria=[{"output": "area", "at-most": "100 mm²"}])
    above = calculation("plate", inputs, criteria=[{"output": "area", "at-least": "100.0001 mm²"}])
    both = bench({"a": below, "b": above}, {"w": "100 ± 20 mm"})
    assert feasibility(both, ("calculations/a",)).mean() == pytest.approx(0.5, abs=0.03)
    assert feasibility(both, ("calculations/a", "calculations/b")).mean() == 0.0


def test_some_choice_is_enough() -> None:
    """A choice swept from 10 to 30 mm keeps an area of at least 290 mm² on a height of 10 mm only near its end."""
    one = calculation(
        "plate",
        {"width": chosen("10..30 mm"), "height": value("10 mm")},
        criteria=[{"output": "area", "at-least": "290 mm²"}, {"output": "area", "at-most": "300.001 mm²"}],
    )
    toys = bench({"a": one})
    assert feasibility(toys, ("calculations/a",)).mean() == 1.0
    found, _ = result(toys, "calculations/a")
    assert [kept.chance for kept in found.kept] == [1.0, 1.0]
    assert 29 <= float(found.choice["width"].split()[0]) <= 30


def test_one_choice_serves_every_calculation_that_stands_on_it() -> None:
    """A width that one calculation wants small and the next wants great is not feasible, though each alone is."""
    small = calculation(
        "plate",
        {"width": chosen("10..30 mm"), "height": value("1 mm")},
        criteria=[{"output": "area", "at-most": "15 mm²"}],
    )
    great = calculation(
        "plate",
        {"width": "calculations/a#edge", "height": value("1 mm")},
        criteria=[{"output": "area", "at-least": "20 mm²"}],
    )
    toys = bench({"a": small, "b": great})
    assert feasibility(toys, ("calculations/a",)).mean() == 1.0
    assert feasibility(toys, ("calculations/b",)).mean() == 1.0
    assert feasibility(toys, ("calculations/a", "calculations/b")).mean() == 0.0


@pytest.mark.parametrize(
    ("calculator", "inputs", "words"),
    [
        ("plate", {"width": value("0 mm"), "height": value("1 mm")}, "outside what is permitted, above 0"),
        ("plate", {"width": value("5 kg"), "height": value("1 mm")}, "width"),
        ("plate", {"width": value("5 mm")}, "`height`: is missing"),
        ("plate", {"width": "measurements/gone", "height": value("1 mm")}, "not in the ledger"),
        ("plate", {"width": value("10 ± 20 mm"), "height": value("1 mm")}, "outside what is permitted"),
        ("fence", {"posts": value("2.5"), "gap": value("1 m")}, "whole number"),
        ("fence", {"posts": value(3), "gap": value("1 m"), "style": value("odd")}, "expected one of plain, fancy"),
        ("fence", {"posts": value(3), "gap": value("1 m"), "closed": value("maybe")}, "expected true or false"),
        (
            "fence",
            {"posts": value(3), "gap": value("1 m"), "panels": {"rows": [{"size": 1}], "reason": "x"}},
            "no column size",
        ),
        ("fence", {"posts": value(3), "gap": value("0..1 m")}, "different inputs"),
        ("nothing", {}, "no calculator `nothing`"),
    ],
)
def test_impossible_inputs_are_refused_with_their_name(calculator: str, inputs: dict, words: str) -> None:
    """Every impossible input is refused with words that name it, and never gives a number."""
    with pytest.raises(CalculationRefused, match=words):
        result(bench({"a": calculation(calculator, inputs)}), "calculations/a")


def test_all_problems_are_named_at_once() -> None:
    """Two impossible inputs give one refusal that names both."""
    with pytest.raises(CalculationRefused, match=r"width.*height"):
        result(bench({"a": calculation("plate", {"width": value("0 mm"), "height": value("-1 mm")})}), "calculations/a")


def test_cells_of_rows_are_taken_from_measurements_and_calculations() -> None:
    """A panel as long as a measured width, twice, doubles that very draw; one as long as a fence takes its output."""
    inner = calculation("fence", {"posts": value(2), "gap": value("3 m")})
    rows = [{"length": "measurements/w"}, {"length": "measurements/w"}, {"length": "calculations/f#length"}]
    outer = calculation(
        "fence", {"posts": value(2), "gap": value("0 m"), "panels": {"rows": rows, "reason": "for the test"}}
    )
    toys = bench({"f": inner, "o": outer}, {"w": "1000 mm"})
    found, _ = result(toys, "calculations/o")
    assert found.outcome("length").summary.estimate == pytest.approx(1 + 1 + 3)
    assert toys.upstream_of("calculations/o") == ("calculations/f", "calculations/o")


def test_a_cell_that_leads_nowhere_is_refused_with_its_row() -> None:
    """A missing measurement in the second row is named with that row and column."""
    rows = [{"length": "1 m"}, {"length": "measurements/gone"}]
    one = calculation(
        "fence", {"posts": value(2), "gap": value("0 m"), "panels": {"rows": rows, "reason": "for the test"}}
    )
    with pytest.raises(CalculationRefused, match="row 2, `length`: measurements/gone does not stand"):
        result(bench({"a": one}), "calculations/a")


def test_what_means_something_only_in_some_draws_is_summed_up_over_those() -> None:
    """Half of the widths make a plate thin: its spare is summed up over those, and left out where none is thin."""
    half = calculation("plate", {"width": value("40..60 mm"), "height": value("1 mm"), "thickness": value("5 mm")})
    found, raw = result(bench({"a": half}, count=20_000), "calculations/a")
    spare = found.outcome("spare")
    assert spare.share == pytest.approx(0.5, abs=0.02)
    assert spare.summary.estimate == pytest.approx(0.5, abs=0.02)
    assert spare.summary.low >= 0
    assert raw["spare"].min() < -0.9
    never = calculation("plate", {"width": value("20 mm"), "height": value("1 mm"), "thickness": value("5 mm")})
    assert "spare" not in {one.name for one in result(bench({"a": never}), "calculations/a")[0].outcomes}
    always = calculation("plate", {"width": value("90 mm"), "height": value("1 mm"), "thickness": value("5 mm")})
    assert result(bench({"a": always}), "calculations/a")[0].outcome("spare").share is None


def test_a_narrow_window_between_two_points_of_a_sweep_is_found() -> None:
    """512 to 513 mm² of up to 1000 mm, and 9000 to 9100 mm² of two sides chosen, can be had and are found."""
    one = calculation(
        "plate",
        {"width": chosen("1..1000 mm"), "height": value("1 mm")},
        criteria=[{"output": "area", "at-least": "512 mm²", "at-most": "513 mm²"}],
    )
    two = calculation(
        "plate",
        {"width": chosen("1..1000 mm"), "height": chosen("1..1000 mm")},
        criteria=[{"output": "area", "at-least": "9000 mm²", "at-most": "9100 mm²"}],
    )
    toys = bench({"a": one, "b": two}, count=100)
    assert feasibility(toys, ("calculations/a",)).mean() == 1.0
    assert 512 <= float(result(toys, "calculations/a")[0].choice["width"].split()[0]) <= 513
    assert feasibility(toys, ("calculations/b",)).mean() == 1.0


def test_a_result_keeps_at_which_choice_above_it_was_made() -> None:
    """What is best for the upper calculation alone and what is best for one that stands on it are told apart."""
    small = calculation(
        "plate",
        {"width": chosen("10..30 mm"), "height": value("1 mm")},
        criteria=[{"output": "area", "at-most": "10 mm²"}],
    )
    great = calculation(
        "plate",
        {"width": "calculations/a#edge", "height": value("1 mm")},
        criteria=[{"output": "area", "at-least": "30 mm²"}],
    )
    toys = bench({"a": small, "b": great})
    upper, lower = (result(toys, f"calculations/{name}")[0] for name in "ab")
    assert (upper.choice, upper.above) == ({"width": "10 mm"}, {})
    assert (lower.choice, lower.above) == ({}, {"calculations/a": {"width": "30 mm"}})
    (width,) = (one.summary for one in lower.inputs if one.name == "width")
    assert width.estimate == 30
