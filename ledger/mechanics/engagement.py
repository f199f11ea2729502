"""Two turning inertias that dogs bring to one speed: the common speed, the energy lost, the torque of the blow.

Values are floats or arrays of draws of one shape. Inertias, stiffness and speeds are those of one shaft: reduce them to
the shaft of the dogs by the square of the ratio between.
"""

from __future__ import annotations

from ledger.mechanics.maths import pi, sqrt
from ledger.mechanics.refusing import refuse

RADIANS = 2.0 * pi / 60.0
PERMITTED = {
    "inertia": ("Moment of inertia of the faster side", "kg·m²", 1e-9, 1e7),
    "other_inertia": ("Moment of inertia of the slower side", "kg·m²", 1e-9, 1e7),
    "stiffness": ("Torsional stiffness", "N·m/rad", 1e-6, 1e12),
    "difference": ("Speed difference", "1/min", 0.0, 200_000.0),
    "speed": ("Speed of the slower side", "1/min", -200_000.0, 200_000.0),
    "torque": ("Torque that drives the faster side", "N·m", 0.0, 1e7),
}


def reduced_inertia(inertia, other):
    """Return the inertia that swings between two turning masses [kg·m²]: J = J1 J2 / (J1 + J2)."""
    return inertia * other / (inertia + other)


def common_speed(inertia, other, difference, speed=0.0):
    """Return the speed of both after they are coupled [1/min].

    n = n2 + dn J1 / (J1 + J2): angular momentum is kept

    inertia, other  J1 of the faster, J2 of the slower [kg·m²]
    difference      dn [1/min]
    speed           n2 of the slower [1/min]

    Source: Khurmi & Gupta, Theory of Machines, ex. 3.12, p. 47.
    """
    return speed + difference * inertia / (inertia + other)


def energy_lost(inertia, other, difference):
    """Return the energy that is lost in coupling them [J].

    E = J dw² / 2, with J the reduced inertia and dw = 2 pi dn / 60

    Source: Khurmi & Gupta, Theory of Machines, ex. 3.12, p. 47.
    """
    rate = difference * RADIANS
    return 0.5 * reduced_inertia(inertia, other) * rate * rate


def impact_torque(inertia, other, difference, stiffness):
    """Return the greatest torque of a shaft between them when dogs meet, without damping [N·m].

    T = dw sqrt(k J): the energy of the speed difference is all in the twisted shaft

    inertia, other  J1, J2 [kg·m²], J = J1 J2 / (J1 + J2)
    difference      dn [1/min], dw = 2 pi dn / 60
    stiffness       k [N·m/rad]

    Source: J dw² / 2 = T² / (2 k); Gere, Mechanics of Materials, problem 3.9-11, for J2 without bound; Bevan, The
    Theory of Machines, ch. 2, ex. 3, for two flywheels and a spring.
    """
    return difference * RADIANS * sqrt(stiffness * reduced_inertia(inertia, other))


def blow_time(inertia, other, stiffness):
    """Return the time from the meeting of the dogs to the greatest torque, undriven [s]: t = (pi / 2) sqrt(J / k)."""
    return 0.5 * pi * sqrt(reduced_inertia(inertia, other) / stiffness)


def driven_share(torque, inertia, other):
    """Return the steady torque between them while a torque drives the first [N·m]: T J2 / (J1 + J2)."""
    return torque * other / (inertia + other)


def engagement(inertia, other_inertia, stiffness, difference, speed=0.0, torque=0.0):
    """Return what follows when dogs meet at a speed difference, as a dict of values.

    inertia, other_inertia  of the faster and the slower side [kg·m²]
    stiffness               k of all that twists between them [N·m/rad]
    difference              dn at which the dogs meet [1/min]
    speed                   of the slower side [1/min]
    torque                  that drives the faster side at that moment [N·m]

    Dogs that meet under torque swing about the driven share T_d = T J2 / (J1 + J2), so that the greatest torque is
    T_d + sqrt(T_d² + T_i²): both the blow T_i and the sudden torque count. The root is added to a steady torque.

    Errors: ValueError naming everything impossible at once.
    """
    refuse(
        PERMITTED,
        inertia=inertia,
        other_inertia=other_inertia,
        stiffness=stiffness,
        difference=difference,
        speed=speed,
        torque=torque,
    )
    blow = impact_torque(inertia, other_inertia, difference, stiffness)
    share = driven_share(torque, inertia, other_inertia)
    added = sqrt(blow * blow + share * share)
    return {
        "common_speed": common_speed(inertia, other_inertia, difference, speed),
        "energy_lost": energy_lost(inertia, other_inertia, difference),
        "impact": blow,
        "added_torque": added,
        "peak_torque": share + added,
        "blow_time": blow_time(inertia, other_inertia, stiffness),
    }
