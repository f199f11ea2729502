"""Parts of a model: scaled sizes, the bearings and fits of shafts, and what a process makes of walls and gaps."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Draws
from ledger.mechanics.fits import fit, seat
from ledger.mechanics.signs import signed
from ledger.mechanics.standard_bearings import bearing_on, bore_limits, nearest_bore

LENGTH, SHAFT, WALL, GAP = "length", "shaft", "wall", "gap between moving parts"
NONE = "none"
FITS = (NONE, "H7/g6", "H7/h6", "H8/f7", "H9/d9", "H11/c11", "H7/k6", "H7/n6", "H7/p6", "H7/s6")


def part_row(part: Any, actual: Draws, least: Any) -> dict[str, Any]:
    """Return a row for a part: scaled, and as it is to be made; `least` is wall, tooth tip and gap of the process."""
    size = actual * part["size"]
    row = {
        "part": part["part"],
        "kind": part["kind"],
        "full size [mm]": part["size"],
        "scaled [mm]": size,
        "make [mm]": size,
        "changed by [mm]": 0.0,
        "note": "",
    }
    if part["kind"] == GAP:
        row["make [mm]"] = np.maximum(size, least[2])
        row["note"] = "opened to what the process needs" if np.mean(size) < np.mean(least[2]) else ""
    if part["kind"] == WALL:
        row["make [mm]"] = np.maximum(size, least[0])
        row["note"] = "thickened, out of scale" if np.mean(size) < np.mean(least[0]) else ""
    if part["kind"] == SHAFT:
        notes = []
        if part["bearing"] != NONE:
            row["make [mm]"] = nearest_bore(size, part["bearing"])
            name, bore, outside, width = bearing_on(_commonest(row["make [mm]"]), part["bearing"])
            scaled = float(np.mean(size))
            changed = (
                f"shaft changed by {signed(bore - scaled, '.3g')} mm, {signed(100 * (bore / scaled - 1), '.3g')} %"
            )
            notes.append(f"bearing {name}, {bore:g} × {outside:g} × {width:g} mm, {changed}")
        if part["fit"] != NONE:
            made, (hole, shaft) = _commonest(row["make [mm]"]), part["fit"].split("/")
            if part["bearing"] == NONE:
                low, high = fit(made, hole, shaft)
                notes.append(f"{part['fit']}: {_clearance(float(low), float(high))}")
            else:
                low, high = seat(made, bore_limits(made), shaft)
                notes.append(
                    f"{shaft} in the bearing's bore, which is not {hole}: {_clearance(float(low), float(high))}"
                )
        row["note"] = "; ".join(notes)
    row["changed by [mm]"] = row["make [mm]"] - size
    return row


def _commonest(values: Draws) -> float:
    found, counts = np.unique(values, return_counts=True)
    return float(found[counts.argmax()]) if counts.max() > 1 or len(found) == 1 else float(np.mean(values))


def _clearance(low: float, high: float) -> str:
    if low >= 0:
        return f"clearance {low:.0f} to {high:.0f} µm"
    if high <= 0:
        return f"interference {-high:.0f} to {-low:.0f} µm"
    return f"from {-low:.0f} µm interference to {high:.0f} µm clearance"
