"""Bearings out of the standard series for the shaft's seats, and the fits of whatever else sits on a shaft."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.building.contract import (
    AS_MODEL,
    GAP,
    WALL,
    BillItem,
    Column,
    Feature,
    Made,
    Naming,
    Problem,
    Section,
    Table,
)
from ledger.building.reading import drawn, limited, nominal
from ledger.building.sections.shafts.seats import floating, on_shafts
from ledger.calculators.contract import Choice, Draws, Number, Rows, Text, Whole
from ledger.mechanics.fits import fit, limits, seat
from ledger.mechanics.standard_bearings import CUP, KINDS, bearing_on, bore_limits, nearest_bore

NONE = "none"
SHAFT_CLASSES = (NONE, "g6", "h6", "js6", "k6", "m6", "n6")
HOUSINGS = (NONE, "H7", "JS7", "K7", "M7", "N7", "P7")
HOLE_BASIS = ("H7/g6", "H7/h6", "H8/f7", "H9/d9", "H11/c11", "H7/k6", "H7/n6", "H7/p6", "H7/s6")
# Ground rod is h6 or h9 as it comes: the hole is made to suit it.
SHAFT_BASIS = ("G7/h6", "F8/h6", "E8/h6", "E9/h9", "D10/h9", "JS7/h6", "K7/h6", "N7/h6", "P7/h6")
FITS = (*HOLE_BASIS, *SHAFT_BASIS)
SEATED = ("bearings",)


def compute(
    bearings: list[dict[str, Any]] | None,
    bearing_fits: list[dict[str, Any]] | None,
    distance: Any,
    span: Any,
    stations: tuple[dict[str, Any], ...] | None,
    ends: dict[str, dict[str, Any]] | None,
    slacks: dict[str, Draws] | None,
    gears: tuple[Any, ...] | None,
) -> Made:
    """Return the bearings with their seats, and the fits."""
    seats, items, problems = [], [], []
    for row in bearings or []:
        made, listed, said = _seat(row)
        seats.append(made)
        items.append(listed)
        problems += said
    problems += on_shafts(seats, bearings or [], stations or (), ends or {}, gears or ())
    problems += floating(bearings or [], ends or {}, slacks or {}, span)
    fits, features = [], list(_beside(seats, bearings or [], distance))
    for row in bearing_fits or []:
        size = nominal(row["size"], f"The size of {row['place']}")
        fits.append({"place": row["place"], "size": size, **fitted(size, row["fit"])})
        if fits[-1]["least"] >= 0:
            low = fits[-1]["least"]
            features.append(Feature(f"{row['place']}: least clearance", GAP, low, AS_MODEL, ("bearing_fits",)))
    housings = tuple({**one, "axis": row["axis"], "wall": row["wall"]} for one, row in zip(seats, bearings or [],
                                                                                           strict=True))  # fmt: skip
    return Made({"bearings": seats, "fits": fits}, features, items, (), problems, {"housings": housings})


def made_to(size: float, zone: str) -> dict[str, Any]:
    """Return a size with the limits of a tolerance class [mm]."""
    low, high = (float(one) / 1000.0 for one in limits(size, zone))
    return limited(size, low, high)


def fitted(size: float, named: str) -> dict[str, Any]:
    """Return the cells of a fit: its name, the limits of hole and shaft, least and greatest clearance [mm]."""
    hole, shaft = named.split("/")
    low, high = (float(one) / 1000.0 for one in fit(size, hole, shaft))
    return {"fit": named, "hole": made_to(size, hole), "rod": made_to(size, shaft), "least": low, "greatest": high}


def fit_columns(hole: str, of: tuple[str, ...], behind: bool = False) -> tuple[Column, ...]:
    """Return the columns of what `fitted` gives: `hole` heads the hole, `behind` puts its clearances behind."""
    return (
        Column("fit", "Fit", of=of),
        Column("hole", hole, "mm", of),
        Column("rod", "Shaft", "mm", of),
        Column("least", "Least clearance (below 0: interference)", "mm", of, behind=behind),
        Column("greatest", "Greatest", "mm", of, behind=behind),
    )


def _seat(row: dict[str, Any]) -> tuple[dict[str, Any], BillItem, list[Problem]]:
    wanted = nominal(row["shaft"], f"The shaft at {row['seat']}")
    name, bore, outside, width = bearing_on(float(nearest_bore(wanted, row["kind"])), row["kind"])
    made = {
        "seat": row["seat"],
        "bearing": name,
        "bore": bore,
        "outside": outside,
        "width": width,
        "count": row["count"],
        "shaft_class": row["shaft_class"],
        "seated": "–",
        "housing": "–" if row["housing_class"] == NONE else made_to(float(outside), row["housing_class"]),
        "least": "–",
        "greatest": "–",
    }
    problems = []
    if bore != wanted:
        said = f"No {row['kind']} bearing has a bore of {wanted:g} mm; the nearest is {name} with {bore:g} mm."
        problems.append(Problem(False, f"seat {row['seat']}", f"{said} Turn the seat to that."))
    if row["shaft_class"] != NONE and row["kind"] == CUP:
        said = "A drawn cup has no inner ring; the shaft runs on its needles. State no class for the shaft."
        problems.append(Problem(True, f"seat {row['seat']}", said))
    elif row["shaft_class"] != NONE:
        low, high = seat(bore, bore_limits(bore), row["shaft_class"])
        made["seated"] = made_to(float(bore), row["shaft_class"])
        made |= {"least": float(low) / 1000.0, "greatest": float(high) / 1000.0}
    size = f"{bore:g} × {outside:g} × {width:g} mm"
    return made, BillItem(f"bearing {name}", _count(row), "bought", "", size, note=row["seat"], of=SEATED), problems


def _count(row: dict[str, Any]) -> int:
    return int(nominal(row["count"], f"The number of bearings at {row['seat']}"))


def _beside(seats: list[dict[str, Any]], rows: list[dict[str, Any]], distance: Any) -> list[Feature]:
    """Return the walls left between the housings of two shafts in one end wall."""
    found = []
    walls: dict[str, list[dict[str, Any]]] = {}
    for made, row in zip(seats, rows, strict=True):
        if row["wall"]:
            walls.setdefault(row["wall"], []).append(made)
    for wall, ones in walls.items():
        if len(ones) == 2 and distance is not None:
            left = drawn(distance) - (ones[0]["outside"] + ones[1]["outside"]) / 2.0
            found.append(Feature(f"{wall}: wall between the housings", WALL, np.asarray(left)[()], AS_MODEL,
                                 (*SEATED, "centre_distance")))  # fmt: skip
    return found


BEARINGS = Section(
    name="bearings",
    title="Bearings and fits",
    purpose="Bearings out of the standard series for each seat, and the clearances of whatever sits on a shaft.",
    parameters=(
        Rows(
            "bearings",
            "Seats and the bearings on them",
            (
                Text("seat", "Seat"),
                Number("shaft", "Diameter of the shaft", "mm", 0.5, 200.0, limits=True),
                Choice("kind", "Kind of bearing", tuple(KINDS)),
                Choice("shaft_class", "Tolerance class of the shaft", SHAFT_CLASSES, default=NONE),
                Whole("count", "How many", 1, 100, default="1"),
                Text("wall", "End wall it stands in", default=""),
                Text("axis", "Shaft or axis it stands on", default=""),
                Choice("housing_class", "Tolerance class of the bore it sits in", HOUSINGS, default=NONE),
            ),
        ),
        Rows(
            "bearing_fits",
            "Fits of what sits on a shaft or in a bore",
            (
                Text("place", "Place"),
                Number("size", "Nominal size", "mm", 0.5, 180.0, limits=True),
                Choice("fit", "Fit", FITS),
            ),
        ),
    ),
    wanted=("bearings", "bearing_fits"),
    uses=("distance", "span", "stations", "ends", "slacks", "gears"),
    names=(Naming("bearings", "axis", (("shaft_stations", "shaft"), ("shaft_axes", "axis"))),),
    tables=(
        Table(
            "bearings",
            "Bearings",
            (
                Column("seat", "Seat"),
                Column("bearing", "Bearing", of=SEATED),
                Column("bore", "Bore", "mm", SEATED),
                Column("outside", "Outside", "mm", SEATED),
                Column("width", "Width", "mm", SEATED),
                Column("count", "How many", of=SEATED),
                Column("shaft_class", "Shaft to", of=SEATED, behind=True),
                Column("seated", "Turn the seat to", "mm", SEATED),
                Column("housing", "Bore for it", "mm", SEATED),
                Column("least", "Least clearance on the seat (below 0: interference)", "mm", SEATED, behind=True),
                Column("greatest", "Greatest", "mm", SEATED, behind=True),
            ),
        ),
        Table(
            "fits",
            "Fits",
            (
                Column("place", "Place"),
                Column("size", "Size", "mm", ("bearing_fits",)),
                *fit_columns("Hole", ("bearing_fits",)),
            ),
        ),
    ),
    compute=compute,
    formula="A seat takes the bearing whose bore is nearest to the shaft. Clearances are EI − es to ES − ei.",
    sources=(
        "Bearings: boundary dimensions of ISO 15, series 02, 10 and 49 (ISO 1206), and ISO 3245; in part from memory.",
        "Bores of bearings: ISO 492, normal class, from memory. Fits: ISO 286-1:2010 and ISO 286-2:2010.",
    ),
    assumptions=(
        "Bearings are chosen by their bore, not by load; no load ratings are given.",
        "Fits of ISO 286 are meant for cut parts; printed ones do not hold them.",
        "Seats are turned, so they may be k6. Ground rod is h6 as it is bought: where it is not turned, the hole gives "
        "the fit.",
    ),
    cautions=(),
)
