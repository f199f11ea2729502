"""Motion laws of a cam from rest to rest: how a follower goes from 0 to 1 while the cam goes from 0 to 1.

A law gives displacement s, velocity v = ds/dz, acceleration a = dv/dz and jerk j = da/dz over the share z of the arc.
For a travel h over an arc beta these are multiplied by h, h/beta, h/beta² and h/beta³; over a time t, by h/t and so on.
Every law here is symmetrical: s(1 - z) = 1 - s(z). Values are floats or arrays of draws.

Sources: Norton, Cam Design and Manufacturing Handbook, 2nd ed. (2009), ch. 2 and 3, and Design of Machinery, ch. 8;
VDI 2143-1:1980 for cycloid ("inclined sine"), modified sine and 3-4-5. Formulas derived anew from the accelerations.
"""

from __future__ import annotations

from ledger.mechanics.maths import cos, minimum, pi, sin, where
from ledger.mechanics.refusing import refuse

UNIFORM, HARMONIC, CYCLOIDAL, MODIFIED_SINE = "uniform", "harmonic", "cycloidal", "modified sine"
MODIFIED_TRAPEZOID, POLY_345, POLY_4567 = "modified trapezoid", "3-4-5", "4-5-6-7"
CONSTANT_ACCELERATION = "constant acceleration"
LAWS = (
    UNIFORM,
    HARMONIC,
    CYCLOIDAL,
    MODIFIED_SINE,
    MODIFIED_TRAPEZOID,
    POLY_345,
    POLY_4567,
    CONSTANT_ACCELERATION,
)
PERMITTED = {"z": ("Share of the arc", "", 0.0, 1.0)}

# Points of laws that were asked for, by law, count and end.
_points = {}

# Modified sine, 1/8-3/4-1/8: coefficient such that the law ends at exactly 1. (With pi/4 it would not.)
SINE = pi / (4.0 + pi)
# Modified trapezoid, sine quarters of 1/8 of the arc: its constant acceleration.
TRAPEZOID = 8.0 * pi / (2.0 + pi)

# Greatest velocity, acceleration and jerk; None where it is infinite.
PEAKS = {
    UNIFORM: (1.0, None, None),
    HARMONIC: (pi / 2.0, pi**2 / 2.0, None),
    CYCLOIDAL: (2.0, 2.0 * pi, 4.0 * pi**2),
    MODIFIED_SINE: (4.0 * SINE, 4.0 * pi * SINE, 16.0 * pi**2 * SINE),
    MODIFIED_TRAPEZOID: (2.0, TRAPEZOID, 4.0 * pi * TRAPEZOID),
    POLY_345: (1.875, 10.0 / 3.0**0.5, 60.0),
    POLY_4567: (2.1875, 84.0 / 5.0**1.5, 52.5),
    CONSTANT_ACCELERATION: (2.0, 4.0, None),
}


def velocity_factor(law):
    """Return the greatest velocity over the mean velocity, C_v [-]."""
    return _peaks(law)[0]


def acceleration_factor(law):
    """Return the greatest acceleration over h/beta², C_a [-]; ValueError for the uniform law, where it is infinite."""
    return _finite(law, 1, "acceleration")


def jerk_factor(law):
    """Return the greatest jerk over h/beta³, C_j [-]; ValueError where the acceleration jumps."""
    return _finite(law, 2, "jerk")


def displacement(law, z):
    """Return the displacement over the travel, s [-], at the share z of the arc, 0 to 1."""
    return _symmetrical(law, z, 0)


def velocity(law, z):
    """Return the velocity over h/beta, v = ds/dz [-], at the share z of the arc, 0 to 1."""
    return _symmetrical(law, z, 1)


def acceleration(law, z):
    """Return the acceleration over h/beta², a = dv/dz [-], at the share z of the arc, 0 to 1.

    At z = 1/2 and at the ends it is the limit from within; between rest and motion harmonic and constant acceleration
    jump, and the uniform law has 0 within and an infinite blow at either end.
    """
    return _symmetrical(law, z, 2)


def jerk(law, z):
    """Return the jerk over h/beta³, j = da/dz [-], at the share z of the arc, 0 to 1, within the motion."""
    return _symmetrical(law, z, 3)


def share_at(law, displaced):
    """Return the share of the arc z at which a law has come to a displacement 0 to 1; a float, by halving 60 times."""
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if displacement(law, middle) < displaced else (low, middle)
    return (low + high) / 2.0


def points(law, count, end=1.0):
    """Return (z, s, v, a) at `count` + 1 evenly spread shares of the arc from 0 to `end`, as floats; a tuple."""
    _peaks(law)
    asked = law, count, end
    if asked not in _points:
        refuse(PERMITTED, z=end)
        _points[asked] = tuple(_point(law, end * place / count) for place in range(count + 1))
    return _points[asked]


def _point(law, z):
    halves = _HALVES[law](minimum(z, 1.0 - z))
    return z, *(float(_turned(halves[order], z, order)) for order in range(3))


def _symmetrical(law, z, order):
    """Return a derivative from the first half alone."""
    _peaks(law)
    refuse(PERMITTED, z=z)
    return _turned(_HALVES[law](minimum(z, 1.0 - z))[order], z, order)


def _turned(half, z, order):
    """Return a derivative from that of the first half: s and a turn their sign about the middle, v and j do not."""
    late = z > 0.5
    if order == 0:
        return where(late, 1.0 - half, half)
    return where(late, -half, half) if order == 2 else half


def _uniform(w):
    return w, 1.0 + 0.0 * w, 0.0 * w, 0.0 * w


def _harmonic(w):
    turn = pi * w
    return (
        (1.0 - cos(turn)) / 2.0,
        pi / 2.0 * sin(turn),
        pi**2 / 2.0 * cos(turn),
        -(pi**3) / 2.0 * sin(turn),
    )


def _cycloidal(w):
    turn = 2.0 * pi * w
    return (
        w - sin(turn) / (2.0 * pi),
        1.0 - cos(turn),
        2.0 * pi * sin(turn),
        4.0 * pi**2 * cos(turn),
    )


def _modified_sine(w):
    fast, slow = 4.0 * pi * w, 4.0 * pi / 3.0 * (w - 0.125)
    first = w <= 0.125
    return (
        SINE * where(first, w - sin(fast) / (4.0 * pi), 2.0 / pi + w - 9.0 / (4.0 * pi) * cos(slow)),
        SINE * where(first, 1.0 - cos(fast), 1.0 + 3.0 * sin(slow)),
        4.0 * pi * SINE * where(first, sin(fast), cos(slow)),
        16.0 * pi**2 * SINE * where(first, cos(fast), -sin(slow) / 3.0),
    )


def _modified_trapezoid(w):
    rate = 4.0 * pi
    early, level, late = rate * w, w - 0.125, rate * (w - 0.375)
    first, second = w <= 0.125, w <= 0.375
    gained = 1.0 / rate  # velocity at 1/8, over the constant acceleration
    fast = gained + 0.25  # the same at 3/8
    begun = 0.125 / rate - 1.0 / rate**2  # displacement at 1/8
    middle = begun + 0.25 * gained + 0.25**2 / 2.0  # and at 3/8
    return (
        TRAPEZOID
        * where(
            first,
            w / rate - sin(early) / rate**2,
            where(
                second,
                begun + gained * level + level**2 / 2.0,
                middle + fast * (w - 0.375) + (1.0 - cos(late)) / rate**2,
            ),
        ),
        TRAPEZOID * where(first, (1.0 - cos(early)) / rate, where(second, gained + level, fast + sin(late) / rate)),
        TRAPEZOID * where(first, sin(early), where(second, 1.0, cos(late))),
        TRAPEZOID * rate * where(first, cos(early), where(second, 0.0, -sin(late))),
    )


def _poly_345(w):
    return (
        w**3 * (10.0 - 15.0 * w + 6.0 * w**2),
        30.0 * w**2 * (1.0 - w) ** 2,
        60.0 * w * (1.0 - w) * (1.0 - 2.0 * w),
        60.0 - 360.0 * w + 360.0 * w**2,
    )


def _poly_4567(w):
    both = w * (1.0 - w)
    return (
        w**4 * (35.0 - 84.0 * w + 70.0 * w**2 - 20.0 * w**3),
        140.0 * both**3,
        420.0 * both**2 * (1.0 - 2.0 * w),
        840.0 * both * (1.0 - 5.0 * both),
    )


def _constant_acceleration(w):
    return 2.0 * w**2, 4.0 * w, 4.0 + 0.0 * w, 0.0 * w


_HALVES = {
    UNIFORM: _uniform,
    HARMONIC: _harmonic,
    CYCLOIDAL: _cycloidal,
    MODIFIED_SINE: _modified_sine,
    MODIFIED_TRAPEZOID: _modified_trapezoid,
    POLY_345: _poly_345,
    POLY_4567: _poly_4567,
    CONSTANT_ACCELERATION: _constant_acceleration,
}


def _peaks(law):
    if law not in PEAKS:
        raise ValueError(f"Motion law {law!r} given; known are {', '.join(LAWS)}.")
    return PEAKS[law]


def _finite(law, place, what):
    peak = _peaks(law)[place]
    if peak is None:
        raise ValueError(f"The {what} of the {law} law is infinite where motion begins and ends.")
    return peak
