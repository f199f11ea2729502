"""What must not change, and what must add up, whatever is weighed."""

import math
from dataclasses import replace
from itertools import pairwise, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.weighing.layout import Layout, lay_out, work_out
from ledger.weighing.likelihood import neutral, tracked
from ledger.weighing.values import NONE, Case, Feasibility, Note, Prediction
from ledger.weighing.weigh import weigh
from tests.pulls import greatest_pull

NAMES = ("drum", "face-cam", "rack", "sleeve")
CHANCE = st.floats(0.01, 0.99)
EXTREME = st.one_of(st.sampled_from([0.0, 1.0, 1e-9, 1e-300]), st.floats(0.0, 1.0))
settings.register_profile("weighing", max_examples=60, deadline=None, derandomize=True)
QUICK = settings.get_profile("weighing")


@st.composite
def cases(draw, bearings=CHANCE, soundness=CHANCE):
    """Cases of 1 to 4 rivals, up to 3 sources, 6 notes and 2 predictions, with unjudged and untested rivals."""
    named = NAMES[: draw(st.integers(1, 4))]
    shares = [draw(st.floats(0.05, 1.0)) for _ in range(len(named) + 1)]
    sources = [f"sources/s{number}" for number in range(draw(st.integers(1, 3)))]
    origin = st.sampled_from(sources)
    notes = tuple(
        Note(
            f"evidence/n{number}",
            draw(origin),
            draw(CHANCE),
            draw(st.dictionaries(st.sampled_from(named), bearings, min_size=1)),
        )
        for number in range(draw(st.integers(0, 6)))
    )
    predictions = tuple(
        Prediction(
            f"measurements/m{number}",
            draw(origin),
            draw(CHANCE),
            {rival: draw(st.floats(1e-6, 1e6)) for rival in named},
            draw(st.dictionaries(st.sampled_from(named), CHANCE)),
        )
        for number in range(draw(st.integers(0, 2)))
    )
    tested = draw(st.lists(st.sampled_from(named), unique=True))
    return Case(
        question="questions/drawn",
        prior={rival: share / math.fsum(shares) for rival, share in zip((*named, NONE), shares, strict=True)},
        soundness={source: draw(soundness) for source in sources},
        notes=notes,
        predictions=predictions,
        feasibilities=tuple(
            Feasibility(rival, draw(EXTREME), draw(CHANCE), (f"calculations/{rival}",)) for rival in tested
        ),
    )


def confidences(case):
    return {standing.rival: standing.confidence for standing in weigh(case).standings}


def near(values):
    return {key: pytest.approx(value, rel=1e-12, abs=1e-15) for key, value in values.items()}


def odds(case, rival):
    chances = confidences(case)
    return chances[rival] / math.fsum(value for name, value in chances.items() if name != rival)


@QUICK
@given(cases(bearings=EXTREME.filter(bool)))
def test_confidences_sum_to_one_and_stand_in_order(case):
    """Confidences are probabilities, sum to one, and never rise down the standings."""
    standings = weigh(case).standings
    assert {standing.rival for standing in standings} == set(case.prior)
    assert all(0.0 <= standing.confidence <= 1.0 and standing.low is standing.high is None for standing in standings)
    assert math.fsum(standing.confidence for standing in standings) == pytest.approx(1.0, abs=1e-14)
    assert all(one.confidence >= other.confidence - 1e-12 for one, other in pairwise(standings))


@QUICK
@given(cases(), CHANCE, CHANCE, st.integers(0, 2))
def test_a_neutral_note_changes_nothing(case, bearing, credibility, number):
    """A note as probable under one rival as under any other moves nothing, from whatever source it comes."""
    origin = sorted(case.soundness)[number % len(case.soundness)]
    note = Note("evidence/neutral", origin, credibility, {rival: bearing for rival in case.prior if rival != NONE})
    more = replace(case, notes=(*case.notes, note))
    assert confidences(more) == near(confidences(case))
    assert list(weigh(more).weights[note.ref].values()) == pytest.approx([0.0] * len(case.prior), abs=1e-11)


@QUICK
@given(cases(), st.randoms(use_true_random=False))
def test_the_order_of_what_is_given_changes_nothing(case, random):
    """Rivals, sources, notes, predictions and feasibilities in any order give the same weighing, to the last bit."""

    def shuffled(values):
        return random.sample(list(values), len(values))

    other = Case(
        case.question,
        dict(shuffled(case.prior.items())),
        dict(shuffled(case.soundness.items())),
        tuple(replace(note, bearing=dict(shuffled(note.bearing.items()))) for note in shuffled(case.notes)),
        tuple(replace(item, density=dict(shuffled(item.density.items()))) for item in shuffled(case.predictions)),
        tuple(shuffled(case.feasibilities)),
    )
    assert weigh(other) == weigh(case)


@QUICK
@given(cases(), st.permutations(NAMES))
def test_the_names_of_rivals_change_nothing(case, names):
    """Rivals under other names, and so in another order inside, keep their confidences and weights."""
    names = dict(zip(NAMES, names, strict=True)) | {NONE: NONE}

    def renamed(values):
        return {names[rival]: value for rival, value in values.items()}

    other = replace(
        case,
        prior=renamed(case.prior),
        notes=tuple(replace(note, bearing=renamed(note.bearing)) for note in case.notes),
        predictions=tuple(
            replace(item, density=renamed(item.density), doubt=renamed(item.doubt)) for item in case.predictions
        ),
        feasibilities=tuple(replace(item, rival=names[item.rival]) for item in case.feasibilities),
    )
    assert confidences(other) == near(renamed(confidences(case)))
    ours, theirs = weigh(case).weights, weigh(other).weights
    for row in (*case.notes, *case.predictions):
        assert theirs[row.ref] == pytest.approx(renamed(ours[row.ref]), abs=1e-10)


@QUICK
@given(cases(), CHANCE)
def test_splitting_a_rival_conserves_its_total(case, share):
    """Two halves of one rival, with its bearings, predictions and feasibility and its prior shared, add up to it."""
    whole, part = NAMES[0], "drum-again"

    def split(values):
        return values | {part: values[whole]} if whole in values else values

    prior = case.prior | {whole: case.prior[whole] * share, part: case.prior[whole] * (1 - share)}
    other = replace(
        case,
        prior=prior,
        notes=tuple(replace(note, bearing=split(note.bearing)) for note in case.notes),
        predictions=tuple(
            replace(item, density=split(item.density), doubt=split(item.doubt)) for item in case.predictions
        ),
        feasibilities=case.feasibilities
        + tuple(replace(item, rival=part) for item in case.feasibilities if item.rival == whole),
    )
    halves = confidences(other)
    halves[whole] += halves.pop(part)
    assert halves == near(confidences(case))


@QUICK
@given(cases(), st.data())
def test_a_rival_of_zero_prior_changes_nothing(case, data):
    """A rival thought impossible, whatever is said of it, leaves every confidence as it was and is never moved.

    It may judge a note only where all others do: it would move the middle that an unjudged rival takes.
    """
    named = len(case.prior) - 1

    def say(chances):
        return {"ghost": data.draw(chances)}

    other = replace(
        case,
        prior=case.prior | {"ghost": 0.0},
        notes=tuple(
            replace(note, bearing=note.bearing | say(EXTREME)) if len(note.bearing) == named else note
            for note in case.notes
        ),
        predictions=tuple(replace(item, density=item.density | say(st.floats(0, 1e6))) for item in case.predictions),
        feasibilities=(*case.feasibilities, Feasibility("ghost", data.draw(EXTREME), data.draw(EXTREME), ())),
    )
    assert confidences(other) == near(confidences(case) | {"ghost": 0.0})
    result = weigh(other)
    assert {weights["ghost"] for weights in result.weights.values()} <= {0.0}
    assert result.infinite == {}


@QUICK
@given(cases(bearings=EXTREME.filter(bool)))
def test_one_source_pulls_no_more_than_its_bound(case):
    """However many notes and predictions a source yields, it moves one rival against another within the bound."""
    held = confidences(case)
    for origin, soundness in case.soundness.items():
        left = confidences(
            replace(
                case,
                notes=tuple(note for note in case.notes if note.origin != origin),
                predictions=tuple(item for item in case.predictions if item.origin != origin),
            )
        )
        for one, other in permutations(case.prior, 2):
            if held[other] > 1e-290 and left[other] > 1e-290:
                moved = (
                    math.log(held[one] / left[one] / (held[other] / left[other]))
                    if held[one] and left[one]
                    else -math.inf
                )
                assert moved <= math.log(greatest_pull(soundness, case.prior[one])) + 1e-9


def test_the_bound_is_reached():
    """Ever more notes of one source, each as good as proof, come as near its bound as one likes."""
    notes = tuple(Note(f"evidence/n{n}", "s", 1.0, {"drum": 1.0, "rack": 1e-6}) for n in range(50))
    case = Case("questions/q", {"drum": 0.25, "rack": 0.75, NONE: 0.0}, {"s": 0.8}, notes)
    assert odds(case, "drum") / (0.25 / 0.75) == pytest.approx(17.0, rel=1e-9) == greatest_pull(0.8, 0.25)


@QUICK
@given(cases())
def test_the_account_adds_up(case):
    """The lines of the account sum to its total, and that is the log-odds of leader over runner-up."""
    result = weigh(case)
    account, chances = result.account, confidences(case)
    assert math.fsum(line.decibans for line in account.lines) == pytest.approx(account.total, abs=1e-12)
    assert account.total == pytest.approx(
        10 * math.log10(chances[account.leader] / chances[account.runner_up]), abs=1e-9
    )
    assert account.leader == result.leader
    refs = [(line.part, line.ref) for line in account.lines]
    assert len(set(refs)) == len(refs)
    assert [part for part, _ in refs] == sorted(
        (part for part, _ in refs), key=["prior", "origin", "prediction", "feasibility"].index
    )


@QUICK
@given(cases())
def test_the_leader_is_the_most_confident_that_may_lead(case):
    """The leader stands first among those judged in half the notes or more; the runner-up is the best of the rest."""
    result = weigh(case)
    allowed = [s.rival for s in result.standings if s.rival == NONE or 2 * s.judged >= s.notes]
    assert [s.rival for s in result.standings if s.may_lead] == allowed
    assert result.leader == allowed[0]
    assert result.account.runner_up == next(s.rival for s in result.standings if s.rival != result.leader)
    assert all(s.first is None for s in result.standings)


def level(prior):
    """Return the prior with the named rivals that have any sharing alike what "none of these" leaves."""
    named = [rival for rival in prior if rival != NONE and prior[rival] > 0]
    return prior | {rival: (1 - prior[NONE]) / len(named) for rival in named}


def left_out(case, key):
    """Return the case without what the key of a weight stands for."""
    if key == case.question:
        return replace(case, prior=level(case.prior))
    return replace(
        case,
        notes=tuple(note for note in case.notes if key not in (note.ref, note.origin)),
        predictions=tuple(item for item in case.predictions if key not in (item.ref, item.origin)),
        feasibilities=tuple(item for item in case.feasibilities if (key,) != item.calculations),
    )


@QUICK
@given(cases())
def test_a_weight_is_what_weighing_without_it_gives(case):
    """Each weight is the decibans between the odds with the thing and the odds of really weighing without it."""
    weights = weigh(case).weights
    rows = (*case.notes, *case.predictions)
    keys = (
        {case.question}
        | {row.ref for row in rows}
        | {row.origin for row in rows}
        | {ref for item in case.feasibilities for ref in item.calculations}
    )
    assert set(weights) == keys
    for key in keys:
        without = left_out(case, key)
        expected = {rival: 10 * math.log10(odds(case, rival) / odds(without, rival)) for rival in case.prior}
        assert weights[key] == pytest.approx(expected, abs=1e-9)


@QUICK
@given(cases())
def test_soundness_is_a_chance_and_unused_sources_keep_theirs(case):
    """The chance that a source is sound is a probability; a source that says nothing here keeps its grade's."""
    sound = weigh(case).soundness
    assert list(sound) == sorted(case.soundness)
    assert all(0.0 <= chance <= 1.0 for chance in sound.values())
    silent = set(case.soundness) - {row.origin for row in (*case.notes, *case.predictions)}
    assert {origin: sound[origin] for origin in silent} == {origin: case.soundness[origin] for origin in silent}


def test_many_draws_at_once_are_each_draw_alone():
    """Arrays with an axis of draws give, draw by draw, what each draw gives alone."""
    random = np.random.default_rng(5)
    bearing, prior = random.uniform(size=(7, 4, 3)), random.dirichlet(np.ones(4), size=7)
    tracking, soundness = random.uniform(size=(7, 4)), random.uniform(size=(7, 2))
    notes = tuple(Note(f"evidence/n{n}", f"s{n // 2}", 0.5, dict.fromkeys(NAMES[:3], 0.5)) for n in range(4))
    frame = lay_out(Case("questions/q", dict.fromkeys((*NAMES[:3], NONE), 0.25), {"s0": 0.5, "s1": 0.5}, notes))

    def layout(draws) -> Layout:
        parts = tracked(prior[draws], bearing[draws], tracking[draws])
        return replace(frame, prior=prior[draws], soundness=soundness[draws], parts=parts)

    together = work_out(layout(slice(None))).posterior
    alone = np.concatenate([work_out(layout(slice(draw, draw + 1))).posterior for draw in range(7)])
    assert together.shape == (7, 4)
    assert together == pytest.approx(alone, rel=1e-14)
    assert neutral(prior[:, :-1], bearing).shape == (7, 4)
