"""A case laid out as arrays, and the factors that come of it.

Everything is put in one order (rivals, origins and refs by name), so the order in which a case is given changes
nothing, to the last bit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledger.weighing.likelihood import Array, doubted, fill_unjudged, logs, origin_factors, stories, tracked
from ledger.weighing.values import NONE, Case, Note, Prediction

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


def lay_out(case: Case) -> Layout:
    """Return a checked case as arrays of one draw."""
    named = sorted(rival for rival in case.prior if rival != NONE)
    rivals = (*named, NONE)
    prior = np.array([[case.prior[rival] for rival in rivals]], dtype=float)
    prior /= prior.sum()
    notes = sorted(case.notes, key=lambda note: (note.origin, note.ref))
    predictions = sorted(case.predictions, key=lambda prediction: (prediction.origin, prediction.ref))
    bearing, judged = _bearings(notes, named)
    given = np.concatenate([fill_unjudged(bearing, judged), _predicted(predictions, named, prior)], axis=1)
    rows: list[Row] = [*notes, *predictions]
    tracking = np.array([[row.credibility for row in rows]], dtype=float)
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
        soundness=np.array([[case.soundness[origin] for origin in origins]], dtype=float),
        parts=parts[:, order, :],
        feasible=_feasible(case, rivals),
    )


def work_out(layout: Layout) -> Factors:
    """Return the factors: log posterior = log π + sum over origins of log P_o + log F, up to a constant."""
    story = stories(layout.parts, layout.starts)
    origin = origin_factors(layout.prior, layout.soundness, story)
    return Factors(story, origin, logs(layout.prior) + origin.sum(axis=1) + layout.feasible)


def _bearings(notes: list[Note], named: list[str]) -> tuple[Array, NDArray[np.bool_]]:
    table = np.array([[note.bearing.get(rival, -1.0) for rival in named] for note in notes], dtype=float)
    table = table.reshape(len(notes), len(named))
    return table[None], table >= 0


def _predicted(predictions: list[Prediction], named: list[str], prior: Array) -> Array:
    if not predictions:
        return np.zeros((1, 0, len(named)))
    density = np.array([[[item.density[rival] for rival in named] for item in predictions]], dtype=float)
    doubt = np.array([[[item.doubt.get(rival, 0.0) for rival in named] for item in predictions]], dtype=float)
    return doubted(prior[..., :-1], density, doubt)


def _feasible(case: Case, rivals: tuple[str, ...]) -> Array:
    factor = {item.rival: (1 - item.doubt) * item.holds + item.doubt for item in case.feasibilities}
    return logs(np.array([[factor.get(rival, 1.0) for rival in rivals]], dtype=float))
