"""Shift gap: what the changes of a lap cost a vehicle on the straights, to a place and to a speed, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Draws, Number, Output, Ranges, Rows, Text, Whole
from ledger.mechanics import shift_lap as mechanics
from ledger.mechanics.shift_loss import run_straight
from ledger.mechanics.vehicle import PERMITTED, without_gaps
from ledger.quantities.summary import Summary, show

LOST = ("place", "speed", "distance")
Raw = dict[str, Any]
KMH = 3.6
POINTS = 150
FAR_OFF = 0.1
NEVER_SLIPS = PERMITTED["slip"][3]
WITH, WITHOUT = "changes as stated", "changes that take no time"


def compute(
    curve: list[Raw],
    gears: list[Raw],
    shift_speed: Draws,
    gap: Draws,
    radius: Draws,
    mass: Draws,
    drag_area: Draws,
    straights: list[Raw] | None = None,
    trace: list[Raw] | None = None,
    rise: Draws = 10.0,
    final: Draws = 1.0,
    engine_inertia: Draws = 0.0,
    wheel_inertia: Draws = 0.0,
    efficiency: Draws = 1.0,
    rolling: Draws = 0.015,
    air: Draws = 1.2,
    grip: Draws = 10.0,
    driven: Draws = 1.0,
    downforce_area: Draws = 0.0,
    gap_drive: Draws = 0.0,
    overlap_drive: Draws = 1.0,
    surge: Draws = 1.0,
    slip: Draws = NEVER_SLIPS,
    step: Draws = 0.5,
    drawn: Draws = 1,
) -> Raw:
    """Return every declared output by name; speeds of the road come and go in km/h."""
    vehicle = {
        "curve": [{"speed": row["speed"], "torque": row["torque"]} for row in curve],
        "ratios": [row["ratio"] * final for row in gears],
        "gaps": [gap + row.get("more", 0.0) for row in gears[:-1]],
        "shift_speed": shift_speed,
        "radius": radius,
        "mass": mass,
        "engine_inertia": engine_inertia,
        "wheel_inertia": wheel_inertia,
        "efficiency": efficiency,
        "rolling": rolling,
        "drag": 0.5 * air * drag_area,
        "grip": grip,
        "driven": driven,
        "downforce": 0.5 * air * downforce_area,
        "gap_drive": gap_drive,
        "overlap_drive": overlap_drive,
        "surge": surge,
        "slip": slip,
    }
    driven_on = _straights(straights or [], trace or [], float(np.mean(rise)))
    lap = mechanics.lap_loss(vehicle, driven_on, step)
    changes = mechanics.each_change(vehicle)
    typical, roads = _mean(vehicle), _mean(driven_on)
    fine, coarse = (mechanics.lap_loss(typical, roads, float(np.mean(step)) / part) for part in (2.0, 1.0))
    return {
        **{name: lap[name] for name in ("changes", "time", "surge_torque", "regains")},
        **{f"{what}_loss_change": lap[f"{what}_loss_a_change"] for what in LOST},
        **{f"{what}_loss_lap": lap[f"{what}_loss"] for what in LOST},
        "step_error": abs(float(fine["place_loss"] - coarse["place_loss"])),
        "straights_driven": [_straight_row(row, road) for row, road in zip(lap["straights"], driven_on, strict=True)],
        "each_change": [_change_row(place, row) for place, row in enumerate(changes, 1)],
        **_curves(typical, roads, _mean(trace or []), round(float(np.mean(drawn)))),
        "verdict": _verdict(lap) + _trace_off(lap, driven_on),
    }


def _straights(straights: list[Raw], trace: list[Raw], rise: float) -> list[Raw]:
    if bool(straights) == bool(trace):
        raise ValueError("State either straights or a trace of speed over distance, one of the two.")
    if trace:
        points = [{"distance": row["distance"], "speed": row["speed"] / KMH} for row in trace]
        found: list[Raw] = mechanics.straights_of_trace(points, rise / KMH)
        return found
    return [
        {
            "name": row.get("name", "").strip() or f"{place}",
            "length": row["length"],
            "entry": row["entry"] / KMH,
            "grade": row.get("grade", 0.0),
            "times": row.get("times", 1.0),
        }
        for place, row in enumerate(straights, 1)
    ]


def _mean(value: Any) -> Any:
    """Return the same with every array of draws replaced by its mean."""
    if isinstance(value, dict):
        return {key: _mean(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_mean(one) for one in value]
    return value if isinstance(value, str) else float(np.mean(value))


def _straight_row(row: Raw, road: Raw) -> Raw:
    traced = {"in the trace [km/h]": road["exit"] * KMH} if "exit" in road else {}
    return {
        "straight": row["name"],
        "times a lap": row["times"],
        "changes": row["changes"],
        "time [s]": row["time"],
        "speed at its end [km/h]": row["speed"] * KMH,
        **traced,
        "lost to its end [ms]": 1000 * row["place_loss"],
        "lost to a speed [ms]": 1000 * row["speed_loss"],
        "behind at its end [m]": row["distance_loss"],
    }


def _change_row(place: int, row: Raw) -> Raw:
    regained = float(np.mean(row["regains"]))
    to_place = 1000 * (row["delay"] - row["ahead"] / (1.5 * row["speed"]))
    return {
        "change": f"{place} to {place + 1}",
        "at [km/h]": row["speed"] * KMH,
        "engine falls by [1/min]": row["drop"],
        "speed lost meanwhile [km/h]": (row["speed"] - row["after"]) * KMH,
        "lost to a speed [ms]": 1000 * row["delay"] if regained > 0 else "never regained",
        "lost to a place where it is half as fast again [ms]": to_place if regained > 0 else "never regained",
        "regains its speed [%]": 100 * regained,
    }


def _curves(vehicle: Raw, roads: list[Raw], trace: list[Raw], drawn: int) -> Raw:
    if not 1 <= drawn < len(vehicle["ratios"]):
        raise ValueError(f"Change {drawn} cannot be drawn: there are changes 1 to {len(vehicle['ratios']) - 1}.")
    gap = vehicle["gaps"][drawn - 1]
    window = 4.0 * (max(0.05, abs(gap)) + abs(gap))
    lines = mechanics.around_change(vehicle, drawn - 1, window / POINTS)
    axes = {"torque_curves": ("torque", 1.0), "speed_curves": ("speed", KMH), "engine_curves": ("engine", 1.0)}
    found = {
        name: [
            {"series": series, "x": 1000 * float(point["time"]), "y": scale * float(point[key])}
            for series, line in zip((WITH, WITHOUT), lines, strict=True)
            for point in _thinned(line)
        ]
        for name, (key, scale) in axes.items()
    }
    longest = max(roads, key=lambda row: row["length"])
    over_distance = []
    for series, one in ((WITH, vehicle), (WITHOUT, without_gaps(vehicle))):
        steps: list[Raw] = []
        run_straight(one, longest["length"], longest["entry"], longest["grade"], 0.1, steps)
        over_distance += [
            {"series": series, "x": float(at["place"]), "y": KMH * float(at["speed"])} for at in _thinned(steps)
        ]
    start = next((row["distance"] for row in trace if longest["name"] == f"from {row['distance']:.0f} m"), 0.0)
    within = [row for row in trace if 0 <= row["distance"] - start <= longest["length"]]
    over_distance += [{"series": "trace", "x": row["distance"] - start, "y": row["speed"]} for row in _thinned(within)]
    return {**found, "distance_curves": over_distance}


def _thinned(points: list[Raw]) -> list[Raw]:
    """Return at most about 200 of the points, the last among them."""
    every = max(1, -(-len(points) // 200))
    return points[:-1:every] + points[-1:]


def _verdict(lap: Raw) -> str:
    per_change, per_speed = (1000 * float(np.mean(lap[f"{one}_loss_a_change"])) for one in ("place", "speed"))
    count = float(np.mean(lap["changes"]))
    if count == 0:
        return "No change up falls on these straights, so nothing is lost."
    lost = "lost" if per_change >= 0 else "gained"
    return (
        f"{count:.0f} changes up a lap. To a place, the end of each straight, {_told(abs(per_change), 'ms')} is {lost} "
        f"a change and {_told(abs(float(np.mean(lap['place_loss']))), 's')} a lap; to a speed it is "
        f"{_told(per_speed, 'ms')} a change and {_told(float(np.mean(lap['speed_loss'])), 's')} a lap. Which of the "
        "two is meant has to be said with the number."
    )


def _told(value: float, unit: str) -> str:
    """Return a number to three digits that count, as the ledger shows numbers."""
    kept = float(f"{value:.3g}")
    return show(Summary(kept, 0.0, kept, kept), unit)


def _trace_off(lap: Raw, roads: list[Raw]) -> str:
    """Return a warning where the vehicle as stated does not reach the end speeds of the trace."""
    far = []
    for row, road in zip(lap["straights"], roads, strict=True):
        if "exit" in road:
            computed, seen = float(np.mean(row["speed"])) * KMH, float(np.mean(road["exit"])) * KMH
            if abs(computed / seen - 1.0) > FAR_OFF:
                far.append(f"{row['name']} {computed:.0f} km/h where the trace has {seen:.0f}")
    if not far:
        return ""
    return (
        f" Beware: at the end of stretches the vehicle as stated differs from the trace by more than a tenth "
        f"({'; '.join(far)}). "
        "Of a trace only the start speeds and lengths are used: mend mass, drag, torque or ratios first."
    )


RANGES = Ranges(PERMITTED)


def _speed(name: str, label: str, default: str | None = None) -> Number:
    return Number(name, label, "km/h", low=0.0, high=720.0, default=default)


SHIFT_GAP = Calculator(
    name="shift-gap",
    title="Shift gap",
    purpose=(
        "How much time and distance the changes up of a lap cost a vehicle at full throttle on its straights, for a "
        "gap without drive or an overlap of two gears; measured to a place (the end of the straight) and to a speed, "
        "which are not the same."
    ),
    inputs=(
        Rows(
            "straights",
            "Straights of a lap (or a trace)",
            (
                Text("name", "Name", default=""),
                RANGES.number("length", "Length at full throttle, up to where it is left"),
                _speed("entry", "Speed at its start"),
                RANGES.number("grade", "Rise over run, negative downhill", "0"),
                Whole("times", "Such straights a lap", low=1, high=1000, default="1"),
            ),
            optional=True,
        ),
        Rows(
            "trace",
            "Trace of speed over distance, in place of straights, from one slow place to the next",
            (Number("distance", "Distance", "m", low=0.0, high=1e6), _speed("speed", "Speed")),
            least=2,
            optional=True,
        ),
        _speed("rise", "Least gain of speed in the trace that is taken for a straight", "10 km/h"),
        Rows(
            "curve",
            "Full torque of the engine, speeds rising",
            (RANGES.number("speed", "Engine speed", key="engine_speed"), RANGES.number("torque", "Torque")),
            least=2,
        ),
        Rows(
            "gears",
            "Gears, the lowest first",
            (
                RANGES.number("ratio", "Ratio, input speed over output speed"),
                RANGES.number("more", "Added to the gap of the change out of this gear", "0 s", key="gap"),
            ),
            least=2,
        ),
        RANGES.number("final", "All other ratios between engine and wheels, multiplied", "1", key="ratio"),
        RANGES.number("shift_speed", "Engine speed at which it changes up", key="engine_speed"),
        RANGES.number("gap", "Gap of a change: time without drive; below zero an overlap of two gears"),
        RANGES.number("radius", "Rolling radius of the driven wheels"),
        RANGES.number("mass", "Mass of the vehicle with all in it"),
        Number("drag_area", "Drag area, coefficient times frontal area", "m²", low=0.0, high=100.0),
        RANGES.number("engine_inertia", "Moment of inertia that turns with the engine", "0 kg·m²"),
        RANGES.number("wheel_inertia", "Moment of inertia of all wheels and what turns with them", "0 kg·m²"),
        RANGES.number("efficiency", "Power at the wheels over power of the engine", "1"),
        RANGES.number("rolling", "Rolling resistance over load", "0.015"),
        Number("air", "Density of the air", "kg/m³", low=0.0, high=5.0, default="1.2 kg/m³"),
        RANGES.number("grip", "Grip of the driven tyres, force over load (left out: hardly a limit)", "10"),
        RANGES.number("driven", "Share of the weight on the driven wheels", "1"),
        Number("downforce_area", "Downforce area on the driven wheels", "m²", low=0.0, high=100.0, default="0 m²"),
        RANGES.number("gap_drive", "Share of the engine's torque that still drives in a gap", "0", key="share"),
        RANGES.number("overlap_drive", "Share of its torque that the engine gives in an overlap", "1", key="share"),
        RANGES.number("surge", "Share of the slowed engine's momentum that passes on in an overlap", "1", key="share"),
        RANGES.number("slip", "Torque at which the clutch slips (left out: it never does)", f"{NEVER_SLIPS:.0f} N·m"),
        RANGES.number("step", "Greatest step of time", "0.5 s"),
        Whole("drawn", "Change to draw, numbered by the gear it leaves", low=1, high=50, default="1"),
    ),
    outputs=(
        Output("changes", "Changes up a lap", form="whole"),
        Output("place_loss_change", "Time lost a change, to a place (the end of the straight)", "s", shown="ms"),
        Output("place_loss_lap", "Time lost a lap, to a place (the ends of the straights)", "s"),
        Output("speed_loss_change", "Time lost a change, to a speed (that at which it began)", "s", shown="ms"),
        Output("speed_loss_lap", "Time lost a lap, to a speed", "s"),
        Output("distance_loss_change", "Distance lost a change, at the end of the straight", "m"),
        Output("distance_loss_lap", "Distances lost a lap, at the ends of the straights", "m"),
        Output("time", "Time at full throttle a lap, changes as stated", "s"),
        Output(
            "surge_torque",
            "Greatest torque of the slowed engine in an overlap, before tyres or a clutch limit it",
            "N·m",
        ),
        Output("regains", "After every change it regains the speed", form="truth"),
        Output(
            "step_error", "Step error: time lost a lap with these steps, less that with half of them", "s", shown="ms"
        ),
        Output("straights_driven", "Straights", form="rows"),
        Output("each_change", "Each change on a level road", form="rows"),
        Output(
            "torque_curves",
            "Torque through the driven wheels over the change",
            form="curves",
            axes=("time since the change began [ms]", "torque at the wheels [N·m]"),
        ),
        Output(
            "speed_curves",
            "Speed over the change",
            form="curves",
            axes=("time since the change began [ms]", "speed [km/h]"),
        ),
        Output(
            "engine_curves",
            "Engine speed over the change",
            form="curves",
            axes=("time since the change began [ms]", "engine speed [1/min]"),
        ),
        Output(
            "distance_curves",
            "Speed along the longest straight",
            form="curves",
            axes=("distance [m]", "speed [km/h]"),
        ),
        Output("verdict", "In words", form="text"),
    ),
    formula=(
        "At full throttle the acceleration is the lesser of what the engine and what the tyres allow:\n\n"
        "*a* = min((η·*i*·(*q*·*T* + *T_J*)/*r* − *R*)/*M*, (μ·(*x*·*m*·*g* + *b*·*v*²) − *R*)/*m*)\n\n"
        "with the torque *T* of the engine at its speed, the ratio *i* of engine over wheels, resistance "
        "*R* = *k*·*v*² + *m*·*g*·(*f* + grade), and *M* = *m* + *J_w*/*r*² + η·*J*·*i*²/*r*²: the engine's inertia "
        "*J* weighs the more the lower the gear, and nothing while the drive is open.\n\n"
        "- In gear *q* = 1 and *T_J* = 0.\n"
        "- In a gap *q* is the share that still drives (0: none), and *J* is free.\n"
        "- In an overlap of duration *d* the engine is pulled down by Δω with the drive closed: *T_J* = *c*·*J*·Δω/*d* "
        "is added, as far as the clutch passes *q*·*T* + *T_J* and the tyres hold it.\n\n"
        "Each straight is driven twice from the same speed, once as stated and once with changes that take no time.\n\n"
        "- **To a place**: the difference of the times at the end of the straight.\n"
        "- **To a speed**: how much later the vehicle has, in the next gear, the speed again at which the change "
        "began: *d* + ∫d*v*/*a* over the speed lost. With the distance *x* covered meanwhile the loss to a place is "
        "nearly that less *x*/*v*, *v* the speed there; so it is always less, and the less the sooner the straight "
        "ends.\n\n"
        "A gap of 0.1 s at 30 m/s without resistance, at 6 m/s² otherwise, loses 0.1 s to any speed and 0.0476 s to a "
        "mark 200 m on."
    ),
    sources=(
        "Newton's second law; road loads and the effective mass of turning parts as in Gillespie, Fundamentals of "
        "Vehicle Dynamics (1992), ch. 2 and 4 (from memory).",
        "Steps in time: the classical fourth-order method of Runge and Kutta; speeds to speeds by Simpson's rule.",
        "About a hundred changes a lap on some circuits, and a few milliseconds at stake in each: common practice, no "
        "source.",
    ),
    assumptions=(
        "Changes up on straights only. Changes down fall into braking, where a gap costs no drive; what they do to "
        "the balance of the vehicle is not computed.",
        "The throttle is full from the start of a straight to its end, and corners and braking places stay as they "
        "are. Arriving slower, one could brake a little later: that small return is not counted.",
        "A straight begins in the lowest gear that keeps the engine at or below its shift speed. Every change up is "
        "made at that speed, if the next gear still accelerates there by 0.01 m/s² or more; else the gear is held "
        "there. After a change it never changes down again.",
        "Below the first row of the curve the clutch slips and passes the torque of that row. At the last row of the "
        "curve the engine is governed.",
        "In a gap the engine comes down by itself and meets the next gear without a shock. In an overlap it comes down "
        "evenly, gives its torque midway between its speeds, and what clutch and tyres do not hold of its surge is "
        "lost in slip. With no time at all, nothing of its momentum passes on.",
        "Of a trace only the speed at the start of each stretch and its length are used; the speed at its end stands "
        "beside the computed one, and the words warn where they differ by more than a tenth.",
        "The weight does not shift rearward; downforce stands on the driven wheels alone; tyres do not slip below "
        "their limit. The efficiency is one number.",
        "To a speed, an acceleration below 0.01 m/s² is taken as 0.01 m/s²; the output that says whether speed is "
        "regained tells where this matters.",
        "Distance lost is taken at the end of the straight, from speed and acceleration there; over a lap the "
        "distances add up at different speeds.",
        "Cost: draws go through the steps together, each with its own; 10,000 draws of one straight of 800 m with "
        "five changes take about 0.3 s, 100,000 about 4 s, and each further straight as much again. State "
        "equal straights as one row, several times a lap.",
        "Step error: steps end on the rows of the curve, on changes and on the end, so the error is that of the method "
        "between them; it is computed at the mean inputs and given with the result.",
    ),
    cautions=(
        "In an overlap two gears are engaged at once: the surge of the slowed engine can exceed what shafts and dogs "
        "hold. Take it to the torque headroom before building even a model.",
        "Rotating parts, and a vehicle under test, can kill; keep away and guard them.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
    costly=True,
)
