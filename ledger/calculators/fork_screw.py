"""Fork screw: the time in which a motor and a screw move a fork, or the torque that a time needs, declared."""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Choice, Draws, Number, Output
from ledger.mechanics import fork_screw as mechanics

SLIDING, BALLS = "sliding thread", "balls"
SMALL = 1e-6  # kg·mm² to kg·m²


def compute(
    travel: Draws,
    lead: Draws,
    speed: Draws,
    screw: str = SLIDING,
    diameter: Draws = 0.0,
    friction: Draws = 0.12,
    flank: Draws = 15.0,
    collar_friction: Draws = 0.0,
    collar_diameter: Draws = 0.0,
    efficiency: Draws = 0.9,
    load: Draws = 0.0,
    mass: Draws = 0.0,
    rotor: Draws = 0.0,
    screw_inertia: Draws = 0.0,
    ratio: Draws = 1.0,
    gear_efficiency: Draws = 1.0,
    torque: Draws = 0.0,
    wanted: Draws = 0.0,
    delay: Draws = 0.0,
) -> dict[str, Any]:
    """Return every declared output by name; a torque gives a time, a wanted time gives a torque."""
    powered, asked = bool(np.any(np.not_equal(torque, 0))), bool(np.any(np.not_equal(wanted, 0)))
    _refuse(powered, asked, screw, diameter, wanted, delay, speed, ratio, gear_efficiency)
    per_force = _per_force(screw, lead, diameter, friction, flank, collar_friction, collar_diameter, efficiency)
    turning = (rotor * ratio**2 * gear_efficiency + screw_inertia) * SMALL
    top = speed / 60.0 / ratio * lead
    passed = ratio * gear_efficiency
    within = (wanted - delay) / 1000.0
    found: dict[str, Any] = {}
    if asked:
        rate = mechanics.needed_rate(travel, within, top)
        found["speed_suffices"] = top * within > travel
        needed = mechanics.needed_torque(rate, load, mass, lead, per_force, turning) / passed
        bounded = np.minimum(needed, mechanics.GREATEST)
        found["needed_torque"] = np.where(found["speed_suffices"], bounded, mechanics.GREATEST) + 0.0
    if powered:
        rate = mechanics.acceleration(torque * passed, load, mass, lead, per_force, turning)
    time = mechanics.move_time(travel, rate, top)
    reached = mechanics.top_speed(travel, rate, top)
    spinning = 2.0 * pi * reached / lead
    if asked:
        found["in_time"] = time <= within * (1.0 + 1e-9)
    given = torque if powered else found["needed_torque"]
    return found | {
        "time": time,
        "whole_time": time + delay / 1000.0,
        "moves": rate > 0 if powered else found["speed_suffices"],
        "acceleration": rate / 1000.0,
        "peak_speed": reached / 1000.0,
        "motor_speed": 60.0 * reached / lead * ratio,
        "reaches_speed": reached >= top,
        "load_torque": load * per_force / passed,
        "turns": travel / lead,
        "motor_turns": travel / lead * ratio,
        "efficiency": mechanics.screw_efficiency(lead, per_force),
        "peak_power": given * spinning * ratio,
        "energy": load * per_force * 2.0 * pi * travel / lead / passed
        + (mass * per_force / 1000.0 * reached * spinning + turning * spinning**2) / 2.0 / passed,
        "self_locking": _self_locking(screw, lead, diameter, friction, flank, collar_friction, collar_diameter),
        "curves": _curves(travel, rate, top),
    }


def _refuse(
    powered: bool, asked: bool, screw: str, diameter: Draws, wanted: Draws, delay: Draws, speed: Draws, ratio: Draws,
    gear_efficiency: Draws,
) -> None:  # fmt: skip
    faults = []
    if not powered and not asked:
        faults.append("State the torque of the motor, or the time that is wanted, or both.")
    if screw == SLIDING and not np.all(np.greater(diameter, 0)):
        faults.append("The friction of a sliding thread acts at its mean diameter; state the diameter.")
    if asked and not np.all(np.greater(wanted, delay)):
        faults.append("The delay takes up all of the wanted time; state a longer time or a shorter delay.")
    for label, value in (("speed of the motor", speed), ("reduction", ratio), ("gear efficiency", gear_efficiency)):
        if not np.all(np.greater(value, 0)):
            faults.append(f"The {label} lies above zero.")
    if faults:
        raise ValueError(" ".join(faults))


def _per_force(
    screw: str, lead: Draws, diameter: Draws, friction: Draws, flank: Draws, collar_friction: Draws,
    collar_diameter: Draws, efficiency: Draws,
) -> Draws:  # fmt: skip
    """Return the torque at the screw of a newton along it [N·m/N]."""
    if screw == BALLS:
        thread = mechanics.torque_per_force(lead, efficiency)
    else:
        thread = mechanics.raising_torque(1.0, lead, diameter, friction, flank * pi / 180.0)
    torque: Draws = thread + mechanics.collar_torque(1.0, collar_friction, collar_diameter)
    return torque


def _self_locking(
    screw: str, lead: Draws, diameter: Draws, friction: Draws, flank: Draws, collar_friction: Draws,
    collar_diameter: Draws,
) -> Draws:  # fmt: skip
    """Return whether a load cannot drive the screw; one on balls it always can."""
    if screw == BALLS:
        return np.zeros(np.shape(lead), dtype=bool) if np.shape(lead) else False
    held = mechanics.lowering_torque(1.0, lead, diameter, friction, flank * pi / 180.0)
    locks: Draws = held + mechanics.collar_torque(1.0, collar_friction, collar_diameter) >= 0
    return locks


def _curves(travel: Draws, rate: Draws, top: Draws) -> list[dict[str, Any]]:
    along = mechanics.speed_along(*(float(np.mean(value)) for value in (travel, rate, top)))
    return [{"series": "fork", "x": 1000.0 * time, "y": speed / 1000.0} for time, speed in along]


FORK_SCREW = Calculator(
    name="fork-screw",
    title="Electric screw to a fork",
    purpose=(
        "How long a motor and a screw take to move a fork into a gear, or what torque a wanted time needs; and "
        "whether the fork can push the screw back."
    ),
    inputs=(
        Number("travel", "Travel of the fork", "mm", low=0.01, high=1000.0),
        Number("lead", "Lead of the screw: travel of one turn", "mm", low=0.005, high=500.0),
        Number("speed", "Greatest speed of the motor", "1/min", low=1.0, high=200_000.0),
        Choice("screw", "Screw", (SLIDING, BALLS), default=SLIDING),
        Number("diameter", "Mean diameter of a sliding thread", "mm", low=0.0, high=1000.0, default="0 mm"),
        Number("friction", "Friction of a sliding thread", "", low=0.0, high=1.0, default="0.12"),
        Number(
            "flank",
            "Half the angle between its flanks: 15° trapezoidal, 0 square",
            "°",
            low=0.0,
            high=45.0,
            default="15 °",
        ),
        Number("collar_friction", "Friction of a collar that takes the thrust", "", low=0.0, high=1.0, default="0"),
        Number("collar_diameter", "Mean diameter of the collar", "mm", low=0.0, high=1000.0, default="0 mm"),
        Number("efficiency", "Efficiency of a screw on balls", "", low=0.01, high=1.0, default="0.9"),
        Number("load", "Force against the fork all along its travel", "N", low=0.0, high=1e6, default="0 N"),
        Number(
            "mass", "Mass that moves with the fork: sleeve, fork, rail", "kg", low=0.0, high=10_000.0, default="0 kg"
        ),
        Number("rotor", "Moment of inertia of the motor", "kg·mm²", low=0.0, high=1e9, default="0 kg·mm²"),
        Number("screw_inertia", "Moment of inertia of the screw", "kg·mm²", low=0.0, high=1e9, default="0 kg·mm²"),
        Number("ratio", "Reduction between motor and screw", "", low=0.01, high=1000.0, default="1"),
        Number("gear_efficiency", "Efficiency of that reduction", "", low=0.01, high=1.0, default="1"),
        Number("torque", "Torque of the motor (0: from the wanted time)", "N·m", low=0.0, high=1e5, default="0 N·m"),
        Number(
            "wanted", "Wanted time, delay included (0: from the torque)", "ms", low=0.0, high=60_000.0, default="0 ms"
        ),
        Number("delay", "Delay before the motor's torque is there", "ms", low=0.0, high=60_000.0, default="0 ms"),
    ),
    outputs=(
        Output("whole_time", "Time of the move, with its delay", "s", shown="ms", given="moves"),
        Output("time", "Time of the move itself", "s", shown="ms", given="moves"),
        Output("in_time", "It arrives within the wanted time", form="truth", optional=True),
        Output(
            "needed_torque",
            "Torque of the motor that the wanted time needs",
            "N·m",
            optional=True,
            given="speed_suffices",
        ),
        Output("speed_suffices", "The motor is fast enough for the wanted time", form="truth", optional=True),
        Output("moves", "The motor can make the move", form="truth"),
        Output("acceleration", "Acceleration of the fork", "m/s²", given="moves"),
        Output("peak_speed", "Greatest speed of the fork", "m/s"),
        Output("motor_speed", "Greatest speed of the motor in the move", "1/min"),
        Output("reaches_speed", "The motor reaches its greatest speed", form="truth"),
        Output("load_torque", "Torque of the motor at steady speed", "N·m"),
        Output("turns", "Turns of the screw"),
        Output("motor_turns", "Turns of the motor"),
        Output("efficiency", "Efficiency of the screw with its collar", "", shown="%"),
        Output("peak_power", "Greatest power of the motor", "W", given="moves"),
        Output("energy", "Energy of a move at the motor's shaft, at the most", "J", given="moves"),
        Output("self_locking", "The fork cannot push the screw back", form="truth"),
        Output("curves", "Speed of the fork", form="curves", axes=("time [ms]", "speed [m/s]")),
    ),
    formula=(
        "A newton along the screw takes the torque *k* = (*d*/2)·tan(λ + ρ) + μ_c·*d_c*/2, with tan λ = *l*/(π*d*) and "
        "tan ρ = μ/cos γ; on balls *l*/(2πη) in place of the first term. At the screw the torque *T* leaves the "
        "acceleration *a* = (*T* − *F*·*k*)/(*m*·*k* + *J*·2π/*l*). The travel *x* then takes 2√(*x*/*a*), a triangle "
        "of speed, or *x*/*v* + *v*/*a*, a trapezoid, where the motor reaches its greatest speed *v*. The screw is "
        "self-locking where (*d*/2)·tan(ρ − λ) + μ_c·*d_c*/2 is not below zero."
    ),
    sources=(
        "Torque, efficiency and self-locking of a screw: Shigley, Mechanical Engineering Design, §8-2; Bhandari, "
        "Design of Machine Elements, ch. 6.",
        "Times of triangle and trapezoid: area under the speed.",
        "Efficiency of screws on balls of about 0.9, friction of oiled steel of about 0.12: common practice, no "
        "source.",
    ),
    assumptions=(
        "The motor's torque is the same up to its greatest speed; a real one falls off.",
        "It slows down at the rate at which it speeds up. Where the load helps to brake, less torque would do.",
        "The force against the fork is the same all along, and friction of the thread the same at every speed; to "
        "break loose takes more.",
        "The motor can make the move (`moves`) where its torque moves the load; where no torque is stated, where it is "
        "fast enough for the wanted time. Times, acceleration, power and energy are given over the draws in which it "
        "can, the needed torque over those in which it is fast enough. To a criterion, a time of 60 s stands for "
        "never, and a torque of a million N·m for one that no motor has.",
        "The reduction's losses are taken from the rotor's inertia as from its torque.",
        "Energy is an upper bound at the shaft: what moves is brought to its speed and the load is driven all along, "
        "as if nothing were won back in braking, when the load is in truth borne by what still moves. Losses of motor "
        "and current are not computed.",
        "One screw moves one fork. Dogs that do not find a gap are not computed.",
    ),
    cautions=(
        "A motor that starts by itself pinches: keep its current off while fingers are near fork and screw.",
        "A screw that is not self-locking lets a fork move by itself.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
