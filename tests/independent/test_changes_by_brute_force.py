"""Single changes, and sets to set aside, that would make a rival lead, against trying every one there is."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from ledger.weighing.believing import Change, beliefs
from ledger.weighing.setting_aside import Aside
from ledger.weighing.values import NONE, Case, Feasibility, Link, Note, Stated
from ledger.weighing.weigh import weigh, weigh_together
from tests.independent.close_cases import Q, changed, close_case


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
