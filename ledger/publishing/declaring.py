"""What a calculator declares, in words: what an input may be, its default, units and columns."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from ledger.calculators.contract import Choice, Input, Number, Output, Rows, Truth, Whole
from ledger.publishing import words
from ledger.publishing.figures import cell_text, plain_label
from ledger.quantities.notation import NotationError, parse

NO_LIMIT = 10**9


@dataclass(frozen=True)
class Declared:
    """One input, or one column of a table input, as a calculator's page shows it."""

    label: str
    name: str
    unit: str
    permitted: str
    otherwise: str
    needed: bool
    columns: tuple[Declared, ...] = ()


def declared(one: Input) -> Declared:
    """Return an input in words."""
    columns = tuple(declared(column) for column in one.columns) if isinstance(one, Rows) else ()
    needed = not one.optional if isinstance(one, Rows) else one.default is None
    return Declared(plain_label(one.label), one.name, unit(one), permitted(one), otherwise(one), needed, columns)


def permitted(one: Input) -> str:
    """Return what a calculator's input may be."""
    if isinstance(one, Number | Whole):
        above = isinstance(one, Number) and one.above
        least = "" if one.low == -inf else f"{'above' if above else 'at least'} {_bound(one.low)}"
        most = "" if one.high >= NO_LIMIT else f"at most {_bound(one.high)}"
        kind = "a whole number" if isinstance(one, Whole) else "a number"
        return ", ".join(part for part in (kind, least, most) if part)
    if isinstance(one, Choice):
        return f"one of {', '.join(one.options)}"
    if isinstance(one, Truth):
        return "yes or no"
    if isinstance(one, Rows):
        return f"a table of {words.count(one.least, 'row')} or more{', or left out' if one.optional else ''}"
    return "words"


def _bound(number: float) -> str:
    return f"{number:,.12g}".replace("-", words.MINUS)


def unit(one: Input | Output) -> str:
    """Return the unit an input or output is in, or a dash for none."""
    return getattr(one, "shown", None) or getattr(one, "unit", "") or "–"


def otherwise(one: Input) -> str:
    """Return what holds where an input is not given."""
    if isinstance(one, Rows):
        return "may be left out" if one.optional else "must be given"
    if one.default is None:
        return "must be given"
    if unlimited(one):
        return "no limit"
    return cell_text(one.default) or "empty"


def unlimited(one: Input | None) -> bool:
    """Return whether an input's default is so great that it stands for no limit at all."""
    if not isinstance(one, Number | Whole) or one.default is None:
        return False
    try:
        stated = parse(one.default)
    except NotationError:
        return False
    return stated.shape == "exact" and stated.numbers[0] >= NO_LIMIT
