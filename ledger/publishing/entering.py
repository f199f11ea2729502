"""What every entry's page has, whatever its kind; and what evidence notes, sources and hypotheses have besides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from ledger.casebook.consent import published
from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import FOLDERS, KINDS, Calculation, Evidence, Hypothesis, Lookout, Measurement
from ledger.entries.references import references
from ledger.publishing import fields, words
from ledger.publishing.addresses import Link, Ways, by_title, page_of, section_of
from ledger.publishing.bodies import render
from ledger.publishing.comparing import interval
from ledger.publishing.keeping import Feasible, feasible, tested
from ledger.publishing.reasons import TOGETHER
from ledger.publishing.weights import Weight, size_of, weight_of
from ledger.quantities import percents
from ledger.weighing.values import NONE, Standing, Weighing

ASIDE = frozenset({"reply", "lookout"})


@dataclass(frozen=True)
class Sheet:
    """One entry as its page shows it."""

    title: str
    kind: str
    question: bool
    section: Link | None
    withdrawn: str
    uncounted: str
    fields: tuple[fields.Field, ...]
    body: Markup
    stands_on: tuple[Link, ...]
    bears_up: tuple[Link, ...]
    beside: tuple[Link, ...]
    revisions: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Effect:
    """What an evidence note does in one question: each rival's bearing and weight."""

    question: Link
    rivals: tuple[tuple[Link, str, Weight], ...]


@dataclass(frozen=True)
class Ground:
    """What a hypothesis stands on: one thing, or calculations whose criteria are weighed together, which `part` says.

    weight  None where it was not weighed for this hypothesis
    """

    links: tuple[Link, ...]
    weight: Weight | None
    part: str


@dataclass(frozen=True)
class Place:
    """Where a hypothesis stands in its question, and what it stands on."""

    question: Link
    confidence: str
    interval: str
    judged: str
    feasible: Feasible | None
    uncomputed: tuple[Link, ...]
    calculations: tuple[Link, ...]
    grounds: tuple[Ground, ...]


def sheet(casebook: Casebook, item: Item, pictures: frozenset[str]) -> Sheet:
    """Return one entry as its page shows it."""
    here = page_of(item.ref)
    ways = Ways(casebook, here)
    singular, plural, _ = words.KINDS[item.kind]
    section = None if item.kind == "investigation" else ways.page(section_of(FOLDERS[item.kind]), plural)
    stands_on, bears_up, beside = _ties(casebook, item)
    return Sheet(
        title=item.title,
        kind=singular,
        question=item.kind == "question",
        section=section,
        withdrawn=item.entry.withdrawn or "",
        uncounted=(item.entry.uncounted or "") if isinstance(item.entry, Evidence | Calculation) else "",
        fields=fields.of(item, ways),
        body=render(casebook, item.body, here, pictures).html,
        stands_on=tuple(ways.to(ref) for ref in stands_on),
        bears_up=tuple(ways.to(ref) for ref in bears_up),
        beside=tuple(ways.to(ref) for ref in beside),
        revisions=words.count(item.revisions, "revision"),
        cautions=tuple(
            by_title(casebook, one.message) for one in (*casebook.findings, *casebook.twice) if item.ref in one.about
        ),
    )


def _ties(casebook: Casebook, item: Item) -> tuple[list[str], list[str], list[str]]:
    """Return what an entry stands on, what stands on it, and what speaks of it from beside.

    A note or a calculation names the hypothesis, but it is the hypothesis that stands on them; and a question on its
    hypotheses. A reply or a lookout carries nothing.
    """
    named = {str(target) for _, target in references(item.entry)}
    users = {
        ref
        for ref in casebook.used_by.get(item.ref, ())
        if ref not in casebook.entries or published(casebook.entries[ref])
    }
    beside = {ref for ref in users if _kind(ref) in ASIDE}
    users -= beside
    leaning_on_it = {ref for ref in users if _leans(_kind(ref), item.kind)}
    leant_on = {ref for ref in named if _leans(item.kind, _kind(ref))} if item.kind not in ASIDE else set()
    # What is withdrawn carries nothing any more, though it still names what it once carried.
    carrying = item.kind not in ASIDE and item.entry.withdrawn is None
    carried = named - leant_on if carrying else set()
    return sorted(leant_on | (users - leaning_on_it)), sorted(leaning_on_it | carried), sorted(beside)


def _leans(kind: str, named: str) -> bool:
    return kind == "decision" or named not in ("hypothesis", "question")


def _kind(ref: str) -> str:
    return KINDS[ref.partition("/")[0]]


def effects(casebook: Casebook, item: Item, ways: Ways) -> tuple[Effect, ...]:
    """Return what a note or a measurement does in each question that weighs it."""
    found = []
    for ref, weighing in casebook.weighings.items():
        if item.ref in weighing.weights:
            rows = tuple(
                (ways.to(one.rival), _said(item, one), shown)
                for one in weighing.standings
                if (shown := weight_of(weighing, item.ref, one.rival)) is not None
            )
            found.append(Effect(ways.to(ref), rows))
    return tuple(found)


def _said(item: Item, one: Standing) -> str:
    """Return the bearing that a note states on a rival. Nobody states one on "none of these"."""
    if not isinstance(item.entry, Evidence):
        return ""
    if one.rival == NONE:
        return "takes the prior-weighted mean of the others"
    stated = item.entry.bearing.get(one.rival) or item.entry.bearing.get("others")
    return fields.bearing(stated) if stated else "not judged: placed between the least and the greatest"


def bearings(item: Item, ways: Ways) -> tuple[fields.Stated, ...]:
    """Return the bearings a note states."""
    return fields.bearings(item.entry.bearing, ways) if isinstance(item.entry, Evidence) else ()


def outcomes(item: Item, ways: Ways) -> tuple[tuple[str, tuple[fields.Stated, ...]], ...]:
    """Return the outcomes a lookout may have."""
    return fields.outcomes(item.entry, ways) if isinstance(item.entry, Lookout) else ()


def place(casebook: Casebook, item: Item, ways: Ways) -> Place | None:
    """Return where a hypothesis stands, or None for other kinds and for a question that is not weighed."""
    if not isinstance(item.entry, Hypothesis):
        return None
    weighing = casebook.weighings.get(item.entry.question)
    one = next((standing for standing in weighing.standings if standing.rival == item.ref), None) if weighing else None
    if weighing is None or one is None:
        return None
    return Place(
        question=ways.to(item.entry.question),
        confidence=percents.chance(one.confidence),
        interval=interval(one),
        judged=f"{one.judged} of {words.count(one.notes, 'note')}",
        feasible=feasible(casebook, item.ref, ways),
        uncomputed=tuple(map(ways.to, casebook.uncomputed(item.ref))),
        calculations=tuple(
            ways.to(other.ref, f"{other.title} (not counted)" if other.entry.uncounted else None)
            for other in casebook.of_kind("calculation")
            if isinstance(other.entry, Calculation) and item.ref in other.entry.hypotheses
        ),
        grounds=_grounds(casebook, weighing, item, ways),
    )


def _grounds(casebook: Casebook, weighing: Weighing, item: Item, ways: Ways) -> tuple[Ground, ...]:
    """Return what a hypothesis stands on, what moves it most first; what was not weighed for it is last."""
    shared = f"{TOGETHER}{item.ref}"
    rows: dict[str, tuple[str, ...]] = {ref: (ref,) for ref in _ties(casebook, item)[0]}
    # A note may bear on it among "others", without its name.
    rows |= {ref: (ref,) for ref, row in weighing.weights.items() if item.ref in row and _observed(casebook, ref)}
    if shared in weighing.weights:
        judged = tuple(ref for ref in tested(casebook, item.ref) if ref in casebook.results)
        rows = {ref: own for ref, own in rows.items() if ref in weighing.weights or ref not in judged}
        rows[shared] = judged
    order = sorted(
        rows, key=lambda key: (item.ref not in weighing.weights.get(key, ()), -size_of(weighing, key, item.ref))
    )
    return tuple(
        Ground(tuple(map(ways.to, rows[key])), weight_of(weighing, key, item.ref), _part(key, rows[key]))
        for key in order
    )


def _observed(casebook: Casebook, ref: str) -> bool:
    return ref in casebook.entries and isinstance(casebook.entries[ref].entry, Evidence | Measurement)


def _part(key: str, refs: Sequence[str]) -> str:
    if not key.startswith(TOGETHER):
        return ""
    return "their criteria together" if len(refs) > 1 else "its criteria"


def soundness(casebook: Casebook, item: Item, ways: Ways) -> tuple[tuple[Link, str], ...]:
    """Return by question the chance that a source is sound, after weighing."""
    return tuple(
        (ways.to(ref), percents.chance(weighing.soundness[item.ref]))
        for ref, weighing in casebook.weighings.items()
        if item.ref in weighing.soundness
    )
