"""A calculation entry held against what its calculator declares: every fault, before anything is posted."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Mapping, Set
from dataclasses import dataclass
from difflib import get_close_matches

from ledger.calculators.contract import Calculator, Number, Output, Rows, Whole
from ledger.calculators.stating import Single, wrong_choice, wrong_dimension, wrong_literal, wrong_quantity
from ledger.entries.models import Calculation, Given, Measurement, Taken
from ledger.entries.reading import Document
from ledger.errors import Fault
from ledger.quantities.notation import NotationError, Quantity
from ledger.quantities.units import same_dimension

COUNTABLE = ("number", "whole", "truth")


def check_calculations(
    register: Mapping[str, Calculator], documents: Mapping[str, Document], changed: Set[str]
) -> list[Fault]:
    """Return the faults of changed calculations: in names, options, units, ranges; missing inputs and cells.

    Everything is judged that can be judged without draws. Documents with faults of their own are judged as far as they
    could be read.
    """
    faults: list[Fault] = []
    for ref in sorted(changed & documents.keys()):
        document = documents[ref]
        entry = document.entry
        if not isinstance(entry, Calculation) or entry.withdrawn is not None or document.lost("calculator"):
            continue
        calculator = register.get(entry.calculator)
        if calculator is None:
            expected = "a calculator the ledger knows"
            faults.append(_unknown(document, "calculator", entry.calculator, list(register), expected))
        else:
            faults.extend(_Use(document, entry, calculator, register, documents).faults())
    return faults


@dataclass(frozen=True)
class _Use:
    """One calculation, its calculator, and what it may refer to."""

    document: Document
    entry: Calculation
    calculator: Calculator
    register: Mapping[str, Calculator]
    documents: Mapping[str, Document]

    def faults(self) -> Iterator[Fault]:
        yield from self._names()
        for name, given in self.entry.inputs.items():
            declared = self.calculator.input(name)
            field = f"inputs.{name}"
            if declared is None:
                continue
            if isinstance(declared, Rows) != (given.rows is not None):
                expected = "rows" if isinstance(declared, Rows) else "one value"
                shown = "rows" if given.rows is not None else "one value"
                yield self._fault(field, shown, expected, f"`{name}` is {declared.label}.")
            elif isinstance(declared, Rows):
                yield from self._rows(field, given, declared)
            else:
                yield from self._single(field, given, declared)
        yield from self._limits()
        yield from self._observed()

    def _names(self) -> Iterator[Fault]:
        """Yield unknown and missing inputs; an input with a fault of its own counts as given."""
        names = [declared.name for declared in self.calculator.inputs]
        lost = self.document.lost_keys("inputs")
        for name in (*self.entry.inputs, *sorted(lost - self.entry.inputs.keys())):
            if name not in names:
                expected = f"an input of {self.calculator.name}"
                yield _unknown(self.document, f"inputs.{name}", name, names, expected)
        given = self.entry.inputs.keys() | lost
        # A misspelt input is told once: what it was meant for is not missing.
        meant = {near[0] for name in given if name not in names and (near := get_close_matches(name, names, 1))}
        if "inputs" in self.document.spoiled:
            return
        for declared in self.calculator.inputs:
            optional = declared.optional if isinstance(declared, Rows) else declared.default is not None
            if declared.name not in given | meant and not optional:
                yield self._fault("inputs", f"no `{declared.name}`", declared.label, "Bind it; it has no default.")

    def _rows(self, field: str, given: Given, declared: Rows) -> Iterator[Fault]:
        columns = {column.name: column for column in declared.columns}
        needed = [column.name for column in declared.columns if column.default is None]
        rows = given.rows or []
        if len(rows) < declared.least:
            yield self._fault(field, f"{len(rows)} rows", f"{declared.least} or more", "Add what is missing.")
        for position, row in enumerate(rows, 1):
            place = f"{field}.rows.{position}"
            lost = self.document.lost_keys(place)
            for cell, stated in row.items():
                column = columns.get(cell)
                if column is None:
                    expected = f"a column of {declared.name}"
                    yield _unknown(self.document, f"{place}.{cell}", cell, list(columns), expected)
                elif isinstance(stated, Taken):
                    yield from self._taken(f"{place}.{cell}", stated, column)
                else:
                    yield from self._told(f"{place}.{cell}", wrong_literal(column, stated))
            meant = {near[0] for cell in row if cell not in columns and (near := get_close_matches(cell, columns, 1))}
            for cell in needed:
                if cell not in row.keys() | lost | meant:
                    yield self._fault(place, f"no `{cell}`", f"the columns {', '.join(needed)}", "Fill the cell.")

    def _single(self, field: str, given: Given, declared: Single) -> Iterator[Fault]:
        if given.value is not None:
            yield from self._told(f"{field}.value", wrong_literal(declared, given.value))
        elif given.chosen is not None and isinstance(declared, Number | Whole):
            yield from self._told(f"{field}.chosen", wrong_choice(declared, given.chosen))
        elif given.chosen is not None:
            yield self._fault(f"{field}.chosen", "a choice", "a `value`", f"{declared.label}: say which it is.")
        else:
            yield from self._taken(field, given, declared)

    def _taken(self, field: str, ground: Given | Taken, declared: Single) -> Iterator[Fault]:
        """Yield what is wrong with a number that comes from a measurement or another calculation."""
        if not isinstance(declared, Number | Whole):
            source = ground.measurement or ground.calculation
            yield self._fault(
                field, f"a number from `{source}`", "a `value`", f"{declared.label}: no number can say it."
            )
        elif ground.measurement is not None:
            quantity = self._measured(ground.measurement)
            if quantity is not None:
                whole = isinstance(declared, Whole)
                wrong = wrong_dimension(declared, quantity.unit, quantity.text)
                yield from self._told(field, wrong or (wrong_quantity(declared, quantity) if whole else None))
        elif (other := self._other(ground.calculation)) is not None:
            theirs = _countable(other)
            output = next((each for each in theirs if each.name == ground.output), None)
            if output is None:
                names = [each.name for each in theirs]
                yield _unknown(
                    self.document, field, str(ground.output), names, f"a number that {ground.calculation} gives"
                )
            elif isinstance(declared, Number):
                text = f"{output.name}, in {output.unit or 'no unit'}"
                yield from self._told(field, wrong_dimension(declared, output.unit, text))

    def _limits(self) -> Iterator[Fault]:
        for place, criterion in enumerate(self.entry.criteria, 1):
            output = yield from self._own(f"criteria.{place}.output", criterion.output)
            for side, limit in (("at-least", criterion.at_least), ("at-most", criterion.at_most)):
                if limit is not None and output is not None:
                    yield from self._meets(f"criteria.{place}.{side}", output, limit)

    def _observed(self) -> Iterator[Fault]:
        observed = self.entry.observed
        if observed is None:
            return
        output = yield from self._own("observed.output", observed.output)
        quantity = self._measured(observed.measurement)
        if quantity is None:
            return
        field = "observed.measurement"
        if quantity.shape == "exact":
            remedy = "State the doubt of the measurement."
            yield self._fault(field, f"`{quantity.text}`", "a measurement with doubt", remedy)
        if output is not None:
            yield from self._meets(field, output, quantity)

    def _own(self, field: str, name: str | None) -> Generator[Fault, None, Output | None]:
        """Yield the fault of a name that is none of the outputs; return the output it was meant for, if that is clear.

        So the limit beside a misspelt output is judged in the same run.
        """
        own = {output.name: output for output in _countable(self.calculator)}
        if name is None or name in own:
            return own.get(name or "")
        expected = f"a number or truth that {self.calculator.name} gives"
        yield _unknown(self.document, field, name, list(own), expected)
        near = get_close_matches(name, own, 1)
        return own[near[0]] if near else None

    def _measured(self, ref: str | None) -> Quantity | None:
        document = self.documents.get(ref or "")
        if document is None or document.lost("quantity") or not isinstance(document.entry, Measurement):
            return None
        return document.entry.quantity

    def _other(self, ref: str | None) -> Calculator | None:
        document = self.documents.get(ref or "")
        if document is None or not isinstance(document.entry, Calculation):
            return None
        return self.register.get(document.entry.calculator)

    def _meets(self, field: str, output: Output, quantity: Quantity) -> Iterator[Fault]:
        if not same_dimension(quantity.unit, output.unit):
            remedy = f"`{output.name}` is one."
            yield self._fault(field, f"`{quantity.text}`", f"a quantity in {output.unit or 'no unit'}", remedy)

    def _told(self, field: str, wrong: NotationError | None) -> Iterator[Fault]:
        if wrong is not None:
            yield self._fault(field, wrong.given, wrong.expected, wrong.remedy)

    def _fault(self, field: str, given: str, expected: str, remedy: str) -> Fault:
        return _fault(self.document, field, given, expected, remedy)


def _countable(calculator: Calculator) -> list[Output]:
    return [output for output in calculator.outputs if output.form in COUNTABLE]


def _unknown(document: Document, field: str, given: str, known: list[str], expected: str) -> Fault:
    near = get_close_matches(given, known, 1)
    remedy = f"Did you mean `{near[0]}`?" if near else f"There are: {', '.join(known)}."
    return _fault(document, field, f"`{given}`", expected, remedy)


def _fault(document: Document, field: str, given: str, expected: str, remedy: str) -> Fault:
    field = document.told(field)
    return Fault(document.file, document.line(field), field, given, expected, remedy)
