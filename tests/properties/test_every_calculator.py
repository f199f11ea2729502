"""What holds for every calculator of the register: whole declarations, floats and arrays agree, results can be kept."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from ledger.calculators.bench import Bench
from ledger.calculators.binding import Upstream, bind
from ledger.calculators.contract import Calculator, Number, Rows, Whole
from ledger.calculators.drawing import Drawing
from ledger.calculators.register import CALCULATORS, REGISTER
from ledger.calculators.running import run
from ledger.calculators.sweeping import result
from ledger.casebook.recomputing import RESULT
from ledger.entries.models import Calculation
from ledger.entries.parts import Given
from ledger.quantities.units import check_unit, same_dimension
from tests.examples import EXAMPLES

COUNT = 60
every = pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda calculator: calculator.name)

VECTORISED = [calculator for calculator in CALCULATORS if calculator.vectorised]


def given(calculator: Calculator) -> dict[str, Given]:
    """The example's inputs as an entry would give them."""
    inputs = EXAMPLES[calculator.name]
    return {
        name: Given(rows=value, reason="an example")
        if isinstance(value, list)
        else Given(value=value, reason="an example")
        for name, value in inputs.items()
    }


def at(value: Any, place: int) -> Any:
    """One draw of a raw input, cells of rows included."""
    if isinstance(value, np.ndarray):
        return float(value[place])
    if isinstance(value, dict):
        return {key: at(cell, place) for key, cell in value.items()}
    return [at(row, place) for row in value] if isinstance(value, list) else value


def test_every_calculator_has_an_example() -> None:
    """The examples and the register name the same calculators."""
    assert set(EXAMPLES) == set(REGISTER)


@every
def test_a_declaration_is_whole(calculator: Calculator) -> None:
    """Names are unique, units known, ranges sensible; sources, assumptions and cautions are there."""
    names = [one.name for one in calculator.inputs]
    assert len(set(names)) == len(names)
    outputs = [one.name for one in calculator.outputs]
    assert len(set(outputs)) == len(outputs)
    columns = [column for one in calculator.inputs if isinstance(one, Rows) for column in one.columns]
    for one in (*calculator.inputs, *columns):
        assert one.label
        if isinstance(one, Number):
            assert not one.unit or check_unit(one.unit)
        if isinstance(one, Number | Whole):
            assert one.low < one.high
    for output in calculator.outputs:
        assert output.label
        assert output.form in ("number", "whole", "truth", "text", "rows", "curves")
        assert not output.given or calculator.output(output.given).form == "truth"
        assert output.shown is None or same_dimension(output.unit, output.shown)
        assert (output.form == "curves") == any(output.axes)
    assert calculator.title
    assert calculator.purpose.endswith(".")
    assert calculator.formula
    assert calculator.sources
    assert calculator.assumptions
    assert any("carries people" in caution for caution in calculator.cautions)


@every
def test_defaults_lie_in_their_ranges(calculator: Calculator) -> None:
    """Every default binds: the example leaves out all that has one."""
    raw, bounds = bind("calculations/try", calculator, given(calculator), Upstream({}, {}, {}), Drawing(COUNT))
    assert set(raw) == {one.name for one in calculator.inputs}
    assert {bound.ground for bound in bounds} <= {"value", "rows", "default"}


@pytest.mark.parametrize("calculator", VECTORISED, ids=lambda calculator: calculator.name)
def test_floats_and_arrays_agree(calculator: Calculator) -> None:
    """One call on arrays gives, draw by draw, what calls on floats give; the others take no arrays."""
    raw, _ = bind("calculations/try", calculator, given(calculator), Upstream({}, {}, {}), Drawing(COUNT))
    together = run("calculations/try", calculator, raw)
    # A simulation takes one step length for all its draws, so it agrees as closely as its step is fine.
    tolerance = 1e-5 if "step_error" in together else 1e-9
    numeric = [one.name for one in calculator.outputs if one.form in ("number", "whole", "truth")]
    for place in (0, 7, COUNT - 1):
        alone = calculator.compute(**{name: at(value, place) for name, value in raw.items()})
        for name in numeric:
            assert (name in alone) == (name in together)
            if name in alone and name != "step_error":
                spread = np.broadcast_to(np.asarray(together[name], dtype=float), (COUNT,))
                assert float(alone[name]) == pytest.approx(spread[place], rel=tolerance, abs=1e-12), name


@every
def test_results_survive_being_kept(calculator: Calculator) -> None:
    """A result written as JSON for the store reads back equal, tables and curves included."""
    entry = Calculation.model_construct(
        kind="calculation",
        title="try",
        calculator=calculator.name,
        hypotheses=[],
        inputs=given(calculator),
        criteria=[],
    )
    found, _ = result(Bench(REGISTER, {"calculations/try": entry}, {}, Drawing(500)), "calculations/try")
    assert RESULT.validate_json(RESULT.dump_json(found)) == found
    assert {one.name for one in found.outcomes} >= {
        one.name for one in calculator.outputs if not one.optional and not one.given
    }
