"""The chest clinic of Lauritzen and Spiegelhalter, through the exact sums that weigh linked questions.

Lauritzen & Spiegelhalter, Local computations with probabilities on graphical structures and their application to expert
systems, Journal of the Royal Statistical Society B 50(2) (1988) 157-224, section 2: the network and its tables. Tables
as printed again in the BUGS examples, volume 2, "Asia: evidence propagation", seen in a copy, which cites the paper
for them.
"""

from fractions import Fraction
from itertools import product

import numpy as np
import pytest

from ledger.weighing.joint import plan, sums
from ledger.weighing.likelihood import logs
from ledger.weighing.values import NONE, Case, Link, Note
from ledger.weighing.weigh import weigh_together

NAMES = ("asia", "smoking", "tuberculosis", "lung cancer", "bronchitis", "either", "xray", "dyspnoea")
# Chances of yes, by parents; each table's axes are its parents' no, yes and then its own.
YES = {
    ("asia",): 0.01,
    ("smoking",): 0.5,
    ("asia", "tuberculosis"): [0.01, 0.05],
    ("smoking", "lung cancer"): [0.01, 0.1],
    ("smoking", "bronchitis"): [0.3, 0.6],
    ("tuberculosis", "lung cancer", "either"): [[0, 1], [1, 1]],
    ("either", "xray"): [0.05, 0.98],
    ("either", "bronchitis", "dyspnoea"): [[0.1, 0.8], [0.7, 0.9]],
}
TABLES = {scope: np.stack([1 - np.array(yes, float), np.array(yes, float)], axis=-1) for scope, yes in YES.items()}


def marginals(seen):
    """Return the chance of yes of each variable and of what is seen, by contraction."""
    noted = {(name,): np.array([1.0 - value, float(value)]) for name, value in seen.items()}
    own = {(name,): np.ones(2) for name in NAMES}
    factors = [*own.items(), *TABLES.items(), *noted.items()]
    order = plan(dict.fromkeys(NAMES, 2), [scope for scope, _ in factors])
    total, around = sums(order, [logs(table)[None] for _, table in factors])
    found = {}
    for name, surroundings in zip(NAMES, around, strict=False):
        shares = np.exp(surroundings[0])
        found[name] = float(shares[1] / shares.sum())
    return found, float(np.exp(total[0]))


def exactly(seen):
    """Return the same from all 256 states, in fractions."""
    total, chances = Fraction(0), dict.fromkeys(NAMES, Fraction(0))
    for state in product((0, 1), repeat=len(NAMES)):
        given = dict(zip(NAMES, state, strict=True))
        if any(given[name] != value for name, value in seen.items()):
            continue
        chance = Fraction(1)
        for scope, yes in YES.items():
            for name in scope[:-1]:
                yes = yes[given[name]]
            chance *= Fraction(str(yes)) if given[scope[-1]] else 1 - Fraction(str(yes))
        total += chance
        for name in NAMES:
            chances[name] += chance * given[name]
    return {name: chance / total for name, chance in chances.items()}, total


INITIAL = {
    "asia": 0.01, "smoking": 0.5, "tuberculosis": 0.0104, "lung cancer": 0.055, "bronchitis": 0.45, "either": 0.0648,
    "xray": 0.1103, "dyspnoea": 0.4360,
}  # fmt: skip
BACK_FROM_ASIA_SHORT_OF_BREATH = {
    "smoking": 0.626, "tuberculosis": 0.088, "lung cancer": 0.100, "bronchitis": 0.811, "either": 0.182, "xray": 0.220,
}  # fmt: skip


def test_marginals_before_anything_is_seen():
    """Tuberculosis has 0.0104, lung cancer 0.055, bronchitis 0.45, a positive X-ray 0.1103, dyspnoea 0.4360.

    Marginals from memory of the paper, with complete inputs: reproduced from all 256 states. Half the last digit.
    """
    found, total = marginals({})
    assert {name: found[name] for name in INITIAL} == {
        name: pytest.approx(printed, abs=0.5e-4) for name, printed in INITIAL.items()
    }
    assert total == pytest.approx(1.0, abs=1e-14)


def test_marginals_of_one_back_from_asia_and_short_of_breath():
    """With a visit to Asia and dyspnoea: tuberculosis 0.088, lung cancer 0.100, bronchitis 0.811, smoking 0.626.

    From memory of the paper and of the BUGS examples, which repeat its exact values, with complete inputs: reproduced
    from all 256 states. Half the last digit.
    """
    found, _ = marginals({"asia": 1, "dyspnoea": 1})
    assert {name: found[name] for name in BACK_FROM_ASIA_SHORT_OF_BREATH} == {
        name: pytest.approx(printed, abs=0.5e-3) for name, printed in BACK_FROM_ASIA_SHORT_OF_BREATH.items()
    }


SAMPLED = {  # mean - 1 and its standard error over 10,000 dependent draws
    "smoking": (0.631, 0.00542), "tuberculosis": (0.0903, 0.00310), "lung cancer": (0.1, 0.00344),
    "bronchitis": (0.8177, 0.00454), "either": (0.1851, 0.00428), "xray": (0.2222, 0.00450),
}  # fmt: skip


def test_published_samples_agree_within_their_standard_errors():
    """Means of Gibbs samples of the same patient, another method, lie within three of their standard errors.

    Bench results of the classic BUGS examples, volume 2, asia, as distributed with a public package for such models;
    the printed figures were seen.
    """
    found, _ = marginals({"asia": 1, "dyspnoea": 1})
    for name, (mean, error) in SAMPLED.items():
        assert abs(found[name] - mean) < 3 * error, name


@pytest.mark.parametrize(
    "seen",
    [{}, {"asia": 1, "dyspnoea": 1}, {"smoking": 0, "xray": 1}, {"dyspnoea": 1, "xray": 0, "tuberculosis": 1}],
    ids=str,
)
def test_every_state_in_fractions_gives_the_same(seen):
    """All 256 states in fractions give the marginals and the chance of what was seen, to 1e-13."""
    found, total = marginals(seen)
    expected, seen_chance = exactly(seen)
    assert found == {name: pytest.approx(float(chance), rel=1e-13, abs=1e-16) for name, chance in expected.items()}
    assert total == pytest.approx(float(seen_chance), rel=1e-13)


def test_a_planted_mistake_is_seen(monkeypatch):
    """One chance of the network changed in its third digit is seen in the printed marginals."""
    monkeypatch.setitem(TABLES, ("smoking", "lung cancer"), np.array([[0.99, 0.01], [0.89, 0.11]]))
    assert marginals({})[0]["lung cancer"] != pytest.approx(INITIAL["lung cancer"], abs=0.5e-4)


def test_smoking_and_what_it_favours_as_linked_questions():
    """Smoking, lung cancer and bronchitis as three questions that factors on pairs link give the printed marginals.

    A table of chances is the child's prior without smoking, and beside smoking a factor on each pair,
    P(child | yes) / P(child | no); the sum over the child stays one, so that smoking keeps its prior.
    """
    favours = {("cancer", "well"): [(0.01, 0.1), (0.99, 0.9)], ("cough", "clear"): [(0.3, 0.6), (0.7, 0.4)]}
    cases = [Case("smoking", {"smoker": 0.5, "abstainer": 0.5, NONE: 0.0}, {})]
    links = []
    for rivals, chances in favours.items():
        cases.append(
            Case(rivals[0] + "?", {**dict(zip(rivals, (no for no, _ in chances), strict=True)), NONE: 0.0}, {})
        )
        links += [Link("smoker", "favours", rival, yes / no) for rival, (no, yes) in zip(rivals, chances, strict=True)]
    found = weigh_together(cases, links)
    assert {one.rival: one.confidence for one in found["cancer?"].standings}["cancer"] == pytest.approx(
        0.055, abs=1e-14
    )
    assert {one.rival: one.confidence for one in found["cough?"].standings}["cough"] == pytest.approx(0.45, abs=1e-14)
    assert {one.rival: one.linked_prior for one in found["smoking"].standings}["smoker"] == pytest.approx(
        0.5, abs=1e-14
    )
    # dyspnoea seen, without tuberculosis or cancer in the way: 0.8 with bronchitis, 0.1 without
    note = Note("breath", "patient", 1.0, {"cough": 0.8, "clear": 0.1})
    cases[2] = Case("cough?", cases[2].prior, {"patient": 1.0}, (note,))
    found = weigh_together(cases, links)
    # P(cough, breath | smoker) = .6·.8 + .4·.1 = .52, abstainer .3·.8 + .7·.1 = .31; smoker 52/83; cough .45·.8/.415
    assert {one.rival: one.confidence for one in found["smoking"].standings}["smoker"] == pytest.approx(
        52 / 83, rel=1e-13
    )
    assert {one.rival: one.confidence for one in found["cough?"].standings}["cough"] == pytest.approx(
        0.36 / 0.415, rel=1e-13
    )
