"""What calculators give for the printed cases, through notation, units and ranges as an entry's inputs go."""

from __future__ import annotations

from functools import cache

from ledger.calculators.bench import Bench
from ledger.calculators.drawing import Drawing
from ledger.calculators.printed import Case
from ledger.calculators.register import REGISTER
from ledger.calculators.results import Outcome
from ledger.calculators.sweeping import result
from ledger.entries.models import Calculation
from ledger.entries.parts import Given
from ledger.quantities.units import factor

REF, FEW = "a printed case", 100


@cache
def ours(case: Case) -> tuple[float, ...]:
    """Return what the calculator gives for a case, figure by figure, in the printed units."""
    given = {
        name: Given(rows=value, reason=case.title) if isinstance(value, list) else Given(value=value, reason=case.title)
        for name, value in case.inputs.items()
    }
    entry = Calculation.model_construct(
        kind="calculation", title=case.title, calculator=case.calculator, hypotheses=[], inputs=given, criteria=[]
    )
    found = result(Bench(REGISTER, {REF: entry}, {}, Drawing(FEW)), REF)[0]
    return tuple(_in_unit(found.outcome(one.output), one.unit) for one in case.figures)


def _in_unit(outcome: Outcome | None, unit: str) -> float:
    assert outcome is not None
    assert outcome.summary is not None
    return outcome.summary.estimate * (factor(outcome.unit, unit) if unit else 1.0)
