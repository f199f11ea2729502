"""The build sheet of a casebook: what decisions fix, section by section, as frozen values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from ledger.building.contract import BillItem, Feature, Made, Placed, Section, entry_name
from ledger.building.deciding.settlement import Settlement, put_together
from ledger.building.grids import grids, places
from ledger.building.opening import opens, undecided
from ledger.building.reading import drawn
from ledger.building.sections.full_size import Evidence
from ledger.building.sections.register import SECTIONS, parameters
from ledger.building.values import DEFAULT, Chapter, Grid, Settled, Sheet, limits_of
from ledger.calculators.binding import Raw, Upstream, bind, summed
from ledger.calculators.contract import Calculator, Draws, Input, Number, Rows, Whole
from ledger.calculators.drawing import Drawing
from ledger.calculators.results import Bound
from ledger.calculators.sweeping import result
from ledger.casebook.values import Casebook
from ledger.entries.models import Decision, Measurement
from ledger.entries.parts import Given, Taken
from ledger.errors import CalculationRefused
from ledger.quantities.notation import Quantity
from ledger.quantities.units import same_dimension

REF = "build sheet"
MODEL_ONLY = (
    "This sheet is for a model and for understanding: none of its numbers may be used to rate, repair or release a "
    "part that carries people."
)


def decides(casebook: Casebook) -> bool:
    """Return whether any standing decision fixes a parameter, so that there is a sheet to show."""
    return any(isinstance(item.entry, Decision) and item.entry.fixes for item in casebook.of_kind("decision"))


def build_sheet(casebook: Casebook, sections: tuple[Section, ...] = SECTIONS) -> Sheet:
    """Return the sheet that standing decisions give. The same casebook gives the same sheet."""
    known = {name: one for name, (_, one) in parameters(sections).items()}
    decisions = [(item.ref, item.entry) for item in casebook.of_kind("decision") if isinstance(item.entry, Decision)]
    settled, conflicts = put_together(decisions, known)
    said = [
        f"{ref} fixes `{name}`, which is no parameter of the sheet."
        for ref, decision in decisions
        for name in decision.fixes
        if name not in known
    ]
    said += [f"{one.decision} fixes `{one.name}` {one.row}otherwise than {one.other} does." for one in conflicts]
    desk = _Desk(casebook, settled)
    chapters = []
    if settled:
        for section in sections:
            if section.follows or any(entry_name(one.name) in settled for one in section.parameters):
                chapters.append(desk.chapter(section))
    kept = tuple(one for one in chapters if _says_something(one))
    cautions = [MODEL_ONLY, *casebook.investigation.cautions, *(line for one in kept for line in one.section.cautions)]
    return Sheet(
        casebook.investigation.title,
        kept,
        opens(casebook, [ref for one in settled.values() for ref in one.decisions]),
        tuple(dict.fromkeys(cautions)),
        tuple(said),
    )


@dataclass
class _Desk:
    """Where sections are computed one after the other: what they passed on and made so far."""

    casebook: Casebook
    settled: Mapping[str, Settlement]
    passed: dict[str, Any] = field(default_factory=dict)
    features: list[Feature] = field(default_factory=list)
    items: list[BillItem] = field(default_factory=list)
    evidence: list[Evidence] = field(default_factory=list)
    numbers: dict[str, Placed] = field(default_factory=dict)
    written: dict[str, Any] = field(default_factory=dict)

    def chapter(self, section: Section) -> Chapter:
        """Return one section computed, as far as it can be."""
        given = {
            one.name: self.settled[entry_name(one.name)].given
            for one in section.parameters
            if entry_name(one.name) in self.settled
        }
        open_ones = [one for one in section.parameters if one.name not in given and not _has_default(one)]
        lacking = undecided(self.casebook, section, open_ones, self.settled)
        inputs = tuple(one for one in section.parameters if one not in open_ones)
        stood_on = [ref for name in given for ref in self.settled[entry_name(name)].decisions]
        begun = Chapter(section, tuple(dict.fromkeys(stood_on)), (), undecided=lacking)
        try:
            raw, bounds = self._bound(section, inputs, given)
        except CalculationRefused as error:
            return replace(begun, refused=str(error).removeprefix(f"{REF}: "))
        begun = replace(begun, parameters=tuple(self._settled(section, bound, raw[bound.name]) for bound in bounds))
        self._note(section, bounds, raw)
        if any(one.needed for one in lacking):
            return begun
        values = {**raw, **{one.name: None for one in open_ones}, **{name: self._use(name) for name in section.uses}}
        try:
            made = section.compute(**values)
        except ValueError as error:
            return replace(begun, refused=str(error))
        return self._made(begun, made)

    def _made(self, begun: Chapter, made: Made) -> Chapter:
        self.features += made.features
        self.items += made.items
        self.passed |= made.passed or {}
        found: list[Grid] = []
        for table in begun.section.tables:
            rows = made.tables.get(table.name, [])
            self.numbers |= places(table, rows)
            found += grids(table, rows)
        problems = tuple(sorted(made.problems, key=lambda one: not one.serious))
        return replace(begun, tables=tuple(found), sketches=tuple(made.sketches), problems=problems)

    def _use(self, name: str) -> Any:
        own = ("features", "items", "evidence", "numbers", "written")
        return getattr(self, name) if name in own else self.passed.get(name)

    def _bound(
        self, section: Section, inputs: tuple[Input, ...], given: Mapping[str, Given]
    ) -> tuple[dict[str, Raw], tuple[Bound, ...]]:
        calculator = Calculator(section.name, section.title, section.purpose, inputs, (), "", (), (), (), _never)
        raw, bounds = bind(REF, calculator, given, self._upstream(given), self._drawing())
        return raw, summed(calculator, raw, bounds)

    def _drawing(self) -> Drawing:
        ground = self.casebook.ground
        return ground.bench.drawing if ground is not None else Drawing(10_000)

    def _upstream(self, given: Mapping[str, Given]) -> Upstream:
        """Return all measured quantities, and the outputs of those calculations that parameters are taken from."""
        asked = {str(ref) for one in given.values() for ref in _calculations(one)}
        outputs, units = {}, {}
        ground = self.casebook.ground
        for ref in sorted(asked):
            if ground is not None and ref in self.casebook.results:
                bench = ground.bench
                settled = bench.settled.get(ref)
                calculator = bench.calculator(ref)
                names = [one.name for one in calculator.outputs if one.form in ("number", "whole", "truth")]
                raw = settled.raw if settled is not None else result(bench, ref)[1]
                outputs[ref] = {name: _plain(raw[name]) for name in names if name in raw}
                units[ref] = {one.name: one.unit for one in calculator.outputs}
        return Upstream(self._measured(), outputs, units)

    def _measured(self) -> dict[str, Quantity]:
        return {
            item.ref: item.entry.quantity
            for item in self.casebook.of_kind("measurement")
            if isinstance(item.entry, Measurement) and item.entry.source in self.casebook.entries
        }

    def _settled(self, section: Section, bound: Bound, raw: Raw) -> Settled:
        name = entry_name(bound.name)
        one = self.settled.get(name)
        stated = isinstance(raw, dict) and bound.ref is None
        return Settled(name, section.name, bound, one.shares if one is not None else (),
                       limits_of(raw) if stated else bound.summary)  # fmt: skip

    def _note(self, section: Section, bounds: tuple[Bound, ...], raw: Mapping[str, Raw]) -> None:
        """Keep rows as they are written, single numbers by their name, and what was measured of them."""
        for bound in bounds:
            self.written[bound.name] = bound.rows
            declared = section.parameter(bound.name)
            if not isinstance(declared, Number | Whole) or bound.summary is None:
                continue
            name = entry_name(bound.name)
            self.numbers[name] = Placed(declared.label, bound.unit, drawn(raw[bound.name]), (bound.name,))
            for ref in self.settled[name].grounds if name in self.settled else ():
                if bound.ref != ref and ref in self._measured():
                    self._beside(self.numbers[name], ref)

    def _beside(self, number: Placed, ref: str) -> None:
        quantity, unit = self._measured()[ref], number.unit
        if same_dimension(quantity.unit, unit) and quantity.shape != "whole":
            measured = self._drawing().draw(quantity.to(unit), (ref,))
            self.evidence.append(Evidence(number, measured, ref))
        elif not unit and not quantity.unit:
            self.evidence.append(Evidence(number, self._drawing().draw(quantity, (ref,)), ref))


def _never(**_: Any) -> Mapping[str, Any]:
    raise NotImplementedError("a section computes by itself")


def _says_something(chapter: Chapter) -> bool:
    decided = any(one.how != DEFAULT for one in chapter.parameters)
    return decided or bool(chapter.tables or chapter.problems or chapter.undecided or chapter.refused)


def _has_default(declared: Input) -> bool:
    return declared.optional if isinstance(declared, Rows) else declared.default is not None


def _calculations(given: Given) -> list[str]:
    cells = [cell for row in given.rows or [] for cell in row.values() if isinstance(cell, Taken)]
    return [str(one) for one in (given.calculation, *(cell.calculation for cell in cells)) if one is not None]


def _plain(value: Any) -> Draws:
    return float(value) if np.ndim(value) == 0 else value
