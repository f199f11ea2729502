"""One change of gear in a recording: the engine's line fitted before, in and after its fall, with draws.

With τ before the change and σ after it, the line's frequency is

    f₁ (1 + r₁ τ + k₁ τ²/2)              τ = t - t₁ ≤ 0
    f₁ + (f₂ - f₁) s(u)                  u = (t - t₁)/g from 0 to 1, s = (1 - m) u + m (1 - cos πu)/2
    f₂ (1 + r₂ σ + k₂ σ²/2)              σ = t - t₁ - g ≥ 0,   f₂ = f₁/q

The sound is moved down by the phase of a first guess, kept within a narrow band, and cut in blocks of some cycles. With
an amplitude of its own for each block, and noise of unknown strength, the probability is R^-w(M - B), R being what is
left of the energy of the M samples when each of the B blocks' share in phase with the line is taken away. In even noise
w is 1. Lines beside it, such as gear whine, are not: with w = 0.8 intervals held the truth as often as they claim in
recordings half of which had whine.

Source: Bretthorst, Bayesian Spectrum Analysis and Parameter Estimation (1988), ch. 2 to 4; from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.signal import hilbert, resample

from ledger.photo.drawing import draw_density
from ledger.photo.ellipse import Array

# Order of the parameters, and how far each is moved to find slopes.
LOG_F, LOG_Q, RISE_1, RISE_2, CURVE_1, CURVE_2, TIME, LOG_GAP, SHAPE = range(9)
_STEP = np.array([1e-4, 1e-4, 3e-3, 3e-3, 3e-2, 3e-2, 3e-4, 3e-3, 3e-2])
# Normal doubt beforehand of rise [1/s] and of its change [1/s²]; gaps by ratio alike between these [s].
RISE_U, CURVE_U = 1.0, 0.3
SHORTEST_GAP, LONGEST_GAP = 0.005, 0.6
# What a sample of noise is worth where other lines are part of it.
WORTH = 0.8
# Half the band kept about the line over its frequency, cycles in a block, and on either side how much is heard [s].
BAND, CYCLES, SIDE = 0.2, 10.0, 0.45


@dataclass(frozen=True, eq=False)
class Piece:
    """Sound about a change: complex samples moved down, their times [s], the phase taken off [rad], and blocks."""

    samples: NDArray[np.complex128]
    times: Array
    phase: Array
    blocks: NDArray[np.intp]


def phase_of(found: Array, times: Array) -> Array:
    """Return the line's phase from t₁ on [rad], shape (draws, times)."""
    f1 = np.exp(found[:, LOG_F])[:, None]
    f2 = f1 * np.exp(-found[:, LOG_Q])[:, None]
    gap, shape = np.exp(found[:, LOG_GAP])[:, None], found[:, SHAPE][:, None]
    since = times[None, :] - found[:, TIME][:, None]
    before, after = np.minimum(since, 0), np.maximum(since - gap, 0)
    inside = np.clip(since / gap, 0, 1)
    rise_1, rise_2, curve_1, curve_2 = (found[:, k][:, None] for k in (RISE_1, RISE_2, CURVE_1, CURVE_2))
    straight, soft = inside**2 / 2, inside / 2 - np.sin(np.pi * inside) / (2 * np.pi)
    cycles = f1 * (before + rise_1 * before**2 / 2 + curve_1 * before**3 / 6)
    cycles += gap * (f1 * inside + (f2 - f1) * ((1 - shape) * straight + shape * soft))
    cycles += f2 * (after + rise_2 * after**2 / 2 + curve_2 * after**3 / 6)
    return np.asarray(2 * np.pi * cycles)


def cut(samples: Array, rate: float, start: float, end: float, guess: Array) -> Piece:
    """Return the sound from start to end [s] about the line of a guess (one row of parameters)."""
    first, last = max(int(start * rate), 0), min(int(end * rate), samples.size)
    times = np.arange(first, last) / rate
    phase = phase_of(guess[None, :], times)[0]
    moved = hilbert(samples[first:last]) * np.exp(-1j * phase)
    frequency = float(np.exp(guess[LOG_F] - 0.5 * guess[LOG_Q]))
    count = max(int((last - first) / rate * 2 * BAND * frequency), 24)
    kept = resample(moved, count)
    at = times[0] + np.arange(count) * (last - first) / rate / count
    # The ends are bent by the resampling's wrapping round.
    inner = slice(1, count - 1)
    blocks = np.floor((at - at[0]) / (CYCLES / frequency)).astype(int)[inner]
    taken = phase_of(guess[None, :], at)[0]
    return Piece(np.asarray(kept)[inner], at[inner], taken[inner], np.unique(blocks, return_index=True)[1])


def log_density(found: Array, piece: Piece, reach: tuple[float, float]) -> Array:
    """Return the logarithm of the probability of parameters, (draws,); `reach` holds t₁ [s]."""
    energy = float(np.sum(np.abs(piece.samples) ** 2))
    turned = piece.samples * np.exp(1j * (piece.phase - phase_of(found, piece.times)))
    sizes = np.diff(np.append(piece.blocks, piece.times.size))
    shared = np.sum(np.abs(np.add.reduceat(turned, piece.blocks, axis=1)) ** 2 / sizes, axis=1)
    left = np.maximum(energy - shared, 1e-9 * energy)
    free = piece.times.size - piece.blocks.size
    known = -0.5 * (found[:, RISE_1] ** 2 + found[:, RISE_2] ** 2) / RISE_U**2
    known = known - 0.5 * (found[:, CURVE_1] ** 2 + found[:, CURVE_2] ** 2) / CURVE_U**2
    gap, shape = found[:, LOG_GAP], found[:, SHAPE]
    allowed = (gap > np.log(SHORTEST_GAP)) & (gap < np.log(LONGEST_GAP)) & (shape >= 0) & (shape <= 1)
    allowed &= (found[:, TIME] > reach[0]) & (found[:, TIME] < reach[1]) & (np.abs(found[:, LOG_Q]) < 1.5)
    return np.where(allowed, known - WORTH * free * np.log(left / energy), -np.inf)


def draw_change(
    samples: Array, rate: float, span: tuple[float, float], guess: Array, count: int, random: np.random.Generator
) -> Array | None:
    """Return draws of a change's parameters, (count, 9), or None where the line cannot be fitted.

    span   the sound that holds this change and no other [s]
    guess  one row of parameters, from the ridge
    """
    with np.errstate(all="ignore"):
        for _ in range(2):
            piece = cut(samples, rate, *span, guess)
            reach = (max(span[0], guess[TIME] - 0.25), min(span[1], guess[TIME] + 0.25))
            guess = _climb(_searched(guess, piece, reach), piece, reach)
        piece = cut(samples, rate, *span, guess)

        def density(found: Array) -> Array:
            # Parameters far off give phases that overflow: such a change cannot be.
            return np.asarray(np.nan_to_num(log_density(found, piece, reach), nan=-np.inf))

        try:
            return draw_density(density, guess, _covariance(guess, piece, reach), count, random)
        except (ValueError, np.linalg.LinAlgError):
            return None


def _searched(guess: Array, piece: Piece, reach: tuple[float, float]) -> Array:
    """Return the best of a grid of times, gaps and ratios about a guess, the middle of the fall kept first."""
    middle = guess[TIME] + 0.5 * np.exp(guess[LOG_GAP])
    gaps = np.array([0.015, 0.03, 0.05, 0.08, 0.12, 0.18, 0.26])
    shifts, ratios = np.linspace(-0.06, 0.06, 13), np.linspace(-0.02, 0.02, 5)
    gap, shift, more, level = (one.ravel() for one in np.meshgrid(gaps, shifts, ratios, ratios / 2))
    offered = np.repeat(guess[None, :], gap.size + 1, axis=0)
    offered[1:, TIME] = middle + shift - gap / 2
    offered[1:, LOG_GAP] = np.log(gap)
    offered[1:, LOG_Q] += more
    offered[1:, LOG_F] += level
    return np.asarray(offered[int(np.argmax(log_density(offered, piece, reach)))])


def _climb(guess: Array, piece: Piece, reach: tuple[float, float]) -> Array:
    scale = 10 * _STEP

    def worse(moved: Array) -> tuple[float, Array]:
        at = guess + moved * scale
        tried = np.concatenate((at[None, :], at + np.diag(_STEP), at - np.diag(_STEP)))
        tried[:, SHAPE] = np.clip(tried[:, SHAPE], 0, 1)
        values = -log_density(tried, piece, reach)
        values = np.where(np.isfinite(values), values, 1e6)
        return float(values[0]), (values[1:10] - values[10:]) / (2 * _STEP) * scale

    found = minimize(worse, np.zeros(9), jac=True, method="BFGS", options={"maxiter": 40})
    best = guess + found.x * scale
    best[SHAPE] = min(max(best[SHAPE], 0.05), 0.95)
    pair = np.stack((best, guess))
    return np.asarray(pair[int(np.argmax(log_density(pair, piece, reach)))])


def _covariance(guess: Array, piece: Piece, reach: tuple[float, float]) -> Array:
    """Return the covariance by the second differences of the density, made positive."""
    step = 5 * _STEP
    inner = guess.copy()
    inner[SHAPE] = 0.5
    steps = np.diag(step)
    pairs = [(i, j) for i in range(9) for j in range(i + 1)]
    tried = np.stack([inner + a * steps[i] + b * steps[j] for i, j in pairs for a in (1, -1) for b in (1, -1)])
    values = np.nan_to_num(log_density(tried, piece, reach), neginf=-1e6).reshape(-1, 4)
    bent = np.zeros((9, 9))
    for (i, j), (pp, pm, mp, mm) in zip(pairs, values, strict=True):
        bent[i, j] = bent[j, i] = -(pp - pm - mp + mm) / 4
    sizes, vectors = np.linalg.eigh(bent)
    # In units of the steps; no direction is left looser than the prior could make it.
    inverse = (vectors / np.maximum(sizes, 1e-3)) @ vectors.T
    covariance = inverse * np.outer(step, step)
    loosest = np.array([0.1, 0.1, RISE_U, RISE_U, CURVE_U, CURVE_U, 0.1, 0.8, 0.3])
    scale = np.minimum(1.0, loosest / np.sqrt(np.diag(covariance)))
    return np.asarray(covariance * np.outer(scale, scale))
