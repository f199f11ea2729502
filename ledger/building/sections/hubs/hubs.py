"""How wheels and hubs sit on their shafts, keyed or running free, and the splines on which sleeves slide."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.building.contract import (
    AS_MODEL,
    GAP,
    BillItem,
    Column,
    Feature,
    Made,
    Naming,
    Placed,
    Problem,
    Section,
    Sketch,
    Table,
)
from ledger.building.reading import drawn, nominal, round_stock, slug
from ledger.building.sections.hubs.rows import FREE, KEYED, beside_sleeves, keyed_row, seat_row, spline_row
from ledger.building.sections.hubs.shape import Hub, Sleeve, hub_sketches, sleeve_sketches
from ledger.building.sections.shafts.bearings import FITS, fit_columns
from ledger.building.sections.shafts.room import Round, sleeves_at_full_travel, struck
from ledger.calculators.contract import Choice, Number, Rows, Text
from ledger.mechanics.model_scale import PROCESSES
from ledger.mechanics.standard_parts import SPLINES, key_of

SEATS, SPLINED = ("hub_seats",), ("hub_splines",)
KEYS = (*SEATS, "shaft_stations")
SLEEVES = (*SPLINED, "forks", "fork_groove", "fork_sleeve", "dogs", "dog_rings")
HUBS = (*SPLINED, *KEYS)
TRAVELS = ("dog-travel", "disc-travel", "drum-travel")
SWEPT = ("forks", "fork_sleeve", "shaft_stations", "shaft_span", "centre_distance", "shaft_axes", "gear_module",
         "gear_pairs")  # fmt: skip


def compute(
    hub_seats: list[dict[str, Any]],
    hub_splines: list[dict[str, Any]] | None,
    hub_material: str,
    sleeve_material: str,
    hub_process: str,
    stations: tuple[dict[str, Any], ...] | None,
    sleeves: dict[str, Any] | None,
    rings: dict[str, tuple[Any, Any, float]] | None,
    shaft_float: Any,
    stocks: dict[str, Any] | None,
    across: tuple[dict[str, Round], dict[frozenset[str], float], float] | None,
    numbers: dict[str, Placed],
) -> Made:
    """Return the seats with their fits and keys, the splines, and the drawings of hubs and sleeves."""
    placed = {(one["shaft"], one["part"]): one for one in stations or ()}
    rows, keys, problems = [], [], []
    features: list[Feature] = []
    items: list[BillItem] = []
    for seat in hub_seats:
        row, said = seat_row(seat, placed, stations is not None, (stocks or {}).get(seat["shaft"]))
        rows.append(row)
        problems += said
        if seat["held"] == FREE and row["least"] >= 0:
            where = f"{seat['shaft']}, {seat['part']}: least clearance on the shaft"
            features.append(Feature(where, GAP, row["least"], hub_process, SEATS))
        if seat["held"] == KEYED:
            key, listed, said = keyed_row(seat, placed.get((seat["shaft"], seat["part"])))
            keys += key
            items += listed
            problems += said
    problems += beside_sleeves(hub_seats, [one["hub"] for one in hub_splines or []], stations or ())
    if shaft_float is not None and not np.any(drawn(shaft_float)) and any(one["held"] == FREE for one in hub_seats):
        clamped = "Nothing is left to what runs on the shafts: the stack clamps it. State `shaft-float`: 0.1..0.2 mm."
        problems.append(Problem(False, "end float", clamped))
    wheels, distances, drift = across or ({}, {}, 0.0)
    travels = [numbers[one].value for one in TRAVELS if one in numbers]
    reaching = sleeves_at_full_travel(sleeves or {}, stations or (), np.max(travels, axis=0) if travels else None,
                                      numbers["fork-play"].value if "fork-play" in numbers else 0.0)  # fmt: skip
    beside, hit = struck(reaching, wheels.values(), distances, drift, SWEPT)
    features += beside
    problems += hit
    splines: list[dict[str, Any]] = []
    drawings: list[Sketch] = []
    bores = {one["part"]: (one["shaft"], nominal(one["size"], "The shaft")) for one in hub_seats}
    shapes: dict[str, tuple[Hub, Sleeve | None]] = {}
    for row in hub_splines or []:
        made, more, said = spline_row(row, bores.get(row["hub"]), placed, (sleeves or {}).get(row["hub"]),
                                      (rings or {}).get(row["ring"]), hub_process)  # fmt: skip
        features += more
        problems += said
        name = row["ring"] or row["hub"]
        hub, sleeve = _to_draw(name, row, made, bores, sleeves or {}, rings or {})
        if shapes.setdefault(name, (hub, sleeve)) != (hub, sleeve):
            name = row["hub"]
            hub, sleeve = _to_draw(name, row, made, bores, sleeves or {}, rings or {})
            shapes[name] = hub, sleeve
        items += _listed(row["hub"], name, hub, sleeve, made, (hub_material, sleeve_material, hub_process))
        splines.append(made)
    for hub, sleeve in shapes.values():
        drawings += hub_sketches(hub, HUBS) + (sleeve_sketches(sleeve, SLEEVES) if sleeve else [])
    return Made({"hub_seats": rows, "hub_keys": keys, "hub_splines": splines}, features, items, drawings, problems)


def _to_draw(
    name: str, row: dict[str, Any], made: dict[str, Any], bores: dict[str, Any], sleeves: dict[str, Any],
    rings: dict[str, Any],
) -> tuple[Hub, Sleeve | None]:  # fmt: skip
    bore = bores.get(row["hub"], ("", 0.0))[1]
    key = key_of(bore) if made.get("keyed") else None
    hub = Hub(name, *SPLINES[row["spline"]], bore, key[0] if key else 0.0, key[3] if key else 0.0)
    found = sleeves.get(row["hub"])
    if found is None or found[2] is None:
        return hub, None
    fork, groove, length = found
    inner, outer, tall = rings.get(row["ring"], (0.0, 0.0, 0.0))
    sleeve = Sleeve(
        name, *SPLINES[row["spline"]], nominal(fork["sleeve"], "The sleeve"),
        nominal(fork["groove_bottom"], "The bottom of the groove"), nominal(groove, "The groove"),
        nominal(length, "The sleeve's length"), float(np.mean(inner)), float(np.mean(outer)), tall,
    )  # fmt: skip
    return hub, sleeve


def _listed(
    part: str, name: str, hub: Hub, sleeve: Sleeve | None, made: dict[str, Any], of: tuple[str, str, str]
) -> list[BillItem]:
    length = made["length"]
    long = float(np.mean(drawn(length))) if not isinstance(length, str) else 0.0
    stock = round_stock(hub.major, long) if long else f"round, ⌀ {hub.major + 1.0:g} mm; length undecided"
    found = [BillItem(f"hub, {part}", 1, of[0], of[2], stock, f"hub-{slug(name)}", of=HUBS)]
    if sleeve is not None:
        whole = round_stock(sleeve.outside, sleeve.length + 2.0 * sleeve.tall)
        names = f"sleeve-{slug(name)}, sleeve-{slug(name)}-section"
        found.append(BillItem(part, 1, of[1], of[2], whole, names, of=SLEEVES))
    return found


SPLINE_COLUMNS = (
    Column("hub", "Hub"),
    Column("ring", "Dogs", of=SPLINED, behind=True),
    Column("spline", "Spline N × d × D", of=SPLINED),
    Column("width", "Width of a spline", "mm", SPLINED, behind=True),
    Column("hub_minor", "Hub: d to f7", "mm", SPLINED),
    Column("hub_width", "Hub: width to d9", "mm", SPLINED),
    Column("sleeve_minor", "Sleeve: d to H7", "mm", SPLINED),
    Column("sleeve_width", "Sleeve: width to H9", "mm", SPLINED),
    Column("sleeve_major", "Sleeve: D to H10", "mm", SPLINED),
    Column("hub_major", "Hub: D to c11", "mm", SPLINED),
    Column("length", "Length of the hub", "mm", (*SPLINED, "shaft_stations")),
)

HUB_SECTION = Section(
    name="hubs",
    title="Hubs, keys and sleeves",
    purpose="Which wheels are locked to their shaft and which run free, by which fit and key; what sleeves slide on.",
    parameters=(
        Rows(
            "hub_seats",
            "What sits on the shafts: wheels and hubs by their station",
            (
                Text("shaft", "Shaft"),
                Text("part", "Part, as in `shaft-stations`"),
                Number("size", "Diameter of the shaft there", "mm", 1.0, 180.0, limits=True),
                Choice("held", "How it is held", (KEYED, FREE)),
                Choice("fit", "Fit", FITS),
            ),
        ),
        Rows(
            "hub_splines",
            "Hubs that carry a sleeve, and their splines",
            (
                Text("hub", "Hub, by the station of its sleeve"),
                Choice("spline", "Spline, ISO 14", tuple(SPLINES)),
                Text("ring", "Ring of dogs on its sleeve, in `dog-rings`", default=""),
            ),
        ),
        Text("hub_material", "What the hubs are made of", default="not stated"),
        Text("sleeve_material", "What the sleeves are made of", default="not stated"),
        Choice("hub_process", "How hubs and sleeves are made", (AS_MODEL, *PROCESSES), default=AS_MODEL),
    ),
    wanted=("hub_splines",),
    uses=("stations", "sleeves", "rings", "shaft_float", "stocks", "across", "numbers"),
    names=(
        Naming("hub_seats", "shaft", (("shaft_stations", "shaft"),)),
        Naming("hub_seats", "part", (("shaft_stations", "part"),)),
        Naming("hub_splines", "hub", (("shaft_stations", "part"),)),
        Naming("hub_splines", "ring", (("dog_rings", "ring"),)),
    ),
    tables=(
        Table(
            "hub_seats",
            "What sits on the shafts",
            (
                Column("shaft", "Shaft"),
                Column("part", "Part"),
                Column("held", "It", of=SEATS),
                *fit_columns("Bore it to", SEATS, behind=True),
            ),
            keys=2,
        ),
        Table(
            "hub_keys",
            "Keys and keyways",
            (
                Column("shaft", "Shaft"),
                Column("part", "Part"),
                Column("key", "Key, DIN 6885-1 A", of=KEYS),
                Column("in_shaft", "Keyway in the shaft, width N9", "mm", SEATS),
                Column("shaft_depth", "Depth in the shaft", "mm", SEATS),
                Column("in_hub", "Keyway in the hub, width JS9", "mm", SEATS),
                Column("hub_across", "Bore and keyway", "mm", SEATS),
            ),
            keys=2,
        ),
        Table("hub_splines", "Hubs and splines", SPLINE_COLUMNS),
    ),
    compute=compute,
    formula=(
        "A key is chosen by the diameter of the shaft, as long as its part allows. Clearances are EI − es to ES − ei. "
        "A sleeve's spline is centred on its minor diameter *d*."
    ),
    sources=(
        "Keys: DIN 6885-1:1968 (ISO 773:1969), lengths from memory. Splines: ISO 14:1982, light and medium series.",
        "Limits: ISO 286-1 and -2:2010. Fits of the splines are near those of ISO 14 for a sliding sleeve (d H7/f7, B "
        "H9/d10, D H10/a11), of classes that the tables here have: H9/d9 and H10/c11.",
    ),
    assumptions=(
        "A key is no longer than the least that its part may be.",
        "Sleeves are held over their whole travel and the play of their forks against the wheels on other axes.",
        "A hub takes up the whole length of its sleeve's station; its keyway lies under a spline. All keyways of a "
        "shaft stand in one line.",
        "What is locked is held against turning by its key and along the shaft by the stack; nothing is pressed on.",
        "Strength of keys is not asked: a crank gives them little. For a motor compute it first.",
    ),
    cautions=(
        "A wheel that runs free is thrown into drive by its dogs without warning: keep fingers off wheels that stand.",
    ),
)
