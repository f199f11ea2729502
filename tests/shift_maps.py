"""Results of shift states as pages get them, made from what the mechanics give."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ledger.calculators.results import Outcome, Result
from ledger.publishing.shift_map import ShiftMap, shift_map

ROWS = ("actuator_places", "states", "fork_positions", "shifts", "overlaps", "chart")


def result(found: Mapping[str, Any], ref: str = "calculations/drum-length") -> Result:
    """Return the rows as a calculation's result."""
    outcomes = tuple(Outcome(name, name, "", "rows", value=tuple(found[name])) for name in ROWS)
    return Result(ref, "shift-states", (), outcomes, (), {})


def mapped(found: Mapping[str, Any]) -> ShiftMap | None:
    """Return the map of what the mechanics give."""
    return shift_map(result(found))
