"""Draws taken by weight against densities whose means, deviations and shares are known in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from ledger.photo.tempered_draws import Density
from ledger.photo.weighed_draws import Fit, draw_about

Array = NDArray[np.float64]
COUNT = 4_000
# Means, deviations and shares of two normal tops ten deviations apart.
TOPS = np.array([[0.0, 0.0], [10.0, -4.0]])
DEVIATIONS, SHARES = np.array([[1.0, 2.0], [0.5, 0.3]]), np.array([0.7, 0.3])


def two_tops(drawn: Array) -> Array:
    """The logarithm of the mixture of both."""
    off = (drawn[:, None, :] - TOPS) / DEVIATIONS
    each = np.log(SHARES) - np.log(DEVIATIONS).sum(axis=1) - 0.5 * np.sum(off**2, axis=2)
    return np.asarray(np.logaddexp(each[:, 0], each[:, 1]))


def fit(centre: Array, deviations: Array, density: Density) -> Fit:
    """A fit that stands where it is told to."""
    return Fit(centre, np.diag(deviations**2), float(density(centre[None, :])[0]))


def test_two_tops_are_drawn_in_their_shares() -> None:
    """Shares within 0.02, means within 0.1 and deviations within a tenth, though the fits are off and too narrow."""
    fits = [fit(top + 0.4, 0.7 * deviation, two_tops) for top, deviation in zip(TOPS, DEVIATIONS, strict=True)]
    drawn = draw_about(two_tops, fits, COUNT, np.random.default_rng(1))
    assert drawn.shape == (COUNT, 2)
    first = drawn[:, 0] < 6
    assert first.mean() == pytest.approx(SHARES[0], abs=0.02)
    for mine, top, deviation in zip((first, ~first), TOPS, DEVIATIONS, strict=True):
        assert drawn[mine].mean(axis=0) == pytest.approx(top, abs=0.1)
        assert drawn[mine].std(axis=0) == pytest.approx(deviation, rel=0.1)


def test_a_lopsided_density_keeps_its_mean_and_deviation() -> None:
    """The logarithm of a gamma variate of shape 2 and scale 1: its exponential has mean 2 and deviation √2."""

    def density(drawn: Array) -> Array:
        return np.asarray(2 * drawn[:, 0] - np.exp(drawn[:, 0]) - 0.5 * drawn[:, 1] ** 2)

    start = Fit(np.array([np.log(2), 0.0]), np.diag([0.5, 1.0]), 0.0)
    drawn = np.exp(draw_about(density, [start], COUNT, np.random.default_rng(2))[:, 0])
    assert drawn.mean() == pytest.approx(2, abs=0.1)
    assert drawn.std() == pytest.approx(np.sqrt(2), rel=0.1)


def test_a_narrow_bent_density_is_reached_all_the_same() -> None:
    """x normal, y within 0.1 of x²: one straight t distribution never fits, so the draws are led there in steps."""

    def density(drawn: Array) -> Array:
        return np.asarray(-0.5 * drawn[:, 0] ** 2 - 0.5 * ((drawn[:, 1] - drawn[:, 0] ** 2) / 0.1) ** 2)

    start = Fit(np.array([0.0, 0.0]), np.diag([1.0, 0.1**2]), 0.0)
    x, y = draw_about(density, [start], COUNT, np.random.default_rng(3)).T
    assert x.mean() == pytest.approx(0, abs=0.15)
    assert x.std() == pytest.approx(1, rel=0.15)
    assert np.std(y - x**2) == pytest.approx(0.1, rel=0.15)


def test_the_same_seed_gives_the_same_draws() -> None:
    """Draw for draw."""
    fits = [fit(TOPS[0], DEVIATIONS[0], two_tops)]
    one, other = (draw_about(two_tops, fits, 400, np.random.default_rng(4)) for _ in range(2))
    assert np.array_equal(one, other)


def test_a_density_that_is_zero_about_the_fits_is_refused() -> None:
    """Nothing can be drawn where nothing is possible."""
    start = Fit(np.zeros(2), np.eye(2), 0.0)
    with pytest.raises(ValueError, match="zero nearly everywhere"):
        draw_about(lambda drawn: np.full(drawn.shape[0], -np.inf), [start], 400, np.random.default_rng(5))
