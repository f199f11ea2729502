"""Tooth duty: damage that a load spectrum does to teeth over a distance, declared."""

from __future__ import annotations

from math import log10
from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Choice, Draws, Output, Ranges, Rows
from ledger.mechanics import tooth_duty as mechanics

Raw = dict[str, Any]
POINTS = 61


def compute(
    spectrum: list[Raw],
    distance: Draws,
    ratio: Draws,
    radius: Draws,
    strength: Draws,
    knee: Draws,
    exponent: Draws,
    below: str = mechanics.SAME,
    meshes: Draws = 1.0,
    limit: Draws = 1.0,
    part: str = mechanics.ROOT,
) -> Raw:
    """Return every declared output by name."""
    found: Raw = mechanics.tooth_duty(
        spectrum, distance, ratio, radius, strength, knee, exponent, below, meshes, limit, part
    )
    rows = found.pop("rows")
    return {
        **found,
        "spectrum_shown": [
            {
                "torque [N·m]": row["torque"],
                "share of the distance [%]": 100 * row["share"],
                "loads on a tooth": row["cycles"],
                "borne as often as": _life(row["life"]),
                "share of the damage [%]": 100 * row["wear"],
            }
            for row in rows
        ],
        "curves": _curves(rows, float(np.mean(strength)), float(np.mean(knee)), float(np.mean(exponent)), below, part),
    }


def _life(life: Draws) -> Draws | str:
    return "without end" if float(np.min(life)) >= mechanics.LONGEST else life


def _curves(rows: list[Raw], strength: float, knee: float, exponent: float, below: str, part: str) -> list[Raw]:
    """Return the line of strength from a thousand loads up, and the steps of the spectrum, greatest torque first."""
    steps = sorted(
        ((float(np.mean(row["torque"])), float(np.mean(row["cycles"]))) for row in rows), key=lambda pair: -pair[0]
    )
    total = sum(cycles for _, cycles in steps)
    last = max(log10(knee) + 2, log10(max(total, 1.0)) + 0.5)
    points = []
    for place in np.linspace(3.0, last, POINTS):
        past = place > log10(knee)
        flat = past and below == mechanics.NONE
        slope = mechanics.flatter_exponent(exponent, part) if past and below == mechanics.FLATTER else exponent
        bears = strength if flat else strength * 10 ** ((log10(knee) - place) / slope)
        points.append({"series": "borne", "x": float(place), "y": bears})
    done = 0.0
    for torque, cycles in steps:
        for count in (done, done + cycles):
            points.append({"series": "asked", "x": log10(max(count, 1.0)), "y": torque})
        done += cycles
    return points


RANGES = Ranges(mechanics.PERMITTED)

TOOTH_DUTY = Calculator(
    name="tooth-duty",
    title="Tooth duty",
    purpose=(
        "How much of its fatigue life a gear's teeth use over a required distance under a spectrum of torques, which "
        "torque does the damage, and what constant torque would do as much."
    ),
    inputs=(
        Rows(
            "spectrum",
            "Spectrum of torques at the gear",
            (RANGES.number("torque", "Torque"), RANGES.number("share", "Share of the distance driven under it")),
        ),
        RANGES.number("distance", "Distance that must be borne"),
        RANGES.number("ratio", "Turns of the gear for one turn of the road wheel"),
        RANGES.number("radius", "Rolling radius of the road wheel"),
        RANGES.number("meshes", "Loads on a tooth for one turn of its gear", "1"),
        RANGES.number("strength", "Torque that the teeth bear as often as the next input says"),
        RANGES.number("knee", "How often they bear it"),
        RANGES.number("exponent", "Exponent of torque over life (flank: half that of the stress)"),
        Choice("below", "Lesser torques follow", mechanics.BELOW, default=mechanics.SAME),
        Choice("part", "Part of the tooth, for the flatter slope", mechanics.PARTS, default=mechanics.ROOT),
        RANGES.number("limit", "Damage sum taken for failure", "1"),
    ),
    outputs=(
        Output("damage", "Damage sum over the distance"),
        Output("used", "Share of the damage borne", "", shown="%"),
        Output("bears", "The teeth bear the distance", form="truth"),
        Output("distance_borne", "Distance that is borne (at most a thousand million km)", "km"),
        Output("cycles", "Loads on a tooth over the distance"),
        Output("equivalent_torque", "Constant torque of the same damage, as often, one slope throughout", "N·m"),
        Output(
            "needed_strength", "Strength that would just bear the distance, by the same rule for lesser torques", "N·m"
        ),
        Output("margin", "Margin of the strength over that", "", shown="%"),
        Output("spectrum_shown", "Rows of the spectrum", form="rows"),
        Output(
            "curves",
            "Torque borne and asked",
            form="curves",
            axes=("loads on a tooth, log10", "torque at the gear [N·m]"),
        ),
    ),
    formula=(
        "Over a distance *D* a tooth is loaded *N* = *D*·*q*·*i*·*m*/(2π·*r*) times by a torque that acts for the "
        "share *q* of it. It would bear that torque *N_f* = *N_k*·(*S*/*T*)^*k* times. The damage is Σ*N*/*N_f*; at "
        "the limit (1) failure is expected. Torques below *S* go on with the same slope, with 2*k* − 1 in place of "
        "*k* (root) or 2*k* − ½ (flank), or do no damage. The needed strength is the least *S* with which the damage "
        "is "
        "within the limit by the same rule.\n\n"
        "The constant torque of the same damage is (Σ*N*·*T^k*/Σ*N*)^(1/*k*), on one slope.\n\n"
        "At *k* = 6 a torque a tenth higher is borne 0.56 times as long."
    ),
    sources=(
        "Linear damage: Palmgren (1924), Miner (1945).",
        "Torques below the knee: Haibach's 2k − 1 and the one-slope rule (from memory).",
        "That a damage sum of 1 is itself uncertain, with failures met between about 0.3 and 3: common in the "
        "literature of fatigue; state the limit as a range where it matters.",
    ),
    assumptions=(
        "Strength, knee and exponent are stated for these teeth, from a test or from the tooth calculators, with their "
        "scatter. A root's stress grows as the torque, a flank's as its root: for flanks halve the exponent of stress.",
        "Flatter slope: Haibach's 2k − 1 is meant for the exponent of stress. A flank's, halved to that of torque, "
        "goes "
        "from k to 2k − ½.",
        "Where lesser torques do no damage, the needed strength may be a torque of the spectrum itself: a strength "
        "just "
        "above it bears the distance, one just below does not.",
        "The order of the torques does not matter, and each row is a constant torque. Dynamic factors belong in the "
        "torques.",
        "A tooth is loaded in one direction. Where it is bent both ways, as on an idler, its strength is less; state "
        "that strength.",
        "No static limit: a torque that breaks a tooth at once has to be held against its static strength elsewhere.",
        "Torques below a hundred-thousandth of the strength (a hundredth on the flatter slope) are taken at that.",
        "No method of a gear standard is followed to the letter, and no conformity is claimed.",
    ),
    cautions=(
        "A broken tooth goes through a gearbox like a stone: guard what turns, also in models.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
