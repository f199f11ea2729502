"""A ledger opened as a casebook: read, recompute what is stale, weigh, and look for what a person should see."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from ledger.calculators.bench import DRAWS
from ledger.calculators.contract import Calculator
from ledger.calculators.register import REGISTER
from ledger.casebook.cases import Ground
from ledger.casebook.firm import Firmness
from ledger.casebook.grounding import stand
from ledger.casebook.items import Edition, Finding, Item
from ledger.casebook.measured import measurer, picked_names
from ledger.casebook.moments import Course
from ledger.casebook.recomputing import Computed, Progress
from ledger.casebook.twice import counted_twice
from ledger.casebook.values import Casebook
from ledger.casebook.weighed import Weighed, weigh_all
from ledger.entries.models import MODELS, Calculation, Question
from ledger.entries.references import references
from ledger.entries.wording import explain
from ledger.errors import Fault, FaultsFound, NotInLedger
from ledger.store import derived
from ledger.store.engine import Store, open_store
from ledger.store.records import content_fingerprint, current_entries, last, links
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
    progress   called with the ref of everything that was computed anew
    """
    store = open_store(store_path or root / STORE, create=False)
    work = _Work(root, store, _read(store), register, count, progress)
    if store.writable:
        fresh, current = work.results.fresh, work.results.current | picked_names(work.entries)
        with derived.as_far_as_possible():
            derived.put_results(
                store, {**fresh, **work.weighed.fresh}, drop=set(work.kept) - current - work.weighed.current
            )
            derived.replace_confidences(store, _rows(work.weighed.weighings))
    return _casebook(work, derived.edition(store, work.read.fingerprint) if numbering else 0)


def worked_out_anew(
    root: Path, register: Mapping[str, Calculator] = REGISTER, count: int = DRAWS
) -> tuple[Casebook, Mapping[str, derived.Cached]]:
    """Return the casebook with all of it worked out anew, and what a store can have of it; empty what it cannot have.

    Nothing is taken from what the store keeps, and nothing is put into it.
    """
    store = open_store(root / STORE, create=False)
    work = _Work(root, store, _read(store), register, count, lambda _: None, keeping=False)
    return _casebook(work, 0), {**work.results.fresh, **work.weighed.fresh, **work.weighed.none}


@dataclass(frozen=True)
class _Read:
    """A store as it was at one moment: what it keeps, its last revision, its entries, and their fingerprint."""

    kept: Mapping[str, derived.Cached]
    upto: int
    items: Mapping[str, Item]
    fronts: Mapping[str, Mapping[str, Any]]
    fingerprint: str


@dataclass(frozen=True)
class _Work:
    """What a store comes to. `keeping`: what the store keeps is taken, and what is worked out is put into it."""

    root: Path
    store: Store
    read: _Read
    register: Mapping[str, Calculator]
    count: int
    progress: Progress
    keeping: bool = True

    @cached_property
    def entries(self) -> dict[str, Item]:
        return {ref: item for ref, item in self.read.items.items() if item.entry.withdrawn is None}

    @property
    def kept(self) -> Mapping[str, derived.Cached]:
        return self.read.kept if self.keeping else {}

    @cached_property
    def stood(self) -> tuple[Computed, Ground]:
        return stand(self.entries, self.read.fronts, self.register, self.kept, self.count, self.progress)

    @property
    def results(self) -> Computed:
        return self.stood[0]

    @cached_property
    def weighed(self) -> Weighed:
        return weigh_all(self.stood[1], self.count, self.kept)


def _read(store: Store) -> _Read:
    """Raises FaultsFound for words that an earlier program took and this one does not: mended files can be posted."""
    with store.reading() as connection:
        kept, (upto, _), records = derived.cached(connection), last(connection), current_entries(connection)
        known = content_fingerprint(connection)
    if not records:
        raise NotInLedger("The ledger is empty. `witness post` posts the entry files into it.")
    items, faults = dict[str, Item](), list[Fault]()
    for ref, record in records.items():
        try:
            entry = MODELS[record.kind].model_validate(record.front)
        except ValidationError as error:
            faults += explain(error, MODELS[record.kind], record.front, f"entries/{ref}.md", lambda _: 0)
        else:
            items[ref] = Item(ref, record.kind, record.name, entry, record.body, record.revisions)
    if faults:
        raise FaultsFound(faults)
    return _Read(kept, upto, items, {ref: record.front for ref, record in records.items()}, known)


def _casebook(work: _Work, number: int) -> Casebook:
    store, items, entries = work.store, work.read.items, work.entries
    (computed, ground), weighed = work.stood, work.weighed

    @cache
    def record() -> Record:
        from ledger.casebook.rebuilding import by_id
        from ledger.casebook.record import Record

        with store.reading() as connection:
            chain = tuple(link for link in links(connection) if link.seq <= work.read.upto)
        return Record(
            store,
            chain,
            work.register,
            work.count,
            lambda ids: by_id(weighed.weighings, computed.results, ids),
            computed.fresh,
            work.progress,
            work.keeping,
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
        edition=Edition(number, work.read.fingerprint),
        cases=weighed.cases,
        links=weighed.links,
        ground=ground,
        course=over_time,
        firmness=firmness,
        late=belated,
        taken=taken,
        editions=published,
        history=lambda: record().chain,
        measured=measurer(store, work.kept, entries, withdrawn, work.root, work.keeping),
    )
    return casebook


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
            lost = sorted(ref for ref in computed.refused if _tests(entries.get(ref), standing.rival))
            if lost and not standing.tested:
                message = f"{standing.rival} has no feasibility: {', '.join(lost)} cannot be computed. Mend that."
                findings.append(Finding((standing.rival, question), message))
            elif tested and not standing.tested:
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


def _tests(item: Item | None, rival: str) -> bool:
    return item is not None and isinstance(item.entry, Calculation) and rival in item.entry.hypotheses
