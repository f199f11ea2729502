"""Draws of all the ellipses that a rim's picks might lie on.

The probability of an ellipse is exp(-½ Σ (d/u)²), d the picks' distances from it, times what is known beforehand:

- the rim's centre is anywhere, its size any by ratio (flat in ln a);
- its axis points in any direction of space, so that b/a is even from 0 to 1 and φ from 0 to π;
- the picks lie evenly on a part of the rim, which is any part of it, from none to the whole.

The last makes, with the eccentric angles τ of the picks' feet and W the part of the turn that holds them all,
Π |d foot/dτ|⁻¹ · I(W), where I(W) = ∫ w⁻ⁿ (w - W) dw from W to 2π.

Moves are made among the conic's six coefficients, in which the picks' distances are nearly linear, so that also short
arcs, whose ellipses are spread along a bent and narrow valley, are drawn well. There
|∂ coefficients/∂ (x, y, ln a, b/a, φ)| = 32 (b⁻² - a⁻²) a⁻³ b⁻⁵ / (c₀·c)⁶, as follows from M = R diag(a⁻², b⁻²) Rᵀ.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ledger.photo.ellipse import Array, axes_of_conic, conic_coefficients, feet, nearest_conic
from ledger.photo.tempered_draws import draw_density

# Beyond these an ellipse is no longer told from a line, a parabola or a circle by doubles.
FLATTEST, LARGEST, ROUNDEST = 1e-4, 1e4, 1e-9
TURN = 2 * np.pi


def draw_rim(points: Array, doubt: Array, count: int, random: np.random.Generator) -> tuple[Array | None, Array | None]:
    """Return draws of the ellipse, (count, 5) in the order x, y, a, b, φ, and the one of them nearest to the picks.

    None where no ellipse lies near the conic of the picks.

    points  (points, 2) [px]; doubt their standard uncertainties [px]
    """
    middle, size = points.mean(axis=0), float(np.std(points))
    near, doubts = (points - middle) / size, doubt / size
    centre, scatter = nearest_conic(near, doubts)
    basis = np.linalg.svd(centre[None, :])[2][1:].T

    def ellipses(moved: Array) -> tuple[Array, NDArray[np.bool_]]:
        return axes_of_conic(centre + moved @ basis.T)

    def density(moved: Array) -> Array:
        axes, real = ellipses(moved)
        ratio = axes[:, 3] / axes[:, 2]
        real = real & (axes[:, 2] < LARGEST) & (ratio > FLATTEST)
        found = np.full(moved.shape[0], -np.inf)
        if real.any():
            found[real] = _log_density(axes[real], near, doubts, centre)
        return found

    with np.errstate(all="ignore"):
        try:
            moved = draw_density(density, np.zeros(5), np.linalg.inv(basis.T @ scatter @ basis), count, random)
        except (ValueError, np.linalg.LinAlgError):
            return None, None
        drawn = ellipses(moved)[0]
        nearest = int(np.argmin(np.sum((feet(drawn, near)[0] / doubts) ** 2, axis=-1)))
    drawn[:, :2] = drawn[:, :2] * size + middle
    drawn[:, 2:4] *= size
    return drawn, drawn[nearest]


def _log_density(axes: Array, points: Array, doubt: Array, centre: Array) -> Array:
    major, minor = axes[:, 2], axes[:, 3]
    apart, turned, speed = feet(axes, points)
    fit = -0.5 * np.sum((apart / doubt) ** 2, axis=-1) - np.sum(np.log(speed), axis=-1)
    part = np.log(_evenly(_span(turned), points.shape[0]))
    round_off = np.maximum(minor**-2.0 - major**-2.0, ROUNDEST * minor**-2.0)
    into = np.log(round_off) - 3 * np.log(major) - 5 * np.log(minor)
    return np.asarray(fit + part - into + 6 * np.log(np.abs(conic_coefficients(axes) @ centre)))


def _span(turned: Array) -> Array:
    """Return the least part of the turn that holds all angles [rad]."""
    ordered = np.sort(turned, axis=-1)
    gaps = np.diff(np.concatenate((ordered, ordered[..., :1] + TURN), axis=-1), axis=-1)
    return np.asarray(TURN - gaps.max(axis=-1))


def _evenly(span: Array, count: int) -> Array:
    """Return ∫ w⁻ⁿ (w - W) dw from W to 2π, over (2π)²⁻ⁿ: the chance of picks within W, all parts of a turn alike."""
    share = np.clip(span / TURN, 1e-6, 1 - 1e-6)
    return np.asarray((share ** (2 - count) - 1) / (count - 2) - share * (share ** (1 - count) - 1) / (count - 1))
