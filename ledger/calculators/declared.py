"""A calculation entry held against what its calculator declares: every fault, before anything is posted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from difflib import get_close_matches

from ledger.calculators.contract import Calculator, Number, Rows
from ledger.entries.models import Calculation, Given, Measurement, Taken
from ledger.entries.reading import Document
from ledger.errors import Fault
from ledger.quantities.units import same_dimension

COUNTABLE = ("number", "whole", "truth")


def check_calculations(
    register: Mapping[str, Calculator], documents: Mapping[str, Document], changed: Set[str]
) -> list[Fault]:
    """Return the faults of changed calculations: unknown calculators, inputs, outputs and options; missing inputs.

    Values themselves are judged when the calculation runs, where draws can be held against permitted ranges.
    """
    faults: list[Fault] = []
    for ref in sorted(changed):
        document = documents[ref]
        entry = document.entry
        if not isinstance(entry, Calculation) or entry.withdrawn is not None:
            continue
        calculator = register.get(entry.calculator)
        if calculator is None:
            faults.append(
                _unknown(document, "calculator", entry.calculator, list(register), "a calculator the ledger knows")
            )
            continue
        faults.extend(_inputs(document, entry, calculator))
        faults.extend(_outputs(document, entry, calculator, register, documents))
        faults.extend(_dimensions(document, entry, calculator, documents))
    return faults


def _inputs(document: Document, entry: Calculation, calculator: Calculator) -> Iterator[Fault]:
    names = [declared.name for declared in calculator.inputs]
    for name, given in entry.inputs.items():
        declared = calculator.input(name)
        if declared is None:
            yield _unknown(document, f"inputs.{name}", name, names, f"an input of {calculator.name}")
        elif isinstance(declared, Rows) != (given.rows is not None):
            expected = "rows" if isinstance(declared, Rows) else "one value"
            yield _fault(
                document, f"inputs.{name}", "rows" if given.rows is not None else "one value", expected, "See its page."
            )
        elif isinstance(declared, Rows):
            yield from _columns(document, name, given, declared)
    for declared in calculator.inputs:
        optional = declared.optional if isinstance(declared, Rows) else declared.default is not None
        if declared.name not in entry.inputs and not optional:
            yield _fault(document, "inputs", f"no `{declared.name}`", declared.label, "Bind it; it has no default.")


def _columns(document: Document, name: str, given: Given, declared: Rows) -> Iterator[Fault]:
    columns = [column.name for column in declared.columns]
    needed = [column.name for column in declared.columns if column.default is None]
    for position, row in enumerate(given.rows or [], 1):
        for cell in row:
            if cell not in columns:
                yield _unknown(document, f"inputs.{name}.rows.{position}.{cell}", cell, columns, f"a column of {name}")
        for cell in needed:
            if cell not in row:
                place = f"inputs.{name}.rows.{position}"
                yield _fault(document, place, f"no `{cell}`", f"the columns {', '.join(needed)}", "Fill the cell.")


def _outputs(
    document: Document,
    entry: Calculation,
    calculator: Calculator,
    register: Mapping[str, Calculator],
    documents: Mapping[str, Document],
) -> Iterator[Fault]:
    own = [output.name for output in calculator.outputs if output.form in COUNTABLE]
    named = [(f"criteria.{place}.output", criterion.output) for place, criterion in enumerate(entry.criteria, 1)]
    if entry.observed is not None:
        named.append(("observed.output", entry.observed.output))
    for field, output in named:
        if output not in own:
            yield _unknown(document, field, output, own, f"a number or truth that {calculator.name} gives")
    for field, ground in _places(entry):
        other = documents.get(ground.calculation or "")
        if other is None or not isinstance(other.entry, Calculation) or other.entry.calculator not in register:
            continue
        theirs = [output.name for output in register[other.entry.calculator].outputs if output.form in COUNTABLE]
        if ground.output not in theirs:
            yield _unknown(document, field, str(ground.output), theirs, f"a number that {other.ref} gives")


def _places(entry: Calculation) -> Iterator[tuple[str, Given | Taken]]:
    """Yield every input, and every cell taken from elsewhere, with its field."""
    for name, given in entry.inputs.items():
        yield f"inputs.{name}", given
        for position, row in enumerate(given.rows or [], 1):
            for key, cell in row.items():
                if isinstance(cell, Taken):
                    yield f"inputs.{name}.rows.{position}.{key}", cell


def _dimensions(
    document: Document, entry: Calculation, calculator: Calculator, documents: Mapping[str, Document]
) -> Iterator[Fault]:
    """Yield the places where a quantity meets a number of another dimension."""
    meetings = [
        (f"criteria.{place}.{side}", criterion.output, limit)
        for place, criterion in enumerate(entry.criteria, 1)
        for side, limit in (("at-least", criterion.at_least), ("at-most", criterion.at_most))
        if limit is not None
    ]
    observed = None if entry.observed is None else documents.get(entry.observed.measurement)
    if entry.observed is not None and observed is not None and isinstance(observed.entry, Measurement):
        meetings.append(("observed.measurement", entry.observed.output, observed.entry.quantity))
        if observed.entry.quantity.shape == "exact":
            given = f"`{observed.entry.quantity.text}`"
            yield _fault(
                document,
                "observed.measurement",
                given,
                "a measurement with doubt",
                "State the doubt of the measurement.",
            )
    for field, name, quantity in meetings:
        output = calculator.output(name)
        if output is not None and not same_dimension(quantity.unit, output.unit):
            yield _fault(
                document, field, f"`{quantity.text}`", f"a quantity in {output.unit or 'no unit'}", f"`{name}` is one."
            )
    for name, bound in entry.inputs.items():
        declared = calculator.input(name)
        stated = bound.chosen
        if bound.measurement is not None:
            measured = documents.get(bound.measurement)
            stated = (
                measured.entry.quantity if measured is not None and isinstance(measured.entry, Measurement) else None
            )
        if stated is not None and isinstance(declared, Number) and not same_dimension(stated.unit, declared.unit):
            expected = f"a quantity in {declared.unit or 'no unit'}"
            yield _fault(document, f"inputs.{name}", f"`{stated.text}`", expected, f"`{name}` is {declared.label}.")


def _unknown(document: Document, field: str, given: str, known: list[str], expected: str) -> Fault:
    near = get_close_matches(given, known, 1)
    remedy = f"Did you mean `{near[0]}`?" if near else f"There are: {', '.join(known)}."
    return _fault(document, field, f"`{given}`", expected, remedy)


def _fault(document: Document, field: str, given: str, expected: str, remedy: str) -> Fault:
    return Fault(document.file, document.line(field), field, given, expected, remedy)
