"""A ledger opened as a casebook: read, recompute what is stale, weigh, and look for what a person should see."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger.calculators.bench import DRAWS
from ledger.calculators.contract import Calculator
from ledger.calculators.register import REGISTER
from ledger.casebook.firm import Firmness
from ledger.casebook.grounding import compute, stand
from ledger.casebook.items import Edition, Finding, Item
from ledger.casebook.measured import measurer, picked_names
from ledger.casebook.moments import Course
from ledger.casebook.recomputing import Computed, Progress
from ledger.casebook.twice import counted_twice
from ledger.casebook.values import Casebook
from ledger.casebook.weighed import weigh_all
from ledger.entries.models import MODELS, Question
from ledger.entries.references import references
from ledger.errors import NotInLedger
from ledger.store import derived
from ledger.store.engine import Store, open_store
from ledger.store.records import current, fingerprint, last, links
from ledger.weighing.values import NONE, Weighing

if TYPE_CHECKING:
    from ledger.casebook.editions import Published
    from ledger.casebook.record import Record
    from ledger.casebook.taking import Then

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
    with store.reading() as connection:
        upto, _ = last(connection)
    items, fronts = _items(store)
    entries = {ref: item for ref, item in items.items() if item.entry.withdrawn is None}
    computed, ground = stand(entries, fronts, register, kept, count, progress)
    weighed = weigh_all(ground, count, kept)
    if store.writable:
        standing = computed.current | weighed.current | picked_names(entries)
        derived.put_results(store, {**computed.fresh, **weighed.fresh}, drop=set(kept) - standing)
        derived.replace_confidences(store, _rows(weighed.weighings))

    @cache
    def record() -> Record:
        from ledger.casebook.rebuilding import by_id
        from ledger.casebook.record import Record

        with store.reading() as connection:
            chain = tuple(link for link in links(connection) if link.seq <= upto)
        return Record(
            store,
            chain,
            register,
            count,
            lambda ids: by_id(weighed.weighings, computed.results, ids),
            computed.fresh,
            progress,
        )

    @cache
    def places() -> dict[str, int]:
        from ledger.casebook.taking import decided

        return decided(record(), [ref for ref, item in entries.items() if item.kind == "decision"])

    @cache
    def over_time() -> Course:
        from ledger.casebook.course import course

        questions = {ref: item.entry for ref, item in entries.items() if isinstance(item.entry, Question)}
        return course(record(), questions, places().values())

    @cache
    def taken() -> dict[str, Then]:
        from ledger.casebook import taking

        return taking.taken(record(), places(), items)

    @cache
    def published() -> tuple[Published, ...]:
        from ledger.casebook.editions import editions

        return editions(record())

    @cache
    def belated() -> dict[str, frozenset[str]]:
        from ledger.casebook.lateness import late

        return late(record(), entries)

    @cache
    def firmness() -> Firmness:
        from ledger.casebook import fragility

        return fragility.firmness(casebook, store)

    withdrawn = {ref: item for ref, item in items.items() if item.entry.withdrawn is not None}
    casebook = Casebook(
        entries=entries,
        withdrawn=withdrawn,
        results=computed.results,
        refused=computed.refused,
        weighings=weighed.weighings,
        feasibility={ref: held.share for ref, held in computed.holds.items()},
        used_by=_used_by(entries),
        soundness=ground.soundness,
        tracking=ground.tracking,
        findings=(*_findings(entries, computed, weighed.weighings), *weighed.unweighed),
        twice=counted_twice(entries),
        edition=Edition(derived.edition(store) if numbering else 0, fingerprint(store)),
        cases=weighed.cases,
        links=weighed.links,
        ground=ground,
        course=over_time,
        firmness=firmness,
        late=belated,
        taken=taken,
        editions=published,
        history=lambda: record().chain,
        measured=measurer(store, kept, entries, withdrawn, root),
    )
    return casebook


def recomputed(store: Store, register: Mapping[str, Calculator], count: int) -> Computed:
    """Return all results computed afresh, whatever the store has kept."""
    items, fronts = _items(store)
    entries = {ref: item for ref, item in items.items() if item.entry.withdrawn is None}
    return compute(entries, fronts, register, {}, count)


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
                Finding(
                    (ref, *gone),
                    f"{ref} names {', '.join(gone)}, withdrawn or not in the ledger: revise it.",
                )
            )
    for question, weighing in weighings.items():
        findings += [
            Finding(
                (one.rival, question),
                f"{one.rival} cannot be true beside any combination of the other questions' rivals: "
                f"{'; '.join(one.links)}. Take out or mend one of these links, or withdraw it.",
            )
            for one in weighing.impossible
        ]
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
