"""Which notes a question would have to lose for its leader to fall: the best few of each origin, the best over all."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from ledger.weighing.likelihood import Array, logs, origin_factors
from ledger.weighing.values import NONE, Note
from ledger.weighing.weigh import Weighed

MOST_SETS = 20_000  # sets of notes of one origin and one size that are all tried
KEPT = 24  # of larger families of sets, those carried on to the next size, for each rival
MOST_NOTES = 64
TIE = 1e-12

Sets = NDArray[np.intp]


@dataclass
class Origin:
    """One origin's notes, and what its factor comes to without some of them.

    parts   log of each note's doubted bearing, (notes, rivals); `fixed` that of its measurements, (rivals,)
    judged  which rivals each note judges, (notes, rivals)
    """

    refs: tuple[str, ...]
    parts: Array
    fixed: Array
    judged: NDArray[np.bool_]
    prior: Array
    soundness: float
    exact: bool = True
    _sets: list[tuple[Sets, Array]] = field(default_factory=list)

    def without(self, size: int) -> tuple[Sets, Array]:
        """Return sets of so many of its notes, (sets, size), and log P without each, (sets, rivals)."""
        while len(self._sets) <= size:
            sets = self._next(len(self._sets))
            gone = np.zeros((len(sets), len(self.refs)), dtype=bool)
            np.put_along_axis(gone, sets, True, axis=1)
            # Summed over what is left, never taken away from the whole: minus infinity cannot be undone.
            shut = np.isneginf(self.parts)
            left = (~gone).astype(float)
            story = np.where(left @ shut > 0, -np.inf, left @ np.where(shut, 0.0, self.parts)) + self.fixed
            factor = origin_factors(self.prior, np.array([[self.soundness]]), story[:, None, :])[:, 0]
            self._sets.append((sets, factor))
        return self._sets[size]

    def _next(self, size: int) -> Sets:
        count = len(self.refs)
        if math.comb(count, size) <= MOST_SETS:
            return np.array(list(combinations(range(count), size)), dtype=np.intp).reshape(math.comb(count, size), size)
        self.exact = False
        smaller, factor = self._sets[size - 1]
        with np.errstate(invalid="ignore"):
            lead = np.nan_to_num(factor[:, :, None] - factor[:, None, :], nan=-np.inf).reshape(len(smaller), -1)
        best = np.unique(np.argsort(-lead, axis=0, kind="stable")[:KEPT])
        more = {
            tuple(sorted((*one, note))) for one in smaller[best].tolist() for note in range(count) if note not in one
        }
        return np.array(sorted(more), dtype=np.intp)


@dataclass
class Losing:
    """A search for the notes whose loss makes a leader fall.

    looked  sets up to this size were looked through
    """

    one: Weighed
    leader: str
    origins: list[Origin]
    looked: int = 0

    @property
    def exact(self) -> bool:
        """Return whether every set of the sizes looked through was tried."""
        return all(origin.exact for origin in self.origins)

    @property
    def whole(self) -> bool:
        """Return whether every size was looked through."""
        return self.looked == sum(len(origin.refs) for origin in self.origins)

    def sets(self) -> Iterator[tuple[str, ...]]:
        """Yield, smaller ones first, the best set of each size without which another rival is ahead.

        Of several rivals that would then be ahead, that which is furthest; of equal sets the first by names.
        """
        whole = sum(len(origin.refs) for origin in self.origins)
        limit = min(whole, MOST_NOTES)
        most = min(1, limit)
        while self.looked < limit:
            tables = {rival: self._best(rival, most) for rival in self.one.layout.rivals if rival != self.leader}
            for size in range(self.looked + 1, most + 1):
                self.looked = size
                found = [
                    (margin, notes)
                    for margin, notes in [table[size] for table in tables.values() if size in table]
                    if notes
                ]
                unable = self._unable(size)
                if unable:
                    found.append((-math.inf, unable))
                for _, notes in sorted(found, key=lambda one: (-round(one[0], 9), one[1])):
                    yield notes
            most = min(limit, 2 * most)

    def _unable(self, size: int) -> tuple[str, ...]:
        """Return the notes, if they are so many, without which the leader is judged in too few of the rest to lead."""
        if self.leader == NONE:
            return ()
        place, notes = self.one.layout.rivals.index(self.leader), len(self.one.case.notes)
        judging = sorted(
            ref
            for origin in self.origins
            for ref, judged in zip(origin.refs, origin.judged[:, place], strict=True)
            if judged
        )
        needed = max(1, 2 * len(judging) - notes + 1)
        return tuple(judging[:needed]) if needed == size and needed <= len(judging) else ()

    def _best(self, rival: str, most: int) -> dict[int, tuple[float, tuple[str, ...]]]:
        """Return, by size up to `most`, how far a rival is ahead at best, and without which notes, where it is.

        A table over how many notes are lost and how many of them judge the rival, for it must be judged in half of
        what is left; it grows origin by origin. Where all notes judge it, that always holds, and nothing is counted.
        """
        rivals, case = self.one.layout.rivals, self.one.case
        at, first = rivals.index(rival), rivals.index(self.leader)
        judged = sum(int(origin.judged[:, at].sum()) for origin in self.origins)
        notes = len(case.notes)
        count = judged < notes
        start = logs(self.one.layout.prior)[0] + self.one.layout.feasible[0] + self.one.rest[0] + self._others()
        base = start[at] - start[first]
        if np.isneginf(base):
            return {}
        table = np.full((most + 1, most + 1 if count else 1), -np.inf)
        table[0, 0] = base
        steps: list[dict[tuple[int, int], Sets]] = []
        taken: list[NDArray[np.intp]] = []
        for origin in self.origins:
            options = _options(origin, at, first, most, count)
            new, choice = np.full_like(table, -np.inf), np.zeros((*table.shape, 2), dtype=np.intp)
            for (size, judging), (value, _) in options.items():
                rows, columns = table.shape[0] - size, table.shape[1] - judging
                if rows <= 0 or columns <= 0:
                    continue
                moved = table[:rows, :columns] + value
                there = new[size:, judging:]
                better = (moved > there + TIE) | (np.isneginf(there) & ~np.isneginf(moved))
                there[better] = moved[better]
                choice[size:, judging:][better] = (size, judging)
            table = new
            steps.append({key: chosen for key, (_, chosen) in options.items()})
            taken.append(choice)
        threshold = -TIE if (rival == NONE, rival) < (self.leader == NONE, self.leader) else TIE
        found = {}
        for size in range(1, most + 1):
            open_ = [m for m in range(table.shape[1]) if not count or 2 * (judged - m) >= notes - size]
            lost = max(open_, key=lambda m: (table[size, m], -m), default=None)
            if lost is not None and table[size, lost] > threshold:
                found[size] = (float(table[size, lost]), self._back(steps, taken, size, lost))
        return found

    def _others(self) -> Array:
        """Return the log factors of the origins that have no notes to lose."""
        with_notes = {ref for origin in self.origins for ref in origin.refs}
        layout = self.one.layout
        owners = {int(owner) for row, owner in zip(layout.rows, layout.owner, strict=True) if row.ref in with_notes}
        rest = [place for place in range(len(layout.origins)) if place not in owners]
        total: Array = self.one.factors.origin[0, rest].sum(axis=0)
        return total

    def _back(
        self, steps: list[dict[tuple[int, int], Sets]], taken: list[NDArray[np.intp]], size: int, judging: int
    ) -> tuple[str, ...]:
        notes: list[str] = []
        for origin, step, choice in zip(reversed(self.origins), reversed(steps), reversed(taken), strict=True):
            less, fewer = choice[size, judging].tolist()
            notes += [origin.refs[index] for index in step[less, fewer].tolist()]
            size, judging = size - less, judging - fewer
        return tuple(sorted(notes))


def losing(one: Weighed, leader: str) -> Losing:
    """Return a search for the notes of a question whose loss makes its leader fall, the rest of a group kept."""
    layout, origins = one.layout, []
    noted = np.array([isinstance(row, Note) for row in layout.rows], dtype=bool)
    for place in range(len(layout.origins)):
        rows = np.flatnonzero((layout.owner == place) & noted)
        if not len(rows):
            continue
        fixed = np.flatnonzero((layout.owner == place) & ~noted)
        notes = [layout.rows[index] for index in rows.tolist()]
        judged = np.array([[isinstance(note, Note) and name in note.bearing for name in layout.rivals[:-1]] + [True]
                           for note in notes], dtype=bool)  # fmt: skip
        origins.append(
            Origin(
                tuple(note.ref for note in notes),
                layout.parts[0, rows],
                layout.parts[0, fixed].sum(axis=0),
                judged,
                layout.prior,
                float(layout.soundness[0, place]),
            )
        )
    return Losing(one, leader, origins)


def _options(origin: Origin, at: int, first: int, most: int, count: bool) -> dict[tuple[int, int], tuple[float, Sets]]:
    """Return, by how many notes are lost and how many of them judge the rival, the best lead and the set."""
    options: dict[tuple[int, int], tuple[float, Sets]] = {}
    for size in range(min(len(origin.refs), most) + 1):
        sets, factor = origin.without(size)
        lead = factor[:, at] - factor[:, first]
        judging = origin.judged[:, at][sets].sum(axis=1) if count else np.zeros(len(sets), dtype=np.intp)
        for lost in np.unique(judging).tolist():
            some = np.flatnonzero(judging == lost)
            best = some[int(np.argmax(np.round(lead[some], 12)))]
            options[size, int(lost)] = (float(lead[best]), sets[best])
    return options
