"""The ledger as tables: rows by table, each cell a text, a number, a truth or nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from ledger.calculators.contract import Calculator
from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import OTHERS, Calculation, Decision, Evidence, Hypothesis, Measurement, Source
from ledger.entries.parts import Absence, Bearing
from ledger.entries.references import references
from ledger.handing.fronts import plain
from ledger.handing.leaving import Leaving

Form = Literal["text", "number", "whole", "truth"]
Cell = str | float | int | bool | None
Row = Mapping[str, Cell]


@dataclass(frozen=True)
class Table:
    """A table declared: its name, what a row is, the form of each column in order, and what gives its rows."""

    name: str
    row: str
    columns: Mapping[str, Form]
    rows: Callable[[Casebook, Leaving, Mapping[str, Calculator]], Iterator[Row]]


def _everything(out: Leaving) -> Iterator[Item]:
    yield from out.entries.values()
    yield from out.withdrawn.values()


def _entries(casebook: Casebook, out: Leaving, register: Mapping[str, Calculator]) -> Iterator[Row]:
    for item in _everything(out):
        yield {
            "entry": item.ref,
            "kind": item.kind,
            "title": item.title,
            "revisions": item.revisions,
            "withdrawn": item.entry.withdrawn,
            "body": item.body,
        }


def _sources(casebook: Casebook, out: Leaving, register: Mapping[str, Calculator]) -> Iterator[Row]:
    for item in _everything(out):
        entry = item.entry
        if isinstance(entry, Source):
            yield {
                "source": item.ref,
                "title": item.title,
                "medium": entry.medium,
                "author": entry.author,
                "date": entry.date,
                "rights": entry.rights,
                "publishable": entry.publishable,
                "reliability": entry.reliability,
                "sound": casebook.soundness.get(entry.reliability),
                "origin": entry.origin,
                "file": entry.file,
                "locator": entry.locator,
                "withdrawn": entry.withdrawn,
            }


def _notes(casebook: Casebook, out: Leaving, register: Mapping[str, Calculator]) -> Iterator[Row]:
    for item in _everything(out):
        entry = item.entry
        if not isinstance(entry, Evidence):
            continue
        said = {
            "note": item.ref,
            "title": item.title,
            "source": entry.source,
            "credibility": entry.credibility,
            "uncounted": entry.uncounted,
            "withdrawn": entry.withdrawn,
        }
        named = {rival: _question(casebook, rival) for rival in entry.bearing if rival != OTHERS}
        for rival, question in named.items():
            yield {**said, "question": question, "rival": rival, "by": "name", **_bearing(entry.bearing[rival])}
        if OTHERS in entry.bearing:
            for question in sorted({one for one in named.values() if one}):
                for other in casebook.rivals(question):
                    if other.ref not in named:
                        row = {"question": question, "rival": other.ref, "by": OTHERS}
                        yield {**said, **row, **_bearing(entry.bearing[OTHERS])}
        if not entry.bearing:
            yield said


def _question(casebook: Casebook, rival: str) -> str | None:
    judged = casebook.entries.get(rival) or casebook.withdrawn.get(rival)
    return judged.entry.question if judged and isinstance(judged.entry, Hypothesis) else None


def _bearing(bearing: Bearing) -> Row:
    """Return a bearing as stated, and P(note | rival) at its ends: of an absence, one less how surely it would show."""
    if isinstance(bearing, Absence):
        shown = bearing.would_show
        return {"stated": str(plain(shown)), "absence": True, "least": 1 - shown.high, "greatest": 1 - shown.low}
    return {"stated": str(plain(bearing)), "absence": False, "least": bearing.low, "greatest": bearing.high}


def _measurements(casebook: Casebook, out: Leaving, register: Mapping[str, Calculator]) -> Iterator[Row]:
    for item in _everything(out):
        entry = item.entry
        if isinstance(entry, Measurement):
            quantity = entry.quantity
            yield {
                "measurement": item.ref,
                "title": item.title,
                "quantity": quantity.text,
                "shape": quantity.shape,
                "unit": quantity.unit,
                "mean": quantity.mean,
                "deviation": quantity.std,
                "nominal": quantity.nominal,
                "source": entry.source,
                "credibility": entry.credibility,
                "method": entry.method,
                "withdrawn": entry.withdrawn,
            }


def _calculations(casebook: Casebook, out: Leaving, register: Mapping[str, Calculator]) -> Iterator[Row]:
    for item in out.entries.values():
        entry = item.entry
        if not isinstance(entry, Calculation):
            continue
        result, calculator = casebook.results.get(item.ref), register.get(entry.calculator)
        said = {
            "calculation": item.ref,
            "title": item.title,
            "calculator": entry.calculator,
            "hypotheses": " ".join(entry.hypotheses),
            "refused": casebook.refused.get(item.ref),
            "cautions": " ".join(calculator.cautions) if calculator is not None else None,
        }
        shown = [one for one in result.outcomes if one.value is None or isinstance(one.value, str)] if result else []
        for outcome in shown:
            summary = outcome.summary
            figures = {} if summary is None else {
                "estimate": summary.estimate, "uncertainty": summary.uncertainty,
                "low_95": summary.low, "high_95": summary.high,
            }  # fmt: skip
            yield {
                **said,
                "output": outcome.name,
                "label": outcome.label,
                "unit": outcome.unit,
                **figures,
                "chance": outcome.chance,
                "share": outcome.share,
                "text": str(outcome.value) if outcome.value is not None else None,
            }
        if not shown:
            yield said


def _criteria(casebook: Casebook, out: Leaving, register: Mapping[str, Calculator]) -> Iterator[Row]:
    for ref, result in casebook.results.items():
        for kept in result.kept:
            yield {"calculation": ref, "output": kept.output, "limit": kept.limit, "kept": kept.chance}


def _confidences(casebook: Casebook, out: Leaving, register: Mapping[str, Calculator]) -> Iterator[Row]:
    for ref, weighing in casebook.weighings.items():
        for place, one in enumerate(weighing.standings, 1):
            yield {
                "question": ref,
                "place": place,
                "rival": one.rival,
                "leads": one.rival == weighing.leader,
                "prior": one.prior,
                "linked_prior": one.linked_prior,
                "confidence": one.confidence,
                "low_90": one.low,
                "median": one.median,
                "high_90": one.high,
                "first": one.first,
                "judged": one.judged,
                "notes": one.notes,
                "tested": one.tested,
                "may_lead": one.may_lead,
                "feasibility": casebook.feasibility.get(one.rival),
            }


def _weights(casebook: Casebook, out: Leaving, register: Mapping[str, Calculator]) -> Iterator[Row]:
    for ref, weighing in casebook.weighings.items():
        for through, weights in ((False, weighing.weights), (True, weighing.through)):
            for one, row in weights.items():
                for rival, decibans in row.items():
                    yield {
                        "question": ref,
                        "of": one,
                        "rival": rival,
                        "decibans": decibans,
                        "infinite": rival in weighing.infinite.get(one, ()),
                        "through_links": through,
                    }


def _decisions(casebook: Casebook, out: Leaving, register: Mapping[str, Calculator]) -> Iterator[Row]:
    for item in _everything(out):
        entry = item.entry
        if isinstance(entry, Decision):
            for ground in entry.grounds:
                yield {
                    "decision": item.ref,
                    "title": item.title,
                    "choice": entry.choice,
                    "taken": entry.taken,
                    "ground": ground,
                    "withdrawn": entry.withdrawn,
                }


def _references(casebook: Casebook, out: Leaving, register: Mapping[str, Calculator]) -> Iterator[Row]:
    for item in _everything(out):
        for field, target in references(item.entry):
            if out.shows(target):
                yield {"entry": item.ref, "field": field, "refers_to": target}


def _columns(told: str) -> dict[str, Form]:
    """Return columns from words: `name`, or `name:number`, `name:whole`, `name:truth`."""
    forms: dict[str, Form] = {"": "text", "number": "number", "whole": "whole", "truth": "truth"}
    return {name: forms[form] for name, _, form in (one.partition(":") for one in told.split())}


TABLES = (
    Table("entries", "an entry", _columns("entry kind title revisions:whole withdrawn body"), _entries),
    Table(
        "sources", "a source; `sound`: the chance its grade stands for",
        _columns("source title medium author date rights publishable:truth reliability sound:number origin file "
                 "locator withdrawn"), _sources,
    ),
    Table(
        "notes", "a note's bearing on one rival, named or one of `others`; `least` and `greatest`: P(note | rival)",
        _columns("note title source credibility question rival by stated absence:truth least:number greatest:number "
                 "uncounted withdrawn"), _notes,
    ),
    Table(
        "measurements", "a measurement, in its unit",
        _columns("measurement title quantity shape unit mean:number deviation:number nominal:number source "
                 "credibility method withdrawn"), _measurements,
    ),
    Table(
        "calculations", "an output of a calculation, its 95 % interval `low_95` to `high_95`; rows and curves left out",
        _columns("calculation title calculator hypotheses output label unit estimate:number uncertainty:number "
                 "low_95:number high_95:number chance:number share:number text refused cautions"), _calculations,
    ),
    Table("criteria", "a criterion", _columns("calculation output limit kept:number"), _criteria),
    Table(
        "confidences", "a rival of a question, its 90 % interval `low_90` to `high_90`",
        _columns("question place:whole rival leads:truth prior:number linked_prior:number confidence:number "
                 "low_90:number median:number high_90:number first:number judged:whole notes:whole tested:truth "
                 "may_lead:truth feasibility:number"), _confidences,
    ),
    Table(
        "weights", "what one thing does to one rival, in decibans",
        _columns("question of rival decibans:number infinite:truth through_links:truth"), _weights,
    ),
    Table("decisions", "a ground of a decision", _columns("decision title choice taken ground withdrawn"), _decisions),
    Table("references", "one entry naming another", _columns("entry field refers_to"), _references),
)  # fmt: skip
