"""Calculations run in order, chosen inputs swept: what they give, and whether each hypothesis can be built at all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from graphlib import TopologicalSorter
from itertools import product

import numpy as np

from ledger.calculators.binding import Draws, Raw, Upstream, bind
from ledger.calculators.contract import Calculator, Number
from ledger.calculators.results import Bound, Result
from ledger.calculators.running import grid, keeps, kept, numbers, outcomes, run
from ledger.entries.models import Calculation
from ledger.errors import CalculationRefused
from ledger.quantities.notation import Quantity

DRAWS = 10_000
POINTS = {1: 41, 2: 13, 3: 7}
Choice = Mapping[str, Mapping[str, float]]


@dataclass(frozen=True)
class Run:
    """A calculation's raw outputs and how its inputs were bound."""

    raw: Mapping[str, Raw]
    bounds: tuple[Bound, ...] = ()


@dataclass(frozen=True)
class Bench:
    """What calculations are run on: the calculators, the calculations by ref, the measured quantities by ref.

    settled  runs that no choice touches, kept so that each is made once
    """

    register: Mapping[str, Calculator]
    calculations: Mapping[str, Calculation]
    measurements: Mapping[str, Quantity]
    count: int = DRAWS
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

    def chosen(self, refs: tuple[str, ...]) -> Iterator[Choice]:
        """Yield every combination of the chosen inputs of some calculations, evenly spread over their ranges."""
        named = [
            (ref, name)
            for ref in refs
            if ref in self.calculations
            for name, given in sorted(self.calculations[ref].inputs.items())
            if given.chosen is not None
        ]
        if len(named) > max(POINTS):
            places = ", ".join(f"{ref} {name}" for ref, name in named)
            raise CalculationRefused(
                f"{refs[-1]}: {len(named)} chosen inputs at once ({places}); {max(POINTS)} can be swept"
            )
        points = POINTS.get(len(named), 1)
        axes = [grid(self.calculator(ref), self.calculations[ref].inputs, points).get(name, []) for ref, name in named]
        for values in product(*axes):
            choice: dict[str, dict[str, float]] = {}
            for (ref, name), value in zip(named, values, strict=True):
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
                inputs = self.calculations[ref].inputs
                raw, bounds = bind(ref, calculator, inputs, upstream, self.count, choice.get(ref))
                runs[ref] = Run(run(ref, calculator, raw), bounds)
                if ref not in touched:
                    self.settled[ref] = runs[ref]
            outputs[ref] = numbers(calculator, runs[ref].raw)
            units[ref] = {output.name: output.unit for output in calculator.outputs}
        return runs

    def held(self, ref: str, raw: Mapping[str, Raw]) -> list[np.ndarray]:
        """Return for each criterion of a calculation whether it holds, draw by draw."""
        calculator = self.calculator(ref)
        criteria = self.calculations[ref].criteria
        return [keeps(ref, place, one, calculator, raw, self.count) for place, one in enumerate(criteria)]


def result(bench: Bench, ref: str) -> tuple[Result, dict[str, Draws]]:
    """Return a calculation's result and its number outputs as draws, at the choice that keeps its criteria most often.

    Among choices that keep them equally often the middle one is taken; without criteria, the middle of the range.
    """
    refs = bench.upstream_of(ref)
    trials = list(bench.chosen(refs))
    criteria = bench.calculations[ref].criteria
    best = trials[len(trials) // 2]
    if len(trials) > 1 and criteria:
        chances = []
        for choice in trials:
            runs = bench.evaluate(refs, choice)
            chances.append(float(np.logical_and.reduce(bench.held(ref, runs[ref].raw)).mean()))
        ties = [place for place, chance in enumerate(chances) if chance >= max(chances) - 1e-12]
        best = trials[ties[len(ties) // 2]]
    done = bench.evaluate(refs, best)[ref]
    calculator = bench.calculator(ref)
    chosen = {name: _shown(calculator, name, value) for name, value in best.get(ref, {}).items()}
    shown = Result(
        ref,
        calculator.name,
        done.bounds,
        outcomes(calculator, done.raw),
        kept(criteria, bench.held(ref, done.raw)),
        chosen,
    )
    return shown, numbers(calculator, done.raw)


def _shown(calculator: Calculator, name: str, value: float) -> str:
    declared = calculator.input(name)
    unit = declared.unit if isinstance(declared, Number) else ""
    return f"{value:.4g} {unit}".strip()


def feasibility(bench: Bench, refs: tuple[str, ...]) -> float:
    """Return the chance that all criteria of some calculations hold in the same draw.

    Inputs that are chosen are swept, and some choice is enough: P(exists choice: every criterion holds), over the
    shared draws, for the maker knew the true values when choosing.
    """
    needed = tuple(dict.fromkeys(one for ref in sorted(refs) for one in bench.upstream_of(ref)))
    possible = np.zeros(bench.count, dtype=bool)
    for choice in bench.chosen(needed):
        runs = bench.evaluate(needed, choice)
        held = [one for ref in refs for one in bench.held(ref, runs[ref].raw)]
        possible |= np.logical_and.reduce(held) if held else True
        if possible.all():
            break
    return float(possible.mean())
