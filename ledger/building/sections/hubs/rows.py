"""Rows of the sheet for what sits on the shafts: fits, keys, splines; and what stands in the way of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from ledger.building.contract import WALL, BillItem, Feature, Problem
from ledger.building.reading import limited, nominal
from ledger.building.sections.shafts.bearings import fitted, made_to
from ledger.mechanics.standard_parts import SPLINES, key_length, key_of

KEYED, FREE = "is keyed", "runs free"
DEEPER = 0.1
Stations = Mapping[tuple[str, str], dict[str, Any]]


def seat_row(
    seat: dict[str, Any], placed: Stations, known: bool, stock: Any = None
) -> tuple[dict[str, Any], list[Problem]]:
    """Return the row of a seat, and what is wrong with its place or its fit.

    known  whether the stations are; stock  of the shaft [mm], None while undecided
    """
    size = nominal(seat["size"], f"The shaft at {seat['part']}")
    row = {"shaft": seat["shaft"], "part": seat["part"], "held": seat["held"], **fitted(size, seat["fit"])}
    about, problems = f"{seat['shaft']}, {seat['part']}", []
    station = placed.get((seat["shaft"], seat["part"]))
    if known and station is None:
        said = f"There is no station {seat['part']} on {seat['shaft']}. Name it as `shaft-stations` does."
        problems.append(Problem(True, about, said))
    elif station is not None and not isinstance(station["diameter"], str) and station["diameter"] != size:
        said = f"The shaft is {station['diameter']:g} mm at its station, and {size:g} mm stated here. Mend one of them."
        problems.append(Problem(True, about, said))
    sold = None if stock is None else nominal(stock, "The stock")
    if sold is not None and row["rod"]["high"] > sold:
        said = f"{seat['fit']} asks for a shaft of up to {row['rod']['high']:.3f} mm, and its stock is {sold:g} mm"
        mend = "ground rod is h6 at the most. Take a fit that the hole gives, such as K7/h6."
        problems.append(Problem(True, about, f"{said}: {mend}"))
    if seat["held"] == FREE and row["least"] <= 0:
        said = f"It runs free with {seat['fit']}, which may leave no clearance. Take a looser fit, such as F8/h6."
        problems.append(Problem(True, about, said))
    return row, problems


def keyed_row(
    seat: dict[str, Any], station: dict[str, Any] | None
) -> tuple[list[dict[str, Any]], list[BillItem], list[Problem]]:
    """Return the row of a key, none where there is no such key; its line of the bill; and what is wrong."""
    size, about = nominal(seat["size"], "The shaft"), f"{seat['shaft']}, {seat['part']}"
    try:
        width, height, shaft_depth, hub_depth = key_of(size)[:4]
    except ValueError as error:
        return [], [], [Problem(True, about, f"{error} Hold it otherwise.")]
    room = 0.0 if station is None else float(station["least"])
    length = key_length(size, room) if station is not None else 0.0
    if station is not None and not length:
        said = f"The shortest key of a shaft of {size:g} mm is {key_of(size)[4]:g} mm long, the part {room:.4g} mm"
        return [], [], [Problem(True, about, f"{said} at the least. Lengthen it, or hold it otherwise.")]
    named = f"{width:g} × {height:g}" + (f" × {length:g}" if length else ", length undecided")
    deeper = DEEPER if size <= 22.0 else 2.0 * DEEPER
    row = {
        "shaft": seat["shaft"],
        "part": seat["part"],
        "key": named,
        "in_shaft": made_to(width, "N9"),
        "shaft_depth": limited(shaft_depth, 0.0, deeper),
        "in_hub": made_to(width, "JS9"),
        "hub_across": limited(size + hub_depth, 0.0, deeper),
    }
    item = BillItem("parallel key", 1, "steel", "", f"DIN 6885-1 A {named} mm", note=about,
                    of=("hub_seats", "shaft_stations"))  # fmt: skip
    return [row], [item], []


def spline_row(
    row: dict[str, Any],
    bore: tuple[str, float] | None,
    placed: Stations,
    sleeve: Any,
    ring: tuple[Any, Any, float] | None,
    process: str,
) -> tuple[dict[str, Any], list[Feature], list[Problem]]:
    """Return the row of a hub's spline, its walls, and what is wrong with it.

    bore    shaft and diameter [mm] that the hub is keyed to, None where that is not stated
    sleeve  its fork's row, groove and length; ring  inner and outer radius and height of its dogs
    """
    _, minor, major, width = SPLINES[row["spline"]]
    about, of = f"hub, {row['hub']}", ("hub_splines", "hub_seats")
    problems, features = [], []
    station = placed.get((bore[0], row["hub"])) if bore else None
    made = {
        "hub": row["hub"],
        "ring": row["ring"],
        "spline": row["spline"],
        "width": width,
        "hub_minor": made_to(minor, "f7"),
        "hub_width": made_to(width, "d9"),
        "sleeve_minor": made_to(minor, "H7"),
        "sleeve_width": made_to(width, "H9"),
        "sleeve_major": made_to(major, "H10"),
        "hub_major": made_to(major, "c11"),
        "length": "undecided" if station is None else station["length"],
        "keyed": bore is not None,
    }
    if bore is None:
        problems.append(Problem(True, about, "How it sits on its shaft is not stated. Give it a row in `hub-seats`."))
    else:
        wall = (minor - bore[1]) / 2.0 - key_of(bore[1])[3]
        features.append(Feature(f"{about}: wall over the keyway", WALL, wall, process, of))
    if sleeve is not None:
        wall = (nominal(sleeve[0]["groove_bottom"], "The bottom of the groove") - major) / 2.0
        features.append(Feature(f"{about}: sleeve between spline and groove", WALL, wall, process,
                                ("hub_splines", "forks")))  # fmt: skip
        if wall <= 0:
            said = f"The sleeve's groove goes down to its spline of {major:g} mm. Take a smaller spline."
            problems.append(Problem(True, about, said))
    if ring is not None:
        beside = float(np.min(ring[0])) - major / 2.0
        if beside < 0:
            said = f"Its dogs begin {-beside:.3g} mm within the spline of {major:g} mm. Take a smaller spline."
            problems.append(Problem(True, about, said))
    return made, features, problems


def beside_sleeves(seats: list[dict[str, Any]], hubs: list[str], stations: Sequence[dict[str, Any]]) -> list[Problem]:
    """Return what is wrong with the seats beside sleeves: those wheels run free, and their mates are keyed."""
    held = {(one["shaft"], one["part"]): one["held"] for one in seats}
    problems = []
    for hub in hubs:
        for shaft in dict.fromkeys(one["shaft"] for one in stations if one["part"] == hub):
            own = [one["part"] for one in stations if one["shaft"] == shaft]
            at = own.index(hub)
            if held.get((shaft, hub)) == FREE:
                problems.append(Problem(True, f"{shaft}, {hub}", "It carries a sleeve and runs free. Key it."))
            for part in own[max(at - 1, 0) : at] + own[at + 1 : at + 2]:
                mates = [one["shaft"] for one in stations if one["part"] == part and one["shaft"] != shaft]
                if mates and held.get((shaft, part)) == KEYED:
                    said = f"It stands beside {hub}, which is to lock it; keyed it is always locked. Let it run free."
                    problems.append(Problem(True, f"{shaft}, {part}", said))
                elif mates and (shaft, part) not in held:
                    said = "How it sits on its shaft is not stated. Give it a row in `hub-seats`."
                    problems.append(Problem(False, f"{shaft}, {part}", said))
                problems += [
                    Problem(True, f"{mate}, {part}", f"Its mate on {shaft} runs free, and so does this. Key it.")
                    for mate in mates
                    if held.get((mate, part)) == FREE and held.get((shaft, part)) == FREE
                ]
    return problems
