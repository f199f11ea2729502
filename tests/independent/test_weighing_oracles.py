"""The weighing against plain enumeration and against a Bayesian network; and both against planted mistakes."""

from dataclasses import replace

import numpy as np
import pytest
from weighing_oracles import enumerated, network, random_case

from ledger.weighing import layout, likelihood
from ledger.weighing.weigh import weigh

TOLERANCE = 1e-9  # both ways are exact; what is left is rounding


def confidences(case):
    return {standing.rival: standing.confidence for standing in weigh(case).standings}


def agrees(case, other):
    """Assert that the weighing gives the other way's confidences."""
    ours = confidences(case)
    assert ours == {rival: pytest.approx(chance, rel=TOLERANCE, abs=1e-15) for rival, chance in other(case).items()}


def hypotheses_of(case):
    return network(case)[0]


@pytest.mark.parametrize("seed", range(12))
def test_enumeration_of_every_state_gives_the_same_confidences(seed):
    """Adding up every state of the world, sound or not, tracking or not, gives the same confidences."""
    agrees(random_case(seed, notes=3), enumerated)


@pytest.mark.parametrize("seed", range(100, 124))
def test_a_bayesian_network_gives_the_same_confidences_and_soundness(seed):
    """Variable elimination gives the same confidences, and the same chance that each source is sound."""
    case = random_case(seed, notes=2 + seed % 4, origins=1 + seed % 3, predictions=seed % 3)
    chances, sound = network(case)
    result = weigh(case)
    assert {standing.rival: standing.confidence for standing in result.standings} == pytest.approx(
        chances, rel=TOLERANCE
    )
    assert {origin: result.soundness[origin] for origin in sound} == pytest.approx(sound, rel=TOLERANCE)


@pytest.mark.parametrize("seed", range(3))
def test_leaving_out_in_the_network_gives_the_same_weights(seed):
    """The weight of a note and of a prediction is the change of odds when it is left out of the network."""
    case = random_case(seed)
    held, weights = hypotheses_of(case), weigh(case).weights
    left = {
        case.notes[0].ref: replace(case, notes=case.notes[1:]),
        case.predictions[0].ref: replace(case, predictions=()),
    }
    for ref, without in left.items():
        other = hypotheses_of(without)
        odds = {
            rival: 10 * np.log10(held[rival] / (1 - held[rival]) / (other[rival] / (1 - other[rival])))
            for rival in held
        }
        assert weights[ref] == pytest.approx(odds, abs=1e-7)  # 1 - p loses digits in the network's answer


def always_sound(prior, soundness, story):
    """A failed origin says nothing at all: the second term is forgotten."""
    return likelihood.logs(soundness)[..., None] + story


def failing_note_by_note(prior, soundness, story):
    """A failed origin has no coherent story: each rival's own story is mixed with 1."""
    return np.logaddexp(likelihood.logs(soundness)[..., None] + story, likelihood.logs(1 - soundness)[..., None])


def mean_over_all(prior, bearing):
    """c over all rivals, with nothing from "none of these": the named priors do not sum to one."""
    return np.einsum("dn,djn->dj", prior, bearing)


def plain_mean(prior, bearing):
    return bearing.mean(axis=-1)


def certain_model(prior, density, doubt):
    """The model's doubt is forgotten."""
    return density / density.max(axis=-1, keepdims=True)


PLANTED = [
    (layout, "origin_factors", always_sound),
    (layout, "origin_factors", failing_note_by_note),
    (likelihood, "neutral", mean_over_all),
    (likelihood, "neutral", plain_mean),
    (layout, "doubted", certain_model),
]


@pytest.mark.parametrize(("module", "name", "mistake"), PLANTED, ids=lambda part: getattr(part, "__name__", str(part)))
@pytest.mark.parametrize("other", [enumerated, hypotheses_of])
def test_a_planted_mistake_is_seen(monkeypatch, module, name, mistake, other):
    """Each planted wrong formula makes both other ways disagree, and the right one makes them agree."""
    case = random_case(7, notes=3)
    agrees(case, other)
    monkeypatch.setattr(module, name, mistake)
    with pytest.raises(AssertionError):
        agrees(case, other)
