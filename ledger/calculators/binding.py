"""From an input as an entry gives it to the value a calculator computes with, and what was wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Choice, Draws, Input, Number, Rows, Text, Truth, Whole
from ledger.calculators.drawing import Drawing, Root
from ledger.calculators.results import Bound
from ledger.entries.parts import Cell, Given, Literals, Taken
from ledger.errors import CalculationRefused
from ledger.quantities.notation import Z95, NotationError, Quantity, parse
from ledger.quantities.summary import summarise

Raw = Any
GONE = "it, or its source, is withdrawn or not in the ledger. Take the number from elsewhere"
Column = Number | Whole | Choice | Truth | Text


@dataclass(frozen=True)
class Upstream:
    """What inputs may refer to: measured quantities by ref; outputs, in `units`, by calculation ref and output name."""

    measurements: Mapping[str, Quantity]
    outputs: Mapping[str, Mapping[str, Draws]]
    units: Mapping[str, Mapping[str, str]]


def bind(
    ref: str,
    calculator: Calculator,
    given: Mapping[str, Given],
    upstream: Upstream,
    drawing: Drawing,
    choice: Mapping[str, float] | None = None,
) -> tuple[dict[str, Raw], tuple[Bound, ...]]:
    """Return the raw values by input name and the record of how each was bound, its numbers not summed up yet.

    Every uncertain quantity is drawn under the name of the entry that states it. `choice` sets the chosen inputs, in
    the declared unit. All problems are raised together as CalculationRefused.
    """
    raw: dict[str, Raw] = {}
    bounds: list[Bound] = []
    problems = [f"`{name}` is no input of {calculator.name}" for name in given if calculator.input(name) is None]
    for declared in calculator.inputs:
        try:
            one = given.get(declared.name)
            raw[declared.name], bound = _bind_one(ref, declared, one, upstream, drawing, choice or {})
            bounds.append(bound)
        except NotationError as error:
            problems.append(f"`{declared.name}`: given {error.given}; expected {error.expected}. {error.remedy}")
        except ValueError as error:
            problems.append(f"`{declared.name}`: {error}")
    if problems:
        raise CalculationRefused(f"{ref}: " + "; ".join(problems))
    return raw, tuple(bounds)


def summed(calculator: Calculator, raw: Mapping[str, Raw], bounds: tuple[Bound, ...]) -> tuple[Bound, ...]:
    """Return how inputs were bound with their numbers summed up, which only a run that is shown needs.

    Raises CalculationRefused for draws beyond what can be summed up.
    """
    found = []
    for bound in bounds:
        value = raw[bound.name]
        if isinstance(calculator.input(bound.name), Number | Whole):
            try:
                summary = summarise(np.atleast_1d(value["draws"] if isinstance(value, dict) else value))
            except ValueError as error:
                raise CalculationRefused(f"`{bound.name}`: {error}") from error
            found.append(replace(bound, summary=summary))
        else:
            found.append(bound)
    return tuple(found)


def _bind_one(
    ref: str, declared: Input, given: Given | None, upstream: Upstream, drawing: Drawing, choice: Mapping[str, float]
) -> tuple[Raw, Bound]:
    name, label = declared.name, declared.label
    if given is None:
        return _bind_default(ref, declared, drawing)
    if given.rows is not None:
        if not isinstance(declared, Rows):
            raise ValueError("takes one value, not rows")
        rows = _bind_rows(ref, declared, given.rows, upstream, drawing)
        written = tuple(
            {key: cell.text if isinstance(cell, Taken) else cell for key, cell in row.items()} for row in given.rows
        )
        return rows, Bound(name, label, "", "rows", None, None, "", given.reason, None, written)
    if isinstance(declared, Rows):
        raise ValueError("takes rows")
    if given.value is not None:
        value = _value(declared, given.value, (ref, name), drawing)
        return value, _bound(declared, "value", None, None, str(given.value), given.reason)
    if not isinstance(declared, Number | Whole):
        raise ValueError("takes a value; it cannot be chosen, measured or computed")
    if given.chosen is not None:
        value = choice[name] if name in choice else _middle(declared, given.chosen)
        return value, _bound(declared, "chosen", None, None, given.chosen.text, given.reason)
    value, stated = _taken(declared, given, upstream, drawing)
    if given.measurement is not None:
        return value, _bound(declared, "measurement", given.measurement, None, stated, given.reason)
    return value, _bound(declared, "calculation", given.calculation, given.output, stated, given.reason)


def _taken(declared: Number | Whole, given: Given | Taken, upstream: Upstream, drawing: Drawing) -> tuple[Raw, str]:
    """Return the value taken from a measurement or from another calculation, and its notation where there is one."""
    if given.measurement is not None:
        quantity = upstream.measurements.get(given.measurement)
        if quantity is None:
            raise ValueError(f"{given.measurement} does not stand: {GONE}")
        return _with_limits(declared, quantity, _draw(declared, quantity, (given.measurement,), drawing)), quantity.text
    source, output = str(given.calculation), str(given.output)
    if source not in upstream.outputs:
        raise ValueError(f"{source} gave no result")
    if output not in upstream.outputs[source]:
        numbers = ", ".join(upstream.outputs[source]) or "none"
        raise ValueError(f"{source} has no number called `{output}` (it has {numbers})")
    drawn = _in_unit(declared, upstream.outputs[source][output], upstream.units[source][output])
    if isinstance(declared, Number) and declared.limits:
        summary = summarise(np.atleast_1d(drawn))
        return {"draws": drawn, "low": summary.low, "high": summary.high, "nominal": summary.estimate}, ""
    return drawn, ""


def _bind_default(ref: str, declared: Input, drawing: Drawing) -> tuple[Raw, Bound]:
    if isinstance(declared, Rows):
        if not declared.optional:
            raise ValueError("rows are missing")
        return [], Bound(declared.name, declared.label, "", "default", None, None, "none", None, None)
    if declared.default is None:
        raise ValueError("is missing and has no default")
    value = _value(declared, declared.default, (ref, declared.name), drawing)
    return value, _bound(declared, "default", None, None, str(declared.default), None)


def _bind_rows(
    ref: str, declared: Rows, given: list[dict[str, Cell]], upstream: Upstream, drawing: Drawing
) -> list[dict[str, Raw]]:
    """Return the rows' raw values; ValueError naming every cell that cannot be read."""
    least = f"{declared.least} row{'s' if declared.least > 1 else ''}"
    said = [f"needs {least} or more"] if len(given) < declared.least else []
    rows: list[dict[str, Raw]] = []
    for position, row in enumerate(given):
        cells: dict[str, Raw] = {}
        unknown = sorted(set(row) - {column.name for column in declared.columns})
        if unknown:
            columns = ", ".join(column.name for column in declared.columns)
            said.append(f"row {position + 1} has no column {', '.join(unknown)} (columns: {columns})")
        for column in declared.columns:
            root = (ref, declared.name, str(position), column.name)
            try:
                cells[column.name] = _bind_cell(column, row.get(column.name, column.default), root, upstream, drawing)
            except ValueError as error:
                said.append(f"row {position + 1}, `{column.name}`: {error}")
        rows.append(cells)
    if said:
        raise ValueError("; ".join(said))
    return rows


def _bind_cell(column: Column, cell: Cell | None, root: Root, upstream: Upstream, drawing: Drawing) -> Raw:
    if cell is None:
        raise ValueError("is missing")
    if not isinstance(cell, Taken):
        return _value(column, cell, root, drawing)
    if isinstance(column, Number | Whole):
        return _taken(column, cell, upstream, drawing)[0]
    raise ValueError(f"{cell.text} is a number; expected words")


def _value(declared: Column, cell: Literals, root: Root, drawing: Drawing) -> Raw:
    if isinstance(declared, Truth):
        if not isinstance(cell, bool):
            raise ValueError(f"given {cell!r}; expected true or false")
        return cell
    if isinstance(declared, Text):
        return str(cell)
    if isinstance(declared, Choice):
        if cell not in declared.options:
            raise ValueError(f"given {cell!r}; expected one of {', '.join(declared.options)}")
        return cell
    if isinstance(cell, bool):
        raise ValueError(f"given {cell!r}; expected a number")
    quantity = parse(cell)
    return _with_limits(declared, quantity, _draw(declared, quantity, root, drawing))


def _with_limits(declared: Number | Whole, quantity: Quantity, drawn: Draws) -> Raw:
    if isinstance(declared, Number) and declared.limits:
        return {"draws": drawn, **_limits(quantity.to(declared.unit))}
    return drawn


def _limits(quantity: Quantity) -> dict[str, float]:
    low, high = quantity.support
    if quantity.shape == "normal":
        mean, std = quantity.numbers
        low, high = mean - Z95 * std, mean + Z95 * std
    return {"low": low, "high": high, "nominal": quantity.nominal}


def _draw(declared: Number | Whole, quantity: Quantity, root: Root, drawing: Drawing) -> Draws:
    unit = declared.unit if isinstance(declared, Number) else ""
    quantity = quantity.to(unit)
    return _permitted(declared, drawing.draw(quantity, root))


def _middle(declared: Number | Whole, chosen: Quantity) -> Draws:
    points = choices(declared, chosen, 1)
    return _permitted(declared, points[0])


def choices(declared: Number | Whole, chosen: Quantity, points: int) -> list[float]:
    """Return evenly spread values of a chosen range, ends included, in the declared unit; one point is the middle."""
    unit = declared.unit if isinstance(declared, Number) else ""
    if chosen.shape == "normal":
        raise ValueError(f"given {chosen.text} as chosen; expected the range of free choice, such as `20..40 mm`")
    low, high = chosen.to(unit).support
    if isinstance(declared, Whole):
        values = [float(value) for value in range(int(np.ceil(low)), int(np.floor(high)) + 1)]
        if points == 1:
            return [values[len(values) // 2]]
        step = max(1, -(-len(values) // points))
        return sorted({*values[::step], values[-1]})
    return [(low + high) / 2] if points == 1 else [float(value) for value in np.linspace(low, high, points)]


def _in_unit(declared: Number | Whole, drawn: Draws, unit: str) -> Draws:
    if isinstance(declared, Whole):
        return _permitted(declared, drawn)
    one = parse(f"1 {unit}" if unit else 1).to(declared.unit).numbers[0]
    return _permitted(declared, drawn * one)


def _permitted(declared: Number | Whole, drawn: Draws) -> Draws:
    values = np.atleast_1d(drawn)
    below = values <= declared.low if isinstance(declared, Number) and declared.above else values < declared.low
    outside = below | (values > declared.high)
    unit = f" {declared.unit}" if isinstance(declared, Number) and declared.unit else ""
    sign = "above" if isinstance(declared, Number) and declared.above else "from"
    if outside.any():
        permitted = f"what is permitted, {sign} {declared.low:g} to {declared.high:g}{unit}"
        if len(values) == 1:
            raise ValueError(f"given {values[0]:.6g}{unit}, outside {permitted}")
        beyond = f"{int(outside.sum())} of {len(values)} draws lie outside {permitted}"
        raise ValueError(f"{beyond}; state limits, or a range that ends there")
    if isinstance(declared, Whole) and (values != np.round(values)).any():
        raise ValueError("must be a whole number; write doubt as `30: 0.2, 31: 0.8`")
    return drawn


def _bound(
    declared: Number | Whole | Choice | Truth | Text,
    ground: str,
    ref: str | None,
    output: str | None,
    stated: str,
    reason: str | None,
) -> Bound:
    unit = declared.unit if isinstance(declared, Number) else ""
    return Bound(declared.name, declared.label, unit, ground, ref, output, stated, reason, None)
