"""Scores and pools against a general library and against sums done by hand."""

import math

import numpy as np
import pytest
from scipy.special import softmax
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss, log_loss

from ledger.weighing.pools import effective_number, linear_pool, logarithmic_pool
from ledger.weighing.scoring import CalibrationLine, brier_half, brier_original, calibration, decompose, logarithmic


@pytest.mark.parametrize("seed", range(20))
def test_scores_are_the_librarys(seed):
    """Both Brier scores and the logarithmic score are those of scikit-learn."""
    chance = np.random.default_rng(seed)
    rows, truths = chance.dirichlet(np.ones(4), size=60), chance.integers(0, 4, size=60)
    stated, came = rows[:, 0], (truths == 0).astype(int)
    assert brier_half(stated, came) == pytest.approx(brier_score_loss(came, stated), rel=1e-12)
    assert brier_original(rows, truths) == pytest.approx(
        brier_score_loss(truths, rows, labels=range(4), scale_by_half=False), rel=1e-12
    )
    assert logarithmic(rows, truths).bits == pytest.approx(
        log_loss(truths, rows, labels=range(4)) / math.log(2), rel=1e-12
    )


@pytest.mark.parametrize("seed", range(10))
def test_calibration_in_bins_is_the_librarys(seed):
    """Ten equal bins hold the means and shares of scikit-learn's calibration curve."""
    chance = np.random.default_rng(seed)
    stated = chance.uniform(size=300)
    came = (chance.uniform(size=300) < stated**2).astype(int)
    shares, means = calibration_curve(came, stated, n_bins=10)
    lines = calibration(stated, came, [number / 10 for number in range(11)])
    assert [line.share_true for line in lines] == pytest.approx(list(shares), rel=1e-12)
    assert [line.mean_forecast for line in lines] == pytest.approx(list(means), rel=1e-12)


def test_parts_by_hand():
    """Of .2 .2 .2 .2 .5 .5, one of four and one of two true: REL 1/600, RES 1/72, UNC 2/9."""
    parts = decompose([0.2, 0.2, 0.2, 0.2, 0.5, 0.5], [1, 0, 0, 0, 1, 0])
    assert parts.reliability == pytest.approx(4 * 0.05**2 / 6, rel=1e-12)
    assert parts.resolution == pytest.approx((4 * (1 / 12) ** 2 + 2 * (1 / 6) ** 2) / 6, rel=1e-12)
    assert parts.uncertainty == pytest.approx(2 / 9, rel=1e-12)
    assert parts.brier == pytest.approx((0.64 + 3 * 0.04 + 2 * 0.25) / 6, rel=1e-12)


def test_bins_hold_their_lower_edge_and_the_last_both():
    """A forecast on an edge belongs to the bin above, the sure forecast to the last, and empty bins have no line."""
    assert calibration([0.5, 1.0, 0.0], [1, 0, 0], [0.0, 0.25, 0.5, 1.0]) == (
        CalibrationLine(0.0, 0.25, 1, 0.0, 0.0),
        CalibrationLine(0.5, 1.0, 2, 0.75, 0.5),
    )


def test_logarithmic_score_by_hand():
    """Chances of a half and a quarter given to the truth cost 1 and 2 bits; no chance costs infinitely much."""
    assert logarithmic([[0.5, 0.5], [0.25, 0.75]], [0, 0]).bits == 1.5
    score = logarithmic([[0.5, 0.5], [0.0, 1.0]], [0, 0])
    assert (score.bits, score.infinite, score.finite) == (math.inf, 1, 1.0)
    only = logarithmic([[0.0, 1.0]], [0])
    assert (only.bits, only.infinite, only.finite) == (math.inf, 1, None)


def test_pools_by_hand():
    """Weights 3/4 and 1/4 on .8 and .4 make .7 linearly; odds 4 and 1/4 of equal weight make odds 1 by logarithms."""
    assert linear_pool([[0.8, 0.2], [0.4, 0.6]], [0.75, 0.25]) == pytest.approx((0.7, 0.3), rel=1e-12)
    assert logarithmic_pool([[0.8, 0.2], [0.2, 0.8]]) == pytest.approx((0.5, 0.5), rel=1e-12)


@pytest.mark.parametrize("seed", range(10))
def test_logarithmic_pool_is_a_softmax_of_mean_logarithms(seed):
    """The logarithmic pool is scipy's softmax of the weighted mean of the logarithms."""
    chance = np.random.default_rng(seed)
    rows, weights = chance.dirichlet(np.ones(5), size=3), chance.dirichlet(np.ones(3))
    assert logarithmic_pool(rows, weights) == pytest.approx(tuple(softmax(weights @ np.log(rows))), rel=1e-12)


def test_effective_number_by_hand():
    """Weights 1, 1, 2 tell as much as 16/6 equal ones."""
    assert effective_number([1, 1, 2]) == pytest.approx(16 / 6, rel=1e-12)


def test_what_a_bin_leaves_over_by_hand():
    """Of .1 (false) and .3 (true) in one bin: REL .09, RES 0, UNC .25, variance .01 less twice the covariance .05."""
    parts = decompose([0.1, 0.3], [0, 1], [0.0, 1.0])
    assert parts.reliability == pytest.approx(0.09, rel=1e-12)
    assert parts.resolution == pytest.approx(0.0, abs=1e-15)
    assert parts.uncertainty == pytest.approx(0.25, rel=1e-12)
    assert parts.within == pytest.approx(0.01 - 2 * 0.05, rel=1e-12)
    assert parts.brier == pytest.approx((0.01 + 0.49) / 2, rel=1e-12)
