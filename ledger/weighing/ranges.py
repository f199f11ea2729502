"""Confidences under doubt: everything stated as a range is drawn together, and the confidences with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ledger.weighing.drawn import Drawn
from ledger.weighing.layout import lay_out, work_out
from ledger.weighing.likelihood import Array
from ledger.weighing.linking import Group, from_the_rest
from ledger.weighing.values import Case, Order

LEVEL = (0.05, 0.5, 0.95)
AT_ONCE = 2_000_000
TIE_DIGITS = 12  # confidences equal to this many decimals rank by name, so that rounding never decides a rank


@dataclass(frozen=True)
class Spread:
    """One rival over the draws: its median, the ends of its 90 % interval, and how often it ranks first."""

    low: float
    median: float
    high: float
    first: float


def draw_confidences(of: Group, cases: Mapping[str, Case], count: int) -> dict[str, Array]:
    """Return the confidences of linked questions over draws of all that is stated as a range, (draws, rivals).

    Priors, bearings, grades, doubts of models, factors of links and the places of unjudged rivals are drawn together;
    one ladder word and one grade are one draw wherever they stand. The same draw is the same row for every question.
    Draws in which no combination is left are passed over.
    """
    pieces: dict[str, list[Array]] = {question: [] for question in of.rivals}
    for drawn in _parts(of, cases, count):
        own = [work_out(lay_out(cases[question], drawn)).posterior for question in of.rivals]
        _, rest = from_the_rest(of, own, of.tables(drawn))
        parts = [_shares(mine + others) for mine, others in zip(own, rest, strict=True)]
        left = np.logical_and.reduce([np.isfinite(part).all(axis=1) for part in parts])
        for question, part in zip(of.rivals, parts, strict=True):
            pieces[question].append(part[left])
    return {question: np.concatenate(parts) for question, parts in pieces.items()}


def _parts(of: Group, cases: Mapping[str, Case], count: int) -> Iterator[Drawn]:
    rows = max((len(case.notes) + len(case.predictions)) * len(case.prior) for case in cases.values())
    step = max(1, min(count, AT_ONCE // max(1, rows, of.plan.largest)))
    drawn = Drawn(count)
    for start in range(0, count, step):
        yield drawn.look_at(slice(start, start + step))


def _shares(posterior: Array) -> Array:
    total = np.logaddexp.reduce(posterior, axis=-1, keepdims=True)
    with np.errstate(invalid="ignore"):
        shares: Array = np.exp(posterior - total)
    return shares


def spreads(confidences: Array, rivals: tuple[str, ...], may_lead: set[str]) -> tuple[dict[str, Spread], list[Order]]:
    """Return what the draws say of each rival, and of each order of the first two of those that may lead.

    confidences  (draws, rivals), one draw at least
    """
    able = [place for place, rival in enumerate(rivals) if rival in may_lead]
    first, orders = _orders(confidences[:, able], [rivals[place] for place in able])
    low, median, high = np.quantile(confidences, LEVEL, axis=0)
    found = {
        rival: Spread(float(low[place]), float(median[place]), float(high[place]), first.get(rival, 0.0))
        for place, rival in enumerate(rivals)
    }
    return found, orders


def _orders(confidences: Array, rivals: Sequence[str]) -> tuple[dict[str, float], list[Order]]:
    """Return how often each of these rivals ranks first, and each order of the first two."""
    count, (draws, some) = np.zeros((len(rivals), len(rivals))), confidences.shape
    ranked = np.argsort(-np.round(confidences, TIE_DIGITS), axis=1, kind="stable")
    if some > 1:
        count = np.bincount(ranked[:, 0] * some + ranked[:, 1], minlength=some * some).reshape(some, some) / draws
    orders = [
        Order(rivals[one], rivals[two], float(count[one, two])) for one, two in zip(*np.nonzero(count), strict=True)
    ]
    first = np.bincount(ranked[:, 0], minlength=some) / draws
    return (
        dict(zip(rivals, first.tolist(), strict=True)),
        sorted(orders, key=lambda order: (-order.chance, order.first, order.second)),
    )
