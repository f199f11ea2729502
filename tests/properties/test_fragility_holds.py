"""What must hold of smallest sets, of changes and of losses, whatever is weighed."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.errors import WeighingRefused
from ledger.weighing.anew import lessened, make_ready, position, weighed
from ledger.weighing.believing import beliefs, how_wrong
from ledger.weighing.fragility import smallest_sets
from ledger.weighing.knobs import knobs
from ledger.weighing.trying import Trials
from ledger.weighing.values import NONE, Case, Feasibility, Link, Note, Prediction
from ledger.weighing.weigh import weigh, weigh_together

NAMES = ("drum", "face-cam", "rack")
CHANCE = st.floats(0.02, 0.98)
EXTREME = st.one_of(st.sampled_from([0.0, 1.0]), CHANCE)
QUICK = settings(max_examples=40, deadline=None)
Q = "questions/drawn"


@st.composite
def cases(draw, bearings=CHANCE, question=Q, names=NAMES):
    """Cases of 2 or 3 rivals, up to 3 sources, 5 notes and a prediction; some rivals unjudged, some untested."""
    named = names[: draw(st.integers(2, 3))]
    shares = [draw(st.floats(0.2, 1.0)) for _ in range(len(named) + 1)]
    sources = [f"sources/s{number}" for number in range(draw(st.integers(1, 3)))]
    origin = st.sampled_from(sources)
    notes = tuple(
        Note(
            f"evidence/{question[-5:]}-{number}",
            draw(origin),
            draw(CHANCE),
            draw(st.dictionaries(st.sampled_from(named), bearings, min_size=1)),
        )
        for number in range(draw(st.integers(0, 5)))
    )
    predictions = tuple(
        Prediction(
            f"measurements/{question[-5:]}-{number}",
            draw(origin),
            draw(CHANCE),
            {rival: draw(st.floats(0.01, 10)) for rival in named},
            draw(st.dictionaries(st.sampled_from(named), CHANCE)),
        )
        for number in range(draw(st.integers(0, 1)))
    )
    tested = draw(st.lists(st.sampled_from(named), unique=True, max_size=2))
    return Case(
        question=question,
        prior={rival: share / math.fsum(shares) for rival, share in zip((*named, NONE), shares, strict=True)},
        soundness={source: draw(CHANCE) for source in sources},
        notes=notes,
        predictions=predictions,
        feasibilities=tuple(
            Feasibility(rival, draw(CHANCE), draw(CHANCE), (f"calculations/{rival}",)) for rival in tested
        ),
    )


def said(weighing):
    return {one.rival: one.confidence for one in weighing.standings}


@QUICK
@given(cases(bearings=EXTREME), cases(question="questions/other", names=("x", "y", "z")), st.floats(0.1, 10))
def test_a_position_is_what_weighing_says(one, other, factor):
    """Leader and confidences at the middles equal those of the weighing to the last bit, linked questions too."""
    links = [Link("drum", "favours", "x", factor)]
    try:
        expected = weigh_together([one, other], links)
    except WeighingRefused:
        with pytest.raises(WeighingRefused):
            weighed([one, other], links)
        return
    for question, found in weighed([one, other], links).items():
        stands = position(found)
        assert stands.confidences == said(expected[question])
        assert stands.leader == expected[question].leader


@QUICK
@given(cases(bearings=EXTREME), st.data())
def test_rows_taken_away_are_as_if_never_given(case, data):
    """A layout without some rows gives, to the last bit, what the case without them gives."""
    try:
        ready = make_ready(case)
    except WeighingRefused:
        return
    refs = [one.ref for one in (*case.notes, *case.predictions)]
    gone = set(data.draw(st.lists(st.sampled_from(refs), unique=True))) if refs else set()
    found, expected = lessened(ready, gone), make_ready(lessened(ready, gone).case)
    assert not {one.ref for one in (*found.case.notes, *found.case.predictions)} & gone
    assert found.layout.rows == expected.layout.rows
    assert found.layout.origins == expected.layout.origins
    assert found.able == expected.able
    assert found.factors.posterior.tolist() == expected.factors.posterior.tolist()


@QUICK
@given(cases(bearings=EXTREME))
def test_a_chance_tried_where_it_stands_changes_nothing(case):
    """Each chance that may be moved, tried at its own value, gives the posterior as it is; moved, mostly another."""
    try:
        one = weighed([case], ())[Q]
    except WeighingRefused:
        return
    some = knobs(one)
    if not some:
        return
    found = Trials(one).posterior(some, np.array([[knob.stated for knob in some]]))[0]
    whole = np.broadcast_to(one.posterior, found.shape)
    assert np.array_equal(np.isneginf(found), np.isneginf(whole))
    finite = np.isfinite(whole)
    # Rows stand less their greatest, so a posterior is known but for a constant; differences are what counts.
    assert found[finite] == pytest.approx(whole[finite], abs=1e-9)


@QUICK
@given(cases(), CHANCE)
def test_a_neutral_note_is_in_no_smallest_set(case, bearing):
    """A note as probable under every rival is never among those whose loss changes the leader, nor adds to them."""
    neutral = Note("evidence/neutral", "sources/s0", 0.7, {rival: bearing for rival in case.prior if rival != NONE})
    judging_all = tuple(
        replace(one, bearing={rival: one.bearing.get(rival, 0.5) for rival in case.prior if rival != NONE})
        for one in case.notes
    )
    case = replace(case, notes=judging_all)
    before, after = smallest_sets([case])[Q], smallest_sets([replace(case, notes=(*judging_all, neutral))])[Q]
    assert len(before.notes) == len(after.notes)
    assert neutral.ref not in after.notes


@QUICK
@given(cases(), st.randoms(use_true_random=False))
def test_the_order_of_what_is_given_changes_nothing(case, random):
    """Notes, sources and rivals in any order give the same sets, changes and bearings, to the last bit."""

    def shuffled(values):
        return random.sample(list(values), len(values))

    other = replace(
        case,
        prior=dict(shuffled(case.prior.items())),
        soundness=dict(shuffled(case.soundness.items())),
        notes=tuple(shuffled(case.notes)),
        feasibilities=tuple(shuffled(case.feasibilities)),
    )
    assert smallest_sets([other]) == smallest_sets([case])
    assert beliefs([other]) == beliefs([case])
    assert how_wrong([other]) == how_wrong([case])


@QUICK
@given(cases())
def test_changes_are_in_order_and_lie_between_where_they_stand_and_certainty(case):
    """Sizes are positive and never fall down the list; a value is a chance, on the side it had to be turned to."""
    leader = weigh(case).leader
    for belief in beliefs([case])[Q]:
        sizes = [change.size for change in belief.changes]
        assert all(size > 0 for size in sizes)
        assert all(low <= high + 1e-9 for low, high in pairwise(sizes))
        for change in belief.changes:
            assert 0 <= change.value <= 1
            if change.kind in ("bearing", "feasibility"):
                assert (change.value > change.stated) == (change.rival == belief.rival)
                assert change.rival in (belief.rival, leader)
            assert not change.within
        assert not (belief.changes and belief.aside)


@QUICK
@given(cases(), cases(question="questions/other", names=("x", "y", "z")))
def test_a_link_that_says_nothing_changes_nothing(one, other):
    """With a factor of 1 two questions are as fragile as apart."""
    apart = {**smallest_sets([one]), **smallest_sets([other])}
    joined = smallest_sets([one, other], [Link("drum", "favours", "x", 1.0)])
    assert {name: (len(found.notes), found.before) for name, found in joined.items()} == {
        name: (len(found.notes), found.before) for name, found in apart.items()
    }


@QUICK
@given(cases())
def test_what_is_set_aside_is_no_more_than_needed(case):
    """Putting any one thing of a smallest set back, the rival does not lead."""
    for belief in beliefs([case])[Q]:
        for back in belief.aside:
            left = [one for one in belief.aside if one != back]
            refs = {one.ref for one in left if one.kind in ("note", "measurement")}
            origins = {one.ref for one in left if one.kind == "origin"}
            rivals = {one.ref for one in left if one.kind == "feasibility"}
            less = replace(
                case,
                notes=tuple(one for one in case.notes if one.ref not in refs and one.origin not in origins),
                predictions=tuple(one for one in case.predictions if one.ref not in refs and one.origin not in origins),
                feasibilities=tuple(one for one in case.feasibilities if one.rival not in rivals),
            )
            assert weigh(less).leader != belief.rival


def test_a_layout_that_keeps_a_lost_row_is_caught():
    """The comparison above refuses a layout in which a row that should be gone still counts."""
    note = Note("evidence/n", "sources/s0", 0.9, {"drum": 0.9, "rack": 0.2})
    case = Case(Q, {"drum": 0.5, "rack": 0.4, NONE: 0.1}, {"sources/s0": 0.9}, (note,))
    ready = make_ready(case)
    assert lessened(ready, {"evidence/n"}).factors.posterior.tolist() != ready.factors.posterior.tolist()


def test_an_origin_that_loses_all_it_says_takes_its_soundness_along():
    """Of three sources of different soundness the first loses its only note; the others keep their own."""
    notes = tuple(
        Note(f"evidence/n{place}", f"sources/s{place}", 0.9, {"drum": 0.9 - 0.2 * place, "rack": 0.2})
        for place in range(3)
    )
    sound = {"sources/s0": 0.3, "sources/s1": 0.6, "sources/s2": 0.95}
    ready = make_ready(Case(Q, {"drum": 0.5, "rack": 0.4, NONE: 0.1}, sound, notes))
    found, expected = lessened(ready, {"evidence/n0"}), make_ready(replace(ready.case, notes=notes[1:]))
    assert found.layout.soundness.tolist() == [[0.6, 0.95]]
    assert found.factors.posterior.tolist() == expected.factors.posterior.tolist()
