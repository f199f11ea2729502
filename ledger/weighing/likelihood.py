"""The mathematics of one question, on arrays with a leading axis of draws; it knows no names.

Shapes: d draws, j notes, n named rivals, i all rivals (the named ones, "none of these" last), o origins. Predictions
are rows among the notes. Products are kept as sums of logs, so that hundreds of notes neither underflow nor lose
digits; log 0 is minus infinity and needs no special care, because no log here is ever plus infinity.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
DECIBANS = 10.0 / math.log(10.0)


def logs(values: Array) -> Array:
    """Return the natural logs of values >= 0, minus infinity for 0."""
    with np.errstate(divide="ignore"):
        return np.log(values)


def over_rivals(function: np.ufunc, values: Array) -> Array:
    """Return a ufunc reduced along the last axis, kept: the few rivals one by one, which beats a loop a draw."""
    found: Array = values[..., :1]
    for place in range(1, values.shape[-1]):
        found = function(found, values[..., place : place + 1])
    return found


def fill_unjudged(bearing: Array, judged: NDArray[np.bool_], share: Array | float = 0.5) -> Array:
    """Return the bearings with every unjudged rival given a value between its note's least and greatest bearing.

    bearing  P(note | rival), (d, j, n), anything where unjudged
    judged   which are judged, (j, n), one at least in each note
    share    how far from the least to the greatest, (d, j, n); the middle if left out
    """
    least = over_rivals(np.minimum, np.where(judged, bearing, np.inf))
    greatest = over_rivals(np.maximum, np.where(judged, bearing, -np.inf))
    return np.where(judged, bearing, least + share * (greatest - least))


def neutral(prior: Array, bearing: Array) -> Array:
    """Return what each note is worth whatever is true, c_j = sum π_i L_ij / sum π_i over the named rivals, (d, j).

    When every named rival has prior 0 it is the plain mean.

    prior    of the named rivals, π, (d, n)
    bearing  L, (d, j, n)
    """
    total = prior.sum(axis=-1, keepdims=True)
    share = np.where(total > 0, prior / np.where(total > 0, total, 1.0), 1.0 / prior.shape[-1])
    mean = np.einsum("dn,djn->dj", share, bearing)
    # A mean may stray from its values by a last digit; held between them, a neutral note is neutral to the bit.
    held: Array = np.clip(mean, over_rivals(np.minimum, bearing)[..., 0], over_rivals(np.maximum, bearing)[..., 0])
    return held


def doubted(prior: Array, density: Array, doubt: Array) -> Array:
    """Return predictions as bearings, D_i = (1 - d_i) f_i + d_i c(f), f the densities over their greatest, (d, j, n).

    prior    of the named rivals, (d, n)
    density  of the measured value under each rival's prediction, in any one unit, (d, j, n), one > 0 in each row
    doubt    chance that the model behind the prediction does not apply, d_i, (d, j, n)
    """
    scaled = density / density.max(axis=-1, keepdims=True)
    softened: Array = (1 - doubt) * scaled + doubt * neutral(prior, scaled)[..., None]
    return softened


def tracked(prior: Array, bearing: Array, tracking: Array) -> Array:
    """Return log[r_j L_ij + (1 - r_j) c_j] for all rivals, each row less its greatest, (d, j, i).

    "None of these" takes c_j. A constant taken off a row cancels in every comparison of rivals.

    prior     of all rivals, (d, i)
    bearing   L on the named ones, (d, j, n)
    tracking  chance r that the note tracks the truth, (d, j)
    """
    mean = neutral(prior[..., :-1], bearing)[..., None]
    chance = tracking[..., None]
    values = logs(chance * np.concatenate([bearing, mean], axis=-1) + (1 - chance) * mean)
    greatest = over_rivals(np.maximum, values)
    return values - np.where(np.isfinite(greatest), greatest, 0.0)


def stories(rows: Array, starts: NDArray[np.intp]) -> Array:
    """Return log A_oi, the sum of the rows of each origin, (d, o, i).

    rows    (d, j, i), those of one origin together
    starts  index of each origin's first row, (o,)
    """
    if not len(starts):
        return np.zeros((rows.shape[0], 0, rows.shape[2]))
    summed: Array = np.add.reduceat(rows, starts, axis=1)
    return summed


def origin_factors(prior: Array, soundness: Array, story: Array) -> Array:
    """Return log P_o(i) with P_o(i) = R_o A_oi + (1 - R_o) sum_k π_k A_ok over all rivals k, (d, o, i).

    prior      π of all rivals, (d, i)
    soundness  R, (d, o)
    story      log A, (d, o, i)
    """
    regardless = over_rivals(np.logaddexp, logs(prior)[:, None, :] + story)
    failed = logs(1 - soundness)[..., None] + regardless
    factors: Array = np.logaddexp(logs(soundness)[..., None] + story, failed)
    return factors


def without_each(parts: Array, owner: NDArray[np.intp], starts: NDArray[np.intp]) -> Array:
    """Return, for each row, the sum of the other rows of its group, (d, j, i), at a cost linear in the rows.

    parts   logs, (d, j, i), rows of one group together
    owner   group of each row, (j,)
    starts  index of each group's first row
    """
    shut = np.isneginf(parts)
    finite = np.where(shut, 0.0, parts)
    others = stories(finite, starts)[:, owner, :] - finite
    shutting = stories(shut.astype(float), starts)[:, owner, :] - shut
    return np.where(shutting > 0, -np.inf, others)


def log_odds(log_chances: Array) -> Array:
    """Return log[p / (1 - p)] along the last axis, 1 - p taken as the sum of the others; any common factor cancels."""
    ends = np.full_like(log_chances[..., :1], -np.inf)
    before = np.concatenate([ends, np.logaddexp.accumulate(log_chances, axis=-1)[..., :-1]], axis=-1)
    backwards = np.logaddexp.accumulate(log_chances[..., ::-1], axis=-1)[..., ::-1]
    after = np.concatenate([backwards[..., 1:], ends], axis=-1)
    odds: Array = log_chances - np.logaddexp(before, after)
    return odds
