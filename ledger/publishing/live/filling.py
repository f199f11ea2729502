"""What a form is filled in with: a calculation's inputs as bound, in the notation, with where they come from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from ledger.calculators.contract import Calculator, Choice, Number, Rows, Text, Truth, Whole
from ledger.calculators.criteria import limit_text
from ledger.calculators.results import Result
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation, Measurement
from ledger.entries.parts import Criterion, Given, Taken
from ledger.publishing.figures import minus, plain_label
from ledger.publishing.live.declaring import factors
from ledger.quantities.notation import Z95, NotationError, Quantity, parse
from ledger.quantities.quantity import plain
from ledger.quantities.summary import Summary
from ledger.quantities.units import factor

Column = Number | Whole | Choice | Truth | Text
LOPSIDED = 1.25
# The furthest of the draws in the browser, in standard deviations.
FURTHEST = 2.81
DIGITS = 6


@dataclass
class Filling:
    """What stands in the fields.

    inputs  text, truth or rows by input
    roots   by field's path (`layout.0.length`) the entry it was taken from, with the output's name after `#`
    units   by input's path, units used here beyond the common ones, with their factors
    """

    inputs: dict[str, Any] = field(default_factory=dict)
    roots: dict[str, str] = field(default_factory=dict)
    units: dict[str, dict[str, float]] = field(default_factory=dict)


def filling(casebook: Casebook, calculator: Calculator, entry: Calculation, result: Result | None) -> Filling:
    """Return what a calculation fills the form with. What cannot be told is left empty."""
    made = Filling()
    for declared in calculator.inputs:
        given = entry.inputs.get(declared.name)
        if given is None:
            continue
        if isinstance(declared, Rows):
            made.inputs[declared.name] = list(_rows(casebook, declared, given, made))
            continue
        chosen = result.choice.get(declared.name) if result else None
        value = chosen if chosen is not None else _single(casebook, declared, given, declared.name, made)
        if value is not None:
            made.inputs[declared.name] = _written(declared, value, declared.name, made)
    return made


def _rows(casebook: Casebook, declared: Rows, given: Given, made: Filling) -> Iterator[dict[str, Any]]:
    for place, row in enumerate(given.rows or []):
        cells = {}
        for column in declared.columns:
            cell = row.get(column.name)
            if cell is None:
                continue
            path = f"{declared.name}.{place}.{column.name}"
            value = _taken(casebook, column, cell, path, made) if isinstance(cell, Taken) else cell
            if value is not None:
                cells[column.name] = _written(column, value, f"{declared.name}.{column.name}", made)
        yield cells


def _single(casebook: Casebook, declared: Column, given: Given, path: str, made: Filling) -> Any:
    if given.value is not None:
        return given.value
    if given.chosen is not None:
        return _middle(given.chosen.text)
    return _taken(casebook, declared, given, path, made)


def _middle(text: str) -> str:
    quantity = parse(text)
    return f"{plain(quantity.mean)} {quantity.unit}".strip()


def _taken(casebook: Casebook, declared: Column, ground: Given | Taken, path: str, made: Filling) -> str | None:
    if ground.measurement is not None:
        item = casebook.entries.get(ground.measurement)
        made.roots[path] = ground.measurement
        return item.entry.quantity.text if item and isinstance(item.entry, Measurement) else None
    result = casebook.results.get(str(ground.calculation))
    found = [one for one in result.outcomes if one.name == ground.output] if result else []
    if not found or found[0].summary is None:
        return None
    made.roots[path] = f"{ground.calculation}#{ground.output}"
    return stated_as(declared, found[0].summary, found[0].unit)


def stated_as(declared: Column, summary: Summary, unit: str) -> str:
    """Return a quantity in the notation: another calculation's draws, to two digits of their half-width.

    Where the interval is even, mean and half-width as that page has them, unless a draw would leave what the input
    permits; else the triangle of that mean over the interval, or where there is none the interval.
    """
    tail = f" {unit}" if unit else ""
    middle = summary.estimate
    if isinstance(declared, Whole):
        return plain(round(middle))
    if summary.low == summary.high:
        return f"{_short(middle)}{tail}"
    below, above = middle - summary.low, summary.high - middle
    even = min(below, above) > 0 and max(below, above) <= LOPSIDED * min(below, above)
    if even and isinstance(declared, Number):
        reach = FURTHEST * summary.half / Z95
        if _permitted(declared, middle - reach, middle + reach, unit):
            return f"{_to(summary.half, middle)} ± {_to(summary.half, summary.half)}{tail}"
    likeliest = 3 * middle - summary.low - summary.high
    ends = (summary.low, summary.high)
    points = (summary.low, likeliest, summary.high) if summary.low <= likeliest <= summary.high else ends
    half = (summary.high - summary.low) / 2
    texts = [_to(half, one) for one in points]
    rounded = float(texts[0]), float(texts[-1])
    if isinstance(declared, Number) and not _permitted(declared, *rounded, unit):
        texts = [_short(one) for one in points]
    return "..".join(texts) + tail


def _permitted(declared: Number, low: float, high: float, unit: str) -> bool:
    ratio = factor(unit, declared.unit)
    return declared.low < low * ratio and high * ratio <= declared.high


def _to(half: float, number: float) -> str:
    """Return a number to two digits of a half-width."""
    decimals = 1 - int(f"{half:.1e}".partition("e")[2])
    return f"{round(number, decimals) + 0.0:.{max(decimals, 0)}f}"


def _short(number: float) -> str:
    return plain(float(f"{number:.{DIGITS}g}"))


def _written(declared: Column, value: Any, path: str, made: Filling) -> Any:
    """Return a value as its field holds it; a unit it is in is made known to the form."""
    if isinstance(value, bool) or isinstance(declared, Text | Choice | Truth):
        return value if isinstance(value, bool) else str(value)
    text = plain(value) if isinstance(value, int | float) else str(value)
    wanted = declared.unit if isinstance(declared, Number) else ""
    _known(text, wanted, path, made)
    return text


def _known(text: str, wanted: str, path: str, made: Filling) -> None:
    try:
        quantity = parse(text)
        written = text[len(text.rstrip()) - len(quantity.unit) :] if text.rstrip().endswith(quantity.unit) else ""
        for unit in {quantity.unit, written.strip()} - {""}:
            if unit not in factors(wanted):
                made.units.setdefault(path, {})[unit] = factor(unit, wanted)
    except NotationError:
        return


def limits(
    casebook: Casebook, calculator: Calculator, criteria: list[Criterion], made: Filling
) -> list[dict[str, Any]]:
    """Return criteria as the form takes them: output, its label, the limit in words, and the limits in the notation.

    `roots` has by side what a limit was taken from. A criterion whose limit cannot be told is left out.
    """
    told = []
    for criterion in criteria:
        output = calculator.output(criterion.output)
        if output is None:
            continue
        taken, said = Filling(), limit_text(criterion)
        stated: dict[str, str | None] = {}
        for side, limit in criterion.limits():
            if isinstance(limit, Quantity):
                stated[side] = limit.text
                continue
            stated[side] = _taken(casebook, Number(output.name, output.label, output.unit), limit, side, taken)
            said = said.replace(limit.text, stated[side] or limit.text)
        if None in stated.values():
            continue
        one: dict[str, Any] = {"output": criterion.output, "label": plain_label(output.label), "limit": minus(said)}
        for side, text in stated.items():
            one[side.replace("-", "_")] = text
            _known(str(text), output.unit, f"of.{criterion.output}", made)
        if taken.roots:
            one["roots"] = {side.replace("-", "_"): root for side, root in taken.roots.items()}
        if criterion.holds is not None:
            one["holds"] = criterion.holds
        told.append(one)
    return told
