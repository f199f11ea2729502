"""A look's worth worked out again: by counting cases, by scipy's entropies, and by weighing the note it would give."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from ledger.entries import completeness
from ledger.errors import WeighingRefused
from ledger.weighing import looking
from ledger.weighing.information import entropy
from ledger.weighing.looking import worth
from ledger.weighing.values import NONE, Case, Note
from ledger.weighing.weigh import weigh
from tests.shared_bits import mutual_information

NOW = {"drum": 0.5, "rack": 0.3, NONE: 0.2}
LOOK = {"groove": {"drum": 0.9, "rack": 0.2}, "plain": {"drum": 0.1, "rack": 0.8}}


def counted(confidences, outcomes, reliability):
    """The joint of rival and outcome, summed over truth, whether the look was reliable, and who told the tale."""
    named = [rival for rival in confidences if rival != NONE]
    total = sum(confidences[rival] for rival in named)
    joint = {}
    for truth, chance in confidences.items():
        for name, says in outcomes.items():
            for teller in named:
                share = chance * confidences[teller] / total
                honest = says[teller] if truth == NONE else says[truth]
                joint[truth, name] = joint.get((truth, name), 0.0) + share * reliability * honest
                joint[truth, name] += share * (1 - reliability) * says[teller]
    return joint


def drawn(seed):
    """Four rivals and three outcomes, drawn."""
    generator = np.random.default_rng(seed)
    rivals = ["a", "b", "c", NONE]
    confidences = dict(zip(rivals, generator.dirichlet(np.ones(4)).tolist(), strict=True))
    rows = {rival: generator.dirichlet(np.ones(3)) for rival in rivals[:-1]}
    return confidences, {f"o{k}": {rival: float(row[k]) for rival, row in rows.items()} for k in range(3)}


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("reliability", [0.0, 0.4, 1.0])
def test_every_case_counted(seed, reliability):
    """Chances, confidences after and gain are those of the joint table summed case by case."""
    confidences, outcomes = drawn(seed)
    joint = counted(confidences, outcomes, reliability)
    found = worth(confidences, outcomes, reliability)
    table = np.array([[joint[rival, name] for name in outcomes] for rival in confidences])
    assert found.gain == pytest.approx(mutual_information(table), abs=1e-12)
    before, after = stats.entropy(list(confidences.values()), base=2), 0.0
    changed = 0.0
    for name, one in found.outcomes.items():
        chance = sum(joint[rival, name] for rival in confidences)
        expected = {rival: joint[rival, name] / chance for rival in confidences}
        assert one.chance == pytest.approx(chance, abs=1e-12)
        assert dict(one.confidences) == pytest.approx(expected, abs=1e-12)
        assert one.gain == pytest.approx(
            stats.entropy(list(expected.values()), list(confidences.values()), base=2), abs=1e-12
        )
        after += chance * stats.entropy(list(expected.values()), base=2)
        if reliability and max(expected, key=expected.get) != max(confidences, key=confidences.get):
            changed += chance
    assert found.gain == pytest.approx(before - after, abs=1e-12)
    assert found.leader_changes == pytest.approx(changed, abs=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_entropies_of_scipy(seed):
    """Entropy agrees with scipy's, zeros among the chances or not."""
    table = np.random.default_rng(seed).dirichlet(np.ones(12)).reshape(3, 4)
    table[0, 1] = 0.0
    table /= table.sum()
    assert entropy(table) == pytest.approx(stats.entropy(table.ravel(), base=2), abs=1e-12)


def test_a_look_by_hand():
    """Drum 0.5, rack 0.3, none 0.2, a groove at 0.9 and 0.2: seen with chance 0.6375; plain makes rack lead."""
    found = worth(NOW, LOOK)
    groove, plain = found.outcomes["groove"], found.outcomes["plain"]
    assert groove.chance == pytest.approx(0.51 / 0.8)
    assert groove.confidences["drum"] == pytest.approx(0.45 / 0.6375)
    assert plain.confidences["rack"] == pytest.approx(0.24 / 0.3625)
    assert groove.confidences[NONE] == pytest.approx(0.2)
    assert found.leader_changes == pytest.approx(0.3625)
    assert worth(NOW, LOOK, may_lead={"drum"}).leader_changes == 0


def test_a_look_is_the_note_it_would_give():
    """The confidences after an outcome are those of weighing such a note, r being soundness times credibility."""
    prior = {"drum": 0.2, "rack": 0.7, NONE: 0.1}
    old = Note("evidence/old", "sources/old", 0.8, {"drum": 0.9, "rack": 0.1})
    soundness = {"sources/old": 0.9, "sources/new": 0.7}

    def weighed(*notes):
        case = Case("questions/forks", prior, soundness, (old, *notes))
        return {one.rival: one.confidence for one in weigh(case).standings}

    found = worth(weighed(), LOOK, 0.7 * 0.6, prior=prior)
    for name, says in LOOK.items():
        new = Note("evidence/new", "sources/new", 0.6, says)
        assert dict(found.outcomes[name].confidences) == pytest.approx(weighed(new), abs=1e-12)


def test_an_outcome_nobody_expects():
    """An outcome of chance 0 leaves the confidences and gains nothing."""
    found = worth(NOW, {**LOOK, "rust": {"drum": 0.0, "rack": 0.0}})
    assert found.outcomes["rust"] == looking.Outcome(0.0, NOW, 0.0)
    assert found.gain == pytest.approx(worth(NOW, LOOK).gain, abs=1e-12)


def test_the_band_is_that_of_the_entries():
    """What a lookout's entry may say can be worked out, its sum divided out: the bands are one."""
    assert looking.OUTCOMES_BAND == completeness.OUTCOMES_BAND
    tenth = {"groove": {"drum": 0.99, "rack": 0.2}, "plain": {"drum": 0.11, "rack": 0.8}}
    assert worth(NOW, tenth).gain == pytest.approx(worth(NOW, LOOK).gain, abs=1e-12)


REFUSED = [
    ((NOW, LOOK, 1.2), "the reliability is 1.2"),
    ((NOW, LOOK, math.nan), "the reliability is nan"),
    (({"drum": 0.5, "rack": 0.5}, LOOK), "no confidence for none-of-these"),
    (({NONE: 1.0}, {"groove": {}}), "no named rival with a confidence"),
    (({**NOW, NONE: 0.3}, LOOK), "the confidences sum to 1.1"),
    (({**NOW, NONE: math.nan}, LOOK), "the confidence of none-of-these is nan"),
    ((NOW, {}), "the look has no outcome"),
    ((NOW, {**LOOK, "rust": {"drum": 0.0}}), "the outcome rust says nothing of rack"),
    ((NOW, {**LOOK, "rust": {"drum": 0.0, "rack": 0.0, "rod": 0.1}}), "the outcome rust speaks of rod, no rival here"),
    ((NOW, {**LOOK, "rust": {"drum": 0.0, "rack": 0.0, NONE: 0.1}}), "the outcome rust speaks of none-of-these"),
    ((NOW, {**LOOK, "rust": {"drum": 0.2, "rack": 0.0}}), "the outcomes under drum sum to 1.2"),
    ((NOW, {**LOOK, "rust": {"drum": -0.05, "rack": 0.0}}), "the chance of rust under drum is -0.05"),
]


@pytest.mark.parametrize(("given", "said"), REFUSED)
def test_what_is_refused(given, said):
    """A look that cannot be worked out is refused, with what to mend."""
    with pytest.raises(WeighingRefused) as refused:
        worth(*given)
    assert said in str(refused.value)


def test_priors_of_other_rivals_are_refused():
    """Priors must be of the rivals that have confidences."""
    with pytest.raises(WeighingRefused, match="different rivals: rack, rod"):
        worth(NOW, LOOK, prior={"drum": 0.5, "rod": 0.4, NONE: 0.1})


@pytest.mark.parametrize("chances", [[0.5, 0.6], [1.5, -0.5], [math.nan, 1.0], []])
def test_no_distribution_no_entropy(chances):
    """Chances that are no distribution are refused."""
    with pytest.raises(WeighingRefused):
        entropy(chances)
