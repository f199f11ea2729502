"""Whether bearings fit the shafts that are said to stand in them, and have their float in the casing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from ledger.building.contract import Problem
from ledger.building.reading import nominal
from ledger.calculators.contract import Draws
from ledger.quantities.percents import draws

SHORTER = "Turn it shorter by more than both tolerances: state `between` in `shafts`."


def on_shafts(
    seats: Sequence[Mapping[str, Any]],
    rows: Sequence[Mapping[str, Any]],
    stations: Sequence[Mapping[str, Any]],
    ends: Mapping[str, Mapping[str, Any]],
    gears: Iterable[Any],
) -> list[Problem]:
    """Return a problem for each bearing whose bore is not the diameter of its shaft where it stands.

    seats  as made, with the `rows` they come of; one in an end wall stands on an end of its shaft, others under a wheel
    """
    named = {one.gear for one in gears}
    problems = []
    stands: dict[tuple[str, str], str] = {}
    for seat, row in zip(seats, rows, strict=True):
        own = [one for one in stations if one["shaft"] == row["axis"] and not isinstance(one["diameter"], str)]
        if row["wall"]:
            taken = [end for (axis, wall), end in stands.items() if axis == row["axis"] and wall != row["wall"]]
            thick = {end: size for end, size in _ends(ends.get(row["axis"])).items() if end not in taken}
            fitting = [end for end, size in thick.items() if size == seat["bore"]]
            if fitting:
                stands.setdefault((row["axis"], row["wall"]), fitting[0])
        else:
            under = [one for one in own if one["part"] in named] or own
            thick = {one["part"]: float(one["diameter"]) for one in under}
        if thick and seat["bore"] not in thick.values():
            told = ", ".join(f"{size:g} mm at {where}" for where, size in thick.items())
            said = f"{seat['bearing']} has a bore of {seat['bore']:g} mm, and {row['axis']} is {told}"
            problems.append(Problem(True, f"seat {row['seat']}", f"{said}: it does not fit. Mend one of them."))
    return problems


def _ends(end: Mapping[str, Any] | None) -> dict[str, float]:
    if end is None:
        return {}
    sizes = {side: nominal(end[f"{side}_diameter"], "The end of a shaft") for side in ("left", "right")}
    return {f"its {side} end": size for side, size in sizes.items() if size}


def floating(
    rows: Sequence[Mapping[str, Any]], ends: Mapping[str, Any], slacks: Mapping[str, Draws], span: Any
) -> list[Problem]:
    """Return a problem for each shaft between two end walls whose bearings may be clamped between casing and shaft."""
    problems = []
    for shaft in ends:
        if len({row["wall"] for row in rows if row["axis"] == shaft and row["wall"]}) < 2 or span is None:
            continue
        if shaft not in slacks:
            said = "Its bearings bear on its shoulders and on the casing's, and both are the span: whatever is cut a "
            problems.append(Problem(True, f"shaft {shaft}", f"{said}hundredth off clamps them. {SHORTER}"))
        elif np.min(slacks[shaft]) <= 0:
            share = float(np.mean(np.less_equal(slacks[shaft], 0.0)))
            least = float(np.min(slacks[shaft]))
            said = f"Casing and shaft leave its bearings {least:.3g} mm at the least, and clamp them {draws(share)}."
            problems.append(Problem(True, f"shaft {shaft}", f"{said} {SHORTER}"))
    return problems
