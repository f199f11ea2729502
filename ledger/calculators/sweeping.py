"""Results of calculations, chosen inputs swept: what they give, and whether each hypothesis can be built at all."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ledger.calculators.bench import Bench
from ledger.calculators.contract import Calculator, Number
from ledger.calculators.drawing import Draws
from ledger.calculators.results import Result
from ledger.calculators.running import kept, numbers, outcomes
from ledger.calculators.sensitivity import shares


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
        shares(bench, ref, best, _decisive(bench, ref, done.raw)),
    )
    return shown, numbers(calculator, done.raw)


def _decisive(bench: Bench, ref: str, raw: Mapping[str, object]) -> tuple[str, ...]:
    """Return the outputs whose doubt is worth explaining: with a limit or a measurement, or the first that has any."""
    entry, calculator = bench.calculations[ref], bench.calculator(ref)
    named = [criterion.output for criterion in entry.criteria]
    if entry.observed is not None:
        named.append(entry.observed.output)
    given = [output.name for output in calculator.outputs if output.form in ("number", "whole") and output.name in raw]
    doubtful = [name for name in given if np.ptp(np.asarray(raw[name], dtype=float)) > 0]
    return tuple(name for name in dict.fromkeys(named) if name in given) or tuple(doubtful[:1])


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
    possible = np.zeros(bench.drawing.count, dtype=bool)
    for choice in bench.chosen(needed):
        runs = bench.evaluate(needed, choice)
        held = [one for ref in refs for one in bench.held(ref, runs[ref].raw)]
        possible |= np.logical_and.reduce(held) if held else True
        if possible.all():
            break
    return float(possible.mean())
