"""Axial length against closed forms, a loop of plain Python, tables of pandas, and corners tried out one by one."""

from __future__ import annotations

import random
from itertools import product
from math import sqrt

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from ledger.calculators.axial_length import AXIAL_LENGTH, pieces
from ledger.calculators.binding import Upstream, bind
from ledger.calculators.drawing import Drawing
from ledger.calculators.running import run
from ledger.entries.parts import Given
from ledger.mechanics.axial_length import axial_length
from ledger.quantities.summary import summarise
from tests.stacks import part

COUNT = 40_000


def through_the_engine(rows: list[dict], other: list[dict] | None = None, **given: object) -> dict:
    """Bind and run as an entry does."""
    tables = {"layout": rows, **({"other": other} if other else {})}
    inputs = {name: Given(rows=table, reason="stated") for name, table in tables.items()}
    inputs |= {name: Given(value=value, reason="stated") for name, value in given.items()}
    raw, _ = bind("calculations/try", AXIAL_LENGTH, inputs, Upstream({}, {}, {}), Drawing(COUNT))
    return run("calculations/try", AXIAL_LENGTH, raw)


def test_worst_case_is_the_worst_of_all_corners() -> None:
    """Every combination of limits tried out, part by part: none lies outside, and the ends are reached."""
    parts = [part("a", 30, 0.2), part("b", 12, 0.0, 0.3, direction="takes away"), part("c", 4, 0.1, 0.05)]
    lengths = [
        sum((-1 if one["direction"] == "takes away" else 1) * end for one, end in zip(parts, ends, strict=True))
        for ends in product(*((one["length"]["low"], one["length"]["high"]) for one in parts))
    ]
    found = axial_length(parts)["bounds"]
    assert (found["least"], found["greatest"]) == (pytest.approx(min(lengths)), pytest.approx(max(lengths)))


def test_n_pieces_add_n_or_the_root_of_n() -> None:
    """Nine pieces of ± 0.1: ± 0.9 in the worst case, ± 0.3 by root sum square one by one, ± 0.9 all alike."""
    each = axial_length([part("a", 5, 0.1, quantity=9.0)])["bounds"]
    alike = axial_length([part("a", 5, 0.1, quantity=9.0, varies="all alike")])["bounds"]
    assert (each["greatest"], alike["greatest"]) == (pytest.approx(45.9), pytest.approx(45.9))
    assert (each["half_width"], alike["half_width"]) == (pytest.approx(0.3), pytest.approx(0.9))


def test_nine_rows_are_one_row_of_nine() -> None:
    """Pieces listed one by one give the same bounds as a quantity, and draws that spread alike."""
    many = through_the_engine([{"part": f"gear {place}", "length": "12..13 mm"} for place in range(9)])
    one = through_the_engine([{"part": "gear", "length": "12..13 mm", "quantity": 9}])
    for name in ("nominal", "least", "greatest", "middle", "half_width"):
        assert one[name] == pytest.approx(many[name])
    assert np.std(one["length"]) == pytest.approx(np.std(many["length"]), rel=0.03)  # each known to about 0.5 %


def test_drawn_pieces_follow_the_sum_of_uniforms() -> None:
    """Eight pieces of 0..1 are Irwin–Hall distributed: mean 4, variance 8/12, and its quantiles.

    The mean of the sum is known to 8/√12/√40000 = 0.0115 only, since all pieces use the same draws.
    """
    total = through_the_engine([{"part": "gear", "length": "0..1 mm", "quantity": 8}])["length"]
    assert np.mean(total) == pytest.approx(4, abs=5 * 0.0115)
    assert np.var(total) == pytest.approx(8 / 12, rel=0.03)
    expected = stats.irwinhall(8).ppf([0.025, 0.25, 0.75, 0.975])
    assert np.quantile(total, [0.025, 0.25, 0.75, 0.975]) == pytest.approx(expected, abs=0.06)


def test_drawn_pieces_do_not_hang_together() -> None:
    """Draws of any two of twenty pieces are uncorrelated within what 40,000 draws can tell."""
    draws = np.random.default_rng(3).normal(size=COUNT)
    correlations = np.corrcoef(pieces(draws, 20))[np.triu_indices(20, 1)]
    assert np.abs(correlations).max() < 5 / sqrt(COUNT)


def test_a_loop_of_plain_python_gives_the_same_interval() -> None:
    """A stack with normal, drawn and ranged parts, simulated one assembly at a time by another generator."""
    rows = [
        {"part": "gear", "length": "13 ± 0.4 mm", "quantity": 4},
        {"part": "ring", "length": "2 +0/-0.1 mm", "quantity": 3, "varies": "all alike"},
        {"part": "wall", "length": "5..6 mm", "direction": "takes away"},
    ]
    found = summarise(through_the_engine(rows)["length"])
    dice, lengths = random.Random(11), []
    for _ in range(COUNT):
        length = sum(dice.gauss(13, 0.4 / 1.959964) for _ in range(4))
        lengths.append(length + 3 * dice.uniform(1.9, 2.0) - dice.uniform(5, 6))
    lengths.sort()
    ends = [lengths[round(COUNT * share)] for share in (0.025, 0.975)]
    # An end of the interval is known to about u/60 from each of the two, u = 0.5 mm.
    assert [found.low, found.high] == pytest.approx(ends, abs=0.04)


def test_a_table_of_pandas_gives_the_same_bounds() -> None:
    """Column arithmetic over a table: sums of n·low, n·high, and the root of the sum of n·t²."""
    table = pd.DataFrame(
        {"size": [13.0, 2.0, 40.0], "plus": [0.1, 0.0, 0.3], "minus": [0.1, 0.2, 0.1], "n": [8, 3, 1]},
        index=["a", "b", "c"],
    )
    found = AXIAL_LENGTH.compute(
        layout=[part(row.Index, row.size, row.plus, row.minus, quantity=row.n) for row in table.itertuples()]
    )
    assert found["least"] == pytest.approx((table.n * (table["size"] - table.minus)).sum())
    assert found["greatest"] == pytest.approx((table.n * (table["size"] + table.plus)).sum())
    squares = table.n * ((table.plus + table.minus) / 2) ** 2
    assert found["half_width"] == pytest.approx(sqrt(squares.sum()))
    shares = [row["share of the sum of squares [%]"] for row in found["parts"]]
    assert shares == pytest.approx((100 * squares / squares.sum()).tolist())


def test_what_is_the_same_in_both_layouts_adds_no_doubt_to_what_is_saved() -> None:
    """With shared gears the saving is the sleeves' length alone; with gears of other boxes their doubt counts twice."""
    gears = {"part": "gear", "length": "12..14 mm", "quantity": 8}
    sleeves = {"part": "sleeve", "length": "15..20 mm", "quantity": 4}
    shared = through_the_engine([gears], [gears, sleeves])
    apart = through_the_engine([gears], [gears, sleeves], shared=False)
    assert (shared["saved_least"], shared["saved_greatest"]) == (60, 80)
    assert (apart["saved_least"], apart["saved_greatest"]) == (60 - 16, 80 + 16)
    # Variances: sleeves 4·5²/12, gears 8·2²/12 in either layout.
    assert np.var(shared["saved"]) == pytest.approx(100 / 12, rel=0.03)
    assert np.var(apart["saved"]) == pytest.approx(164 / 12, rel=0.03)
    assert shared["saved_half_width"] == pytest.approx(sqrt(4 * 2.5**2))
    assert apart["saved_half_width"] == pytest.approx(sqrt(4 * 2.5**2 + 2 * 8))


@pytest.mark.parametrize(
    ("first", "second", "worst", "squares"),
    [
        ((3, "adds"), (5, "adds"), 2, 2),
        ((5, "adds"), (3, "adds"), 2, 2),
        ((2, "adds"), (3, "takes away"), 5, 4 * 2 + 1),
    ],
)
def test_shared_pieces_cancel_one_by_one(first: tuple, second: tuple, worst: int, squares: int) -> None:
    """Of three and five shared pieces two remain; pieces that point opposite ways count double."""
    one, two = (part("ring", 2, 0.1, quantity=float(n), direction=way) for n, way in (first, second))
    found = AXIAL_LENGTH.compute(layout=[one], other=[two])
    assert found["saved_greatest"] - found["saved_middle"] == pytest.approx(worst * 0.1)
    assert found["saved_half_width"] == pytest.approx(0.1 * sqrt(squares))


def test_shared_pieces_all_alike_differ_by_one_size() -> None:
    """Three rings against five of one unknown size: the two more are wrong together, ± 0.2 by either rule."""
    one, two = (part("ring", 2, 0.1, quantity=n, varies="all alike") for n in (3.0, 5.0))
    found = AXIAL_LENGTH.compute(layout=[one], other=[two])
    assert found["saved_greatest"] - found["saved_middle"] == pytest.approx(0.2)
    assert found["saved_half_width"] == pytest.approx(0.2)


def test_a_doubtful_number_of_pieces_spreads_the_length() -> None:
    """Seven or eight gears of 10 mm: 70 mm in three tenths of the draws, 80 mm in the others."""
    found = through_the_engine([{"part": "gear", "length": "10 mm", "quantity": "7: 0.3, 8: 0.7"}])
    assert set(found["length"]) == {70.0, 80.0}
    assert np.mean(found["length"] == 70) == pytest.approx(0.3, abs=0.012)  # 5·√(0.3·0.7/40000)
    assert np.array_equal(found["least"], found["length"])
