"""One calculation run: raw values in, outputs by name out, checked against the declaration."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from ledger.calculators.binding import Raw, choices
from ledger.calculators.bindings import countable
from ledger.calculators.contract import Calculator, Draws, Number, Output, Whole
from ledger.calculators.results import Cell, Outcome
from ledger.entries.parts import Given
from ledger.errors import CalculationRefused
from ledger.quantities.summary import summarise
from ledger.quantities.units import convert

MOST_RUNS = 1000


def run(ref: str, calculator: Calculator, raw: Mapping[str, Raw]) -> dict[str, Raw]:
    """Return the calculator's outputs by name, in its declared units: floats, arrays of draws, truths, text, rows.

    A calculator that is not vectorised is run once for each different combination of its drawn inputs.
    CalculationRefused when the inputs are impossible, an output is missing, or an output is not a finite number.
    """
    try:
        outputs = dict(calculator.compute(**raw)) if calculator.vectorised else _run_one_by_one(calculator, raw)
    except ValueError as error:
        raise CalculationRefused(f"{ref}: {error}") from error
    for declared in calculator.outputs:
        if declared.name not in outputs:
            if declared.optional:
                continue
            raise CalculationRefused(f"{ref}: {calculator.name} gave no `{declared.name}`")
        if declared.form in ("number", "whole") and not np.isfinite(outputs[declared.name]).all():
            raise CalculationRefused(f"{ref}: `{declared.name}` is not a finite number for some of these inputs")
    return outputs


def _run_one_by_one(calculator: Calculator, raw: Mapping[str, Raw]) -> dict[str, Raw]:
    drawn = [name for name, value in raw.items() if isinstance(value, np.ndarray)]
    if not drawn:
        return dict(calculator.compute(**raw))
    combinations, place = np.unique(np.column_stack([raw[name] for name in drawn]), axis=0, return_inverse=True)
    if len(combinations) > MOST_RUNS:
        raise ValueError(
            f"{len(combinations)} different inputs, more than {MOST_RUNS}; state whole numbers or fewer doubts"
        )
    runs = [dict(calculator.compute(**{**raw, **dict(zip(drawn, row, strict=True))})) for row in combinations.tolist()]
    place = np.ravel(place)
    commonest = runs[int(np.bincount(place).argmax())]
    spread = {
        output.name: np.array([float(one[output.name]) for one in runs])[place]
        for output in calculator.outputs
        if output.form in ("number", "whole", "truth") and all(output.name in one for one in runs)
    }
    return {**commonest, **spread}


def outcomes(calculator: Calculator, raw: Mapping[str, Raw]) -> tuple[Outcome, ...]:
    """Return raw outputs as people read them: summaries in the shown unit, chances of truths, text and rows."""
    there = (declared for declared in calculator.outputs if declared.name in raw)
    found = (_outcome(declared, raw[declared.name], raw.get(declared.given)) for declared in there)
    return tuple(outcome for outcome in found if outcome is not None)


def _outcome(declared: Output, value: Raw, holds: Raw = None) -> Outcome | None:
    """Return an output as people read it; None where the truth it is given holds in no draw."""
    name, label, form = declared.name, declared.label, declared.form
    if form in ("number", "whole"):
        unit = declared.shown or declared.unit
        shown = np.atleast_1d(np.asarray(value, dtype=float)) * scale(declared.unit, unit)
        if holds is None or np.all(holds):
            return Outcome(name, label, unit, form, summary=summarise(shown))
        if not np.any(holds):
            return None
        meant = np.broadcast_to(shown, np.shape(holds))[np.asarray(holds, dtype=bool)]
        return Outcome(name, label, unit, form, summary=summarise(meant), share=float(np.mean(holds)))
    if form == "truth":
        return Outcome(name, label, "", form, chance=float(np.mean(value)))
    if form == "curves":
        return Outcome(name, label, "", form, value=tuple(_point(row) for row in value))
    if form == "rows":
        return Outcome(
            name, label, "", form, value=tuple({key: _cell(cell) for key, cell in row.items()} for row in value)
        )
    return Outcome(name, label, "", form, value=str(value))


def _point(row: Mapping[str, Raw]) -> dict[str, Cell]:
    return {"series": str(row["series"]), "x": float(np.mean(row["x"])), "y": float(np.mean(row["y"]))}


def _cell(cell: Raw) -> Any:
    if isinstance(cell, np.ndarray):
        return summarise(np.atleast_1d(cell).astype(float))
    return cell.item() if isinstance(cell, np.generic) else cell


def scale(unit: str, wanted: str) -> float:
    """Return how many of one unit are in another of the same dimension."""
    return 1.0 if unit == wanted else convert(1.0, unit, wanted)


def numbers(calculator: Calculator, raw: Mapping[str, Raw]) -> dict[str, Draws]:
    """Return the outputs that other calculations and criteria can stand on: numbers, wholes and truths, as draws."""
    given = (output.name for output in countable(calculator) if output.name in raw)
    return {name: np.asarray(raw[name], dtype=float) for name in given}


def grid(calculator: Calculator, given: Mapping[str, Given], points: int) -> dict[str, list[float]]:
    """Return the values to sweep for each chosen input."""
    swept = {}
    for name, one in given.items():
        declared = calculator.input(name)
        if one.chosen is not None and isinstance(declared, Number | Whole):
            swept[name] = choices(declared, one.chosen, points)
    return swept


def nearby(values: list[float], middle: float, share: float, points: int) -> list[float]:
    """Return evenly spread values about one, by a share of the whole range on either side and never beyond it.

    Whole numbers are swept one by one, so they are left as they are.
    """
    if all(value == int(value) for value in values) and len(values) <= points:
        return [middle]
    low, high = values[0], values[-1]
    reach = share * (high - low)
    return [float(value) for value in np.linspace(max(low, middle - reach), min(high, middle + reach), points)]
