"""How pages say chances and decibans."""

from __future__ import annotations

import pytest

from ledger.publishing import words


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.0, "0 %"),
        (0.0004, "under 0.1 %"),
        (0.034, "3 %"),
        (0.0074, "0.7 %"),
        (0.0097, "1 %"),
        (0.06, "6 %"),
        (0.6412, "64 %"),
        (0.957, "96 %"),
        (0.9949, "99 %"),
        (0.9996, "over 99 %"),
        (1.0, "100 %"),
    ],
)
def test_chances_never_round_to_certainty(share: float, said: str) -> None:
    """A chance is shown in whole percents, in tenths below one, and only 0 and 1 themselves as certain."""
    assert words.chance(share).replace("\N{NO-BREAK SPACE}", " ") == said


def test_all_draws_are_no_certainty() -> None:
    """A chance found by drawing is never called 0 or 100 %."""
    assert words.draws(0.0) == "in none of the draws"
    assert words.draws(1.0) == "in all draws"


def test_criteria_are_kept_or_not() -> None:
    """A criterion is kept in so many draws; yes or no is said only where nothing is in doubt."""
    assert [words.kept(share, False) for share in (0.0, 1.0)] == ["kept in none", "kept in all draws"]
    assert words.kept(0.27, False).replace("\N{NO-BREAK SPACE}", " ") == "kept in 27 % of the draws"
    assert [words.kept(share, True) for share in (0.0, 1.0)] == ["no", "yes"]


@pytest.mark.parametrize(
    ("weight", "said", "leaning"),
    [(4.23, "+4.2", "for"), (-0.26, "−0.3", "against"), (0.04, "0.0", "even"), (-0.04, "0.0", "even")],
)
def test_decibans_are_signed(weight: float, said: str, leaning: str) -> None:
    """A weight carries a sign unless it shows as nought, and then leans neither way."""
    assert words.decibans(weight) == said
    assert words.leaning(weight) == leaning


def test_odds_of_a_margin() -> None:
    """Ten decibans are odds of ten to one, three about two to one."""
    assert words.odds(10) == "about 10 to 1"
    assert words.odds(3.0103) == "about 2.0 to 1"
    assert words.odds(-25) == "about 320 to 1"


def test_parts_that_do_not_add_up_are_not_made_to() -> None:
    """An account whose parts do not give its total is shown as it is, not mended."""
    assert words.adding_up([1.0, 1.0], 5.0) == ("+1.0", "+1.0")
