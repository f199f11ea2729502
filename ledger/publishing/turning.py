"""The section of a calculation's page in which a reader turns a mechanism through its states."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.calculators.results import Result
from ledger.publishing.addresses import Link, Ways, address
from ledger.publishing.shift_drawing import Drawn, draw
from ledger.publishing.shift_map import shift_map

FOLDER = "assets/witness"


@dataclass(frozen=True)
class Turning:
    """What the template needs: the map drawn, how many states it has, and its style and script.

    gears  the calculation whose map shows the gears of these positions, where this one knows none
    """

    drawn: Drawn
    count: int
    style: str
    script: str
    gears: Link | None


def turning(result: Result, ways: Ways) -> Turning | None:
    """Return the section, or None for a calculation that tells of no states."""
    found = shift_map(result)
    if found is None:
        return None
    style, script = (address(ways.here, f"{FOLDER}/shift-map.{ending}") for ending in ("css", "js"))
    drawn = draw(found)
    return Turning(drawn, len(found.states), style, script, None if drawn.loads else _gears(result, ways))


def _gears(result: Result, ways: Ways) -> Link | None:
    """Return the calculation that an input is taken from and that has a map of gears."""
    for bound in result.inputs:
        above = ways.casebook.results.get(bound.ref or "")
        found = shift_map(above) if above is not None else None
        if bound.ref is not None and found is not None and any(state.carries for state in found.states):
            return ways.to(bound.ref)
    return None
