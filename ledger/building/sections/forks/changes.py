"""At which angles of drum or disc the dogs of two gears are in together, where forks follow their tracks rigidly."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import permutations
from typing import Any

import numpy as np

from ledger.building.contract import Problem
from ledger.building.sections.tracks.shared import Motion
from ledger.calculators.contract import Draws

STEPS = 500
STILL = 1e-12
SIDES = {1: "plus", -1: "minus"}
SIGNS = {1: "+", -1: "−"}


def changes(
    placed: Sequence[dict[str, Any]], motions: Sequence[Motion | None], reach: Mapping[str, Draws] | None
) -> tuple[list[dict[str, Any]], list[Problem]]:
    """Return the changes in which one sleeve leaves a gear while another enters one, and a caution where both are in.

    placed   rows of the forks' places, with their tracks; motions  of drum and disc
    reach    by kind of dog, how far its sleeve goes until it enters [mm]
    """
    rows = [
        row
        for motion in motions
        if motion is not None and reach
        for row in _changes({one["track"]: one for one in placed if one["track"] in motion.tracks}, motion, reach)
    ]
    return rows, _bound(rows)


def _changes(forks: Mapping[str, dict[str, Any]], motion: Motion, reach: Mapping[str, Draws]) -> list[dict[str, Any]]:
    first, last = (pick(reach.values(), key=np.mean) for pick in (min, max))
    step, rows = float(np.degrees(motion.step)), []
    if np.min(motion.travel) <= np.max(last):
        return []
    for place in range(len(next(iter(motion.tracks.values()))) - 1):
        angles = np.linspace(place * step, (place + 1) * step, STEPS + 1)
        stands = {name: (motion.tracks[name][place], motion.tracks[name][place + 1]) for name in forks}
        out = {
            name: np.array([abs(motion.stand(name, float(angle))) for angle in angles])
            for name, (before, after) in stands.items()
            if before != after
        }
        for old, new in permutations(forks, 2):
            if not (stands[old][0] and not stands[old][1] and stands[new][1] and not stands[new][0]):
                continue
            tall_in = _at(out[new], angles, first / motion.travel)
            short_out, tall_out = (_at(out[old][::-1], angles[::-1], one / motion.travel) for one in (last, first))
            rows.append({
                "change": f"place {place + 1} to {place + 2}",
                "old": _toward(forks[old], stands[old][0]),
                "new": _toward(forks[new], stands[new][1]),
                "tall_in": tall_in, "short_out": short_out, "tall_out": tall_out,
                "together": np.maximum(tall_out - tall_in, 0.0),
            })  # fmt: skip
    return rows


def _at(out: np.ndarray, angles: np.ndarray, reach: Draws) -> Draws:
    """Return at which angle a fork stands that far from neutral; it stands further out as the angles go on.

    out, reach  [travels]
    """
    moving = np.flatnonzero(np.diff(out) > STILL)
    begun, ended = int(moving[0]), int(moving[-1]) + 2
    found: Draws = np.interp(reach, out[begun:ended], angles[begun:ended])
    return found


def _toward(fork: dict[str, Any], stand: float) -> str:
    side = int(np.sign(stand))
    return str(fork.get(SIDES[side]) or f"{fork['fork']}, {SIGNS[side]}")


def _bound(rows: Sequence[dict[str, Any]]) -> list[Problem]:
    both = [row for row in rows if np.max(row["together"]) > 0]
    if not both:
        return []
    ranges = ", ".join(f"{np.mean(row['tall_in']):.1f} to {np.mean(row['tall_out']):.1f}°" for row in both)
    said = (
        f"The dogs of two gears are in together at {ranges} of the turn. With forks that do not give, the train binds "
        "if it turns there, or is turned under load. Change with the train standing and unloaded, put springs between "
        "forks and rails, or give a step two moves, the leaving fork first."
    )
    return [Problem(False, "forks", said)]
