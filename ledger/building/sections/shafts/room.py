"""Room across the shafts: what stands or slides on one axis, held against the wheels on the others."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ledger.building.contract import AS_MODEL, GAP, Feature, Problem
from ledger.building.reading import drawn, nominal
from ledger.calculators.contract import Draws

TOUCHING = 1e-9
Stations = Sequence[Mapping[str, Any]]


@dataclass(frozen=True)
class Round:
    """Something round on an axis: its radius [mm], and where it begins and ends along it [mm], as draws.

    group  what it is part of, such as its shaft; mend  how it is made to clear
    """

    what: str
    axis: str
    radius: float
    begins: Draws
    ends: Draws
    group: str = ""
    mend: str = ""


def wheels_on(gears: Iterable[Any], stations: Stations, axes: Sequence[str]) -> dict[str, Round]:
    """Return the wheels that have a station, by name: the driving one on the first axis, the driven on the second.

    A wheel named after an axis stands on that. One whose pair has no station on its axis stands opposite its mate.
    """
    placed = {(one["shaft"], one["part"]): one for one in stations}
    named = [(one, place, axis) for one in gears for place, axis in enumerate(_axes(one.names, axes))]
    at: dict[str, str] = {}
    for one, place, axis in named:
        if (axis, one.gear) in placed:
            at.setdefault(one.names[place], one.gear)
    for one, place, axis in named:
        part = at.get(one.names[1 - place])
        if part is not None and (axis, part) in placed:
            at.setdefault(one.names[place], part)
    found: dict[str, Round] = {}
    for one, place, axis in named:
        name = one.names[place]
        if name in at and name not in found:
            station = placed[axis, at[name]]
            radius = (one.pair.first, one.pair.second)[place].top / 2.0
            found[name] = Round(f"wheel {name} on {axis}", axis, radius, station["begins"], station["ends"])
    return found


def _axes(names: Sequence[str], axes: Sequence[str]) -> list[str]:
    return [name if name in axes else usual for name, usual in zip(names, axes[:2], strict=False)]


def along_shafts(stations: Stations) -> list[Round]:
    """Return shafts and pins, station by station, each as thick as what is stated to stand on it there."""
    found = []
    for one in stations:
        shaft = 0.0 if isinstance(one["diameter"], str) else float(one["diameter"])
        thick = max(shaft, float(one["outside"] or 0.0))
        if thick:
            what = f"{one['part']} on {one['shaft']}" if thick > shaft else f"{one['shaft']} at {one['part']}"
            mend = "Take a thinner one, or move its axis."
            found.append(Round(what, one["shaft"], thick / 2.0, one["begins"], one["ends"], one["shaft"], mend))
    return found


def thinner_within(stations: Stations, ends: Mapping[str, Mapping[str, Any]]) -> list[Problem]:
    """Return a problem for each shaft that is thinner at a station than at both ends, so that nothing slips onto it."""
    problems = []
    for shaft, end in ends.items():
        sides = [nominal(end[f"{side}_diameter"], "The end of a shaft") for side in ("left", "right")]
        for one in stations:
            if one["shaft"] == shaft and not isinstance(one["diameter"], str) and one["diameter"] < min(sides):
                said = f"It is {one['diameter']:g} mm at {one['part']}, and {min(sides):g} mm or more at both ends"
                problems.append(Problem(True, f"shaft {shaft}", f"{said}: nothing slips onto it. Make an end thinner."))
    return problems


def sleeves_at_full_travel(
    sleeves: Mapping[str, Any], stations: Stations, travel: Draws | None, play: Draws
) -> list[Round]:
    """Return the sleeves over their whole travel to both sides.

    sleeves  by station: fork, width of the groove, length without dogs or None
    travel   to one side [mm], None while undecided: as far as its station reaches; play  of the fork in the groove [mm]
    """
    found = []
    for part, (fork, _, length) in sleeves.items():
        for station in (one for one in stations if one["part"] == part):
            half = (station["ends"] - station["begins"]) / 2.0
            reach = half if length is None or travel is None else drawn(length) / 2.0 + travel + play / 2.0
            middle = (station["begins"] + station["ends"]) / 2.0
            radius = nominal(fork["sleeve"], "The sleeve") / 2.0
            mend = "Take a smaller sleeve."
            found.append(Round(f"{part}, over its travel", station["shaft"], radius, middle - reach, middle + reach,
                               part, mend))  # fmt: skip
    return found


def struck(
    ones: Iterable[Round], wheels: Iterable[Round], apart: Mapping[frozenset[str], float], drift: float,
    of: tuple[str, ...],
) -> tuple[list[Feature], list[Problem]]:  # fmt: skip
    """Return the least gap that each group leaves to wheels on other axes, and a problem for each that may strike one.

    apart  the least distance of two axes [mm]; drift  by how much a stack can move to the right as it runs [mm]
    """
    turning, least = list(wheels), dict[str, tuple[float, str]]()
    problems = []
    for one in ones:
        for wheel in turning:
            distance = apart.get(frozenset((one.axis, wheel.axis)))
            if distance is None or not _share(one, wheel, drift):
                continue
            gap = distance - one.radius - wheel.radius
            if gap > 0:
                found = gap, f"{one.what}: beside {wheel.what}"
                least[one.group] = min(least.get(one.group, found), found)
                continue
            said = (
                f"It may strike {wheel.what}: radii of {one.radius:.4g} and {wheel.radius:.5g} mm, and the axes are "
                f"{distance:.5g} mm apart at the least, {-gap:.3g} mm too little. It reaches from z = {_z(one.begins)} "
                f"to {_z(one.ends)} mm, the wheel from {_z(wheel.begins)} to {_z(wheel.ends)} mm. {one.mend}"
            )
            problems.append(Problem(True, one.what, said))
    return [Feature(what, GAP, gap, AS_MODEL, of) for gap, what in least.values()], problems


def _share(one: Round, other: Round, drift: float) -> bool:
    """Return whether two can stand side by side anywhere along their axes, in any draw."""
    together = np.minimum(one.ends, other.ends) + drift - np.maximum(one.begins, other.begins)
    return bool(np.max(together) > TOUCHING)


def _z(value: Draws) -> str:
    return f"{float(np.mean(value)):.4g}"
