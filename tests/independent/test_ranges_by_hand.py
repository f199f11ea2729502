"""Ranges of confidences against closed forms, and against weighing every draw by itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ledger.quantities.draws import generator
from ledger.weighing.ranges import Spread
from ledger.weighing.values import NONE, Case, Feasibility, Link, Note, Prediction, Stated
from ledger.weighing.weigh import weigh, weigh_together

DRAWS = 40_000
PRIOR = {"a": 0.5, "b": 0.5, NONE: 0.0}


def spread(case: Case, draws: int) -> dict[str, Spread]:
    """Return what the draws say of each rival of a question by itself."""
    return {
        one.rival: Spread(one.low, one.median, one.high, one.first)  # type: ignore[arg-type]
        for one in weigh(case, draws).standings
    }


def one_note(low: float, high: float) -> Case:
    """A sure note that says 0.5 of b and a range of a."""
    note = Note("n", "s", 1.0, {"a": (low + high) / 2, "b": 0.5}, {"a": Stated(low, high, "n a")})
    return Case("q", PRIOR, {"s": 1.0}, (note,))


def test_a_range_of_one_bearing_has_the_range_of_its_confidence() -> None:
    """With L uniform on 0.2…0.6 the confidence L/(L + 0.5) has its 5, 50 and 95 % points at L = 0.22, 0.4 and 0.58."""
    found = spread(one_note(0.2, 0.6), DRAWS)["a"]
    assert (found.low, found.median, found.high) == pytest.approx((0.22 / 0.72, 0.4 / 0.9, 0.58 / 1.08), abs=3e-3)
    assert found.first == pytest.approx(0.25, abs=0.01)  # L above 0.5


def test_each_order_has_the_share_of_draws_it_leads_in() -> None:
    """With L above 0.5 in a quarter of its range, a comes before b with chance 1/4 and b before a with 3/4."""
    orders = weigh(one_note(0.2, 0.6), DRAWS).orders
    assert [(order.first, order.second) for order in orders] == [("b", "a"), ("a", "b")]
    assert [order.chance for order in orders] == pytest.approx([0.75, 0.25], abs=0.01)


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
        found = spread(Case("q", PRIOR, {"s": 1.0, "t": 1.0}, notes), DRAWS)["a"]
        assert (
            found.high - found.low == pytest.approx(width, abs=1e-9) if width == 0 else found.high - found.low > width
        )


def test_one_word_is_one_draw_across_linked_questions() -> None:
    """A word said in two questions that a factor links is one draw, so that their confidences move as one."""
    word = Stated(0.55, 0.8, "ladder likely")
    cases = [
        Case(
            f"q{number}",
            {f"a{number}": 0.5, f"b{number}": 0.5, NONE: 0.0},
            {"s": 1.0},
            (Note(f"n{number}", "s", 1.0, {f"a{number}": 0.675, f"b{number}": 0.5}, {f"a{number}": word}),),
        )
        for number in (1, 2)
    ]
    found = weigh_together(cases, [Link("a1", "favours", "a2", 3.0)], 500)
    assert np.array_equal(found["q1"].drawn["a1"], found["q2"].drawn["a2"])
    likely = 0.55 + 0.25 * generator("weighing", "ladder likely").random(500)
    # joint: a1 a2 3 L², a1 b2 and b1 a2 0.5 L, b1 b2 0.25
    expected = (3 * likely**2 + 0.5 * likely) / (3 * likely**2 + likely + 0.25)
    assert found["q1"].drawn["a1"] == pytest.approx(expected, rel=1e-12)


def test_a_factor_is_drawn_evenly_in_its_logarithm() -> None:
    """A factor of 1/4 … 4 has its median at 1 and its 5 and 95 % points at 4^-0.9 and 4^0.9."""
    link = Link("a", "favours", "c", 1.0, Stated(0.25, 4.0, "a favours c"))
    cases = [Case("q", PRIOR, {}), Case("r", {"c": 1.0, NONE: 0.0}, {})]
    one = next(one for one in weigh_together(cases, [link], DRAWS)["q"].standings if one.rival == "a")
    ends = [factor / (factor + 1) for factor in (4**-0.9, 1.0, 4**0.9)]
    assert (one.low, one.median, one.high) == pytest.approx(tuple(ends), abs=6e-3)


def test_drawn_priors_are_divided_by_their_sum() -> None:
    """A prior of 0.2…0.6 beside 0.5 and 0.1 gives u/(u + 0.6), draw by draw."""
    case = Case("q", {"a": 0.4, "b": 0.5, NONE: 0.1}, {}, stated={"a": Stated(0.2, 0.6, "prior a")})
    drawn = weigh(case, 300).drawn
    prior = 0.2 + 0.4 * generator("weighing", "prior a").random(300)
    assert drawn["a"] == pytest.approx(prior / (prior + 0.6), rel=1e-13)
    assert sum(drawn.values()) == pytest.approx(np.ones(300), rel=1e-13)


def test_a_share_counted_in_few_trials_is_drawn_about_it() -> None:
    """A feasibility counted as 8 in 10 is drawn from the beta distribution with 8.5 and 2.5; an exact one stays."""
    for trials, width in ((10, 0.1), (0, 0.0)):
        case = Case("q", PRIOR, {}, feasibilities=(Feasibility("a", 0.8, 0.1, (), None, trials),))
        drawn = weigh(case, 400).drawn["a"]
        share = generator("weighing", "counted", "a").beta(8.5, 2.5, 400) if trials else np.full(400, 0.8)
        factor = 0.9 * share + 0.1
        assert drawn == pytest.approx(factor / (factor + 1), rel=1e-12)
        assert (np.ptp(drawn) > width) == bool(trials)


def test_grades_are_drawn_through_retellings() -> None:
    """A note worth r·R, both uniform, has the mean of the confidences of weighing each pair of draws by itself."""
    trust = (Stated(0.4, 0.8, "grade 3"), Stated(0.5, 0.9, "grade B"))
    note = Note("n", "s", 0.6 * 0.7, {"a": 0.9, "b": 0.1}, trust=trust)
    case = Case("q", PRIOR, {"s": 0.7}, (note,), trust={"s": Stated(0.5, 0.9, "grade B")})
    found = spread(case, 4000)["a"]
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
    found = spread(case, DRAWS)["c"]
    ends = [0.4 * one / (0.06 + 0.24 + 0.4 * one) for one in (0.23, 0.77)]
    assert (found.low, found.high) == pytest.approx(tuple(ends), abs=4e-3)


def test_many_notes_in_parts_are_the_same_as_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cutting the draws into parts changes nothing, predictions included."""
    case = replace(
        one_note(0.2, 0.6),
        predictions=(Prediction("p", "t", 0.8, {"a": 1.0, "b": 0.5}, {"a": 0.1}, (Stated(0.7, 0.9, "grade 2"),)),),
        soundness={"s": 1.0, "t": 0.9},
    )
    whole = weigh(case, 1000)
    monkeypatch.setattr("ledger.weighing.ranges.AT_ONCE", 50)
    parts = weigh(case, 1000)
    assert parts == whole
    assert all(np.array_equal(parts.drawn[rival], whole.drawn[rival]) for rival in whole.drawn)


def test_what_is_shut_out_in_every_draw_has_no_share_in_any() -> None:
    """A bearing that is 0 in every draw shuts a rival out, and what needs it; the draws that stay are of the rest."""
    note = Note("n", "s", 1.0, {"c": 0.0, "d": 0.5})
    cases = [Case("q", PRIOR, {}), Case("r", {"c": 0.5, "d": 0.5, NONE: 0.0}, {"s": 1.0}, (note,))]
    found = weigh_together(cases, [Link("a", "needs", "c")], 50)
    assert set(found["q"].drawn["a"].tolist()) == {0.0}
    assert set(found["q"].drawn["b"].tolist()) == {1.0}


def test_rounding_decides_no_rank_in_any_draw() -> None:
    """Two rivals with the same three drawn bearings in another order, equal but for rounding, rank by name always."""
    words = [Stated(0.1, 0.9, f"word {n}") for n in range(3)]
    notes = tuple(
        Note(f"n{n}", f"s{n}", 1.0, {"a": 0.5, "b": 0.5}, {"a": words[n], "b": words[(n + 1) % 3]}) for n in range(3)
    )
    case = Case("q", PRIOR, {note.origin: 1.0 for note in notes}, notes)
    found = weigh(case, 500)
    assert (found.drawn["a"] < found.drawn["b"]).any()  # which rounding alone brings about
    assert [(order.first, order.second, order.chance) for order in found.orders] == [("a", "b", 1.0)]
    assert [one.first for one in found.standings] == [1.0, 0.0, 0.0]


def test_drawn_priors_sum_to_one_also_in_what_a_failed_source_tells() -> None:
    """A doubted note beside a drawn prior is weighed with that prior divided by its sum, draw by draw."""
    note = Note("n", "s", 1.0, {"a": 0.9, "b": 0.3})
    case = Case("q", {"a": 0.4, "b": 0.6, NONE: 0.0}, {"s": 0.5}, (note,), stated={"a": Stated(0.1, 0.7, "prior a")})
    raw = 0.1 + 0.6 * generator("weighing", "prior a").random(200)
    prior = raw / (raw + 0.6)
    regardless = prior * 0.9 + (1 - prior) * 0.3
    one, other = prior * (0.45 + 0.5 * regardless), (1 - prior) * (0.15 + 0.5 * regardless)
    assert weigh(case, 200).drawn["a"] == pytest.approx(one / (one + other), rel=1e-12)


def test_an_unjudged_rival_has_a_place_of_its_own_in_each_note() -> None:
    """Two notes that leave a rival unjudged draw its places apart: it has their product, draw by draw."""
    notes = tuple(Note(f"n{n}", f"s{n}", 1.0, {"a": 0.2, "b": 0.8}) for n in range(2))
    case = Case("q", {"a": 0.3, "b": 0.3, "c": 0.4, NONE: 0.0}, {"s0": 1.0, "s1": 1.0}, notes)
    first, second = (0.2 + 0.6 * generator("weighing", "q", f"n{n}", "c").random(200) for n in range(2))
    share = 0.4 * first * second
    assert weigh(case, 200).drawn["c"] == pytest.approx(share / (share + 0.3 * 0.04 + 0.3 * 0.64), rel=1e-12)
    assert abs(np.corrcoef(first, second)[0, 1]) < 0.25
