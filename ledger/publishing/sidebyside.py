"""Numbers of the rivals of one question side by side: what they predict of a measurement, and all that was computed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ledger.calculators.contract import Calculator
from ledger.calculators.results import Outcome, Result
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation, Hypothesis, Measurement
from ledger.publishing.addresses import Link, Ways
from ledger.publishing.figures import minus, outcome_text, plain_label, referred
from ledger.publishing.keeping import Limit, certain, limit

NUMBERS = ("number", "whole", "truth")


@dataclass(frozen=True)
class Cell:
    """One number of one rival with its criteria, the measurement it is held against, and what else is to be said."""

    link: Link
    limits: tuple[Limit, ...] = ()
    observed: Link | None = None
    measured: str = ""
    note: str = ""


@dataclass(frozen=True)
class Row:
    """One quantity across the rivals: a tuple of cells for each, empty where there is nothing.

    under    what stands below the label: the calculator, or the measured value
    decides  whether a number in it has a limit to keep or a measurement to meet
    """

    label: str
    under: Link
    cells: tuple[tuple[Cell, ...], ...]
    decides: bool
    note: str = ""


def side_by_side(
    casebook: Casebook, register: Mapping[str, Calculator], rivals: tuple[str, ...], ways: Ways
) -> tuple[Row, ...]:
    """Return what the rivals predict, a row a measurement, and every number computed, a row a quantity."""
    return (*_predictions(casebook, rivals, ways), *_computed(casebook, register, rivals, ways))


def used(casebook: Casebook, rivals: tuple[str, ...]) -> Iterator[tuple[str, Calculation, Result, tuple[str, ...]]]:
    """Yield the calculations that test any of the rivals, with their results and those rivals."""
    for ref, result in casebook.results.items():
        entry = casebook.entries[ref].entry if ref in casebook.entries else None
        if isinstance(entry, Calculation) and (tested := tuple(one for one in rivals if one in entry.hypotheses)):
            yield ref, entry, result, tested


def _predictions(casebook: Casebook, rivals: tuple[str, ...], ways: Ways) -> Iterator[Row]:
    calculated: dict[str, dict[str, list[Cell]]] = {}
    counted: set[str] = set()
    for ref, entry, result, tested in used(casebook, rivals):
        observed = entry.observed
        outcome = result.outcome(observed.output) if observed is not None else None
        if observed is None or outcome is None:
            continue
        if not entry.uncounted:
            counted.add(observed.measurement)
        note = "calculated, not counted" if entry.uncounted else "calculated"
        for rival in tested:
            cell = Cell(ways.to(ref, outcome_text(outcome, certain(casebook, ref))), note=note)
            calculated.setdefault(observed.measurement, {}).setdefault(rival, []).append(cell)
    stated = {
        rival: item.entry.predicts
        for rival in rivals
        if (item := casebook.entries.get(rival)) is not None and isinstance(item.entry, Hypothesis)
    }
    for ref in sorted({*calculated, *(ref for one in stated.values() for ref in one)}):
        item = casebook.entries.get(ref)
        if item is None or not isinstance(item.entry, Measurement):
            continue
        cells = []
        for rival in rivals:
            of_rival = list(calculated.get(ref, {}).get(rival, ()))
            if ref in stated.get(rival, {}):
                note = "stated; what is calculated counts" if of_rival else "stated"
                of_rival.append(Cell(ways.to(rival, minus(stated[rival][ref].text)), note=note))
            cells.append(tuple(of_rival))
        measured = ways.to(ref, f"measured: {minus(item.entry.quantity.text)}")
        note = "" if ref in counted else "not weighed: no calculation that counts is held against it"
        yield Row(f"Prediction of: {item.title}", measured, tuple(cells), True, note)


def _computed(
    casebook: Casebook, register: Mapping[str, Calculator], rivals: tuple[str, ...], ways: Ways
) -> Iterator[Row]:
    found: dict[tuple[str, str], dict[str, list[Cell]]] = {}
    labels: dict[tuple[str, str], str] = {}
    for ref, entry, result, tested in used(casebook, rivals):
        sure = certain(casebook, ref)
        for outcome in result.outcomes:
            if outcome.form in NUMBERS:
                key = (result.calculator, outcome.name)
                labels[key] = plain_label(outcome.label)
                for rival in tested:
                    cell = _number(casebook, entry, result, outcome, sure, ways)
                    found.setdefault(key, {}).setdefault(rival, []).append(cell)
    for key, by_rival in found.items():
        cells = tuple(tuple(by_rival.get(rival, ())) for rival in rivals)
        decides = any(one.limits or one.observed for of_rival in cells for one in of_rival)
        yield Row(labels[key], _calculator(register, key[0], ways), cells, decides)


def _number(casebook: Casebook, entry: Calculation, result: Result, outcome: Outcome, sure: bool, ways: Ways) -> Cell:
    limits = tuple(limit(casebook, result, kept) for kept in result.kept if kept.output == outcome.name)
    link = ways.to(result.ref, outcome_text(outcome, sure))
    if entry.observed is None or entry.observed.output != outcome.name:
        return Cell(link, limits)
    measurement = entry.observed.measurement
    return Cell(link, limits, ways.to(measurement), referred(casebook, measurement, "") or "")


def _calculator(register: Mapping[str, Calculator], name: str, ways: Ways) -> Link:
    known = register.get(name)
    return ways.calculator(name, known.title) if known else Link(name, None, "missing")
