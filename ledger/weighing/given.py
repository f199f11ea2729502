"""What scores and pools are given: read as arrays of numbers, or refused with everything that is wrong with it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

from ledger.errors import WeighingRefused

Numbers = npt.NDArray[np.float64]
SUM_TOLERANCE = 1e-9


def numbers(what: str, given: Sequence[object] | Numbers, dimensions: int) -> Numbers:
    """Return numbers as an array of so many dimensions, not empty; WeighingRefused otherwise."""
    shape = "a list of numbers" if dimensions == 1 else "rows of numbers, all as long as the first"
    remedy = f"{what} must be {shape}, and not empty. Complete them."
    try:
        array = np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise WeighingRefused(remedy) from error
    if array.ndim != dimensions or array.size == 0:
        raise WeighingRefused(remedy)
    return array


def _refuse(faults: Iterable[str]) -> None:
    found = list(faults)
    if found:
        raise WeighingRefused("\n".join(found))


def _no_chances(what: str, values: Numbers) -> list[str]:
    return [
        f"{what} {number} is {value}; expected a probability from 0 to 1. Correct the number."
        for number, value in enumerate(values, start=1)
        if not 0.0 <= value <= 1.0
    ]


def yes_or_no(forecasts: Sequence[float] | Numbers, outcomes: Sequence[float] | Numbers) -> tuple[Numbers, Numbers]:
    """Return forecasts, 0…1, and what came of them, 0 or 1, one each; WeighingRefused otherwise."""
    stated, came = numbers("the forecasts", forecasts, 1), numbers("the outcomes", outcomes, 1)
    faults = _no_chances("forecast", stated)
    faults += [
        f"outcome {number} is {value}; expected 1 (it was so) or 0. Leave out what is not resolved."
        for number, value in enumerate(came, start=1)
        if value not in (0.0, 1.0)
    ]
    if len(stated) != len(came):
        faults.append(f"{len(stated)} forecasts for {len(came)} outcomes; expected one each. Give both or neither.")
    _refuse(faults)
    return stated, came


def _confidences(given: Sequence[Sequence[float]] | Numbers) -> tuple[Numbers, list[str]]:
    rows = numbers("the confidences", given, 2)
    faults: list[str] = []
    for number, row in enumerate(rows, start=1):
        wrong = _no_chances(f"row {number}, confidence", row)
        if not wrong and abs(math.fsum(row) - 1.0) > SUM_TOLERANCE:
            wrong = [f"row {number} sums to {math.fsum(row):.10g}; expected 1. Divide each by the sum."]
        faults += wrong
    return rows, faults


def resolved_rows(
    confidences: Sequence[Sequence[float]] | Numbers, truths: Sequence[int]
) -> tuple[Numbers, npt.NDArray[np.int_]]:
    """Return rows of confidences, and the column that came true of each; WeighingRefused otherwise."""
    rows, faults = _confidences(confidences)
    columns = range(rows.shape[1])
    faults += [
        f"truth {number} is {truth}; expected a column from 0 to {columns[-1]}. Name the rival that came true."
        for number, truth in enumerate(truths, start=1)
        if truth not in columns
    ]
    if len(rows) != len(truths):
        faults.append(f"{len(rows)} forecasts for {len(truths)} truths; expected one each. Give both or neither.")
    _refuse(faults)
    return rows, np.asarray(truths, dtype=np.int_)


def people(
    confidences: Sequence[Sequence[float]] | Numbers, weights: Sequence[float] | None
) -> tuple[Numbers, Numbers]:
    """Return rows of confidences and their weights, equal ones if left out; WeighingRefused otherwise."""
    rows, faults = _confidences(confidences)
    if weights is None:
        shares = np.full(len(rows), 1.0 / len(rows))
    else:
        shares = numbers("the weights", weights, 1)
        wrong = _no_chances("weight", shares)
        if not wrong and abs(math.fsum(shares) - 1.0) > SUM_TOLERANCE:
            wrong = [f"the weights sum to {math.fsum(shares):.10g}; expected 1. Divide each by the sum."]
        if len(shares) != len(rows):
            wrong.append(f"{len(shares)} weights for {len(rows)} people; expected one each. Give one a person.")
        faults += wrong
    _refuse(faults)
    return rows, shares
