"""What a person is told when a question cannot be weighed."""

import math
from dataclasses import replace

import pytest

from ledger.errors import WeighingRefused
from ledger.weighing.checking import check
from ledger.weighing.values import NONE, Case, Feasibility, Link, Note, Prediction
from ledger.weighing.weigh import weigh, weigh_together
from ledger.weighing.weights import decibans

NOTE = Note("evidence/groove", "sources/photo", 0.8, {"drum": 0.9, "rack": 0.2})
PREDICTION = Prediction("measurements/hub", "sources/photo", 0.8, {"drum": 1.0, "rack": 0.2}, {"drum": 0.05})
FEASIBILITY = Feasibility("drum", 0.5, 0.05, ("calculations/reach",))
SOUND = Case(
    "questions/forks",
    {"drum": 0.5, "rack": 0.4, NONE: 0.1},
    {"sources/photo": 0.9},
    (NOTE,),
    (PREDICTION,),
    (FEASIBILITY,),
)


def with_note(**changes):
    return replace(SOUND, notes=(replace(NOTE, **changes),))


def with_prediction(**changes):
    return replace(SOUND, predictions=(replace(PREDICTION, **changes),))


FAULTS = [
    (replace(SOUND, prior={"drum": 0.5, "rack": 0.5}), "no prior for none-of-these"),
    (replace(SOUND, prior={NONE: 1.0}, notes=(), predictions=(), feasibilities=()), "there is no rival to weigh"),
    (replace(SOUND, prior={"drum": 0.5, "rack": 0.4, NONE: 0.2}), "the priors sum to 1.1; expected 1. Divide each"),
    (replace(SOUND, prior={"drum": 0.5 + 2e-9, "rack": 0.4, NONE: 0.1}), "the priors sum to 1.000000002"),
    (replace(SOUND, prior={"drum": -0.5, "rack": 1.4, NONE: 0.1}), "the prior of drum is -0.5; expected a probability"),
    (replace(SOUND, prior={"drum": math.nan, "rack": 0.9, NONE: 0.1}), "the prior of drum is nan"),
    (replace(SOUND, soundness={}), "evidence/groove comes from sources/photo, whose soundness is not given"),
    (replace(SOUND, soundness={"sources/photo": 1.2}), "the soundness of sources/photo is 1.2"),
    (replace(SOUND, notes=(NOTE, NOTE)), "evidence/groove is given 2 times"),
    (with_note(ref="sources/photo"), "sources/photo is the name of a note and of a source"),
    (with_note(credibility=math.nan), "the credibility of evidence/groove is nan"),
    (with_note(bearing={}), "evidence/groove judges no rival"),
    (with_note(bearing={"rod": 0.5}), "evidence/groove speaks of rod, which is no rival here"),
    (with_note(bearing={"drum": 0.5, NONE: 0.5}), "it takes the mean of the others by itself"),
    (with_note(bearing={"drum": 1.5}), "the bearing of evidence/groove on drum is 1.5"),
    (with_prediction(credibility=-1.0), "the credibility of measurements/hub is -1.0"),
    (with_prediction(density={"drum": 1.0}), "measurements/hub has no prediction of rack"),
    (with_prediction(density={"drum": 1.0, "rack": 1.0, "rod": 1.0}), "measurements/hub speaks of rod"),
    (with_prediction(density={"drum": math.inf, "rack": 1.0}), "the density of measurements/hub under drum is inf"),
    (with_prediction(density={"drum": -1.0, "rack": 1.0}), "the density of measurements/hub under drum is -1.0"),
    (with_prediction(density={"drum": 0.0, "rack": 0.0}), "no prediction reaches the measured value"),
    (with_prediction(doubt={"drum": 2.0}), "the doubt of measurements/hub on drum is 2.0"),
    (with_prediction(doubt={"rod": 0.2}), "the doubt of measurements/hub speaks of rod"),
    (replace(SOUND, feasibilities=(replace(FEASIBILITY, holds=1.1),)), "the feasibility of drum is 1.1"),
    (
        replace(SOUND, feasibilities=(replace(FEASIBILITY, doubt=-0.1),)),
        "the doubt about the feasibility of drum is -0.1",
    ),
    (replace(SOUND, feasibilities=(replace(FEASIBILITY, rival="rod"),)), "a feasibility speaks of rod"),
    (replace(SOUND, feasibilities=(FEASIBILITY, FEASIBILITY)), "drum has 2 feasibilities; expected one"),
]


def test_a_sound_case_passes():
    """The case that the faults below are planted in is weighed without complaint."""
    check(SOUND)
    assert weigh(SOUND).leader == "drum"


@pytest.mark.parametrize(("case", "words"), FAULTS, ids=[words for _, words in FAULTS])
def test_each_planted_fault_is_refused_with_its_remedy(case, words):
    """A fault is refused: which question, what was given, what was expected, how to mend it."""
    with pytest.raises(WeighingRefused) as refused:
        weigh(case)
    lines = [line for line in str(refused.value).splitlines() if words in line]
    assert len(lines) == 1
    assert lines[0].startswith("questions/forks: ")
    assert lines[0].endswith(".")
    assert len(lines[0].split(". ")) > 1, "the remedy follows the fault"


def test_all_faults_are_named_at_once():
    """Two faults make two lines."""
    with pytest.raises(WeighingRefused) as refused:
        weigh(replace(with_note(credibility=7.0), soundness={"sources/photo": 3.0}))
    assert len(str(refused.value).splitlines()) == 2


def test_an_impossible_note_is_named():
    """A note with bearing 0 on every rival cannot be, and is named."""
    with pytest.raises(WeighingRefused, match="evidence/groove cannot be, whatever is true"):
        weigh(with_note(bearing={"drum": 0.0, "rack": 0.0}))


def test_a_contradiction_names_what_shuts_out_each_rival():
    """Certain notes that shut out every rival between them are a contradiction, and each is named beside its rival."""
    notes = (
        Note("evidence/groove", "sources/photo", 1.0, {"drum": 0.0, "rack": 0.5}),
        Note("evidence/teeth", "sources/sketch", 1.0, {"drum": 0.5, "rack": 0.0}),
    )
    case = Case(
        "questions/forks", {"drum": 0.5, "rack": 0.5, NONE: 0.0}, {"sources/photo": 1.0, "sources/sketch": 1.0}, notes
    )
    with pytest.raises(WeighingRefused, match="drum by evidence/groove; rack by evidence/teeth"):
        weigh(case)
    feasibility = Feasibility("rack", 0.0, 0.0, ())
    with pytest.raises(WeighingRefused, match="drum by evidence/groove; rack by its feasibility"):
        weigh(replace(case, notes=notes[:1], feasibilities=(feasibility,)))


def test_doubt_resolves_the_contradiction():
    """The same two notes, of sources in the least doubt, are weighed."""
    notes = (
        Note("evidence/groove", "sources/photo", 1.0, {"drum": 0.0, "rack": 0.5}),
        Note("evidence/teeth", "sources/sketch", 1.0, {"drum": 0.5, "rack": 0.0}),
    )
    case = Case(
        "questions/forks", {"drum": 0.5, "rack": 0.5, NONE: 0.0}, {"sources/photo": 0.99, "sources/sketch": 0.99}, notes
    )
    assert [standing.confidence for standing in weigh(case).standings[:2]] == pytest.approx([0.5, 0.5])


@pytest.mark.parametrize("ratio", [0.0, -1.0, math.inf, math.nan])
def test_no_decibans_without_a_ratio(ratio):
    """A ratio that is not a finite number above 0 has no decibans."""
    with pytest.raises(WeighingRefused, match="has no decibans"):
        decibans(ratio)


OTHER = Case("questions/arms", {"lever": 0.5, "cable": 0.4, NONE: 0.1}, {})
LINKS = [
    ([Link("drum", "needs", "rod")], "the link `drum needs rod` speaks of rod, a rival of no question here. Name one"),
    ([Link("rod", "needs", "drum")], "the link `rod needs drum` speaks of rod, a rival of no question here. Name one"),
    ([Link("drum", "needs", NONE)], "speaks of none-of-these, a rival of no question here. Name one"),
    ([Link("drum", "rules-out", "rack")], "is between rivals of one question, which exclude each other. Leave it out."),
    ([Link("drum", "likes", "lever")], "is of the kind likes; expected one of needs, rules-out, favours."),
    ([Link("drum", "favours", "lever", 0.0)], "the factor of `drum favours lever` is 0.0; expected a finite number"),
    ([Link("drum", "favours", "lever", -2.0)], "the factor of `drum favours lever` is -2.0; expected a finite number"),
    ([Link("drum", "favours", "lever", math.inf)], "the factor of `drum favours lever` is inf; expected"),
    ([Link("drum", "favours", "lever", math.nan)], "the factor of `drum favours lever` is nan; expected"),
    ([Link("drum", "needs", "lever"), Link("drum", "favours", "lever", 2.0)], "drum and lever are linked twice"),
    ([Link("drum", "rules-out", "lever"), Link("lever", "rules-out", "drum")], "lever and drum are linked twice"),
    ([Link("drum", "needs", "lever"), Link("drum", "needs", "lever")], "drum and lever are linked twice"),
]


@pytest.mark.parametrize(("links", "words"), LINKS, ids=[words for _, words in LINKS])
def test_each_planted_fault_of_a_link_is_refused_with_its_remedy(links, words):
    """A link that does not fit, or says a thing twice, is refused: what was given, and how to mend it."""
    with pytest.raises(WeighingRefused) as refused:
        weigh_together([SOUND, OTHER], links)
    lines = [line for line in str(refused.value).splitlines() if words in line]
    assert len(lines) == 1
    assert lines[0].endswith(".")


def test_a_rival_of_two_questions_is_refused_where_links_would_be_unclear():
    """Without links two questions may share a rival's name; with them it is refused."""
    twin = replace(OTHER, prior={"drum": 0.5, "cable": 0.4, NONE: 0.1})
    assert set(weigh_together([SOUND, twin], [])) == {"questions/forks", "questions/arms"}
    with pytest.raises(WeighingRefused, match="drum is a rival of 2 questions; expected one, so that links are clear"):
        weigh_together([SOUND, twin], [Link("cable", "needs", "rack")])


def test_all_faults_of_links_are_named_at_once():
    """Three faults in two links make three lines, and a fault of a case comes before them."""
    links = [Link("drum", "likes", "rod"), Link("drum", "favours", "lever", 0.0)]
    with pytest.raises(WeighingRefused) as refused:
        weigh_together([SOUND, OTHER], links)
    assert len(str(refused.value).splitlines()) == 3
    with pytest.raises(WeighingRefused, match="the priors sum to"):
        weigh_together([SOUND, replace(OTHER, prior={"lever": 0.5, NONE: 0.1})], links)
