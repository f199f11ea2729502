"""Bores of the end walls and detents as rows of the sheet, and whether rails clear what turns beside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from typing import Any

import numpy as np

from ledger.building.contract import Problem
from ledger.building.reading import drawn, nominal
from ledger.building.sections.shafts.bearings import made_to

BOTH, DISC = "both", "disc"
# Common practice, no source: a ball slides in a hole a tenth of a millimetre wider than it.
BALL_PLAY = 0.1
SIDES = {"+x": (1.0, 0.0, 0.0), "-x": (-1.0, 0.0, 0.0), "+y": (0.0, 1.0, 0.0), "-y": (0.0, -1.0, 0.0)}
Place = tuple[float, float]


@dataclass(frozen=True)
class Body:
    """Something round beside which a rail passes: what it is, its axis, its radius [mm]."""

    what: str
    at: Place
    radius: float


def bore_rows(
    wall: dict[str, Any],
    faces: tuple[float, float],
    housings: Sequence[dict[str, Any]],
    rails: Sequence[dict[str, Any]],
    more: Sequence[dict[str, Any]],
    axes: Mapping[str, Place],
    rail_hole: str,
) -> list[dict[str, Any]]:
    """Return the bores of a wall: those of its bearings, of the rails, and the others that were decided.

    faces  inner and outer face of the wall, z [mm]
    """
    name, (inner, outer) = wall["wall"], faces
    towards = 1.0 if outer > inner else -1.0
    found = [
        {"bore": f"bearing of {one['axis']}", "x": axes[one["axis"]][0], "y": axes[one["axis"]][1],
         "size": one["outside"] if isinstance(one["housing"], str) else one["housing"],
         "begins": inner, "ends": inner + towards * one["width"]}
        for one in housings
        if one["wall"] == name and one["axis"] in axes
    ]  # fmt: skip
    for rail in rails:
        size = made_to(nominal(rail["rod"], "The rail"), rail_hole)
        found.append({"bore": f"rail, {rail['rail']}", "x": rail["x"], "y": rail["y"], "size": size})
    for row in more:
        if row["wall"] in (name, BOTH):
            place = _place(row, axes)
            hole = made_to(nominal(row["size"], f"The bore of {row['axis']}"), row["hole"])
            found.append({"bore": row["axis"], "x": place[0], "y": place[1], "size": hole})
    through = {"begins": inner, "ends": outer}
    return [{"wall": name, **through, **one} for one in found]


def _place(row: dict[str, Any], axes: Mapping[str, Place]) -> Place:
    if row["axis"] in axes:
        return axes[row["axis"]]
    return nominal(row["at_x"], "Where a bore stands"), nominal(row["at_y"], "Where a bore stands")


def least_wall(rows: Sequence[dict[str, Any]]) -> tuple[str, float] | None:
    """Return between which two bores of a wall the least is left, and how much [mm]; None for fewer than two."""
    found = []
    for place, one in enumerate(rows):
        for other in rows[place + 1 :]:
            apart = hypot(_at(one, "x") - _at(other, "x"), _at(one, "y") - _at(other, "y"))
            left = apart - (_at(one, "size") + _at(other, "size")) / 2.0
            found.append((left, f"{one['bore']} and {other['bore']}"))
    if not found:
        return None
    left, what = min(found)
    return what, left


def _at(row: dict[str, Any], name: str) -> float:
    return float(np.mean(drawn(row[name])))


def turning(gears: Sequence[Any] | None, axes: Mapping[str, Place]) -> list[Body]:
    """Return the wheels on their axes: the driving one on the first, the driven on the second, idlers on their own."""
    names = list(axes)[:2]
    found = []
    for one in gears or ():
        for name, wheel, usual in zip(one.names, (one.pair.first, one.pair.second), names, strict=False):
            found.append(Body(f"wheel {name}", axes.get(name, axes[usual]), wheel.top / 2.0))
    return found


def beside(rail: dict[str, Any], bodies: Sequence[Body]) -> tuple[str, float] | None:
    """Return beside which body a rail has least room, and how much [mm]; None where there is no body."""
    x, y, half = _at(rail, "x"), _at(rail, "y"), _at(rail, "rod") / 2.0
    found = [(hypot(x - one.at[0], y - one.at[1]) - one.radius - half, one.what) for one in bodies]
    if not found:
        return None
    left, what = min(found)
    return what, left


def crossed(rails: Sequence[dict[str, Any]], tongues: Sequence[dict[str, Any]]) -> list[Problem]:
    """Return a problem for each rail that a fork's tongue, on its way to its own rail, would run into."""
    problems = []
    for tongue in tongues:
        for rail in rails:
            if rail["rail"] == tongue["rail"]:
                continue
            near = _from_line(tongue["axis"], tongue["at"], (_at(rail, "x"), _at(rail, "y")))
            if near < tongue["boss"] / 2.0 + _at(rail, "rod") / 2.0:
                said = f"It crosses the rail {rail['rail']}, {near:.3g} mm off its middle. Move one of the two rails."
                problems.append(Problem(True, f"fork {tongue['fork']}", said))
    return problems


def _from_line(begins: Place, ends: Place, point: Place) -> float:
    """Return the distance of a point from a straight piece."""
    along = (ends[0] - begins[0], ends[1] - begins[1])
    off = (point[0] - begins[0], point[1] - begins[1])
    share = min(max((off[0] * along[0] + off[1] * along[1]) / (along[0] ** 2 + along[1] ** 2), 0.0), 1.0)
    return hypot(off[0] - share * along[0], off[1] - share * along[1])


def detent_row(
    row: dict[str, Any],
    rails: Mapping[str, dict[str, Any]],
    disc: dict[str, Any] | None,
    walls: Mapping[str, tuple[float, float]],
) -> tuple[dict[str, Any], list[Problem]]:
    """Return a detent's row: where its hole meets the rail or the disc's rim, from which side; and what is wrong."""
    ball, side = nominal(row["ball"], "The ball"), SIDES[row["side"]]
    about, z = f"detent {row['detent']}", nominal(row["z"], "Where a detent stands")
    if row["rail"] == DISC and disc is None:
        return {}, [Problem(False, about, "Where the disc stands is undecided, so this cannot be placed yet.")]
    if row["rail"] == DISC and disc is not None:
        middle, radius, inside = (disc["x"], disc["y"], disc["z"]), disc["radius"], "–"
    elif row["rail"] in rails:
        rail = rails[row["rail"]]
        middle, radius = (_at(rail, "x"), _at(rail, "y"), z), _at(rail, "rod") / 2.0
        inside = next((name for name, faces in walls.items() if min(faces) <= z <= max(faces)), "")
        if not inside:
            said = f"It stands at z = {z:g} mm, in no end wall. Those reach over {_told(walls)}."
            return {}, [Problem(True, about, said)]
    else:
        said = f"It is on {row['rail']}, which is neither a rail nor the disc. Rails are: {', '.join(rails) or 'none'}."
        return {}, [Problem(True, about, said)]
    x, y, at = (one + way * radius for one, way in zip(middle, side, strict=True))
    made = {"detent": row["detent"], "rail": row["rail"], "wall": inside, "x": x, "y": y, "z": at, "side": row["side"],
            "ball": row["ball"], "hole": ball + BALL_PLAY, "sinks": row["sinks"]}  # fmt: skip
    return made, []


def _told(walls: Mapping[str, tuple[float, float]]) -> str:
    return " and ".join(f"{min(faces):.4g} to {max(faces):.4g} mm" for faces in walls.values()) or "nothing"
