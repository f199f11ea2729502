"""Dog window: whether dogs get in at a speed difference, how long they wait, and how hard they strike, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Draws, Number, Output, Whole
from ledger.mechanics import dog_window as mechanics
from ledger.mechanics import engagement

RANGES = {**mechanics.PERMITTED, **engagement.PERMITTED}
BLOW = ("inertia", "other_inertia", "stiffness")
POINTS = 121


def compute(
    dogs: Draws,
    gap: Draws,
    dog: Draws,
    difference: Draws,
    axial_speed: Draws,
    depth: Draws,
    patience: Draws,
    inertia: Draws = 0.0,
    other_inertia: Draws = 0.0,
    stiffness: Draws = 0.0,
    speed: Draws = 0.0,
    torque: Draws = 0.0,
) -> dict[str, Any]:
    """Return every declared output by name; those of the blow where inertias and stiffness are stated."""
    found = mechanics.dog_window(dogs, gap, dog, difference, axial_speed, depth, patience)
    swinging = {"inertia": inertia, "other_inertia": other_inertia, "stiffness": stiffness}
    found |= _blow(difference, speed, torque, swinging)
    pitch, clearance = _mean(found["pitch"]), _mean(found["clearance"])
    entry, wait = _mean(found["entry_time"]), _mean(patience) / 1000.0
    return {
        **found,
        "by_difference": _by_difference(pitch, clearance, entry, wait, _mean(difference)),
        "by_time": _by_time(pitch, clearance, entry, wait, _mean(difference)),
    }


def _blow(difference: Draws, speed: Draws, torque: Draws, swinging: dict[str, Draws]) -> dict[str, Draws]:
    stated = [name for name, value in swinging.items() if np.any(np.not_equal(value, 0))]
    if not stated and not np.any(np.not_equal(torque, 0)):
        return {}
    if len(stated) < len(swinging):
        raise ValueError("A blow wants the inertias of both sides and the stiffness between them; state all three.")
    struck: dict[str, Draws] = engagement.engagement(**swinging, difference=difference, speed=speed, torque=torque)
    return struck


def _mean(value: Draws) -> float:
    return float(np.mean(value))


def _by_difference(
    pitch: float, clearance: float, entry: float, patience: float, difference: float
) -> list[dict[str, Any]]:
    """Chance against speed difference, up to somewhat beyond where the window closes, with the fall drawn upright."""
    closing = float(mechanics.greatest_difference(clearance, entry))
    differences = np.linspace(0.0, 1.2 * max(closing, difference, 1.0), POINTS)
    differences = np.sort(np.append(differences, [closing * (1 - 1e-6), closing * (1 + 1e-6)]))
    rates = mechanics.turning(differences)
    openings = mechanics.window(clearance, rates, entry)
    lines = []
    for series, waited in (("with the patience stated", patience), ("at once or not at all", 0.0)):
        chances = mechanics.chance_of_entry(openings, rates, waited, pitch)
        lines += [
            {"series": series, "x": float(x), "y": 100.0 * float(y)} for x, y in zip(differences, chances, strict=True)
        ]
    return lines


def _by_time(pitch: float, clearance: float, entry: float, patience: float, difference: float) -> list[dict[str, Any]]:
    """Chance that the dogs are in to depth against the time since the faces met."""
    rate = float(mechanics.turning(difference))
    opening = mechanics.window(clearance, rate, entry)
    longest = float(mechanics.wait_until(1.0, opening, rate, pitch))
    last = entry + 1.2 * min(longest, max(patience, 2.0 * entry))
    times = np.linspace(entry, last, POINTS)
    chances = mechanics.chance_of_entry(opening, rate, times - entry, pitch)
    series = "dogs in to the depth"
    start = [{"series": series, "x": 1000.0 * time, "y": 0.0} for time in (0.0, entry)]
    return start + [
        {"series": series, "x": 1000.0 * float(x), "y": 100.0 * float(y)} for x, y in zip(times, chances, strict=True)
    ]


def _number(name: str, label: str, default: str | None = None) -> Number:
    _, unit, least, greatest = RANGES[name]
    return Number(name, label, unit, low=0.0 if name in BLOW else least, high=greatest, default=default)


DOG_WINDOW = Calculator(
    name="dog-window",
    title="Dog window",
    purpose=(
        "Whether dogs get into their gaps while the two rings turn past each other, with what chance and after what "
        "wait; how much play is then taken up before torque passes; and how hard the flanks strike."
    ),
    inputs=(
        Whole("dogs", "Gaps that a dog can meet in one turn", low=1, high=1000),
        _number("gap", "Gap between two dogs of the ring that is entered"),
        _number("dog", "Dog that enters, at the same radius"),
        _number("difference", "Speed difference of the two rings"),
        _number("axial_speed", "Axial speed, mean over the depth"),
        _number("depth", "Depth that must be reached before the flanks meet"),
        _number("patience", "Patience: time after the faces meet in which the entry must begin"),
        _number("inertia", "Moment of inertia of the faster side, at the dogs (0: no blow computed)", "0 kg·m²"),
        _number("other_inertia", "Moment of inertia of the slower side, at the dogs", "0 kg·m²"),
        _number("stiffness", "Torsional stiffness between the two inertias, at the dogs", "0 N·m/rad"),
        _number("speed", "Speed of the slower side", "0 1/min"),
        _number("torque", "Torque that drives the faster side as the dogs strike", "0 N·m"),
    ),
    outputs=(
        Output("pitch", "Pitch of the gaps", "°"),
        Output("clearance", "Clearance: gap less dog", "°"),
        Output("entry_time", "Time to the depth", "s", shown="ms"),
        Output("window", "Window: angles from which a dog gets in (none below 0)", "°"),
        Output("window_time", "Time of the window", "s", shown="ms"),
        Output("pitch_time", "Time from one window to the next", "s", shown="ms"),
        Output("enters", "A dog can get in at this speed difference", form="truth"),
        Output("chance", "Chance of entry within the patience", "", shown="%"),
        Output("chance_at_once", "Chance of entry at once", "", shown="%"),
        Output("greatest_difference", "Speed difference from which on no entry can succeed", "1/min"),
        Output(
            "best_difference",
            "Speed difference with the greatest chance (just inside, where the window closes)",
            "1/min",
        ),
        Output("best_chance", "The greatest chance", "", shown="%"),
        Output(
            "mean_wait",
            "Wait until the entry begins, mean of those within the patience",
            "s",
            shown="ms",
            given="enters",
        ),
        Output("half_wait", "Time after which half of all entries have begun", "s", shown="ms", given="enters"),
        Output("most_wait", "Time after which 95 % of all entries have begun", "s", shown="ms", given="enters"),
        Output("longest_wait", "Longest wait, were patience unlimited", "s", shown="ms", given="enters"),
        Output("play", "Play taken up before torque passes, mean", "°", given="enters"),
        Output("greatest_play", "Play taken up before torque passes, greatest", "°", given="enters"),
        Output("play_time", "Time of the mean play", "s", shown="ms", given="enters"),
        Output("greatest_play_time", "Time of the greatest play", "s", shown="ms", given="enters"),
        Output(
            "time_to_torque", "From the meeting of the faces until torque passes, mean", "s", shown="ms", given="enters"
        ),
        Output("common_speed", "Speed of both after the blow", "1/min", optional=True),
        Output("energy_lost", "Energy lost in the blow", "J", optional=True),
        Output("impact", "Torque of the blow, undriven and undamped", "N·m", optional=True),
        Output("added_torque", "Torque that the blow adds to the driving torque's share", "N·m", optional=True),
        Output("peak_torque", "Greatest torque at the dogs", "N·m", optional=True),
        Output("blow_time", "From the meeting of the flanks to that torque, undriven", "s", shown="ms", optional=True),
        Output(
            "by_difference",
            "Chance and speed difference",
            form="curves",
            axes=("speed difference [1/min]", "chance [%]"),
        ),
        Output("by_time", "Chance and time since the faces met", form="curves", axes=("time [ms]", "chance [%]")),
    ),
    formula=(
        "The rings turn past each other by ω = 6·Δ*n* degrees a second (Δ*n* in 1/min). A dog has the clearance "
        "*c* = gap − dog, and needs *t_e* = depth/axial speed. It gets in to the depth from a window of relative "
        "angles\n\n"
        "*w* = *c* − ω·*t_e*.\n\n"
        "Nothing gets in where *w* ≤ 0, which is so from ω = *c*/*t_e* on. Otherwise, of one pitch *p*, a share "
        "*w*/*p* gets in at once; the others rest face on face until the next gap comes round. Within the patience *T* "
        "the chance is\n\n"
        "*P* = min(1, (*w* + ω·*T*)/*p*).\n\n"
        "So *P* rises from *c*/*p* at standstill, with the slope (*T* − *t_e*)/*p*, to 1, and falls to nothing "
        "where the window closes: a speed difference may be too small as well as too great. The wait is 0 with the "
        "chance *w*/*p*, else spread evenly up to (*p* − *w*)/ω. A dog that got in at once has between 0 and *w* "
        "of play left, one that waited has all of *w*.\n\n"
        "The blow: *T_i* = Δω·√(*k*·*J*), *J* = *J*₁*J*₂/(*J*₁ + *J*₂). A torque *T* on the faster side makes the "
        "shaft swing about *T_d* = *T*·*J*₂/(*J*₁ + *J*₂), so that it adds √(*T_d*² + *T_i*²)."
    ),
    sources=(
        "Window and chance: kinematics, with the relative angle evenly spread; held in tests against entries simulated "
        "step by step.",
        "That more dogs, more axial speed and more backlash help, and more speed difference and overlap hinder: "
        "Aljawabrah & Lovas, Int. Rev. Appl. Sci. Eng. 15(1), 2024, abstract.",
        "That engagement also degrades at very low speed difference and is a matter of chance there: Bóka, "
        "Márialigeti, Lovas & Trencséni, Periodica Polytechnica Transp. Eng. 38(1), 2010, 29–35, abstract.",
        "Common speed and energy lost: Khurmi & Gupta, Theory of Machines, ex. 3.12, p. 47.",
        "Torque of the blow: energy; Bevan, The Theory of Machines, ch. 2, ex. 3.",
    ),
    assumptions=(
        "When the faces meet every relative angle is alike probable. Where a sensor times the entry, use sensor-wheel.",
        "Speed difference and axial speed do not change during the entry. A sleeve that waited face on face starts "
        "from rest: state the mean axial speed from rest over the depth.",
        "A dog that comes too late for the depth is thrown back at once and meets the next gap. In truth it may hang "
        "by its corners, or chip.",
        "Waiting dogs slide on each other's faces without being carried along: friction between the faces lowers the "
        "speed difference while they wait, and makes very low ones worse than computed.",
        "All dogs are spaced alike, have square edges and enter together. A chamfer adds to the gap; state the gap at "
        "the depth that counts.",
        "The play is taken up at the speed difference as stated, without the engine's torque hastening it.",
        "The blow is of two stiff inertias and a light spring without damping or slip; a clutch that slips first caps "
        "it. Inertia between the spring and the dogs strikes harder and shorter.",
        "Waits, play and the times that follow from them are given over those draws in which a dog can get in. "
        "Whatever takes one of them on takes a second and no play in the others. A time beyond a second counts as "
        "one, since no shift waits so long.",
        "The greatest chance is often a limit, approached as the speed difference rises to where the window closes; "
        "what is given is that of a speed difference a thousandth below.",
    ),
    cautions=(
        "Dogs that strike at a speed difference throw chips: guard what rotates, also in models.",
        "A sleeve moves by itself as soon as a gap comes round: no finger between sleeve and wheel, also when turning "
        "by hand.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
