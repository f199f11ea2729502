"""The bench that calculations are run on: in order, each once, chosen inputs set as asked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from graphlib import TopologicalSorter
from itertools import product

import numpy as np

from ledger.calculators.binding import GONE, Raw, Upstream, bind
from ledger.calculators.bindings import countable
from ledger.calculators.contract import Calculator, Draws
from ledger.calculators.criteria import Against, asked_of
from ledger.calculators.drawing import Drawing, Root
from ledger.calculators.results import Bound
from ledger.calculators.running import grid, nearby, numbers, run, scale
from ledger.entries.models import Calculation
from ledger.entries.parts import Taken
from ledger.errors import CalculationRefused
from ledger.quantities.notation import Quantity
from ledger.quantities.units import same_dimension

DRAWS = 10_000
POINTS = {1: 41, 2: 13, 3: 7}
CLOSER = 15
Choice = Mapping[str, Mapping[str, float]]


@dataclass(frozen=True)
class Run:
    """A calculation's raw outputs, how its inputs were bound, and their values."""

    raw: Mapping[str, Raw]
    bounds: tuple[Bound, ...] = ()
    inputs: Mapping[str, Raw] = field(default_factory=dict)


@dataclass(frozen=True)
class Bench:
    """What calculations are run on: the calculators, the calculations by ref, the measured quantities by ref.

    drawing  the draws of everything uncertain
    settled  runs that no choice touches, kept so that each is made once
    """

    register: Mapping[str, Calculator]
    calculations: Mapping[str, Calculation]
    measurements: Mapping[str, Quantity]
    drawing: Drawing = field(default_factory=lambda: Drawing(DRAWS))
    settled: dict[str, Run] = field(default_factory=dict)

    def upstream_of(self, ref: str) -> tuple[str, ...]:
        """Return a calculation and all it stands on, those it stands on first."""
        needs = {ref: self._direct(ref)}
        queue = list(needs[ref])
        while queue:
            one = queue.pop()
            if one not in needs:
                needs[one] = self._direct(one)
                queue.extend(needs[one])
        return tuple(TopologicalSorter({one: sorted(needs[one]) for one in sorted(needs)}).static_order())

    def _direct(self, ref: str) -> list[str]:
        if ref not in self.calculations:
            return []
        grounds = self.calculations[ref].grounds()
        return sorted({ground.calculation for ground in grounds if ground.calculation is not None})

    def order(self) -> tuple[str, ...]:
        """Return all calculations, those that others stand on first; names break ties."""
        needs = {ref: self._direct(ref) for ref in sorted(self.calculations)}
        return tuple(ref for ref in TopologicalSorter(needs).static_order() if ref in self.calculations)

    def calculator(self, ref: str) -> Calculator:
        """Return the calculator a calculation uses."""
        name = self.calculations[ref].calculator
        if name not in self.register:
            raise CalculationRefused(f"{ref}: there is no calculator `{name}` (there are {', '.join(self.register)})")
        return self.register[name]

    def chosen(self, refs: tuple[str, ...], around: Choice | None = None, share: float = 1.0) -> Iterator[Choice]:
        """Yield every combination of the chosen inputs of some calculations, evenly spread over their ranges.

        around  a choice to stay near, by a `share` of each range on either side
        """
        named = [(ref, name) for ref in refs if ref in self.calculations for name in self.calculations[ref].chosen]
        if len(named) > max(POINTS):
            places = ", ".join(f"{ref} {name}" for ref, name in named)
            raise CalculationRefused(
                f"{refs[-1]}: {len(named)} chosen inputs at once ({places}); {max(POINTS)} can be swept"
            )
        points = POINTS.get(len(named), 1)
        axes = []
        for ref, name in named:
            values = grid(self.calculator(ref), self.calculations[ref].inputs, points).get(name, [])
            axes.append(values if around is None else nearby(values, around[ref][name], share, min(points, CLOSER)))
        for combination in product(*axes):
            choice: dict[str, dict[str, float]] = {}
            for (ref, name), value in zip(named, combination, strict=True):
                choice.setdefault(ref, {})[name] = value
            yield choice

    def evaluate(self, refs: tuple[str, ...], choice: Choice) -> dict[str, Run]:
        """Run some calculations in order under one choice."""
        runs: dict[str, Run] = {}
        outputs: dict[str, dict[str, Draws]] = {}
        units: dict[str, dict[str, str]] = {}
        touched: set[str] = set()
        for ref in refs:
            if ref not in self.calculations:
                raise CalculationRefused(f"{refs[-1]}: {ref} is not in the ledger")
            calculator = self.calculator(ref)
            if ref in choice or touched.intersection(self._direct(ref)):
                touched.add(ref)
            if ref in self.settled:
                runs[ref] = self.settled[ref]
            else:
                upstream = Upstream(self.measurements, outputs, units)
                given = self.calculations[ref].inputs
                inputs, bounds = bind(ref, calculator, given, upstream, self.drawing, choice.get(ref))
                runs[ref] = Run(run(ref, calculator, inputs), bounds, inputs)
                if ref not in touched:
                    self.settled[ref] = runs[ref]
            outputs[ref] = numbers(calculator, runs[ref].raw)
            units[ref] = {output.name: output.unit for output in calculator.outputs}
        return runs

    def against(self, ref: str, runs: Mapping[str, Run]) -> list[Against]:
        """Return each criterion of a calculation beside its output and its limits, out of runs as `evaluate` gives."""
        calculator, raw = self.calculator(ref), runs[ref].raw
        found = []
        for place, criterion in enumerate(self.calculations[ref].criteria):
            output = asked_of(ref, criterion, calculator, raw)
            limits = {
                side: self._limit(ref, limit, output.unit, (ref, "criterion", str(place), side), runs)
                for side, limit in criterion.limits()
            }
            found.append(Against(criterion, output, raw[criterion.output], limits))
        return found

    def _limit(self, ref: str, limit: Quantity | Taken, unit: str, root: Root, runs: Mapping[str, Run]) -> Draws:
        """Return the draws of a limit in a unit; one with uncertainty is drawn as any quantity is."""
        if isinstance(limit, Quantity):
            return self.drawing.draw(limit.to(unit), root)
        if limit.measurement is not None:
            measured = self.measurements.get(limit.measurement)
            if measured is None:
                raise CalculationRefused(f"{ref}: a limit is taken from {limit.text}, which does not stand: {GONE}")
            if not same_dimension(measured.unit, unit):
                raise CalculationRefused(f"{ref}: a limit in {unit or 'no unit'} is taken from {measured.text}")
            return self.drawing.draw(measured.to(unit), (limit.measurement,))
        other = self.calculator(str(limit.calculation))
        output = next((one for one in countable(other) if one.name == limit.output), None)
        drawn = runs[str(limit.calculation)].raw
        if output is None or output.name not in drawn:
            raise CalculationRefused(f"{ref}: a limit is taken from {limit.text}, which gives no such number")
        if not same_dimension(output.unit, unit):
            raise CalculationRefused(f"{ref}: a limit in {unit or 'no unit'} is taken from {limit.text}")
        return np.asarray(drawn[output.name], dtype=float) * scale(output.unit, unit)
