"""What one would have to believe for another rival to lead, and how wrong a bearing would have to be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledger.weighing.anew import Ready, position, weighed
from ledger.weighing.knobs import Knob, knobs
from ledger.weighing.likelihood import Array
from ledger.weighing.ranges import TIE_DIGITS
from ledger.weighing.setting_aside import Aside, set_aside
from ledger.weighing.trying import Trials, ahead, behind, thresholds
from ledger.weighing.values import NONE, Case, Link, Note
from ledger.weighing.weigh import Weighed


@dataclass(frozen=True)
class Change:
    """One chance moved just as far as makes a rival lead.

    kind    bearing, credibility, soundness, feasibility, or doubt (that a model does not apply)
    ref     the note, measurement or source whose chance it is; for a feasibility the rival
    rival   whose bearing, feasibility or doubt it is; None for a credibility or a soundness
    stated  where it stands; `low` and `high` are the ends of the range its author stated, both `stated` for a point
    value   where it would have to be: weighed with it, the rival leads; any nearer to `stated`, it does not
    size    from the one to the other in decibans of their odds; infinite to or from certainty
    within  the value lies in that range
    """

    kind: str
    ref: str
    rival: str | None
    stated: float
    low: float
    high: float
    value: float
    size: float
    within: bool


@dataclass(frozen=True)
class Belief:
    """What one would have to believe for a rival to lead a question.

    leader    who leads now; None if nobody may
    may_lead  judged in half of the notes at least; else nothing below was asked
    changes   single changes, each of which is enough, the least first
    aside     where no single change is: a smallest set of things to set aside; empty where none was found
    looked    sets up to this size were all looked through
    whole     every set was: with none found, nothing here makes it lead short of its prior
    exact     no smaller set would do
    """

    question: str
    rival: str
    leader: str | None
    may_lead: bool
    changes: tuple[Change, ...]
    aside: tuple[Aside, ...]
    looked: int
    whole: bool
    exact: bool

    @property
    def least(self) -> Change | None:
        """Return the least of the single changes."""
        return self.changes[0] if self.changes else None

    @property
    def only_its_prior(self) -> bool:
        """Return whether nothing here makes it lead short of its prior."""
        return self.may_lead and self.whole and not self.changes and not self.aside


@dataclass(frozen=True)
class Wrong:
    """How wrong one bearing would have to be for the leader to change.

    place   the rival it bears on: the `leader` or the `runner-up`
    value   the nearest at which another rival leads, either way; None if none does, or if the note does not judge it
    leader  who leads then
    """

    question: str
    note: str
    rival: str
    place: str
    stated: float | None
    value: float | None
    size: float | None
    leader: str | None


def beliefs(cases: Sequence[Case], links: Iterable[Link] = ()) -> dict[str, tuple[Belief, ...]]:
    """Return, by question, what one would have to believe for each rival that does not lead.

    Looked at are, for a change in the one question alone and the rest of the group kept: a bearing on the rival raised,
    or one on the leader lowered; a note's chance to track the truth and an origin's soundness, either way; the
    feasibility of the rival raised or of the leader lowered, and the doubts of models that predict for either.

    Raises WeighingRefused as `weigh_together` does.
    """
    return {question: _beliefs(one) for question, one in weighed(cases, links).items()}


def how_wrong(cases: Sequence[Case], links: Iterable[Link] = ()) -> dict[str, tuple[Wrong, ...]]:
    """Return, by question, how wrong each note's bearing on leader and runner-up would have to be.

    Raises WeighingRefused as `weigh_together` does.
    """
    return {question: _how_wrong(one) for question, one in weighed(cases, links).items()}


def _beliefs(one: Weighed) -> tuple[Belief, ...]:
    stands, able = position(one), Ready(one.case, one.layout, one.factors).able
    rivals = [rival for rival in one.layout.rivals if rival != stands.leader]
    asking = [rival for rival in rivals if rival in able]
    changes = _changes(one, asking, stands.leader, able)
    sets = set_aside(one, [rival for rival in asking if not changes[rival]])
    found = []
    for rival in rivals:
        some = sets.get(rival)
        found.append(
            Belief(
                question=one.case.question,
                rival=rival,
                leader=stands.leader,
                may_lead=rival in able,
                changes=changes.get(rival, ()),
                aside=() if some is None else some.things,
                looked=0 if some is None else some.looked,
                whole=some is not None and some.whole,
                exact=some is None or some.exact,
            )
        )
    return tuple(sorted(found, key=lambda belief: (-stands.confidences[belief.rival], belief.rival)))


def _changes(
    one: Weighed, asking: Sequence[str], leader: str | None, able: frozenset[str]
) -> dict[str, tuple[Change, ...]]:
    """Return the single changes that make each rival lead, the least first."""
    asked = [(rival, knob, end) for rival in asking for knob in knobs(one) for end in _ends(knob, rival, leader)]
    rivals = one.layout.rivals
    targets = np.array([rivals.index(rival) for rival, _, _ in asked], dtype=np.intp)
    may = np.array([rival in able for rival in rivals])

    def leads(posterior: Array, some: NDArray[np.intp]) -> Array:
        return ahead(posterior, may, targets[some])

    values = thresholds(Trials(one), [(knob, end) for _, knob, end in asked], leads)
    found: dict[str, list[Change]] = {rival: [] for rival in asking}
    for (rival, knob, _), value in zip(asked, values, strict=True):
        if value is not None:
            found[rival].append(
                Change(
                    knob.kind,
                    knob.ref,
                    knob.rival,
                    knob.stated,
                    knob.low,
                    knob.high,
                    value,
                    knob.size(value),
                    knob.within(value),
                )
            )
    return {
        rival: tuple(sorted(some, key=lambda change: (round(change.size, 9), change.kind, change.ref, change.value)))
        for rival, some in found.items()
    }


def _ends(knob: Knob, rival: str, leader: str | None) -> tuple[float, ...]:
    """Return towards which ends a chance is turned so that a rival leads."""
    if knob.kind in ("bearing", "feasibility"):
        return (1.0,) if knob.rival == rival else (0.0,) if knob.rival == leader else ()
    if knob.kind == "doubt":
        return (0.0, 1.0) if knob.rival in (rival, leader) else ()
    return (0.0, 1.0)


def _how_wrong(one: Weighed) -> tuple[Wrong, ...]:
    stands, able = position(one), Ready(one.case, one.layout, one.factors).able
    if stands.leader is None:
        return ()
    others = [rival for rival in one.layout.rivals if rival != stands.leader and rival in able]
    runner_up = min(
        others, key=lambda rival: (-round(stands.confidences[rival], TIE_DIGITS), rival == NONE, rival), default=None
    )
    places = {stands.leader: "leader"} | ({} if runner_up is None else {runner_up: "runner-up"})
    bearings = {(knob.ref, knob.rival): knob for knob in knobs(one) if knob.kind == "bearing"}
    pairs = [(row.ref, rival) for row in one.layout.rows if isinstance(row, Note) for rival in places if rival != NONE]
    asked = [(bearings[pair], end) for pair in pairs if pair in bearings for end in (0.0, 1.0)]
    first = one.layout.rivals.index(stands.leader)
    may = np.array([rival in able for rival in one.layout.rivals])

    def unseated(posterior: Array, some: NDArray[np.intp]) -> Array:
        return behind(posterior, may, first)

    trials = Trials(one)
    values = thresholds(trials, asked, unseated)
    nearest: dict[tuple[str, str | None], tuple[float, float, str]] = {}
    for (knob, _), value in zip(asked, values, strict=True):
        if value is None:
            continue
        size, pair = knob.size(value), (knob.ref, knob.rival)
        if pair not in nearest or size < nearest[pair][0]:
            after = trials.posterior([knob], np.array([[value]]))[0, 0]
            best = max((rival for rival in able if rival != stands.leader),
                       key=lambda rival: (after[one.layout.rivals.index(rival)], rival))  # fmt: skip
            nearest[pair] = (size, value, best)
    return tuple(_wrong(one.case.question, pair, places, bearings, nearest) for pair in sorted(pairs))


def _wrong(
    question: str,
    pair: tuple[str, str],
    places: Mapping[str, str],
    bearings: Mapping[tuple[str, str | None], Knob],
    nearest: Mapping[tuple[str, str | None], tuple[float, float, str]],
) -> Wrong:
    stated = bearings[pair].stated if pair in bearings else None
    size, value, leader = nearest.get(pair, (None, None, None))
    return Wrong(question, pair[0], pair[1], places[pair[1]], stated, value, size, leader)
