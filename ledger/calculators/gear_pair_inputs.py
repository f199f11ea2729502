"""What both reckonings of teeth ask for and tell: the inputs of a pair of gears, and outputs of its geometry."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from ledger.calculators.contract import Choice, Draws, Number, Output, Truth, Whole
from ledger.mechanics import gear_pair as mechanics
from ledger.mechanics.tooth_sizes import chordal_thickness, over_pins, pin_seat, span, span_touches, spanned_teeth
from ledger.quantities import percents

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
    # The range reaches below zero so that the mechanics can say that the angle is given without sign.
    number("helix", "helix", "Helix angle, without sign (0: spur)", "0 °", low=-45.0),
    Choice(
        "profile", "Basic rack of the tool: of ISO 53, or your own", (*mechanics.PROFILES, mechanics.OWN), default="A"
    ),
    number("pressure", "pressure", "Pressure angle of the tool (square to the teeth)", "20 °"),
    number("addendum", "addendum", "Addendum of your own rack, in modules (below 1: stub teeth)", "1"),
    number("dedendum", "dedendum", "Dedendum of your own rack, in modules", "1.25"),
    number("rounding", "rounding", "Tip rounding of your own rack, in modules", "0.38"),
    Truth("shortened", "Tips are cut back to keep the rack's clearance", default=True),
    number("tip_1", "tip", "Tip diameter of wheel 1 (0: from the rack)", "0 mm", low=0.0),
    number("tip_2", "tip", "Tip diameter of wheel 2 (0: from the rack)", "0 mm", low=0.0),
    number("distance", "distance", "Centre distance (0: without backlash, from the shifts)", "0 mm", low=0.0),
    number("torque", "torque", "Torque of wheel 1"),
)
LOADS = (
    number("application", "factor", "Application factor: load over its steady value", "1"),
    number("dynamic", "factor", "Dynamic factor: what the teeth's own errors add", "1"),
    number("across", "factor", "Load distribution factor over the width", "1"),
    number("among", "factor", "Load distribution factor among the teeth in mesh", "1"),
)
GEOMETRY = (
    Output("centre_distance", "Centre distance", "mm"),
    Output("backlash", "Backlash on the pitch circles (0 where no centre distance is stated)", "mm"),
    Output("jams", "The teeth are too thick for the stated centre distance", form="truth"),
    Output("tip_clearance", "Lesser clearance of a tip above its mate's root", "mm"),
    Output("working_angle", "Working pressure angle, transverse", "°"),
    Output("contact_ratio", "Transverse contact ratio"),
    Output("overlap_ratio", "Overlap ratio"),
    Output("total_contact_ratio", "Total contact ratio"),
    Output("hands_over", "The next pair meets before the last lets go", form="truth"),
    Output("undercut", "A wheel's root is undercut", form="truth"),
    Output("interferes", "A tip reaches below where its mate's flank can begin", form="truth"),
    Output("tip_thickness", "Thickness of the thinner tip, transverse", "mm"),
    Output("normal_tip_thickness", "Thickness of the thinner tip, square to the teeth", "mm"),
    Output("pointed", "A tip would be pointed", form="truth"),
)


def strength(name: str, label: str) -> tuple[Number, Number]:
    """Return the inputs of what either wheel's material bears; 0 for wheel 2 means as wheel 1, draw by draw."""
    return (
        number(f"{name}_1", "strength", f"{label} of wheel 1 bears"),
        number(f"{name}_2", "strength", f"{label} of wheel 2 bears (0: as wheel 1)", "0 MPa", low=0.0),
    )


def stated_or(value: Draws, usual: Draws, key: str, words: str) -> Draws:
    """Return a size of which 0 means "as usual"; ValueError where it is neither stated in all draws nor left out."""
    if not np.any(value):
        return usual
    _, unit, least, _ = mechanics.PERMITTED[key]
    if np.any(np.less(value, least)):
        raise ValueError(f"{words}: permitted from {least:g} {unit} in all draws, or 0 to leave it out.")
    return value


def strength_of_both(first: Draws, second: Draws) -> tuple[Draws, Draws]:
    """Return both strengths; ValueError where the second is neither above zero in all draws nor left out."""
    return first, stated_or(second, first, "strength", "What wheel 2 bears")


def geometry_of(pair: dict[str, Any]) -> dict[str, Any]:
    """Return the outputs of GEOMETRY by name."""
    one, two = pair["wheels"]
    thinner = np.minimum(one["tip_thickness"], two["tip_thickness"])
    total = pair["contact_ratio"] + pair["overlap"]
    return {
        "centre_distance": pair["distance"],
        "working_angle": pair["working"] / DEGREE,
        "backlash": pair["backlash"],
        # A distance stated to a micrometre for wheels without backlash is no jam.
        "jams": np.less(pair["backlash"], -1e-3),
        "tip_clearance": np.minimum(one["clearance"], two["clearance"]),
        "contact_ratio": pair["contact_ratio"],
        "overlap_ratio": pair["overlap"],
        "total_contact_ratio": total,
        "hands_over": total >= 1.0,
        "undercut": (one["spare_shift"] < 0) | (two["spare_shift"] < 0),
        "interferes": one["interferes"] | two["interferes"],
        "tip_thickness": thinner,
        "normal_tip_thickness": np.minimum(one["normal_tip_thickness"], two["normal_tip_thickness"]),
        "pointed": thinner <= 0,
    }


def sizes_of(pair: dict[str, Any], module: Draws, pin: Draws) -> list[dict[str, Any]]:
    """Return a row a wheel with the sizes by which it is drawn and measured; over pins only where a pin is stated.

    A size that cannot be measured is left out with a word, and summed up over the draws in which it can be.
    """
    rows = []
    for place, wheel in enumerate(pair["wheels"], 1):
        teeth, shift, bend = wheel["teeth"], wheel["shift"], (pair["pressure"], pair["helix"])
        chord, height = chordal_thickness(module, teeth, shift, (wheel["tip"] - wheel["reference"]) / 2 / module, *bend)
        touches = span_touches(teeth, shift, *bend)
        rows.append(
            {
                "wheel": f"wheel {place}",
                "teeth": teeth,
                "reference diameter [mm]": wheel["reference"],
                "base diameter [mm]": wheel["base"],
                "form diameter [mm]": wheel["form"],
                "tip diameter [mm]": wheel["tip"],
                "root diameter [mm]": wheel["root"],
                "pitch diameter [mm]": wheel["pitch"],
                "tip thickness, transverse [mm]": wheel["tip_thickness"],
                "tip thickness, normal [mm]": wheel["normal_tip_thickness"],
                "profile shift above undercut [modules]": wheel["spare_shift"],
                **_measured("teeth spanned", touches, "no span touches the flanks", _spanned, teeth, shift, *bend),
                **_measured("span [mm]", touches, "no span touches the flanks", _span, module, teeth, shift, *bend),
                "chordal thickness [mm]": chord,
                "tip above that chord [mm]": height,
            }
        )
        if np.any(pin):
            thick = np.greater(pin, 0) & np.greater(pin_seat(module, teeth, shift, pin, *bend), 0)
            given = (module, teeth, shift, pin, *bend)
            rows[-1] |= _measured("over two pins or balls [mm]", thick, "the pin is too thin", over_pins, *given)
    words = {key for row in rows for key in row if key.startswith("draws that give")}
    return [row | {key: row.get(key, "all") for key in sorted(words)} for row in rows]


def _spanned(teeth: Draws, shift: Draws, pressure: Draws, helix: Draws) -> float:
    """Return one number of teeth for all draws, for that is what is measured: the one nearest to their mean."""
    return max(float(np.round(np.mean(spanned_teeth(teeth, shift, pressure, helix)))), 1.0)


def _span(module: Draws, teeth: Draws, shift: Draws, pressure: Draws, helix: Draws) -> Draws:
    found: Draws = span(module, teeth, shift, _spanned(teeth, shift, pressure, helix), pressure, helix)
    return found


def _measured(name: str, can: Any, word: str, size: Callable[..., Draws], *given: Draws) -> dict[str, Any]:
    """Return a size as cells of a row: where it can be measured, else a word for it."""
    if np.all(can):
        return {name: size(*given)}
    if not np.any(can):
        return {name: word}
    kept = [one[can] if np.shape(one) else one for one in np.broadcast_arrays(can, *given)[1:]]
    share = f"{percents.chance(float(np.mean(can)))} ({word} in the others)"
    return {name: size(*kept), f"draws that give {name.split(' [')[0]}": share}
