"""Smallest sets whose loss changes the leader, bearings and grades that would, against weighing every changed case."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from ledger.quantities.chance import Chance
from ledger.weighing.believing import Change, how_wrong
from ledger.weighing.fragility import grade_effects, smallest_sets
from ledger.weighing.grades import CREDIBILITY, RELIABILITY
from ledger.weighing.losing import losing
from ledger.weighing.values import NONE, Case, Link, Note, Stated
from ledger.weighing.weigh import weigh, weigh_together
from tests.independent.close_cases import Q, changed, close_case


def smallest_by_force(case: Case) -> int | None:
    """Return the size of the smallest set of notes whose loss changes the leader, by trying every one."""
    before = weigh(case).leader
    for size in range(1, len(case.notes) + 1):
        for gone in combinations(case.notes, size):
            if weigh(replace(case, notes=tuple(one for one in case.notes if one not in gone))).leader != before:
                return size
    return None


@pytest.mark.parametrize("seed", range(30))
def test_no_smaller_set_of_notes_changes_the_leader(seed):
    """The set found is as small as the smallest of all subsets; where none is found, no subset does it."""
    case = close_case(seed, notes=2 + seed % 5, origins=1 + seed % 3)
    found = smallest_sets([case])[Q]
    assert found.exact
    assert (len(found.notes) or None) == smallest_by_force(case)
    less = replace(case, notes=tuple(one for one in case.notes if one.ref not in found.notes))
    assert weigh(less).leader == found.after
    assert (found.after != found.before) == found.found


def test_both_outcomes_are_among_those_cases():
    """Some of those cases fall with one note, some need more, some never fall: the test above sees all three."""
    sizes = {
        len(smallest_sets([close_case(seed, notes=2 + seed % 5, origins=1 + seed % 3)])[Q].notes) for seed in range(40)
    }
    assert {0, 1, 2} <= sizes


@pytest.mark.parametrize("seed", range(12))
def test_a_notes_certainty_shuts_nobody_in(seed):
    """With bearings of 0 told by certain sources, what is left is added up from the rest, never taken away."""
    case = close_case(seed, notes=5, origins=2, predictions=0)
    shut, open_ = sorted(rival for rival in case.prior if rival != NONE)[:2]
    sure = replace(
        case,
        soundness=dict.fromkeys(case.soundness, 1.0),
        notes=tuple(
            replace(one, credibility=1.0, bearing={**one.bearing, shut: 0.0, open_: 0.5}) if place == 1 else one
            for place, one in enumerate(case.notes)
        ),
    )
    assert (len(smallest_sets([sure])[Q].notes) or None) == smallest_by_force(sure)


def test_a_leader_judged_in_too_few_notes_falls():
    """Losing the notes that judge the leader can leave it judged in too few of the rest: a changed leader too."""
    notes = tuple(
        Note(f"evidence/n{place}", f"sources/s{place}", 0.9, {rival: 0.9, "c": 0.1})
        for place, rival in enumerate("aaabb")
    )
    case = Case(Q, {"a": 0.4, "b": 0.2, "c": 0.3, NONE: 0.1}, {f"sources/s{place}": 0.9 for place in range(5)}, notes)
    assert weigh(case).leader == "a"
    found = smallest_sets([case])[Q]
    assert len(found.notes) == smallest_by_force(case)
    assert found.exact


def test_an_origin_of_very_many_notes_gives_an_upper_bound(monkeypatch):
    """Where not every set of an origin's notes can be tried, the set found still does it, and is said to be a bound."""
    monkeypatch.setattr("ledger.weighing.losing.MOST_SETS", 8)
    seen = set()
    for seed in range(40):
        case = close_case(seed, notes=6, origins=1, predictions=0)
        found, size = smallest_sets([case])[Q], smallest_by_force(case)
        if found.found:
            assert len(found.notes) >= size
            assert found.exact == (len(found.notes) == 1)
        else:
            assert not found.exact
        seen.add(found.exact)
    assert seen == {True, False}


def test_a_note_that_bears_on_a_linked_question_makes_it_a_bound():
    """Its loss is weighed in both questions; a set of one is the smallest all the same, a larger one may not be."""
    for seed in range(25):
        first = close_case(seed, notes=4, origins=2, predictions=0)
        second = Case(
            "questions/second",
            {"x": 0.5, "y": 0.4, NONE: 0.1},
            first.soundness,
            tuple(replace(one, bearing={"x": 0.8, "y": 0.3}) for one in first.notes[:2]),
        )
        links = [Link("x", "favours", min(first.notes[0].bearing), 6.0)]
        found = smallest_sets([first, second], links)[Q]
        both = [
            replace(case, notes=tuple(one for one in case.notes if one.ref not in found.notes))
            for case in (first, second)
        ]
        assert weigh_together(both, links)[Q].leader == found.after
        assert found.exact == (len(found.notes) == 1)


@pytest.mark.parametrize("seed", range(15))
def test_how_wrong_a_bearing_would_have_to_be(seed):
    """At the value named the leader is the one named, just short of it still the old one; nearer the other way, too."""
    case = close_case(seed)
    before = weigh(case).leader
    given = {one.ref: one.bearing for one in case.notes}
    some = how_wrong([case])[Q]
    for one in some:
        assert one.stated == given[one.note].get(one.rival)
        trial = Change("bearing", one.note, one.rival, 0, 0, 0, 0, 0, False)
        if one.value is None:
            for value in np.linspace(0.01, 0.99, 21) if one.stated is not None else ():
                assert weigh(changed(case, trial, float(value))).leader == before
            continue
        assert weigh(changed(case, trial, one.value)).leader == one.leader != before
        short = one.stated + (one.value - one.stated) * (1 - 1e-6)
        assert weigh(changed(case, trial, short)).leader == before
    assert {one.note for one in some} == set(given)


def test_a_search_that_forgets_an_origin_is_caught():
    """Dropping one origin from the search gives a set that is too large, or none, in some of the cases above."""
    worse = 0
    for seed in range(40):
        case = close_case(seed, notes=2 + seed % 5, origins=1 + seed % 3)
        from ledger.weighing.anew import position, weighed

        one = weighed([case], ())[Q]
        search = losing(one, position(one).leader)
        search.origins = search.origins[1:]
        first = next(search.sets(), None)
        worse += (None if first is None else len(first)) != smallest_by_force(case)
    assert worse > 5


def test_grades_in_place_of_grades_by_hand():
    """Each table replaces R and r as it says; the confidences are those of a case with these chances in it."""
    table = {**RELIABILITY, **CREDIBILITY}

    def case(soundness: float, first: float, second: float) -> Case:
        ranges = {grade: Stated(table[grade].low, table[grade].high, f"grade {grade}") for grade in "BD25"}
        notes = (
            Note("evidence/n", "sources/s", first, {"a": 0.9, "b": 0.2}, {}, (ranges["2"],)),
            Note("evidence/m", "sources/s", second, {"a": 0.3, "b": 0.6}, {}, (ranges["5"], ranges["D"])),
        )
        prior = {"a": 0.4, "b": 0.5, NONE: 0.1}
        return Case(Q, prior, {"sources/s": soundness}, notes, trust={"sources/s": ranges["B"]})

    middle = {grade: chance.middle for grade, chance in table.items()}
    low = {grade: chance.low for grade, chance in table.items()}
    high = {grade: chance.high for grade, chance in table.items()}
    expected = {
        "as stated": (middle["B"], middle["2"], middle["5"] * middle["D"]),
        "low ends": (low["B"], low["2"], low["5"] * low["D"]),
        "high ends": (high["B"], high["2"], high["5"] * high["D"]),
        "a step lower": (middle["C"], middle["3"], middle["5"] * middle["E"]),
        "all alike": (middle["F"], middle["6"], middle["6"] * middle["F"]),
        "at their word": (1.0, 1.0, 1.0),
    }
    stated = case(*expected["as stated"])
    found = {one.table: one.positions[Q] for one in grade_effects({Q: stated}, (), table)}
    assert list(found) == list(expected)
    for name, chances in expected.items():
        standings = weigh(case(*chances)).standings
        assert found[name].confidences == {one.rival: one.confidence for one in standings}, name
        assert found[name].leader == weigh(case(*chances)).leader
    assert len({tuple(one.confidences.values()) for one in found.values()}) == len(expected)


def test_a_table_that_leaves_nobody_is_refused_by_name():
    """Taken at their word, two notes that shut out different rivals leave none: said so, the other tables go on."""
    notes = (
        Note("evidence/n", "sources/s", 0.9, {"a": 1.0, "b": 0.0}),
        Note("evidence/m", "sources/s", 0.9, {"a": 0.0, "b": 1.0}),
    )
    case = Case(Q, {"a": 0.5, "b": 0.5, NONE: 0.0}, {"sources/s": 0.9}, notes)
    effects = {one.table: one for one in grade_effects({Q: case}, (), {"F": Chance(0.2, 0.8), "6": Chance(0.2, 0.8)})}
    assert Q in effects["at their word"].refused
    assert not effects["at their word"].positions
    assert Q in effects["all alike"].positions
