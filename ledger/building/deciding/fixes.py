"""What decisions fix, held against what the sections declare: every fault, before anything is posted."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Set
from dataclasses import dataclass, replace

from ledger.building.contract import Naming, Section, entry_name
from ledger.building.deciding.row_faults import row_faults, rows_of
from ledger.building.deciding.settlement import given_of, put_together
from ledger.building.sections.register import SECTIONS, parameters
from ledger.calculators.bindings import Bindings
from ledger.calculators.contract import Calculator
from ledger.entries.models import Decision
from ledger.entries.parts import Fixed
from ledger.entries.reading import Document
from ledger.errors import Fault


def check_fixes(
    register: Mapping[str, Calculator],
    documents: Mapping[str, Document],
    changed: Set[str],
    sections: tuple[Section, ...] = SECTIONS,
) -> list[Fault]:
    """Return the faults of what changed decisions fix: names, units, ranges, options, rows; names of
    nothing; and decisions in conflict.

    register  the calculators, for outputs that parameters are taken from
    """
    known = {name: one for name, (_, one) in parameters(sections).items()}
    standing = [
        (ref, document.entry)
        for ref, document in sorted(documents.items())
        if isinstance(document.entry, Decision) and document.standing and document.entry.fixes
    ]
    faults: list[Fault] = []
    for ref, decision in standing:
        if ref in changed:
            use = _Fixing(documents[ref], register, documents)
            for name, fixed in decision.fixes.items():
                if name not in known:
                    faults.append(use.unknown(f"fixes.{name}", name, list(known), "a parameter of the build sheet"))
                else:
                    faults += use.bound(f"fixes.{name}", given_of(fixed), replace(known[name], name=entry_name(name)))
                faults += _strange(use, decision, name, fixed)
    for conflict in put_together(standing, known)[1]:
        at = conflict.decision if conflict.decision in changed else conflict.other
        other = conflict.other if at == conflict.decision else conflict.decision
        if at in changed:
            what = f"`{conflict.name}`, {conflict.row}" if conflict.row else f"`{conflict.name}`"
            remedy = "Take it out of one of the two, or withdraw the decision that no longer holds."
            faults.append(
                _Fixing(documents[at], register, documents).fault(
                    f"fixes.{conflict.name}", f"{what}, which {other} fixes too", "it fixed once", remedy
                )
            )
    for section in sections:
        for naming in section.names:
            faults += _misnamed(naming, standing, changed, lambda ref: _Fixing(documents[ref], register, documents))
    for one in row_faults(standing, changed):
        faults.append(
            _Fixing(documents[one.ref], register, documents).fault(one.field, one.given, one.expected, one.remedy)
        )
    return faults


def _misnamed(
    naming: Naming, standing: list[tuple[str, Decision]], changed: Set[str], use: Callable[[str], _Fixing]
) -> Iterator[Fault]:
    """Yield the cells that name nothing, where what they are in or what they could name has changed."""
    known: dict[str, str] = {}
    for ref, decision in standing:
        for parameter, column in naming.of:
            rows = rows_of(decision, entry_name(parameter))
            known |= {str(row[column]).strip(): ref for row in rows if isinstance(row.get(column), str)}
    if not known:
        return
    field = entry_name(naming.parameter)
    for ref, decision in standing:
        if ref in changed or not changed.isdisjoint(known.values()):
            for place, row in enumerate(rows_of(decision, field), 1):
                cell = row.get(naming.column)
                if isinstance(cell, str) and cell.strip() and cell.strip() not in known:
                    what = " or ".join(f"a {column} in `{entry_name(parameter)}`" for parameter, column in naming.of)
                    yield use(ref).unknown(f"fixes.{field}.rows.{place}.{naming.column}", cell, list(known), what)


def _strange(use: _Fixing, decision: Decision, name: str, fixed: Fixed) -> Iterator[Fault]:
    """Yield grounds of a parameter that are none of the decision's."""
    for place, ground in enumerate(fixed.grounds, 1):
        if ground not in decision.grounds:
            remedy = "Add it to the decision's `grounds`, or take it out here."
            yield use.fault(f"fixes.{name}.grounds.{place}", f"`{ground}`", "one of the decision's grounds", remedy)


@dataclass(frozen=True)
class _Fixing(Bindings):
    """The bindings of a decision, whose short forms have shorter places than those of a calculation."""

    def fault(self, field: str, given: str, expected: str, remedy: str) -> Fault:
        """Return a fault at the place as it is written."""
        stem, name, *rest = field.split(".")
        for long in ("rows", "value"):
            if rest[:1] == [long] and f"{stem}.{name}.{long}" not in self.document.lines:
                rest = rest[1:]
        return super().fault(".".join((stem, name, *rest)), given, expected, remedy)
