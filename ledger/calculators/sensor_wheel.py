"""Sensor wheel: what targets on a rim tell of speed and angle, and whether they can time an entry, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Draws, Output, Ranges
from ledger.mechanics import sensor_wheel as mechanics

TARGETS = np.unique(np.round(np.geomspace(1.0, 400.0, 100)))


def compute(targets: Draws, **given: Any) -> dict[str, Any]:
    """Return every declared output by name, and the chance for other numbers of targets at the mean of the draws."""
    found = mechanics.sensor_wheel(targets, **given)
    middle = {name: float(np.mean(value)) for name, value in given.items()}
    return {**found, "by_targets": _by_targets(middle)}


def _by_targets(middle: dict[str, float]) -> list[dict[str, Any]]:
    lines = []
    for series, changed in (("as stated", {}), ("with an actuator that never scatters", {"scatter": 0.0})):
        chances = mechanics.sensor_wheel(TARGETS, **{**middle, **changed})["chance"]
        lines += [
            {"series": series, "x": float(x), "y": 100.0 * float(y)} for x, y in zip(TARGETS, chances, strict=True)
        ]
    return lines


RANGES = Ranges(mechanics.PERMITTED)

SENSOR_WHEEL = Calculator(
    name="sensor-wheel",
    title="Sensor wheel",
    purpose=(
        "What targets on a turning rim tell: the time between their edges, the resolution of speed and angle, and "
        "whether two such wheels can time an entry of the dogs into their gaps."
    ),
    inputs=(
        RANGES.whole("targets", "Targets on the rim"),
        RANGES.number("speed", "Speed of the faster ring"),
        RANGES.number("radius", "Radius of the rim at the targets"),
        RANGES.number("difference", "Speed difference of the two rings"),
        RANGES.number("window_time", "Time of the window in which the faces may meet, as dog-window gives it"),
        RANGES.whole("edges", "Edges timed of each target", "1"),
        RANGES.number("clock", "Clock of the timer", "1 MHz"),
        RANGES.number("jitter", "Jitter of an edge, standard deviation", "0 µs"),
        RANGES.number("misplacement", "Misplacement of an edge along the rim, standard deviation", "0 mm"),
        RANGES.number("over", "Time that a speed is taken over (at least from one edge to the next)", "0 ms"),
        RANGES.number("gate", "Time in which edges would be counted instead", "100 ms"),
        RANGES.number("lead", "From the decision until the faces meet", "0 ms"),
        RANGES.number("scatter", "Scatter of that time, standard deviation", "0 ms"),
        RANGES.number("acceleration", "Change of the speed difference meanwhile", "0 1/min/s"),
        RANGES.number("wanted", "Chance that is called enough", "95 %"),
        RANGES.number(
            "pitch_time", "Time from one window to the next, as dog-window gives it (0: one window only)", "0 ms"
        ),
    ),
    outputs=(
        Output("edge_time", "Time between edges", "s", shown="µs"),
        Output("angle_resolution", "Angle between edges", "°"),
        Output("target_spacing", "Spacing of the targets on the rim", "mm"),
        Output("ticks", "Ticks of the clock between edges"),
        Output("timed_resolution", "Speed told by one tick, timing between edges", "1/min"),
        Output("counted_resolution", "Speed told by one edge, counting", "1/min"),
        Output("edge_doubt", "Doubt of the angle of an edge, standard deviation", "°"),
        Output("speed_doubt", "Doubt of a timed speed, standard deviation", "1/min"),
        Output("relative_doubt", "Doubt of the angle foretold between the rings, standard deviation", "°"),
        Output("relative_bias", "What the changing speed difference adds to that angle", "°"),
        Output("foretelling_doubt", "Doubt of the foretold time, standard deviation", "s", shown="ms"),
        Output("timing_doubt", "Doubt of the timing, actuator included, standard deviation", "s", shown="ms"),
        Output("timing_bias", "Error of the timing by the changing speed difference", "s", shown="ms"),
        Output("chance", "Chance that the faces meet within a window", "", shown="%"),
        Output("times_entry", "It can time an entry", form="truth"),
        Output("by_targets", "Chance and targets", form="curves", axes=("targets", "chance [%]")),
    ),
    formula=(
        "With *N* edges a turn at the speed *n*, edges are *t* = 60/(*N*·*n*) apart and 360°/*N*; the clock ticks "
        "*f*·*t* times between them, and one tick more tells of a speed lower by *n*/(1 + *f*·*t*). Counting in a "
        "time *t_g*, one edge tells of 60/(*N*·*t_g*).\n\n"
        "The angle of an edge is in doubt by σ = √((*e*/*r*)² + (6*n*)²·(*t_j*² + 1/(12*f*²))): its place on the "
        "rim, its jitter, the tick. An angle foretold over *H* = lead + *t* from a speed taken over *t_s* is in "
        "doubt by σ·√((1 + *q*)² + *q*²), *q* = *H*/*t_s*, and off by 3*aH*(*H* + *t_s*) where the speed "
        "difference changes by *a*.\n\n"
        "Two wheels err apart: √2 times as much. Over 6·Δ*n* degrees a second that is a doubt of time, to which the "
        "actuator's scatter is added by squares; the chance is the share of a normal error within half the window to "
        "either side. Where windows are stated to come round, the shares of all of them are summed up."
    ),
    sources=(
        "Times, ticks and counts: definitions.",
        "Propagation of the doubts: JCGM 100:2008, 5.1.",
        "Share of a normal: Abramowitz & Stegun, Handbook of Mathematical Functions, 26.2.17.",
    ),
    assumptions=(
        "Each ring carries a wheel like this, fixed to its dogs, and the angle between wheel and dogs is known once "
        "for all; what is left unknown of it belongs to the misplacement.",
        "Edges err independently of each other. A wheel that runs out of true errs alike at neighbours, and taking the "
        "speed over one whole turn takes that out.",
        "The last edge may be a whole time between edges old when the decision is taken.",
        "Without the time from one window to the next, only the window aimed at counts: whether the entry falls at the "
        "instant that was meant. With it, an entry into an earlier or later window counts too, since dogs are alike; "
        "even an entry that is not aimed at all then has the share of the window in the pitch.",
        "The control aims at the middle of the window, with the speed difference taken as constant.",
        "Both wheels turn at nearly the speed stated; that the other is slower makes its edges rarer by as much.",
        "Errors are normal. Timing done every few turns at a slower beat of the program belongs to the scatter.",
        "The window is of the speed difference stated here: take both from the same calculation.",
    ),
    cautions=(
        "A target that comes off a rim is a projectile: guard what rotates, also in models.",
        "An entry that is timed moves a sleeve without warning: keep fingers out whenever there is current.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
