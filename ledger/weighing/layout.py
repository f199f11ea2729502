"""A case laid out as arrays, and the factors that come of it.

Everything is put in one order (rivals, origins and refs by name), so the order in which a case is given changes
nothing, to the last bit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledger.weighing.likelihood import Array, doubted, fill_unjudged, logs, origin_factors, stories, tracked
from ledger.weighing.values import NONE, Case, Note, Prediction, Stated

Row = Note | Prediction


@dataclass(frozen=True)
class Layout:
    """One case as arrays; the first axis of each array of floats is draws.

    rivals     the named ones by name, NONE last
    rows       notes and predictions, those of one origin together, its notes before its predictions
    origins    those that have rows
    owner      index of each row's origin; `starts` of each origin's first row
    judged     which named rivals the notes judge, in all, (named,)
    prior      (draws, rivals), summing to one
    soundness  (draws, origins)
    parts      log of each row's doubted bearing, (draws, rows, rivals)
    feasible   log of the feasibility factor, (draws, rivals)
    """

    rivals: tuple[str, ...]
    rows: tuple[Row, ...]
    origins: tuple[str, ...]
    owner: NDArray[np.intp]
    starts: NDArray[np.intp]
    judged: NDArray[np.intp]
    prior: Array
    soundness: Array
    parts: Array
    feasible: Array


@dataclass(frozen=True)
class Factors:
    """What a layout comes to, all as logs: each origin's story A and factor P, and the unnormalised posterior."""

    story: Array
    origin: Array
    posterior: Array


class Points:
    """Where a layout takes its chances from: here the points of the case, one draw; `ranges` has them drawn."""

    count = 1

    def of(self, point: float, stated: tuple[Stated, ...]) -> Array:
        """Return a chance, (draws,): a point, or the product of the ranges behind it."""
        return np.array([point])

    def between(self, question: str, ref: str, rival: str) -> Array:
        """Return how far an unjudged rival lies from its note's least to its greatest bearing, (draws,)."""
        return np.array([0.5])

    def counted(self, rival: str, share: float, trials: int) -> Array:
        """Return a share that was counted in some trials, (draws,)."""
        return np.array([share])


POINTS = Points()


def in_order(case: Case) -> tuple[str, ...]:
    """Return the rivals of a case as a layout has them: the named ones by name, NONE last."""
    return (*sorted(rival for rival in case.prior if rival != NONE), NONE)


def lay_out(case: Case, chances: Points = POINTS) -> Layout:
    """Return a checked case as arrays, with as many draws as `chances` has."""
    rivals = in_order(case)
    named = list(rivals[:-1])
    prior = _columns([chances.of(case.prior[rival], _behind(case.stated, rival)) for rival in rivals], chances)
    prior /= prior.sum(axis=1, keepdims=True)
    notes = sorted(case.notes, key=lambda note: (note.origin, note.ref))
    predictions = sorted(case.predictions, key=lambda prediction: (prediction.origin, prediction.ref))
    bearing, judged, share = _bearings(case.question, notes, named, chances)
    predicted = _predicted(predictions, named, prior, chances)
    given = np.concatenate([fill_unjudged(bearing, judged, share), predicted], axis=1)
    rows: list[Row] = [*notes, *predictions]
    tracking = _columns([chances.of(row.credibility, row.trust) for row in rows], chances)
    parts = tracked(prior, given, tracking)
    order = sorted(range(len(rows)), key=lambda index: rows[index].origin)  # stable: notes stay before predictions
    rows = [rows[index] for index in order]
    names, starts, owner = np.unique(
        np.array([row.origin for row in rows], dtype=str), return_index=True, return_inverse=True
    )
    origins = tuple(str(name) for name in names)
    return Layout(
        rivals=rivals,
        rows=tuple(rows),
        origins=origins,
        owner=owner,
        starts=starts,
        judged=judged.sum(axis=0),
        prior=prior,
        soundness=_columns(
            [chances.of(case.soundness[one], _behind(case.trust, one)) for one in origins],
            chances,
        ),
        parts=parts[:, order, :],
        feasible=_feasible(case, rivals, chances),
    )


def work_out(layout: Layout) -> Factors:
    """Return the factors: log posterior = log π + sum over origins of log P_o + log F, up to a constant."""
    story = stories(layout.parts, layout.starts)
    origin = origin_factors(layout.prior, layout.soundness, story)
    return Factors(story, origin, logs(layout.prior) + origin.sum(axis=1) + layout.feasible)


def _columns(columns: list[Array], chances: Points) -> Array:
    """Return columns of draws side by side, (draws, columns)."""
    return np.stack(columns, axis=1) if columns else np.zeros((chances.count, 0))


def _behind(stated: Mapping[str, Stated], name: str) -> tuple[Stated, ...]:
    """Return the range behind a point, if there is one."""
    return (stated[name],) if name in stated else ()


def _bearings(
    question: str, notes: list[Note], named: list[str], chances: Points
) -> tuple[Array, NDArray[np.bool_], Array]:
    """Return the bearings, which rivals are judged, and where the others lie, (draws, notes, named)."""
    judged = np.array([[rival in note.bearing for rival in named] for note in notes], dtype=bool)
    judged = judged.reshape(len(notes), len(named))
    shape = (chances.count, len(notes), len(named))
    table, share = np.zeros(shape), np.full(shape, 0.5)
    for row, note in enumerate(notes):
        for column, rival in enumerate(named):
            if rival in note.bearing:
                table[:, row, column] = chances.of(note.bearing[rival], _behind(note.stated, rival))
            else:
                share[:, row, column] = chances.between(question, note.ref, rival)
    return table, judged, share


def _predicted(predictions: list[Prediction], named: list[str], prior: Array, chances: Points) -> Array:
    if not predictions:
        return np.zeros((len(prior), 0, len(named)))
    density = np.array([[[item.density[rival] for rival in named] for item in predictions]], dtype=float)
    doubt = np.stack(
        [
            _columns([chances.of(item.doubt.get(rival, 0.0), _behind(item.stated, rival)) for rival in named], chances)
            for item in predictions
        ],
        axis=1,
    )
    return doubted(prior[..., :-1], density, doubt)


def _feasible(case: Case, rivals: tuple[str, ...], chances: Points) -> Array:
    factor = np.ones((chances.count, len(rivals)))
    for item in case.feasibilities:
        doubt = chances.of(item.doubt, () if item.stated is None else (item.stated,))
        holds = chances.counted(item.rival, item.holds, item.sampled)
        factor[:, rivals.index(item.rival)] = (1 - doubt) * holds + doubt
    return logs(factor)
