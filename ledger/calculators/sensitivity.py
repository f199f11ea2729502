"""Which doubt matters: each root's share of a result's variance, and what knowing it twice as well would buy.

Share, first order: S_i = Var(E[Y | X_i]) / Var(Y), estimated from the draws themselves. Sorted by X_i they fall into
bins of equal size (whole numbers into their values); with B, W, T the sums of squares between the bins, within them and
in all, over b bins of n draws, S = (B - W (b - 1)/(n - b)) / T. Roots that act together leave a rest.

Source: Saltelli et al., Global Sensitivity Analysis (2008), 1.2; the correction for chance is that of epsilon squared.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ledger.calculators.bench import Bench, Choice
from ledger.calculators.criteria import kept_together
from ledger.calculators.drawing import Drawing, Root
from ledger.calculators.results import Share
from ledger.calculators.running import scale
from ledger.errors import CalculationRefused

BINS = 100
LEAST = 0.01


def share_of_variance(root: np.ndarray, outcome: np.ndarray) -> float:
    """Return the first-order share of one root in the variance of an outcome, 0 to 1, over the same draws.

    root, outcome  draws, one to one; more than a few hundred
    """
    total = float(np.sum((outcome - outcome.mean()) ** 2))
    if total == 0 or np.ptp(root) == 0:
        return 0.0
    order = np.argsort(root, kind="stable")
    bins_in_order = np.cumsum(np.diff(root[order], prepend=root[order[0]]) != 0)
    if bins_in_order[-1] >= BINS:
        bins_in_order = np.arange(len(root)) * BINS // len(root)
    group = np.empty(len(root), dtype=int)
    group[order] = bins_in_order
    count, sums = np.bincount(group), np.bincount(group, weights=outcome)
    filled = count > 0
    between = float(np.sum(sums[filled] ** 2 / count[filled]) - outcome.sum() ** 2 / len(outcome))
    bins, draws = int(filled.sum()), len(outcome)
    noise = (total - between) / max(draws - bins, 1) * (bins - 1)
    return float(min(max((between - noise) / total, 0.0), 1.0))


def shares(bench: Bench, ref: str, choice: Choice, outputs: tuple[str, ...]) -> tuple[Share, ...]:
    """Return for each output and each root that matters: its share, and the doubt and chance left if it were halved.

    The calculation and all it stands on are run again for each root. Roots with less than a hundredth are left out.
    """
    refs = bench.upstream_of(ref)
    plain = _afresh(bench, Drawing(bench.drawing.count))
    raw = plain.evaluate(refs, choice)[ref].raw
    found = []
    for output in outputs:
        outcome = np.broadcast_to(np.asarray(raw[output], dtype=float), (bench.drawing.count,))
        for root, draws in plain.drawing.roots.items():
            share = share_of_variance(draws, outcome)
            if share >= LEAST:
                found.append(Share(output, _named(root), share, *_halved(bench, ref, choice, output, root)))
    return tuple(sorted(found, key=lambda one: (outputs.index(one.output), -one.share, one.root)))


def _halved(bench: Bench, ref: str, choice: Choice, output: str, root: Root) -> tuple[float | None, float | None]:
    """Return the output's standard uncertainty, and the chance that all criteria hold, with the root's doubt halved."""
    if any(bench.calculator(one).costly for one in bench.upstream_of(ref)):
        return None, None
    eased = _afresh(bench, Drawing(bench.drawing.count, {root: 0.5}))
    try:
        runs = eased.evaluate(bench.upstream_of(ref), choice)
        criteria = eased.against(ref, runs)
    except CalculationRefused:  # whole numbers cannot be halved
        return None, None
    left = np.broadcast_to(np.asarray(runs[ref].raw[output], dtype=float), (bench.drawing.count,))
    declared = bench.calculator(ref).output(output)
    shown = scale(declared.unit, declared.shown or declared.unit) if declared is not None else 1.0
    together = float(kept_together(criteria, bench.drawing.count).mean()) if criteria else None
    return float(np.std(left, ddof=1)) * shown, together


def _afresh(bench: Bench, drawing: Drawing) -> Bench:
    return replace(bench, drawing=drawing, settled={})


def _named(root: Root) -> str:
    """Return what a root is called: the measurement, or the input, cell or limit of a calculation."""
    if len(root) == 1:
        return root[0]
    if "criterion" in root:
        return f"{root[0]}, limit of a criterion"
    if len(root) == 4:
        return f"{root[0]}, {root[1]} row {int(root[2]) + 1}, {root[3]}"
    return f"{root[0]}, {root[1]}"
