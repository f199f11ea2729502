"""Inputs of the calculators of capacities, by name, with everything that may be left out at its default."""

from __future__ import annotations

from typing import Any

from ledger.calculators.contract import Calculator, Number, Whole
from ledger.quantities.notation import parse


def plain(calculator: Calculator, **given: Any) -> dict[str, Any]:
    """Inputs as `compute` takes them: what is given, and the means of the defaults of the rest."""
    inputs: dict[str, Any] = {}
    for one in calculator.inputs:
        if one.name in given:
            inputs[one.name] = given[one.name]
        elif isinstance(one, Number | Whole):
            assert one.default is not None, f"{one.name} has no default"
            inputs[one.name] = parse(one.default).to(one.unit if isinstance(one, Number) else "").mean
        else:
            inputs[one.name] = one.default  # type: ignore[union-attr]
    assert set(given) <= set(inputs)
    return inputs


def computed(calculator: Calculator, **given: Any) -> dict[str, Any]:
    """Outputs for what is given and defaults for the rest."""
    return dict(calculator.compute(**plain(calculator, **given)))
