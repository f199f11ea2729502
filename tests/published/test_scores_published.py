"""Printed scores of forecasts, and the printed effective number of a weighted sample."""

import math

import numpy as np
import pytest

from ledger.weighing.pools import effective_number
from ledger.weighing.scoring import brier_half, brier_original, calibration, decompose, logarithmic

# Finley, American Meteorological Journal 1 (1884): tornado said and seen, said only, seen only, neither.
HITS, FALSE_ALARMS, MISSES, NEITHER = 28, 72, 23, 2680
SEEN = [1] * HITS + [0] * FALSE_ALARMS + [1] * MISSES + [0] * NEITHER
SAID = [1.0] * (HITS + FALSE_ALARMS) + [0.0] * (MISSES + NEITHER)


def test_four_forecasts_have_the_printed_half_brier_score():
    """PRB-9: forecasts .1 .9 .8 .3 of what was not, was, was, was not score 0.0375 by halves, and double by classes.

    scikit-learn, documentation of brier_score_loss; the doubling: Brier 1950, whose own sum is over classes.
    """
    assert brier_half([0.1, 0.9, 0.8, 0.3], [0, 1, 1, 0]) == pytest.approx(0.0375, abs=1e-12)
    both = [[1 - f, f] for f in (0.1, 0.9, 0.8, 0.3)]
    assert brier_original(both, [0, 1, 1, 0]) == pytest.approx(0.0750, abs=1e-12)


def test_three_classes_have_the_printed_brier_score():
    """Three forecasts over three classes score 0.146 (cut off, not rounded).

    scikit-learn, documentation of brier_score_loss, the example of several classes; figures from memory.
    """
    rows = [[0.8, 0.1, 0.1], [0.2, 0.7, 0.1], [0.2, 0.2, 0.6]]
    assert math.floor(1000 * brier_original(rows, [0, 1, 2])) == 146


def test_four_letters_have_the_printed_logarithmic_score():
    """The score of four sorted letters is 0.21616 in natural units, so 0.21616 / ln 2 in bits.

    scikit-learn, documentation of log_loss; figures from memory.
    """
    score = logarithmic([[0.1, 0.9], [0.9, 0.1], [0.8, 0.2], [0.35, 0.65]], [1, 0, 0, 1])
    assert score.bits * math.log(2) == pytest.approx(0.21616, abs=0.5e-5)


def test_tornado_forecasts_were_right_as_often_as_printed():
    """Finley's sure forecasts were right in 96.6 %, and always "no tornado" in 98.2 %: of a sure forecast the half
    Brier score is the share of failures.

    Table and both figures: Australian Bureau of Meteorology, forecast verification pages, Finley (1884).
    """
    assert 100 * (1 - brier_half(SAID, SEEN)) == pytest.approx(96.6, abs=0.05)
    assert 100 * (1 - brier_half([0.0] * len(SEEN), SEEN)) == pytest.approx(98.2, abs=0.05)


def test_tornado_calibration_gives_the_printed_shares():
    """Of Finley's "tornado", 72 % were false alarms; slightly more than half, 28 of 51, of all tornadoes were foretold;
    28 of the 123 foretold or seen were both, 23 %.

    As above: false alarm ratio, probability of detection, threat score.
    """
    no, yes = calibration(SAID, SEEN)
    assert (no.count, yes.count) == (2703, 100)
    assert 100 * (1 - yes.share_true) == pytest.approx(72, abs=0.5)
    hits, misses = yes.count * yes.share_true, no.count * no.share_true
    assert hits / (hits + misses) == pytest.approx(28 / 51, rel=1e-12)
    assert 100 * hits / (yes.count + misses) == pytest.approx(23, abs=0.5)


def test_tornado_forecasts_separated_as_printed():
    """Finley's forecasts told tornado from none by 52 % (Peirce's score), which fixes their resolution.

    Peirce's score: as above. Two stated forecasts of shares a and 1 - a have RES = (PSS o (1 - o))² / (a (1 - a)).
    """
    share, said = 51 / 2803, 100 / 2803
    resolution = decompose(SAID, SEEN).resolution
    peirce = math.sqrt(resolution * said * (1 - said)) / (share * (1 - share))
    assert 100 * peirce == pytest.approx(52, abs=0.5)


def test_sure_and_wrong_tornado_forecasts_score_infinitely():
    """Finley said "surely" 95 times of what was not so: the logarithmic score is infinite, by 95 forecasts."""
    score = logarithmic([[1 - said, said] for said in SAID], SEEN)
    assert score.bits == math.inf
    assert score.infinite == FALSE_ALARMS + MISSES
    assert score.finite == 0.0


def test_rain_forecasts_have_the_printed_share_of_rain():
    """Twelve stated chances of rain with their shares of use and of rain give rain in 0.162 of all cases.

    Wilks, Statistical Methods in the Atmospheric Sciences, table 7.3, p. 246; figures second hand (examples of the R
    package verification, with the misprints 0.245 and 0.203 mended: only so do the shares of use sum to one).
    """
    stated = [0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0]
    rain = [0.006, 0.019, 0.059, 0.15, 0.277, 0.377, 0.511, 0.587, 0.723, 0.779, 0.934, 0.933]
    used = [4112, 671, 1833, 986, 616, 366, 303, 275, 245, 220, 170, 203]
    wet = [round(count * share) for count, share in zip(used, rain, strict=True)]
    forecasts = np.repeat(stated, used)
    outcomes = np.concatenate([np.repeat([1, 0], [w, n - w]) for w, n in zip(wet, used, strict=True)])
    lines = calibration(forecasts, outcomes)
    # Half a last digit of the printed total, and half a one of the printed shares it is made of.
    assert sum(line.count * line.share_true for line in lines) / 10_000 == pytest.approx(0.162, abs=1e-3)
    # Whole counts move a share by half a case at most.
    assert [line.share_true for line in lines] == pytest.approx(rain, abs=0.5 / min(used))
    assert decompose(forecasts, outcomes).uncertainty == pytest.approx(0.162 * 0.838, abs=0.5e-3)


def test_weighted_sample_has_the_printed_effective_number():
    """PRB-8: 467 weights whose deviation is 0.236 of their mean tell as much as 442 equal ones; the effect is 1.056.

    Kish, Survey Sampling (1965); numbers: documentation example of a survey-weighting R package.
    """
    spread = np.arange(467.0)
    weights = 1 + 0.236 * (spread - spread.mean()) / spread.std()
    assert effective_number(weights) == pytest.approx(442, abs=0.5)
    assert 467 / effective_number(weights) == pytest.approx(1.056, abs=0.5e-3)
