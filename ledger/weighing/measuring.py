"""What measuring one quantity again would tell, through what the rivals' criteria make of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from ledger.weighing.information import BIT
from ledger.weighing.likelihood import Array, logs
from ledger.weighing.looking import leader
from ledger.weighing.values import NONE

SINGLY = 200  # so many different values are kept apart; more are gathered in cells
CELLS, STEPS = 8, 16  # of the draws and of the result, to one standard uncertainty of the new measurement
REACH = 5.0  # standard uncertainties beyond the draws, past which no result comes
SURE = 2.0  # standard errors by which a rival must lead over draws before it is said to


@dataclass(frozen=True)
class Again:
    """What measuring a quantity again would tell.

    gain            expected information on which rival is true, >= 0 [bit]
    leader_changes  chance that another rival leads then, 0 … 1
    correction      what draws that are not endless would add to the gain by chance alone, already taken off [bit]; a
                    gain no greater than this is not told from none
    """

    gain: float
    leader_changes: float
    correction: float


@dataclass(frozen=True)
class _Cells:
    """Draws of one quantity, gathered: the values, how many draws have each, and a way to sum over them."""

    values: Array
    counts: Array
    index: np.ndarray

    def summed(self, columns: Array) -> Array:
        """Return the sums of columns of draws over each cell, (cells, columns)."""
        sums = np.empty((len(self.values), columns.shape[1]))
        for place, column in enumerate(columns.T):
            sums[:, place] = np.bincount(self.index, weights=column, minlength=len(self.values))
        return sums


def measured_again(
    draws: Array,
    holds: Mapping[str, np.ndarray],
    doubt: Mapping[str, float],
    confidences: Mapping[str, float],
    *,
    finer: float = 2.0,
    may_lead: Collection[str] | None = None,
) -> Again:
    """Return what another measurement of a quantity would tell of the rivals whose criteria stand on it.

    The measurement has the standard uncertainty σ = s / sqrt(n² - 1), which divides a normal doubt of s by n. It shows
    m with density f(m), and under rival i

        P(m | i) ∝ f(m) g_i(m),  g_i(m) = E[(1 - d_i) held_i + d_i | m] / ((1 - d_i) P(held_i) + d_i)

    and g = 1 for a rival whose criteria do not stand on the quantity. One m speaks to all rivals at once, so what they
    share is counted once. The gain is the mutual information of m and rival, by sums over an even grid of m, with the
    draws weighted by the density of m about them.

    Few draws make g_i stray, which any such sum takes for information. To second order that adds
    (1/2) ∫ f [sum_i p_i Var(g_i)/g_i - Var(g)/g] dm with g = sum_i p_i g_i, which is taken off.

    draws        of the quantity, (draws,), any unit
    holds        in which of them all criteria of a rival hold, by rival, (draws,)
    doubt        chance that the model behind them does not apply, d, for the same rivals
    confidences  p of all rivals and of NONE, as they now stand, these criteria weighed; summing to one
    finer        n, > 1, by how much the doubt of the quantity shrinks
    may_lead     rivals that may lead; all of them if left out

    Source: Lindley, Ann. Math. Statist. 27 (1956); the precisions 1/s² + 1/σ² = n²/s² add, Raiffa & Schlaifer, Applied
    Statistical Decision Theory (1961), ch. 11; the correction is that of Miller, "Note on the bias of information
    estimates" (1955), for weighted draws.
    """
    rivals = [*(rival for rival in confidences if rival != NONE), NONE]
    chances = np.array([confidences[rival] for rival in rivals], dtype=float)
    chances /= chances.sum()
    deviation = float(np.std(draws)) / np.sqrt(finer**2 - 1)
    if deviation == 0 or not holds:
        return Again(0.0, 0.0, 0.0)
    weight = np.ones((len(draws), len(rivals)))
    tied = []
    for rival, held in holds.items():
        kept = (1 - doubt[rival]) * np.asarray(held, dtype=float) + doubt[rival]
        if kept.any():
            tied.append(rivals.index(rival))
            weight[:, tied[-1]] = kept / kept.mean()
    cells = _gathered(np.asarray(draws, dtype=float), deviation / CELLS)
    step = deviation / STEPS
    shown = np.arange(cells.values[0] - REACH * deviation, cells.values[-1] + REACH * deviation + step, step)
    kernel = np.exp(-0.5 * ((shown[:, None] - cells.values) / deviation) ** 2)
    near = kernel @ cells.counts
    density = near / near.sum()
    mean, variance = np.ones((len(shown), len(rivals))), np.zeros((len(shown), len(rivals)))
    mean[:, tied], variance[:, tied] = _means(cells, kernel, near, weight[:, tied])
    mixed, mixed_variance = _means(cells, kernel, near, (weight @ chances)[:, None])
    share = chances * mean / mixed
    told = np.where(share > 0, share * (logs(np.where(share > 0, mean, 1.0)) - logs(mixed)), 0.0).sum(axis=1)
    found = float(np.sum(density * mixed[:, 0] * told)) / BIT
    excess = (chances * variance / np.where(mean > 0, mean, 1.0)).sum(axis=1) - (mixed_variance / mixed)[:, 0]
    correction = max(0.0, 0.5 * float(np.sum(density * excess)) / BIT)
    turned = _turned(cells, kernel, near, weight * chances, rivals, may_lead)
    return Again(
        gain=max(0.0, found - correction),
        leader_changes=float(np.sum((density * mixed[:, 0])[turned])),
        correction=correction,
    )


def _gathered(draws: Array, width: float) -> _Cells:
    values = np.unique(draws)
    if len(values) <= SINGLY:
        index = np.searchsorted(values, draws)
    else:
        cell = np.floor((draws - values[0]) / width).astype(int)
        index = (np.cumsum(np.bincount(cell) > 0) - 1)[cell]
    counts = np.bincount(index).astype(float)
    return _Cells(np.bincount(index, weights=draws) / counts, counts, index)


def _means(cells: _Cells, kernel: Array, near: Array, columns: Array) -> tuple[Array, Array]:
    """Return the mean of each column of draws near each m, and that mean's variance by chance, (m, columns).

    The columns have mean one by construction, which takes the share of that mean out of the variance.
    """
    first, second = cells.summed(columns), cells.summed(columns**2)
    mean = (kernel @ first) / near[:, None]
    square = kernel**2
    spread = square @ second - 2 * mean * (square @ first) + mean**2 * (square @ cells.counts)[:, None]
    within = np.maximum((kernel @ second) / near[:, None] - mean**2, 0.0)
    count = cells.counts.sum()
    whole = np.maximum(second.sum(axis=0) / count - (first.sum(axis=0) / count) ** 2, 0.0)
    variance = spread / near[:, None] ** 2 - 2 * mean * within / count + mean**2 * whole / count
    return mean, np.maximum(variance, 0.0)


def _turned(
    cells: _Cells, kernel: Array, near: Array, joint: Array, rivals: list[str], may_lead: Collection[str] | None
) -> np.ndarray:
    """Return at which m another rival leads, and by more than the draws may deceive, (m,).

    joint  confidence times weight, (draws, rivals)
    """
    first = leader(dict(zip(rivals, joint.mean(axis=0).tolist(), strict=True)), may_lead)
    if first is None:
        return np.zeros(len(near), dtype=bool)
    others = [place for place, one in enumerate(rivals) if one != first and (may_lead is None or one in may_lead)]
    lead = joint[:, others] - joint[:, [rivals.index(first)]]
    mean, variance = _means(cells, kernel, near, lead[:, np.ptp(lead, axis=0) > 0])
    turned: np.ndarray = np.logical_or.reduce(mean > SURE * np.sqrt(variance) + 1e-12, axis=1)
    return turned
