"""The front page's and the sections' lists."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ledger.building.sheet import decides
from ledger.calculators.contract import Calculator
from ledger.casebook.consent import published
from ledger.casebook.items import Finding, Item
from ledger.casebook.values import Casebook
from ledger.entries.models import (
    FOLDERS,
    Calculation,
    Decision,
    Evidence,
    Hypothesis,
    Lookout,
    Measurement,
    Precedent,
    Question,
    Reply,
    Source,
)
from ledger.photo.methods import REGISTER as WAYS
from ledger.publishing import fields, words
from ledger.publishing.addresses import BUILDING, CALCULATORS, METHODS, Link, Ways, by_title, section_of
from ledger.publishing.calculating import in_short
from ledger.publishing.comparing import Answer, answer, standing
from ledger.publishing.figures import minus
from ledger.publishing.media.thumbs import Thumb
from ledger.quantities import percents


@dataclass(frozen=True)
class Line:
    """One entry in a list: its link and what it says in short."""

    link: Link
    short: str
    beside: Link | None = None


@dataclass(frozen=True)
class Open:
    """One question on the front page; `answer` is None while it is not weighed, `was` what it came out as.

    thumb  a picture of what moves its answer most, where one may be shown
    """

    link: Link
    answer: Answer | None
    share: float = 0.0
    low: float | None = None
    high: float | None = None
    was: Link | None = None
    thumb: Thumb | None = None


@dataclass(frozen=True)
class Look:
    """One finding with the links to the entries it concerns."""

    message: str
    about: tuple[Link, ...]


def questions(casebook: Casebook, ways: Ways) -> tuple[tuple[str, Open], ...]:
    """Return the questions by ref with their answers in short, the open ones first."""
    rows = []
    for item in casebook.of_kind("question"):
        weighing = casebook.weighings.get(item.ref)
        resolved = item.entry.resolved if isinstance(item.entry, Question) else None
        if resolved is not None:
            rows.append((item.ref, Open(ways.to(item.ref), None, was=ways.to(resolved.answer))))
        elif weighing is None:
            rows.append((item.ref, Open(ways.to(item.ref), None)))
        else:
            top = standing(weighing, weighing.leader or weighing.account.leader)
            one = Open(ways.to(item.ref), answer(weighing, ways), top.confidence, top.low, top.high)
            rows.append((item.ref, one))
    return tuple(sorted(rows, key=lambda row: row[1].was is not None))


def looks(found: tuple[Finding, ...], ways: Ways) -> tuple[Look, ...]:
    """Return findings with their links."""
    return tuple(
        Look(by_title(ways.casebook, finding.message), tuple(ways.to(ref) for ref in finding.about))
        for finding in found
    )


def sections(casebook: Casebook, ways: Ways, register: Mapping[str, Calculator]) -> tuple[Line, ...]:
    """Return the sections with how much stands in each."""
    rows = []
    for kind, (singular, plural, purpose) in words.KINDS.items():
        if kind != "investigation":
            number = sum(published(item) for item in casebook.of_kind(kind))
            link = ways.page(section_of(FOLDERS[kind]), plural)
            rows.append(Line(link, f"{words.count(number, singular.lower(), plural.lower())}. {purpose}"))
    rows.append(
        Line(
            ways.page(CALCULATORS, "Calculators"),
            f"{words.count(len(register), 'calculator')}. The computations the ledger knows.",
        )
    )
    methods = words.count(len(WAYS), "method")
    rows.append(Line(ways.page(METHODS, "Ways of measuring"), f"{methods}. From photographs and recordings."))
    if decides(casebook):
        rows.append(Line(ways.page(BUILDING, "Build sheet"), "Dimensions of the model, with what each comes from."))
    return tuple(rows)


def lines(casebook: Casebook, kind: str, ways: Ways) -> tuple[Line, ...]:
    """Return the standing entries of a kind, as its section lists them."""
    return tuple(_line(casebook, item, ways) for item in casebook.of_kind(kind) if published(item))


def withdrawn(casebook: Casebook, kind: str, ways: Ways) -> tuple[Line, ...]:
    """Return the withdrawn entries of a kind with the reason."""
    gone = (item for item in casebook.withdrawn.values() if item.kind == kind and published(item))
    return tuple(Line(ways.to(item.ref), item.entry.withdrawn or "") for item in gone)


def _line(casebook: Casebook, item: Item, ways: Ways) -> Line:
    entry = item.entry
    link = ways.to(item.ref)
    if isinstance(entry, Source):
        return Line(link, f"{entry.medium}, {entry.date}, {words.reliability(entry.reliability)}")
    if isinstance(entry, Evidence):
        return Line(link, words.credibility(entry.credibility), ways.to(entry.source))
    if isinstance(entry, Measurement):
        return Line(link, minus(entry.quantity.text), ways.to(entry.source))
    if isinstance(entry, Precedent):
        years = entry.from_ if entry.to is None else f"{entry.from_} to {entry.to}"
        return Line(link, f"{years}, {fields.STANDINGS[entry.standing]}")
    if isinstance(entry, Hypothesis):
        return Line(link, _confidence(casebook, item.ref, entry), ways.to(entry.question))
    if isinstance(entry, Calculation):
        return _calculation(casebook, item, entry, ways)
    if isinstance(entry, Lookout):
        return Line(link, entry.cost or "", ways.to(entry.question))
    if isinstance(entry, Decision):
        return Line(link, entry.choice)
    if isinstance(entry, Reply):
        return Line(link, f"{entry.date}: {fields.STANCES[entry.stance]}", ways.to(entry.about))
    weighing = casebook.weighings.get(item.ref)
    if weighing is None:
        return Line(link, "not weighed yet")
    short = answer(weighing, ways)
    return Line(link, f"{'leading' if short.leads else 'no leader; highest'} at {short.confidence}", short.top)


def _confidence(casebook: Casebook, ref: str, entry: Hypothesis) -> str:
    weighing = casebook.weighings.get(entry.question)
    found = [one for one in weighing.standings if one.rival == ref] if weighing else []
    return f"confidence {percents.chance(found[0].confidence)}" if found else "not weighed yet"


def _calculation(casebook: Casebook, item: Item, entry: Calculation, ways: Ways) -> Line:
    if item.ref in casebook.refused:
        return Line(ways.to(item.ref), "refused")
    result = casebook.results.get(item.ref)
    shown = in_short(casebook, result) if result else ""
    return Line(ways.to(item.ref), shown, ways.to(entry.hypotheses[0]) if len(entry.hypotheses) == 1 else None)
