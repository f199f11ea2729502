"""A hydraulic cylinder that moves a mass: areas, force, speed at a limited flow, time of a travel, oil.

Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics.maths import cos, maximum, minimum, pi, sin, sqrt, where

STANDARD_GRAVITY = 9.80665
LONGEST = 10.0
LEAST_ACCELERATION = 1e-9


def bore_area(bore):
    """Return the area of a piston [mm²]: A = pi D² / 4, of its bore D [mm]."""
    return pi / 4.0 * bore * bore


def ring_area(bore, rod):
    """Return the area of a piston less that of its rod [mm²]: A = pi (D² - d²) / 4, D and d in mm."""
    return pi / 4.0 * (bore * bore - rod * rod)


def oil_force(pressure, area):
    """Return the force of oil on an area [N]: F = p A, with p in bar, A in mm² (1 bar mm² is 0.1 N).

    Source: Esposito, Fluid Power with Applications, 6th ed., ex. 6-1, p. 219.
    """
    return 0.1 * pressure * area


def piston_speed(flow, area):
    """Return the speed of a piston that takes a flow [m/s]: v = Q / A, with Q in L/min, A in mm².

    Source: Esposito, Fluid Power with Applications, 6th ed., ex. 6-1, p. 219.
    """
    return flow * (1000.0 / 60.0) / area


def flow_taken(speed, area):
    """Return the flow that a moving piston takes or gives [L/min]: Q = v A, with v in m/s, A in mm²."""
    return speed * area * (60.0 / 1000.0)


def resistance_of_mass(mass, friction=0.0, slope=0.0):
    """Return the force that keeps a mass moving along a slope at constant speed [N].

    F = m g (mu cos(theta) + sin(theta))

    mass      m [kg]
    friction  mu of the slide [-]
    slope     theta, upward positive [°], -90 to 90

    Source: statics; Esposito, Fluid Power with Applications, 6th ed., ex. 6-2 and 6-3, p. 221.
    """
    angle = slope * (pi / 180.0)
    return mass * STANDARD_GRAVITY * (friction * cos(angle) + sin(angle))


def oil_column_mass(area, length, pipe_bore, density):
    """Return the mass that a piston feels of the oil it moves through a pipe [kg].

    m = rho L A² / a: the oil in the pipe moves A / a times as fast as the piston

    area       A of the piston [mm²]
    length     L of the pipe [m]
    pipe_bore  of the pipe, a = pi d² / 4 [mm]
    density    rho [kg/m³]

    Source: kinetic energy of the column, rho a L (v A / a)² / 2, set equal to m v² / 2.
    """
    return 1e-6 * density * length * area * area / bore_area(pipe_bore)


def travel_time(travel, acceleration, speed):
    """Return the time of a travel from rest at constant acceleration up to a limit of speed [s], at most 10.

    t = sqrt(2 h / a)      while v² / (2 a) >= h: the limit is not reached
    t = h / v + v / (2 a)  otherwise

    travel        h [m], above 0
    acceleration  a [m/s²]; at 0 or below nothing moves, which counts as 10 s
    speed         v, limit of speed [m/s], above 0
    """
    pull = maximum(acceleration, LEAST_ACCELERATION)
    free = speed * speed >= 2.0 * pull * travel
    return minimum(LONGEST, where(free, sqrt(2.0 * travel / pull), travel / speed + speed / (2.0 * pull)))


def speed_after(travel, acceleration, speed):
    """Return the speed at the end of that travel [m/s]: min(v, sqrt(2 a h)); 0 where nothing moves."""
    return minimum(speed, sqrt(2.0 * maximum(acceleration, 0.0) * travel))
