"""What a ledger's entries come to: everything computed that they say to compute, and every question weighed.

It is the same for the entries of today and for those of any day before.
"""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from ledger.calculators.contract import Calculator
from ledger.casebook.cases import Ground, case, links
from ledger.casebook.known import factors, open_links
from ledger.casebook.recomputing import Computed, Progress, recompute
from ledger.casebook.values import Finding, Item
from ledger.entries.models import Calculation, Investigation, Measurement
from ledger.errors import NotInLedger, WeighingRefused
from ledger.quantities.chance import Chance
from ledger.store.derived import Cached
from ledger.weighing.grades import CREDIBILITY, RELIABILITY, adjusted, middles
from ledger.weighing.linking import groups
from ledger.weighing.values import NONE, Case, Link, Weighing
from ledger.weighing.weigh import weigh_together

KEPT_GROUPS = 16


@dataclass(frozen=True)
class Weighed:
    """All questions weighed: the cases, the links between them, the weighings, and what could not be weighed."""

    cases: Mapping[str, Case]
    links: tuple[Link, ...]
    weighings: Mapping[str, Weighing]
    unweighed: tuple[Finding, ...]


def stand(
    entries: Mapping[str, Item],
    fronts: Mapping[str, Mapping[str, Any]],
    register: Mapping[str, Calculator],
    kept: Mapping[str, Cached],
    count: int,
    progress: Progress = lambda _: None,
    explained: bool = True,
) -> tuple[Computed, Ground]:
    """Return what standing entries come to before the weighing: all results, and the ground that cases are made from.

    fronts     the front matter of calculations by ref, as plain data
    kept       results that need not be computed again where nothing they stand on has changed
    explained  with what each doubt does to each result
    """
    investigation = _investigation(entries)
    reliability = adjusted(RELIABILITY, _by_grade(investigation.reliability))
    credibility = adjusted(CREDIBILITY, _by_grade(investigation.credibility))
    computed = compute(entries, fronts, register, kept, count, progress, explained)
    ground = Ground(
        entries,
        middles(reliability),
        middles(credibility),
        {**reliability, **credibility},
        computed.predicted,
        computed.holds,
        computed.bench,
        investigation.doubt,
        computed.parts,
        factors(links(entries), entries),
    )
    return computed, ground


def compute(
    entries: Mapping[str, Item],
    fronts: Mapping[str, Mapping[str, Any]],
    register: Mapping[str, Calculator],
    kept: Mapping[str, Cached],
    count: int,
    progress: Progress = lambda _: None,
    explained: bool = True,
) -> Computed:
    """Return the results of all calculations among standing entries."""
    calculations = {
        ref: (item.entry, fronts[ref]) for ref, item in entries.items() if isinstance(item.entry, Calculation)
    }
    measurements = {
        ref: item.entry.quantity
        for ref, item in entries.items()
        if isinstance(item.entry, Measurement) and item.entry.source in entries
    }
    return recompute(register, calculations, measurements, kept, count, progress, explained)


def weigh_all(ground: Ground, draws: int) -> Weighed:
    """Return every question weighed, linked ones together."""
    cases: dict[str, Case] = {}
    unweighed: list[Finding] = []
    for ref, item in ground.entries.items():
        if item.kind != "question":
            continue
        try:
            cases[ref] = case(ground, ref)
        except WeighingRefused as error:
            unweighed.append(Finding((ref,), str(error)))
    weighings: dict[str, Weighing] = {}
    rivals = {ref: [rival for rival in one.prior if rival != NONE] for ref, one in cases.items()}
    owner = {rival: ref for ref, names in rivals.items() for rival in names}
    known = open_links(links(ground.entries), ground.entries)
    held = tuple(link for link in known if link.one in owner and link.other in owner)
    for together in groups(rivals, held):
        inside = [link for link in held if owner[link.one] in together]
        try:
            weighings |= _weighed(tuple(cases[ref] for ref in together), tuple(inside), draws)
        except WeighingRefused as error:
            unweighed.append(Finding(together, str(error)))
    return Weighed(cases, held, dict(sorted(weighings.items())), tuple(unweighed))


def _weighed(cases: tuple[Case, ...], inside: tuple[Link, ...], draws: int) -> Mapping[str, Weighing]:
    """Return a group weighed, not twice with draws where a preview asks again and nothing of the group has changed."""
    if draws == 0:
        return weigh_together(cases, inside, draws)
    return _weighed_once(_Asked(cases, inside, draws, hashlib.sha256(pickle.dumps((cases, inside, draws))).digest()))


@dataclass(frozen=True, eq=False)
class _Asked:
    """A group to be weighed, the same as another if all that it is made of is: `digest` is that of all its bytes."""

    cases: tuple[Case, ...]
    inside: tuple[Link, ...]
    draws: int
    digest: bytes

    def __hash__(self) -> int:
        return hash(self.digest)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asked) and other.digest == self.digest


@lru_cache(maxsize=KEPT_GROUPS)
def _weighed_once(asked: _Asked) -> Mapping[str, Weighing]:
    return weigh_together(asked.cases, asked.inside, asked.draws)


def _investigation(entries: Mapping[str, Item]) -> Investigation:
    for item in entries.values():
        if isinstance(item.entry, Investigation):
            return item.entry
    raise NotInLedger("The ledger has no investigation entry any more: its words were erased. Post one.")


def _by_grade(stated: Mapping[Any, Chance]) -> dict[str, Chance]:
    return {str(grade): chance for grade, chance in stated.items()}
