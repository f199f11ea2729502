"""How pages say chances and decibans."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from ledger.entries.models import Source
from ledger.errors import WeighingRefused
from ledger.publishing import impacts, words
from ledger.quantities import percents
from tests.casebook_calculators import REGISTER
from tests.casebooks import casebook, pages_of


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.0, "0 %"),
        (0.0025, "0.3 %"),
        (0.105, "11 %"),
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
    assert percents.chance(share).replace("\N{NO-BREAK SPACE}", " ") == said


def test_all_draws_are_no_certainty() -> None:
    """A chance found by drawing is never called 0 or 100 %."""
    assert percents.draws(0.0) == "in none of the draws"
    assert percents.draws(1.0) == "in all draws"


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


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.82, "82 % – very likely"),
        (0.8, "80 % – likely"),
        (0.5, "50 % – roughly even chance"),
        (0.01, "1 % – almost no chance"),
        (0.99, "99 % – almost certain"),
        (0.0097, "under 1 % – below the ladder"),
        (0.0074, "0.7 % – below the ladder"),
        (0.0004, "under 0.1 % – below the ladder"),
        (0.9949, "over 99 % – above the ladder"),
        (0.9999, "over 99 % – above the ladder"),
        (0, "0 % – below the ladder"),
        (1, "100 % – above the ladder"),
    ],
)
def test_a_confidence_has_its_word(share: float, said: str) -> None:
    """A confidence is a number and its ICD 203 word; off the ladder no word is lent, and no rounding puts it back."""
    assert words.confidence(share).replace("\N{NO-BREAK SPACE}", " ") == said


@pytest.mark.parametrize("share", [-0.01, 1.01, math.nan])
def test_what_is_no_chance_is_no_confidence(share: float) -> None:
    """A number outside 0 to 1 is refused, not shown."""
    with pytest.raises(ValueError, match="no chance"):
        words.confidence(share)


@pytest.mark.parametrize(
    ("weight", "said"),
    [
        (14.2, "+14.2 decibans – strong"),
        (-14.2, "−14.2 decibans – strong for the other side"),
        (8.1, "+8.1 decibans – positive"),
        (30, "+30.0 decibans – very strong"),
        (-0.04, "0.0 decibans – not worth more than a bare mention"),
        (math.inf, "beyond measure"),
        (-math.inf, "beyond measure for the other side"),
    ],
)
def test_a_weight_has_its_word(weight: float, said: str) -> None:
    """Decibans stand with the word of Kass and Raftery, and which side it is for is said where the sign is minus."""
    assert words.weighed(weight) == said


def test_a_weight_that_is_no_number_is_not_shown() -> None:
    """NaN is refused rather than put into words."""
    with pytest.raises(WeighingRefused, match="no number"):
        words.weighed(math.nan)


def test_a_margin_has_one_scale() -> None:
    """A margin is named on the scale of Kass and Raftery, by name, and the table for readers is that scale."""
    assert words.margin(8.1) == "“positive” on the Kass–Raftery scale"
    assert [row[2] for row in words.margins()] == [
        "not worth more than a bare mention",
        "positive",
        "strong",
        "very strong",
    ]


@pytest.mark.parametrize(
    ("share", "stated", "said"),
    [
        (0.0337, 0.55, "3.3"),
        (0.355, 0.3, "36"),
        (0.1553, 0.6, "15"),
        (0.9949, 0.5, "99.5"),
        (1.0, 0.5, "100"),
    ],
)
def test_a_threshold_is_rounded_so_that_it_is_passed(share: float, stated: float, said: str) -> None:
    """Two digits, away from where the chance stands: the printed value does what the exact one does."""
    assert words.beyond(share, stated) == f"{said}{percents.PERCENT}"


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (0.706, 0.5549, f"{words.MINUS}16 points"),
        (0.705001, 0.714, "by less than a point"),
        (0.704, 0.7051, "+1 point"),
        (0.0091, 0.3, "+29 points"),
        (0.996, 0.97, f"{words.MINUS}3 points"),
    ],
)
def test_points_agree_with_the_percents_beside_them(before: float, after: float, said: str) -> None:
    """Where both percents are shown whole, the points are their difference; else the difference itself, rounded."""
    assert impacts.points(before, after) == said


def test_standing_follows_the_share_of_the_draws() -> None:
    """Kept from 95 % of the draws, missed up to 5 %, open between, and no colour of keeping at an even chance."""
    said = [words.standing(share) for share in (1.0, 0.95, 0.949, 0.62, 0.38, 0.051, 0.04, 0.0)]
    assert said == ["for", "for", "even", "even", "even", "even", "against", "against"]


@pytest.mark.parametrize(
    ("author", "said"),
    [
        ("A retired gear cutter", "Book by a retired gear cutter, 2009"),
        ("An engineer, name kept back", "Book by an engineer, name kept back, 2009"),
        ("The raid's own broadcast", "Book by the raid's own broadcast, 2009"),
        ("the owner", "Book by the owner, 2009"),
        ("Anna Halgrim", "Book by Anna Halgrim, 2009"),
        ("A. Halgrim", "Book by A. Halgrim, 2009"),
        ("A Halgrim", "Book by A Halgrim, 2009"),
        ("The Winding Room Press", "Book by The Winding Room Press, 2009"),
        ("A", "Book by A, 2009"),
    ],
)
def test_an_article_is_small_within_a_phrase_and_a_name_stays_as_written(author: str, said: str) -> None:
    """A credit reads as a sentence does: articles are small in it, and names as they were stated."""
    source = Source.model_validate(
        {"kind": "source", "title": "Cutting gears", "medium": "book", "author": author, "date": "2009",
         "rights": "Lent for study", "reliability": "C"}
    )  # fmt: skip
    assert words.made_by(source) == said
    assert words.credit(source) == f"{said}. Lent for study"


def test_a_source_that_is_not_there_has_no_credit() -> None:
    """Nothing is said of who made what is not in the ledger."""
    assert words.credit(None) == ""


def test_grades_are_told_as_they_are_reckoned_with() -> None:
    """To a tenth of a percent, so that a reader who reckons with them comes to the confidences of the page."""
    assert words.to_a_tenth(0.525) == f"52.5{percents.PERCENT}"
    assert words.to_a_tenth(0.95) == f"95{percents.PERCENT}"
    page = pages_of(replace(casebook(), soundness={"D": 0.525}), REGISTER)["reading.md"]
    assert f"52.5{percents.PERCENT}" in page
