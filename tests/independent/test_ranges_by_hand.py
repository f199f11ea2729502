"""Ranges of confidences against closed forms, and against weighing every draw by itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ledger.quantities.draws import generator
from ledger.weighing.ranges import spread
from ledger.weighing.values import NONE, Case, Note, Prediction, Stated
from ledger.weighing.weigh import weigh

DRAWS = 40_000
PRIOR = {"a": 0.5, "b": 0.5, NONE: 0.0}


def one_note(low: float, high: float) -> Case:
    """A sure note that says 0.5 of b and a range of a."""
    note = Note("n", "s", 1.0, {"a": (low + high) / 2, "b": 0.5}, {"a": Stated(low, high, "n a")})
    return Case("q", PRIOR, {"s": 1.0}, (note,))


def test_a_range_of_one_bearing_has_the_range_of_its_confidence() -> None:
    """With L uniform on 0.2…0.6 the confidence L/(L + 0.5) has its 5 % and 95 % points at L = 0.22 and 0.58."""
    found = spread(one_note(0.2, 0.6), {"a", "b", NONE}, DRAWS)["a"]
    assert (found.low, found.high) == pytest.approx((0.22 / 0.72, 0.58 / 1.08), abs=3e-3)
    assert found.first == pytest.approx(0.25, abs=0.01)  # L above 0.5


def test_the_point_is_at_the_middles() -> None:
    """Ranges move neither confidences nor weights nor the account, which are taken at the middles."""
    case = one_note(0.2, 0.6)
    plain, ranged = weigh(case), weigh(case, 500)
    assert plain.weights == ranged.weights
    assert plain.account == ranged.account
    assert [one.confidence for one in plain.standings] == [one.confidence for one in ranged.standings]
    assert plain.standings[0].low is None
    assert ranged.standings[0].low < ranged.standings[0].high


def test_nothing_stated_as_a_range_has_no_width() -> None:
    """Points give intervals of no width, and the leader ranks first in every draw."""
    case = replace(one_note(0.4, 0.4), notes=(Note("n", "s", 0.9, {"a": 0.4, "b": 0.5}),))
    for one in weigh(case, 100).standings:
        assert one.low == pytest.approx(one.confidence, abs=1e-12)
        assert one.high == pytest.approx(one.confidence, abs=1e-12)
        assert one.first == float(one.rival == "b")


def test_one_word_is_one_draw_wherever_it_stands() -> None:
    """Two notes that say `likely` of opposite rivals cancel in every draw; two ranges of their own do not."""
    word, other = Stated(0.55, 0.8, "ladder likely"), Stated(0.55, 0.8, "another")
    for second, width in ((word, 0.0), (other, 0.1)):
        notes = (
            Note("n", "s", 1.0, {"a": 0.675, "b": 0.5}, {"a": word}),
            Note("m", "t", 1.0, {"a": 0.5, "b": 0.675}, {"b": second}),
        )
        found = spread(Case("q", PRIOR, {"s": 1.0, "t": 1.0}, notes), {"a", "b"}, DRAWS)["a"]
        assert (
            found.high - found.low == pytest.approx(width, abs=1e-9) if width == 0 else found.high - found.low > width
        )


def test_grades_are_drawn_through_retellings() -> None:
    """A note worth r·R, both uniform, has the mean of the confidences of weighing each pair of draws by itself."""
    trust = (Stated(0.4, 0.8, "grade 3"), Stated(0.5, 0.9, "grade B"))
    note = Note("n", "s", 0.6 * 0.7, {"a": 0.9, "b": 0.1}, trust=trust)
    case = Case("q", PRIOR, {"s": 0.7}, (note,), trust={"s": Stated(0.5, 0.9, "grade B")})
    found = spread(case, {"a", "b"}, 4000)["a"]
    r, big = (generator("weighing", name).random(4000) for name in ("grade 3", "grade B"))
    alone = []
    for u, v in zip(r, big, strict=True):
        sound = 0.5 + 0.4 * v
        tracked = (0.4 + 0.4 * u) * sound
        bearing = [tracked * one + (1 - tracked) * 0.5 for one in (0.9, 0.1)]
        factors = [sound * one + (1 - sound) * 0.5 for one in bearing]
        alone.append(factors[0] / sum(factors))
    assert (found.low, found.high) == pytest.approx(tuple(np.quantile(alone, (0.05, 0.95))), abs=1e-9)


def test_an_unjudged_rival_lies_anywhere_between() -> None:
    """Between 0.2 and 0.8 stated of the others, an unjudged rival is drawn evenly."""
    note = Note("n", "s", 1.0, {"a": 0.2, "b": 0.8})
    case = Case("q", {"a": 0.3, "b": 0.3, "c": 0.4, NONE: 0.0}, {"s": 1.0}, (note,))
    found = spread(case, {"a", "b"}, DRAWS)["c"]
    ends = [0.4 * one / (0.06 + 0.24 + 0.4 * one) for one in (0.23, 0.77)]
    assert (found.low, found.high) == pytest.approx(tuple(ends), abs=4e-3)


def test_many_notes_in_parts_are_the_same_as_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cutting the draws into parts changes nothing, predictions included."""
    case = replace(
        one_note(0.2, 0.6),
        predictions=(Prediction("p", "t", 0.8, {"a": 1.0, "b": 0.5}, {"a": 0.1}, (Stated(0.7, 0.9, "grade 2"),)),),
        soundness={"s": 1.0, "t": 0.9},
    )
    whole = spread(case, {"a", "b"}, 1000)
    monkeypatch.setattr("ledger.weighing.ranges.AT_ONCE", 50)
    assert spread(case, {"a", "b"}, 1000) == whole
