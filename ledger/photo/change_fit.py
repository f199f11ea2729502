"""One change of gear in a recording: the engine's line fitted before, in and after its fall, with draws.

With τ before the change and σ after it, the line's frequency is

    f₁ (1 + r₁ τ + k₁ τ²/2)              τ = t - t₁ ≤ 0
    f₁ + (f₂ - f₁) s(u)                  u = (t - t₁)/g from 0 to 1, s = (1 - m) u + m (1 - cos πu)/2
    f₂ (1 + r₂ σ + k₂ σ²/2)              σ = t - t₁ - g ≥ 0,   f₂ = f₁/q

The sound is moved down by the phase of a guess, kept within a band that holds the fall, and cut in blocks of some
cycles. Each of the M samples has a loudness of its own, not below zero, and each of the B blocks a phase of its own: an
engine is quieter in the gap, and what its loudness does must not pass for noise. With noise of unknown strength the
probability is R^-w(M - B)/2, R being what is left of the samples' energy square to the line. Where blocks begin is
arbitrary, so the logarithm's mean over three ways of cutting is taken. Such a mean knows more than one way alone: with
w = 1.5 intervals held the truth as often as they claim, in recordings half of which had gear whine.

What is kept is bent where the guess is wrong within the gap, so it is cut anew about each fit.

The middle of the fall and its spread, g² v(m), are heard well, its softness m hardly: a straight fall of 59 ms and a
wholly soft one of 78 ms have the same spread. So draws are made of middle, spread and softness, the last with the
density 1/√(m (1 - m)): straight, as where something drags alike throughout, or soft, as where a clutch closes and
opens, rather than halfway.

Source: Bretthorst, Bayesian Spectrum Analysis and Parameter Estimation (1988), ch. 2 to 4; from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.signal import hilbert, resample

from ledger.photo.ellipse import Array
from ledger.photo.tempered_draws import Density
from ledger.photo.weighed_draws import Fit, draw_about

# Order of the parameters.
LOG_F, LOG_Q, RISE_1, RISE_2, CURVE_1, CURVE_2, TIME, LOG_GAP, SHAPE = range(9)
# Normal doubt beforehand of rise [1/s] and of its change [1/s²]; roots of gaps are alike likely between these [s].
RISE_U, CURVE_U = 1.0, 0.3
SHORTEST_GAP, LONGEST_GAP = 0.005, 0.6
# What the mean over the ways of cutting is worth, and how many there are.
WORTH, LAYOUTS = 1.5, 3
# Half the band kept about the line over its frequency, at least and at most, and how often it holds 1/g.
NARROW, WIDE, HOLDS = 0.2, 0.45, 3.0
# Cycles in a block, and on either side how much is heard [s].
CYCLES, SIDE = 10.0, 0.45
# How often it is cut, and how many of these times starts are looked for anew.
CUTS, LOOKS = 4, 2
# So many numbers are worked at one time: they stay in a processor's cache.
AT_ONCE = 30_000

# In draws the places of time, gap and softness hold the middle of the fall [s], the logarithm of a straight gap of the
# same spread, and ln m/(1 - m). Middles and doubts beforehand, where there are any, as mean and deviation of the
# densities above give them; steps for slopes.
_MIDDLE = np.array([0, 0, 0, 0, 0, 0, 0, np.log(0.13), 0])
_SURE = 1 / np.array([np.inf, np.inf, RISE_U, RISE_U, CURVE_U, CURVE_U, np.inf, 1.0, np.pi])
_SCALE = np.array([1e-3, 1e-3, 0.03, 0.03, 0.3, 0.3, 3e-3, 0.1, 1.0])
_STEP = 0.01 * _SCALE
# Ratios and levels, widths [s] and how far off in time a fall is looked for [s]; how many of the times are tried.
_OFF, _WIDTHS, _FAR, _STARTS = np.linspace(-0.02, 0.02, 5), np.array([0.015, 0.03, 0.06, 0.11, 0.2]), 0.08, 5
# Fits so far below the best [nepers], or so near to it in their doubt, squared, are left out.
_BELOW, _NEAR = 10.0, 9.0


@dataclass(frozen=True, eq=False)
class Piece:
    """Sound about a change: complex samples moved down, their times [s], and the phase taken off [rad].

    layouts  ways of cutting it in blocks: the first sample of each block, and how many it has
    """

    samples: NDArray[np.complex128]
    times: Array
    phase: Array
    layouts: tuple[tuple[NDArray[np.intp], NDArray[np.intp]], ...]


def phase_of(found: Array, times: Array) -> Array:
    """Return the line's phase from t₁ on [rad], shape (draws, times)."""
    f1 = np.exp(found[:, LOG_F])[:, None]
    f2 = f1 * np.exp(-found[:, LOG_Q])[:, None]
    gap, shape = np.exp(found[:, LOG_GAP])[:, None], found[:, SHAPE][:, None]
    rise_1, rise_2, curve_1, curve_2 = (found[:, k][:, None] for k in (RISE_1, RISE_2, CURVE_1, CURVE_2))
    since = times[None, :] - found[:, TIME][:, None]
    before, after = np.minimum(since, 0), np.maximum(since - gap, 0)
    inside = np.clip(since / gap, 0, 1)
    fallen = gap * (f2 - f1)
    cycles = f1 * before * (1 + before * (rise_1 / 2 + curve_1 / 6 * before))
    cycles += f2 * after * (1 + after * (rise_2 / 2 + curve_2 / 6 * after))
    cycles += inside * (gap * f1 + fallen * shape / 2 + fallen * (1 - shape) / 2 * inside)
    cycles -= fallen * shape / (2 * np.pi) * np.sin(np.pi * inside)
    return np.asarray(2 * np.pi * cycles)


def straightened(shape: Array) -> Array:
    """Return a straight fall's time over that of one as soft as this, of the same spread: √(12 v)."""
    return np.asarray(np.sqrt(1 + shape * (2 - 24 / np.pi**2)))


def cut(samples: Array, rate: float, start: float, end: float, guess: Array) -> Piece:
    """Return the sound from start to end [s] about the line of a guess (one row of parameters)."""
    first, last = max(int(start * rate), 0), min(int(end * rate), samples.size)
    times = np.arange(first, last) / rate
    moved = hilbert(samples[first:last]) * np.exp(-1j * phase_of(guess[None, :], times)[0])
    frequency = float(np.exp(guess[LOG_F] - 0.5 * guess[LOG_Q]))
    band = float(np.clip(HOLDS / (np.exp(guess[LOG_GAP]) * frequency), NARROW, WIDE))
    count = max(int((last - first) / rate * 2 * band * frequency), 24)
    # The ends are bent by the resampling's wrapping round.
    kept = np.asarray(resample(moved, count))[1:-1]
    at = times[0] + np.arange(1, count - 1) * (last - first) / rate / count
    places = frequency / CYCLES * (at - at[0])
    return Piece(
        kept, at, phase_of(guess[None, :], at)[0], tuple(_blocks(places + k / LAYOUTS) for k in range(LAYOUTS))
    )


def _blocks(places: Array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    first = np.unique(np.floor(places), return_index=True)[1]
    return first, np.diff(np.append(first, places.size))


def log_density(found: Array, piece: Piece, reach: tuple[float, float]) -> Array:
    """Return the logarithm of the probability of parameters, (draws,), any softness alike; `reach` holds t₁ [s]."""
    rows = max(AT_ONCE // piece.times.size, 1)
    heard = np.concatenate([_heard(found[k : k + rows], piece) for k in range(0, found.shape[0], rows)])
    known = -0.5 * (found[:, RISE_1] ** 2 + found[:, RISE_2] ** 2) / RISE_U**2
    known = known - 0.5 * (found[:, CURVE_1] ** 2 + found[:, CURVE_2] ** 2) / CURVE_U**2
    gap, shape = found[:, LOG_GAP], found[:, SHAPE]
    # A density alike in √g, per unit of ln g.
    known = known + 0.5 * gap
    allowed = (gap > np.log(SHORTEST_GAP)) & (gap < np.log(LONGEST_GAP)) & (shape >= 0) & (shape <= 1)
    allowed &= (found[:, TIME] > reach[0]) & (found[:, TIME] < reach[1]) & (np.abs(found[:, LOG_Q]) < 1.5)
    return np.where(allowed, known + heard, -np.inf)


def _heard(found: Array, piece: Piece) -> Array:
    energy = float(np.sum(np.abs(piece.samples) ** 2))
    moved = _moved(found, piece)
    total = np.zeros(found.shape[0])
    for first, sizes in piece.layouts:
        kept = np.sum(np.maximum(_turned(moved, first, sizes).real, 0) ** 2, axis=1)
        total -= 0.5 * (piece.times.size - first.size) * np.log(np.maximum(1 - kept / energy, 1e-9))
    return WORTH * total / len(piece.layouts)


def _moved(found: Array, piece: Piece) -> NDArray[np.complex128]:
    return np.asarray(piece.samples * np.exp(1j * (piece.phase - phase_of(found, piece.times))))


def _turned(moved: NDArray[np.complex128], first: NDArray[np.intp], sizes: NDArray[np.intp]) -> NDArray[np.complex128]:
    """Return samples turned block by block as near as they go to the side of the real axis that is above zero."""
    back = np.exp(-0.5j * np.angle(np.add.reduceat(moved * moved, first, axis=1)))
    back *= np.where((np.add.reduceat(moved, first, axis=1) * back).real < 0, -1, 1)
    return np.asarray(moved * np.repeat(back, sizes, axis=1))


def _outward(drawn: Array) -> Array:
    found = drawn.copy()
    found[:, SHAPE] = 1 / (1 + np.exp(-drawn[:, SHAPE]))
    found[:, LOG_GAP] -= np.log(straightened(found[:, SHAPE]))
    found[:, TIME] -= 0.5 * np.exp(found[:, LOG_GAP])
    return found


def _inward(found: Array) -> Array:
    drawn = found.copy()
    shape = np.clip(found[:, SHAPE], 0.02, 0.98)
    drawn[:, SHAPE] = np.log(shape / (1 - shape))
    drawn[:, LOG_GAP] += np.log(straightened(shape))
    drawn[:, TIME] += 0.5 * np.exp(found[:, LOG_GAP])
    return drawn


def draw_change(
    samples: Array, rate: float, span: tuple[float, float], guess: Array, count: int, random: np.random.Generator
) -> Array | None:
    """Return draws of a change's parameters, (count, 9), or None where the line cannot be fitted.

    span   the sound that holds this change and no other [s]
    guess  one row of parameters, from the ridge
    """
    with np.errstate(all="ignore"):
        try:
            fits: list[Fit] = []
            for number in range(CUTS):
                piece = cut(samples, rate, *span, guess)
                density = _density(piece, (max(span[0], guess[TIME] - 0.25), min(span[1], guess[TIME] + 0.25)))
                starts = _starts(guess, density) if number < LOOKS else np.stack([one.centre for one in fits])
                fits = _fits(starts, piece, density)
                guess = _outward(fits[0].centre[None, :])[0]
            return _outward(draw_about(density, fits, count, random))
        except (ValueError, np.linalg.LinAlgError):
            return None


def _density(piece: Piece, reach: tuple[float, float]) -> Density:
    def density(drawn: Array) -> Array:
        found = _outward(drawn)
        shape = found[:, SHAPE]
        soft = 0.5 * (np.log(shape) + np.log1p(-shape))
        # Parameters far off give phases that overflow: such a change cannot be.
        return np.asarray(np.nan_to_num(log_density(found, piece, reach) + soft, nan=-np.inf))

    return density


def _starts(guess: Array, density: Density) -> Array:
    """Return the guess with its ratio and level set right, and the likeliest widths at the likeliest times about it."""
    unit = np.eye(9)
    ratio, level = (one.reshape(-1, 1) for one in np.meshgrid(_OFF, _OFF / 2))
    base = _likeliest(_inward(guess[None, :]) + ratio * unit[LOG_Q] + level * unit[LOG_F], density)
    # A fifth of the time in which the phase goes wrong by one turn.
    apart = np.clip(0.2 / abs(np.exp(base[LOG_F]) * np.expm1(-base[LOG_Q])), 0.1 * _FAR, 0.25 * _FAR)
    shifts = apart * np.arange(-(_FAR // apart), _FAR // apart + 1)
    wide = base * (1 - unit[LOG_GAP]) + np.log(_WIDTHS)[:, None] * unit[LOG_GAP]
    offered = np.stack([_likeliest(wide + shift * unit[TIME], density) for shift in shifts])
    return np.concatenate((base[None, :], offered[np.argsort(-density(offered), kind="stable")[:_STARTS]]))


def _likeliest(offered: Array, density: Density) -> Array:
    return np.asarray(offered[int(np.argmax(density(offered)))])


def _fits(starts: Array, piece: Piece, density: Density) -> list[Fit]:
    """Return the fits by least squares that starts lead to, each once, the likeliest first. ValueError if none does."""
    energy = float(np.sum(np.abs(piece.samples) ** 2))
    free = WORTH * (piece.times.size - piece.layouts[0][0].size)

    def square(drawn: Array) -> Array:
        moved = _moved(_outward(drawn), piece)
        turned = [_turned(moved, *layout) for layout in piece.layouts]
        sides = [np.where(one.real > 0, one.imag, np.abs(one)) for one in turned]
        return np.asarray(np.concatenate(sides, axis=1) / np.sqrt(len(sides)))

    def off(drawn: Array, noise: float) -> Array:
        return np.concatenate((square(drawn[None, :])[0] / noise, (drawn - _MIDDLE) * _SURE))

    def slopes(drawn: Array, noise: float) -> Array:
        apart = square(drawn + np.diag(_STEP)) - square(drawn - np.diag(_STEP))
        return np.concatenate((apart.T / (2 * _STEP * noise), np.diag(_SURE)))

    found: list[Fit] = []
    for start in starts:
        best = start
        for _ in range(2):
            noise = np.sqrt(max(float(np.sum(square(best[None, :]) ** 2)), 1e-9 * energy) / free)
            fit = least_squares(off, best, slopes, x_scale=_SCALE, method="lm", max_nfev=40, args=(noise,))
            best = fit.x
        found.append(Fit(best, np.linalg.inv(fit.jac.T @ fit.jac), float(density(best[None, :])[0])))
    found.sort(key=lambda one: -one.value)
    kept: list[Fit] = []
    for one in found:
        likely = np.isfinite(one.value) and one.value > found[0].value - _BELOW
        if likely and all(_apart(one, other) > _NEAR for other in kept):
            kept.append(one)
    if not kept:
        raise ValueError("no start leads to a fit")
    return kept


def _apart(one: Fit, other: Fit) -> float:
    off = one.centre - other.centre
    return float(off @ np.linalg.solve(other.covariance, off))
