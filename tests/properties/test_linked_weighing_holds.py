"""What must not change, and what must add up, when questions are linked and everything is stated as ranges."""

import hashlib
import math
import os
import subprocess
import sys
from collections import defaultdict
from dataclasses import replace
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from ledger.errors import WeighingRefused
from ledger.weighing import ranges, weights
from ledger.weighing.likelihood import greatest_pull
from ledger.weighing.linking import groups
from ledger.weighing.values import NONE, Case, Feasibility, Link, Note, Prediction, Stated
from ledger.weighing.weigh import weigh, weigh_together

NAMES = ("drum", "rack", "sleeve")
CHANCE = st.floats(0.02, 0.98)
QUICK = settings(max_examples=40, deadline=None)
DRAWS = 60


@st.composite
def stated(draw, name):
    """A chance, and the range behind it or none; now and then a word that is one draw everywhere."""
    low, high = sorted((draw(CHANCE), draw(CHANCE)))
    form = draw(st.sampled_from(["point", "range", "word"]))
    if form == "word":
        return 0.675, Stated(0.55, 0.8, "ladder likely")
    return (low + high) / 2, Stated(low, high, name) if form == "range" else None


@st.composite
def questions(draw, number, least=1, most=3):
    """A question of `least` to `most` rivals with notes, a prediction and a feasibility, chances perhaps as ranges."""
    named = [f"q{number}-{name}" for name in NAMES[: draw(st.integers(least, most))]]
    shares = [draw(st.floats(0.05, 1.0)) for _ in range(len(named) + 1)]
    prior = {rival: share / math.fsum(shares) for rival, share in zip((*named, NONE), shares, strict=True)}
    wide = draw(st.lists(st.sampled_from([*named, NONE]), unique=True))
    sources = [f"sources/q{number}-{place}" for place in range(draw(st.integers(1, 2)))]

    def note(place):
        bearing, behind, ref = {}, {}, f"evidence/q{number}-{place}"
        for rival in draw(st.lists(st.sampled_from(named), unique=True, min_size=1)):
            bearing[rival], one = draw(stated(f"{ref} {rival}"))
            behind |= {rival: one} if one else {}
        credibility, trust = draw(stated("grade 2"))
        return Note(ref, draw(st.sampled_from(sources)), credibility, bearing, behind, (trust,) if trust else ())

    density = {rival: draw(st.floats(1e-3, 1e3)) for rival in named}
    predictions = [
        Prediction(f"measurements/q{number}", sources[0], draw(CHANCE), density, {named[0]: draw(CHANCE)})
        for _ in range(draw(st.integers(0, 1)))
    ]
    feasible = [
        Feasibility(named[-1], draw(st.floats(0.0, 1.0)), draw(CHANCE), (f"calculations/q{number}",), None, 50)
        for _ in range(draw(st.integers(0, 1)))
    ]
    soundness = {source: draw(stated("grade B")) for source in sources}
    return Case(
        f"questions/q{number}",
        prior,
        {source: point for source, (point, _) in soundness.items()},
        tuple(note(place) for place in range(draw(st.integers(0, 3)))),
        tuple(predictions),
        tuple(feasible),
        {source: one for source, (_, one) in soundness.items() if one},
        {rival: Stated(prior[rival] / 2, prior[rival] * 1.5, f"prior q{number} {rival}") for rival in wide},
    )


def rivals(case):
    return [rival for rival in case.prior if rival != NONE]


def linkable(cases):
    return [
        (one, other) for first, second in permutations(cases, 2) for one in rivals(first) for other in rivals(second)
    ]


@st.composite
def links_between(draw, cases, kinds=("needs", "rules-out", "favours")):
    """Up to six links, each pair once."""
    made = {}
    for one, other in draw(st.lists(st.sampled_from(linkable(cases)), max_size=6)):
        kind, factor, behind = draw(st.sampled_from(kinds)), 1.0, None
        if kind == "favours":
            low, high = sorted((draw(st.floats(0.05, 20.0)), draw(st.floats(0.05, 20.0))))
            factor = math.sqrt(low * high)
            behind = Stated(low, high, f"{one} favours {other}") if draw(st.booleans()) else None
        made.setdefault(frozenset({one, other}), Link(one, kind, other, factor, behind))
    return list(made.values())


@st.composite
def networks(draw, kinds=("needs", "rules-out", "favours")):
    """Two to four questions and links between them; "none of these" keeps every combination from being shut out."""
    cases = [draw(questions(number)) for number in range(draw(st.integers(2, 4)))]
    return cases, draw(links_between(cases, kinds))


def confidences(found):
    return {
        question: {standing.rival: standing.confidence for standing in weighing.standings}
        for question, weighing in found.items()
    }


def near(found, rel=1e-11):
    return {
        question: {rival: pytest.approx(value, rel=rel, abs=1e-15) for rival, value in chances.items()}
        for question, chances in found.items()
    }


def to_the_bit(found):
    """Return everything that was weighed and every byte of the draws."""
    return found, {
        question: {rival: draws.tobytes() for rival, draws in weighing.drawn.items()}
        for question, weighing in found.items()
    }


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
