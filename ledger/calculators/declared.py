"""A calculation entry held against what its calculator declares: every fault, before anything is posted."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Mapping, Set
from dataclasses import dataclass

from ledger.calculators.bindings import Bindings, countable
from ledger.calculators.contract import Calculator, Number, Output, Rows
from ledger.entries.models import Calculation
from ledger.entries.reading import Document
from ledger.errors import Fault, meant_by, nearest
from ledger.quantities.notation import Quantity
from ledger.quantities.units import same_dimension


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
            use = Bindings(document, register, documents)
            faults.append(use.unknown("calculator", entry.calculator, list(register), expected))
        else:
            faults.extend(_Use(document, register, documents, entry, calculator).faults())
    return faults


@dataclass(frozen=True)
class _Use(Bindings):
    """One calculation, its calculator, and what it may refer to."""

    entry: Calculation
    calculator: Calculator

    def faults(self) -> Iterator[Fault]:
        yield from self._names()
        for name, given in self.entry.inputs.items():
            declared = self.calculator.input(name)
            if declared is not None:
                yield from self.bound(f"inputs.{name}", given, declared)
        yield from self._limits()
        yield from self._observed()

    def _names(self) -> Iterator[Fault]:
        """Yield unknown and missing inputs; an input with a fault of its own counts as given."""
        names = [declared.name for declared in self.calculator.inputs]
        lost = self.document.lost_keys("inputs")
        for name in (*self.entry.inputs, *sorted(lost - self.entry.inputs.keys())):
            if name not in names:
                expected = f"an input of {self.calculator.name}"
                yield self.unknown(f"inputs.{name}", name, names, expected)
        given = self.entry.inputs.keys() | lost
        found = given | meant_by(given, names)
        if "inputs" in self.document.spoiled:
            return
        for declared in self.calculator.inputs:
            optional = declared.optional if isinstance(declared, Rows) else declared.default is not None
            if declared.name not in found and not optional:
                yield self.fault("inputs", f"no `{declared.name}`", declared.label, "Bind it; it has no default.")

    def _limits(self) -> Iterator[Fault]:
        for place, criterion in enumerate(self.entry.criteria, 1):
            output = yield from self._own(f"criteria.{place}.output", criterion.output)
            if output is None:
                continue
            for side, limit in criterion.limits():
                field = f"criteria.{place}.{side}"
                if isinstance(limit, Quantity):
                    yield from self._meets(field, output, limit)
                else:
                    yield from self.taken(field, limit, Number(output.name, output.label, output.unit))

    def _observed(self) -> Iterator[Fault]:
        observed = self.entry.observed
        if observed is None:
            return
        output = yield from self._own("observed.output", observed.output)
        quantity = self.measured(observed.measurement)
        if quantity is None:
            return
        field = "observed.measurement"
        if quantity.shape == "exact":
            remedy = "State the doubt of the measurement."
            yield self.fault(field, f"`{quantity.text}`", "a measurement with doubt", remedy)
        if output is not None:
            yield from self._meets(field, output, quantity)

    def _own(self, field: str, name: str | None) -> Generator[Fault, None, Output | None]:
        """Yield the fault of a name that is none of the outputs; return the output it was meant for, if that is clear.

        So the limit beside a misspelt output is judged in the same run.
        """
        own = {output.name: output for output in countable(self.calculator)}
        if name is None or name in own:
            return own.get(name or "")
        expected = f"a number or truth that {self.calculator.name} gives"
        yield self.unknown(field, name, list(own), expected)
        near = nearest(name, own, 1)
        return own[near[0]] if near else None

    def _meets(self, field: str, output: Output, quantity: Quantity) -> Iterator[Fault]:
        if not same_dimension(quantity.unit, output.unit):
            remedy = f"`{output.name}` is one."
            yield self.fault(field, f"`{quantity.text}`", f"a quantity in {output.unit or 'no unit'}", remedy)
