"""Questions with rivals, evidence and links between them, drawn at random with chances perhaps as ranges."""

import math
from itertools import permutations

import pytest
from hypothesis import settings
from hypothesis import strategies as st

from ledger.weighing.values import NONE, Case, Feasibility, Link, Note, Prediction, Stated

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
