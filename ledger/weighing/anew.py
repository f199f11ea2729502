"""Questions weighed at the middles alone, again and again with something changed: who leads, and how confidently.

The same arithmetic as `weigh`, to the last bit, without its weights, its account and its draws.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ledger.errors import WeighingRefused
from ledger.weighing.checking import check, check_links
from ledger.weighing.layout import Factors, Layout, lay_out, work_out
from ledger.weighing.likelihood import Array
from ledger.weighing.linking import Group, from_the_rest, group, groups, linked_priors
from ledger.weighing.ranges import TIE_DIGITS
from ledger.weighing.refusing import evidence_leaves_nobody
from ledger.weighing.values import NONE, Case, Link
from ledger.weighing.weigh import Weighed


@dataclass(frozen=True)
class Position:
    """Where a question stands: who leads, None if nobody may, and the confidence of every rival, NONE last."""

    leader: str | None
    confidences: Mapping[str, float]


@dataclass(frozen=True)
class Ready:
    """One question laid out and worked out, links aside."""

    case: Case
    layout: Layout
    factors: Factors

    @property
    def able(self) -> frozenset[str]:
        """Return the rivals that may lead: those judged in half of the notes at least."""
        judged = [*self.layout.judged.tolist(), len(self.case.notes)]
        pairs = zip(self.layout.rivals, judged, strict=True)
        return frozenset(rival for rival, count in pairs if 2 * count >= len(self.case.notes))


def make_ready(case: Case) -> Ready:
    """Return a question made ready. Raises WeighingRefused as `weigh` does for a question by itself."""
    check(case)
    layout = lay_out(case)
    factors = work_out(layout)
    if np.isneginf(factors.posterior).all():
        raise WeighingRefused(evidence_leaves_nobody(case.question, layout, factors))
    return Ready(case, layout, factors)


def lessened(ready: Ready, gone: Collection[str]) -> Ready:
    """Return a question without some of its notes and measurements, to the last bit as if laid out without them."""
    layout = ready.layout
    kept = np.array([place for place, row in enumerate(layout.rows) if row.ref not in gone], dtype=np.intp)
    places, starts, owner = np.unique(layout.owner[kept], return_index=True, return_inverse=True)
    lost = [note for note in ready.case.notes if note.ref in gone]
    judged = [sum(name in note.bearing for note in lost) for name in layout.rivals[:-1]]
    less = replace(
        layout,
        rows=tuple(layout.rows[place] for place in kept.tolist()),
        origins=tuple(layout.origins[place] for place in places.tolist()),
        owner=owner,
        starts=starts,
        judged=layout.judged - np.array(judged, dtype=np.intp),
        soundness=layout.soundness[:, places],
        parts=layout.parts[:, kept],
    )
    case = replace(
        ready.case,
        notes=tuple(one for one in ready.case.notes if one.ref not in gone),
        predictions=tuple(one for one in ready.case.predictions if one.ref not in gone),
    )
    return Ready(case, less, work_out(less))


def connected(cases: Sequence[Case], links: Iterable[Link]) -> Group:
    """Return connected questions as a group. Raises WeighingRefused as `weigh_together` does for links."""
    links = tuple(links)
    check_links(cases, links)
    by_question = {case.question: case for case in sorted(cases, key=lambda case: case.question)}
    of = group(by_question, links)
    linked_priors(of, by_question)
    return of


def together(of: Group, ready: Mapping[str, Ready]) -> dict[str, Weighed]:
    """Return what the rest of the group says to each of its questions. Raises WeighingRefused if nothing is left."""
    total, rest = from_the_rest(of, [ready[question].factors.posterior for question in of.rivals], of.tables())
    if np.isneginf(total).any():
        raise WeighingRefused(f"{', '.join(of.rivals)}: the evidence and the links leave no combination of rivals.")
    return {
        question: Weighed(one.case, one.layout, one.factors, others)
        for (question, one), others in zip(((name, ready[name]) for name in of.rivals), rest, strict=True)
    }


def position(one: Weighed) -> Position:
    """Return where a question stands."""
    confidence = np.exp(one.posterior - np.logaddexp.reduce(one.posterior, axis=-1, keepdims=True))
    shares: Array = confidence / confidence.sum(axis=-1, keepdims=True)
    confidences = dict(zip(one.layout.rivals, shares[0].tolist(), strict=True))
    return Position(leader_of(confidences, Ready(one.case, one.layout, one.factors).able), confidences)


def leader_of(confidences: Mapping[str, float], able: Collection[str]) -> str | None:
    """Return the most confident of those that may lead, ranked as standings are; None if none has any confidence."""
    some = [rival for rival, value in confidences.items() if rival in able and value > 0]
    return min(some, key=lambda rival: (-round(confidences[rival], TIE_DIGITS), rival == NONE, rival), default=None)


def positions(of: Group, ready: Mapping[str, Ready]) -> dict[str, Position]:
    """Return where each question of a group stands. Raises WeighingRefused if nothing is left."""
    return {question: position(one) for question, one in together(of, ready).items()}


def weighed(cases: Sequence[Case], links: Iterable[Link]) -> dict[str, Weighed]:
    """Return questions weighed, those that links connect as one. Raises WeighingRefused as `weigh_together` does."""
    links = tuple(links)
    check_links(cases, links)
    by_question = {case.question: case for case in cases}
    found: dict[str, Weighed] = {}
    for names, inside in in_groups(by_question, links):
        some = [by_question[name] for name in names]
        found |= together(connected(some, inside), {case.question: make_ready(case) for case in some})
    return found


def in_groups(cases: Mapping[str, Case], links: Iterable[Link]) -> list[tuple[tuple[str, ...], list[Link]]]:
    """Return the questions that links connect, with those links; a link to a rival of no case is left out."""
    owner = {rival: name for name, case in cases.items() for rival in case.prior if rival != NONE}
    held = [link for link in links if link.one in owner and link.other in owner]
    rivals = {name: [rival for rival in case.prior if rival != NONE] for name, case in cases.items()}
    return [(names, [link for link in held if owner[link.one] in names]) for names in groups(rivals, held)]
