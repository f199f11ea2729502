"""Calculations as pages show them: inputs with their grounds, outcomes, criteria; and numbers side by side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import Any

from ledger.calculators.contract import Calculator, Choice, Input, Number, Output, Rows, Truth, Whole
from ledger.calculators.results import Bound, Kept, Outcome, Result
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation
from ledger.publishing import words
from ledger.publishing.addresses import Link, Ways
from ledger.quantities.summary import Summary, show


@dataclass(frozen=True)
class Grid:
    """A small table: heads and cells."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Value:
    """A number or words as shown, or a table."""

    text: str
    grid: Grid | None = None


@dataclass(frozen=True)
class Given:
    """One input's row: the value used, as it was written, and its ground."""

    label: str
    value: Value
    stated: str
    ground: str
    link: Link | None
    reason: str


@dataclass(frozen=True)
class Limit:
    """One criterion's row."""

    label: str
    value: str
    limit: str
    holds: str
    leaning: str


@dataclass(frozen=True)
class Run:
    """One calculation's result as its page shows it."""

    inputs: tuple[Given, ...]
    outcomes: tuple[tuple[str, Value], ...]
    limits: tuple[Limit, ...]


@dataclass(frozen=True)
class Cell:
    """One calculated number of one rival, with its criteria and the measurement it is held against, if any."""

    link: Link
    limits: tuple[Limit, ...]
    observed: Link | None


@dataclass(frozen=True)
class Row:
    """One calculated quantity across the rivals: a tuple of cells for each, empty where nothing was calculated.

    decides  whether a number in it has a limit to keep or a measurement to meet
    """

    label: str
    calculator: Link
    cells: tuple[tuple[Cell, ...], ...]
    decides: bool


TRUTHS = {"True": "yes", "False": "no"}
GROUNDS = {
    "value": "stated",
    "chosen": "chosen freely",
    "measurement": "measured",
    "calculation": "calculated",
    "rows": "stated",
    "default": "the calculator's default",
}


def run(result: Result, calculator: Calculator | None, ways: Ways) -> Run:
    """Return a result as its page shows it."""
    return Run(
        inputs=tuple(_given(bound, result, calculator, ways) for bound in result.inputs),
        outcomes=tuple((outcome.label, value(outcome)) for outcome in result.outcomes),
        limits=tuple(_limit(kept, result) for kept in result.kept),
    )


def _given(bound: Bound, result: Result, calculator: Calculator | None, ways: Ways) -> Given:
    chosen = result.choice.get(bound.name)
    stated = "" if bound.rows else TRUTHS.get(bound.stated, bound.stated)
    if bound.rows:
        shown = Value("", _grid(bound.rows, calculator.input(bound.name) if calculator else None))
    elif chosen is not None:
        shown = Value(chosen)
    elif bound.summary is not None:
        shown = Value(show(bound.summary, bound.unit))
    else:
        shown = Value(stated)
    link = None
    if bound.ref is not None:
        link = ways.to(bound.ref)
        if bound.output is not None:
            link = Link(f"{link.words}: {_output_label(ways.casebook, bound.ref, bound.output)}", link.href, link.state)
    return Given(bound.label, shown, stated, GROUNDS.get(bound.ground, bound.ground), link, bound.reason or "")


def _output_label(casebook: Casebook, ref: str, output: str) -> str:
    result = casebook.results.get(ref)
    return next((one.label for one in result.outcomes if one.name == output), output) if result else output


def value(outcome: Outcome) -> Value:
    """Return an outcome as it is shown."""
    if outcome.summary is not None:
        return Value(show(outcome.summary, outcome.unit))
    if outcome.chance is not None:
        return Value(f"holds {words.draws(outcome.chance)}")
    if outcome.form == "rows":
        return Value("", _grid(outcome.value if isinstance(outcome.value, tuple) else (), None))
    return Value(_cell(outcome.value))


def _grid(rows: tuple[Mapping[str, Any], ...], declared: Input | None) -> Grid:
    columns = tuple(dict.fromkeys(key for row in rows for key in row))
    labels = {column.name: column.label for column in declared.columns} if isinstance(declared, Rows) else {}
    heads = tuple(labels.get(column, column.replace("_", " ").replace("-", " ")) for column in columns)
    return Grid(heads, tuple(tuple(_cell(row.get(column)) for column in columns) for row in rows))


def _cell(cell: Any) -> str:
    if isinstance(cell, Summary):
        return show(cell, "")
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return (f"{cell:.4g}" if abs(cell) < 10_000 else f"{cell:.0f}").replace("-", words.MINUS)
    return str(cell)


def _limit(kept: Kept, result: Result) -> Limit:
    outcome = next((one for one in result.outcomes if one.name == kept.output), None)
    leaning = "for" if kept.chance >= 0.5 else "against"
    shown = value(outcome).text if outcome else ""
    return Limit(
        outcome.label if outcome else kept.output, shown, kept.limit, f"holds {words.draws(kept.chance)}", leaning
    )


def side_by_side(
    casebook: Casebook, register: Mapping[str, Calculator], rivals: tuple[str, ...], ways: Ways
) -> tuple[Row, ...]:
    """Return every number calculated for the rivals, side by side: one row a quantity of a calculator."""
    found: dict[tuple[str, str], dict[str, list[Cell]]] = {}
    labels: dict[tuple[str, str], str] = {}
    for ref, result in casebook.results.items():
        entry = casebook.entries[ref].entry if ref in casebook.entries else None
        tested = [rival for rival in rivals if isinstance(entry, Calculation) and rival in entry.hypotheses]
        for outcome in result.outcomes:
            if isinstance(entry, Calculation) and tested and outcome.form in ("number", "whole", "truth"):
                key = (result.calculator, outcome.name)
                labels[key] = outcome.label
                for rival in tested:
                    found.setdefault(key, {}).setdefault(rival, []).append(_number(ref, entry, result, outcome, ways))
    rows = []
    for key, by_rival in found.items():
        cells = tuple(tuple(by_rival.get(rival, ())) for rival in rivals)
        decides = any(one.limits or one.observed for of_rival in cells for one in of_rival)
        rows.append(Row(labels[key], _calculator(register, key[0], ways), cells, decides))
    return tuple(rows)


def _number(ref: str, entry: Calculation, result: Result, outcome: Outcome, ways: Ways) -> Cell:
    limits = tuple(_limit(kept, result) for kept in result.kept if kept.output == outcome.name)
    observed = entry.observed if entry.observed and entry.observed.output == outcome.name else None
    return Cell(ways.to(ref, value(outcome).text), limits, ways.to(observed.measurement) if observed else None)


def _calculator(register: Mapping[str, Calculator], name: str, ways: Ways) -> Link:
    known = register.get(name)
    return ways.calculator(name, known.title) if known else Link(name, None, "missing")


def permitted(declared: Input) -> str:
    """Return what a calculator's input may be, in words."""
    if isinstance(declared, Number | Whole):
        above = isinstance(declared, Number) and declared.above
        low, high = declared.low, declared.high
        unbounded = inf if isinstance(declared, Number) else 10**9
        least = "" if low == -inf else f"{'above' if above else 'at least'} {_bound(low)}"
        most = "" if high >= unbounded else f"at most {_bound(high)}"
        kind = "a whole number" if isinstance(declared, Whole) else "a number"
        return ", ".join(part for part in (kind, least, most) if part)
    if isinstance(declared, Choice):
        return f"one of {', '.join(declared.options)}"
    if isinstance(declared, Truth):
        return "yes or no"
    if isinstance(declared, Rows):
        return f"a table of {words.count(declared.least, 'row')} or more" + (
            ", or left out" if declared.optional else ""
        )
    return "words"


def _bound(number: float) -> str:
    return f"{number:,.12g}".replace("-", words.MINUS)


def unit(declared: Input | Output) -> str:
    """Return the unit an input or output is in, or a dash for none."""
    stated = getattr(declared, "shown", None) or getattr(declared, "unit", "")
    return stated or "–"


def columns(declared: Input) -> tuple[tuple[str, str, str], ...]:
    """Return the columns of a table input: label, unit, what is permitted."""
    if not isinstance(declared, Rows):
        return ()
    return tuple((column.label, unit(column), permitted(column)) for column in declared.columns)


def default(declared: Input) -> str:
    """Return an input's default, or nothing."""
    stated = getattr(declared, "default", None)
    return "" if stated is None else _cell(stated)
