"""A ledger opened as a casebook: read, recompute what is stale, weigh, and look for what a person should see."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ledger.calculators.bench import DRAWS
from ledger.calculators.contract import Calculator
from ledger.calculators.register import REGISTER
from ledger.casebook.cases import Ground, case
from ledger.casebook.recomputing import Computed, Progress, recompute
from ledger.casebook.twice import counted_twice
from ledger.casebook.values import Casebook, Edition, Finding, Item
from ledger.entries.models import MODELS, Calculation, Investigation, Measurement
from ledger.entries.references import references
from ledger.errors import NotInLedger, WeighingRefused
from ledger.quantities.chance import Chance
from ledger.store import derived
from ledger.store.engine import Store, open_store
from ledger.store.records import current, fingerprint
from ledger.weighing.grades import CREDIBILITY, RELIABILITY, adjusted, middles
from ledger.weighing.values import NONE, Weighing
from ledger.weighing.weigh import weigh

STORE = "witness.sqlite"


def open_casebook(
    root: Path,
    store_path: Path | None = None,
    *,
    register: Mapping[str, Calculator] = REGISTER,
    count: int = DRAWS,
    numbering: bool = False,
    progress: Progress = lambda _: None,
) -> Casebook:
    """Return the casebook of an investigation; results and confidences computed now are kept in the store.

    numbering  give this state an edition number of its own if its content is new; without it the number is 0
    progress   called with the ref of everything that has to be computed
    """
    store = open_store(store_path or root / STORE, create=False)
    kept = derived.cached_results(store)
    items, fronts = _items(store)
    entries = {ref: item for ref, item in items.items() if item.entry.withdrawn is None}
    investigation = _investigation(entries)
    reliability = adjusted(RELIABILITY, _by_grade(investigation.reliability))
    credibility = adjusted(CREDIBILITY, _by_grade(investigation.credibility))
    soundness, tracking = middles(reliability), middles(credibility)
    computed = _recompute(entries, fronts, register, kept, count, progress)
    ground = Ground(
        entries,
        soundness,
        tracking,
        {**reliability, **credibility},
        computed.predicted,
        computed.holds,
        investigation.doubt,
    )
    weighings, unweighed = _weigh_all(ground, count)
    if store.writable:
        derived.put_results(store, computed.fresh, drop=set(kept) - computed.current)
        derived.replace_confidences(store, _rows(weighings))
    return Casebook(
        entries=entries,
        withdrawn={ref: item for ref, item in items.items() if item.entry.withdrawn is not None},
        results=computed.results,
        refused=computed.refused,
        weighings=weighings,
        feasibility={ref: chance for ref, (chance, _, _) in computed.holds.items()},
        used_by=_used_by(entries),
        soundness=soundness,
        tracking=tracking,
        findings=(*_findings(entries, computed, weighings), *unweighed),
        twice=counted_twice(entries),
        edition=Edition(derived.edition(store) if numbering else 0, fingerprint(store)),
    )


def recomputed(store: Store, register: Mapping[str, Calculator], count: int) -> Computed:
    """Return all results computed afresh, whatever the store has kept."""
    items, fronts = _items(store)
    entries = {ref: item for ref, item in items.items() if item.entry.withdrawn is None}
    return _recompute(entries, fronts, register, {}, count, lambda _: None)


def _items(store: Store) -> tuple[dict[str, Item], dict[str, Mapping[str, Any]]]:
    records = current(store)
    if not records:
        raise NotInLedger("The ledger is empty. `witness post` posts the entry files into it.")
    items = {
        ref: Item(
            ref,
            record.kind,
            record.name,
            MODELS[record.kind].model_validate(record.front),
            record.body,
            record.revisions,
        )
        for ref, record in records.items()
    }
    return items, {ref: record.front for ref, record in records.items()}


def _investigation(entries: Mapping[str, Item]) -> Investigation:
    for item in entries.values():
        if isinstance(item.entry, Investigation):
            return item.entry
    raise NotInLedger("The ledger has no investigation entry any more: its words were erased. Post one.")


def _recompute(
    entries: Mapping[str, Item],
    fronts: Mapping[str, Mapping[str, Any]],
    register: Mapping[str, Calculator],
    kept: Mapping[str, derived.Cached],
    count: int,
    progress: Progress,
) -> Computed:
    calculations = {
        ref: (item.entry, fronts[ref]) for ref, item in entries.items() if isinstance(item.entry, Calculation)
    }
    measurements = {
        ref: item.entry.quantity
        for ref, item in entries.items()
        if isinstance(item.entry, Measurement) and item.entry.source in entries
    }
    doubt = _investigation(entries).doubt
    return recompute(register, calculations, measurements, kept, doubt, count, progress)


def _by_grade(stated: Mapping[Any, Chance]) -> dict[str, Chance]:
    return {str(grade): chance for grade, chance in stated.items()}


def _weigh_all(ground: Ground, draws: int) -> tuple[dict[str, Weighing], tuple[Finding, ...]]:
    weighings: dict[str, Weighing] = {}
    unweighed: list[Finding] = []
    for ref, item in ground.entries.items():
        if item.kind != "question":
            continue
        try:
            weighings[ref] = weigh(case(ground, ref), draws)
        except WeighingRefused as error:
            unweighed.append(Finding((ref,), str(error)))
    return weighings, tuple(unweighed)


def _rows(weighings: Mapping[str, Weighing]) -> list[derived.Confidence]:
    return [
        derived.Confidence(ref, one.rival, one.prior, one.confidence, one.low, one.high, place)
        for ref, weighing in weighings.items()
        for place, one in enumerate(weighing.standings, 1)
    ]


def _used_by(entries: Mapping[str, Item]) -> dict[str, tuple[str, ...]]:
    users: dict[str, set[str]] = {}
    for ref, item in entries.items():
        for _, target in references(item.entry):
            users.setdefault(target, set()).add(ref)
    return {ref: tuple(sorted(users[ref])) for ref in sorted(users)}


def _findings(entries: Mapping[str, Item], computed: Computed, weighings: Mapping[str, Weighing]) -> list[Finding]:
    findings = [Finding((ref,), reason) for ref, reason in sorted(computed.refused.items())]
    for ref, item in entries.items():
        gone = sorted({target for _, target in references(item.entry) if target not in entries})
        if gone:
            findings.append(
                Finding((ref, *gone), f"{ref} names {', '.join(gone)}, withdrawn or not in the ledger: revise it.")
            )
    for question, weighing in weighings.items():
        named = [standing for standing in weighing.standings if standing.rival != NONE]
        tested = [standing for standing in named if standing.tested]
        for standing in named:
            if tested and not standing.tested:
                findings.append(
                    Finding(
                        (standing.rival, question),
                        f"{standing.rival} is untested: no calculation speaks to it, as to others of {question}. "
                        "Add one with a criterion, or bear in mind that untested is no merit.",
                    )
                )
            if not standing.may_lead:
                findings.append(
                    Finding(
                        (standing.rival, question),
                        f"{standing.rival} is judged in {standing.judged} of {standing.notes} notes, too few to lead: "
                        "judge it in the others.",
                    )
                )
    return findings
