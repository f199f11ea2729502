"""Forces along the road: the engine's torque at a speed, resistance, tyre limit, carried mass, and a step in time.

Values are floats or arrays of draws of one shape. Speeds of the vehicle are in m/s.
"""

from __future__ import annotations

from ledger.mechanics.maths import maximum, minimum, pi, sqrt, where

GRAVITY = 9.80665
SPIN = 30.0 / pi


def neighbours(rows):
    """Return each row together with the next."""
    return [(rows[place], rows[place + 1]) for place in range(len(rows) - 1)]


def torque_at(speed, curve):
    """Return the torque of an engine at a speed [N·m]: straight lines between the rows, level beyond both ends.

    speed  n of the engine [1/min]
    curve  rows of `speed` [1/min], rising, and `torque` [N·m]

    Written as T_1 + sum (m_k - m_(k-1)) max(n - n_k, 0), m_k the slope after row k, which needs no search of a place.
    """
    inside = minimum(maximum(speed, curve[0]["speed"]), curve[-1]["speed"])
    torque, slope = curve[0]["torque"] + 0.0 * inside, 0.0
    for row, after in neighbours(curve):
        steeper = (after["torque"] - row["torque"]) / (after["speed"] - row["speed"])
        torque = torque + (steeper - slope) * maximum(inside - row["speed"], 0.0)
        slope = steeper
    return torque


def resistance(speed, mass, rolling, drag, grade):
    """Return what holds a vehicle back [N]: drag, rolling, and the slope of the road.

    R = k v² + m g (f cos a + sin a), with tan a the grade

    speed    v [m/s]
    mass     m [kg]
    rolling  f, rolling force over the load on the wheels [-]
    drag     k = rho c_d A / 2 [kg/m]
    grade    rise over run, negative downhill [-]

    Source: Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 4 (from memory); Newton's second law.
    """
    return drag * speed * speed + mass * GRAVITY * (rolling + grade) / sqrt(1.0 + grade * grade)


def tyre_force(speed, mass, grip, driven, downforce, grade):
    """Return the greatest force the driven tyres pass to the road [N].

    F = mu (x m g cos a + b v²): the load on the driven wheels without its shift rearward, and downforce upon them

    speed      v [m/s]
    mass       m [kg]
    grip       mu, force over load at the limit [-]
    driven     x, share of the weight on driven wheels [-]
    downforce  b = rho c_l A / 2 on driven wheels [kg/m]
    grade      rise over run [-]
    """
    return grip * (driven * mass * GRAVITY / sqrt(1.0 + grade * grade) + downforce * speed * speed)


def carried_mass(mass, wheel_inertia, radius, engine_inertia=0.0, ratio=0.0, efficiency=1.0):
    """Return the mass that has to be accelerated, with what turns [kg].

    M = m + J_w/r² + eta J i²/r²: the engine's part grows with the square of the ratio, and leaves while it is free

    mass            m [kg]
    wheel_inertia   J_w of all wheels and what turns with them [kg·m²]
    radius          r, rolling radius [m]
    engine_inertia  J of all that turns with the engine [kg·m²]
    ratio           i, engine speed over wheel speed [-]
    efficiency      eta, power at the wheels over power of the engine [-]

    Source: Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 2 (from memory), or Newton's second law.
    """
    return mass + (wheel_inertia + efficiency * engine_inertia * ratio * ratio) / (radius * radius)


def advance(speed, first, pull, duration):
    """Return speed [m/s] and distance [m] after a short time, by the classical fourth-order step of Runge and Kutta.

    speed     v at the start [m/s]
    first     acceleration at the start [m/s²]
    pull      function: acceleration [m/s²] at a speed
    duration  of the step [s]

    Source: Kutta (1901); any text of numerical analysis. The error of a step is of the fifth order in its duration
    where the acceleration is smooth.
    """
    second_speed = speed + first * duration / 2.0
    second = pull(second_speed)
    third_speed = speed + second * duration / 2.0
    third = pull(third_speed)
    last_speed = speed + third * duration
    return (
        speed + duration * (first + 2.0 * (second + third) + pull(last_speed)) / 6.0,
        duration * (speed + 2.0 * (second_speed + third_speed) + last_speed) / 6.0,
    )


def time_between(speed, wanted, first, pull, least):
    """Return time [s] and distance [m] from one speed to another, by Simpson's rule over speed.

    t = integral dv/a, s = integral v dv/a; both negative where the wanted speed is the lower one

    speed, wanted  [m/s]
    first          acceleration at the first of them [m/s²]
    pull           function: acceleration [m/s²] at a speed
    least          acceleration taken in place of any smaller one [m/s²], above 0
    """
    middle = (speed + wanted) / 2.0
    start, half, end = (1.0 / maximum(one, least) for one in (first, pull(middle), pull(wanted)))
    share = (wanted - speed) / 6.0
    return share * (start + 4.0 * half + end), share * (speed * start + 4.0 * middle * half + wanted * end)


def time_to_place(speed, acceleration, distance):
    """Return the time to a place at constant acceleration [s]; very long where it is never reached.

    t = 2 s / (v + sqrt(v² + 2 a s))

    speed         v [m/s], 0 or more
    acceleration  a [m/s²]
    distance      s [m], 0 or more
    """
    under = speed * speed + 2.0 * acceleration * distance
    root = speed + sqrt(maximum(under, 0.0))
    never = (under <= 0.0) | (root <= 0.0)
    return where(never, 1e9, 2.0 * distance / where(never, 1.0, root))
