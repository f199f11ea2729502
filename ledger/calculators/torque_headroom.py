"""Torque headroom: what reaches each element of a path, what it would hold, and which is the weakest, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Choice, Draws, Output, Ranges, Rows, Text
from ledger.mechanics import torque_path as mechanics
from ledger.quantities import percents

NEVER_SLIPS = mechanics.PERMITTED["slip"][3]


def compute(
    elements: list[dict[str, Any]],
    power: Draws = 0.0,
    speed: Draws = 0.0,
    torque: Draws = 0.0,
    ratio: Draws = 1.0,
    inertia: Draws = 0.0,
    drop: Draws = 0.0,
    duration: Draws = 0.0,
    kept: Draws = 1.0,
    slip: Draws = NEVER_SLIPS,
    impact: Draws = 0.0,
    gears: list[dict[str, Any]] | None = None,
) -> dict[str, Any]:
    """Return every declared output by name; the engine's torque is stated, or follows from its power and speed."""
    engine = _engine(power, speed, torque)
    change = (inertia, drop, duration, kept, slip, impact)
    found = mechanics.torque_path(engine, elements, ratio, *change)
    rows = found.pop("elements")
    by_gear = [
        (one["gear"], one["ratio"], mechanics.torque_path(engine, elements, one["ratio"], *change))
        for one in gears or []
    ]
    chances = [float(np.mean(row["weakest"])) for row in rows]
    return {
        "engine_torque": engine,
        **found,
        "elements": [
            {
                "element": row["element"],
                "where": f"{row['where']} the ratio",
                "must hold [N·m]": row["torque"],
                "holds [N·m]": row["capacity"],
                "margin [%]": 100 * row["margin"],
                "chance that it holds [%]": 100 * float(np.mean(row["margin"] >= 0)),
                "chance that it is the weakest [%]": 100 * chance,
            }
            for row, chance in zip(rows, chances, strict=True)
        ],
        "weakest": _weakest([row["element"] for row in rows], chances),
        **(_gears(by_gear) if by_gear else {}),
    }


def _gears(by_gear: list[tuple[str, Draws, dict[str, Any]]]) -> dict[str, Any]:
    """Return the weakest element of every gear, and whether every gear holds."""
    rows = []
    held: Any = True
    for gear, ratio, found in by_gear:
        names = [row["element"] for row in found["elements"]]
        chances = [float(np.mean(row["weakest"])) for row in found["elements"]]
        held = np.logical_and(held, found["every_element_holds"])
        rows.append(
            {
                "gear": gear,
                "ratio": ratio,
                "torque after it [N·m]": found["after_torque"],
                "weakest element": names[int(np.argmax(chances))],
                "its margin [%]": 100 * found["least_margin"],
                "chance that all hold [%]": 100 * float(np.mean(found["every_element_holds"])),
            }
        )
    return {"gears": rows, "every_gear_holds": held}


def _engine(power: Draws, speed: Draws, torque: Draws) -> Draws:
    stated, derived = np.any(np.not_equal(torque, 0)), np.any(np.not_equal(power, 0)) or np.any(np.not_equal(speed, 0))
    if stated and derived:
        raise ValueError("State the torque of the engine, or its power and speed; not both.")
    if not stated and not derived:
        raise ValueError("Nothing drives the path: state the torque of the engine, or its power and speed.")
    return torque if stated else mechanics.engine_torque(power, speed)


def _weakest(names: list[str], chances: list[float]) -> str:
    most = round(max(chances), 9)
    first = [name for name, chance in zip(names, chances, strict=True) if chance >= most - 1e-9]
    if len(first) > 1:
        return f"{' and '.join(first)} alike, each the weakest {percents.draws(most)}."
    return f"{first[0]}, the weakest {percents.draws(most)}."


RANGES = Ranges(mechanics.PERMITTED)

TORQUE_HEADROOM = Calculator(
    name="torque-headroom",
    title="Torque headroom",
    purpose=(
        "How much torque reaches each element between clutch and output, steadily and while the engine is slowed "
        "during a change; which element is the weakest, and how much more torque it would hold."
    ),
    inputs=(
        RANGES.number("power", "Power of the engine (0: its torque is stated)", "0 kW", low=0.0),
        RANGES.number("speed", "Speed of the engine at that power (0: its torque is stated)", "0 1/min", low=0.0),
        RANGES.number("torque", "Torque of the engine (0: from power and speed)", "0 N·m", low=0.0),
        RANGES.number("ratio", "Ratio of the gear that carries, input speed over output speed", "1"),
        RANGES.number("inertia", "Moment of inertia that is slowed, engine side of the clutch", "0 kg·m²"),
        RANGES.number("drop", "Speed that it loses during the change", "0 1/min"),
        RANGES.number("duration", "Time in which it loses it (0: nothing is slowed)", "0 s", low=0.0),
        RANGES.number("kept", "Share of its torque that the engine still gives during the change", "1"),
        RANGES.number("impact", "Torque that the blow of engaging dogs adds (instead of the slowed inertia)", "0 N·m"),
        RANGES.number("slip", "Torque at which the clutch slips (left out: it never does)", f"{NEVER_SLIPS:.0f} N·m"),
        Rows(
            "gears",
            "Gears to go through, each in place of the ratio",
            (Text("gear", "Gear"), RANGES.number("ratio", "Ratio, input speed over output speed")),
            optional=True,
        ),
        Rows(
            "elements",
            "Elements that the torque passes",
            (
                Text("element", "Element"),
                RANGES.number("capacity", "Torque it would hold"),
                Choice("where", "Before or after the ratio", (mechanics.BEFORE, mechanics.AFTER)),
                RANGES.number("factor", "Application factor: torque it feels over torque in the path", "1"),
                RANGES.number("step", "Further ratio on its way: torque there over torque in the path", "1"),
            ),
        ),
    ),
    outputs=(
        Output("engine_torque", "Torque of the engine", "N·m"),
        Output("inertia_torque", "Torque of the slowed inertia", "N·m"),
        Output("steady_torque", "Torque behind the clutch, steady", "N·m"),
        Output("change_torque", "Torque behind the clutch during the change", "N·m"),
        Output("peak_torque", "The greater of the two, before the ratio", "N·m"),
        Output("after_torque", "The same after the ratio", "N·m"),
        Output("least_margin", "Margin of the weakest element", "", shown="%"),
        Output("headroom", "Headroom: torque behind the clutch that may still be added", "N·m"),
        Output("held_torque", "Greatest torque behind the clutch that every element holds", "N·m"),
        Output("every_element_holds", "Every element holds", form="truth"),
        Output("clutch_slips", "The clutch slips during the change", form="truth"),
        Output("clutch_slips_steadily", "The clutch slips under the engine's torque alone", form="truth"),
        Output("elements", "Elements", form="rows"),
        Output("weakest", "The weakest element", form="text"),
        Output("gears", "Every gear and its weakest element", form="rows", optional=True),
        Output("every_gear_holds", "Every element holds in every gear", form="truth", optional=True),
    ),
    formula=(
        "*T* = *P*/ω = *P*/(2π*n*/60), unless the torque is stated; *T_J* = *J*·Δω/Δ*t*. Both pass the clutch, so "
        "behind it there are\n\n"
        "- steadily *T_s* = min(*T*, *T_slip*),\n"
        "- during the change *T_c* = min(*k*·*T* + *T_J*, *T_slip*).\n\n"
        "With *T_p* = max(*T_s*, *T_c*), an element of capacity *C* and application factor *K* has the margin "
        "*C*/(*K*·*T_p*) − 1 before the ratio *i* and *C*/(*K*·*i*·*T_p*) − 1 after it. The least margin decides; the "
        "headroom is min(*C*/(*K*·*i*)) − *T_p*, with *i* = 1 before the ratio.\n\n"
        "0.04 kg·m² brought down by 2,500 1/min in 20 ms adds 524 N·m."
    ),
    sources=(
        "Torque from power and speed: Wentzell, Machine Design, ex. 17.1, p. 379.",
        "Torque of a slowed inertia: Newton's second law; Bhandari, Design of Machine Elements, ex. 12.1.",
        "Torque through a pair of gears: Philpot, Mechanics of Materials, MecMovies M6.13.",
        "That engines of 700 to 800 hp once gave under 300 lbf·ft and later 500 to 600: common practice, no source.",
    ),
    assumptions=(
        "One path carries all torque. An element that carries a part of it takes that part as a factor below one.",
        "No torque is lost in teeth and bearings; elements after the ratio therefore feel a little less than computed.",
        "The speed falls evenly: the torque of the inertia is the mean over the time stated, and its peak is higher.",
        "While the clutch slips the engine takes longer to come down than stated; behind the clutch there is the slip "
        "torque.",
        "Inertia behind the clutch, as of its driven plate and the input shaft, is not limited by the slip and not "
        "computed; allow for it in the application factors.",
        "The application factor multiplies the torque of the change too. Leave it at one where it stands for that very "
        "shock.",
        "Capacities are stated, not computed; whether one is meant for a single load or for millions is for its source "
        "to say.",
        "Backlash taken up with a blow, and twisting vibration, are not computed.",
    ),
    cautions=(
        "A part that fails under torque throws pieces and lets go of what it held: guard what rotates, also in models.",
        "A slipping clutch gets hot quickly and may grab.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
