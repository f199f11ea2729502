"""What must not change, and what must add up, when questions are linked and everything is stated as ranges."""

import hashlib
import math
import os
import subprocess
import sys
from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ledger.errors import WeighingRefused
from ledger.weighing import ranges, weights
from ledger.weighing.linking import groups
from ledger.weighing.values import NONE, Case, Link, Note, Stated
from ledger.weighing.weigh import weigh, weigh_together
from tests.properties.linked_networks import (
    CHANCE,
    DRAWS,
    NAMES,
    QUICK,
    confidences,
    near,
    networks,
    rivals,
    to_the_bit,
)


@QUICK
@given(networks())
def test_confidences_priors_after_links_and_draws_sum_to_one(network):
    """At the middles, before any evidence and in every draw, the rivals of a question share one."""
    for weighing in weigh_together(*network, DRAWS).values():
        for name in ("confidence", "linked_prior"):
            assert math.fsum(getattr(one, name) for one in weighing.standings) == pytest.approx(1.0, abs=1e-14)
        assert sum(weighing.drawn.values()) == pytest.approx(np.ones(DRAWS), abs=1e-13)
        assert min(map(np.min, weighing.drawn.values())) >= 0.0


@QUICK
@given(networks(), st.randoms(use_true_random=False))
def test_the_order_of_what_is_given_changes_nothing(network, random):
    """Questions, links, rivals, sources and notes in any order give the same to the last bit, draws included."""
    cases, links = network

    def shuffled(values):
        return random.sample(list(values), len(values))

    def other(case):
        return replace(
            case,
            prior=dict(shuffled(case.prior.items())),
            soundness=dict(shuffled(case.soundness.items())),
            stated=dict(shuffled(case.stated.items())),
            notes=tuple(replace(note, bearing=dict(shuffled(note.bearing.items()))) for note in shuffled(case.notes)),
        )

    again = weigh_together([other(case) for case in shuffled(cases)], shuffled(links), DRAWS)
    assert to_the_bit(again) == to_the_bit(weigh_together(cases, links, DRAWS))


@QUICK
@given(networks(), CHANCE, CHANCE, st.integers(0, 3))
def test_a_neutral_note_changes_nothing(network, bearing, credibility, number):
    """A note as probable under one rival as under any other moves nothing in its question or through links."""
    cases, links = network
    case = cases[number % len(cases)]
    note = Note("evidence/neutral", min(case.soundness), credibility, dict.fromkeys(rivals(case), bearing))
    more = [replace(one, notes=(*one.notes, note)) if one is case else one for one in cases]
    found = weigh_together(more, links)
    assert confidences(found) == near(confidences(weigh_together(cases, links)))
    assert list(found[case.question].weights[note.ref].values()) == pytest.approx([0.0] * len(case.prior), abs=1e-9)
    assert all(note.ref not in weighing.through for weighing in found.values())


@QUICK
@given(networks(), st.sampled_from(["rules-out", "favours", "needs"]), st.booleans(), st.data())
def test_a_rival_of_zero_prior_changes_nothing(network, kind, first, data):
    """A rival thought impossible, whatever it is linked to, leaves all confidences as they were."""
    cases, links = network
    case, aim = data.draw(st.sampled_from([(one, other) for one in cases for other in cases if one is not other]))
    ends = ("ghost", data.draw(st.sampled_from(rivals(aim))))
    kind = "favours" if kind == "needs" and not first else kind  # who needs what cannot be cannot be either
    one, other = ends if first else ends[::-1]
    link = Link(one, kind, other, 7.0 if kind == "favours" else 1.0)
    haunted = replace(
        case,
        prior=case.prior | {"ghost": 0.0},
        predictions=tuple(replace(item, density=item.density | {"ghost": 1e-3}) for item in case.predictions),
    )
    found = weigh_together([haunted if one is case else one for one in cases], [*links, link])
    expected = confidences(weigh_together(cases, links))
    expected[case.question]["ghost"] = 0.0
    assert confidences(found) == near(expected)
    assert {rows["ghost"] for rows in found[case.question].weights.values()} <= {0.0}


@QUICK
@given(networks(), CHANCE, st.data())
def test_splitting_a_rival_conserves_its_total(network, share, data):
    """Two halves of a rival that nothing needs, each with its evidence and links, add up to it, in every question."""
    cases, links = network
    needed = {link.other for link in links if link.kind == "needs"}
    free = [(case, rival) for case in cases for rival in rivals(case) if rival not in needed]
    assume(free)
    case, whole = data.draw(st.sampled_from(free))
    part = "half"

    def split(values):
        return {**values, part: values[whole]} if whole in values else values

    halved = replace(
        case,
        prior=case.prior | {whole: case.prior[whole] * share, part: case.prior[whole] * (1 - share)},
        stated={},
        notes=tuple(replace(note, bearing=split(note.bearing)) for note in case.notes),
        predictions=tuple(
            replace(item, density=split(item.density), doubt=split(item.doubt)) for item in case.predictions
        ),
        feasibilities=case.feasibilities
        + tuple(replace(item, rival=part) for item in case.feasibilities if item.rival == whole),
    )
    more = [replace(link, one=part) for link in links if link.one == whole]
    more += [replace(link, other=part) for link in links if link.other == whole]
    found = confidences(weigh_together([halved if one is case else one for one in cases], [*links, *more]))
    found[case.question][whole] += found[case.question].pop(part)
    assert found == near(confidences(weigh_together(cases, links)))


@QUICK
@given(networks())
def test_a_question_linked_to_nothing_is_as_weighed_alone(network):
    """Each question without links, and each group by itself, is weighed to the bit as among all the others."""
    cases, links = network
    found = weigh_together(cases, links, DRAWS)
    owner = {rival: case.question for case in cases for rival in rivals(case)}
    for together in groups({case.question: rivals(case) for case in cases}, links):
        inside = [link for link in links if owner[link.one] in together]
        alone = weigh_together([case for case in cases if case.question in together], inside, DRAWS)
        assert to_the_bit(alone) == to_the_bit({question: found[question] for question in together})
        if len(together) == 1:
            (case,) = (case for case in cases if case.question in together)
            assert to_the_bit({case.question: weigh(case, DRAWS)}) == to_the_bit(alone)
            assert found[case.question].linked == ()
            assert [one.linked_prior for one in found[case.question].standings] == pytest.approx(
                [one.prior for one in found[case.question].standings], rel=1e-14
            )
        else:
            assert all(found[question].linked == together for question in together)


@QUICK
@given(networks())
def test_the_median_lies_within_the_interval_and_orders_agree_with_who_is_first(network):
    """Low, median and high stand in order; orders sum to one; those that one rival heads sum to its chance of it."""
    for weighing in weigh_together(*network, DRAWS).values():
        first = defaultdict(float)
        for order in weighing.orders:
            first[order.first] += order.chance
            assert order.first != order.second
        for one in weighing.standings:
            assert 0 <= one.low <= one.median <= one.high <= 1
            assert one.first == pytest.approx(first[one.rival], abs=1e-12) or len(weighing.standings) == 2
            assert one.may_lead or one.first == 0.0
        if weighing.orders:
            assert math.fsum(order.chance for order in weighing.orders) == pytest.approx(1.0, abs=1e-12)
        chances = [order.chance for order in weighing.orders]
        assert chances == sorted(chances, reverse=True)
        assert math.fsum(one.first for one in weighing.standings) == pytest.approx(1.0, abs=1e-12)


@QUICK
@given(networks(), st.integers(1, 400))
def test_drawing_in_parts_changes_nothing(network, at_once):
    """However the draws are cut into parts, and the leaving out too, everything is the same to the bit."""
    whole = to_the_bit(weigh_together(*network, DRAWS))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ranges, "AT_ONCE", at_once)
        patch.setattr(weights, "AT_ONCE", at_once)
        assert to_the_bit(weigh_together(*network, DRAWS)) == whole


@QUICK
@given(networks())
def test_equal_rivals_rank_by_name_in_every_draw(network):
    """Two rivals alike in all never change places by rounding: the first by name is before the other in every draw."""
    cases, links = network
    case = cases[0]
    one = rivals(case)[0]
    alike = replace(
        case,
        prior=case.prior | {one: case.prior[one] / 2, "zz-twin": case.prior[one] / 2},
        stated={},
        notes=tuple(
            replace(note, bearing=dict.fromkeys([*rivals(case), "zz-twin"], note.bearing.get(one, 0.5)), stated={})
            for note in case.notes
        ),
        predictions=(),
        feasibilities=(),
    )
    links = [link for link in links if one not in (link.one, link.other)]
    found = weigh_together([alike, *cases[1:]], links, DRAWS)[case.question]
    places = {standing.rival: standing for standing in found.standings}
    assert places["zz-twin"].first == 0.0
    assert not any((order.first, order.second) == ("zz-twin", one) for order in found.orders)


def digest():
    """Return a digest of a weighing of twelve linked questions with ranges."""
    draw = np.random.default_rng(11)
    cases = []
    for number in range(12):
        named = [f"q{number:02}-{name}" for name in NAMES]
        notes = tuple(
            Note(
                f"evidence/{number}-{place}",
                f"sources/{place}",
                0.8,
                {rival: float(draw.uniform(0.1, 0.9)) for rival in named},
                {named[0]: Stated(0.1, 0.7, f"evidence/{number}-{place} {named[0]}")},
            )
            for place in range(2)
        )
        prior = dict(zip([*named, NONE], draw.dirichlet(np.ones(4)).tolist(), strict=True))
        cases.append(Case(f"questions/q{number:02}", prior, {"sources/0": 0.9, "sources/1": 0.7}, notes))
    pairs = [(number, number + 1) for number in range(11)] + [(0, 5), (3, 9), (4, 7), (2, 11)]
    links = [
        Link(
            f"q{one:02}-{NAMES[one % 3]}",
            "favours",
            f"q{other:02}-{NAMES[other % 3]}",
            3.0,
            Stated(1, 9, f"{one} {other}"),
        )
        for one, other in pairs
    ]
    found = to_the_bit(weigh_together(cases, links, 50))
    return hashlib.sha256(repr(found).encode()).hexdigest()


def test_the_same_is_drawn_in_another_process():
    """Another process, whose sets and dictionaries of text are in another order, gives the same bytes."""
    told = {
        subprocess.run(
            [sys.executable, "-c", "import test_linked_weighing_holds as one; print(one.digest())"],
            cwd=Path(__file__).parents[2],
            env={
                **os.environ,
                "PYTHONHASHSEED": seed,
                "PYTHONPATH": os.pathsep.join([str(Path(__file__).parents[2]), str(Path(__file__).parent)]),
            },
            capture_output=True,
            text=True,
            check=True,
        ).stdout.strip()
        for seed in ("1", "2")
    }
    assert told == {digest()}


def test_a_weighing_refuses_a_question_given_twice():
    """A question given twice is refused, linked or not."""
    case = Case("q", {"a": 0.5, NONE: 0.5}, {})
    with pytest.raises(WeighingRefused, match="q is given twice"):
        weigh_together([case, case], [])
