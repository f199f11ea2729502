"""The words of the grades, and that our numbers keep their order and their meaning."""

from itertools import pairwise

import pytest

from ledger.errors import WeighingRefused
from ledger.quantities.chance import Chance
from ledger.weighing.grades import (
    CREDIBILITY,
    CREDIBILITY_WORDS,
    RELIABILITY,
    RELIABILITY_WORDS,
    adjusted,
    middles,
    tracking,
)

TABLES = pytest.mark.parametrize("table", [RELIABILITY, CREDIBILITY], ids=["reliability", "credibility"])


def test_the_words_of_the_grades():
    """PRB-4: the grades mean what NATO AJP-2.1 (STANAG 2511) says of them; the printed table was seen second hand."""
    assert list(RELIABILITY_WORDS.items()) == [
        ("A", "completely reliable"),
        ("B", "usually reliable"),
        ("C", "fairly reliable"),
        ("D", "not usually reliable"),
        ("E", "unreliable"),
        ("F", "reliability cannot be judged"),
    ]
    assert list(CREDIBILITY_WORDS.items()) == [
        ("1", "confirmed by other sources"),
        ("2", "probably true"),
        ("3", "possibly true"),
        ("4", "doubtful"),
        ("5", "improbable"),
        ("6", "truth cannot be judged"),
    ]


@TABLES
def test_a_better_grade_is_a_higher_chance(table):
    """The five judged grades fall from best to worst, without gap or overlap, and never reach 0 or 1."""
    judged = list(table.values())[:5]
    assert all(better.low == worse.high for better, worse in pairwise(judged))
    assert all(0 < chance.low < chance.high < 1 for chance in judged)


@TABLES
def test_no_basis_to_judge_is_not_the_worst(table):
    """PRB-4: F and 6 mean "no basis" (AJP-2.1): the widest range, about an even chance, above the worst grade."""
    *judged, unjudged = table.values()
    assert unjudged.middle == pytest.approx(0.5)
    assert unjudged.middle > judged[-1].middle
    assert unjudged.high - unjudged.low > max(chance.high - chance.low for chance in judged)


def test_an_investigation_adjusts_a_table():
    """An investigation's own chances replace ours, grade by grade, and leave ours as they were."""
    own = Chance(low=0.7, high=0.9, word=None)
    table = adjusted(RELIABILITY, {"B": own})
    assert (table["B"], table["A"], list(table)) == (own, RELIABILITY["A"], list(RELIABILITY))
    assert RELIABILITY["B"] != own
    assert middles(table)["B"] == pytest.approx(0.8)


def test_an_unknown_grade_is_refused():
    """A grade that the table does not have is refused by name."""
    with pytest.raises(WeighingRefused, match="no grade G; expected one of A, B, C, D, E, F"):
        adjusted(RELIABILITY, {"G": Chance(low=0.1, high=0.2, word=None)})


def test_a_retelling_multiplies():
    """A note tracks its origin with r times the R of each retelling on the way: 0.9 · 0.8 · 0.5 = 0.36."""
    assert tracking(0.9) == 0.9
    assert tracking(0.9, [0.8, 0.5]) == pytest.approx(0.36, rel=1e-15)


@pytest.mark.parametrize(("credibility", "retellings"), [(1.1, []), (0.5, [-0.1]), (float("nan"), [])])
def test_a_retelling_of_no_chance_is_refused(credibility, retellings):
    """A chance outside 0 … 1, or NaN, is refused."""
    with pytest.raises(WeighingRefused, match="expected 0 to 1"):
        tracking(credibility, retellings)
