"""Linked questions against a Bayesian network of all of them and against exact fractions; and both against mistakes."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from linked_oracles import enumerated_jointly, joint_network, questions_of, random_network

from ledger.weighing import joint, linking
from ledger.weighing.values import NONE, Case, Link, Note
from ledger.weighing.weigh import weigh_together

TOLERANCE = 1e-9  # all ways are exact; what is left is rounding
NETWORKS = 200


def confidences(weighings):
    return {
        question: {standing.rival: standing.confidence for standing in weighing.standings}
        for question, weighing in weighings.items()
    }


def near(found):
    return {
        question: {rival: pytest.approx(float(chance), rel=TOLERANCE, abs=1e-15) for rival, chance in chances.items()}
        for question, chances in found.items()
    }


def bare(case):
    """Return a question without any evidence."""
    return replace(case, notes=(), predictions=(), feasibilities=())


@pytest.mark.parametrize("seed", range(NETWORKS))
def test_a_network_of_all_questions_gives_the_same_confidences(seed):
    """Variable elimination in one network of chains, trees, cycles and clusters gives the same, for every rival."""
    cases, links = random_network(seed)
    assert confidences(weigh_together(cases, links)) == near(joint_network(cases, links))


@pytest.mark.parametrize("seed", range(0, NETWORKS, 4))
def test_a_network_without_evidence_gives_the_priors_after_links(seed):
    """What links make of the priors is what the network says before anything is observed but the links."""
    cases, links = random_network(seed)
    found = {
        question: {standing.rival: standing.linked_prior for standing in weighing.standings}
        for question, weighing in weigh_together(cases, links).items()
    }
    assert found == near(joint_network([bare(case) for case in cases], links))


def without(cases, links, key):
    """Return the cases and links without what the key of a weight stands for."""

    def left(case):
        if key == case.question:
            named = [rival for rival in case.prior if rival != NONE]
            return replace(case, prior=case.prior | {rival: (1 - case.prior[NONE]) / len(named) for rival in named})
        return replace(
            case,
            notes=tuple(note for note in case.notes if key not in (note.ref, note.origin)),
            predictions=tuple(item for item in case.predictions if key not in (item.ref, item.origin)),
            feasibilities=tuple(item for item in case.feasibilities if (key,) != item.calculations),
        )

    return [left(case) for case in cases], [link for link in links if link.name != key]


def odds(chances, rival):
    others = math.fsum(chance for name, chance in chances.items() if name != rival)
    return chances[rival] / others


@pytest.mark.parametrize("seed", range(40))
def test_leaving_out_in_the_network_gives_the_same_weights(seed):
    """A note, source, calculation, prior or link left out of the network moves each rival of each question as told."""
    cases, links = random_network(seed)
    found = weigh_together(cases, links)
    held = joint_network(cases, links)
    keys = sorted({key for one in found.values() for key in (*one.weights, *one.through)})
    draw = np.random.default_rng(seed)
    for key in draw.choice(keys, min(4, len(keys)), replace=False).tolist():
        left = joint_network(*without(cases, links, key))
        for question, weighing in found.items():
            told = weighing.weights.get(key) or weighing.through.get(key) or dict.fromkeys(held[question], 0.0)
            for rival in held[question]:
                before, after = odds(left[question], rival), odds(held[question], rival)
                if 1e-12 < before < 1e12 and 1e-12 < after < 1e12:  # beyond, the network's 1 - p has lost its digits
                    assert told[rival] == pytest.approx(10 * math.log10(after / before), abs=1e-6)


def certain(seed):
    """Return questions whose notes are certain and judge every rival, and what their own evidence makes of them."""
    draw = np.random.default_rng([seed, 9])
    _, links = random_network(seed)
    rivals = {}
    for case in random_network(seed)[0]:
        rivals[case.question] = list(case.prior)
    cases, own = [], {}
    for question, names in rivals.items():
        shares = draw.dirichlet(np.ones(len(names))).tolist()
        bearings = [{name: float(draw.uniform(0.01, 1)) for name in names[:-1]} for _ in range(draw.integers(0, 4))]
        notes = tuple(Note(f"{question} n{number}", "s", 1.0, each) for number, each in enumerate(bearings))
        prior = dict(zip(names, shares, strict=True))
        cases.append(Case(question, prior, {"s": 1.0}, notes))
        exact = {name: Fraction(prior[name]) for name in names}
        named = sum(exact[name] for name in names[:-1])
        for each in bearings:
            regardless = sum(Fraction(prior[name]) * Fraction(each[name]) for name in names[:-1]) / named
            exact = {name: exact[name] * Fraction(each.get(name, 0)) if name != NONE else exact[name] * regardless
                     for name in names}  # fmt: skip
        own[question] = exact
    return cases, links, own


@pytest.mark.parametrize("seed", range(40))
def test_exact_fractions_of_every_combination_give_the_same_confidences(seed):
    """Every combination added up in fractions, which round nothing, gives the same to 1e-12."""
    cases, links, own = certain(seed)
    expected = enumerated_jointly(own, links)
    found = confidences(weigh_together(cases, links))
    for question, chances in expected.items():
        assert found[question] == {
            rival: pytest.approx(float(chance), rel=1e-12, abs=1e-300) for rival, chance in chances.items()
        }


def far_off():
    """Return two questions of which links leave only combinations of chance 1e-400, one three times the other."""
    first = {"one": 1e-200, "other": 3e-200, "likely": 1.0}
    second = {"this": 1e-200, "that": 1e-200, "sure": 1.0}
    third = 1 / 3
    cases = [
        Case(
            question,
            {**dict.fromkeys(bearing, third), NONE: 0.0},
            {"s": 1.0},
            (Note(f"{question} note", "s", 1.0, bearing),),
        )
        for question, bearing in (("first", first), ("second", second))
    ]
    pairs = [("likely", "sure"), ("likely", "this"), ("likely", "that"), ("one", "sure"), ("other", "sure"),
             ("one", "that"), ("other", "this")]  # fmt: skip
    return cases, [Link(one, "rules-out", other) for one, other in pairs]


def test_combinations_too_small_for_a_float_are_weighed_all_the_same():
    """Where links leave only chances of 1e-400 and 3e-400, which are no floats, the confidences are 1/4 and 3/4."""
    cases, links = far_off()
    assert math.prod([1e-200, 1e-200]) == 0.0
    found = weigh_together(cases, links, 20)
    assert confidences(found)["first"] == pytest.approx({"one": 0.25, "other": 0.75, "likely": 0, NONE: 0}, rel=1e-12)
    assert confidences(found)["second"] == pytest.approx({"this": 0.25, "that": 0.75, "sure": 0, NONE: 0}, rel=1e-12)
    assert [impossible.rival for impossible in found["first"].impossible] == ["likely"]
    assert [impossible.rival for impossible in found["second"].impossible] == ["sure"]
    assert found["first"].account.total == pytest.approx(10 * math.log10(3), abs=1e-9)
    assert found["first"].drawn["one"] == pytest.approx(np.full(20, 0.25), rel=1e-12)
    # without its note the other's is still there: 1/3 each, times 1e-200 alike
    assert found["first"].weights["first note"]["other"] == pytest.approx(10 * math.log10(3), abs=1e-9)


def test_a_note_as_small_as_floats_go_is_weighed_through_links():
    """Two hundred notes of 1e-3 against 2e-3 say 2^200 of a linked question too, by way of what needs their rival."""
    notes = tuple(Note(f"n{number}", f"s{number}", 1.0, {"a": 1e-3, "b": 2e-3}) for number in range(200))
    case = Case("q", {"a": 0.5, "b": 0.5, NONE: 0.0}, {note.origin: 1.0 for note in notes}, notes)
    other = Case("r", {"c": 0.5, "d": 0.5, NONE: 0.0}, {})
    found = confidences(weigh_together([case, other], [Link("c", "needs", "a"), Link("d", "needs", "b")]))
    assert found["r"]["c"] == pytest.approx(2.0**-200, rel=1e-11)


def needs_backwards(self, link, drawn=None):
    """`needs` read the other way round: the other needs the one."""
    table = RIGHT_TABLE(self, link, drawn)
    if link.kind == "needs":
        ones, others = (self.rivals[self.owner[rival]] for rival in (link.one, link.other))
        table = np.zeros_like(table)
        table[:, :, others.index(link.other)] = -np.inf
        table[:, ones.index(link.one), others.index(link.other)] = 0.0
    return table


def favours_the_whole_row(self, link, drawn=None):
    """The factor on every pair with the one."""
    table = RIGHT_TABLE(self, link, drawn)
    if link.kind == "favours":
        ones = self.rivals[self.owner[link.one]]
        table[:, ones.index(link.one), :] = math.log(link.factor)
    return table


def greatest_instead_of_sum(logs, axes):
    return logs.max(axis=axes) if axes else logs


def nothing_from_the_rest(of, own, tables):
    total, rest = RIGHT_REST(of, own, tables)
    return total, [np.zeros_like(one) for one in rest]


RIGHT_TABLE, RIGHT_REST = linking.Group._table, linking.from_the_rest
PLANTED = [
    (linking.Group, "_table", needs_backwards),
    (linking.Group, "_table", favours_the_whole_row),
    (joint, "log_sum", greatest_instead_of_sum),
    ("ledger.weighing.weigh", "from_the_rest", nothing_from_the_rest),
]


@pytest.mark.parametrize(("place", "name", "mistake"), PLANTED, ids=lambda part: getattr(part, "__name__", ""))
def test_a_planted_mistake_is_seen(monkeypatch, place, name, mistake):
    """Each planted wrong formula makes the network disagree in some of ten networks, as do the fractions."""
    if isinstance(place, str):
        monkeypatch.setattr(f"{place}.{name}", mistake)
    else:
        monkeypatch.setattr(place, name, mistake)
    disagreed = [0, 0]
    for seed in range(10):
        cases, links = random_network(seed)
        disagreed[0] += confidences(weigh_together(cases, links)) != near(joint_network(cases, links))
        cases, links, own = certain(seed)
        disagreed[1] += confidences(weigh_together(cases, links)) != near(enumerated_jointly(own, links))
    assert min(disagreed) >= 3


def test_all_shapes_and_kinds_of_link_are_among_the_networks():
    """The networks hold every kind of link, cycles, questions linked to nothing and rivals that links shut out."""
    kinds, ranks, shut = set(), set(), 0
    for seed in range(NETWORKS):
        cases, links = random_network(seed)
        kinds |= {link.kind for link in links}
        joined = {frozenset(questions_of(cases, link)) for link in links}
        ranks.add((len(cases), len(joined)))
        shut += any(one.impossible for one in weigh_together(cases, links).values())
    assert kinds == {"needs", "rules-out", "favours"}
    assert {(4, 3), (4, 4), (4, 6), (4, 2)} <= ranks  # trees, cycles, everything with everything, one apart
    assert shut > 5
