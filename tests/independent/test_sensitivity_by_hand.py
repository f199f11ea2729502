"""Shares of variance and what better measurements would buy, against sums of variances worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from ledger.calculators.sensitivity import share_of_variance
from ledger.calculators.sweeping import result
from ledger.quantities.draws import generator
from tests.toys import bench, calculation, value


def test_a_sum_splits_as_its_variances() -> None:
    """Y = 3 X1 + 4 X2 of independent unit normals has the shares 9/25 and 16/25."""
    x = generator("sum").standard_normal((2, 50_000))
    y = 3 * x[0] + 4 * x[1]
    assert [share_of_variance(one, y) for one in x] == pytest.approx([9 / 25, 16 / 25], abs=0.01)


def test_what_has_no_part_has_no_share() -> None:
    """A root that the outcome does not depend on gets about nothing, not the small share that bins alone would give."""
    x = generator("none").standard_normal((2, 10_000))
    assert share_of_variance(x[1], x[0]) < 0.005
    assert share_of_variance(np.ones(100), x[0][:100]) == 0.0
    assert share_of_variance(x[0], np.ones(10_000)) == 0.0


def test_counts_are_binned_by_value() -> None:
    """Y = N + X with N of 0 or 1 alike and X normal of variance 3/4 has a quarter of its variance from N."""
    draws = generator("counts")
    count = draws.integers(0, 2, 100_000).astype(float)
    y = count + np.sqrt(0.75) * draws.standard_normal(100_000)
    assert share_of_variance(count, y) == pytest.approx(0.25, abs=0.01)


def test_halving_a_doubt_buys_what_the_normal_law_says() -> None:
    """For a width normal(100, 4) under a limit of 104, half the doubt raises the chance from Φ(1) to Φ(2)."""
    one = calculation(
        "plate",
        {"width": "measurements/w", "height": value("1 mm")},
        criteria=[{"output": "area", "at-most": "104 mm²"}],
    )
    found, _ = result(bench({"a": one}, {"w": "100 ± 4 mm (k=1)"}, 100_000), "calculations/a")
    (share,) = found.shares
    assert (share.output, share.root) == ("area", "measurements/w")
    assert share.share == pytest.approx(1, abs=5e-3)
    assert share.uncertainty == pytest.approx(2, rel=0.01)
    assert found.kept[0].chance == pytest.approx(stats.norm.cdf(1), abs=4e-3)
    assert share.chance == pytest.approx(stats.norm.cdf(2), abs=4e-3)


def test_shares_go_through_chains_and_shown_units() -> None:
    """The doubt of a mass shown in grams is told in grams, and an exact length up the chain is no root."""
    fence = calculation("fence", {"posts": value(2), "gap": "measurements/g"})
    plate = calculation(
        "plate",
        {"width": "calculations/f#length", "height": value("10 ± 0.2 mm (k=1)"), "thickness": value("1 mm")},
        criteria=[{"output": "mass", "at-least": "1 g"}],
    )
    toys = bench({"f": fence, "p": plate}, {"g": "0.1 m"})
    (share,) = result(toys, "calculations/p")[0].shares
    assert share.root == "calculations/p, height"
    assert share.uncertainty == pytest.approx(0.01, rel=0.03)


def test_whole_numbers_cannot_be_halved() -> None:
    """A count with doubt has a share, and nothing is claimed about half its doubt."""
    one = calculation("fence", {"posts": value("3: 0.5, 4: 0.5"), "gap": value("1 m")})
    (share,) = result(bench({"a": one}), "calculations/a")[0].shares
    assert share.share == pytest.approx(1)
    assert (share.uncertainty, share.chance) == (None, None)
