"""What a person is told when forecasts cannot be scored or confidences cannot be pooled."""

import math

import pytest

from ledger.errors import WeighingRefused
from ledger.weighing.pools import effective_number, linear_pool, logarithmic_pool
from ledger.weighing.scoring import brier_half, brier_original, calibration, decompose, logarithmic

EVEN = [[0.5, 0.5], [0.5, 0.5]]


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: brier_half([], []), "the forecasts must be a list of numbers, and not empty"),
        (lambda: brier_half([1.5], [1]), "forecast 1 is 1.5; expected a probability from 0 to 1"),
        (lambda: decompose([math.nan], [1]), "forecast 1 is nan; expected a probability"),
        (lambda: brier_half([0.5, 0.5], [1]), "2 forecasts for 1 outcomes; expected one each"),
        (lambda: brier_half([0.5], [0.5]), "outcome 1 is 0.5; expected 1 (it was so) or 0"),
        (lambda: brier_half(["likely"], [1]), "the forecasts must be a list of numbers"),
        (lambda: calibration([0.5], [1], [0.0, 0.5]), "expected numbers that rise from 0 to 1"),
        (lambda: calibration([0.5], [1], [0.0, 0.5, 0.5, 1.0]), "expected numbers that rise from 0 to 1"),
        (lambda: logarithmic([[0.5, 0.6]], [0]), "row 1 sums to 1.1; expected 1. Divide each by the sum."),
        (lambda: logarithmic([[1.0], [0.5, 0.5]], [0, 0]), "the confidences must be rows of numbers"),
        (lambda: brier_original([[0.5, 0.5]], [2]), "truth 1 is 2; expected a column from 0 to 1"),
        (lambda: brier_original([[0.5, 0.5]], [-1]), "truth 1 is -1; expected a column from 0 to 1"),
        (lambda: brier_original([[0.5, 0.5]], [0, 1]), "1 forecasts for 2 truths; expected one each"),
        (lambda: linear_pool(EVEN, [0.5, 0.6]), "the weights sum to 1.1; expected 1"),
        (lambda: linear_pool(EVEN, [1.5, -0.5]), "weight 2 is -0.5; expected a probability"),
        (lambda: logarithmic_pool(EVEN, [1.0]), "1 weights for 2 people; expected one each"),
        (lambda: logarithmic_pool([[1.0, 0.0], [0.0, 1.0]]), "every rival is given no chance by somebody"),
        (lambda: effective_number([0.0, 0.0]), "none below 0 and one above 0"),
        (lambda: effective_number([1.0, math.inf]), "the weights must be finite"),
    ],
)
def test_what_cannot_be_scored_is_refused(ask, words):
    """What is no forecast, outcome, confidence or weight is refused, with what was expected and how to mend it."""
    with pytest.raises(WeighingRefused) as caught:
        ask()
    assert words in str(caught.value)


def test_all_faults_are_named_at_once():
    """Every fault of one record is named in one refusal, a line each."""
    with pytest.raises(WeighingRefused) as caught:
        brier_half([1.5, 0.5], [1, 2, 0])
    assert len(str(caught.value).splitlines()) == 3
