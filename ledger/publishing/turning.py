"""The section of a calculation's page in which a reader turns a mechanism through its states."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.calculators.results import Result
from ledger.casebook.values import Casebook
from ledger.publishing.addresses import Link, Ways, address
from ledger.publishing.drawings.shift import Drawn, draw
from ledger.publishing.shift_map import ShiftMap, shift_map

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
    gears, found = _gears(result, ways.casebook), mapped(result, ways.casebook)
    if found is None:
        return None
    style, script = (address(ways.here, f"{FOLDER}/shift-map.{ending}") for ending in ("css", "js"))
    drawn = draw(found)
    link = ways.to(gears[0]) if gears and not drawn.loads else None
    return Turning(drawn, len(found.states), style, script, link)


def mapped(result: Result, casebook: Casebook) -> ShiftMap | None:
    """Return the map of a calculation, its places named as the calculation names them that they are taken from."""
    gears = _gears(result, casebook)
    return shift_map(result, gears[1] if gears else None)


def _gears(result: Result, casebook: Casebook) -> tuple[str, ShiftMap] | None:
    """Return the calculation that an input is taken from and that has a map of gears, with the map."""
    for bound in result.inputs:
        above = casebook.results.get(bound.ref or "")
        found = shift_map(above) if above is not None else None
        if bound.ref is not None and found is not None and any(state.carries for state in found.states):
            return bound.ref, found
    return None
