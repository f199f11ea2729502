"""What each thing does to each rival: leave-one-out weights in decibans."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np

from ledger.errors import WeighingRefused
from ledger.weighing.layout import Factors, Layout
from ledger.weighing.likelihood import DECIBANS, Array, log_odds, logs, origin_factors, without_each
from ledger.weighing.values import Case

Weights = dict[str, dict[str, float]]


def decibans(ratio: float) -> float:
    """Return a ratio of odds or likelihoods, > 0, as decibans: 10 log10(ratio).

    Source: Good, Probability and the Weighing of Evidence (1950); ten decibans are one ban, a factor of ten.
    """
    if not 0 < ratio < math.inf:
        raise WeighingRefused(f"a ratio of {ratio} has no decibans; expected a finite number above 0. Give one.")
    return 10 * math.log10(ratio)


def weights(case: Case, layout: Layout, factors: Factors) -> tuple[Weights, dict[str, tuple[str, ...]]]:
    """Return the leave-one-out weights by ref and rival [decibans], and where they are infinite.

    A weight is 10 log10(odds with it / odds without it), all else kept. Keys are the refs of notes and predictions, of
    origins (all their notes and predictions together), and of calculations. A calculation has a weight of its own when
    every feasibility it feeds rests on it alone; otherwise the weight belongs to them together, under
    `feasibility:<rival>`.

    A rival whose odds are 0 or infinite both with and without (prior 0 or 1) is not moved: 0.0. Where one thing alone
    shuts a rival out, or leaves it alone, the weight is infinite: it is 0.0 in the first mapping, and the second names
    the rivals by ref.
    """
    held = log_odds(factors.posterior)
    keys, left = _left_out(case, layout, factors)
    if not keys:
        return {}, {}
    without = log_odds(left)
    finite = np.isfinite(held)[:, None, :] & np.isfinite(without)
    with np.errstate(invalid="ignore"):
        change = np.where(finite, DECIBANS * (held[:, None, :] - without), 0.0)[0] + 0.0
    unbounded = ~finite[0] & (held[0] != without[0])
    table = {key: dict(zip(layout.rivals, row, strict=True)) for key, row in zip(keys, change.tolist(), strict=True)}
    infinite = {
        keys[index]: tuple(rival for rival, beyond in zip(layout.rivals, unbounded[index], strict=True) if beyond)
        for index in np.flatnonzero(unbounded.any(axis=-1))
    }
    return table, infinite


def _left_out(case: Case, layout: Layout, factors: Factors) -> tuple[list[str], Array]:
    """Return the keys and the log posterior without each of them, (draws, keys, rivals)."""
    base = logs(layout.prior)[:, None, :]
    calculations = _calculations(case, layout)
    # A posterior sum without one part is built up from the rest, never by taking away: minus infinity cannot be undone.
    together = np.zeros(len(layout.origins), dtype=np.intp)
    other_origins = without_each(factors.origin, together, together[:1])
    feasible = layout.feasible[:, None, :]
    story = without_each(layout.parts, layout.owner, layout.starts)
    own = origin_factors(layout.prior, layout.soundness[:, layout.owner], story)
    no_row = base + other_origins[:, layout.owner, :] + own + feasible
    no_origin = base + other_origins + feasible
    evidence = base + factors.origin.sum(axis=1)[:, None, :]
    no_calculation = [evidence + _feasible_without(layout, rivals) for rivals in calculations.values()]
    keys = [row.ref for row in layout.rows] + list(layout.origins) + list(calculations)
    return keys, np.concatenate([no_row, no_origin, *no_calculation], axis=1)


def _calculations(case: Case, layout: Layout) -> dict[str, tuple[str, ...]]:
    """Return, by key, the rivals whose feasibility falls away with it."""
    taken = {row.ref for row in layout.rows} | set(case.soundness)
    fed = Counter(ref for item in case.feasibilities for ref in set(item.calculations))
    alone: dict[str, list[str]] = {}
    for item in case.feasibilities:
        if len(set(item.calculations)) == 1:
            alone.setdefault(item.calculations[0], []).append(item.rival)
    owned = {
        ref: tuple(sorted(rivals)) for ref, rivals in alone.items() if len(rivals) == fed[ref] and ref not in taken
    }
    covered = {rival for rivals in owned.values() for rival in rivals}
    shared = {f"feasibility:{item.rival}": (item.rival,) for item in case.feasibilities if item.rival not in covered}
    return dict(sorted((owned | shared).items()))


def _feasible_without(layout: Layout, rivals: tuple[str, ...]) -> Array:
    dropped = np.array([rival in rivals for rival in layout.rivals])
    return np.where(dropped, 0.0, layout.feasible)[:, None, :]
