"""The numbers that decisions quote held against what they are quoted of: a number there is, of the same kind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set

from ledger.calculators.bindings import Bindings
from ledger.calculators.contract import Calculator
from ledger.entries.models import Calculation, Decision
from ledger.entries.parts import Quote
from ledger.entries.reading import Document
from ledger.errors import Fault
from ledger.quantities.units import same_dimension

NUMBERS = ("number", "whole")


def check_quotes(
    register: Mapping[str, Calculator], documents: Mapping[str, Document], changed: Set[str]
) -> list[Fault]:
    """Return the faults of what changed decisions quote: no numbers, other dimensions, the same number twice."""
    faults: list[Fault] = []
    for ref in sorted(changed & documents.keys()):
        entry = documents[ref].entry
        if isinstance(entry, Decision) and entry.withdrawn is None:
            bindings = Bindings(documents[ref], register, documents)
            told: set[str] = set()
            for number, quote in enumerate(entry.quotes, 1):
                faults += _wrong(bindings, f"quotes.{number}", quote, told)
                told.add(quote.of.text)
    return faults


def _wrong(bindings: Bindings, field: str, quote: Quote, told: Set[str]) -> Iterator[Fault]:
    if quote.of.text in told:
        yield bindings.fault(f"{field}.of", f"`{quote.of.text}` again", "each number once", "Keep one of the two.")
        return
    if quote.of.measurement is not None:
        measured = bindings.measured(quote.of.measurement)
        unit = None if measured is None else measured.unit
    else:
        document = bindings.documents.get(quote.of.calculation or "")
        entry = document.entry if document is not None and not document.lost("calculator") else None
        calculator = bindings.register.get(entry.calculator) if isinstance(entry, Calculation) else None
        if calculator is None:
            return
        numbers = {one.name: one for one in calculator.outputs if one.form in NUMBERS}
        output = numbers.get(quote.of.output or "")
        if output is None:
            expected = f"a number that {calculator.name} gives"
            yield bindings.unknown(f"{field}.of", str(quote.of.output), list(numbers), expected)
        unit = None if output is None else output.unit
    if unit is not None and not same_dimension(quote.said.unit, unit):
        expected = f"a quantity in {unit or 'no unit'}"
        yield bindings.fault(f"{field}.said", f"`{quote.said.text}`", expected, f"`{quote.of.text}` is one.")
