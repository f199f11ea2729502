"""A rim seen as an ellipse: fitted to picks, with draws of all the ellipses it might be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy.optimize import least_squares
from scipy.stats import chi2
from skimage.measure import EllipseModel

from ledger.errors import PhotoRefused
from ledger.photo.ellipse import Array, axes_of, distances, is_hyperbola, nearest_conic, state_of
from ledger.photo.rim_draws import draw_rim
from ledger.photo.rim_size import rise
from ledger.photo.values import DRAWS, Pick, pick_faults, places, refuse
from ledger.quantities.draws import generator

FEWEST, MOST = 5, 200
# Picks that lie off the best ellipse more than chance would have it once in so many times are no rim.
ONCE_IN = 100
# An arc is hopeless when a rim so many times as large, or as small, fits it: when Σ(d/u)² does not rise by that of one
# freedom which chance reaches once in so many times, by picks that many times as rough as stated. Of what a pick may be
# off people judge no better, and what they misjudge a short arc multiplies.
HOPELESS, HOPELESS_ONCE_IN, ROUGHER = 2.0, 1000, 1.5
# A rim flatter than this many picking errors is seen edge-on.
EDGE_ON = 3.0
_STEP = np.array([1e-4, 1e-4, 1e-6, 1e-6, 1e-6])


class SizeUnknown(PhotoRefused):
    """An arc too short, for its picks' doubts, to tell how large its rim is."""


@dataclass(frozen=True)
class Rim:
    """A rim on a photograph.

    x, y, a, b, angle  the ellipse of least squares: centre, half axes (a ≥ b) [px], direction of the major axis from x
                       towards y [rad]
    picks              what it was fitted to
    arc                part of the rim from the first to the last pick, by the angle at the centre [°]; the rest of the
                       turn is the widest stretch without picks
    draws              ellipses it might be, (draws, 5) in the order x, y, a, b, angle
    """

    x: float
    y: float
    a: float
    b: float
    angle: float
    picks: tuple[Pick, ...]
    arc: float
    draws: Array = field(compare=False, repr=False)

    @property
    def best(self) -> Array:
        """Return the ellipse of least squares as one row in the order of the draws."""
        return np.array([[self.x, self.y, self.a, self.b, self.angle]])


def fit_rim(picks: Sequence[Pick], name: str = "rim", count: int = DRAWS) -> Rim:
    """Return the rim through picks.

    The direct ellipse of Halir and Flusser (scikit-image) starts a least squares fit of the orthogonal distances over
    the picks' uncertainties (scipy): the direct one alone weighs far points too much and makes partial arcs too small.
    Draws are those of `rim_draws`: short arcs give wide and lopsided ones, and a rim seen square-on may be square-on.

    picks  5 to 200 points of one rim, all round or on an arc, in any order; lens distortion removed
    name   of the rim, for messages
    count  draws

    PhotoRefused for too few picks, faulty ones, points on a line or a hyperbola, points farther off the best ellipse
    than once in a hundred times by their uncertainty, a rim seen edge-on; SizeUnknown for arcs that a rim of twice the
    size fits too (see `rim_size`).
    Source: Halir, Flusser, Numerically stable direct least squares fitting of ellipses, WSCG 1998, pp. 125-132;
    orthogonal distances: Gander, Golub, Strebel, BIT 34 (1994), pp. 558-578.
    """
    faults = pick_faults(picks, f"{name}, pick")
    if not FEWEST <= len(picks) <= MOST:
        faults.append(
            f"{name}: given {len(picks)} picks; expected {FEWEST} to {MOST}. An ellipse has five unknowns: "
            "mark points all round the rim, as far apart as it is seen."
        )
    refuse(faults)
    points, doubt = places(picks), np.array([pick.u for pick in picks])
    _refuse_line(points, doubt, name)
    random = generator("rim", *(repr((float(one.x), float(one.y), float(one.u))) for one in picks))
    drawn, likeliest = draw_rim(points, doubt, count, random)
    misfit, axes = _best(points, doubt, likeliest)
    if axes is None or drawn is None:
        raise PhotoRefused(_no_ellipse(points, doubt, name))
    _refuse_misfit(points, doubt, axes, misfit, name)
    _refuse_short(points, doubt, axes, misfit, name)
    x, y, a, b, angle = (float(one) for one in axes)
    return Rim(x, y, a, b, angle, tuple(picks), _arc(points, x, y), drawn)


def _refuse_line(points: Array, doubt: Array, name: str) -> None:
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if spread[-1] < 1.5 * float(doubt.mean()) or len(np.unique(points, axis=0)) < FEWEST:
        refuse([f"{name}: given picks on a line, or fewer than {FEWEST} different ones; expected points of a rim that "
                "is seen open. Mark points on both of its long sides."])  # fmt: skip


def _direct(points: Array) -> Array | None:
    """Return the direct ellipse (x, y, a, b, φ), or None where it fails."""
    middle, size = points.mean(axis=0), float(np.std(points))
    # scikit-image has no annotations.
    model: Any = EllipseModel
    found = model.from_estimate((points - middle) / size)
    if not found or not np.isfinite([*found.center, *found.axis_lengths]).all() or min(found.axis_lengths) <= 0:
        return None
    return np.array(
        [*(np.asarray(found.center) * size + middle), *(np.asarray(found.axis_lengths) * size), found.theta]
    )


def _best(points: Array, doubt: Array, likeliest: Array | None) -> tuple[float, Array | None]:
    """Return the least Σ(d/u)² and its ellipse, from the direct one or from a draw that comes nearer still."""
    direct = _direct(points)
    found = (np.inf, None) if direct is None else _least_squares(points, doubt, direct)
    if likeliest is None or found[0] <= float(np.sum((distances(state_of(likeliest), points) / doubt) ** 2)):
        return found
    return min(found, _least_squares(points, doubt, likeliest), key=lambda one: one[0])


def _least_squares(points: Array, doubt: Array, start: Array) -> tuple[float, Array | None]:
    """Return the least Σ(d/u)² about a start, and its ellipse (x, y, a, b, φ)."""

    def residual(state: Array) -> Array:
        return distances(state, points) / doubt

    def slope(state: Array) -> Array:
        steps = np.diag(_STEP)
        moved = distances(state + steps, points) - distances(state - steps, points)
        return np.asarray((moved / doubt).T / (2 * _STEP))

    size = float(np.std(points))
    scale = np.array([size, size, 1.0, 1.0, 1.0])
    with np.errstate(all="ignore"):
        try:
            found = least_squares(residual, state_of(start), slope, method="lm", x_scale=scale, max_nfev=60, ftol=1e-12)
        except (ValueError, np.linalg.LinAlgError):
            return np.inf, None
    axes = axes_of(found.x)
    if not np.isfinite(axes).all() or axes[2] > 100 * float(np.ptp(points, axis=0).max()):
        return np.inf, None
    return float(2 * found.cost), axes


def _refuse_misfit(points: Array, doubt: Array, axes: Array, misfit: float, name: str) -> None:
    free = max(len(points) - FEWEST, 1)
    most = float(chi2.isf(1 / ONCE_IN, free))
    if misfit > most and is_hyperbola(nearest_conic(*_scaled(points, doubt))[0]):
        refuse([_no_ellipse(points, doubt, name)])
    if misfit > most:
        off = np.abs(distances(state_of(axes), points))
        worst = int(np.argmax(off / doubt))
        refuse(
            [
                f"{name}: given picks that lie farther off the rim than their doubt allows (Σ(d/u)² = {misfit:.3g}; "
                f"expected about {free}, at most {most:.3g}). Pick {worst + 1} lies farthest, {off[worst]:.1f} px: "
                f"mark it again, or state {np.sqrt(misfit / free):.2g} times the uncertainty."
            ]
        )
    if axes[3] < EDGE_ON * float(doubt.mean()):
        refuse(
            [
                f"{name}: given a rim seen edge-on, half axes {axes[2]:.0f} and {axes[3]:.1f} px; expected one at "
                f"least {EDGE_ON:g} picking errors high. Use another view, or measure it as a line."
            ]
        )


def _refuse_short(points: Array, doubt: Array, axes: Array, misfit: float, name: str) -> None:
    """Refuse an arc that a far larger rim fits nearly as well, by the doubt stated or by that which the picks show."""
    rougher = max(1.0, misfit / max(len(points) - FEWEST, 1)) * ROUGHER**2
    least = rougher * float(chi2.isf(1 / HOPELESS_ONCE_IN, 1))
    if min(rise(points, doubt, axes, times, least) for times in (HOPELESS, 1 / HOPELESS)) < least:
        raise SizeUnknown(
            f"{name}: given an arc from which the rim's size is not known within a factor of {HOPELESS:g}; "
            "expected a longer arc or finer picks. Mark the rim as far round as it is seen, also on the far side."
        )


def _scaled(points: Array, doubt: Array) -> tuple[Array, Array]:
    size = float(np.std(points))
    return (points - points.mean(axis=0)) / size, doubt / size


def _no_ellipse(points: Array, doubt: Array, name: str) -> str:
    shape = "a hyperbola" if is_hyperbola(nearest_conic(*_scaled(points, doubt))[0]) else "nearly a straight line"
    return (
        f"{name}: given picks that lie on {shape}; expected an ellipse. A rim before the camera is always seen as an "
        "ellipse: look for picks of another edge, and mark more of the rim."
    )


def _arc(points: Array, x: float, y: float) -> float:
    angles = np.sort(np.arctan2(points[:, 1] - y, points[:, 0] - x))
    gaps = np.diff(np.append(angles, angles[0] + 2 * np.pi))
    return float(np.degrees(2 * np.pi - gaps.max()))
