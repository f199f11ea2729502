"""Shift states as calculation entries bind and run them."""

from __future__ import annotations

import pytest

from ledger.calculators.binding import Upstream, bind
from ledger.calculators.drawing import Drawing
from ledger.calculators.running import outcomes, run
from ledger.calculators.shift_states import SHIFT_STATES
from ledger.entries.parts import Given
from ledger.errors import CalculationRefused


def through_the_engine(given: dict[str, Given]) -> dict:
    """Bind and run as a calculation entry does."""
    raw, _ = bind("calculations/try", SHIFT_STATES, given, Upstream({}, {}, {}), Drawing(100))
    raw = run("calculations/try", SHIFT_STATES, raw)
    return {outcome.name: outcome for outcome in outcomes(SHIFT_STATES, raw)}


def test_an_entry_with_the_number_of_gears_alone_is_computed() -> None:
    """Everything else has a default; every declared output comes back."""
    found = through_the_engine({"gears": Given(value=8, reason="counted")})
    assert set(found) == {output.name for output in SHIFT_STATES.outputs}
    assert found["positions"].summary.estimate == 16
    assert found["no_overlap_binds"].chance == 1.0


def test_an_entry_with_every_input_is_computed() -> None:
    """Rows with whole-number cells, uncertain ratios, words and truths all arrive."""
    rows = [
        {"hub": "odd", "left": 1, "right": 3, "actuator": 1},
        {"hub": "even", "left": 2, "actuator": 2, "members": "apart"},
    ]
    ratios = [{"gear": 1, "ratio": "3.0 ± 0.1"}, {"gear": 2, "ratio": "2.0 ± 0.1"}, {"gear": 3, "ratio": 1.5}]
    found = through_the_engine(
        {
            "gears": Given(value=3, reason="counted"),
            "hubs": Given(rows=rows, reason="seen"),
            "ratios": Given(rows=ratios, reason="counted teeth"),
            "overlap": Given(value="spring", reason="a spring is seen"),
            "load_reversed": Given(value=True, reason="the engine blips"),
            "neutral": Given(value=False, reason="counted so"),
        }
    )
    assert found["no_overlap_binds"].chance == 1.0
    change = found["overlaps"].value[0]["input_speed_change"]
    assert change.estimate == pytest.approx(2 / 3 - 1, abs=0.02)  # the median of a hundred draws of about 3 % each


def test_a_doubtful_number_of_gears_gives_a_chance() -> None:
    """`7: 0.3, 8: 0.7` runs both boxes, and the positions spread with them."""
    found = through_the_engine({"gears": Given(value="7: 0.3, 8: 0.7", reason="a blurred photograph")})
    assert (found["positions"].summary.low, found["positions"].summary.high) == (14, 16)


def test_the_engine_turns_a_refusal_into_words() -> None:
    """A gear without a hub reaches the person as a refused calculation, not a traceback."""
    rows = [{"hub": "first", "left": 1, "right": 3}, {"hub": "second", "left": 2}]
    given = {"gears": Given(value=4, reason="counted"), "hubs": Given(rows=rows, reason="seen")}
    with pytest.raises(CalculationRefused, match="Gear 4 has no hub"):
        through_the_engine(given)
