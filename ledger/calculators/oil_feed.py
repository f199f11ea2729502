"""Oil feed: whether oil through a hollow turning shaft reaches every gear on it, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Draws, Number, Output, Rows, Text, Whole
from ledger.mechanics import oil_feed as mechanics

Raw = dict[str, Any]
BAR, MM, LITRES, SQUARE_MM = 1e5, 1e-3, 1e-3 / 60, 1e-6
UNLIMITED = mechanics.PERMITTED["greatest_flow"][3] / LITRES


def compute(
    pressure: Draws,
    holes: list[Raw],
    bore: Draws,
    speed: Draws,
    viscosity: Draws,
    density: Draws = 870.0,
    discharge: Draws = 0.65,
    feed_radius: Draws = 0.0,
    greatest_flow: Draws = UNLIMITED,
    inlet: Draws = 0.0,
    inlets: Draws = 1.0,
) -> Raw:
    """Return every declared output by name; bar, mm, L/min and mm²/s outside, SI within."""
    inside = [
        {
            "place": hole["place"] * MM,
            "diameter": hole["diameter"] * MM,
            "count": hole.get("count", 1.0),
            "radius": hole["radius"] * MM,
            "back": hole.get("back", 0.0) * BAR,
            "needed": hole.get("needed", 0.0) * LITRES,
        }
        for hole in holes
    ]
    found = mechanics.oil_feed(
        pressure * BAR, inside, bore * MM, speed, density, viscosity * SQUARE_MM, discharge, feed_radius * MM,
        greatest_flow * LITRES, inlet * MM, inlets,
    )  # fmt: skip
    rows = found["rows"]
    names = [hole.get("gear", "").strip() or f"{place}" for place, hole in enumerate(holes, 1)]
    return {
        "reaches_every": found["reaches_every"],
        "least_share": found["least_share"],
        "full": found["full"],
        "film": found["film"],
        "flow": found["flow"] / LITRES,
        "least_pressure": found["least_pressure"] / BAR,
        "feed_pressure": found["feed_pressure"] / BAR,
        "inward": found["inward"] / BAR,
        "inlet_loss": found["inlet_loss"] / BAR,
        "flow_limited": found["flow_limited"],
        "holes_shown": [
            {
                "gear": name,
                "pressure on the axis [bar]": row["axis"] / BAR,
                "pressure over the hole [bar]": row["hole"] / BAR,
                "flow [L/min]": row["flow"] / LITRES,
                "needed [L/min]": hole["needed"] / LITRES,
                "oil reaches it [%]": 100 * float(np.mean(row["reached"])),
            }
            for name, row, hole in zip(names, rows, inside, strict=True)
        ],
        "pressure_curves": _pressures(inside, found),
        "flow_curves": _flows(inside, rows),
        "verdict": _verdict(names, rows),
    }


def _pressures(holes: list[Raw], found: Raw) -> list[Raw]:
    """Return pressure on the axis along the shaft, and over each hole."""
    places, axis = [0.0], [float(np.mean(found["feed_pressure"])) / BAR]
    points = []
    for hole, row in zip(holes, found["rows"], strict=True):
        places.append(float(np.mean(hole["place"])) / MM)
        axis.append(float(np.mean(row["axis"])) / BAR)
        points.append({"series": "over the hole", "x": places[-1], "y": float(np.mean(row["hole"])) / BAR})
    line = [
        {"series": "on the axis", "x": float(x), "y": float(np.interp(x, places, axis))}
        for x in np.linspace(0.0, places[-1], 60)
    ]
    return line + points


def _flows(holes: list[Raw], rows: list[Raw]) -> list[Raw]:
    """Return the flow in the bore along the shaft, which falls at each hole."""
    points, before = [], 0.0
    for hole, row in zip(holes, rows, strict=True):
        place, carried = float(np.mean(hole["place"])) / MM, float(np.mean(row["carried"])) / LITRES
        points += [{"series": "in the bore", "x": x, "y": carried} for x in (before, place)]
        before = place
    return points + [{"series": "in the bore", "x": before, "y": 0.0}]


def _verdict(names: list[str], rows: list[Raw]) -> str:
    dry = [name for name, row in zip(names, rows, strict=True) if np.mean(row["reached"]) < 0.5]
    if not dry:
        return "Oil reaches every gear in more than half of the draws, with the flow that it needs."
    return f"{', '.join(dry)}: in half of the draws or more, less oil comes than is needed."


def _number(name: str, label: str, unit: str, scale: float, default: str | None = None) -> Number:
    _, _, least, greatest = mechanics.PERMITTED[name]
    return Number(name, label, unit, low=least / scale, high=greatest / scale, default=default)


OIL_FEED = Calculator(
    name="oil-feed",
    title="Oil feed",
    purpose=(
        "Pressure and flow of oil fed through a hollow turning shaft to the holes under its gears, and whether every "
        "gear gets what it needs."
    ),
    inputs=(
        _number("pressure", "Supply pressure", "bar", BAR),
        _number(
            "greatest_flow",
            "Greatest flow of the supply (left out: hardly a limit)",
            "L/min",
            LITRES,
            f"{UNLIMITED:.0f} L/min",
        ),
        _number("speed", "Speed of the shaft", "1/min", 1.0),
        _number("bore", "Bore of the shaft", "mm", MM),
        _number("feed_radius", "Radius at which oil enters the turning shaft (0: on its axis)", "mm", MM, "0 mm"),
        _number("inlet", "Diameter of an inlet drilling of the shaft (0: without resistance)", "mm", MM, "0 mm"),
        Whole("inlets", "Inlet drillings", low=1, high=1000, default="1"),
        _number("viscosity", "Kinematic viscosity of the oil as it is", "mm²/s", SQUARE_MM),
        _number("density", "Density of the oil", "kg/m³", 1.0, "870 kg/m³"),
        _number("discharge", "Discharge coefficient of the holes", "", 1.0, "0.65"),
        Rows(
            "holes",
            "Holes, in their order from the feed",
            (
                Text("gear", "Gear or bush", default=""),
                _number("place", "Distance from the feed", "mm", MM),
                _number("diameter", "Diameter of a hole", "mm", MM),
                Whole("count", "Holes there", low=1, high=1000, default="1"),
                _number(
                    "radius", "Radius at which the hole ends, outside the bore (counts where the shaft turns)", "mm", MM
                ),
                _number("back", "Pressure against it, as in a bush", "bar", BAR, "0 bar"),
                _number("needed", "Flow that is needed there", "L/min", LITRES, "0 L/min"),
            ),
        ),
    ),
    outputs=(
        Output("reaches_every", "Oil reaches every gear", form="truth"),
        Output("least_share", "Least flow over need, of all gears"),
        Output("full", "The bore is full, without a core of air", form="truth"),
        Output("film", "Oil only wets the wall of the bore, and the first holes take what they can", form="truth"),
        Output("flow", "Flow in all", "L/min"),
        Output("least_pressure", "Least pressure on the axis, at any hole", "bar"),
        Output("feed_pressure", "Pressure on the axis at the feed", "bar"),
        Output("inward", "Pressure spent to bring the oil inward", "bar"),
        Output("inlet_loss", "Pressure lost in the inlet drillings", "bar"),
        Output("flow_limited", "The supply's flow is the limit", form="truth"),
        Output("holes_shown", "Holes", form="rows"),
        Output(
            "pressure_curves",
            "Pressure along the shaft",
            form="curves",
            axes=("distance from the feed [mm]", "pressure [bar]"),
        ),
        Output(
            "flow_curves", "Flow along the shaft", form="curves", axes=("distance from the feed [mm]", "flow [L/min]")
        ),
        Output("verdict", "In words", form="text"),
    ),
    formula=(
        "Oil that turns with the shaft has at the radius *r* the pressure of the axis and *ρ*·*ω*²·*r*²/2 more. Fed at "
        "the radius *r_f* it has to be pressed inward, so that the axis has *p_s* − *ρ*·*ω*²·*r_f*²/2 at the feed, "
        "less the loss *ρ*/2·(*Q*/(*z*·*C_d*·*A*))² of inlet drillings. "
        "Through *z* holes that end at *r* there flow\n\n"
        "*Q* = *z*·*C_d*·(π·*d*²/4)·√(2·(*p* + *ρ*·*ω*²·*r*²/2 − *p_b*)/*ρ*)\n\n"
        "with *p* on the axis there. Along the bore the pressure falls by *f*·(*L*/*D*)·*ρ*·*v*²/2, *f* = 64/Re or "
        "0.3164/Re^0.25. The pressure at the last hole is sought for which all of it agrees with the supply, its "
        "pressure or its greatest flow.\n\n"
        "Below zero on the axis there is a core of air. If it is as wide as the bore, holes could pass more than comes "
        "in: oil wets the wall only, each hole in turn takes what it can at that, and those behind get the rest.\n\n"
        "Oil of 870 kg/m³ at 30 mm gains 5.5 bar at 11,325 1/min."
    ),
    sources=(
        "Forced vortex: Cengel and Cimbala, Fluid Mechanics, ch. 3.",
        "Orifices, and laminar loss in pipes: Esposito, Fluid Power with Applications, ch. 4 and 8.",
        "Smooth turbulent pipes: Blasius's law; any text of fluid mechanics.",
        "That holes nearest the feed rob those behind: common practice, no source.",
    ),
    assumptions=(
        "Oil turns with the shaft at once. With a core of air the loss along the bore is still that of a full one.",
        "Where oil only wets the wall, holes nearest the feed are served first, to the full; in truth some oil runs "
        "past them. Air can then come in through holes that pass too little to close them.",
        "Every hole is an orifice of one discharge coefficient, short and sharp; long narrow drillings pass less cold "
        "oil. A bush behind a hole has to be stated as the pressure against it.",
        "The bore is smooth and straight, loss at its mouth is left out, and turning does not add to the loss of the "
        "flow along it (it does, somewhat).",
        "One viscosity and density throughout; no air in the oil.",
        "A hole with more pressure against it than in it passes nothing: a bush has no oil of its own to give. In the "
        "rows the pressure over it is below zero.",
        "Inlet drillings are orifices like the holes; as stated they have no resistance. A gap or groove around the "
        "shaft that feeds them is not computed.",
        "Found by 60 halvings, all draws together: to the last digit, at some sixty passes of the formulas.",
    ),
    cautions=(
        "Oil under pressure finds its way out as a jet that pierces skin, and turning parts throw hot oil: cover both.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
