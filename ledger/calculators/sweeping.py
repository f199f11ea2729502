"""Results of calculations, chosen inputs swept: what they give, and whether each hypothesis can be built at all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from ledger.calculators.bench import Bench, Choice
from ledger.calculators.binding import summed
from ledger.calculators.contract import Calculator, Draws, Number
from ledger.calculators.criteria import kept_together
from ledger.calculators.results import Result
from ledger.calculators.running import numbers, outcomes
from ledger.calculators.sensitivity import shares

REACHES = (0.05, 0.005)


def result(bench: Bench, ref: str, explained: bool = True) -> tuple[Result, dict[str, Draws]]:
    """Return a calculation's result and its number outputs as draws, at the choice that keeps its criteria most often.

    Among choices that keep them equally often the middle one is taken; without criteria, the middle of the range.

    explained  with the shares that each doubt has in it, which cost more than all the rest
    """
    refs = bench.upstream_of(ref)
    trials = list(_trials(bench, refs, (ref,) if bench.calculations[ref].criteria else ()))
    most = max(chance for _, chance, _ in trials)
    ties = [choice for choice, chance, _ in trials if chance >= most - 1e-12]
    best = ties[len(ties) // 2]
    runs = bench.evaluate(refs, best)
    done = runs[ref]
    calculator = bench.calculator(ref)
    chosen = {
        one: {name: _shown(bench.calculator(one), name, value) for name, value in values.items()}
        for one, values in best.items()
    }
    shown = Result(
        ref,
        calculator.name,
        summed(calculator, done.inputs, done.bounds),
        outcomes(calculator, done.raw),
        tuple(one.kept(bench.drawing.count) for one in bench.against(ref, runs)),
        chosen.pop(ref, {}),
        shares(bench, ref, best, _decisive(bench, ref, done.raw)) if explained else (),
        chosen,
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


def feasibility(bench: Bench, refs: tuple[str, ...]) -> np.ndarray:
    """Return in which draws all criteria of some calculations hold, (draws,): their share is the chance that they do.

    Inputs that are chosen are swept, and some choice is enough: P(exists choice: every criterion holds), over the
    shared draws, for the maker knew the true values when choosing.
    """
    needed = tuple(dict.fromkeys(one for ref in sorted(refs) for one in bench.upstream_of(ref)))
    possible = np.zeros(bench.drawing.count, dtype=bool)
    for _, _, held in _trials(bench, needed, refs):
        possible |= held
        if possible.all():
            break
    return possible


def _trials(bench: Bench, refs: tuple[str, ...], tested: tuple[str, ...]) -> Iterator[tuple[Choice, float, np.ndarray]]:
    """Yield choices, how often all criteria of the tested calculations hold under each, and in which draws.

    First the whole ranges, evenly; then closer and closer about the choice that keeps the criteria most often or, where
    none keeps them, misses them least, so that a narrow window between two points is found.
    """
    best: tuple[tuple[float, float], Choice] | None = None
    around: Choice | None = None
    for share in (1.0, *REACHES):
        for choice in bench.chosen(refs, around, share):
            runs = bench.evaluate(refs, choice)
            criteria = [one for ref in tested for one in bench.against(ref, runs)]
            held = kept_together(criteria, bench.drawing.count)
            chance = float(held.mean())
            yield choice, chance, held
            rank = (chance, -sum(one.missed() for one in criteria))
            if best is None or rank > best[0]:
                best = (rank, choice)
        if best is None or not best[1] or not tested or best[0][0] == 1.0:
            return
        around = best[1]
