"""What both reckonings of teeth ask for and tell: the inputs of a pair of gears, and outputs of its geometry."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Choice, Number, Output, Truth, Whole
from ledger.mechanics import gear_pair as mechanics
from ledger.mechanics.tooth_sizes import chordal_thickness, over_pins, span, spanned_teeth

Draws = float | np.ndarray
DEGREE = mechanics.DEGREE


def number(name: str, key: str, label: str, default: str | None = None, low: float | None = None) -> Number:
    """Return a number input whose unit and range are those of the mechanics' permitted range `key`."""
    _, unit, least, greatest = mechanics.PERMITTED[key]
    unit = "" if unit == "modules" else unit
    return Number(name, label, unit, low=least if low is None else low, high=greatest, default=default)


def _teeth(name: str, label: str) -> Whole:
    _, _, least, greatest = mechanics.PERMITTED["teeth"]
    return Whole(name, label, low=int(least), high=int(greatest))


PAIR = (
    number("module", "module", "Module, square to the teeth"),
    _teeth("teeth_1", "Teeth of wheel 1"),
    _teeth("teeth_2", "Teeth of wheel 2"),
    number("shift_1", "shift", "Profile shift of wheel 1, in modules", "0"),
    number("shift_2", "shift", "Profile shift of wheel 2, in modules", "0"),
    number("width", "width", "Width over which the teeth meet"),
    number("helix", "helix", "Helix angle (0: spur)", "0 °"),
    Choice("profile", "Basic rack of the tool, ISO 53", tuple(mechanics.PROFILES), default="A"),
    Truth("shortened", "Tips are cut back to keep the rack's clearance", default=True),
    number("torque", "torque", "Torque of wheel 1"),
)
LOADS = (
    number("application", "factor", "Application factor: load over its steady value", "1"),
    number("dynamic", "factor", "Dynamic factor: what the teeth's own errors add", "1"),
    number("across", "factor", "Load distribution factor over the width", "1"),
    number("among", "factor", "Load distribution factor among the teeth in mesh", "1"),
)
GEOMETRY = (
    Output("centre_distance", "Centre distance without backlash", "mm"),
    Output("working_angle", "Working pressure angle, transverse", "°"),
    Output("contact_ratio", "Transverse contact ratio"),
    Output("overlap_ratio", "Overlap ratio"),
    Output("hands_over", "The next pair meets before the last lets go", form="truth"),
    Output("undercut", "A wheel's root is undercut", form="truth"),
    Output("interferes", "A tip reaches below where its mate's flank can begin", form="truth"),
    Output("tip_thickness", "Thickness of the thinner tip", "mm"),
    Output("pointed", "A tip would be pointed", form="truth"),
)


def strength(name: str, label: str) -> tuple[Number, Number]:
    """Return the inputs of what either wheel's material bears; 0 for wheel 2 means as wheel 1, draw by draw."""
    return (
        number(f"{name}_1", "strength", f"{label} of wheel 1 bears"),
        number(f"{name}_2", "strength", f"{label} of wheel 2 bears (0: as wheel 1)", "0 MPa", low=0.0),
    )


def strength_of_both(first: Draws, second: Draws) -> tuple[Draws, Draws]:
    """Return both strengths; ValueError where the second is neither above zero in all draws nor left out."""
    if not np.any(second):
        return first, first
    if np.any(np.less(second, 1.0)):
        raise ValueError("What wheel 2 bears: permitted from 1 MPa in all draws, or 0 for the same as wheel 1.")
    return first, second


def geometry_of(pair: dict[str, Any]) -> dict[str, Any]:
    """Return the outputs of GEOMETRY by name."""
    one, two = pair["wheels"]
    thinner = np.minimum(one["tip_thickness"], two["tip_thickness"])
    return {
        "centre_distance": pair["distance"],
        "working_angle": pair["working"] / DEGREE,
        "contact_ratio": pair["contact_ratio"],
        "overlap_ratio": pair["overlap"],
        "hands_over": pair["contact_ratio"] >= 1.0,
        "undercut": (one["spare_shift"] < 0) | (two["spare_shift"] < 0),
        "interferes": one["interferes"] | two["interferes"],
        "tip_thickness": thinner,
        "pointed": thinner <= 0,
    }


def sizes_of(pair: dict[str, Any], module: Draws, pin: Draws) -> list[dict[str, Any]]:
    """Return a row a wheel with the sizes by which it is drawn and measured; over pins only where a pin is stated."""
    rows = []
    for place, wheel in enumerate(pair["wheels"], 1):
        teeth, shift, bend = wheel["teeth"], wheel["shift"], (pair["pressure"], pair["helix"])
        spanned = np.maximum(np.round(spanned_teeth(teeth, shift, *bend)), 1.0)
        chord, height = chordal_thickness(module, teeth, shift, (wheel["tip"] - wheel["reference"]) / 2 / module, *bend)
        row = {
            "wheel": f"wheel {place}",
            "teeth": teeth,
            "reference diameter [mm]": wheel["reference"],
            "base diameter [mm]": wheel["base"],
            "tip diameter [mm]": wheel["tip"],
            "root diameter [mm]": wheel["root"],
            "pitch diameter [mm]": wheel["pitch"],
            "tip thickness [mm]": wheel["tip_thickness"],
            "profile shift above undercut [modules]": wheel["spare_shift"],
            "teeth spanned": spanned,
            "span [mm]": span(module, teeth, shift, spanned, *bend),
            "chordal thickness [mm]": chord,
            "tip above that chord [mm]": height,
        }
        if np.any(pin):
            row["over two pins or balls [mm]"] = over_pins(module, teeth, shift, pin, *bend)
        rows.append(row)
    return rows
