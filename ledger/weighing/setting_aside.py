"""The smallest set of things of a question to set aside so that a rival leads: notes, measurements, origins, models."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, islice

import numpy as np
from numpy.typing import NDArray

from ledger.weighing.likelihood import Array, logs, origin_factors
from ledger.weighing.trying import EDGE, ahead
from ledger.weighing.values import Note
from ledger.weighing.weigh import Weighed

MOST_SETS = 20_000  # that are looked through, one by one
MOST_STEPS = 40  # of one thing more at a time, beyond that
MOST_ROWS = 12  # of one origin, of which every set can be tried
AT_ONCE = 1_000_000


@dataclass(frozen=True)
class Aside:
    """One thing set aside: a note, a measurement (a prediction held against it), an origin, or a feasibility.

    ref  of the note, measurement or source; for a feasibility the rival
    """

    kind: str
    ref: str


@dataclass(frozen=True)
class AsideSet:
    """A smallest set of things without which a rival leads; empty where none was found.

    looked  all sets up to this size were looked through
    whole   those were all sets there are, or it was shown that none would do
    exact   no smaller set would do
    """

    things: tuple[Aside, ...]
    looked: int
    whole: bool
    exact: bool


def set_aside(one: Weighed, targets: Sequence[str]) -> dict[str, AsideSet]:
    """Return, for each rival, a smallest set of things of a question without which it leads, the rest of a group kept.

    Every set is looked through, smaller ones first, as long as there are no more than MOST_SETS; of several of one size
    that with which the rival is furthest ahead. Beyond that one thing more is set aside at a time, always the best,
    and what was not needed after all is taken back: such a set may not be the smallest.
    """
    if not targets:
        return {}
    shelf = Shelf(one)
    place = {target: one.layout.rivals.index(target) for target in targets}
    found = {target: AsideSet((), len(shelf.things), True, True) for target in targets if shelf.hopeless(place[target])}
    looked = spent = 0
    for size in range(1, len(shelf.things) + 1):
        spent += math.comb(len(shelf.things), size)
        if spent > MOST_SETS or len(found) == len(targets):
            break
        best = shelf.best(size, {target: at for target, at in place.items() if target not in found})
        looked = size
        for target, (margin, chosen) in best.items():
            if margin >= EDGE:
                found[target] = AsideSet(tuple(shelf.things[index] for index in chosen), size, False, True)
    whole = looked == len(shelf.things)
    for target in targets:
        if target not in found:
            chosen = () if whole else shelf.step_by_step(place[target])
            found[target] = AsideSet(tuple(shelf.things[index] for index in chosen), looked, whole, whole)
    return found


class Shelf:
    """The things of a question, and what its rivals come to without some of them."""

    def __init__(self, one: Weighed) -> None:
        layout = one.layout
        self._layout, self._rest = layout, one.rest
        ends = [*layout.starts.tolist(), len(layout.rows)][1:]
        self.things: list[Aside] = []
        rows: list[NDArray[np.bool_]] = []
        feasible: list[int] = []
        for place, row in enumerate(layout.rows):
            self.things.append(Aside("note" if isinstance(row, Note) else "measurement", row.ref))
            rows.append(np.arange(len(layout.rows)) == place)
            feasible.append(-1)
        for place, (start, end) in enumerate(zip(layout.starts.tolist(), ends, strict=True)):
            if end - start > 1:  # of one note alone it is the same as the note
                self.things.append(Aside("origin", layout.origins[place]))
                rows.append((np.arange(len(layout.rows)) >= start) & (np.arange(len(layout.rows)) < end))
                feasible.append(-1)
        for place, rival in enumerate(layout.rivals):
            if layout.feasible[0, place] != 0.0:
                self.things.append(Aside("feasibility", rival))
                rows.append(np.zeros(len(layout.rows), dtype=bool))
                feasible.append(place)
        self._rows = np.array(rows, dtype=bool).reshape(len(self.things), len(layout.rows))
        self._feasible = np.array(feasible, dtype=np.intp)
        self._noted = np.array([isinstance(row, Note) for row in layout.rows], dtype=bool)
        self._judged = np.array(
            [
                [*(isinstance(row, Note) and name in row.bearing for name in layout.rivals[:-1]), isinstance(row, Note)]
                for row in layout.rows
            ],
            dtype=float,
        ).reshape(len(layout.rows), len(layout.rivals))
        self._evidence = logs(layout.prior)[0] + one.rest[0]
        self._whole = self._evidence + one.factors.origin[0].sum(axis=0) + layout.feasible[0]
        owners = [int(layout.owner[np.flatnonzero(row)[0]]) if row.any() else -1 for row in self._rows]
        # Feasibilities stand apart from every origin and from each other.
        self._place = np.where(self._feasible >= 0, len(layout.origins) + self._feasible, owners).astype(np.intp)
        self._alone: Array | None = None
        if np.isfinite(one.factors.origin).all() and np.isfinite(layout.feasible).all() and self.things:
            single = np.arange(len(self.things), dtype=np.intp)[:, None]
            had = np.isfinite(self._whole)
            self._alone = np.where(had, self._worked_out(single, self._rows) - np.where(had, self._whole, 0.0), 0.0)

    def best(self, size: int, targets: dict[str, int]) -> dict[str, tuple[float, tuple[int, ...]]]:
        """Return, for each target, how far ahead it is at best without so many things, and without which."""
        best: dict[str, tuple[float, tuple[int, ...]]] = dict.fromkeys(targets, (-np.inf, ()))
        step = max(1, AT_ONCE // max(1, len(self._layout.rows) * len(self._layout.rivals)))
        every = combinations(range(len(self.things)), size)
        while some := list(islice(every, step)):
            posterior, able = self._without(np.array(some, dtype=np.intp))
            for target, place in targets.items():
                margin = _margin(posterior, able, place)
                at = int(np.argmax(np.round(margin, 9)))
                if margin[at] > best[target][0] + EDGE:
                    best[target] = (float(margin[at]), some[at])
        return best

    def hopeless(self, target: int) -> bool:
        """Return whether no set whatever lets the target lead: some rival that always may lead stays ahead of it.

        The most that can be gained on one rival is, origin by origin, what the best of all sets of its rows gains.
        """
        layout = self._layout
        if np.isneginf(self._evidence[target]):
            return True
        lead = self._evidence[target] - self._evidence
        ends = np.append(layout.starts, len(layout.rows))
        for place, (start, end) in enumerate(zip(ends[:-1].tolist(), ends[1:].tolist(), strict=True)):
            if end - start > MOST_ROWS:
                return False
            sets = (np.arange(2 ** (end - start))[:, None] >> np.arange(end - start)) & 1
            story = np.where(sets[:, :, None] == 1, layout.parts[:, start:end], 0.0).sum(axis=1)[:, None, :]
            factor = origin_factors(layout.prior, layout.soundness[:, [place]], story)[:, 0]
            with np.errstate(invalid="ignore"):
                gain = factor[:, [target]] - factor
            lead = lead + np.where(np.isnan(gain), np.inf, gain).max(axis=0)  # both shut out: nothing is known
        lead = lead - np.where(np.isneginf(layout.feasible[0]), -np.inf, layout.feasible[0])
        always = self._judged[self._noted].all(axis=0) & np.isfinite(self._evidence)
        always[target] = False
        return bool((lead[always] < -EDGE).any())

    def step_by_step(self, target: int) -> tuple[int, ...]:
        """Return a set without which the target leads, found by one thing more at a time; empty if none was."""
        chosen: list[int] = []
        for _ in range(min(MOST_STEPS, len(self.things))):
            more = [index for index in range(len(self.things)) if index not in chosen]
            margin = _margin(*self._without(np.array([[*chosen, index] for index in more], dtype=np.intp)), target)
            at = int(np.argmax(np.round(margin, 9)))
            chosen.append(more[at])
            if margin[at] >= EDGE:
                return self._needed(chosen, target)
        return ()

    def _needed(self, chosen: list[int], target: int) -> tuple[int, ...]:
        for index in list(chosen):
            less = [one for one in chosen if one != index]
            if less and _margin(*self._without(np.array([less], dtype=np.intp)), target)[0] >= EDGE:
                chosen = less
        return tuple(sorted(chosen))

    def _without(self, sets: NDArray[np.intp]) -> tuple[Array, NDArray[np.bool_]]:
        """Return the log posterior without each set of things, and which rivals may then lead, (sets, rivals)."""
        gone = np.zeros((len(sets), len(self._layout.rows)), dtype=bool)
        for column in sets.T:
            gone |= self._rows[column]
        left = (~gone).astype(float)
        able = 2 * (left @ self._judged) >= (left @ self._noted)[:, None]
        if self._alone is None:
            return self._worked_out(sets, gone), able
        # Things of different origins do not touch each other: what they come to without them adds up.
        places = np.sort(self._place[sets], axis=1)
        apart = (places[:, 1:] != places[:, :-1]).all(axis=1)
        posterior = self._whole + self._alone[sets].sum(axis=1)
        if not apart.all():
            posterior[~apart] = self._worked_out(sets[~apart], gone[~apart])
        return posterior, able

    def _worked_out(self, sets: NDArray[np.intp], gone: NDArray[np.bool_]) -> Array:
        layout = self._layout
        parts = np.where(gone[:, :, None], 0.0, layout.parts)
        story = np.add.reduceat(parts, layout.starts, axis=1) if len(layout.starts) else parts
        factor = origin_factors(layout.prior, layout.soundness, story).sum(axis=1)
        feasible = np.broadcast_to(layout.feasible[0], (len(sets), len(layout.rivals))).copy()
        for column in self._feasible[sets].T:
            some = np.flatnonzero(column >= 0)
            feasible[some, column[some]] = 0.0
        posterior: Array = self._evidence + factor + feasible
        return posterior


def _margin(posterior: Array, able: NDArray[np.bool_], target: int) -> Array:
    """Return by how much a rival is ahead in each row, (rows,); without bound behind where it may not lead."""
    margin = ahead(posterior[:, None, :], able[:, None, :], np.array([target]))[:, 0]
    return np.where(able[:, target], margin, -np.inf)
