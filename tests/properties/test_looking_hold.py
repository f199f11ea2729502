"""What holds of every look."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.weighing.information import entropy
from ledger.weighing.looking import worth
from ledger.weighing.values import NONE

settings.register_profile("looking", max_examples=80, deadline=None, derandomize=True)
QUICK = settings.get_profile("looking")
CHANCE = st.floats(0.0, 1.0)
AT = 1e-9  # sums of a few dozen rounded terms


def shares(draw, count):
    """Chances that sum to one, zeros and very small ones among them."""
    given = [draw(st.one_of(CHANCE, st.sampled_from([0.0, 1e-12, 1e-300]))) for _ in range(count)]
    if math.fsum(given) < 1e-3:
        given[draw(st.integers(0, count - 1))] = 1.0
    return [value / math.fsum(given) for value in given]


@st.composite
def looks(draw):
    """Confidences, outcomes and a reliability: 1 to 4 named rivals, 2 to 4 outcomes."""
    named = [f"h{number}" for number in range(draw(st.integers(1, 4)))]
    names = [f"o{number}" for number in range(draw(st.integers(2, 4)))]
    rows = {rival: shares(draw, len(names)) for rival in named}
    outcomes = {name: {rival: rows[rival][k] for rival in named} for k, name in enumerate(names)}
    confidences = dict(zip((*named, NONE), shares(draw, len(named) + 1), strict=True))
    return confidences, outcomes, draw(CHANCE)


@QUICK
@given(looks())
def test_gain_lies_between_nothing_and_the_entropy(look):
    """No look is expected to mislead, and none can tell more than there is to know."""
    found = worth(*look)
    assert 0 <= found.gain <= entropy(list(look[0].values())) + AT
    assert 0 <= found.leader_changes <= 1
    assert all(one.gain >= 0 for one in found.outcomes.values())


@QUICK
@given(looks())
def test_expected_confidence_is_the_confidence(look):
    """Nobody can expect to be persuaded: confidences after, weighted by chance, are those before."""
    found = worth(*look)
    assert math.fsum(one.chance for one in found.outcomes.values()) == pytest.approx(1, abs=AT)
    for rival, before in look[0].items():
        after = math.fsum(one.chance * one.confidences[rival] for one in found.outcomes.values())
        assert after == pytest.approx(before, abs=AT)
    for one in found.outcomes.values():
        assert math.fsum(one.confidences.values()) == pytest.approx(1, abs=AT)


@QUICK
@given(looks(), st.sampled_from(["same", "unreliable"]))
def test_a_look_that_says_nothing_gains_nothing(look, way):
    """Outcomes as probable under every rival, or a look of no reliability, move nothing."""
    confidences, outcomes, reliability = look
    if way == "same":
        outcomes = {name: dict.fromkeys(says, says["h0"]) for name, says in outcomes.items()}
    found = worth(confidences, outcomes, reliability if way == "same" else 0.0)
    assert found.gain == pytest.approx(0, abs=AT)
    for one in found.outcomes.values():
        assert dict(one.confidences) == pytest.approx(confidences, abs=AT)


@QUICK
@given(looks())
def test_mixing_outcomes_loses_information(look):
    """Two outcomes told apart no more never gain more than when they were."""
    confidences, outcomes, reliability = look
    first, second, *others = outcomes
    mixed = {name: outcomes[name] for name in others}
    mixed["either"] = {rival: min(1.0, value + outcomes[second][rival]) for rival, value in outcomes[first].items()}
    assert worth(confidences, mixed, reliability).gain <= worth(*look).gain + AT


@QUICK
@given(looks(), CHANCE)
def test_less_reliable_never_gains_more(look, share):
    """A less reliable look gains no more."""
    confidences, outcomes, reliability = look
    assert worth(confidences, outcomes, reliability * share).gain <= worth(*look).gain + AT


@QUICK
@given(looks(), CHANCE)
def test_splitting_a_rival_changes_nothing(look, share):
    """A rival split into two that say the same leaves the gain, the chances and the others' confidences."""
    confidences, outcomes, reliability = look
    whole = confidences["h0"]
    split = {**confidences, "h0": whole * share, "twin": whole - whole * share}
    found = worth(split, {name: {**says, "twin": says["h0"]} for name, says in outcomes.items()}, reliability)
    before = worth(*look)
    if math.fsum(value for rival, value in confidences.items() if rival != NONE) > 0:
        assert found.gain == pytest.approx(before.gain, abs=AT)
        for name, one in before.outcomes.items():
            # An outcome of vanishing chance has confidences made of the rounding of its terms.
            if one.chance > 1e-6:
                twice = found.outcomes[name]
                assert twice.chance == pytest.approx(one.chance, abs=AT)
                assert twice.gain == pytest.approx(one.gain, abs=1e-7)
                assert twice.confidences["h0"] + twice.confidences["twin"] == pytest.approx(
                    one.confidences["h0"], abs=AT
                )
                for rival in confidences.keys() - {"h0"}:
                    assert twice.confidences[rival] == pytest.approx(one.confidences[rival], abs=AT)
