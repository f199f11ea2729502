"""What a calculation states in its own words, held against the declared input without drawing anything.

What only draws can show, such as the tail of a normal quantity beyond a limit, is left to the run.
"""

from __future__ import annotations

from math import inf

from ledger.calculators.contract import Choice, Number, Text, Truth, Whole
from ledger.entries.parts import Literals
from ledger.entries.scalars import plainly
from ledger.errors import nearest
from ledger.quantities.notation import NotationError, Quantity, parse
from ledger.quantities.units import alike, same_dimension
from ledger.quantities.vocabulary import UNKNOWN_UNIT

Single = Number | Whole | Choice | Truth | Text
# Ends of ranges may miss a limit by the rounding of a conversion: draws lie between them.
ROUNDING = 1e-9
MOST_UNITS = 8


def wrong_literal(declared: Single, given: Literals) -> NotationError | None:
    """Return what is wrong with a value as a calculation states it; None where only a run can tell."""
    shown = f"`{plainly(given)}`"
    if isinstance(declared, Text):
        return None
    if isinstance(declared, Truth):
        return (
            None if isinstance(given, bool) else NotationError(shown, "true or false", f"{declared.label}: say which.")
        )
    if isinstance(declared, Choice):
        if given in declared.options:
            return None
        near = nearest(str(given), declared.options, 1)
        remedy = f"Write `{near[0]}`." if near else "Write one of these."
        return NotationError(shown, f"one of {', '.join(declared.options)}", remedy)
    if isinstance(given, bool):
        return NotationError(shown, "a number", f"`{declared.name}` is {declared.label}.")
    try:
        return wrong_quantity(declared, parse(given))
    except NotationError as refused:
        if refused.expected == UNKNOWN_UNIT and isinstance(declared, Number) and declared.unit:
            near_by = refused.remedy if refused.remedy.startswith("Did") else ""
            return NotationError(refused.given, refused.expected, f"{near_by} {_units(declared)}".strip())
        return refused


def wrong_quantity(declared: Number | Whole, quantity: Quantity) -> NotationError | None:
    """Return what is wrong with a quantity as the value of an input: its dimension, its size, its being whole."""
    shown = f"`{quantity.text}`"
    unit = declared.unit if isinstance(declared, Number) else ""
    if wrong := wrong_dimension(declared, quantity.unit, quantity.text):
        return wrong
    try:
        converted = quantity.to(unit)
    except NotationError as refused:
        return refused
    if isinstance(declared, Whole) and converted.shape not in ("exact", "whole"):
        return NotationError(shown, "a whole number", "Write doubt about a count as `30: 0.2, 31: 0.8`.")
    low, high = (converted.mean,) * 2 if converted.shape == "normal" else converted.support
    if isinstance(declared, Whole) and low != int(low):
        return NotationError(shown, "a whole number", f"`{declared.name}` is {declared.label}.")
    slack = 0.0 if converted.shape == "exact" else ROUNDING * max(abs(low), abs(high))
    excluded = isinstance(declared, Number) and declared.above and converted.shape in ("exact", "normal")
    if low < declared.low - slack or high > declared.high + slack or (excluded and low <= declared.low):
        return NotationError(shown, _permitted(declared), "Write a value, or a range with both ends, within that.")
    return None


def wrong_choice(declared: Number | Whole, chosen: Quantity) -> NotationError | None:
    """Return what is wrong with a range that the designer may choose from."""
    if chosen.shape == "normal":
        return NotationError(f"`{chosen.text}`", "the range of free choice", "Write its ends, such as `20..40 mm`.")
    if isinstance(declared, Number) or chosen.shape in ("exact", "whole"):
        return wrong_quantity(declared, chosen)
    if wrong := wrong_dimension(declared, chosen.unit, chosen.text):
        return wrong
    low, high = chosen.support
    if int(high // 1) < low or low < declared.low or high > declared.high:
        return NotationError(f"`{chosen.text}`", f"whole numbers {_permitted(declared)}", "Widen or move the range.")
    return None


def wrong_dimension(declared: Number | Whole, unit: str, text: str) -> NotationError | None:
    """Return the fault of a quantity in a unit that cannot be converted to the declared one."""
    wanted = declared.unit if isinstance(declared, Number) else ""
    if same_dimension(unit, wanted):
        return None
    remedy = f"`{declared.name}` is {declared.label}."
    if wanted:
        remedy += f" {_units(declared)}"
    return NotationError(f"`{text}`", f"a quantity in {wanted or 'no unit'}", remedy)


def _units(declared: Number | Whole) -> str:
    unit = declared.unit if isinstance(declared, Number) else ""
    others = ", ".join(each for each in alike(unit)[:MOST_UNITS] if each != unit)
    return f"Give it in {unit}" + (f", or in {others}." if others else ".")


def _permitted(declared: Number | Whole) -> str:
    unit = f" {declared.unit}" if isinstance(declared, Number) and declared.unit else ""
    above = isinstance(declared, Number) and declared.above
    if declared.low == -inf:
        return f"at most {declared.high:g}{unit}"
    if declared.high == inf:
        return f"{'above' if above else 'at least'} {declared.low:g}{unit}"
    return f"{'above' if above else 'from'} {declared.low:g} to {declared.high:g}{unit}"
