"""Small cases worked by hand, with the arithmetic beside them."""

import math
from fractions import Fraction as F

import pytest

from ledger.weighing.values import NONE, AccountLine, Case, Feasibility, Note, Prediction
from ledger.weighing.weigh import weigh


def confidences(weighing):
    return {standing.rival: standing.confidence for standing in weighing.standings}


def exactly(expected):
    return {rival: pytest.approx(float(value), rel=1e-14) for rival, value in expected.items()}


def db(ratio):
    return pytest.approx(10 * math.log10(float(ratio)), abs=1e-12)


def test_one_doubted_note():
    """One note of one source, both in doubt: 11.1/19, 6/19 and 1.9/19."""
    # c = (.5·.9 + .4·.3)/.9 = .57/.9 = 19/30
    # A: drum .5·.9 + .5·19/30 = 23/30; rack .5·.3 + .5·19/30 = 14/30; none 19/30
    # regardless = .5·23/30 + .4·14/30 + .1·19/30 = (11.5 + 5.6 + 1.9)/30 = 19/30
    # P: drum .8·23/30 + .2·19/30 = 22.2/30; rack .8·14/30 + .2·19/30 = 15/30; none 19/30
    # π P·30: 11.1, 6, 1.9; sum 19
    note = Note("evidence/groove", "sources/photo", 0.5, {"drum": 0.9, "rack": 0.3})
    result = weigh(Case("questions/q", {"drum": 0.5, "rack": 0.4, NONE: 0.1}, {"sources/photo": 0.8}, (note,)))
    assert confidences(result) == exactly({"drum": F("11.1") / 19, "rack": F(6, 19), NONE: F(1, 10)})
    # odds of drum 11.1/7.9 against 1; of rack 6/13 against 2/3; "none" stays at 1/9
    weights = {"drum": db(F("11.1") / F("7.9")), "rack": db(F(9, 13)), NONE: pytest.approx(0, abs=1e-12)}
    # with a level prior, .45 .45 .1: c and regardless .6; A .75, .45, .6; P .72, .48, .6; π P .324, .216, .06
    prior = {
        "drum": db(F("11.1") / F("7.9") / F(324, 276)),
        "rack": db(F(6, 13) / F(216, 384)),
        NONE: pytest.approx(0, abs=1e-12),
    }
    assert result.weights == {"evidence/groove": weights, "sources/photo": weights, "questions/q": prior}
    # sound: sum of confidence · R A/P = 11.1/19 · 18.4/22.2 + 6/19 · 11.2/15 + 1.9/19 · .8 = (9.2 + 4.48 + 1.52)/19
    assert result.soundness == {"sources/photo": pytest.approx(15.2 / 19, rel=1e-14)}
    # drum over rack: prior 5/4, source 22.2/15
    assert (result.leader, result.account.runner_up) == ("drum", "rack")
    assert result.account.lines == (
        AccountLine("prior", "questions/q", db(F(5, 4))),
        AccountLine("origin", "sources/photo", db(F("22.2") / 15)),
    )


def test_two_notes_of_one_source_stand_and_fall_together():
    """Two notes of one doubted source give 19/28; of two sources, just as doubted, 7/10."""
    # one source: A .8·.6 = .48 and .4·.2 = .08; regardless .28; P .5·.48 + .5·.28 = .38 and .18; 38/56
    # two sources: first regardless .6, P .7 and .5; second regardless .4, P .5 and .3; .35 against .15
    first = Note("evidence/first", "sources/one", 1.0, {"drum": 0.8, "rack": 0.4})
    second = {"drum": 0.6, "rack": 0.2}
    prior = {"drum": 0.5, "rack": 0.5, NONE: 0.0}
    soundness = {"sources/one": 0.5, "sources/two": 0.5}
    together = weigh(
        Case("questions/q", prior, soundness, (first, Note("evidence/second", "sources/one", 1.0, second)))
    )
    apart = weigh(Case("questions/q", prior, soundness, (first, Note("evidence/second", "sources/two", 1.0, second))))
    assert confidences(together)["drum"] == pytest.approx(19 / 28, rel=1e-14)
    assert confidences(apart)["drum"] == pytest.approx(0.7, rel=1e-14)
    # without the first: A .6 and .2, regardless .4, P .5 and .3: odds 5/3 against 19/9 with it
    assert together.weights["evidence/first"]["drum"] == db(F(19, 9) / F(5, 3))
    assert together.weights["sources/one"]["drum"] == db(F(19, 9))
    assert apart.weights["evidence/first"]["drum"] == db(F(7, 5))


def test_an_unjudged_rival_takes_the_middle_and_may_not_lead():
    """A rival no note judges takes .4, between .2 and .6, and never leads; "none of these" takes .4 too."""
    # π L: .06, .18, .12, .04; sum .40
    note = Note("evidence/groove", "sources/photo", 1.0, {"drum": 0.2, "rack": 0.6})
    prior = {"drum": 0.3, "rack": 0.3, "sleeve": 0.3, NONE: 0.1}
    result = weigh(Case("questions/q", prior, {"sources/photo": 1.0}, (note,)))
    assert confidences(result) == exactly(
        {"rack": F(45, 100), "sleeve": F(30, 100), "drum": F(15, 100), NONE: F(1, 10)}
    )
    sleeve = result.standings[1]
    assert (sleeve.rival, sleeve.judged, sleeve.notes, sleeve.may_lead) == ("sleeve", 0, 1, False)
    assert (result.leader, result.account.runner_up) == ("rack", "sleeve")


def test_a_rival_ahead_but_hardly_judged_is_not_called_leader():
    """The most confident rival, judged in one note of three, is runner-up to the leader; the account is negative."""
    notes = tuple(
        Note(f"evidence/n{n}", "sources/photo", 1.0, {"drum": 0.5} | ({"rack": 0.5} if n == 0 else {}))
        for n in range(3)
    )
    result = weigh(Case("questions/q", {"drum": 0.3, "rack": 0.6, NONE: 0.1}, {"sources/photo": 1.0}, notes))
    assert [standing.rival for standing in result.standings] == ["rack", "drum", NONE]
    assert (result.leader, result.account.leader, result.account.runner_up) == ("drum", "drum", "rack")
    assert result.account.total == db(F(1, 2))


def test_nobody_leads_when_nobody_may():
    """With no chance for "none of these" and no rival judged often enough, there is no leader, but an account."""
    notes = (
        Note("evidence/a", "s", 1.0, {"drum": 0.5}),
        Note("evidence/b", "s", 1.0, {"rack": 0.5}),
        Note("evidence/c", "s", 1.0, {"rod": 0.5}),
    )
    result = weigh(Case("questions/q", {"drum": 0.4, "rack": 0.35, "rod": 0.25, NONE: 0.0}, {"s": 0.5}, notes))
    assert result.leader is None
    assert (result.account.leader, result.account.runner_up) == ("drum", "rack")


def test_infeasible_rival_is_convicted_not_executed():
    """A rival whose criteria hold in 1 draw of 5, with doubt .05, keeps a factor of .95·.2 + .05 = .24."""
    # .6·.24 = .144, .3, .1; sum .544
    feasibility = Feasibility("drum", 0.2, 0.05, ("calculations/reach",))
    result = weigh(Case("questions/q", {"drum": 0.6, "rack": 0.3, NONE: 0.1}, {}, feasibilities=(feasibility,)))
    assert confidences(result) == exactly({"drum": F(144, 544), "rack": F(300, 544), NONE: F(100, 544)})
    assert result.weights == {
        "calculations/reach": {
            "drum": db(F(144, 400) / F(6, 4)),
            "rack": db(F(300, 244) / F(3, 7)),
            NONE: db(F(100, 444) / F(1, 9)),
        },
        # with a level prior: .45·.24 = .108, .45, .1
        "questions/q": {
            "drum": db(F(144, 400) / F(108, 550)),
            "rack": db(F(300, 244) / F(450, 208)),
            NONE: db(F(100, 444) / F(100, 558)),
        },
    }
    assert result.account.lines == (
        AccountLine("prior", "questions/q", db(F(1, 2))),
        AccountLine("feasibility", "drum", db(F(100, 24))),
    )
    assert {standing.rival: standing.tested for standing in result.standings} == {
        "rack": False,
        "drum": True,
        NONE: False,
    }


def test_a_prediction_counts_no_more_than_its_photograph():
    """A measured value, its model in doubt, from a doubted photograph; whatever the unit."""
    # f: 1 and 1/2; c(f) = (.5·1 + .4·.5)/.9 = 7/9; D: .9·1 + .1·7/9 = 88/90 and 45/90
    # c(D) = (.5·88 + .4·45)/(90·.9) = 62/81, and regardless comes to the same 62/81
    # P: .8·D + .2·62/81
    common = F(62, 81)
    drum, rack = (F(8, 10) * bearing + F(2, 10) * common for bearing in (F(88, 90), F(45, 90)))
    total = F(5, 10) * drum + F(4, 10) * rack + F(1, 10) * common
    for unit in (1.0, 1000.0, 1e-200, 1e200):
        prediction = Prediction(
            "measurements/hub", "sources/photo", 1.0, {"drum": 2 * unit, "rack": 1 * unit}, {"drum": 0.1}
        )
        result = weigh(
            Case(
                "questions/q", {"drum": 0.5, "rack": 0.4, NONE: 0.1}, {"sources/photo": 0.8}, predictions=(prediction,)
            )
        )
        assert confidences(result) == exactly(
            {"drum": F(5, 10) * drum / total, "rack": F(4, 10) * rack / total, NONE: F(1, 10) * common / total}
        )
        assert result.account.lines[1:] == (AccountLine("prediction", "measurements/hub", db(drum / rack)),)


def test_a_note_and_a_prediction_of_one_source_share_its_doubt():
    """The account gives the source its notes' part, and the prediction what it adds to that."""
    # note .8 against .4: regardless .6, P .7 and .5
    # with the prediction, 1 against .5: A .8 and .2, regardless .5, P .65 and .35
    note = Note("evidence/groove", "sources/photo", 1.0, {"drum": 0.8, "rack": 0.4})
    prediction = Prediction("measurements/hub", "sources/photo", 1.0, {"drum": 3.0, "rack": 1.5}, {})
    result = weigh(
        Case("questions/q", {"drum": 0.5, "rack": 0.5, NONE: 0.0}, {"sources/photo": 0.5}, (note,), (prediction,))
    )
    assert confidences(result)["drum"] == pytest.approx(0.65, rel=1e-14)
    assert result.account.lines == (
        AccountLine("prior", "questions/q", 0.0),
        AccountLine("origin", "sources/photo", db(F(7, 5))),
        AccountLine("prediction", "measurements/hub", db(F(65, 35) / F(7, 5))),
    )
    assert result.weights["sources/photo"]["drum"] == db(F(65, 35))


def test_calculations_are_named_alone_or_together():
    """A calculation has its own weight when each feasibility it feeds rests on it alone; else they weigh together."""
    prior = {"drum": 0.3, "rack": 0.3, "rod": 0.3, NONE: 0.1}
    both = (Feasibility("drum", 0.5, 0.1, ("calculations/x",)), Feasibility("rack", 0.25, 0.1, ("calculations/x",)))
    mixed = (*both, Feasibility("rod", 0.5, 0.1, ("calculations/x", "calculations/y")))
    result = weigh(Case("questions/q", prior, {}, feasibilities=both))
    assert result.weights == {"calculations/x": {
        # factors .55 and .325: .165 .0975 .3 .1, sum .6625; without both, the priors
        "drum": db(F("0.165") / F("0.4975") / F(3, 7)), "rack": db(F("0.0975") / F("0.565") / F(3, 7)),
        "rod": db(F("0.3") / F("0.3625") / F(3, 7)), NONE: db(F("0.1") / F("0.5625") / F(1, 9)),
    }, "questions/q": dict.fromkeys(prior, pytest.approx(0, abs=1e-12))}  # fmt: skip
    assert list(weigh(Case("questions/q", prior, {}, feasibilities=mixed)).weights) == [
        "feasibility:drum", "feasibility:rack", "feasibility:rod", "questions/q",
    ]  # fmt: skip


def test_a_calculation_that_also_predicts_keeps_the_two_weights_apart():
    """Where a prediction bears a calculation's ref, that calculation's feasibility is under the rival's name."""
    prediction = Prediction("calculations/x", "s", 0.9, {"drum": 1.0, "rack": 2.0}, {})
    case = Case(
        "questions/q",
        {"drum": 0.5, "rack": 0.4, NONE: 0.1},
        {"s": 0.9},
        (),
        (prediction,),
        (Feasibility("drum", 0.5, 0.1, ("calculations/x",)),),
    )
    assert list(weigh(case).weights) == ["calculations/x", "s", "feasibility:drum", "questions/q"]


def test_hundreds_of_notes_neither_underflow_nor_lose_digits():
    """Four hundred certain notes of bearings 1e-3 and 2e-3, each of its own source, multiply the odds by 2^400."""
    notes = tuple(Note(f"evidence/n{n}", f"sources/s{n}", 1.0, {"drum": 1e-3, "rack": 2e-3}) for n in range(400))
    result = weigh(
        Case("questions/q", {"drum": 0.5, "rack": 0.5, NONE: 0.0}, {note.origin: 1.0 for note in notes}, notes)
    )
    assert result.account.total == pytest.approx(4000 * math.log10(2), rel=1e-14)
    assert confidences(result)["drum"] == pytest.approx(2.0**-400, rel=1e-12)
    assert len(result.weights) == 801
    assert result.weights["questions/q"] == pytest.approx({"drum": 0.0, "rack": 0.0, NONE: 0.0}, abs=1e-10)
    assert [values["rack"] for key, values in result.weights.items() if key != "questions/q"] == pytest.approx(
        [10 * math.log10(2)] * 800, abs=1e-10
    )


def test_a_thing_that_alone_shuts_a_rival_out_is_named():
    """Its weight has no finite number: it stands as 0 and the rivals are named; of two such things neither is alone."""
    shut = {"drum": 0.0, "rack": 0.5, "rod": 0.25}
    prior, soundness = {"drum": 0.4, "rack": 0.3, "rod": 0.3, NONE: 0.0}, {"s": 1.0, "t": 1.0}
    once = weigh(Case("questions/q", prior, soundness, (Note("evidence/n", "s", 1.0, shut),)))
    assert (once.infinite, once.weights["evidence/n"]["drum"]) == ({"evidence/n": ("drum",), "s": ("drum",)}, 0.0)
    assert once.weights["evidence/n"]["rack"] == db(F(2) / F(3, 7))
    twice = weigh(
        Case("questions/q", prior, soundness, (Note("evidence/n", "s", 1.0, shut), Note("evidence/m", "t", 1.0, shut)))
    )
    assert (twice.infinite, twice.weights["s"]["drum"]) == ({}, 0.0)
    assert twice.weights["s"]["rack"] == db(2)


def test_a_lead_over_a_shut_out_rival_has_no_account():
    """A runner-up with no confidence at all is behind without bound: the account is empty rather than infinite."""
    note = Note("evidence/n", "s", 1.0, {"drum": 0.0, "rack": 0.5})
    result = weigh(Case("questions/q", {"drum": 0.5, "rack": 0.5, NONE: 0.0}, {"s": 1.0}, (note,)))
    assert (result.leader, result.account.total, result.account.lines) == ("rack", 0.0, ())


def test_priors_of_zero_leave_none_of_these():
    """When every named rival has prior 0, a note's c is the plain mean and "none of these" keeps its certainty."""
    note = Note("evidence/n", "s", 0.9, {"drum": 0.1, "rack": 0.5})
    result = weigh(Case("questions/q", {"drum": 0.0, "rack": 0.0, NONE: 1.0}, {"s": 0.9}, (note,)))
    assert confidences(result) == {NONE: 1.0, "drum": 0.0, "rack": 0.0}
    assert result.leader == NONE
    assert set(result.weights["s"].values()) == {0.0}
    assert result.infinite == {}
