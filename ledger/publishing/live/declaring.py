"""A calculator's declaration as the form takes it: fields, outputs, and the units that may be written in each."""

from __future__ import annotations

from functools import cache
from typing import Any

from ledger.calculators.contract import Calculator, Choice, Input, Number, Output, Rows, Text, Truth, Whole
from ledger.publishing.declaring import permitted, unlimited
from ledger.publishing.figures import plain_label
from ledger.quantities.units import alike, factor, same_dimension

KINDS = {Number: "number", Whole: "whole", Choice: "choice", Truth: "truth", Text: "text", Rows: "rows"}
NUMERIC = ("number", "whole", "truth")
# Composite units people write in a form, beside the single ones that the ledger calls common.
COMPOSITE = (
    "N·m", "kN·m", "N·mm", "mm²", "cm²", "m²", "mm³", "cm³", "kg·m²", "kg·cm²", "g·cm²", "m/s", "km/h", "mm/s",
    "m/s²", "mm²/s", "m²/s", "kg/m³", "g/cm³", "L/min", "L/h", "m³/h", "cm³/s", "kHz", "MHz", "°", "arcmin",
    "N/mm", "N/m", "N·m/rad", "N·m/°", "1/s", "rad/s", "°/s", "Pa·s", "mPa·s", "mbar", "µs", "ns", "m³", "dm³",
    "in²", "lbf·ft", "kg·mm²",
)  # fmt: skip


def declaration(calculator: Calculator) -> dict[str, Any]:
    """Return what the form needs to know of a calculator, as JSON takes it.

    `units` holds, by path of an input (`layout.length` for a column, `of.length` for an output's limits), how many of
    the declared unit each unit is; `factors` by output how many of the shown unit the declared one is.
    """
    return {
        "name": calculator.name,
        "title": calculator.title,
        "vectorised": calculator.vectorised,
        "inputs": [_field(one) for one in calculator.inputs],
        "outputs": [_output(one) for one in calculator.outputs],
        "units": {**_units(calculator), **_of_outputs(calculator)},
        "factors": {
            one.name: factor(one.unit, one.shown)
            for one in calculator.outputs
            if one.form in NUMERIC and one.shown not in (None, one.unit)
        },
    }


def _field(one: Input) -> dict[str, Any]:
    made: dict[str, Any] = {"name": one.name, "label": plain_label(one.label), "kind": KINDS[type(one)]}
    if isinstance(one, Rows):
        columns = [_field(column) for column in one.columns]
        return {**made, "columns": columns, "least": one.least, "optional": one.optional}
    if isinstance(one, Number):
        made["unit"] = one.unit
    if isinstance(one, Choice):
        made["options"] = list(one.options)
    if isinstance(one, Number | Whole):
        made["permitted"] = permitted(one)
    default = one.default
    return {**made, "default": default, **({"unlimited": True} if unlimited(one) else {})}


def _output(one: Output) -> dict[str, Any]:
    return {"name": one.name, "label": plain_label(one.label), "form": one.form}


def _units(calculator: Calculator) -> dict[str, dict[str, float]]:
    found = {}
    for one in calculator.inputs:
        if isinstance(one, Rows):
            columns = [column for column in one.columns if isinstance(column, Number)]
            found.update({f"{one.name}.{column.name}": factors(column.unit) for column in columns})
        elif isinstance(one, Number):
            found[one.name] = factors(one.unit)
    return found


def _of_outputs(calculator: Calculator) -> dict[str, dict[str, float]]:
    return {f"of.{one.name}": factors(one.unit) for one in calculator.outputs if one.form == "number"}


@cache
def factors(unit: str) -> dict[str, float]:
    """Return how many of a unit each unit of its dimension is, the unit itself and a bare number first."""
    others = [*alike(unit), *(each for each in COMPOSITE if same_dimension(unit, each))]
    return {unit: 1.0, "": 1.0, **{each: factor(each, unit) for each in others if each != unit}}
