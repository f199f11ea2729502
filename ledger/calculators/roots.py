"""The uncertain quantities that calculations stand on, named as their draws are, without running anything."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ledger.calculators.bench import Bench
from ledger.calculators.binding import Column
from ledger.calculators.contract import Number, Rows, Whole
from ledger.calculators.drawing import Root
from ledger.entries.parts import Given, Taken
from ledger.quantities.notation import NotationError, Quantity, parse


@dataclass(frozen=True)
class Stated:
    """A root: its quantity as some entry states it, the calculation that does so, and what it is called there.

    calculation  None for a measurement, which its entry names
    """

    root: Root
    quantity: Quantity
    calculation: str | None
    label: str


def roots(bench: Bench, refs: Iterable[str]) -> dict[Root, Stated]:
    """Return every root with doubt that some calculations stand on, directly or through others, in order of name.

    What cannot be read as a quantity is passed over; a run refuses it.
    """
    needed = dict.fromkeys(one for ref in refs for one in bench.upstream_of(ref))
    found = (one for ref in needed if ref in bench.calculations for one in _of(bench, ref))
    return {one.root: one for one in sorted(found, key=lambda one: one.root) if one.quantity.shape != "exact"}


def _of(bench: Bench, ref: str) -> Iterator[Stated]:
    entry, calculator = bench.calculations[ref], bench.calculator(ref)
    for declared in calculator.inputs:
        given = entry.inputs.get(declared.name)
        if isinstance(declared, Rows):
            yield from _rows(bench, ref, declared, given)
        elif given is None:
            yield from _literal(ref, declared, declared.default, (ref, declared.name), declared.label)
        elif given.measurement is not None:
            yield from _measured(bench, given.measurement)
        elif given.value is not None:
            yield from _literal(ref, declared, given.value, (ref, declared.name), declared.label)
    for place, criterion in enumerate(entry.criteria):
        output = calculator.output(criterion.output)
        label = f"limit of {output.label if output is not None else criterion.output}"
        for side, limit in criterion.limits():
            if isinstance(limit, Quantity):
                yield Stated((ref, "criterion", str(place), side), limit, ref, label)
            elif limit.measurement is not None:
                yield from _measured(bench, limit.measurement)


def _rows(bench: Bench, ref: str, declared: Rows, given: Given | None) -> Iterator[Stated]:
    for place, row in enumerate((given.rows if given is not None else None) or []):
        for column in declared.columns:
            cell = row.get(column.name, column.default)
            if isinstance(cell, Taken):
                if cell.measurement is not None:
                    yield from _measured(bench, cell.measurement)
            else:
                label = f"{declared.label}, row {place + 1}, {column.label}"
                yield from _literal(ref, column, cell, (ref, declared.name, str(place), column.name), label)


def _measured(bench: Bench, ref: str) -> Iterator[Stated]:
    if ref in bench.measurements:
        yield Stated((ref,), bench.measurements[ref], None, "")


def _literal(ref: str, declared: Column, given: object, root: Root, label: str) -> Iterator[Stated]:
    if not isinstance(declared, Number | Whole) or isinstance(given, bool) or not isinstance(given, str | int | float):
        return
    try:
        quantity = parse(given)
    except NotationError:
        return
    yield Stated(root, quantity, ref, label)
