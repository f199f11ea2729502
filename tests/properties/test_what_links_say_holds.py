"""What needing, ruling out and favouring mean, read from either end, and links that say nothing."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ledger.weighing.values import NONE, Link
from ledger.weighing.weigh import weigh_together
from tests.properties.linked_networks import DRAWS, QUICK, confidences, linkable, near, networks, questions, rivals


@QUICK
@given(networks(), st.data())
def test_a_link_of_factor_one_changes_nothing(network, data):
    """A link that says nothing moves no confidence, and has no weight."""
    cases, links = network
    taken = {frozenset({link.one, link.other}) for link in links}
    free = [pair for pair in linkable(cases) if frozenset(pair) not in taken]
    assume(free)
    one, other = data.draw(st.sampled_from(free))
    link = Link(one, "favours", other, 1.0)
    found = weigh_together(cases, [*links, link])
    assert confidences(found) == near(confidences(weigh_together(cases, links)))
    assert all(link.name not in weighing.through for weighing in found.values())


def closed(case):
    """Return a question in which one of the named rivals is true for sure."""
    named = math.fsum(case.prior[rival] for rival in rivals(case))
    return replace(case, prior={rival: case.prior[rival] / named for rival in rivals(case)} | {NONE: 0.0}, stated={})


@QUICK
@given(questions(0), questions(1, 2))
def test_needing_one_is_ruling_out_all_others(first, second):
    """Where one of the named must be true, to need one of them is to rule out each of the others."""
    second = closed(second)
    one, needed, *others = rivals(first)[0], *rivals(second)
    by_need = weigh_together([first, second], [Link(one, "needs", needed)])
    by_ruling = weigh_together([first, second], [Link(one, "rules-out", other) for other in others])
    assert confidences(by_need) == near(confidences(by_ruling))


@QUICK
@given(questions(0, 2, 2), questions(1, 2, 2), questions(2))
def test_needing_holds_backwards_as_its_contrapositive(first, second, third):
    """Of two closed questions of two rivals each: that a needs b says the same as that not-b needs not-a."""
    cases = [closed(first), closed(second), third]
    (one, not_one), (other, not_other) = rivals(first), rivals(second)
    more = [Link(rivals(third)[0], "favours", one, 3.0), Link(rivals(third)[0], "rules-out", other)]
    forwards = weigh_together(cases, [*more, Link(one, "needs", other)])
    backwards = weigh_together(cases, [*more, Link(not_other, "needs", not_one)])
    assert confidences(forwards) == near(confidences(backwards))


@QUICK
@given(networks())
def test_each_needing_the_other_makes_both_true_or_neither(network):
    """Two rivals that need each other are true together or not at all, in every draw too."""
    cases, links = network
    one, other = rivals(cases[0])[0], rivals(cases[1])[0]
    kept = [link for link in links if {link.one, link.other} != {one, other}]
    found = weigh_together(cases, [*kept, Link(one, "needs", other), Link(other, "needs", one)], DRAWS)
    first, second = found[cases[0].question], found[cases[1].question]
    assert first.drawn[one] == pytest.approx(second.drawn[other], rel=1e-9, abs=1e-300)
    held = confidences(found)
    assert held[cases[0].question][one] == pytest.approx(held[cases[1].question][other], rel=1e-11, abs=1e-300)


@QUICK
@given(networks(kinds=("rules-out", "favours")))
def test_ruling_out_and_favouring_hold_both_ways(network):
    """Read from the other end, links that rule out or favour leave the confidences and the draws as they were."""
    cases, links = network
    turned = [replace(link, one=link.other, other=link.one) for link in links]
    ours, theirs = weigh_together(cases, links, DRAWS), weigh_together(cases, turned, DRAWS)
    assert confidences(theirs) == near(confidences(ours))
    for question, weighing in ours.items():
        for rival, drawn in weighing.drawn.items():
            assert theirs[question].drawn[rival] == pytest.approx(drawn, rel=1e-10, abs=1e-300)
