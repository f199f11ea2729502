"""The words for weights, and the scales they come from (PRB-5, PRB-6)."""

from __future__ import annotations

import math

import pytest

from ledger.weighing.strength import STEPS, strength
from ledger.weighing.weights import decibans

BARE, POSITIVE, STRONG, VERY = "not worth more than a bare mention", "positive", "strong", "very strong"


@pytest.mark.parametrize(
    ("ratio", "word"),
    [
        (1, BARE),
        (2.999, BARE),
        (3, BARE),
        (3.001, POSITIVE),
        (10, POSITIVE),
        (20, POSITIVE),
        (20.001, STRONG),
        (100, STRONG),
        (150, STRONG),
        (150.001, VERY),
        (1e9, VERY),
    ],
)
def test_ratios_have_the_printed_words(ratio: float, word: str) -> None:
    """PRB-5: B of 1 to 3, 3 to 20, 20 to 150 and above 150; a shared bound goes to the weaker word.

    Kass & Raftery, Bayes Factors, JASA 90(430) (1995) 773-795, section 3.2 (from memory), column B.
    """
    assert strength(decibans(ratio)).word == word
    assert strength(decibans(1 / ratio)).word == word


def test_the_printed_columns_are_rounded_and_not_the_same() -> None:
    """PRB-5: the second column prints 0, 2, 6, 10 where 2 ln B is 0, 2.20, 5.99, 10.02. Kass & Raftery, as above."""
    assert [step.above for step in STEPS] == [1, 3, 20, 150]
    doubled = [2 * math.log(step.above) for step in STEPS]
    assert doubled == pytest.approx([0, 2.20, 5.99, 10.02], abs=0.005)
    assert doubled != pytest.approx([0, 2, 6, 10], abs=0.005)


@pytest.mark.parametrize(
    ("doubled", "by_second_column", "ours"), [(2.1, POSITIVE, BARE), (5.995, POSITIVE, STRONG), (10.01, VERY, STRONG)]
)
def test_where_the_columns_differ_the_first_holds(doubled: float, by_second_column: str, ours: str) -> None:
    """PRB-5: a word taken from 2 ln B instead of B would be another one, and is not given."""
    word = strength(decibans(math.exp(doubled / 2))).word
    assert word == ours
    assert word != by_second_column


def test_the_older_scale_has_steps_of_five_decibans() -> None:
    """PRB-6: 10^(1/2) = 3.162, 10, 10^(3/2) = 31.62, 100 are 5, 10, 15, 20 decibans.

    Jeffreys, Theory of Probability, 3rd ed. (1961), App. B; from memory, exact mathematics.
    """
    assert [decibans(ratio) for ratio in (3.162, 10, 31.62, 100)] == pytest.approx([5, 10, 15, 20], abs=1e-3)
    assert [decibans(10 ** (half / 2)) for half in (1, 2, 3, 4)] == pytest.approx([5, 10, 15, 20], abs=1e-12)


def test_the_relabelled_list_is_another_scale() -> None:
    """PRB-6: the bounds 3 and 30 of the later relabelled list are not those half steps.

    The list of 1, 3, 10, 30, 100 is Lee & Wagenmakers's, not Jeffreys's.
    """
    assert [decibans(ratio) for ratio in (3, 30)] != pytest.approx([5, 15], abs=0.1)


def test_no_word_of_another_scale_is_ever_said() -> None:
    """PRB-6: words of the older and of the relabelled scale never come out; two scales are not mixed."""
    said = {strength(tenths / 10).word for tenths in range(-400, 401)}
    assert said == {BARE, POSITIVE, STRONG, VERY}
    assert not said & {"anecdotal", "moderate", "extreme", "substantial", "decisive"}
