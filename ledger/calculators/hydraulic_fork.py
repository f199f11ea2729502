"""Hydraulic fork: a cylinder on a shift rail, its force, its time for a travel and its oil, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Choice, Draws, Number, Output, Truth
from ledger.mechanics import cylinder, detent
from ledger.mechanics import hydraulic_fork as mechanics

RANGES = {**mechanics.PERMITTED, **detent.PERMITTED}
POINTS = 81


def compute(shifts: Draws = 0.0, lap: Draws = 0.0, delay: Draws = 0.0, **given: Any) -> dict[str, Any]:
    """Return every declared output by name; oil of a lap where shifts are stated, its mean flow with the lap's time."""
    found = mechanics.hydraulic_fork(**given, delay=delay, shifts=shifts, lap=lap)
    acceleration = found.pop("acceleration")
    if not np.any(np.not_equal(shifts, 0)):
        del found["oil_lap"]
    elif np.all(np.greater(lap, 0)):
        found["mean_flow"] = found["oil_lap"] * 0.06 / lap
    elif np.any(np.not_equal(lap, 0)):
        raise ValueError("The time of a lap is nothing in some of the draws; state a range above 0 s.")
    return {
        **found,
        "course": _course(_mean(given["travel"]), _mean(acceleration), _mean(found["steady_speed"]), _mean(delay)),
    }


def _mean(value: Draws) -> float:
    return float(np.mean(value))


def _course(travel: float, acceleration: float, limit: float, delay: float) -> list[dict[str, Any]]:
    if acceleration <= 0:
        return [{"series": "it does not move", "x": time, "y": 0.0} for time in (0.0, delay + 1.0)]
    lines: list[dict[str, Any]] = []
    for series, speed in (("with the flow stated", limit), ("with all the oil it could take", 1e6)):
        whole = float(cylinder.travel_time(travel / 1000.0, acceleration, speed))
        full = speed / acceleration
        times = np.linspace(0.0, whole, POINTS)
        rising = np.minimum(times, full)
        way = 0.5 * acceleration * rising**2 + speed * (times - rising)
        course = zip(delay + 1000.0 * times, np.minimum(1000.0 * way, travel), strict=True)
        lines.append({"series": series, "x": 0.0, "y": 0.0})
        lines += [{"series": series, "x": float(time), "y": float(reached)} for time, reached in course]
    return lines


def _number(name: str, label: str, default: str | None = None) -> Number:
    _, unit, least, greatest = RANGES[name]
    return Number(name, label, unit, low=least, high=greatest, default=default)


HYDRAULIC_FORK = Calculator(
    name="hydraulic-fork",
    title="Hydraulic fork",
    purpose=(
        "What a cylinder on a shift rail does with the oil it is given: whether it moves fork and sleeve against what "
        "holds them, how long a travel takes, and how much oil a shift and a lap want."
    ),
    inputs=(
        _number("bore", "Bore of the cylinder"),
        _number("pressure", "Pressure at the cylinder"),
        _number("flow", "Greatest flow into the cylinder, as valve and pump let it through"),
        _number("travel", "Travel"),
        _number("mass", "Mass moved: piston, rail, fork and sleeve"),
        _number("rod", "Rod (0: none on the side of the pressure)", "0 mm"),
        Choice("side", "Pressure acts on", (mechanics.BORE_SIDE, mechanics.ROD_SIDE), mechanics.BORE_SIDE),
        Truth("through", "The rod leaves the cylinder at both ends", default=False),
        _number("back_pressure", "Pressure on the other side", "0 bar"),
        _number("load", "Force against the motion, such as that of a sleeve under torque", "0 N"),
        _number("friction", "Friction of the rail under its weight, coefficient", "0"),
        _number("slope", "Slope of the rail, upward positive", "0 °"),
        _number("spring", "Force of the detent's spring (0: no detent)", "0 N"),
        _number("ramp", "Flank of the detent's notch against the rail's axis", "45 °"),
        Number(
            "detent_friction",
            "Friction between plunger and notch, coefficient",
            "",
            low=RANGES["friction"][2],
            high=1.0,
            default="0.1",
        ),
        _number("pipe_length", "Length of each of the two pipes (0: their oil is left out)", "0 m"),
        _number("pipe_bore", "Bore of the pipes", "8 mm"),
        _number("density", "Density of the oil", "870 kg/m³"),
        _number("delay", "Delay of the valve, before the pressure stands", "0 ms"),
        _number("strokes", "Strokes of cylinders like this in one shift", "1"),
        _number("shifts", "Shifts a lap (0: not asked for)", "0"),
        _number("lap", "Time of a lap (0: not asked for)", "0 s"),
    ),
    outputs=(
        Output("force", "Force of the oil, less that of the other side", "N"),
        Output("detent_force", "Force that lifts the plunger out of its notch", "N"),
        Output("resistance", "Force against the motion in all", "N"),
        Output("net_force", "Force left to accelerate", "N"),
        Output("moves", "It moves", form="truth"),
        Output("pressure_needed", "Pressure that just moves it (0: it moves by itself)", "bar"),
        Output("felt_mass", "Mass felt, oil in the pipes included", "kg"),
        Output("steady_speed", "Speed at the greatest flow", "m/s", given="moves"),
        Output("power", "Power given to the resistance at that speed (below 0: the load drives)", "W", given="moves"),
        Output("travel_time", "Time of the travel", "s", shown="ms", given="moves"),
        Output("time", "Time from the signal to the end of the travel", "s", shown="ms", given="moves"),
        Output("mean_speed", "Mean speed over the travel", "m/s", given="moves"),
        Output("end_speed", "Speed at the end of the travel", "m/s", given="moves"),
        Output("end_energy", "Energy of the mass that the stop takes up", "J", given="moves"),
        Output("flow_limits", "The flow limits the speed before the end", form="truth"),
        Output("peak_flow", "Greatest flow taken", "L/min", given="moves"),
        Output("return_flow", "Greatest flow given back from the other side", "L/min", given="moves"),
        Output("oil_stroke", "Oil of one stroke", "cc", given="moves"),
        Output("oil_shift", "Oil of one shift", "cc", given="moves"),
        Output("oil_lap", "Oil of a lap", "cc", shown="L", optional=True, given="moves"),
        Output("mean_flow", "Mean flow over a lap", "L/min", optional=True, given="moves"),
        Output("course", "The travel", form="curves", axes=("time [ms]", "travel [mm]")),
    ),
    formula=(
        "The oil pushes with *F* = *p*·*A*₁ − *p_b*·*A*₂, where *A* = π*D*²/4 on the bore side and π(*D*² − *d*²)/4 on "
        "the rod side. Against it stand the load, the rail's *m*·*g*·(μ·cos θ + sin θ) and the detent's "
        "*S*·tan(α + ρ), with ρ = arctan μ of its flank.\n\n"
        "What is left accelerates the mass and the oil in the pipes: *a* = *F_net*/(*m* + Σ ρ*LA*²/*A_pipe*), "
        "until the flow holds the speed at *v* = *Q*/*A*₁. A travel *h* takes\n\n"
        "- *t* = √(2*h*/*a*) while *v*² ≥ 2*ah*: the limit is never reached,\n"
        "- *t* = *h*/*v* + *v*/(2*a*) otherwise.\n\n"
        "The oil of a stroke is *A*₁·*h*. A bore of 30 mm at 60 bar pushes with 4,241 N and takes 7.8 cm³ for 11 mm."
    ),
    sources=(
        "Force, speed and power: Esposito, Fluid Power with Applications, 6th ed., ex. 6-1, p. 219.",
        "Weight on a slope and friction: the same, ex. 6-2 and 6-3, p. 221.",
        "Time of a travel: constant acceleration, then constant speed; elementary mechanics.",
        "Oil in the pipes: the kinetic energy of the column set equal to that of a mass at the piston.",
        "Detent: statics of a wedge; no paper or handbook with a rule was found.",
    ),
    assumptions=(
        "The pressure at the cylinder stands at once and holds until the flow is all taken; the drop in pipes and "
        "valve is not computed, so state the pressure at the cylinder, not at the pump.",
        "The flow limit is a hard one, as of a pump or a flow controller. A valve that throttles by the square of the "
        "flow is softer: slower early, and its rated flow holds only at its rated drop.",
        "The load and the detent act over the whole travel. A detent lets go after a part of it and helps at the end, "
        "so the time is rather too long.",
        "Oil is not compressed and hoses do not give; both delay the first millisecond or two.",
        "Seals rub with what is stated in the load. Common practice, no source: some per cent of the oil's force, more "
        "after standing.",
        "Times, speeds, power and oil are given over those draws in which it moves. Whatever takes a time on takes ten "
        "seconds in the others, and no speed; a travel that takes longer than ten seconds counts as ten.",
        "The stop is not computed; what it has to take up is the energy given, and that of the oil in the pipes.",
    ),
    cautions=(
        "Oil under pressure penetrates skin from a leak too fine to see: release the pressure, accumulators too, "
        "before opening anything.",
        "A fork or rail moves faster than a finger can be drawn back: keep out of it whenever the valve has current.",
        "A detent's spring throws its plunger when the plug is undone.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
