"""Stations along each shaft: where every part begins and ends, what is left over, and whether mates stand opposite."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.building.contract import AS_MODEL, BillItem, Column, Made, Problem, Section, Table
from ledger.building.reading import drawn, greatest_of, least_of, nominal, round_stock
from ledger.building.sections.shafts.axes import FRAME, LEFT, RIGHT, axes_of, least_apart, with_journals
from ledger.building.sections.shafts.room import along_shafts, struck, thinner_within, wheels_on
from ledger.calculators.contract import Choice, Draws, Number, Rows, Text, Truth
from ledger.mechanics.axial_length import ADDS, EACH, axial_length
from ledger.mechanics.model_scale import PROCESSES
from ledger.quantities.percents import draws

PLACED = ("shaft_stations", "shaft_span")
ENDED = (*PLACED, "shafts")
ACROSS = (*PLACED, "shaft_float", "shafts", "centre_distance", "shaft_axes", "gear_module", "gear_pairs")
STANDS = ("centre_distance", "shaft_axes")
TOUCHING = 1e-9


def compute(
    shaft_stations: list[dict[str, Any]],
    shaft_span: Any,
    shaft_float: Any,
    shafts: list[dict[str, Any]] | None,
    shaft_axes: list[dict[str, Any]],
    shaft_process: str,
    gears: tuple[Any, ...] | None,
    distance: Any,
) -> Made:
    """Return stations and lengths of each shaft."""
    by_shaft: dict[str, list[dict[str, Any]]] = {}
    for row in shaft_stations:
        by_shaft.setdefault(row["shaft"], []).append(row)
    stations, totals, problems = [], [], []
    ends = {row["shaft"]: row for row in shafts or []}
    for shaft, rows in by_shaft.items():
        lengths, row, said = _closed(shaft, rows, _shoulders(ends.get(shaft), shaft_span))
        problems += said + _packed(row, shaft_float)
        totals.append(row)
        at: Draws = 0.0
        for part, length in zip(rows, lengths, strict=True):
            stations.append(_station(part, at, length))
            at = at + drawn(length)
    opposite, apart = _opposite(stations)
    known = [row for row in totals if row["shaft"] in ends]
    for row in known:
        row["whole"] = drawn(ends[row["shaft"]]["left"]) + drawn(row["between"]) + drawn(ends[row["shaft"]]["right"])
    problems += apart + _faces(stations, gears)
    slacks, drift = _slacks(ends, shaft_span), greatest_of(shaft_float)
    for row in known:
        row |= {"slack": slacks[row["shaft"]]} if row["shaft"] in slacks else {}
    drift += max((float(np.max(one)) for one in slacks.values()), default=0.0)
    problems += [
        Problem(True, f"shaft {one}", f"It has no stations in `shaft-stations`; there are {', '.join(by_shaft)}.")
        for one in ends
        if one not in by_shaft
    ]
    axes, lost = axes_of(list(by_shaft), shaft_axes, distance)
    placed = with_journals(stations, ends, {row["shaft"]: row["between"] for row in totals})
    distances, wheels = least_apart(axes), wheels_on(gears or (), stations, [row["axis"] for row in axes])
    features, hit = struck(along_shafts(stations), wheels.values(), distances, drift, ACROSS)
    return Made(
        {"shaft_stations": placed, "shafts": totals, "opposite": opposite, "shaft_axes": axes},
        features,
        items=[_listed(row, ends[row["shaft"]], shaft_process) for row in known],
        problems=[*problems, *lost, *hit, *thinner_within(stations, ends)],
        passed={
            "stations": tuple(stations),
            "axes": {row["axis"]: (row["x"], row["y"]) for row in axes},
            "span": shaft_span,
            "shaft_float": shaft_float,
            "stocks": {name: row["stock"] for name, row in ends.items()},
            "ends": ends,
            "slacks": slacks,
            "across": (wheels, distances, drift),
        },
    )


def _shoulders(end: dict[str, Any] | None, span: Any) -> Any:
    """Return the length of a shaft between its shoulders: its own where it is stated, else the span."""
    return span if end is None or not np.any(drawn(end["between"])) else end["between"]


def _slacks(ends: dict[str, dict[str, Any]], span: Any) -> dict[str, Draws]:
    """Return what the span leaves to the bearings of each shaft whose length between its shoulders is stated [mm]."""
    if span is None:
        return {}
    own = {name: row["between"] for name, row in ends.items() if np.any(drawn(row["between"]))}
    return {name: drawn(span) - drawn(length) for name, length in own.items()}


def _closed(shaft: str, rows: list[dict[str, Any]], span: Any) -> tuple[list[Any], dict[str, Any], list[Problem]]:
    """Return the lengths of a shaft's parts, its row, and problems; one part may take what the span leaves."""
    closing = [row["part"] for row in rows if row["closes"]]
    if len(closing) > 1:
        raise ValueError(f"Shaft {shaft}: {', '.join(closing)} close it; one part can.")
    if closing and span is None:
        raise ValueError(f"Shaft {shaft}: {closing[0]} takes what the span leaves, and `shaft-span` is undecided.")
    chain = [
        {"part": str(place), "quantity": 1, "length": row["length"], "direction": ADDS, "varies": EACH}
        for place, row in enumerate(rows)
        if not row["closes"]
    ]
    nothing: dict[str, Any] = {"length": 0.0, "bounds": {"least": 0.0, "greatest": 0.0}}
    found: dict[str, Any] = axial_length(chain) if chain else nothing
    total = found["length"]
    left: Any = "–" if span is None else drawn(span) - total
    lengths = [left if row["closes"] else row["length"] for row in rows]
    bounds = found["bounds"]
    row = {
        "shaft": shaft,
        "parts": total,
        "least": bounds["least"],
        "greatest": bounds["greatest"],
        "between": total if span is None else span,
        "left": left,
        "closed_by": closing[0] if closing else "",
        "whole": "ends undecided",
    }
    short = span is not None and float(np.mean(np.less(left, -TOUCHING)))
    problems = []
    if short:
        said = (
            f"Its parts are {np.mean(total):.4g} mm long, the span {np.mean(drawn(span)):.4g} mm: too long "
            f"{draws(short)}. Shorten a part, or widen what is between the shoulders."
        )
        problems.append(Problem(short > 0.5, f"shaft {shaft}", said))
    return lengths, row, problems


def _packed(row: dict[str, Any], play: Any) -> list[Problem]:
    """Put into a shaft's row what its closing part is made to, so that the end float is left; return problems."""
    if not row["closed_by"] or not np.any(drawn(play)):
        return []
    packing = row["left"] - drawn(play)
    row |= {"float": play, "packing": packing}
    if np.mean(packing) > 0:
        return []
    said = f"The end float takes all of the {np.mean(row['left']):.3g} mm that the span leaves."
    return [Problem(True, f"shaft {row['shaft']}", f"{said} Lessen it, or shorten a part.")]


def _station(part: dict[str, Any], at: Draws, length: Any) -> dict[str, Any]:
    thick = nominal(part["diameter"], f"The diameter at {part['part']}")
    return {
        "shaft": part["shaft"],
        "part": part["part"],
        "nominal": float(np.mean(length)) if part["closes"] else nominal(part["length"], "The length"),
        "least": least_of(length),
        "begins": at,
        "ends": at + drawn(length),
        "length": length,
        "diameter": thick or "–",
        "outside": nominal(part["outside"], f"The outside of {part['part']}") or "",
    }


def _opposite(stations: list[dict[str, Any]]) -> tuple[list[dict[str, Any]], list[Problem]]:
    """Return parts of one name on several shafts, with how far their middles are apart, and problems."""
    named: dict[str, list[dict[str, Any]]] = {}
    for one in stations:
        named.setdefault(one["part"], []).append(one)
    rows, problems = [], []
    for part, ones in named.items():
        shafts = [one["shaft"] for one in ones]
        if len(set(shafts)) < 2 or len(set(shafts)) < len(shafts):
            continue
        first = ones[0]
        for other in ones[1:]:
            shift = (other["begins"] + other["ends"] - first["begins"] - first["ends"]) / 2.0
            together = np.minimum(first["ends"], other["ends"]) - np.maximum(first["begins"], other["begins"])
            rows.append({"part": part, "shafts": f"{first['shaft']}, {other['shaft']}", "aside": shift,
                         "overlap": together})  # fmt: skip
            if np.mean(together) <= 0:
                said = f"On {first['shaft']} and {other['shaft']} it does not stand opposite itself at all."
                problems.append(Problem(True, f"station {part}", said))
    return rows, problems


def _faces(stations: list[dict[str, Any]], gears: tuple[Any, ...] | None) -> list[Problem]:
    """Return a problem for each station named after a gear that is shorter than the gear's face."""
    faces = {one.gear: one.face for one in gears or () if one.face}
    problems = []
    for one in stations:
        face = faces.get(one["part"])
        if face is not None and face > one["nominal"] + TOUCHING:
            said = f"The face is {face:g} mm, its station on {one['shaft']} {one['nominal']:.4g} mm long."
            problems.append(Problem(True, f"station {one['part']}", f"{said} Give it that length, or narrow the face."))
    return problems


def _listed(row: dict[str, Any], end: dict[str, Any], process: str) -> BillItem:
    thick, whole = nominal(end["stock"], "The stock of a shaft"), float(np.max(row["whole"]))
    bought = process if end["material"] else ""
    note = "turn to the diameters of its stations and ends"
    return BillItem(f"shaft, {row['shaft']}", 1, end["material"], bought, round_stock(thick - 1.0, whole), note=note,
                    of=ENDED)  # fmt: skip


def _length(name: str, label: str, default: str | None = None) -> Number:
    return Number(name, label, "mm", 0.0, 10_000.0, default=default, limits=True)


SHAFTS = Section(
    name="shafts",
    title="Shafts",
    purpose="Where every part begins and ends along its shaft, measured from the left bearing shoulder.",
    parameters=(
        Rows(
            "shaft_stations",
            "Parts along each shaft, in order from the left bearing shoulder",
            (
                Text("shaft", "Shaft"),
                Text("part", "Part"),
                _length("length", "Length along the shaft", "0 mm"),
                _length("diameter", "Diameter of the shaft there (0: not stated)", "0 mm"),
                _length("outside", "Outside diameter of what stands there, a tube or washer (0: not stated)", "0 mm"),
                Truth("closes", "It takes what the span leaves", default=False),
            ),
        ),
        _length("shaft_span", "Span between the bearing shoulders"),
        _length("shaft_float", "End float left to what runs on each shaft", "0 mm"),
        Rows(
            "shafts",
            "Stock of each shaft, and what stands out beyond its bearing shoulders",
            (
                Text("shaft", "Shaft"),
                Number("stock", "Diameter of the stock", "mm", 0.1, 5000.0, limits=True),
                _length("left", "Beyond the left bearing shoulder"),
                _length("right", "Beyond the right bearing shoulder"),
                _length("left_diameter", "Diameter of the left end (0: not stated)", "0 mm"),
                _length("right_diameter", "Diameter of the right end (0: not stated)", "0 mm"),
                Text("material", "What it is made of", default="steel"),
                _length("between", "Between its shoulders (0: as the span)", "0 mm"),
            ),
        ),
        Rows(
            "shaft_axes",
            "Axes besides those of the first two shafts, by their distances from both",
            (
                Text("axis", "Axis"),
                _length("from_first", "From the first shaft"),
                _length("from_second", "From the second shaft"),
                Choice("side", "Side of the line from the first to the second", (LEFT, RIGHT), default=LEFT),
            ),
            optional=True,
        ),
        Choice("shaft_process", "How the shafts are made", (AS_MODEL, *PROCESSES), default=AS_MODEL),
    ),
    wanted=("shaft_span", "shafts"),
    uses=("gears", "distance"),
    tables=(
        Table(
            "shaft_stations",
            "Stations",
            (
                Column("shaft", "Shaft"),
                Column("part", "Part"),
                Column("begins", "Begins at", "mm", ENDED),
                Column("ends", "Ends at", "mm", ENDED),
                Column("length", "Length", "mm", ENDED),
                Column("diameter", "Diameter", "mm", ("shaft_stations", "shafts")),
                Column("outside", "Outside of what stands there", "mm", ("shaft_stations",)),
            ),
            keys=2,
            split="shaft",
        ),
        Table(
            "shafts",
            "Lengths",
            (
                Column("shaft", "Shaft"),
                Column("parts", "Stated parts together", "mm", ("shaft_stations",), behind=True),
                Column("least", "Least, worst case", "mm", ("shaft_stations",), behind=True),
                Column("greatest", "Greatest, worst case", "mm", ("shaft_stations",), behind=True),
                Column("between", "Between its shoulders", "mm", ENDED),
                Column("slack", "Float of its bearings in the casing", "mm", ("shaft_span", "shafts")),
                Column("left", "Left by the shoulders", "mm", ENDED, behind=True),
                Column("closed_by", "Taken by", of=("shaft_stations",)),
                Column("float", "End float", "mm", ("shaft_float",)),
                Column("packing", "So pack it to", "mm", (*ENDED, "shaft_float")),
                Column("whole", "Whole length", "mm", ENDED),
            ),
        ),
        Table(
            "opposite",
            "Parts that stand opposite each other",
            (
                Column("part", "Part"),
                Column("shafts", "On"),
                Column("aside", "Middles apart", "mm", PLACED),
                Column("overlap", "Common length", "mm", PLACED),
            ),
            keys=2,
        ),
        Table(
            "shaft_axes",
            "Axes, for boring the casing",
            (
                Column("axis", "Axis"),
                Column("x", "x", "mm", STANDS),
                Column("y", "y", "mm", STANDS),
                Column("from_first", "From the first shaft", "mm", STANDS),
                Column("from_second", "From the second shaft", "mm", STANDS),
            ),
        ),
    ),
    compute=compute,
    formula=(
        "A station begins where the one before it ends. Worst cases are sums of limits. An axis at distances *p* and "
        "*q* from two that are *a* apart stands at *x* = (*a*² + *p*² − *q*²)/(2*a*), *y* = ±√(*p*² − *x*²)."
    ),
    sources=("Stacks of lengths: Budynas and Nisbett, Shigley's Mechanical Engineering Design, ch. 1.",),
    assumptions=(
        "Stations of one name on several shafts belong opposite each other, and one named after a gear carries it.",
        "Each part deviates by itself within its limits.",
        FRAME,
        "Axes stand at the middles between the limits of their distances: bore to *x* and *y*, and hold the distances.",
        "Whatever runs on a shaft and whatever is keyed to it is held along it by the stack alone, so all of it shares "
        "one end float.",
        "Bearings bear on the shoulders of their shaft and have their float in the casing: the span less the length "
        "between the shoulders. The stack lies between the bearings.",
        "Shafts, pins, and tubes whose outside is stated are held against the wheels on other axes at the least "
        "distances, over all that floats; a wheel is as wide as its station.",
    ),
    cautions=(),
)
