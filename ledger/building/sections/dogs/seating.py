"""Whether tall dogs reach the wall of their window that drives, and shorter ones drop in once they are seated there."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.building.contract import Problem
from ledger.building.reading import drawn
from ledger.building.sections.dogs.rows import LEADING, SAME, TRAILING
from ledger.calculators.contract import Draws

MEND = "Put the tall ones on the side that drives, with `at` below nought, and the others on the side of the overrun."


def seated(ring: dict[str, Any], own: list[dict[str, Any]]) -> list[Problem]:
    """Return what is wrong with the order in which dogs of two heights stand in a window.

    Angles are counted towards the sloping flanks, the side of the overrun, so the wall that drives is at -w/2, w the
    window. A dog at a, as wide as α, drives with its flank at a - α/2. With the tall dog on the wall the sleeve has
    gone back by a - α/2 + w/2 of the tall one, and the others with it.

    own  the rows of the dogs on the ring; nothing is said where places, window or sloping flank are not stated
    """
    window, placed = drawn(ring["window"]), any(np.any(drawn(one["at"])) for one in own)
    sloping = any(np.any(one["run"]) for one in own) and ring["slopes"] in (LEADING, TRAILING)
    if not (placed and sloping and np.any(window)):
        return []
    tall = max(own, key=_height)
    lower = [one for one in own if _height(one) < _height(tall) - SAME]
    found = []
    for one in lower:
        before = _driving(tall) - _driving(one)
        if np.max(before) > SAME:
            said = (
                f"Its driving flank bears on nothing: that of the {one['kind']} dogs is {np.max(before):.3g}° nearer "
                f"to the wall of the window that drives. {MEND}"
            )
            found.append(Problem(bool(np.mean(before) > SAME), _about(ring, tall), said))
        over = _over_land(one, _driving(tall) + window / 2.0, window, 360.0 / own[0]["count"])
        if np.max(over) > SAME:
            said = (
                f"With the {tall['kind']} dogs against the wall that drives they stand {np.max(over):.3g}° over the "
                f"land and do not drop in. {MEND}"
            )
            found.append(Problem(bool(np.mean(over) > SAME), _about(ring, one), said))
    return found


def _about(ring: dict[str, Any], row: dict[str, Any]) -> str:
    return f"dogs, {ring['ring']}, {row['kind']}"


def _height(row: dict[str, Any]) -> float:
    return float(np.mean(drawn(row["height"])))


def _driving(row: dict[str, Any]) -> Draws:
    """Return where the flank of a dog that drives stands, from the middle of the window [°]."""
    flank: Draws = drawn(row["at"]) - row["angle"] / 2.0
    return flank


def _over_land(row: dict[str, Any], back: Draws, window: Draws, pitch: Any) -> Draws:
    """Return by how much a dog stands over the land beside the nearest window once the sleeve has gone back [°]."""
    middle = drawn(row["at"]) - back
    off = np.abs(middle - pitch * np.round(middle / pitch))
    over: Draws = off + row["angle"] / 2.0 - window / 2.0
    return over
