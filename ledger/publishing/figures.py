"""Numbers and tables as pages show them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ledger.calculators.contract import Input, Rows
from ledger.calculators.results import Outcome
from ledger.casebook.values import Casebook
from ledger.entries.models import Measurement
from ledger.publishing import words
from ledger.publishing.addresses import Link, Ways
from ledger.quantities import percents
from ledger.quantities.notation import NotationError, parse
from ledger.quantities.summary import Summary, show

FOLD = 12
DIGITS = 4
FINE = 1e-9
_HYPHEN = re.compile(r"(?<![\w)\]])-(?=\.?\d)")


@dataclass(frozen=True)
class Grid:
    """A small table: heads and cells. One of many cells is folded, its summary saying how many rows it has."""

    heads: tuple[str, ...]
    rows: tuple[tuple[Link, ...], ...]

    @property
    def count(self) -> str:
        """Return how many rows there are, in words."""
        return words.count(len(self.rows), "row")

    @property
    def long(self) -> bool:
        """Return whether the table is to be folded: on a phone each of its cells is a line of a card."""
        return len(self.rows) * len(self.heads) > FOLD

    @property
    def key(self) -> int:
        """Return the place of the column that names rows: of the first two, one with no cell empty or twice."""
        columns = [[row[place].words for row in self.rows] for place in range(min(2, len(self.heads)))]
        return next((place for place, one in enumerate(columns) if all(one) and len({*one}) == len(one)), 0)


def minus(text: str) -> str:
    """Return text in which every number below nought has a proper minus."""
    return _HYPHEN.sub(words.MINUS, text)


def plain_label(text: str) -> str:
    """Return a declared label for a place where no Markdown is read: code stands in quotation marks."""
    return minus(re.sub("`([^`]*)`", r"“\1”", text))


def short_label(text: str) -> str:
    """Return a declared label in short, without what stands in brackets at its end."""
    return plain_label(text.partition(" (")[0])


def number(value: float, unit: str = "") -> str:
    """Return a number without doubt: whole ones as they are, others to four digits that count, and to the unit."""
    whole = abs(value) < 10**7 and (value == int(value) or abs(value) >= 10**DIGITS)
    kept = float(round(value)) if whole else float(f"{value:.{DIGITS}g}")
    return show(Summary(kept, 0.0, kept, kept), unit)


def shown(summary: Summary, unit: str) -> str:
    """Return draws summed up as they are shown, exact ones as numbers without doubt."""
    return number(summary.estimate, unit) if summary.low == summary.high else show(summary, unit)


def half_width(half: float, unit: str) -> str:
    """Return the half-width of an interval with two digits."""
    return f"± {number(float(f'{half:.2g}'), unit)}"


def setting(text: str) -> str:
    """Return what a chosen input was set to."""
    try:
        stated = parse(text)
    except NotationError:
        return minus(text)
    return number(stated.numbers[0], stated.unit) if stated.shape == "exact" else minus(text)


def outcome_text(outcome: Outcome, certain: bool = False) -> str:
    """Return a number, a truth or words as shown; nothing for tables and curves.

    certain  nothing that the outcome stands on is in doubt
    """
    if outcome.summary is not None:
        text = shown(outcome.summary, outcome.unit)
        return text if outcome.share is None else f"{text} ({percents.draws(outcome.share)} only)"
    if outcome.chance is not None:
        return words.truth(outcome.chance, certain)
    return "" if isinstance(outcome.value, tuple) or outcome.value is None else cell_text(outcome.value)


def grid(rows: tuple[Mapping[str, Any], ...], declared: Input | None, ways: Ways) -> Grid:
    """Return rows as a table; a cell taken from an entry shows its value and leads there."""
    columns = tuple(dict.fromkeys(key for row in rows for key in row))
    known = {column.name: column for column in declared.columns} if isinstance(declared, Rows) else {}
    heads = tuple(plain_label(known[one].label) if one in known else re.sub("[_-]", " ", one) for one in columns)
    return Grid(heads, tuple(tuple(_cell(row.get(column), ways) for column in columns) for row in rows))


def _cell(cell: Any, ways: Ways) -> Link:
    if isinstance(cell, str) and cell.startswith(("measurements/", "calculations/")):
        return reference(cell, ways)
    return Link(cell_text(cell), None)


def reference(written: str, ways: Ways) -> Link:
    """Return the value of `measurements/name` or `calculations/name#output`, leading to its entry."""
    ref, _, output = written.partition("#")
    return ways.to(ref, referred(ways.casebook, ref, output))


def referred(casebook: Casebook, ref: str, output: str) -> str | None:
    """Return the value that a reference stands for, or None where there is none."""
    if output:
        named = outcome_of(casebook, ref, output)
        return (outcome_text(named) or None) if named else None
    item = casebook.entries.get(ref) or casebook.withdrawn.get(ref)
    return minus(item.entry.quantity.text) if item and isinstance(item.entry, Measurement) else None


def outcome_of(casebook: Casebook, ref: str | None, output: str | None) -> Outcome | None:
    """Return what a calculation gave for an output, or None where it has no result or no such output."""
    result = casebook.results.get(ref or "")
    return result.outcome(output) if result is not None else None


def cell_text(cell: Any) -> str:
    """Return the text of one cell."""
    if isinstance(cell, Summary):
        return shown(cell, "")
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return number(cell)
    return minus(str(cell))
