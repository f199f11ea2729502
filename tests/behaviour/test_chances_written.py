"""What a person may write as a chance, in numbers, ranges and words, and what is said when it is none."""

from __future__ import annotations

import pytest

from ledger.quantities.chance import Chance, parse_chance, word_for
from ledger.quantities.notation import NotationError


@pytest.mark.parametrize(
    ("written", "low", "high", "word"),
    [
        (0.3, 0.3, 0.3, None),
        (0, 0, 0, None),
        (1, 1, 1, None),
        ("0.3", 0.3, 0.3, None),
        ("0.2..0.6", 0.2, 0.6, None),
        ("Very  LIKELY", 0.8, 0.95, "very likely"),
        ("Highly probable", 0.8, 0.95, "very likely"),
        ("roughly even", 0.45, 0.55, "roughly even chance"),
    ],
)
def test_chances_are_read(written: str | float, low: float, high: float, word: str | None) -> None:
    """Numbers, ranges and words in any case are chances."""
    assert parse_chance(written) == Chance(low, high, word)


@pytest.mark.parametrize(
    ("written", "remedy"),
    [
        (1.2, "0.3"),
        (-0.1, "0.3"),
        (float("nan"), "0.3"),
        (True, "number"),
        (None, "number"),
        ("", "leave"),
        ("30 %", "0.3"),
        ("0.6..0.2", "`0.2..0.6`"),
        ("0.3..0.3", "`0.3`"),
        ("0.2-0.6", "0.2..0.6"),
        ("0.2..1.6", "0.3"),
        ("-0.2", "0.3"),
        ("very likly", "`very likely`"),
        ("perhaps", "almost no chance"),
        ("0.1..0.2..0.3", "words"),
    ],
)
def test_what_is_no_chance(written: str | float, remedy: str) -> None:
    """What is no chance is refused with a remedy."""
    with pytest.raises(NotationError) as caught:
        parse_chance(written)
    assert remedy in caught.value.remedy


@pytest.mark.parametrize(
    ("written", "remedy"),
    [
        (
            "About as  likely as not",
            "`about as likely as not` is a word of the IPCC's likelihood scale, 0.33..0.66 there, and ladders are "
            "never mixed: write `0.33..0.66`, or the ICD 203 word for the middle of it, `roughly even chance` "
            "(0.45..0.55).",
        ),
        (
            "virtually certain",
            "`virtually certain` is a word of the IPCC's likelihood scale, 0.99..1 there, and ladders are never mixed: "
            "write `0.99..1`, for ICD 203 has no word above 99 %.",
        ),
        (
            "highly likly",
            "Did you mean `highly likely`? `highly likely` is a word of the UK's PHIA yardstick, 0.8..0.9 there, and "
            "ladders are never mixed: write `0.8..0.9`, or the ICD 203 word for the middle of it, `very likely` "
            "(0.8..0.95).",
        ),
        ("high confidence", "Write the chance, such as `0.3`, `0.2..0.6` or `very likely`."),
    ],
)
def test_ladders_are_never_mixed(written: str, remedy: str) -> None:
    """A word of another ladder is refused with that ladder, its range, and what to write; confidence is no chance."""
    with pytest.raises(NotationError) as caught:
        parse_chance(written)
    assert caught.value.remedy == remedy


@pytest.mark.parametrize("chance", [-0.1, 1.1, float("nan")])
def test_no_word_for_what_is_no_chance(chance: float) -> None:
    """A number outside 0 to 1 has no word."""
    with pytest.raises(ValueError, match="no chance"):
        word_for(chance)
