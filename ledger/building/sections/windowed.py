"""Which wheels have windows, on which face and by which drawing, and what the bill says of wheels and sleeves by it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from ledger.building.contract import BillItem
from ledger.building.reading import slug

FACES = (("right", -1), ("left", 1))
OF = ("gear_pairs", "shaft_stations", "dog_rings", "hub_splines")
Rows = Sequence[Mapping[str, Any]]


def windowed(hubs: Rows, windows: Mapping[str, str], stations: Rows, gears: Iterable[Any]) -> list[dict[str, Any]]:
    """Return the wheels beside each sleeve whose ring has windows: wheel, face, sleeve, ring, drawing.

    hubs      the splines as they are written: `hub`, the station of its sleeve, and its `ring`
    windows   the drawing of the windows of a ring
    stations  of all shafts, each shaft's from the left; on the first stand driving wheels, on the second driven ones
    """
    rings = {str(row["hub"]): str(row["ring"]) for row in hubs if str(row["ring"]) in windows}
    shafts = list(dict.fromkeys(one["shaft"] for one in stations))[:2]
    named = {(shaft, one.gear): name for one in gears for shaft, name in zip(shafts, one.names, strict=False)}
    found = []
    for shaft in shafts:
        parts = [one["part"] for one in stations if one["shaft"] == shaft]
        for place, sleeve in enumerate(parts):
            for face, side in FACES:
                beside = place + side
                if sleeve in rings and 0 <= beside < len(parts) and (shaft, parts[beside]) in named:
                    ring = rings[sleeve]
                    found.append({"wheel": named[shaft, parts[beside]], "face": face, "sleeve": sleeve, "ring": ring,
                                  "drawing": windows[ring]})  # fmt: skip
    return found


def with_windows(items: Iterable[BillItem], rows: Rows) -> list[BillItem]:
    """Return the bill's items, wheels with the drawings of their windows and sleeves with those of their dogs."""
    cut = {f"gear-{slug(wheel)}": [one for one in rows if one["wheel"] == wheel]
           for wheel in dict.fromkeys(one["wheel"] for one in rows)}  # fmt: skip
    rings = {one["sleeve"]: slug(one["ring"]) for one in rows}
    return [_with(item, cut.get(item.drawing, []), rings.get(item.part, "")) for item in items]


def _with(item: BillItem, cut: Rows, ring: str) -> BillItem:
    if cut:
        drawings = dict.fromkeys(one["drawing"] for one in cut)
        faces = " and ".join(dict.fromkeys(one["face"] for one in cut))
        return _more(item, drawings, f"windows in its {faces} face{'s' if ' and ' in faces else ''}")
    if ring and item.drawing.startswith("sleeve-"):
        return _more(item, (f"dogs-{ring}", f"dogs-{ring}-profile"), "dogs on both faces, mirror images of each other")
    return item


def _more(item: BillItem, drawings: Iterable[str], note: str) -> BillItem:
    notes = "; ".join(one for one in (item.note, note) if one)
    return replace(item, drawing=", ".join((item.drawing, *drawings)), note=notes, of=(*item.of, "dogs", "dog_rings"))
