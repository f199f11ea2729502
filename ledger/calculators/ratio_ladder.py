"""Ratio ladder: speeds in gears, steps between them and where the engine's speed falls to at each change, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Draws, Number, Output, Ranges, Rows
from ledger.mechanics import ratio_ladder as mechanics
from ledger.mechanics.vehicle import PERMITTED

Raw = dict[str, Any]
KMH = 3.6
POINTS = 60


def compute(
    gears: list[Raw],
    shift_speed: Draws,
    radius: Draws,
    final: Draws = 1.0,
    greatest_speed: Draws = 0.0,
    least_speed: Draws = 0.0,
) -> Raw:
    """Return every declared output by name; the greatest speed of the engine, left out, is its shift speed."""
    stated = bool(np.any(np.not_equal(greatest_speed, 0)))
    greatest = greatest_speed if stated else shift_speed
    ratios = [row["ratio"] for row in gears]
    found = mechanics.ladder(ratios, final, radius, shift_speed, greatest, least_speed)
    rows = found.pop("rows")
    return {
        **found,
        "top_speed": KMH * found["top_speed"],
        "gears_shown": [_row(place, row) for place, row in enumerate(rows, 1)],
        "ladder_curves": _ladder(rows, float(np.mean(shift_speed)), float(np.mean(greatest))),
        "step_curves": _steps(rows, float(np.mean(found["equal_step"]))),
    }


def _row(place: int, row: Raw) -> Raw:
    change = {"step to the next gear": "", "engine after the change [1/min]": "", "engine falls by [1/min]": ""}
    if "step" in row:
        change = dict(zip(change, (row["step"], row["after"], row["drop"]), strict=True))
    return {
        "gear": f"{place}",
        "ratio": row["ratio"],
        "with all other ratios": row["overall"],
        "up to [km/h]": KMH * row["speed"],
        **change,
    }


def _ladder(rows: list[Raw], shift_speed: float, greatest: float) -> list[Raw]:
    """Return engine speed over road speed: the whole line of each gear, and the way through them, changing up."""
    per = [KMH * float(np.mean(row["speed"])) for row in rows]
    per[-1] *= shift_speed / greatest
    ends = [shift_speed] * (len(rows) - 1) + [greatest]
    points = [
        {"series": f"gear {place}", "x": speed * share * end / shift_speed, "y": share * end}
        for place, (speed, end) in enumerate(zip(per, ends, strict=True), 1)
        for share in np.linspace(0.0, 1.0, POINTS)
    ]
    start = 0.0
    for speed, end in zip(per, ends, strict=True):
        stop = speed * end / shift_speed
        points += [
            {"series": "changing up", "x": x, "y": shift_speed * x / speed}
            for x in np.linspace(start, stop, POINTS // 4)
        ]
        start = stop
    return points


def _steps(rows: list[Raw], equal: float) -> list[Raw]:
    steps = [float(np.mean(row["step"])) for row in rows[:-1]]
    return [
        {"series": series, "x": place, "y": value}
        for series, values in (("steps", steps), ("equal steps", [equal] * len(steps)))
        for place, value in enumerate(values, 1)
    ]


RANGES = Ranges(PERMITTED)

RATIO_LADDER = Calculator(
    name="ratio-ladder",
    title="Ratio ladder",
    purpose="How fast each gear goes, how the ratios step, and how far the engine's speed falls at each change.",
    inputs=(
        Rows(
            "gears",
            "Gears, the lowest first",
            (RANGES.number("ratio", "Ratio, input speed over output speed"),),
            least=2,
        ),
        RANGES.number("shift_speed", "Engine speed at which it changes up", key="engine_speed"),
        RANGES.number("radius", "Rolling radius of the driven wheels"),
        RANGES.number("final", "All other ratios between engine and wheels, multiplied", "1", key="ratio"),
        Number(
            "greatest_speed",
            "Greatest speed of the engine, in the last gear (0: the shift speed)",
            "1/min",
            low=0.0,
            high=200_000.0,
            default="0 1/min",
        ),
        Number(
            "least_speed",
            "Engine speed below which it should not fall at a change",
            "1/min",
            low=0.0,
            high=200_000.0,
            default="0 1/min",
        ),
    ),
    outputs=(
        Output("top_speed", "Speed in the last gear", "km/h"),
        Output("spread", "Spread: first ratio over last"),
        Output("greatest_step", "Greatest step"),
        Output("least_step", "Least step"),
        Output("equal_step", "Step, were all alike"),
        Output("greatest_drop", "Greatest fall of the engine's speed at a change", "1/min"),
        Output("lowest_after", "Lowest speed of the engine after a change", "1/min"),
        Output("stays", "The engine stays above the lowest wanted speed", form="truth"),
        Output("gears_shown", "Gears", form="rows"),
        Output(
            "ladder_curves",
            "Engine speed over road speed",
            form="curves",
            axes=("road speed [km/h]", "engine speed [1/min]"),
        ),
        Output("step_curves", "Steps", form="curves", axes=("gear that is left", "ratio over next ratio")),
    ),
    formula=(
        "In a gear of ratio *i*, engine over wheels, the road speed is *v* = 2π·*n*·*r*/(60·*i*). At a change from *i* "
        "to *i*′ the road speed stays and the engine comes from *n* to *n*·*i*′/*i*. The step is *i*/*i*′; the spread "
        "is *i₁*/*i_z*, and equal steps would each be its (*z* − 1)th root.\n\n"
        "12,000 1/min, 0.33 m and 3.0 × 3.5 between engine and wheels give 142 km/h; a step of 1.25 leaves 9,600 1/min."
    ),
    sources=(
        "Rolling and gear ratios: kinematics, any text of vehicle dynamics.",
        "Ladders of equal steps (geometric) and of steps that shrink upward (progressive) are both met: common "
        "practice, no source.",
    ),
    assumptions=(
        "Tyres roll without slip, and their rolling radius stays the same at speed.",
        "The road speed does not change while the gear does; what a gap costs is for the shift gap to say.",
        "Every change up is made at one engine speed. Whether its speeds are reached against drag is not asked.",
    ),
    cautions=(
        "Rotating parts catch hair, sleeves and fingers, also in models.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
