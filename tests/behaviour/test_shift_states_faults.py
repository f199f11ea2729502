"""What shift states refuse, all at once, and which tables they read."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from ledger.calculators.shift_states import tables
from ledger.mechanics.shift_states import shift_states

ROOT = Path(__file__).parents[2]
SHARED = [{"hub": "first", "left": "1", "right": "2"}, {"hub": "second", "left": "3", "right": ""}]


def test_a_sleeve_shared_by_neighbours_is_named() -> None:
    """Gears 1 and 2 on one hub cannot work in gap-free shifting; with a gap in every shift they can."""
    result = shift_states(3, hubs=SHARED)
    assert not result["pairing_workable"]
    assert "Gears 1 and 2 overlap and share a hub" in result["reasons"]
    assert shift_states(3, hubs=SHARED, overlap="none")["pairing_workable"]


def test_everything_impossible_is_named_at_once() -> None:
    """A gear twice, gears without a hub, strange gears, empty hubs, disagreeing ratios and counts: one refusal."""
    hubs = [
        {"hub": "a", "left": "1", "right": "1"},
        {"hub": "a", "left": "9", "right": "R"},
        {"hub": "c", "left": "", "right": "", "members": "loose"},
    ]
    ratios = [{"gear": "1", "ratio": 2.0}, {"gear": "1", "ratio": 1.0}, {"gear": "x", "ratio": 1.0}]
    with pytest.raises(ValueError, match="Gear 9 on hub a") as refused:
        shift_states(3, hubs=hubs, ratios=ratios, actuators=4, overlap="half", members="loosely")
    said = str(refused.value)
    for part in (
        "'half' given",
        "'loosely' given",
        "Hub a stands in 2 rows",
        "Gear 1 stands 2 times",
        "Gear 2 has no hub",
        "Gear 3 has no hub",
        "Reverse stands on hub a",
        "Hub c has no gear",
        "members 'loose'",
        "4 actuators for 3 hubs",
        "gear x",
        "gear 1 is given twice",
        "No ratio for gear 2, 3",
    ):
        assert part in said


@pytest.mark.parametrize("gears", [0, -1, 25, 2.5, float("inf"), float("nan")])
def test_impossible_numbers_of_gears_are_refused(gears: float) -> None:
    """Zero, negative, broken and endless numbers of gears are refused in words, together with other faults."""
    with pytest.raises(ValueError, match=r"gears given.*'half' given"):
        shift_states(gears, overlap="half")


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([(1, 2.0), (2, 2.0)], "gear 2 is not below that of gear 1"),
        ([(1, 2.0), (2, -1.0)], "gear 2 is not above zero"),
        ([(1, np.array([3.0, 2.0])), (2, np.array([2.5, 2.5]))], "gear 2 is not below that of gear 1"),
    ],
)
def test_ratios_out_of_order_are_refused(rows: list, said: str) -> None:
    """Ratios fall strictly from gear to gear, in every draw where they are uncertain."""
    with pytest.raises(ValueError, match=said):
        shift_states(2, ratios=[{"gear": gear, "ratio": ratio} for gear, ratio in rows])


def test_half_named_actuators_are_refused() -> None:
    """Either every hub names its actuator or none does; and a count beside names must agree with them."""
    hubs = [{"hub": "a", "left": 1, "right": 3, "actuator": "A"}, {"hub": "b", "left": 2, "right": ""}]
    with pytest.raises(ValueError, match="Hubs b name no actuator"):
        shift_states(3, hubs=hubs)
    with pytest.raises(ValueError, match="`actuators` is 2"):
        shift_states(3, hubs=[{**hub, "actuator": "A"} for hub in hubs], actuators=2)


def test_reverse_needs_a_hub() -> None:
    """Reverse asked for and placed nowhere is refused."""
    with pytest.raises(ValueError, match="Gear R has no hub"):
        shift_states(1, hubs=[{"hub": "a", "left": "1", "right": ""}], reverse=True)


def test_pandas_tables_become_inputs() -> None:
    """Numbers read as 3.0 because of a gap, capitals in heads, a reverse row: the inputs are those written by hand."""
    gears = pd.DataFrame({"Gear": ["R", 1, 2, 3], "Ratio": [None, 3.0, 2.0, 1.5]})
    hubs = pd.DataFrame({"Hub": ["odd", "even", "back"], "Left": [1, 2, "R"], "Right": [3.0, None, None]})
    inputs = tables(gears, hubs)
    assert inputs == {
        "gears": 3,
        "reverse": True,
        "ratios": [{"gear": "1", "ratio": 3.0}, {"gear": "2", "ratio": 2.0}, {"gear": "3", "ratio": 1.5}],
        "hubs": [{"hub": "odd", "left": "1", "right": "3"}, {"hub": "even", "left": "2"}, {"hub": "back", "left": "R"}],
    }
    assert shift_states(**inputs)["positions"] == 7


def test_pandas_tables_with_wrong_heads_are_refused_at_once() -> None:
    """Missing and unknown columns of both tables are named together."""
    with pytest.raises(ValueError, match=r"ratios lacks gear.*ratios has unknown speed.*hubs lacks left"):
        tables(pd.DataFrame({"speed": [1]}), pd.DataFrame({"hub": ["a"], "right": [1]}))


@pytest.mark.parametrize("gears", [[1, 1, 3], [2, 3], [], ["first"], [1.5]])
def test_pandas_tables_with_strange_gears_are_refused(gears: list) -> None:
    """Gears are 1, 2, 3 … each once; a gap, a repetition, a word or an empty table is named."""
    with pytest.raises(ValueError, match="expected 1, 2, 3"):
        tables(pd.DataFrame({"gear": gears}))


def test_a_ratio_may_be_stated_with_doubt_in_a_table() -> None:
    """A cell such as 3.0 ± 0.1 stays as written, for the entry that takes it."""
    frame = pd.DataFrame({"gear": ["1", "2"], "ratio": ["3.0 ± 0.1", "2"]})
    assert [row["ratio"] for row in tables(frame)["ratios"]] == ["3.0 ± 0.1", 2.0]


def test_pandas_is_imported_for_tables_alone() -> None:
    """Importing the declaration leaves pandas unloaded."""
    code = "import sys, ledger.calculators.shift_states; print('pandas' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
