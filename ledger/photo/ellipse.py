"""Ellipses as five numbers, and how far points lie from them, for many ellipses at once.

A state is (x, y, ln √(ab), s, t): centre [px], logarithm of the geometric mean of the half axes [px], and the shape
s + i t = e exp(2 i φ) with e = ln(a/b), φ the direction of the major axis from x towards y. It is smooth also where the
ellipse is a circle and φ means nothing.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
# Newton's steps towards the foot of a point on an ellipse: enough for a millionth of the distance, within ten of it.
STEPS = 7


def axes_of(state: Array) -> Array:
    """Return (x, y, a, b, φ) of states, a ≥ b in pixels, φ from -π/2 to π/2; shape (..., 5)."""
    flat = np.hypot(state[..., 3], state[..., 4])
    angle = 0.5 * np.arctan2(state[..., 4], state[..., 3])
    major, minor = np.exp(state[..., 2] + flat / 2), np.exp(state[..., 2] - flat / 2)
    return np.stack((state[..., 0], state[..., 1], major, minor, angle), axis=-1)


def state_of(axes: Array) -> Array:
    """Return the states of (x, y, a, b, φ); the inverse of `axes_of`, and a < b is understood as well."""
    flat = np.log(axes[..., 2] / axes[..., 3])
    mean = 0.5 * np.log(axes[..., 2] * axes[..., 3])
    shape = (flat * np.cos(2 * axes[..., 4]), flat * np.sin(2 * axes[..., 4]))
    return np.stack((axes[..., 0], axes[..., 1], mean, *shape), axis=-1)


def distances(state: Array, points: Array) -> Array:
    """Return the shortest distances of points from ellipses [px], positive outside; shape (..., points).

    state   (..., 5)
    points  (points, 2), or (..., points, 2) with a set of points for each state
    """
    return feet(axes_of(state), points)[0]


def feet(axes: Array, points: Array) -> tuple[Array, Array, Array]:
    """Return distances from ellipses [px], and of each foot its eccentric angle τ [rad] and |d foot/dτ| [px].

    With the point at (u, v) along and across the axes, its foot is (a² u/(r + a²), b² v/(r + b²)) for the greatest root
    r of (a u/(r + a²))² + (b v/(r + b²))² = 1. Newton's steps from below reach it: the left side falls and is convex.

    axes    (..., 5) in the order x, y, a, b, φ
    points  as for `distances`
    """
    x, y, major, minor, angle = np.moveaxis(axes[..., None, :], -1, 0)
    turn, side = np.cos(angle), np.sin(angle)
    right, down = points[..., 0] - x, points[..., 1] - y
    along, across = (turn * right + side * down) / major, (turn * down - side * right) / minor
    # In units of the minor half axis, so that the root is that of (p/(r + k))² + (q/(r + 1))² = 1 with k = (a/b)².
    wide = (major / minor) ** 2
    first, second = np.maximum(np.abs(along), 1e-9) * wide, np.maximum(np.abs(across), 1e-9)
    root = np.maximum(first - wide, second - 1)
    for _ in range(STEPS):
        from_first, from_second = 1 / (root + wide), 1 / (root + 1)
        one, other = (first * from_first) ** 2, (second * from_second) ** 2
        root = root + 0.5 * (one + other - 1) / (one * from_first + other * from_second)
    cosine, sine = first / (root + wide), second / (root + 1)
    # foot - point = -r (u/(r + a²), v/(r + b²)), so that no difference of near numbers is taken.
    apart = root * np.hypot(cosine * minor * minor / major, sine * minor)
    turned = np.arctan2(np.copysign(sine, across), np.copysign(cosine, along))
    return apart, turned, np.hypot(major * sine, minor * cosine)


def conic_of(axes: Array) -> Array:
    """Return the symmetric matrices E of ellipses, with (x, y, 1) E (x, y, 1)ᵀ = 0 on them and < 0 inside."""
    x, y, major, minor, angle = np.moveaxis(axes, -1, 0)
    turn, side = np.cos(angle), np.sin(angle)
    xx = (turn / major) ** 2 + (side / minor) ** 2
    yy = (side / major) ** 2 + (turn / minor) ** 2
    xy = turn * side * (1 / major**2 - 1 / minor**2)
    xw, yw = -(xx * x + xy * y), -(xy * x + yy * y)
    ww = -(xw * x + yw * y) - 1
    rows = ((xx, xy, xw), (xy, yy, yw), (xw, yw, ww))
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)


def monomials(points: Array) -> Array:
    """Return x², xy, y², x, y, 1 of points; a conic's coefficients times these are zero on it."""
    x, y = points[..., 0], points[..., 1]
    return np.stack((x * x, x * y, y * y, x, y, np.ones_like(x)), axis=-1)


def axes_of_conic(conic: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Return (x, y, a, b, φ) of conics' six coefficients, and which of them are ellipses; the others get no sense."""
    xx, xy, yy, x, y, one = np.moveaxis(conic, -1, 0)
    with np.errstate(all="ignore"):
        room = 4 * xx * yy - xy * xy
        middle_x, middle_y = (xy * y - 2 * yy * x) / room, (xy * x - 2 * xx * y) / room
        level = -(one + 0.5 * (x * middle_x + y * middle_y))
        xx, xy, yy = xx / level, xy / level, yy / level
        mean, half = 0.5 * (xx + yy), 0.5 * np.hypot(xx - yy, xy)
        minor = 1 / np.sqrt(mean + half)
        # (mean + half)(mean - half) = xx yy - xy²/4, without the difference of near numbers.
        major = 1 / (np.sqrt(room) / np.abs(level) / 2 * minor)
        angle = 0.5 * np.arctan2(-xy, yy - xx)
        axes = np.stack((middle_x, middle_y, major, minor, angle), axis=-1)
        return axes, (room > 0) & (mean > 0) & np.isfinite(axes).all(axis=-1)


def conic_coefficients(axes: Array) -> Array:
    """Return the six coefficients of ellipses (x - c)ᵀ M (x - c) - 1, in the order of `monomials`."""
    matrix = conic_of(axes)
    rows = ((0, 0, 1), (0, 1, 2), (1, 1, 1), (0, 2, 2), (1, 2, 2), (2, 2, 1))
    return np.stack([times * matrix[..., row, column] for row, column, times in rows], axis=-1)


def nearest_conic(points: Array, doubt: Array) -> tuple[Array, Array]:
    """Return the conic of least squares of any kind, of unit length, and S = Σ m mᵀ/(u |∇(c·m)|)².

    Sampson's distances c·m/|∇(c·m)| over u; the weights are taken from the conic before, ten times.
    Source: Sampson, Fitting conic sections to very scattered data, CGIP 18 (1982), pp. 97-108.
    """
    design = monomials(points)
    x, y = points[:, 0], points[:, 1]
    zero, unit = np.zeros_like(x), np.ones_like(x)
    slope_x = np.stack((2 * x, y, zero, unit, zero, zero), axis=-1)
    slope_y = np.stack((zero, x, 2 * y, zero, unit, zero), axis=-1)
    scaled = design / doubt[:, None]
    for _ in range(10):
        conic = np.linalg.svd(scaled)[2][-1]
        slope = np.hypot(slope_x @ conic, slope_y @ conic)
        scaled = design / (doubt * np.maximum(slope, 1e-3 * slope.max()))[:, None]
    return conic, scaled.T @ scaled


def is_hyperbola(conic: Array) -> bool:
    """Return whether B² - 4 A C is above zero."""
    return bool(conic[1] ** 2 - 4 * conic[0] * conic[2] > 0)
