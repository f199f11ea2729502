"""Means, deviations and quantiles of the shapes, against scipy, closed forms and second methods."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from scipy import stats

from ledger.quantities.density import density
from ledger.quantities.draws import generator
from ledger.quantities.notation import Z95, parse
from ledger.quantities.summary import summarise

COUNT = 200_000
SHAPES = {
    "62 ± 3 mm": stats.norm(62, 3 / stats.norm.ppf(0.975)),
    "62 ± 3 mm (k=1)": stats.norm(62, 3),
    "62 ± 3 mm (k=2)": stats.norm(62, 1.5),
    "55..68 mm": stats.uniform(55, 13),
    "55..61..68 mm": stats.triang(6 / 13, 55, 13),
    "55..55..68 mm": stats.triang(0, 55, 13),
    "55..68..68 mm": stats.triang(1, 55, 13),
    "20 +0/-0.05 mm": stats.uniform(19.95, 0.05),
    "-8..-2 mm": stats.uniform(-8, 6),
    "30: 0.2, 31: 0.7, 32: 0.1": stats.rv_discrete(values=([30, 31, 32], [0.2, 0.7, 0.1])),
    "-2: 0.5, 7: 0.25, 12: 0.25": stats.rv_discrete(values=([-2, 7, 12], [0.5, 0.25, 0.25])),
}


def test_the_cover_factor_is_the_normal_quantile() -> None:
    """Z95 is the 0.975 quantile, to the last bit."""
    assert float(stats.norm.ppf(0.975)) == Z95


@pytest.mark.parametrize("notation", SHAPES)
def test_moments_agree_with_scipy(notation: str) -> None:
    """Mean and standard deviation of every shape are those of scipy's distribution (rounding: 1e-12)."""
    quantity, other = parse(notation), SHAPES[notation]
    assert quantity.mean == pytest.approx(float(other.mean()), rel=1e-12)
    assert quantity.std == pytest.approx(float(other.std()), rel=1e-9)


@pytest.mark.parametrize("notation", SHAPES)
def test_support_agrees_with_scipy(notation: str) -> None:
    """The least and greatest possible values are those of scipy's distribution."""
    assert parse(notation).support == pytest.approx(SHAPES[notation].support())


@pytest.mark.parametrize("notation", [one for one in SHAPES if ":" not in one])
def test_draws_follow_the_distribution(notation: str) -> None:
    """The draws' distribution differs from scipy's by no more than chance allows (Kolmogorov, once in ten thousand)."""
    draws = parse(notation).draw(COUNT, generator("moments", notation))
    assert stats.kstest(draws, SHAPES[notation].cdf).pvalue > 1e-4


@pytest.mark.parametrize("notation", [one for one in SHAPES if ":" in one])
def test_whole_draws_follow_their_chances(notation: str) -> None:
    """Each whole number comes as often as its chance says (chi-squared, once in ten thousand)."""
    quantity = parse(notation)
    values, counts = np.unique(quantity.draw(COUNT, generator("moments", notation)), return_counts=True)
    assert list(values) == sorted(quantity.chances)
    assert stats.chisquare(counts, [quantity.chances[value] * COUNT for value in values]).pvalue > 1e-4


def test_a_wrong_distribution_is_noticed() -> None:
    """The comparison fails for draws whose deviation is two percent off."""
    draws = parse("62 ± 3.06 mm").draw(COUNT, generator("moments", "62 ± 3 mm"))
    assert stats.kstest(draws, SHAPES["62 ± 3 mm"].cdf).pvalue < 1e-4


def test_triangle_variance_is_the_closed_form() -> None:
    """A triangle a, b, c has variance (a² + b² + c² - ab - ac - bc)/18; a symmetric one is (c - a)/√24."""
    a, b, c = 55, 61, 68
    assert parse("55..61..68").std ** 2 == pytest.approx(
        (a * a + b * b + c * c - a * b - a * c - b * c) / 18, rel=1e-12
    )
    assert parse("50..60..70").std == pytest.approx(20 / sqrt(24), rel=1e-12)


@pytest.mark.parametrize("notation", [one for one in SHAPES if ":" not in one])
def test_density_agrees_with_scipy(notation: str) -> None:
    """The density inside the support is scipy's."""
    other = SHAPES[notation]
    points = other.ppf(np.linspace(0.01, 0.99, 37))
    assert density(parse(notation), points) == pytest.approx(other.pdf(points), rel=1e-9)


def test_summaries_agree_with_numpy() -> None:
    """Mean, deviation with M - 1, and the symmetric interval are numpy's (quantiles: a neighbouring draw at most)."""
    draws = parse("55..61..68").draw(9_999, generator("numpy"))
    summary = summarise(draws)
    assert summary.estimate == pytest.approx(np.mean(draws), rel=1e-12)
    assert summary.uncertainty == pytest.approx(np.std(draws, ddof=1), rel=1e-12)
    ordered = np.sort(draws)
    for end, share in ((summary.low, 0.025), (summary.high, 0.975)):
        near = np.searchsorted(ordered, np.quantile(draws, share))
        assert ordered[near - 2] <= end <= ordered[near + 2]


@pytest.mark.parametrize("level", [0.5, 0.9, 0.95, 0.99])
def test_the_shortest_interval_is_the_shortest(level: float) -> None:
    """No interval between two draws that covers as many is narrower: every one is tried."""
    draws = np.exp(parse("0 ± 1 (k=1)").draw(400, generator("shortest")))
    summary = summarise(draws, level, shortest=True)
    ordered, covered = np.sort(draws), round(level * 400)
    assert summary.high - summary.low == min(
        ordered[place + covered] - ordered[place] for place in range(400 - covered)
    )
    symmetric = summarise(draws, level)
    assert summary.high - summary.low <= symmetric.high - symmetric.low
