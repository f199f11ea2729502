"""Smallest sets, single changes and sets to set aside, against weighing every changed case there is."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from ledger.quantities.chance import Chance
from ledger.weighing.believing import Change, beliefs, how_wrong
from ledger.weighing.fragility import grade_effects, smallest_sets
from ledger.weighing.grades import CREDIBILITY, RELIABILITY
from ledger.weighing.losing import losing
from ledger.weighing.setting_aside import Aside
from ledger.weighing.values import NONE, Case, Feasibility, Link, Note, Stated
from ledger.weighing.weigh import weigh, weigh_together
from tests.independent.weighing_oracles import random_case

Q = "questions/at-random"


def close_case(seed: int, notes: int = 6, origins: int = 3, predictions: int = 1) -> Case:
    """A random case whose priors are near each other, so that leads are narrow."""
    case = random_case(seed, notes, origins, predictions)
    shares = {rival: 1 + 0.5 * share for rival, share in case.prior.items()}
    return replace(case, prior={rival: share / sum(shares.values()) for rival, share in shares.items()})


def changed(case: Case, change: Change, value: float) -> Case:
    """Return the case with the changed chance at a value."""

    def row(one):
        if one.ref != change.ref:
            return one
        if change.kind == "credibility":
            return replace(one, credibility=value)
        if change.kind == "bearing":
            return replace(one, bearing={**one.bearing, change.rival: value})
        return replace(one, doubt={**one.doubt, change.rival: value})

    if change.kind == "soundness":
        return replace(case, soundness={**case.soundness, change.ref: value})
    if change.kind == "feasibility":
        some = [replace(one, holds=value) if one.rival == change.ref else one for one in case.feasibilities]
        return replace(case, feasibilities=tuple(some))
    return replace(
        case,
        notes=tuple(row(one) if change.kind != "doubt" else one for one in case.notes),
        predictions=tuple(row(one) for one in case.predictions),
    )


def towards(change: Change, share: float) -> float:
    """Return a value this share of the way from where the chance stands to where it would have to be."""
    return change.stated + share * (change.value - change.stated)


def holds(case: Case, rival: str, change: Change, links=(), others=()) -> bool:
    """Whether the rival leads with the change, and not just short of it."""

    def leader(value: float) -> str | None:
        some = (changed(case, change, value), *others)
        return weigh_together(some, links)[case.question].leader

    return leader(change.value) == rival and leader(towards(change, 1 - 1e-6)) != rival


def without(case: Case, things: tuple[Aside, ...]) -> Case:
    """Return the case with things set aside."""
    refs = {kind: {one.ref for one in things if one.kind == kind} for kind in ("note", "measurement", "origin")}
    rivals = {one.ref for one in things if one.kind == "feasibility"}
    return replace(
        case,
        notes=tuple(one for one in case.notes if one.ref not in refs["note"] and one.origin not in refs["origin"]),
        predictions=tuple(
            one for one in case.predictions if one.ref not in refs["measurement"] and one.origin not in refs["origin"]
        ),
        feasibilities=tuple(one for one in case.feasibilities if one.rival not in rivals),
    )


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


@pytest.mark.parametrize("seed", range(20))
def test_each_single_change_is_just_enough(seed):
    """Weighed with the change the rival leads; a millionth of the way short of it, it does not."""
    case = close_case(seed)
    for belief in beliefs([case])[Q]:
        assert [one.size for one in belief.changes] == sorted(one.size for one in belief.changes)
        for change in belief.changes:
            assert holds(case, belief.rival, change), (belief.rival, change)


def test_a_change_that_is_not_enough_is_seen():
    """The check above refuses a change that stops halfway, and one that goes too far."""
    case = close_case(1)
    some = [(belief.rival, change) for belief in beliefs([case])[Q] for change in belief.changes]
    assert some
    for rival, change in some:
        assert not holds(case, rival, replace(change, value=towards(change, 0.5)))
        further = change.value + 0.2 * ((1.0 if change.value > change.stated else 0.0) - change.value)
        assert not holds(case, rival, replace(change, value=further))


@pytest.mark.parametrize("seed", range(4))
def test_no_single_change_is_overlooked(seed):
    """Wherever no change is named, none of many values of that chance makes the rival lead."""
    case = close_case(seed, notes=4)
    leader = weigh(case).leader
    for belief in beliefs([case])[Q]:
        if not belief.may_lead:
            continue
        named = {(one.kind, one.ref, one.rival) for one in belief.changes}
        some = [("credibility", one.ref, None, 0) for one in (*case.notes, *case.predictions)]
        some += [("soundness", ref, None, 0) for ref in case.soundness]
        some += [("bearing", one.ref, belief.rival, 1) for one in case.notes if belief.rival in one.bearing]
        some += [("bearing", one.ref, leader, -1) for one in case.notes if leader in one.bearing]
        some += [
            ("feasibility", one.rival, one.rival, 0)
            for one in case.feasibilities
            if one.rival in (belief.rival, leader)
        ]
        for kind, ref, rival, way in some:
            if (kind, ref, rival) in named:
                continue
            trial = Change(kind, ref, rival, 0, 0, 0, 0, 0, False)
            for value in np.linspace(0, 1, 21):
                given = {one.ref: one.bearing for one in case.notes}.get(ref, {}).get(rival, 0.5)
                if way and (value - given) * way < 0:
                    continue
                if kind == "credibility" or ref in case.soundness or value not in (0.0, 1.0):
                    assert weigh(changed(case, trial, float(value))).leader != belief.rival, (kind, ref, rival, value)


@pytest.mark.parametrize("seed", range(10))
def test_a_change_in_one_linked_question_keeps_the_rest(seed):
    """In linked questions a single change of one of them, all weighed together anew, is just enough too."""
    first = close_case(seed, notes=4)
    second = replace(
        close_case(seed + 100, notes=4),
        question="questions/second",
        prior={"x": 0.45, "y": 0.45, NONE: 0.1},
        notes=(Note("evidence/z", "sources/s0", 0.9, {"x": 0.8, "y": 0.4}),),
        predictions=(),
        feasibilities=(),
    )
    rival = min(one for one in first.prior if one != NONE)
    links = [Link("x", "needs", rival)] if seed % 2 else [Link(rival, "favours", "y", 4.0)]
    found = beliefs([first, second], links)
    for case, other in ((first, second), (second, first)):
        for belief in found[case.question]:
            for change in belief.changes:
                assert holds(case, belief.rival, change, links, [other])


@pytest.mark.parametrize("seed", range(25))
def test_no_smaller_set_to_set_aside_makes_a_rival_lead(seed):
    """Every set of notes, measurements, sources and models is tried; the one named is among the smallest that do."""
    case = close_case(seed, notes=3, origins=2)
    things = [Aside("note", one.ref) for one in case.notes] + [
        Aside("measurement", one.ref) for one in case.predictions
    ]
    things += [Aside("origin", ref) for ref in case.soundness]
    things += [Aside("feasibility", one.rival) for one in case.feasibilities]
    for belief in beliefs([case])[Q]:
        if belief.changes or not belief.may_lead:
            assert not belief.aside
            continue
        sizes = [
            size
            for size in range(1, len(things) + 1)
            for some in combinations(things, size)
            if weigh(without(case, some)).leader == belief.rival
        ]
        assert belief.exact
        assert (len(belief.aside) or None) == min(sizes, default=None)
        assert belief.only_its_prior == (not sizes)
        if belief.aside:
            assert weigh(without(case, belief.aside)).leader == belief.rival


def test_sets_beyond_what_can_be_tried_still_make_the_rival_lead(monkeypatch):
    """Found one thing at a time, a set does what it says, and does not claim to be the smallest."""
    monkeypatch.setattr("ledger.weighing.setting_aside.MOST_SETS", 0)
    found = 0
    for seed in range(60):
        case = close_case(seed, notes=5, origins=3)
        for belief in beliefs([case])[Q]:
            if belief.aside:
                found += 1
                assert not belief.exact
                assert weigh(without(case, belief.aside)).leader == belief.rival
    assert found


def test_a_rival_judged_in_too_few_notes_is_said_not_to_lead():
    """No change is asked for it, and nothing is said of its prior."""
    notes = tuple(Note(f"evidence/n{place}", "sources/s", 0.9, {"a": 0.8}) for place in range(3))
    case = Case(Q, {"a": 0.5, "b": 0.4, NONE: 0.1}, {"sources/s": 0.9}, notes)
    belief = next(one for one in beliefs([case])[Q] if one.rival == "b")
    assert (belief.may_lead, belief.changes, belief.aside, belief.only_its_prior) == (False, (), (), False)


def test_the_leader_of_two_by_hand():
    """One certain note of one certain source: odds π_b L_b / (π_a L_a), so b leads from L_b = π_a L_a / π_b on."""
    note = Note("evidence/n", "sources/s", 1.0, {"a": 0.5, "b": 0.2}, {"b": Stated(0.1, 0.3, "x")})
    case = Case(Q, {"a": 0.5, "b": 0.5, NONE: 0.0}, {"sources/s": 1.0}, (note,))
    (belief,) = (one for one in beliefs([case])[Q] if one.rival == "b")
    values = {(one.kind, one.rival): one for one in belief.changes}
    assert values["bearing", "b"].value == pytest.approx(0.5, rel=1e-8)
    assert values["bearing", "b"].size == pytest.approx(10 * np.log10((0.5 / 0.5) / (0.2 / 0.8)), rel=1e-8)
    assert not values["bearing", "b"].within
    assert values["bearing", "a"].value == pytest.approx(0.2, rel=1e-8)
    assert ("credibility", None) not in values
    assert ("soundness", None) not in values


def test_a_value_within_the_authors_range_is_said_to_be():
    """The value needed lies between the ends the author stated, or it does not; a point is no range."""
    note = Note("evidence/n", "sources/s", 1.0, {"a": 0.5, "b": 0.4}, {"b": Stated(0.2, 0.6, "x")})
    case = Case(Q, {"a": 0.5, "b": 0.5, NONE: 0.0}, {"sources/s": 1.0}, (note,))
    (belief,) = (one for one in beliefs([case])[Q] if one.rival == "b")
    within = {(one.kind, one.rival): one.within for one in belief.changes}
    assert within == {("bearing", "b"): True, ("bearing", "a"): False}


def test_a_feasibility_counted_in_draws_is_never_certain():
    """None of 99 draws is half a draw of a hundred from none: a finite way to go; a stated 0 is infinitely far away."""
    case = Case(
        Q, {"a": 0.45, "b": 0.55, NONE: 0.0}, {}, feasibilities=(Feasibility("b", 0.0, 0.05, ("c",), None, 99),)
    )
    (belief,) = (one for one in beliefs([case])[Q] if one.rival == "b")
    (change,) = belief.changes
    assert (0.95 * change.value + 0.05) * 0.55 == pytest.approx(0.45, rel=1e-8)
    odds = change.value / (1 - change.value)
    assert change.size == pytest.approx(10 * np.log10(odds / (0.005 / 0.995)), rel=1e-8)
    stated = replace(case, feasibilities=(replace(case.feasibilities[0], sampled=0),))
    assert next(one for one in beliefs([stated])[Q] if one.rival == "b").changes[0].size == np.inf


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
