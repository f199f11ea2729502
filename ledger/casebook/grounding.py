"""What a ledger's entries come to before the weighing: everything computed that they say to compute.

It is the same for the entries of today and for those of any day before.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ledger.calculators.contract import Calculator
from ledger.casebook.cases import Ground, links
from ledger.casebook.items import Item
from ledger.casebook.known import factors
from ledger.casebook.recomputing import Computed, Progress, recompute
from ledger.entries.models import Calculation, Investigation, Measurement
from ledger.errors import NotInLedger
from ledger.quantities.chance import Chance
from ledger.store.derived import Cached
from ledger.weighing.grades import CREDIBILITY, RELIABILITY, adjusted, middles


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


def _investigation(entries: Mapping[str, Item]) -> Investigation:
    for item in entries.values():
        if isinstance(item.entry, Investigation):
            return item.entry
    raise NotInLedger("The ledger has no investigation entry any more: its words were erased. Post one.")


def _by_grade(stated: Mapping[Any, Chance]) -> dict[str, Chance]:
    return {str(grade): chance for grade, chance in stated.items()}
