"""Draws from a probability known up to a factor, however bent or lopsided it is.

Draws of a t distribution about the best fit are led over to the wanted density in steps: at each step the density is
(t)^(1-β) (wanted)^β with β as much greater as leaves the weights worth half the draws; they are taken by weight and
then moved about within the new density, each along the line through another one. Where the t distribution is near
enough, one step does.

Source: Del Moral, Doucet, Jasra, Sequential Monte Carlo samplers, J. R. Stat. Soc. B 68 (2006); moves along lines:
Goodman, Weare, Ensemble samplers with affine invariance, Comm. App. Math. Comp. Sci. 5 (2010), eqs. 7 to 10; both from
memory.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

Draws = NDArray[np.float64]
Density = Callable[[Draws], Draws]
# Tails of the first distribution: few degrees of freedom, and wider than the fit says.
FREEDOM = 5.0
WIDENED = 1.3
# What weights must be worth, in draws, at each step; how often draws are moved, over the number of parameters, at a
# step and after the last one.
KEPT = 0.5
MOVES, LAST_MOVES = 1, 5
MOST_STEPS = 60
# The greatest stretch along a line, z between 1/2 and 2.
STRETCH = 2.0


def draw_density(density: Density, centre: Draws, covariance: Draws, count: int, random: np.random.Generator) -> Draws:
    """Return draws of a density, shape (count, parameters).

    density     draws (any number, parameters) to the logarithm of the wanted density; -inf where it is zero
    centre      the best fit
    covariance  that of the fit, from its slopes; positive definite
    count       draws wanted, at least four times the parameters

    ValueError if the covariance is not positive, or the density is zero nearly everywhere about the fit.
    """
    root = _root(covariance)

    def first(drawn: Draws) -> Draws:
        reduced = np.linalg.solve(root, (drawn - centre).T)
        size = np.sum(reduced * reduced, axis=0)
        return np.asarray(-0.5 * (FREEDOM + centre.size) * np.log1p(size / FREEDOM))

    normal = random.standard_normal((count, centre.size))
    drawn = centre + (normal * np.sqrt(FREEDOM / random.chisquare(FREEDOM, count))[:, None]) @ root.T
    wanted, started = density(drawn), first(drawn)
    if np.isfinite(wanted).sum() < 2 * centre.size:
        raise ValueError("the density is zero nearly everywhere about the fit")
    share, steps = 0.0, 0
    halves = slice(0, count // 2), slice(count // 2, count)
    while share < 1:
        gain = _next(wanted - started, 1 - share) if steps < MOST_STEPS else 1 - share
        share, steps = min(share + gain, 1.0), steps + 1
        chosen = by_weight(_weights(gain * (wanted - started)), count, random)
        drawn, wanted, started = drawn[chosen], wanted[chosen], started[chosen]
        if share == 1 and steps == 1:
            break
        for _ in range(centre.size * (MOVES if share < 1 else LAST_MOVES)):
            for moving, held in (halves, halves[::-1]):
                offered, factor = _stretched(drawn[moving], drawn[held], random)
                new_wanted, new_started = density(offered), first(offered)
                gained = share * (new_wanted - wanted[moving]) + (1 - share) * (new_started - started[moving])
                taken = np.log(random.random(gained.size)) < factor + gained
                for kept, new in ((drawn, offered), (wanted, new_wanted), (started, new_started)):
                    kept[moving][taken] = new[taken]
    return drawn


def by_weight(weight: Draws, count: int, random: np.random.Generator) -> NDArray[np.intp]:
    """Return places taken in proportion to their weights, evenly spaced along their sum, in random order."""
    steps = np.cumsum(weight)
    marks = (np.arange(count) + random.random()) / count * steps[-1]
    return random.permutation(np.minimum(np.searchsorted(steps, marks), weight.size - 1))


def _weights(logarithm: Draws) -> Draws:
    weight = np.exp(logarithm - logarithm.max())
    return np.asarray(weight / weight.sum())


def _worth(logarithm: Draws) -> float:
    return float(1.0 / np.sum(_weights(logarithm) ** 2))


def _next(difference: Draws, left: float) -> float:
    """Return how far β may rise: all that is left, or until the weights are worth KEPT of the draws."""
    possible = difference[np.isfinite(difference)]
    if _worth(left * possible) >= KEPT * possible.size:
        return left

    def over(gain: float) -> float:
        return _worth(gain * possible) - KEPT * possible.size

    return float(brentq(over, 0.0, left, xtol=1e-4 * left)) or 1e-4 * left


def _stretched(moving: Draws, held: Draws, random: np.random.Generator) -> tuple[Draws, Draws]:
    amount, parameters = moving.shape
    others = held[random.integers(0, held.shape[0], amount)]
    along = ((np.sqrt(STRETCH) - 1 / np.sqrt(STRETCH)) * random.random(amount) + 1 / np.sqrt(STRETCH)) ** 2
    return others + along[:, None] * (moving - others), (parameters - 1) * np.log(along)


def _root(covariance: Draws) -> Draws:
    scale = np.sqrt(np.diag(covariance))
    if not (np.isfinite(scale).all() and (scale > 0).all()):
        raise ValueError("the covariance of the fit is not positive")
    # A little of the identity keeps a nearly flat covariance invertible.
    shape = covariance / np.outer(scale, scale) + 1e-9 * np.eye(scale.size)
    try:
        return np.asarray(scale[:, None] * np.linalg.cholesky(shape) * WIDENED)
    except np.linalg.LinAlgError as error:
        raise ValueError("the covariance of the fit is not positive") from error
