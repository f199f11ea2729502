"""What reading a predicted quantity would tell, against quadrature and by hand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate, stats

from ledger.quantities.notation import parse
from ledger.weighing.looking import worth
from ledger.weighing.reading import told_by_reading
from ledger.weighing.values import NONE

PRIOR = {"a": 0.6, "b": 0.3, NONE: 0.1}


def gain(predicted, doubt=None, prior=PRIOR):
    """Bits of the reading, the confidences being the priors."""
    quantities = {rival: parse(text) for rival, text in predicted.items()}
    return worth(prior, told_by_reading(quantities, doubt or {}, prior)).gain


@pytest.mark.parametrize(("first", "second"), [((0, 1), (2, 1)), ((10, 0.5), (11, 3)), ((5, 1), (9, 1))])
@pytest.mark.parametrize("doubt", [0.0, 0.2])
def test_two_normal_predictions(first, second, doubt):
    """The gain is the integral of p log p over the densities, "none of these" taking their prior-weighted mean."""

    def told(x):
        one, two = stats.norm.pdf(x, *first), stats.norm.pdf(x, *second)
        mean = (0.6 * one + 0.3 * two) / 0.9
        rows = [(0.6, (1 - doubt) * one + doubt * mean), (0.3, (1 - doubt) * two + doubt * mean), (0.1, mean)]
        whole = sum(share * part for share, part in rows)
        return sum(share * part * np.log2(part / whole) for share, part in rows if part > 0)

    expected = integrate.quad(told, -20, 40, points=[first[0], second[0]], limit=800)[0]
    predicted = {"a": f"{first[0]} ± {first[1]} mm (k=1)", "b": f"{second[0]} ± {second[1]} mm (k=1)"}
    assert gain(predicted, {"a": doubt, "b": doubt}) == pytest.approx(expected, rel=1e-3)


def test_predictions_that_never_meet_tell_which_of_the_two():
    """Ranges apart tell a from b for sure; "none of these" keeps its 0.1: 0.9 of the entropy of two thirds."""
    expected = 0.9 * stats.entropy([2 / 3, 1 / 3], base=2)
    for predicted in ({"a": "1..2 mm", "b": "3..5 mm"}, {"a": "9", "b": "5"}, {"a": "1 mm", "b": "3..5 mm"}):
        assert gain(predicted) == pytest.approx(expected, rel=2e-3)


def test_ranges_that_overlap_tell_by_their_overlap():
    """0..2 against 1..3, even priors: half the readings settle it and half say nothing: half a bit."""
    even = {"a": 0.5, "b": 0.5, NONE: 0.0}
    assert gain({"a": "0..2 mm", "b": "1..3 mm"}, prior=even) == pytest.approx(0.5, abs=1e-6)


def test_whole_numbers_by_hand():
    """5 for sure against 5 or 6 evenly: 1 - (3/4) H(1/3) bits of even priors."""
    even = {"a": 0.5, "b": 0.5, NONE: 0.0}
    expected = 1 - 0.75 * stats.entropy([1 / 3, 2 / 3], base=2)
    assert gain({"a": "5", "b": "5: 0.5, 6: 0.5"}, prior=even) == pytest.approx(expected, abs=1e-12)


def test_equal_predictions_tell_nothing():
    """The same prediction under both tells nothing, nor does any where neither model is believed."""
    assert gain({"a": "4 ± 1 mm", "b": "4 ± 1 mm"}) == pytest.approx(0, abs=1e-12)
    assert gain({"a": "4 ± 1 mm", "b": "9 ± 1 mm"}, {"a": 1.0, "b": 1.0}) == pytest.approx(0, abs=1e-12)


def test_a_rival_that_predicts_nothing_takes_the_mean():
    """A third rival's chance of each reading is the prior-weighted mean of the two that predict."""
    prior = {"a": 0.4, "b": 0.2, "c": 0.3, NONE: 0.1}
    table = told_by_reading({"a": parse("5"), "b": parse("6")}, {}, prior)
    assert [says["c"] for says in table.values()] == pytest.approx([2 / 3, 1 / 3])
