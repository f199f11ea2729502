"""Bearing life: basic rating life over a duty of several loads and speeds, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Choice, Draws, Output, Ranges, Rows
from ledger.mechanics import bearing_life as mechanics

Raw = dict[str, Any]


def compute(
    rating: Draws,
    duty: list[Raw],
    kind: str = mechanics.BALL,
    factor: Draws = 1.0,
    hours: Draws = 0.0,
    slope: Draws = 1.5,
    reliability: Draws = 0.9,
) -> Raw:
    """Return every declared output by name; those about wanted hours only where hours are stated."""
    filled = [{"axial": 0.0, "x": 1.0, "y": 0.0, "share": 1.0, **row} for row in duty]
    found: Raw = mechanics.bearing_life(rating, filled, mechanics.EXPONENTS[kind], factor, hours, slope, reliability)
    rows = found.pop("rows")
    if "margin" in found:
        found["lasts"] = found["margin"] >= 0
    return {
        **found,
        "duty_shown": [
            {
                "row": place,
                "equivalent load [N]": row["load"],
                "radial load alone taken [%]": 100 * float(np.mean(row["radial_alone"])),
                "speed [1/min]": row["speed"],
                "share of the wear [%]": 100 * row["wear"],
            }
            for place, row in enumerate(rows, 1)
        ],
    }


RANGES = Ranges(mechanics.PERMITTED)

BEARING_LIFE = Calculator(
    name="bearing-life",
    title="Bearing life",
    purpose="How long a rolling bearing lasts over a duty of several loads and speeds, and what rating a duty needs.",
    inputs=(
        RANGES.number("rating", "Dynamic load rating, from the source of the bearing"),
        Choice("kind", "Rolling elements", (mechanics.BALL, mechanics.ROLLER), default=mechanics.BALL),
        Rows(
            "duty",
            "Duty",
            (
                RANGES.number("radial", "Radial load"),
                RANGES.number("axial", "Axial load", "0 N"),
                RANGES.number("x", "Factor X on the radial load", "1", key="load_factor"),
                RANGES.number("y", "Factor Y on the axial load", "0", key="load_factor"),
                RANGES.number("speed", "Speed"),
                RANGES.number("share", "Share of time, in any measure", "1"),
            ),
        ),
        RANGES.number("factor", "Life reached over basic life, for oil, dirt and reliability", "1"),
        RANGES.number("hours", "Hours of service wanted (0: none)", "0 h"),
        RANGES.number("slope", "Slope of the scatter of lives (Weibull)", "1.5"),
        RANGES.number("reliability", "Share of bearings that shall survive", "0.9"),
    ),
    outputs=(
        Output("life", "Life that nine in ten reach, in millions of revolutions"),
        Output("life_hours", "The same in hours", "h"),
        Output("reliable_hours", "Hours that the wanted share of bearings survives", "h"),
        Output("too_heavy", "A load is above half the rating: the formula does not hold", form="truth"),
        Output("radial_alone", "In a row X·F_r + Y·F_a is below F_r, and F_r was taken", form="truth"),
        Output("mean_speed", "Mean speed", "1/min"),
        Output("mean_load", "Constant load of the same life", "N"),
        Output(
            "needed_rating", "Rating with which the wanted share of bearings survives the hours", "N", optional=True
        ),
        Output("margin", "Margin of the rating over that", "", shown="%", optional=True),
        Output("used", "Share of the life that the hours use", "", shown="%", optional=True),
        Output("survival", "Share of such bearings that survive the hours", "", shown="%", optional=True),
        Output("lasts", "The wanted share of such bearings lasts the hours wanted", form="truth", optional=True),
        Output("duty_shown", "Rows of the duty", form="rows"),
    ),
    formula=(
        "Each row has the equivalent load *P* = *X*·*F_r* + *Y*·*F_a* and makes *q*·*n* revolutions. The constant "
        "load of the same life is *P_m* = (Σ*q*·*n*·*P^p*/Σ*q*·*n*)^(1/*p*), with *p* = 3 for balls and 10/3 for "
        "rollers, at the mean speed *n_m* = Σ*q*·*n*/Σ*q*. Nine bearings in ten reach\n\n"
        "*L* = *a*·(*C*/*P_m*)^*p* millions of revolutions, 10⁶·*L*/(60·*n_m*) hours.\n\n"
        "A share *u* of that life is survived by *R* = exp(−ln(1/0.9)·*u^e*), so that *R* of the bearings survive "
        "(ln(1/*R*)/ln(1/0.9))^(1/*e*) of it. The rating needed for some hours is the one with which the wanted share "
        "survives them.\n\nWhere an axial load is stated and *X*·*F_r* + *Y*·*F_a* is below *F_r*, *P* = *F_r*.\n\n"
        "A rating of 5,050 under a load of 2,400 at 1,750 1/min lasts 88.7 hours."
    ),
    sources=(
        "Basic rating life: ISO 281:2007; Wentzell, Machine Design, ex. 20.1, p. 431.",
        "Duty of several loads: Jindal, Machine Design, ex. 18-9, p. 512; Mott, Machine Elements in Mechanical Design, "
        "4th ed., ex. 14-6, p. 626.",
        "Scatter: Weibull's distribution with slope 1.5, as in the factors for reliability of ISO 281:1990: 0.62, "
        "0.53, 0.44, "
        "0.33 and 0.21 of the life at 95 to 99 %, seen in a copy. ISO 281:2007 differs: 0.64, 0.55, 0.47, 0.37 and "
        "0.25, from memory; from 95 % on our lives are the shorter by 3 to 16 %.",
        "P = F_r while the axial load is small: the rule beside X and Y in makers' lists, from memory.",
    ),
    assumptions=(
        "The rating is stated, not computed: ratings of one size differ between makers by a tenth, which is a third of "
        "the life.",
        "X and Y belong to the bearing and to the ratio of its loads; they are stated with each row. Where the axial "
        "load is small for the bearing, X is 1 and Y is 0; so P is never taken below F_r in a row with an axial load, "
        "and a "
        "truth tells that it was. Without an axial load X is used as stated, also below 1: as the share of a force "
        "that comes to this bearing. Thrust bearings, which bear no radial load, are stated with it at 0.",
        "The formula holds to loads of about half the rating (less for some kinds); above that raceways yield and the "
        "life is shorter than given. A truth tells that a row is above.",
        "Oil film, dirt and the loads below which a bearing does not tire come in through the life factor alone; at 1 "
        "it is the basic life of the standard.",
        "Failure is by tiring of the raceways. Wear, skidding, creep of rings, cage and cold starts are not computed, "
        "nor is a single load that dents the raceways.",
        "The order of the loads does not matter (linear damage).",
    ),
    cautions=(
        "A bearing that seizes stops a shaft at once: keep guards on what turns, also in models.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
