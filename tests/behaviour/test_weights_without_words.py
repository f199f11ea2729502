"""What a weight without a word is told, and the side a word is for."""

from __future__ import annotations

import math

import pytest

from ledger.errors import WeighingRefused
from ledger.weighing.strength import Strength, strength


def test_a_weight_that_is_no_number_is_refused() -> None:
    """NaN has no strength, and the refusal says where to look."""
    with pytest.raises(WeighingRefused, match="no number has no strength; expected decibans"):
        strength(math.nan)


@pytest.mark.parametrize("weight", [math.inf, -math.inf])
def test_a_weight_without_bound_is_refused(weight: float) -> None:
    """An infinite weight is not called very strong: it leaves one side no chance."""
    with pytest.raises(WeighingRefused, match="without bound has no strength; expected a finite number"):
        strength(weight)


def test_a_negative_weight_is_for_the_other_side() -> None:
    """Fourteen decibans are strong either way; none at all are for neither side."""
    assert strength(14.2) == Strength("strong", "for")
    assert strength(-14.2) == Strength("strong", "against")
    assert strength(0.0) == strength(-0.0) == Strength("not worth more than a bare mention", "neither")
