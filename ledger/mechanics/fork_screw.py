"""A screw that drives a fork: its torque, efficiency and self-locking, and the time a motor takes for a travel.

Lengths in millimetres, forces in newtons, torques in N·m, inertias in kg·m², times in seconds. Values are floats or
arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics.maths import atan, cos, every, maximum, minimum, pi, sqrt, tan, where
from ledger.mechanics.refusing import refuse

NEVER = 60.0  # s; stands for a time that has no end
GREATEST = 1e6  # N·m; stands for a torque that no motor has
PERMITTED = {
    "lead": ("Lead", "mm", 0.005, 500.0),
    "diameter": ("Mean diameter of the thread", "mm", 0.05, 1000.0),
    "friction": ("Friction of the thread", "", 0.0, 1.0),
    "flank": ("Flank of the thread", "rad", 0.0, 45.0 * pi / 180.0),
    "collar_friction": ("Friction of the collar", "", 0.0, 1.0),
    "collar_diameter": ("Mean diameter of the collar", "mm", 0.0, 1000.0),
    "efficiency": ("Efficiency", "", 0.01, 1.0),
    "load": ("Force against the fork", "N", 0.0, 1_000_000.0),
    "mass": ("Moving mass", "kg", 0.0, 10_000.0),
    "inertia": ("Moment of inertia", "kg·m²", 0.0, 1000.0),
    "ratio": ("Reduction between motor and screw", "", 0.01, 1000.0),
    "torque": ("Torque", "N·m", 0.0, 1e6),
    "travel": ("Travel", "mm", 0.01, 10_000.0),
    "duration": ("Time", "s", 0.0001, 3600.0),
    "speed": ("Greatest speed of the fork", "mm/s", 0.001, 1e6),
}


def lead_angle(lead, diameter):
    """Return the lead angle of a thread [rad]: tan λ = l / (π d)."""
    refuse(PERMITTED, lead=lead, diameter=diameter)
    return atan(lead / (pi * diameter))


def friction_angle(friction, flank=0.0):
    """Return the angle of friction of a thread [rad]: tan ρ = μ / cos γ, with γ half the angle between flanks."""
    refuse(PERMITTED, friction=friction, flank=flank)
    return atan(friction / cos(flank))


def collar_torque(load, friction, diameter):
    """Return the torque that a collar takes, at its mean diameter [N·m]: μ_c F d_c / 2."""
    refuse(PERMITTED, load=load, collar_friction=friction, collar_diameter=diameter)
    return load * friction * diameter / 2000.0


def raising_torque(load, lead, diameter, friction, flank=0.0):
    """Return the torque that drives a load along a screw, without collar [N·m]: F (d / 2) tan(λ + ρ).

    load      F, along the screw [N]
    lead      l, of one turn [mm]
    diameter  d, mean diameter of the thread [mm]
    friction  μ, of the thread [-]
    flank     γ, half the angle between flanks: 0 square, 14.5° or 15° trapezoidal [rad]

    Errors: ValueError for a thread so steep and rough that it jams (λ + ρ of 90° and above).
    Source: Shigley, Mechanical Engineering Design, §8-2 (there as fractions of l, d and μ sec γ).
    """
    refuse(PERMITTED, load=load)
    angle = lead_angle(lead, diameter) + friction_angle(friction, flank)
    if not every(angle < pi / 2.0 - 1e-6):
        raise ValueError("Lead and friction together jam the thread; state a smaller lead or less friction.")
    return load * diameter / 2000.0 * tan(angle)


def lowering_torque(load, lead, diameter, friction, flank=0.0):
    """Return the torque that lets a load back along a screw, without collar [N·m]: F (d / 2) tan(ρ - λ).

    Below zero the load drives the screw by itself; zero and above it is self-locking.
    """
    refuse(PERMITTED, load=load)
    return load * diameter / 2000.0 * tan(friction_angle(friction, flank) - lead_angle(lead, diameter))


def torque_per_force(lead, efficiency):
    """Return the torque that a newton along the screw takes [N·m/N]: l / (2π η)."""
    refuse(PERMITTED, lead=lead, efficiency=efficiency)
    return lead / (2000.0 * pi * efficiency)


def screw_efficiency(lead, torque_of_one_newton):
    """Return the efficiency of a screw from the torque of a newton [-]: η = l / (2π T)."""
    return lead / (2000.0 * pi * torque_of_one_newton)


def acceleration(torque, load, mass, lead, per_force, inertia):
    """Return the acceleration of the fork that a torque at the screw gives [mm/s²]; below zero it cannot move it.

    a = (T - F k) / (m k + J 2π / l): the torque moves the load, speeds up the mass through the thread, and speeds up
    what turns

    torque     T, at the screw [N·m]
    load       F [N]
    mass       m, that moves along [kg]
    lead       l [mm]
    per_force  k, torque of a newton along the screw [N·m/N]
    inertia    J, all that turns, referred to the screw [kg·m²]

    Source: Newton's second law.
    """
    refuse(PERMITTED, [_nothing(mass, inertia)], torque=torque, load=load, mass=mass, lead=lead, inertia=inertia)
    return (torque - load * per_force) / _resistance(mass, lead, per_force, inertia)


def needed_torque(rate, load, mass, lead, per_force, inertia):
    """Return the torque at the screw that gives an acceleration [N·m]; the inverse of `acceleration`."""
    refuse(PERMITTED, [_nothing(mass, inertia)], load=load, mass=mass, lead=lead, inertia=inertia)
    return minimum(load * per_force + rate * _resistance(mass, lead, per_force, inertia), GREATEST)


def move_time(travel, rate, speed):
    """Return the time from rest to rest over a travel [s], at most 60 s, which stands for never.

    T = 2 √(x / a), a triangle of speed, where √(x a) stays below the greatest speed v; else T = x / v + v / a, a
    trapezoid

    travel  x [mm]
    rate    a, speeding up and slowing down alike [mm/s²]; zero and below it never arrives
    speed   v [mm/s]

    Source: area under the speed; uniform acceleration.
    """
    refuse(PERMITTED, travel=travel, speed=speed)
    rising = maximum(rate, 1e-9)
    triangle = 2.0 * sqrt(travel / rising)
    trapezoid = travel / speed + speed / rising
    return minimum(where(sqrt(travel * rising) <= speed, triangle, trapezoid), NEVER)


def top_speed(travel, rate, speed):
    """Return the greatest speed reached over a travel [mm/s]: min(v, √(x a))."""
    return minimum(speed, sqrt(travel * maximum(rate, 0.0)))


def needed_rate(travel, duration, speed):
    """Return the acceleration that covers a travel in a time [mm/s²]; the inverse of `move_time`.

    a = 4 x / T² where 2 x / T stays below the greatest speed v, else a = v² / (v T - x); where even v all the way would
    take longer than T, the rate is that of a time a millionth longer, and larger than any motor's.
    """
    refuse(PERMITTED, travel=travel, duration=duration, speed=speed)
    spare = maximum(speed * duration - travel, 1e-6 * travel)
    return where(2.0 * travel <= speed * duration, 4.0 * travel / duration**2, speed**2 / spare)


def speed_along(travel, rate, speed, count=60):
    """Return (time [s], speed [mm/s]) of a move, for drawing."""
    whole, top = float(move_time(travel, rate, speed)), float(top_speed(travel, rate, speed))
    up = top / max(rate, 1e-9)
    places = [whole * place / count for place in range(count + 1)]
    return [(time, min(top, max(rate, 0.0) * min(time, whole - time)) if up else 0.0) for time in places]


def _resistance(mass, lead, per_force, inertia):
    return mass * per_force / 1000.0 + inertia * 2.0 * pi / lead


def _nothing(mass, inertia):
    if every(mass + inertia > 0):
        return ""
    return "Nothing is moved: state a moving mass, or a moment of inertia of motor or screw."
