"""The ladder of ICD 203, Analytic Standards (Office of the Director of National Intelligence, 2015), D.6.e(2).

The clause is cited from memory, and so are the second words of each pair (PRB-1).
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from ledger.quantities.chance import ABOVE, BELOW, LADDER, Chance, parse_chance, word_for

PRINTED = [
    ("almost no chance", "remote", 1, 5),
    ("very unlikely", "highly improbable", 5, 20),
    ("unlikely", "improbable", 20, 45),
    ("roughly even chance", "roughly even odds", 45, 55),
    ("likely", "probable", 55, 80),
    ("very likely", "highly probable", 80, 95),
    ("almost certain", "nearly certain", 95, 99),
]


@pytest.mark.parametrize(("first", "second", "low", "high"), PRINTED)
def test_both_words_are_read_as_the_printed_band(first: str, second: str, low: int, high: int) -> None:
    """Each pair of words means its printed band in percent, and is one word to the ledger."""
    assert parse_chance(first) == parse_chance(second) == Chance(low / 100, high / 100, first)


def test_the_ladder_has_no_other_rungs() -> None:
    """Seven rungs, in order, each beginning where the one below it ends."""
    assert [(words[:2], low, high) for words, low, high in LADDER] == [
        ((first, second), low / 100, high / 100) for first, second, low, high in PRINTED
    ]
    assert all(below[2] == above[1] for below, above in pairwise(LADDER))


@pytest.mark.parametrize(("first", "second", "low", "high"), PRINTED)
def test_the_middle_of_each_band_gets_its_word(first: str, second: str, low: int, high: int) -> None:
    """The word for a chance within a band is the band's first word."""
    assert word_for((low + high) / 200) == first


@pytest.mark.parametrize(
    ("chance", "word"),
    [
        (0.05, "very unlikely"),
        (0.2, "unlikely"),
        (0.45, "roughly even chance"),
        (0.55, "roughly even chance"),
        (0.8, "likely"),
        (0.95, "very likely"),
        (0.01, "almost no chance"),
        (0.99, "almost certain"),
    ],
)
def test_shared_ends_go_to_the_weaker_word(chance: float, word: str) -> None:
    """Where two bands share an end, the word nearer to even is taken."""
    assert word_for(chance) == word


@pytest.mark.parametrize(("chance", "word"), [(0, BELOW), (0.0099, BELOW), (0.9901, ABOVE), (1, ABOVE)])
def test_beyond_the_ladder_it_says_so(chance: float, word: str) -> None:
    """Below 1 % and above 99 % the ladder has no word."""
    assert word_for(chance) == word
