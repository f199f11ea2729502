"""The involute function and its inverse. Angles in radians; values are floats or arrays of draws of one shape."""

from __future__ import annotations

from ledger.mechanics.maths import atan, every, maximum, tan

STEPS = 4


def inv(angle):
    """Return the involute of an angle: inv α = tan α − α.

    angle  α [rad], 0 to below π/2

    Errors: ValueError for an angle below zero, or at or above a right angle.
    Source: ISO 21771-1:2024, 4.3; Machinery's Handbook, "Involute functions": inv 20° = 0.014904.
    """
    if not every((angle >= 0) & (angle < 1.5707)):
        raise ValueError("An involute needs an angle from 0° to below 90°.")
    return tan(angle) - angle


def inverse_inv(value):
    """Return the angle of an involute [rad], to about the last digit of a float.

    Newton's method on t − arctan t = inv α with t = tan α, which is convex and rising, so that every start above zero
    leads to the root; a fixed number of steps serves floats and arrays alike.

    value  inv α [-], 0 and above

    Errors: ValueError for a value below zero.
    """
    if not every(value >= 0):
        raise ValueError("No angle has an involute below zero.")
    cube = (3.0 * maximum(value, 1e-30)) ** (1.0 / 3.0)
    slope = cube + cube**3 / 5.0
    for _ in range(STEPS):
        slope = slope - (slope - atan(slope) - value) * (1.0 + slope * slope) / (slope * slope)
    return atan(maximum(slope, 0.0))
