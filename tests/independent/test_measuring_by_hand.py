"""What measuring again would tell, against closed forms, numerical integration, weighing anew, and draws of no use."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate, stats

from ledger.weighing.measuring import measured_again
from ledger.weighing.values import NONE, Case, Feasibility
from ledger.weighing.weigh import weigh


def threshold(limit, doubt, share, finer=2.0):
    """Bits that a measurement tells of a rival that needs x ≤ limit, x ~ N(0, 1), against one that needs nothing.

    With σ² = 1/(n² - 1): m ~ N(0, 1 + σ²), x | m ~ N(m/(1 + σ²), σ²/(1 + σ²)); the integral over m by quadrature.
    """
    noise = 1 / (finer**2 - 1)
    spread = np.sqrt(noise / (1 + noise))
    holds = (1 - doubt) * stats.norm.cdf(limit) + doubt

    def told(m):
        kept = ((1 - doubt) * stats.norm.cdf((limit - m / (1 + noise)) / spread) + doubt) / holds
        mean = share * kept + 1 - share
        first = share * kept * np.log2(kept / mean) if kept > 0 else 0.0
        return stats.norm.pdf(m, scale=np.sqrt(1 + noise)) * (first - (1 - share) * np.log2(mean))

    return integrate.quad(told, -9, 9, limit=400)[0]


def quantiles(count):
    """Draws of a normal quantity without any chance in them: its quantiles."""
    return stats.norm.ppf((np.arange(count) + 0.5) / count)


CASES = [(0.0, 0.0, 0.5), (1.0, 0.05, 0.6), (-1.5, 0.05, 0.3), (2.0, 0.05, 0.5), (0.3, 0.3, 0.8)]


@pytest.mark.parametrize(("limit", "doubt", "share"), CASES)
@pytest.mark.parametrize("finer", [2.0, 4.0])
def test_a_threshold_on_a_normal_quantity(limit, doubt, share, finer):
    """The gain is that of the closed form, to a thousandth of itself and the step of 20,000 even draws."""
    x = quantiles(20_000)
    chances = {"tested": share, "other": 1 - share, NONE: 0.0}
    found = measured_again(x, {"tested": x <= limit}, {"tested": doubt}, chances, finer=finer)
    assert found.gain + found.correction == pytest.approx(threshold(limit, doubt, share, finer), rel=5e-3, abs=2e-5)


def test_a_coarser_measurement_is_told_apart():
    """Had the doubt been divided by √2 in place of 2, the gain would be off by a third: the check can fail."""
    x = quantiles(20_000)
    coarse = measured_again(x, {"a": x <= 0}, {"a": 0.0}, {"a": 0.5, "b": 0.5, NONE: 0.0}, finer=np.sqrt(2))
    assert coarse.gain < 0.75 * threshold(0.0, 0.0, 0.5)


@pytest.mark.parametrize(("limit", "doubt", "share"), CASES[:3])
def test_draws_by_chance_agree_on_the_mean(limit, doubt, share):
    """Over many seeded draws of a thousand the mean of the gain is that of the closed form, within its own scatter."""
    found = []
    for seed in range(40):
        x = np.random.default_rng(seed).normal(size=1000)
        chances = {"tested": share, "other": 1 - share, NONE: 0.0}
        found.append(measured_again(x, {"tested": x <= limit}, {"tested": doubt}, chances).gain)
    assert np.mean(found) == pytest.approx(threshold(limit, doubt, share), abs=4 * np.std(found) / np.sqrt(40))


def idle(seed, count=500):
    """A measurement that nothing turns on: three rivals' criteria hold by chance."""
    random = np.random.default_rng(seed)
    holds = {"a": random.random(count) < 0.3, "b": random.random(count) < 0.6}
    chances = {"a": 0.4, "b": 0.3, "c": 0.2, NONE: 0.1}
    return measured_again(random.normal(size=count), holds, {"a": 0.05, "b": 0.1}, chances)


def test_an_input_that_does_not_matter_tells_nothing():
    """Without the correction five hundred draws would tell some 0.001 bit of nothing; with it a quarter is left.

    What is left comes of gains below 0 being shown as 0; and few of these gains exceed their own correction, below
    which a gain counts for nothing.
    """
    found = [idle(seed) for seed in range(120)]
    plain = np.mean([one.gain + one.correction for one in found if one.gain > 0])
    assert plain > 1.5e-3
    assert np.mean([one.correction for one in found]) > 5e-4
    assert np.mean([one.gain for one in found]) < 6e-4
    assert np.mean([one.gain > one.correction for one in found]) < 0.2
    assert np.mean([one.leader_changes for one in found]) < 0.005


def test_correction_falls_as_draws_grow():
    """Sixteen times the draws leave a sixteenth of the correction."""
    few, many = (np.mean([idle(seed, count).correction for seed in range(20)]) for count in (500, 8000))
    assert few / many == pytest.approx(16, rel=0.25)


def test_a_hopeless_measurement_needs_no_correction():
    """Seventy times as coarse as the doubt, a reading weighs all draws alike: chance adds nothing, and none comes off.

    Chance in the share of draws that hold is not chance in the reading: one in two would otherwise be 0.0007 bit.
    """
    x = np.random.default_rng(3).normal(size=500)
    found = measured_again(x, {"a": x <= 0}, {"a": 0.0}, {"a": 0.5, "b": 0.5, NONE: 0.0}, finer=1.0001)
    assert found.gain == pytest.approx(0, abs=1e-4)
    assert found.correction < 2e-5


def test_correction_is_what_chance_adds():
    """Over many draws the gain before correction exceeds the truth by the correction, also where it is not 0."""
    excess, corrections = [], []
    random = np.random.default_rng(1)
    for _ in range(300):
        x = random.normal(size=200)
        held = random.random(200) < 0.3 + 0.4 * (x > 0)
        found = measured_again(x, {"a": held}, {"a": 0.05}, {"a": 0.5, "b": 0.5, NONE: 0.0})
        excess.append(found.gain + found.correction if found.gain else np.nan)
        corrections.append(found.correction)
    even = quantiles(40_000)
    pairs = np.repeat(even, 10)
    held = np.tile(np.arange(10), len(even)) < np.where(pairs > 0, 7, 3)
    exact = measured_again(pairs, {"a": held}, {"a": 0.05}, {"a": 0.5, "b": 0.5, NONE: 0.0})
    truth = exact.gain + exact.correction
    assert np.nanmean(excess) - truth == pytest.approx(np.mean(corrections), rel=0.4)


def weighed_anew(x, holds, doubt, prior, m, noise):
    """Confidences with every feasibility as it would be were m read: draws weighted by the density of m."""
    weight = np.exp(-0.5 * ((m - x) / noise) ** 2)
    weight /= weight.sum()
    parts = tuple(
        Feasibility(rival, min(1.0, float(weight @ held)), doubt[rival], ("c",)) for rival, held in holds.items()
    )
    return weight, {one.rival: one.confidence for one in weigh(Case("q", prior, {}, feasibilities=parts)).standings}


def test_it_is_weighing_anew_with_what_was_read():
    """Gain and chance of a changed leader are those of weighing the question anew at each reading.

    Both rivals' criteria stand on the same x, one holds where it is low, one where it is high.
    """
    x = quantiles(4000)
    holds, doubt = {"low": x <= -0.2, "high": x >= 0.1}, {"low": 0.05, "high": 0.1}
    prior = {"low": 0.4, "high": 0.4, "free": 0.1, NONE: 0.1}
    now = weigh(
        Case("q", prior, {}, feasibilities=tuple(
            Feasibility(rival, float(held.mean()), doubt[rival], ("c",)) for rival, held in holds.items()
        ))
    )  # fmt: skip
    confidences = {one.rival: one.confidence for one in now.standings}
    noise = float(np.std(x)) / np.sqrt(3)
    found = measured_again(x, holds, doubt, confidences)
    step = 0.01
    before = -sum(chance * np.log2(chance) for chance in confidences.values())
    gain = changes = total = 0.0
    for m in np.arange(-5, 5, step):
        _, after = weighed_anew(x, holds, doubt, prior, m, noise)
        density = float(np.mean(stats.norm.pdf(m, x, noise)))
        kept = sum(
            confidences[rival] * float(
                np.average((1 - doubt[rival]) * held + doubt[rival], weights=stats.norm.pdf(m, x, noise))
                / np.mean((1 - doubt[rival]) * held + doubt[rival])
            )
            for rival, held in holds.items()
        ) + confidences["free"] + confidences[NONE]  # fmt: skip
        chance = density * kept * step
        total += chance
        gain += chance * (before + sum(share * np.log2(share) for share in after.values() if share > 0))
        changes += chance * (max(after, key=after.get) != now.leader)
    assert total == pytest.approx(1, abs=1e-3)
    assert found.gain + found.correction == pytest.approx(gain, rel=3e-3)
    assert found.leader_changes == pytest.approx(changes, abs=0.02)


def test_what_is_shared_is_counted_once():
    """Two rivals whose criteria turn on the same input the same way are not told apart by it."""
    x = quantiles(5000)
    both = measured_again(x, dict.fromkeys("ab", x <= 0.5), dict.fromkeys("ab", 0.05), {"a": 0.5, "b": 0.5, NONE: 0.0})
    assert both.gain == pytest.approx(0, abs=1e-12)
    crossed = measured_again(x, {"a": x <= 0, "b": x > 0}, dict.fromkeys("ab", 0.05), {"a": 0.5, "b": 0.5, NONE: 0.0})
    alone = measured_again(x, {"a": x <= 0}, {"a": 0.05}, {"a": 0.5, "b": 0.5, NONE: 0.0})
    assert crossed.gain > 1.5 * alone.gain


def test_a_count_is_read_value_by_value():
    """A count of 30 or 31 with a reading of σ = s/√3 about each: the gain is that of two normal densities."""
    x = np.repeat([30.0, 31.0], [2000, 8000])
    noise = float(np.std(x)) / np.sqrt(3)
    found = measured_again(x, {"a": x == 30}, {"a": 0.0}, {"a": 0.5, "b": 0.5, NONE: 0.0})

    def told(m):
        one, two = stats.norm.pdf(m, 30, noise), stats.norm.pdf(m, 31, noise)
        a, b = one, 0.2 * one + 0.8 * two
        mean = 0.5 * a + 0.5 * b
        return sum(0.5 * part * np.log2(part / mean) if part > 0 else 0.0 for part in (a, b))

    assert found.gain == pytest.approx(integrate.quad(told, 28, 33, points=[30, 31], limit=200)[0], rel=2e-3)
