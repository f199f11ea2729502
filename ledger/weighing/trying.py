"""One chance of a question moved at a time: what its rivals would come to, for many trial values at once.

Only the origin concerned is worked out anew, with the trial values along the axis of draws. What links say to the
question stays as it is, for a change in this question alone does not touch it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from ledger.weighing.knobs import Knob, log_odds_of
from ledger.weighing.likelihood import (
    Array,
    doubted,
    fill_unjudged,
    logs,
    origin_factors,
    tracked,
    without_each,
)
from ledger.weighing.values import NONE, Note, Prediction
from ledger.weighing.weigh import Weighed

EDGE = 1e-9  # natural log of the odds by which a rival must be ahead, so that rounding never decides
FIRST_TRIALS, CLOSER_TRIALS, ROUNDS = 49, 17, 12
SMALLEST = 1e-12  # the trial next to 0, and as far from 1
AT_ONCE = 2_000_000


class Trials:
    """A question laid out so that any of its chances can be tried at many values."""

    def __init__(self, one: Weighed) -> None:
        layout, factors = one.layout, one.factors
        self.layout, self.case = layout, one.case
        self.named = layout.rivals[:-1]
        self._story = without_each(layout.parts, layout.owner, layout.starts)[0]
        together = np.zeros(len(layout.origins), dtype=np.intp)
        others = without_each(factors.origin, together, together[:1])[0]
        prior = logs(layout.prior)[0] + one.rest[0]
        self._around = prior + others + layout.feasible[0]
        self._evidence = prior + factors.origin[0].sum(axis=0)
        rows = layout.rows
        self._judged = np.array([[isinstance(row, Prediction) or name in row.bearing for name in self.named]
                                 for row in rows], dtype=bool).reshape(len(rows), len(self.named))  # fmt: skip
        self._given = np.array([[_said(row, name) for name in self.named] for row in rows], dtype=float)
        self._doubt = np.array([[_doubt(row, name) for name in self.named] for row in rows], dtype=float)
        self._predicts = np.array([isinstance(row, Prediction) for row in rows], dtype=bool)

    def posterior(self, moved: Sequence[Knob], values: Array) -> Array:
        """Return the log of the unnormalised confidences, (trials, knobs, rivals), for values (trials, knobs)."""
        result = np.empty((*values.shape, len(self.layout.rivals)))
        kinds = np.array([knob.kind for knob in moved])
        ways: dict[str, Callable[[list[Knob], Array], Array]] = {
            "soundness": self._with_soundness,
            "feasibility": self._with_feasibility,
        }
        for kind in sorted(set(kinds.tolist())):
            some = np.flatnonzero(kinds == kind)
            result[:, some] = ways.get(kind, self._with_row)([moved[index] for index in some.tolist()], values[:, some])
        return result

    def _with_row(self, moved: list[Knob], values: Array) -> Array:
        """Try values of chances of rows, all of one kind."""
        trials, kind = len(values), moved[0].kind
        rows = np.array([knob.place for knob in moved], dtype=np.intp)
        prior = np.broadcast_to(self.layout.prior, (trials, len(self.layout.rivals)))
        table = np.broadcast_to(self._given[rows], (trials, len(rows), len(self.named))).copy()
        doubt = np.broadcast_to(self._doubt[rows], table.shape).copy()
        tracking = np.broadcast_to([self.layout.rows[row].credibility for row in rows], values.shape)
        if kind == "credibility":
            tracking = values
        else:
            target = table if kind == "bearing" else doubt
            columns = np.array([self.named.index(str(knob.rival)) for knob in moved], dtype=np.intp)
            target[:, np.arange(len(rows)), columns] = values
        filled = fill_unjudged(table, self._judged[rows])
        if self._predicts[rows].any():
            predicting = self._predicts[rows]
            filled[:, predicting] = doubted(prior[:, :-1], table[:, predicting], doubt[:, predicting])
        story = self._story[rows] + tracked(prior, filled, tracking)
        owner = self.layout.owner[rows]
        soundness = np.broadcast_to(self.layout.soundness[0, owner], values.shape)
        whole: Array = self._around[owner] + origin_factors(prior, soundness, story)
        return whole

    def _with_soundness(self, moved: list[Knob], values: Array) -> Array:
        origins = np.array([knob.place for knob in moved], dtype=np.intp)
        ends = np.append(self.layout.starts, len(self.layout.rows))
        own = np.array([self.layout.parts[0, ends[one] : ends[one + 1]].sum(axis=0) for one in origins])
        prior = np.broadcast_to(self.layout.prior, (len(values), len(self.layout.rivals)))
        story = np.broadcast_to(own, (len(values), *own.shape))
        whole: Array = self._around[origins] + origin_factors(prior, values, story)
        return whole

    def _with_feasibility(self, moved: list[Knob], values: Array) -> Array:
        places = np.array([knob.place for knob in moved], dtype=np.intp)
        doubts = {item.rival: item.doubt for item in self.case.feasibilities}
        doubt = np.array([doubts[knob.ref] for knob in moved])
        feasible = np.broadcast_to(self.layout.feasible[0], (*values.shape, len(self.layout.rivals))).copy()
        feasible[:, np.arange(len(places)), places] = logs((1 - doubt) * values + doubt)
        whole: Array = self._evidence + feasible
        return whole


def _said(row: Note | Prediction, name: str) -> float:
    return row.bearing.get(name, 0.0) if isinstance(row, Note) else row.density[name]


def _doubt(row: Note | Prediction, name: str) -> float:
    return 0.0 if isinstance(row, Note) or name == NONE else row.doubt.get(name, 0.0)


def ahead(posterior: Array, able: NDArray[np.bool_], target: NDArray[np.intp]) -> Array:
    """Return by how much the target is ahead of the best other that may lead, in natural logs, (trials, knobs).

    posterior  (trials, knobs, rivals)
    able       which rivals may lead, (rivals,) or as the posterior
    target     a rival for each knob, (knobs,); one that has no chance at all is behind without bound
    """
    rivals = np.arange(posterior.shape[-1])
    own = np.take_along_axis(posterior, np.broadcast_to(target[:, None], (*posterior.shape[:2], 1)), axis=-1)[..., 0]
    others = np.where(able & (rivals != target[:, None]), posterior, -np.inf).max(axis=-1, initial=-np.inf)
    with np.errstate(invalid="ignore"):
        margin: Array = np.where(np.isneginf(own), -np.inf, own - others)
    return margin


def behind(posterior: Array, able: NDArray[np.bool_], target: int) -> Array:
    """Return by how much the best other that may lead is ahead of the target, (trials, knobs); never if none is."""
    others = np.where(able & (np.arange(posterior.shape[-1]) != target), posterior, -np.inf).max(axis=-1)
    with np.errstate(invalid="ignore"):
        margin: Array = np.where(np.isneginf(others), -np.inf, others - posterior[..., target])
    return margin


def thresholds(
    trials: Trials, asked: Sequence[tuple[Knob, float]], reached: Callable[[Array, NDArray[np.intp]], Array]
) -> list[float | None]:
    """Return, for each knob and end to turn it to (0 or 1), the first value at which something is reached, or None.

    reached  from posteriors (trials, some, rivals) and which of the asked they are of, how far it is past the point
             [natural log]; reached from EDGE on

    Exact to a double wherever it happens but once on the way; the first of several is found if they lie apart by more
    than one of the trial values, which are even in log odds.
    """
    if not asked:
        return []
    moved = [knob for knob, _ in asked]
    values = np.stack([_way(knob.stated, end) for knob, end in asked], axis=1)
    step = max(1, AT_ONCE // (FIRST_TRIALS * len(trials.layout.rivals)))
    past = np.concatenate(
        [
            reached(trials.posterior(moved[at : at + step], values[:, at : at + step]), index) >= EDGE
            for at in range(0, len(moved), step)
            for index in [np.arange(at, min(at + step, len(moved)))]
        ],
        axis=1,
    )
    some = np.flatnonzero(past.any(axis=0))
    found: list[float | None] = [None] * len(asked)
    if not len(some):
        return found
    first = past[:, some].argmax(axis=0)
    high = values[first, some]
    low = values[np.maximum(first - 1, 0), some]
    turned = [moved[index] for index in some.tolist()]
    share = np.linspace(0.0, 1.0, CLOSER_TRIALS)[:, None]
    for _ in range(ROUNDS):
        closer = low + (high - low) * share
        closer[-1] = high  # what has been reached stays reached, whatever the rounding
        there = reached(trials.posterior(turned, closer), some) >= EDGE
        there[-1] = True
        at = there.argmax(axis=0)
        columns = np.arange(len(some))
        high, low = closer[at, columns], closer[np.maximum(at - 1, 0), columns]
    for index, value in zip(some.tolist(), high.tolist(), strict=True):
        found[index] = value
    return found


def _way(stated: float, end: float) -> Array:
    """Return trial values from where a chance stands to 0 or 1, even in log odds, the end itself last."""
    limit = log_odds_of(SMALLEST if end == 0.0 else 1 - SMALLEST)
    start = min(max(log_odds_of(stated), log_odds_of(SMALLEST)), log_odds_of(1 - SMALLEST))
    way = 1 / (1 + np.exp(-np.linspace(start, limit, FIRST_TRIALS - 1)))
    return np.concatenate([[stated], way[1:], [end]])
