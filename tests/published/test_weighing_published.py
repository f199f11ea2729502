"""Printed results of Bayesian reasoning, reached through the whole weighing with R = r = 1."""

import math

import pytest

from ledger.weighing.values import NONE, Case, Note
from ledger.weighing.weigh import weigh
from ledger.weighing.weights import decibans


def plainly(prior, *bearings):
    """Weigh certain notes, each of a source of its own; "none of these" has no prior."""
    notes = tuple(
        Note(f"evidence/note-{number}", f"sources/source-{number}", 1.0, bearing)
        for number, bearing in enumerate(bearings)
    )
    return weigh(Case("questions/printed", {**prior, NONE: 0.0}, {note.origin: 1.0 for note in notes}, notes))


def confidences(weighing):
    return {standing.rival: standing.confidence for standing in weighing.standings}


def evidence(weighing, rival):
    """Return Jaynes's evidence e(H) = 10 log10 of the odds of H against all others, in decibans."""
    others = math.fsum(value for name, value in confidences(weighing).items() if name != rival)
    return 10 * math.log10(confidences(weighing)[rival] / others)


def test_three_machines_and_one_defect():
    """PRB-12: one defect, from machines of shares .2 .3 .5 and defect rates .01 .02 .03, is the third's with 15/23.

    Liu & Mohapatra, example 35, p. 91: prints 15/23 = 0.652; figures second hand, reproduced exactly.
    """
    result = confidences(plainly({"one": 0.2, "two": 0.3, "three": 0.5}, {"one": 0.01, "two": 0.02, "three": 0.03}))
    assert result["three"] == pytest.approx(0.652, abs=0.5e-3)
    assert result["three"] == pytest.approx(15 / 23, rel=1e-14)


JAYNES_PRIOR = {"A": (1 - 1e-6) / 11, "B": (1 - 1e-6) * 10 / 11, "C": 1e-6}
BAD = {"A": 1 / 3, "B": 1 / 6, "C": 99 / 100}
GOOD = {rival: 1 - chance for rival, chance in BAD.items()}


@pytest.mark.parametrize(
    ("bad", "printed"),
    [
        (0, {"A": -10.0, "B": 10.0, "C": -60.0}),
        (3, {"A": -0.97, "B": 0.97, "C": -38.93}),
        (5, {"A": 5.02, "B": -5.06, "C": -27.13}),
    ],
)
def test_evidence_of_three_machine_hypotheses(bad, printed):
    """PRB-13: evidence for the three hypotheses about the machine, after 0, 3 and 5 bad parts.

    Jaynes, Probability Theory: The Logic of Science (2003), section 4.4. Set-up as printed; the decibans after data are
    from memory and reproduced. Tolerance 0.01 db: the printed digits.
    """
    result = plainly(JAYNES_PRIOR, *[BAD] * bad)
    assert {rival: pytest.approx(evidence(result, rival), abs=0.01) for rival in printed} == printed


def test_each_part_moves_two_hypotheses_by_three_or_minus_one_decibans():
    """PRB-13: a bad part is worth 3.01 db for A against B, a good one -0.97 db, one by one and whatever came before.

    Jaynes (2003), section 4.2: printed as steps of 3 and -1 db.
    """
    prior = {"A": 1 / 11, "B": 10 / 11}
    bad, good = ({rival: part[rival] for rival in prior} for part in (BAD, GOOD))
    told, before = [], evidence(plainly(prior), "A")
    assert before == pytest.approx(-10.0, abs=1e-9)
    for part, step in ((bad, 3.01), (bad, 3.01), (good, -0.97), (bad, 3.01), (good, -0.97)):
        told.append(part)
        result = plainly(prior, *told)
        assert evidence(result, "A") - before == pytest.approx(step, abs=0.005)
        assert result.weights[f"evidence/note-{len(told) - 1}"]["A"] == pytest.approx(step, abs=0.005)
        before = evidence(result, "A")


@pytest.mark.parametrize(
    ("ratio", "printed", "digits"),
    [(10, 10, 1e-9), (100, 20, 1e-9), (1000, 30, 1e-9), (5, 6.99, 0.005), (20, 13.01, 0.005)],
)
def test_likelihood_ratios_in_decibans(ratio, printed, digits):
    """PRB-7: a likelihood ratio of 10, 100, 1000, 5, 20 weighs 10, 20, 30, 6.99, 13.01 db: one ban is a factor of ten.

    Good, Probability and the Weighing of Evidence (1950). Tolerance: half the last printed digit.
    """
    assert decibans(ratio) == pytest.approx(printed, abs=digits)
    result = plainly({"held": 0.3, "denied": 0.7}, {"held": 0.8, "denied": 0.8 / ratio})
    assert result.weights["evidence/note-0"]["held"] == pytest.approx(printed, abs=digits)


def test_one_deciban_is_a_factor_of_one_and_a_quarter():
    """PRB-7: one deciban is a factor of 1.2589 in odds, not of ten (Good 1950; ten is one ban)."""
    assert decibans(1.2589) == pytest.approx(1.0, abs=1e-4)


def test_the_cab_and_the_witness():
    """A witness right in 80 % says "blue" where 15 % of cabs are blue: blue with 0.41.

    Tversky & Kahneman, Evidential impact of base rates (1982), in Judgment under Uncertainty, p. 156; from memory, with
    complete inputs (.12/.29).
    """
    result = confidences(plainly({"blue": 0.15, "green": 0.85}, {"blue": 0.8, "green": 0.2}))
    assert result["blue"] == pytest.approx(0.41, abs=0.005)


def test_a_positive_mammogram():
    """A test positive in 79.2 % of the ill and 9.6 % of the well, at one in a hundred ill, leaves 7.7 % ill.

    Eddy, Probabilistic reasoning in clinical medicine (1982), in Judgment under Uncertainty, p. 253; from memory, with
    complete inputs.
    """
    result = confidences(plainly({"ill": 0.01, "well": 0.99}, {"ill": 0.792, "well": 0.096}))
    assert result["ill"] == pytest.approx(0.077, abs=0.0005)


def test_the_opened_box():
    """Of three boxes, one opened empty by one who knows: the box first chosen keeps 1/3, the other closed one has 2/3.

    Selvin, A problem in probability, The American Statistician 29(1) (1975) 67; from memory, with complete inputs. A
    bearing of 0 shuts the opened box out.
    """
    third = 1 / 3
    result = plainly({"chosen": third, "closed": third, "opened": third}, {"chosen": 0.5, "closed": 1.0, "opened": 0.0})
    assert confidences(result) == {
        "chosen": pytest.approx(1 / 3, rel=1e-14),
        "closed": pytest.approx(2 / 3, rel=1e-14),
        "opened": 0.0,
        NONE: 0.0,
    }
    assert result.infinite["evidence/note-0"] == ("opened",)
