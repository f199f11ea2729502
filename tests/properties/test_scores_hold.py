"""What every score and every pool must keep, whatever was stated and whatever came true."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.weighing.pools import effective_number, linear_pool, logarithmic_pool
from ledger.weighing.scoring import brier_half, brier_original, calibration, decompose, logarithmic

QUICK = settings(max_examples=100, deadline=None, derandomize=True)
SHARES = st.floats(0.01, 1.0)
RECORD = st.lists(
    st.tuples(st.one_of(st.sampled_from([0.0, 0.1, 0.5, 1.0]), st.floats(0.0, 1.0)), st.integers(0, 1)), min_size=1
)


def shared(values):
    return [value / math.fsum(values) for value in values]


@st.composite
def panels(draw):
    """Up to four people's confidences in up to four rivals, none of them 0, and the people's weights."""
    rivals, people = draw(st.integers(2, 4)), draw(st.integers(1, 4))
    rows = [shared(draw(st.lists(SHARES, min_size=rivals, max_size=rivals))) for _ in range(people)]
    return rows, shared(draw(st.lists(SHARES, min_size=people, max_size=people)))


@QUICK
@given(RECORD)
def test_the_parts_add_up(record):
    """Reliability less resolution plus uncertainty is the half Brier score, and no part is below 0."""
    parts = decompose(*zip(*record, strict=True))
    # A few roundings of numbers no greater than one.
    assert parts.reliability - parts.resolution + parts.uncertainty == pytest.approx(parts.brier, abs=2e-15)
    assert min(parts.reliability, parts.resolution, parts.uncertainty) >= 0


@QUICK
@given(RECORD, st.randoms(use_true_random=False))
def test_order_changes_nothing(record, shuffler):
    """The same forecasts in another order score the same to the last digit."""
    other = list(record)
    shuffler.shuffle(other)
    assert decompose(*zip(*record, strict=True)) == decompose(*zip(*other, strict=True))


@QUICK
@given(RECORD)
def test_brier_of_two_classes_is_double(record):
    """Over both classes of a yes-or-no question Brier's own score is twice the half form."""
    stated, came = zip(*record, strict=True)
    assert brier_original([[1 - f, f] for f in stated], came) == pytest.approx(2 * brier_half(stated, came), abs=1e-15)


@QUICK
@given(RECORD)
def test_every_forecast_stands_in_the_table_once(record):
    """The counts of the calibration table sum to the forecasts, by stated forecast and by bin; means keep their bin."""
    stated, came = zip(*record, strict=True)
    for edges in (None, [0.0, 0.3, 0.5, 1.0]):
        lines = calibration(stated, came, edges)
        assert sum(line.count for line in lines) == len(record)
        assert sum(round(line.count * line.share_true) for line in lines) == sum(came)
        assert all(line.low <= line.mean_forecast <= line.high for line in lines)


@QUICK
@given(panels(), st.integers(0, 3))
def test_stating_what_one_believes_scores_best(panel, other):
    """In one's own expectation no stated confidences score better than those one holds: both scores are proper."""
    rows, _ = panel
    held, stated = rows[0], rows[other % len(rows)]
    for score in (brier_original, lambda rows, truths: logarithmic(rows, truths).bits):
        expected = [math.fsum(p * score([row], [truth]) for truth, p in enumerate(held)) for row in (held, stated)]
        assert expected[0] <= expected[1] + 1e-12


@QUICK
@given(panels())
def test_pool_of_equal_confidences_is_that_confidence(panel):
    """Where all say the same, both pools say it too, whatever the weights."""
    rows, weights = panel
    same = [rows[0]] * len(rows)
    assert linear_pool(same, weights) == pytest.approx(rows[0], rel=1e-12)
    assert logarithmic_pool(same, weights) == pytest.approx(rows[0], rel=1e-12)


@QUICK
@given(panels())
def test_pools_sum_to_one(panel):
    """Both pools are confidences: none below 0, and their sum is one."""
    for pool in (linear_pool, logarithmic_pool):
        pooled = pool(*panel)
        assert min(pooled) >= 0
        assert math.fsum(pooled) == pytest.approx(1, abs=1e-12)


@QUICK
@given(panels())
def test_a_sure_pool_is_unanimous(panel):
    """The linear pool is sure of a rival if all are, and not if one of any weight doubts it."""
    rows, weights = panel
    sure = [1.0, *[0.0] * (len(rows[0]) - 1)]
    assert linear_pool([sure] * len(rows), weights) == pytest.approx(sure, abs=1e-15)
    assert linear_pool([sure] * (len(rows) - 1) + [rows[-1]], weights)[0] < 1 - 1e-6


@QUICK
@given(panels())
def test_one_refusal_decides_a_logarithmic_pool(panel):
    """A rival given no chance by one person of any weight has none in the logarithmic pool; no weight, no say."""
    rows, weights = panel
    sure = [1.0, *[0.0] * (len(rows[0]) - 1)]
    assert logarithmic_pool([*rows[:-1], sure], weights) == tuple(sure)
    unheard = logarithmic_pool([*rows, sure], [*weights, 0.0])
    assert unheard == pytest.approx(logarithmic_pool(rows, weights), rel=1e-12)


@QUICK
@given(panels(), st.lists(SHARES, min_size=4, max_size=4))
def test_logarithmic_pool_is_externally_bayesian(panel, likelihoods):
    """Evidence shared by all moves the logarithmic pool the same before pooling and after."""
    rows, weights = panel
    seen = likelihoods[: len(rows[0])]

    def told(row):
        return shared([p * chance for p, chance in zip(row, seen, strict=True)])

    before = logarithmic_pool([told(row) for row in rows], weights)
    assert before == pytest.approx(told(logarithmic_pool(rows, weights)), rel=1e-12)


def test_linear_pool_is_not_externally_bayesian():
    """Evidence shared by all moves the linear pool otherwise before pooling than after, so the test above can fail."""

    def told(row):
        return shared([row[0] * 0.9, row[1] * 0.1])

    rows = [[0.9, 0.1], [0.2, 0.8]]
    assert abs(linear_pool([told(row) for row in rows])[0] - told(linear_pool(rows))[0]) > 0.05


@QUICK
@given(st.lists(st.floats(0.0, 1e3), min_size=1).filter(any), st.floats(1e-3, 1e3))
def test_effective_number_lies_between_one_and_all(weights, scale):
    """The effective number is from 1 to the number of weights, all of them if equal, and knows no scale."""
    number = effective_number(weights)
    assert 1 - 1e-12 <= number <= len(weights) * (1 + 1e-12)
    assert effective_number([1.0] * len(weights)) == len(weights)
    assert effective_number(np.asarray(weights) + 1.0) == pytest.approx(
        effective_number((np.asarray(weights) + 1.0) * scale), rel=1e-12
    )


@given(
    st.lists(st.tuples(st.floats(0.0, 1.0), st.integers(0, 1)), min_size=1, max_size=40),
    st.lists(st.floats(0.01, 0.99), max_size=8, unique=True),
)
def test_parts_over_bins_add_up_whatever_the_bins(pairs, inner):
    """Reliability - resolution + uncertainty + within is the half Brier score for any bins that rise from 0 to 1."""
    stated, came = zip(*pairs, strict=True)
    parts = decompose(stated, came, [0.0, *sorted(inner), 1.0])
    whole = parts.reliability - parts.resolution + parts.uncertainty + parts.within
    assert math.isclose(whole, parts.brier, abs_tol=1e-12)


@given(st.lists(st.tuples(st.floats(0.0, 1.0), st.integers(0, 1)), min_size=1, max_size=40))
def test_nothing_is_left_within_groups_of_equal_forecasts(pairs):
    """Without bins only equal forecasts are taken together, and they leave nothing over."""
    stated, came = zip(*pairs, strict=True)
    assert decompose(stated, came).within == 0.0
