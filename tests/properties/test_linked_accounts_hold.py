"""What accounts and weights must add up to when questions are linked."""

import math
from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given

from ledger.weighing.values import NONE
from ledger.weighing.weigh import weigh, weigh_together
from tests.properties.linked_networks import QUICK, confidences, networks, rivals
from tests.pulls import greatest_pull


@QUICK
@given(networks())
def test_the_account_adds_up_with_what_links_say(network):
    """The lines sum to the total, which is the log-odds of leader over runner-up; links have one line at most."""
    for question, weighing in weigh_together(*network).items():
        account, chances = weighing.account, {one.rival: one.confidence for one in weighing.standings}
        assert math.fsum(line.decibans for line in account.lines) == account.total
        if account.lines:
            assert account.total == pytest.approx(
                10 * math.log10(chances[account.leader] / chances[account.runner_up]), abs=1e-9
            )
            assert [line.ref for line in account.lines if line.part == "links"] in ([], [question])
        else:
            assert chances[account.runner_up] == 0.0


@QUICK
@given(networks())
def test_the_line_of_the_links_is_what_weighing_without_them_lacks(network):
    """The remainder through links is the account of the same two rivals less that of the question by itself."""
    cases, links = network
    for question, weighing in weigh_together(cases, links).items():
        case = next(case for case in cases if case.question == question)
        alone = {one.rival: one.confidence for one in weigh(case).standings}
        one, other = weighing.account.leader, weighing.account.runner_up
        if weighing.account.lines and alone[other]:
            remainder = sum(line.decibans for line in weighing.account.lines if line.part == "links")
            lacking = weighing.account.total - 10 * math.log10(alone[one] / alone[other])
            assert remainder == pytest.approx(lacking, abs=1e-8)


def left_out(cases, links, key):
    """Return the cases and links without what the key of a weight stands for."""

    def left(case):
        if key == case.question:
            named = [rival for rival in rivals(case) if case.prior[rival] > 0]
            return replace(case, prior=case.prior | {rival: (1 - case.prior[NONE]) / len(named) for rival in named})
        return replace(
            case,
            notes=tuple(note for note in case.notes if key not in (note.ref, note.origin)),
            predictions=tuple(item for item in case.predictions if key not in (item.ref, item.origin)),
            feasibilities=tuple(item for item in case.feasibilities if (key,) != item.calculations),
        )

    return [left(case) for case in cases], [link for link in links if link.name != key]


def log_odds(chances, rival):
    return math.log10(chances[rival]) - math.log10(
        math.fsum(chance for name, chance in chances.items() if name != rival)
    )


@QUICK
@given(networks())
def test_a_weight_is_what_weighing_without_it_gives(network):
    """Every weight, of the question's own things and of what comes through links, is that of really weighing anew."""
    cases, links = network
    found = weigh_together(cases, links)
    held = confidences(found)
    keys = {key for weighing in found.values() for key in weighing.weights} | {link.name for link in links}
    for key in keys:
        left = confidences(weigh_together(*left_out(cases, links, key)))
        for question, weighing in found.items():
            told = weighing.weights.get(key) or weighing.through.get(key) or dict.fromkeys(held[question], 0.0)
            for rival, chance in held[question].items():
                ends = (chance, left[question][rival])
                if min(ends) > 1e-12 and max(ends) < 1 - 1e-9:
                    expected = 10 * (log_odds(held[question], rival) - log_odds(left[question], rival))
                    assert told[rival] == pytest.approx(expected, abs=1e-7)
                elif 0.0 in ends and max(ends) > 0 and key in weighing.infinite:
                    assert rival in weighing.infinite[key]


@QUICK
@given(networks())
def test_weights_are_of_a_question_s_own_things_and_the_rest_comes_through_links(network):
    """Every note, source, calculation and prior of a question has a weight; links and other questions' things apart."""
    cases, links = network
    found = weigh_together(cases, links)
    own = {
        case.question: {case.question}
        | {row.ref for row in (*case.notes, *case.predictions)}
        | {row.origin for row in (*case.notes, *case.predictions)}
        | {ref for item in case.feasibilities for ref in item.calculations}
        for case in cases
    }
    for question, weighing in found.items():
        assert set(weighing.weights) == own[question]
        elsewhere = set().union(*(own[other] for other in weighing.linked)) | {link.name for link in links}
        assert set(weighing.through) <= elsewhere - own[question]
        moved = [max(map(abs, row.values())) for key, row in weighing.through.items() if key not in weighing.infinite]
        assert all(most > 0 for most in moved)


@QUICK
@given(networks())
def test_one_source_pulls_no_more_than_its_bound(network):
    """A source moves its own question's rivals within its bound, and through links those of others within the widest.

    The bound stands on the prior as stated: links do not enter what a failed source tells.
    """
    cases, links = network
    held = confidences(weigh_together(cases, links))
    for case in cases:
        for origin, soundness in case.soundness.items():
            left = confidences(weigh_together(*left_out(cases, links, origin)))
            widest = max(greatest_pull(soundness, case.prior[rival]) for rival in case.prior)
            for question, chances in held.items():
                for one, other in permutations(chances, 2):
                    parts = (chances[one], left[question][one], chances[other], left[question][other])
                    if min(parts) < 1e-280:
                        continue
                    moved = math.log(parts[0] / parts[1] / (parts[2] / parts[3]))
                    bound = greatest_pull(soundness, case.prior[one]) if question == case.question else widest
                    assert moved <= math.log(bound) + 1e-9
