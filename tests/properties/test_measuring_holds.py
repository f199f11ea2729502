"""What holds of every quantity that is measured again."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.weighing.information import entropy
from ledger.weighing.measuring import measured_again
from ledger.weighing.values import NONE

QUICK = settings(max_examples=40, deadline=None, derandomize=True)


@st.composite
def quantities(draw):
    """Draws of one of a few shapes, criteria of one to three rivals that turn on them or not, and confidences."""
    seed = draw(st.integers(0, 10_000))
    random = np.random.default_rng(seed)
    x = {"normal": random.normal(5, 2, 800), "even": random.random(800), "count": random.integers(1, 4, 800) * 1.0}[
        draw(st.sampled_from(["normal", "even", "count"]))
    ]
    named = [f"h{number}" for number in range(draw(st.integers(1, 4)))]
    tested = named[: draw(st.integers(1, len(named)))]
    holds = {
        rival: (x <= np.quantile(x, draw(st.floats(0, 1)))) ^ (random.random(800) < draw(st.floats(0, 1)))
        for rival in tested
    }
    doubt = {rival: draw(st.floats(0.01, 1)) for rival in tested}
    shares = [draw(st.floats(0.001, 1)) for _ in range(len(named) + 1)]
    confidences = {rival: share / math.fsum(shares) for rival, share in zip((*named, NONE), shares, strict=True)}
    return x, holds, doubt, confidences


@QUICK
@given(quantities())
def test_gain_lies_between_nothing_and_what_is_open(given_):
    """No measurement tells less than nothing or more than there is to know."""
    found = measured_again(*given_)
    assert 0 <= found.gain <= entropy(list(given_[3].values())) + 1e-9
    assert 0 <= found.leader_changes <= 1 + 1e-9
    assert found.correction >= 0


@QUICK
@given(quantities(), st.floats(1e-3, 1e3))
def test_units_change_nothing(given_, ratio):
    """The gain is the same in any unit."""
    x, *rest = given_
    found, other = measured_again(x, *rest), measured_again(x * ratio, *rest)
    assert other.gain == pytest.approx(found.gain, abs=2e-4)
    assert other.correction == pytest.approx(found.correction, abs=2e-5)


@QUICK
@given(quantities())
def test_finer_tells_more(given_):
    """A finer measurement never tells less, but for what chance does to either."""
    coarse, fine = measured_again(*given_, finer=1.5), measured_again(*given_, finer=3.0)
    assert fine.gain + fine.correction >= coarse.gain + coarse.correction - coarse.correction - fine.correction - 1e-6


@QUICK
@given(quantities())
def test_an_order_of_rivals_or_draws_changes_nothing(given_):
    """Draws in another order, rivals in another order: the same gain."""
    x, holds, doubt, confidences = given_
    turn = np.random.default_rng(0).permutation(len(x))
    found = measured_again(x, holds, doubt, confidences)
    other = measured_again(
        x[turn],
        {rival: holds[rival][turn] for rival in reversed(holds)},
        doubt,
        dict(reversed(confidences.items())),
    )
    assert other.gain == pytest.approx(found.gain, abs=1e-9)
    assert other.leader_changes == pytest.approx(found.leader_changes, abs=1e-9)


@QUICK
@given(quantities(), st.floats(0.1, 0.9))
def test_splitting_a_rival_changes_nothing(given_, share):
    """A rival split into two with the same criteria leaves the gain."""
    x, holds, doubt, confidences = given_
    split = {**confidences, "h0": confidences["h0"] * share, "twin": confidences["h0"] * (1 - share)}
    found = measured_again(x, holds, doubt, confidences)
    other = measured_again(x, {**holds, "twin": holds["h0"]}, {**doubt, "twin": doubt["h0"]}, split)
    assert other.gain == pytest.approx(found.gain, abs=1e-9)


@QUICK
@given(quantities())
def test_nothing_to_tell_tells_nothing(given_):
    """No doubt in the quantity, criteria that always hold, models that are not believed, or one rival sure: no gain."""
    x, holds, doubt, confidences = given_
    still = np.full_like(x, 3.0)
    sure = dict.fromkeys(confidences, 0.0) | {"h0": 1.0}
    everywhere = {rival: np.ones(len(x), dtype=bool) for rival in holds}
    for trial in (
        (still, holds, doubt, confidences),
        (x, everywhere, doubt, confidences),
        (x, holds, dict.fromkeys(doubt, 1.0), confidences),
        (x, holds, doubt, sure),
    ):
        assert measured_again(*trial).gain == pytest.approx(0, abs=1e-9)
