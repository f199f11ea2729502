"""What an entry binds to declared inputs, held against the declaration without drawing anything."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ledger.calculators.contract import Calculator, Input, Number, Output, Rows, Whole
from ledger.calculators.stating import Single, wrong_choice, wrong_dimension, wrong_literal, wrong_quantity
from ledger.entries.models import Calculation, Measurement
from ledger.entries.parts import Given, Taken
from ledger.entries.reading import Document
from ledger.errors import Fault, did_you_mean, meant_by
from ledger.quantities.notation import NotationError, Quantity

COUNTABLE = ("number", "whole", "truth")


@dataclass(frozen=True)
class Bindings:
    """One document, and what it may refer to: the calculators by name, all documents by ref."""

    document: Document
    register: Mapping[str, Calculator]
    documents: Mapping[str, Document]

    def bound(self, field: str, given: Given, declared: Input) -> Iterator[Fault]:
        """Yield what is wrong with a declared input as it is bound in a field."""
        if isinstance(declared, Rows) != (given.rows is not None):
            expected = "rows" if isinstance(declared, Rows) else "one value"
            shown = "rows" if given.rows is not None else "one value"
            yield self.fault(field, shown, expected, f"`{declared.name}` is {declared.label}.")
        elif isinstance(declared, Rows):
            yield from self._rows(field, given, declared)
        else:
            yield from self._single(field, given, declared)

    def taken(self, field: str, ground: Given | Taken, declared: Single) -> Iterator[Fault]:
        """Yield what is wrong with a number that comes from a measurement or another calculation."""
        if not isinstance(declared, Number | Whole):
            source = ground.measurement or ground.calculation
            yield self.fault(
                field, f"a number from `{source}`", "a `value`", f"{declared.label}: no number can say it."
            )
        elif ground.measurement is not None:
            quantity = self.measured(ground.measurement)
            if quantity is not None:
                whole = isinstance(declared, Whole)
                wrong = wrong_dimension(declared, quantity.unit, quantity.text)
                yield from self.told(field, wrong or (wrong_quantity(declared, quantity) if whole else None))
        elif (other := self._other(ground.calculation)) is not None:
            theirs = countable(other)
            output = next((each for each in theirs if each.name == ground.output), None)
            if output is None:
                names = [each.name for each in theirs]
                yield self.unknown(field, str(ground.output), names, f"a number that {ground.calculation} gives")
            elif isinstance(declared, Number):
                text = f"{output.name}, in {output.unit or 'no unit'}"
                yield from self.told(field, wrong_dimension(declared, output.unit, text))

    def measured(self, ref: str | None) -> Quantity | None:
        """Return the quantity of a measurement, or None where it cannot be read."""
        document = self.documents.get(ref or "")
        if document is None or document.lost("quantity") or not isinstance(document.entry, Measurement):
            return None
        return document.entry.quantity

    def told(self, field: str, wrong: NotationError | None) -> Iterator[Fault]:
        """Yield what is wrong with a field, if anything."""
        if wrong is not None:
            yield self.fault(field, wrong.given, wrong.expected, wrong.remedy)

    def unknown(self, field: str, given: str, known: list[str], expected: str) -> Fault:
        """Return the fault of a name that is none of those known, with the nearest of them."""
        return self.fault(field, f"`{given}`", expected, did_you_mean(given, known))

    def fault(self, field: str, given: str, expected: str, remedy: str) -> Fault:
        """Return a fault of the document, with its line."""
        return self.document.fault(field, given, expected, remedy)

    def _rows(self, field: str, given: Given, declared: Rows) -> Iterator[Fault]:
        columns = {column.name: column for column in declared.columns}
        needed = [column.name for column in declared.columns if column.default is None]
        rows = given.rows or []
        if len(rows) < declared.least:
            yield self.fault(field, f"{len(rows)} rows", f"{declared.least} or more", "Add what is missing.")
        for position, row in enumerate(rows, 1):
            place = f"{field}.rows.{position}"
            lost = self.document.lost_keys(place)
            for cell, stated in row.items():
                column = columns.get(cell)
                if column is None:
                    expected = f"a column of {declared.name}"
                    yield self.unknown(f"{place}.{cell}", cell, list(columns), expected)
                elif isinstance(stated, Taken):
                    yield from self.taken(f"{place}.{cell}", stated, column)
                else:
                    yield from self.told(f"{place}.{cell}", wrong_literal(column, stated))
            found = row.keys() | lost | meant_by(row, columns)
            for cell in needed:
                if cell not in found:
                    yield self.fault(place, f"no `{cell}`", f"the columns {', '.join(needed)}", "Fill the cell.")

    def _single(self, field: str, given: Given, declared: Single) -> Iterator[Fault]:
        if given.value is not None:
            yield from self.told(f"{field}.value", wrong_literal(declared, given.value))
        elif given.chosen is not None and isinstance(declared, Number | Whole):
            yield from self.told(f"{field}.chosen", wrong_choice(declared, given.chosen))
        elif given.chosen is not None:
            yield self.fault(f"{field}.chosen", "a choice", "a `value`", f"{declared.label}: say which it is.")
        else:
            yield from self.taken(field, given, declared)

    def _other(self, ref: str | None) -> Calculator | None:
        document = self.documents.get(ref or "")
        if document is None or not isinstance(document.entry, Calculation):
            return None
        return self.register.get(document.entry.calculator)


def countable(calculator: Calculator) -> list[Output]:
    """Return the outputs that others can stand on: numbers, wholes and truths."""
    return [output for output in calculator.outputs if output.form in COUNTABLE]
