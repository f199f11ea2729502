"""Draws about fits of a density: offered by t distributions about them, and taken by weight.

What is offered is fitted anew to what was taken, until the weights are worth enough of the draws; a density of several
tops is offered one t distribution for each.

Source: Cappé, Douc, Guillin, Marin, Robert, Adaptive importance sampling in general mixture classes, Statistics and
Computing 18 (2008), pp. 447-459; from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp, softmax

from ledger.photo.tempered_draws import Density, Draws, by_weight, draw_density

FREEDOM, WIDENED = 7.0, 1.2
# What weights must be worth, of the draws offered; how often that is tried; how many are offered for one that is taken.
WORTH, ROUNDS, OFFERED = 0.35, 8, 3
# Each top is offered so much at least, together, whatever the fits say of them.
SHARED = 0.2
# So many draws at least to fit anew by; a top that has fewer is left as it is.
FEWEST, FEWEST_OF_ONE = 150, 30


@dataclass(frozen=True, eq=False)
class Fit:
    """One top of a density: the parameters there, their covariance, and the logarithm of the density."""

    centre: Draws
    covariance: Draws
    value: float


def draw_about(density: Density, fits: Sequence[Fit], count: int, random: np.random.Generator) -> Draws:
    """Return draws of a density, shape (count, parameters).

    density  draws (any number, parameters) to the logarithm of the wanted density; -inf where it is zero
    fits     its tops, one or more; covariances positive definite
    count    draws wanted

    ValueError if the density is zero nearly everywhere about the fits; LinAlgError if a covariance is not positive.
    """
    centres = np.stack([one.centre for one in fits])
    spreads = WIDENED * np.stack([one.covariance for one in fits])
    volume = np.array([one.value + 0.5 * np.linalg.slogdet(one.covariance)[1] for one in fits])
    share = (1 - SHARED) * softmax(volume) + SHARED / volume.size
    few = max(count // 2, 1_500)
    for _ in range(ROUNDS):
        drawn, offered = _offered(centres, spreads, share, few, random)
        total = logsumexp(offered, axis=0)
        logarithm = density(drawn) - total
        if np.isfinite(logarithm).sum() < 2 * centres.shape[1]:
            raise ValueError("the density is zero nearly everywhere about the fits")
        weight = softmax(logarithm)
        if _worth(weight) > WORTH * few:
            drawn, offered = _offered(centres, spreads, share, OFFERED * count, random)
            weight = softmax(density(drawn) - logsumexp(offered, axis=0))
            return np.asarray(drawn[by_weight(weight, count, random)])
        weight = _tamed(logarithm)
        share = _fitted(drawn, weight * np.exp(offered - total), centres, spreads)
    # Too wide a start costs steps, too narrow a one misses what is far off.
    centre = weight @ drawn
    return draw_density(density, centre, 4 * _covariance(drawn - centre, weight), count, random)


def _offered(
    centres: Draws, spreads: Draws, share: Draws, count: int, random: np.random.Generator
) -> tuple[Draws, Draws]:
    """Return draws of the mixture, and the logarithm of each part's density at each, shape (parts, count)."""
    size = centres.shape[1]
    roots = np.linalg.cholesky(spreads)
    of = random.choice(share.size, count, p=share)
    normal = random.standard_normal((count, size)) * np.sqrt(FREEDOM / random.chisquare(FREEDOM, count))[:, None]
    drawn = centres[of] + np.einsum("nij,nj->ni", roots[of], normal)
    reduced = np.linalg.solve(roots, np.swapaxes(drawn[None, :, :] - centres[:, None, :], 1, 2))
    level = np.log(share) - np.sum(np.log(np.diagonal(roots, axis1=1, axis2=2)), axis=1)
    tails = np.log1p(np.sum(reduced**2, axis=1) / FREEDOM)
    return drawn, level[:, None] - 0.5 * (FREEDOM + size) * tails


def _fitted(drawn: Draws, weights: Draws, centres: Draws, spreads: Draws) -> Draws:
    """Fit each part anew, in place, to draws by its own weights, (parts, draws); return the parts' shares."""
    share = np.maximum(weights.sum(axis=1), 0.01)
    for part, given in enumerate(weights):
        weight = given / max(given.sum(), 1e-300)
        if _worth(weight) > FEWEST_OF_ONE:
            centres[part] = weight @ drawn
            spreads[part] = _covariance(drawn - centres[part], weight)
    return np.asarray(share / share.sum())


def _covariance(off: Draws, weight: Draws) -> Draws:
    found = (off.T * weight) @ off
    return np.asarray(1.1 * found + 1e-12 * np.diag(np.diag(found)))


def _tamed(logarithm: Draws) -> Draws:
    """Return weights of a flattened density, so that enough draws are worth something."""
    power = 1.0
    weight = softmax(logarithm)
    while _worth(weight) < min(FEWEST, WORTH * logarithm.size) and power > 0.01:
        power *= 0.8
        weight = softmax(power * logarithm)
    return np.asarray(weight)


def _worth(weight: Draws) -> float:
    return float(1.0 / max(np.sum(weight**2), 1e-300))
