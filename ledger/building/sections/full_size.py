"""Full size against model: what the evidence gives, scaled, beside what was decided."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ledger.building.contract import Column, Made, Placed, Problem, Section, Table, entry_name
from ledger.building.reading import drawn
from ledger.calculators.contract import Draws, Number, Rows, Text
from ledger.errors import nearest
from ledger.quantities.summary import summarise
from ledger.quantities.units import same_dimension

FINE = 1e-9


@dataclass(frozen=True)
class Evidence:
    """What was measured at full size of a number of the sheet, both in its unit; `ref` is the measurement."""

    number: Placed
    measured: Draws
    ref: str


def compute(
    full_size: list[dict[str, Any]],
    scale: Any,
    numbers: Mapping[str, Placed],
    evidence: Sequence[Evidence],
    written: Mapping[str, Sequence[Mapping[str, Any]]],
) -> Made:
    """Return each number with what the evidence gives for it."""
    problems, found = [], list(evidence)
    for row, said in zip(full_size, written.get("full_size", ()), strict=True):
        number = numbers.get(row["number"])
        if number is None:
            near = nearest(row["number"], numbers, 1)
            remedy = f"Did you mean `{near[0]}`?" if near else "Name table, row and column as `table/row/column`."
            problems.append(Problem(True, row["number"], f"There is no such number on the sheet. {remedy}"))
        elif number.unit != "mm":
            in_what = f"It is in {number.unit or 'no unit'}; only lengths are scaled here."
            problems.append(Problem(True, row["number"], in_what))
        else:
            found.append(Evidence(number, drawn(row["measured"]), str(said["measured"])))
    if found and scale is None and any(one.number.unit == "mm" for one in found):
        problems.append(Problem(False, "scale", "It is undecided, so lengths at full size cannot be set beside these."))
        found = [one for one in found if one.number.unit != "mm"]
    return Made({"full_size": [_row(one, scale) for one in found]}, problems=problems)


def _row(one: Evidence, scale: Any) -> dict[str, Any]:
    number = one.number
    at_scale = one.measured * drawn(scale) if same_dimension(number.unit, "mm") else one.measured
    span, decided = summarise(np.atleast_1d(at_scale)), float(np.mean(number.value))
    return {
        "number": number.label,
        "unit": number.unit or "–",
        "decided": number.value,
        "measured": one.measured,
        "at_scale": at_scale,
        "inside": _inside(decided, span.low, span.high),
        "evidence": one.ref,
        "from": ", ".join(map(entry_name, number.of)),
    }


def _inside(decided: float, low: float, high: float) -> str:
    slack = FINE * max(abs(low), abs(high))
    if low - slack <= decided <= high + slack:
        return "yes"
    short = low - decided if decided < low else decided - high
    return f"no, {short:.2g} {'below' if decided < low else 'above'} it"


FULL_SIZE = Section(
    name="full-size",
    title="Full size against model",
    purpose="What the evidence gives, at the model's scale, beside what was decided.",
    parameters=(
        Rows(
            "full_size",
            "Numbers of the sheet and what was measured of them at full size",
            (
                Text("number", "Number of the sheet, as table/row/column"),
                Number("measured", "Measured at full size", "mm", 0.0, 1e6, limits=True),
            ),
            optional=True,
        ),
    ),
    uses=("scale", "numbers", "evidence", "written"),
    follows=True,
    tables=(
        Table(
            "full_size",
            "Full size against model",
            (
                Column("number", "Number"),
                Column("unit", "Unit"),
                Column("decided", "On the sheet"),
                Column("measured", "Evidence, full size"),
                Column("at_scale", "Evidence, at scale", of=("scale",)),
                Column("inside", "The sheet lies within it"),
                Column("evidence", "Evidence"),
                Column("from", "The sheet's from"),
            ),
        ),
    ),
    compute=compute,
    formula="Lengths are multiplied by the scale; angles, counts and ratios are the same at any scale.",
    sources=("Geometric similarity.",),
    assumptions=("It lies within the evidence where it lies within its 95 % interval.",),
    cautions=(),
)
