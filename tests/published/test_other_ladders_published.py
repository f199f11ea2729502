"""The ladders of other standards, as printed, which the ledger knows and does not mix with its own (PRB-2, PRB-3)."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest

from ledger.quantities.chance import parse_chance
from ledger.quantities.ladders import ICD_203, IPCC, OTHERS, PHIA, Ladder, Rung, foreign
from ledger.quantities.refusal import NotationError
from tests.rungs import said

# Percent; the last two columns say whether an end is printed with "greater than" or "less than".
LIKELIHOOD = [
    ("virtually certain", 99, 100, False, False),
    ("extremely likely", 95, 100, False, False),
    ("very likely", 90, 100, False, False),
    ("likely", 66, 100, False, False),
    ("more likely than not", 50, 100, True, False),
    ("about as likely as not", 33, 66, False, False),
    ("unlikely", 0, 33, False, False),
    ("very unlikely", 0, 10, False, False),
    ("extremely unlikely", 0, 5, False, False),
    ("exceptionally unlikely", 0, 1, False, False),
]
YARDSTICK = [
    ("remote", 0, 5, True, False),
    ("highly unlikely", 10, 20, False, False),
    ("unlikely", 25, 35, False, False),
    ("realistic possibility", 40, 50, False, True),
    ("likely", 55, 75, False, False),
    ("probable", 55, 75, False, False),
    ("highly likely", 80, 90, False, False),
    ("almost certain", 95, 100, False, True),
]
SHARED = ["likely", "very likely", "unlikely", "very unlikely", "probable", "remote", "almost certain"]


def as_printed(ladder: Ladder) -> set[tuple[str, int, int, bool, bool]]:
    return {
        (word, round(100 * rung.low), round(100 * rung.high), rung.open_low, rung.open_high)
        for rung in ladder.rungs
        for word in rung.words
    }


def apart(ladder: Ladder) -> bool:
    """Whether any two neighbouring rungs leave something between them."""
    return all(below.high < above.low for below, above in pairwise(ladder.rungs))


def test_the_likelihood_scale_is_as_printed() -> None:
    """PRB-2: ten terms with their ranges in percent. Mastrandrea et al. (2010), AR5 Guidance Note, Table 1; AR6."""
    assert as_printed(IPCC) == set(LIKELIHOOD)


def test_the_likelihood_scale_is_nested() -> None:
    """PRB-2: what is virtually certain is also extremely likely, very likely, likely and more likely than not."""
    assert said(IPCC, 0.995) == [word for word, *_ in LIKELIHOOD[:5]]
    assert said(IPCC, 0.005) == [word for word, *_ in LIKELIHOOD[:5:-1]]
    assert not apart(IPCC)


@pytest.mark.parametrize(("chance", "more_likely"), [(0.5, False), (0.501, True)])
def test_more_likely_than_not_begins_above_one_half(chance: float, more_likely: bool) -> None:
    """PRB-2: one half itself is not "more likely than not", which is printed as greater than 50 %."""
    assert ("more likely than not" in said(IPCC, chance)) is more_likely


def test_the_yardstick_is_as_printed() -> None:
    """PRB-3: seven rungs in percent. PHIA Probability Yardstick (gov.uk, 24 March 2025).

    The figures 10 to 20, 25 to 35 and 40 are from memory; 5 is printed as about 5.
    """
    assert as_printed(PHIA) - {("remote chance", 0, 5, True, False)} == set(YARDSTICK)


@pytest.mark.parametrize(
    ("chance", "below", "above"),
    [
        (0.07, "remote chance", "highly unlikely"),
        (0.22, "highly unlikely", "unlikely"),
        (0.37, "unlikely", "realistic possibility"),
        (0.50, "realistic possibility", "likely"),
        (0.52, "realistic possibility", "likely"),
        (0.77, "likely", "highly likely"),
        (0.93, "highly likely", "almost certain"),
    ],
)
def test_the_gaps_of_the_yardstick_are_said_as_gaps(chance: float, below: str, above: str) -> None:
    """PRB-3: between any two rungs the yardstick has no word, and none is lent by a neighbour."""
    assert apart(PHIA)
    assert said(PHIA, chance) == []
    assert [rung.words[0] for rung in PHIA.rungs if rung.high <= chance][-1] == below
    assert next(rung.words[0] for rung in PHIA.rungs if rung.low >= chance) == above


@pytest.mark.parametrize("chance", [0.0, 1.0])
def test_the_yardstick_does_not_reach_certainty(chance: float) -> None:
    """PRB-3: its first rung begins above 0 and its last ends below 1."""
    assert said(PHIA, chance) == []


def test_a_ladder_with_a_rung_moved_is_noticed() -> None:
    """The checks above refuse a yardstick whose gap was closed, and a scale with an end misprinted."""
    *first, last = PHIA.rungs
    closed = Ladder(PHIA.name, PHIA.source, (*first, Rung(last.words, 0.90, 1.0, open_high=True)))
    assert not apart(closed)
    assert as_printed(closed) != as_printed(PHIA)
    assert said(closed, 0.93)
    partition = [(word, low, 99 if word == "very likely" else high, *ends) for word, low, high, *ends in LIKELIHOOD]
    assert as_printed(IPCC) != set(partition)


@pytest.mark.parametrize("word", SHARED)
def test_a_shared_word_is_always_read_as_icd_203s(word: str) -> None:
    """A word of several ladders means what ICD 203 says of it, and no other ladder's range."""
    rung = next(rung for rung in ICD_203.rungs if word in rung.words)
    chance = parse_chance(word)
    assert (chance.low, chance.high) == (rung.low, rung.high)
    assert foreign(word) is None
    theirs = [rung for ladder in OTHERS for rung in ladder.rungs if word in rung.words]
    assert theirs
    assert all((other.low, other.high) != (rung.low, rung.high) for other in theirs)


@pytest.mark.parametrize("ladder", OTHERS, ids=["ipcc", "phia"])
def test_a_word_of_another_ladder_alone_is_refused(ladder: Ladder) -> None:
    """Each word that ICD 203 has not is refused by the name of its ladder, with its range there."""
    words = {(word, rung) for rung in ladder.rungs for word in rung.words if foreign(word)}
    assert words
    for word, rung in words:
        assert foreign(word) == (ladder, rung)
        with pytest.raises(NotationError) as caught:
            parse_chance(word)
        assert ladder.name in caught.value.remedy
        assert f"write `{rung.range}`" in caught.value.remedy


def test_no_foreign_word_is_of_two_ladders() -> None:
    """A word that is refused belongs to one ladder only, so that the refusal can name it."""
    theirs = [{word for rung in ladder.rungs for word in rung.words if foreign(word)} for ladder in OTHERS]
    assert not any(one & other for one, other in combinations(theirs, 2))
