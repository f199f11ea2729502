"""What words for chances and weights must keep, whatever the number."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ledger.publishing import words
from ledger.quantities.chance import ABOVE, BELOW, word_for
from ledger.quantities.ladders import ICD_203, OTHERS, PHIA, Ladder, Rung
from ledger.weighing.strength import STEPS, strength
from tests.rungs import said

CHANCES = st.one_of(st.floats(0, 1), st.sampled_from([rung.low for rung in ICD_203.rungs] + [0.99, 0.0, 1.0]))
EVERY = [*(rung.words[0] for rung in ICD_203.rungs), "below the ladder", "above the ladder"]


def mirrored(ladder: Ladder) -> bool:
    """Whether each rung has its opposite: the same ends, counted from the other end of the ladder."""
    pairs = zip(ladder.rungs, reversed(ladder.rungs), strict=True)
    return all(
        one.low == pytest.approx(1 - other.high)
        and one.high == pytest.approx(1 - other.low)
        and (one.open_low, one.open_high) == (other.open_high, other.open_low)
        for one, other in pairs
    )


def test_only_our_ladder_is_mirrored() -> None:
    """Opposite chances have opposite words on the ICD 203 ladder; the others are not made so, and the check sees it."""
    assert mirrored(ICD_203)
    assert not any(mirrored(ladder) for ladder in OTHERS)
    *first, last = ICD_203.rungs
    assert not mirrored(Ladder("planted", "", (*first, Rung(last.words, 0.95, 1.0))))


@given(CHANCES)
def test_every_confidence_has_one_answer(chance: float) -> None:
    """Each number from 0 to 1 is shown with one word of the ladder, or as below or above it."""
    number, _, word = words.confidence(chance).partition(" – ")
    assert number
    assert EVERY.count(word) == 1


@given(CHANCES)
def test_opposite_confidences_get_opposite_words(chance: float) -> None:
    """What is very likely has a complement that is very unlikely, and so on over the whole ladder and beyond it."""
    assume(all(abs(chance - end) > 1e-11 or chance == end for rung in ICD_203.rungs for end in (rung.low, rung.high)))
    rungs = ["below the ladder", *(rung.words[0] for rung in ICD_203.rungs), "above the ladder"]
    one, other = (rungs.index(words.confidence(share).partition(" – ")[2]) for share in (chance, 1 - chance))
    assert one + other == len(rungs) - 1


@given(CHANCES)
def test_the_word_shown_is_among_those_the_ladder_has(chance: float) -> None:
    """Where the ladder says a word for a chance, the one word taken is among what it says."""
    there = said(ICD_203, chance)
    assert word_for(chance) in (there or (BELOW, ABOVE))


@given(CHANCES)
def test_the_yardstick_has_one_word_at_most(chance: float) -> None:
    """The PHIA yardstick has one word for a chance, or it lies in a gap or beyond the ends."""
    assert len(said(PHIA, chance)) <= 1


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_opposite_weights_have_the_same_word_for_opposite_sides(weight: float) -> None:
    """Turning a weight round turns its side and keeps its word."""
    one, other = strength(weight), strength(-weight)
    opposite = {"for": "against", "against": "for", "neither": "neither"}
    assert one.word == other.word
    assert other.side == opposite[one.side]


@given(st.floats(0, 400), st.floats(0, 400))
def test_a_greater_weight_has_no_weaker_word(one: float, other: float) -> None:
    """Words rise with the weight, and never fall."""
    order = [step.word for step in STEPS]
    low, high = (order.index(strength(weight).word) for weight in sorted((one, other)))
    assert low <= high
