"""What links leave no combination for: found just when there is none, and laid to a least set of links."""

import math
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.errors import WeighingRefused
from ledger.weighing.linking import MOST_ENTRIES
from ledger.weighing.values import NONE, Case, Link, Note
from ledger.weighing.weigh import weigh_together

QUICK = settings(max_examples=80, deadline=None)


@st.composite
def strict_networks(draw):
    """Two to four questions of which one named rival each is true for sure, and links that forbid a great deal."""
    cases = []
    for number in range(draw(st.integers(2, 4))):
        named = [f"q{number}-{letter}" for letter in "abc"[: draw(st.integers(1, 3))]]
        cases.append(Case(f"q{number}", dict.fromkeys(named, 1 / len(named)) | {NONE: 0.0}, {}))
    pairs = [
        (one, other)
        for first, second in product(cases, cases)
        if first is not second
        for one in first.prior
        for other in second.prior
        if NONE not in (one, other)
    ]
    made = {}
    for one, other in draw(st.lists(st.sampled_from(pairs), min_size=1, max_size=9)):
        kind = draw(st.sampled_from(["needs", "rules-out", "favours"]))
        made.setdefault(frozenset({one, other}), Link(one, kind, other, 2.0 if kind == "favours" else 1.0))
    return cases, list(made.values())


def possible(cases, links, held=None):
    """Return whether any combination keeps all links, of those with one rival if it is named."""
    for combination in product(*([rival for rival, prior in case.prior.items() if prior] for case in cases)):
        true = set(combination)
        kept = all(
            link.kind == "favours" or not (link.one in true and ((link.other in true) is (link.kind == "rules-out")))
            for link in links
        )
        if kept and (held is None or held in true):
            return True
    return False


def together(cases, links):
    """Return the questions as connected groups."""
    owner = {rival: case.question for case in cases for rival in case.prior if rival != NONE}
    group = {case.question: {case.question} for case in cases}
    for link in links:
        joined = group[owner[link.one]] | group[owner[link.other]]
        for question in joined:
            group[question] = joined
    return [[case for case in cases if case.question in part] for part in {frozenset(part) for part in group.values()}]


def is_least(cases, links, names, held=None):
    """Assert that these links leave no combination, and that without any one of them there is one."""
    named = [link for link in links if link.name in names]
    assert len(named) == len(set(names)) == len(names) > 0
    assert not possible(cases, named, held)
    for link in named:
        assert possible(cases, [other for other in named if other is not link], held)


def named_in(words, links):
    """Return the names of links that a refusal tells."""
    return [link.name for link in links if link.name in words]


@QUICK
@given(strict_networks())
def test_contradictions_are_refused_just_when_there_are_some_and_laid_to_a_least_set(network):
    """Links that leave no combination are refused; those named do it, and none of them is there for nothing."""
    cases, links = network
    if possible(cases, links):
        found = weigh_together(cases, links)
        assert math.fsum(one.confidence for one in found["q0"].standings) == pytest.approx(1.0)
        return
    with pytest.raises(WeighingRefused, match="the links leave no combination") as refused:
        weigh_together(cases, links)
    words = str(refused.value)
    assert words.endswith("Take out or mend one of them.")
    is_least(cases, links, named_in(words, links))


@QUICK
@given(strict_networks())
def test_every_rival_that_links_shut_out_is_named_with_a_least_set(network):
    """Just the rivals without any combination are named, in their own question, each with links that do it alone."""
    cases, links = network
    if not possible(cases, links):
        return
    found = weigh_together(cases, links)
    for part in together(cases, links):
        for case in part:
            shut = {rival for rival, prior in case.prior.items() if prior and not possible(part, links, rival)}
            told = found[case.question].impossible
            assert {one.rival for one in told} == shut
            for one in told:
                is_least(cases, links, one.links, one.rival)
            standings = {one.rival: one for one in found[case.question].standings}
            assert all(standings[rival].confidence == standings[rival].linked_prior == 0.0 for rival in shut)


def test_none_of_these_is_shut_out_in_its_own_question_only():
    """Where a rival that is sure needs one of another question, "none of these" is shut out there and nowhere else."""
    sure = Case("q", {"sure": 1.0, NONE: 0.0}, {})
    needed = Case("r", {"this": 0.5, "that": 0.3, NONE: 0.2}, {})
    apart = Case("s", {"one": 0.5, NONE: 0.5}, {})
    found = weigh_together([sure, needed, apart], [Link("sure", "needs", "this"), Link("one", "favours", "this", 2.0)])
    assert {question: [one.rival for one in weighing.impossible] for question, weighing in found.items()} == {
        "q": [],
        "r": ["that", NONE],
        "s": [],
    }


@pytest.mark.parametrize("length", [2, 3, 6])
def test_a_planted_circle_is_named_and_nothing_else(length):
    """a needs b, b needs c … and the last rules out a: the circle is named, and not the links beside it."""
    cases = [Case(f"q{number}", {f"a{number}": 1.0, NONE: 0.0}, {}) for number in range(length)]
    beside = Case("beside", {"x": 0.5, "y": 0.4, NONE: 0.1}, {})
    circle = [Link(f"a{number}", "needs", f"a{number + 1}") for number in range(length - 1)]
    if length > 2:
        circle.append(Link(f"a{length - 1}", "rules-out", "a0"))
        with pytest.raises(WeighingRefused) as refused:
            weigh_together([*cases, beside], [*circle, Link("x", "favours", "a0", 3.0), Link("y", "needs", "a1")])
        # each is true for sure already, so that ruling out the one alone cannot be
        assert named_in(str(refused.value), circle) == [circle[-1].name]
        assert "favours" not in str(refused.value)
        assert "y needs" not in str(refused.value)
    cases[0] = Case("q0", {"a0": 0.5, "b0": 0.5, NONE: 0.0}, {})
    cases[1:] = [
        Case(f"q{number}", {f"a{number}": 0.5, f"b{number}": 0.5, NONE: 0.0}, {}) for number in range(1, length)
    ]
    if length > 2:
        found = weigh_together([*cases, beside], [*circle, Link("x", "favours", "a0", 3.0)])
        (impossible,) = found["q0"].impossible
        assert impossible.rival == "a0"
        assert sorted(impossible.links) == sorted(link.name for link in circle)


def test_evidence_and_links_that_contradict_each_other_are_named_by_the_links_that_do_it():
    """Certain notes that shut out what is needed make a contradiction; of three links the one to blame is named."""
    note = Note("n", "s", 1.0, {"c": 0.0, "d": 0.5})
    cases = [
        Case("q", {"a": 1.0, NONE: 0.0}, {}),
        Case("r", {"c": 0.5, "d": 0.5, NONE: 0.0}, {"s": 1.0}, (note,)),
        Case("t", {"e": 0.5, "f": 0.5, NONE: 0.0}, {}),
    ]
    links = [Link("a", "needs", "c"), Link("e", "favours", "a", 2.0), Link("f", "rules-out", "d")]
    with pytest.raises(WeighingRefused, match="q, r, t: the evidence and the links contradict each other") as refused:
        weigh_together(cases, links)
    assert named_in(str(refused.value), links) == ["a needs c"]
    assert str(refused.value).endswith("or take out a link.")


def cluster(count, named):
    """Return questions each linked to each other by a factor."""
    cases = [
        Case(f"q{number:02}", {f"q{number:02}-{rival}": 1 / named for rival in range(named)} | {NONE: 0.0}, {})
        for number in range(count)
    ]
    links = [Link(f"q{one:02}-0", "favours", f"q{other:02}-0", 2.0) for one in range(count) for other in range(one)]
    return cases, links


def test_too_large_a_table_is_refused_with_the_links_named():
    """Eight questions of five rivals and none, all linked with all, need 6^8 entries: refused, every link named."""
    cases, links = cluster(8, 5)
    with pytest.raises(
        WeighingRefused, match=r"linked so closely that .* needs a table of 1,679,616 entries"
    ) as refused:
        weigh_together(cases, links)
    assert 6**8 == 1_679_616 > MOST_ENTRIES
    assert named_in(str(refused.value), links) == [link.name for link in links]
    assert all(case.question in str(refused.value) for case in cases)


def test_the_largest_table_allowed_is_weighed_exactly():
    """Seven such questions, 279,936 entries, are weighed: with k firsts true a combination counts 2^(k choose 2)."""
    cases, links = cluster(7, 5)
    first = next(one for one in weigh_together(cases, links)["q00"].standings if one.rival == "q00-0")
    share = [math.comb(7, k) * 4 ** (7 - k) * 2 ** math.comb(k, 2) for k in range(8)]
    expected = sum(k / 7 * part for k, part in enumerate(share)) / sum(share)
    assert first.confidence == pytest.approx(expected, rel=1e-12)


def test_a_long_chain_needs_no_large_table():
    """A hundred questions in a chain, each rival needing the next, are weighed: all true or the chain breaks off."""
    cases = [Case(f"q{n:03}", {f"a{n:03}": 0.5, f"b{n:03}": 0.5, NONE: 0.0}, {}) for n in range(100)]
    links = [Link(f"a{n:03}", "needs", f"a{n + 1:03}") for n in range(99)]
    found = weigh_together(cases, links)
    # of 101 combinations, told by where the first true one stands, a_n is true in n + 1
    for n in (0, 1, 50, 99):
        chance = next(one.confidence for one in found[f"q{n:03}"].standings if one.rival == f"a{n:03}")
        assert chance == pytest.approx((n + 1) / 101, rel=1e-11)
