"""How much worse picks fit a rim that is so many times as large as the best one.

The refusal of an arc too short to tell its size must not hang on the draw of its errors: by luck a short arc looks more
curved than it is, and then seems to tell its size well. The profile does not: it holds the size fixed and asks how near
the best of all ellipses of that size comes to the picks. For picks with the stated doubts that rise in Σ(d/u)² is about
χ² with one freedom at the true size, wherever the true one lies (Wilks, Ann. Math. Stat. 9 (1938), pp. 60-62, from
memory).
"""

from __future__ import annotations

from contextlib import suppress

import numpy as np
from scipy.optimize import least_squares

from ledger.photo.ellipse import Array, distances, state_of

# The size is led up in so many steps of ratio, each starting at the ellipse of the one before.
STEPS = 5
# A profile that stands so many times above what is asked does not fall back to it farther out.
FAR_ABOVE = 30.0
_STEP = np.array([1e-4, 1e-4, 1e-6, 1e-6])


def rise(points: Array, doubt: Array, axes: Array, times: float, asked: float = np.inf) -> float:
    """Return by how much the least Σ(d/u)² rises if the half axis a is held at so many times that of the best ellipse.

    points  (points, 2) [px]; doubt their standard uncertainties [px]
    axes    the best ellipse (x, y, a, b, φ)
    times   > 0, not 1
    asked   the rise that is asked for: nearer sizes that stand FAR_ABOVE times above it end the search

    About nothing for an arc that does not tell its size; it is never above the true one by more than the search misses.
    """
    state = state_of(axes)
    best = float(np.sum((distances(state, points) / doubt) ** 2))
    found = best
    for step in np.linspace(0, np.log(times), STEPS + 1)[1:]:
        state = _at(points, doubt, state, float(np.log(axes[2]) + step))
        found = float(np.sum((distances(state, points) / doubt) ** 2))
        if found - best > FAR_ABOVE * asked:
            break
    return found - best


def _at(points: Array, doubt: Array, start: Array, size: float) -> Array:
    """Return the state of the best ellipse whose ln a is `size`, searched from a start among x, y, s and t."""

    def state_at(free: Array) -> Array:
        mean = size - np.hypot(free[..., 2], free[..., 3]) / 2
        return np.concatenate((free[..., :2], mean[..., None], free[..., 2:]), axis=-1)

    def residual(free: Array) -> Array:
        return distances(state_at(free), points) / doubt

    def slope(free: Array) -> Array:
        steps = np.diag(_STEP)
        moved = distances(state_at(free + steps), points) - distances(state_at(free - steps), points)
        return np.asarray((moved / doubt).T / (2 * _STEP))

    wide = float(np.std(points))
    scale = np.array([wide, wide, 1.0, 1.0])
    free = start[[0, 1, 3, 4]]
    # Where the search fails, the ellipse of the step before is taken, made so large.
    with np.errstate(all="ignore"), suppress(ValueError, np.linalg.LinAlgError):
        free = least_squares(residual, free, slope, method="lm", x_scale=scale, max_nfev=60).x
    return np.asarray(state_at(free))
