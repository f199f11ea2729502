"""A look's worth over draws, worked out draw by draw; and what it does to linked questions, by trying all of them."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from ledger.quantities.draws import generator
from ledger.weighing.drawn import Drawn
from ledger.weighing.looking import Doubt, Linked, worth
from ledger.weighing.supposing import given_each
from ledger.weighing.values import NONE, Case, Link, Note, Stated
from ledger.weighing.weigh import weigh_together
from tests.shared_bits import mutual_information

COUNT = 200
NAMES = ["a", "b", NONE]
WORD = Stated(0.55, 0.8, "ladder likely")
POINTS = {"seen": {"a": 0.675, "b": 0.2}, "not": {"a": 0.325, "b": 0.8}}
RANGES = {"seen": {"a": WORD}, "not": {"a": Stated(0.2, 0.45, "not a")}}


def doubts(ranges=RANGES):
    """Drawn confidences and priors of two rivals, beside ranges of a look."""
    random = np.random.default_rng(4)
    confidences = random.dirichlet([4, 3, 1], COUNT).T
    priors = random.dirichlet([5, 5, 2], COUNT).T
    return Doubt(
        dict(zip(NAMES, confidences, strict=True)), dict(zip(NAMES, priors, strict=True)), ranges, Drawn(COUNT)
    )


def one_by_one(doubt, ranges=RANGES):
    """Return the gain of every draw, each a look of its own."""
    found = []
    for draw in range(COUNT):
        outcomes = {
            name: {
                rival: point
                if rival not in ranges.get(name, {})
                else (one := ranges[name][rival]).low
                + (one.high - one.low) * generator("weighing", one.name).random(COUNT)[draw]
                for rival, point in says.items()
            }
            for name, says in POINTS.items()
        }
        totals = {rival: sum(says[rival] for says in outcomes.values()) for rival in ("a", "b")}
        outcomes = {name: {one: says[one] / totals[one] for one in says} for name, says in outcomes.items()}
        confidences = {name: float(doubt.confidences[name][draw]) for name in NAMES}
        prior = {name: float(doubt.prior[name][draw]) for name in NAMES}
        found.append(worth(confidences, outcomes, 0.8, prior=prior).gain)
    return np.array(found)


def test_each_draw_is_a_look_of_its_own():
    """Gains over draws are those of working every draw out alone; median and interval are their quantiles."""
    doubt = doubts()
    found = worth({"a": 0.5, "b": 0.4, NONE: 0.1}, POINTS, 0.8, doubt=doubt)
    expected = one_by_one(doubt)
    assert found.drawn == pytest.approx(expected, abs=1e-12)
    assert (found.low, found.median, found.high) == pytest.approx(np.quantile(expected, [0.05, 0.5, 0.95]), abs=1e-12)
    assert found.gain == worth({"a": 0.5, "b": 0.4, NONE: 0.1}, POINTS, 0.8).gain


def test_a_word_is_one_draw():
    """The same word in two places is the same draw; under two names the gains would differ."""
    both = {"seen": {"a": WORD, "b": WORD}, "not": {}}
    apart = {"seen": {"a": WORD, "b": Stated(WORD.low, WORD.high, "other")}, "not": {}}
    now, points = {"a": 0.5, "b": 0.4, NONE: 0.1}, {"seen": {"a": 0.675, "b": 0.675}, "not": {"a": 0.325, "b": 0.325}}
    together = worth(now, points, doubt=doubts(both))
    assert together.drawn == pytest.approx(0, abs=1e-12)
    assert worth(now, points, doubt=doubts(apart)).high > 1e-4


def test_nothing_stated_as_a_range_has_no_width():
    """Where all draws are the points, median and both ends are the gain."""
    now = {"a": 0.5, "b": 0.4, NONE: 0.1}
    still = {name: np.full(COUNT, value) for name, value in now.items()}
    found = worth(now, POINTS, doubt=Doubt(still, still, {}, Drawn(COUNT)))
    assert (found.low, found.median, found.high) == pytest.approx((found.gain,) * 3, abs=1e-12)


def network(seed):
    """Three questions of two or three rivals with a note each, linked in a chain."""
    random = np.random.default_rng(seed)
    cases = []
    for name, count in (("p", 2), ("q", 3), ("r", 2)):
        rivals = [f"{name}{number}" for number in range(count)]
        prior = dict(zip((*rivals, NONE), random.dirichlet(np.ones(count + 1)).tolist(), strict=True))
        note = Note(
            f"{name} note", f"{name} source", 0.8, dict(zip(rivals, random.random(count).tolist(), strict=True))
        )
        cases.append(Case(name, prior, {f"{name} source": 0.9}, (note,)))
    kinds = ["favours", "needs", "rules-out"]
    links = [
        Link("p0", kinds[seed % 3], "q0", 6.0),
        Link("q1", "favours", "r1", float(random.uniform(3, 9))),
        Link("q2", "rules-out", "r0"),
    ]
    return cases, links


def combinations(cases, links):
    """The chance of every combination of three questions, from each weighed alone and the links' factors."""
    alone = {case.question: {one.rival: one.confidence for one in weigh_together([case], [])[case.question].standings}
             for case in cases}  # fmt: skip
    table = {}
    for trio in itertools.product(*(alone[case.question] for case in cases)):
        chance = math.prod(alone[case.question][rival] for case, rival in zip(cases, trio, strict=True))
        for link in links:
            one, other = link.one in trio, link.other in trio
            if link.kind == "needs" and one and not other:
                chance = 0.0
            elif one and other:
                chance *= {"needs": 1.0, "rules-out": 0.0, "favours": link.factor}[link.kind]
        table[trio] = chance
    total = sum(table.values())
    return {trio: chance / total for trio, chance in table.items()}


@pytest.mark.parametrize("seed", range(12))
def test_what_others_would_be_were_one_true(seed):
    """The confidences of linked questions under each rival are those of summing all combinations that have it."""
    cases, links = network(seed)
    joint = combinations(cases, links)
    for place, case in enumerate(cases):
        found = given_each(cases, links, case.question)
        assert set(found) == {one.question for one in cases} - {case.question}
        for rival in case.prior:
            share = sum(chance for trio, chance in joint.items() if trio[place] == rival)
            for there, other in enumerate(cases):
                if other is not case:
                    if share == 0:
                        assert rival not in found[other.question]
                        continue
                    expected = {
                        name: sum(c for trio, c in joint.items() if trio[place] == rival and trio[there] == name)
                        / share
                        for name in other.prior
                    }
                    assert dict(found[other.question][rival]) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("seed", range(12))
def test_a_look_at_one_question_tells_of_all(seed):
    """What a look tells of its question is what it tells of all; leaders elsewhere change as all combinations say."""
    cases, links = network(seed)
    joint = combinations(cases, links)
    random = np.random.default_rng(100 + seed)
    rows = dict(zip(("q0", "q1", "q2"), random.dirichlet(np.ones(3) / 2, 3), strict=True))
    outcomes = {f"o{k}": {rival: float(row[k]) for rival, row in rows.items()} for k in range(3)}
    weighed = weigh_together(cases, links)
    confidences = {one.rival: one.confidence for one in weighed["q"].standings}
    prior = dict(cases[1].prior)
    linked = [
        Linked(other, given, {one.rival for one in weighed[other].standings})
        for other, given in given_each(cases, links, "q").items()
    ]
    found = worth(confidences, outcomes, prior=prior, linked=linked)
    total = sum(prior[name] for name in rows)
    mean = {name: sum(prior[one] * says[one] for one in rows) / total for name, says in outcomes.items()}
    table = np.array(
        [[chance * outcomes[name].get(trio[1], mean[name]) for name in outcomes] for trio, chance in joint.items()]
    )
    assert found.gain == pytest.approx(mutual_information(table / table.sum()), abs=1e-9)
    trios = list(joint)
    for place, other in ((0, "p"), (2, "r")):

        def leads(column, place=place):
            shares = {}
            for trio, value in zip(trios, column, strict=True):
                shares[trio[place]] = shares.get(trio[place], 0.0) + value
            return max(shares, key=shares.get)

        changed = (
            sum(table[:, k].sum() for k in range(3) if leads(table[:, k]) != leads(table.sum(axis=1))) / table.sum()
        )
        assert found.elsewhere[other] == pytest.approx(changed, abs=1e-9)
    assert max(found.elsewhere.values()) <= found.anywhere + 1e-12
    assert found.leader_changes <= found.anywhere + 1e-12


def test_some_looks_do_change_leaders_elsewhere():
    """Among these networks leaders do change elsewhere, and do not where the links are cut: the check can fail."""
    changes = []
    for seed in range(12):
        cases, links = network(seed)
        for kept in (links, []):
            weighed = weigh_together(cases, kept)
            confidences = {one.rival: one.confidence for one in weighed["q"].standings}
            linked = [
                Linked(other, given, {one.rival for one in weighed[other].standings})
                for other, given in given_each(cases, links, "q").items()
            ]
            sure = {f"o{k}": {f"q{i}": 0.98 if i == k else 0.01 for i in range(3)} for k in range(3)}
            found = worth(confidences, sure, linked=linked if kept else [])
            changes.append((bool(kept), max(found.elsewhere.values(), default=0.0)))
    assert any(changed > 0 for linked, changed in changes if linked)
    assert all(changed == 0 for linked, changed in changes if not linked)
