"""Which quantity is worth measuring again: what half its doubt would buy a question, through its rivals' criteria.

Only criteria are followed. A prediction held against a measurement is another matter: there a finer input moves a
density, not a chance, and what it is worth is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledger.calculators.drawing import Drawing, Root
from ledger.calculators.roots import Stated, roots
from ledger.casebook.items import Held
from ledger.casebook.lookouts import may_lead, open_questions
from ledger.casebook.values import Casebook
from ledger.quantities.quantity import Quantity
from ledger.weighing.measuring import Again, measured_again

LEAST = 0.0005  # bits, which would be shown as nothing


@dataclass(frozen=True)
class Repeat:
    """A quantity with doubt, and what another measurement that halves this doubt would tell of one question.

    root      the name of its draws
    ref       the measurement, or the calculation that states it
    label     what that calculation calls it; empty for a measurement
    rivals    those of the question whose criteria stand on it
    """

    root: Root
    ref: str
    label: str
    quantity: Quantity
    question: str
    rivals: tuple[str, ...]
    again: Again


def repeats(casebook: Casebook) -> tuple[Repeat, ...]:
    """Return what is worth measuring again, the greatest expected gain first.

    A quantity that several questions stand on is there once for each; where these are not linked, what it tells of all
    of them is their sum at least (chain rule). Left out is what cannot be told from nothing over the draws there are,
    and every question that is resolved or not weighed.
    """
    ground = casebook.ground
    if ground is None:
        return ()
    drawing = Drawing(ground.bench.drawing.count)
    found: list[Repeat] = []
    for question, weighing in open_questions(casebook).items():
        case = casebook.cases[question]
        held = {one.rival: ground.holds[one.rival] for one in case.feasibilities if one.rival in ground.holds}
        doubt = {one.rival: one.doubt for one in case.feasibilities}
        confidences = {one.rival: one.confidence for one in weighing.standings}
        for stated, rivals in _touched(casebook, held):
            again = measured_again(
                np.asarray(drawing.draw(stated.quantity, stated.root), dtype=float),
                {rival: held[rival].draws for rival in rivals},
                doubt,
                confidences,
                may_lead=may_lead(weighing),
            )
            if again.gain > max(LEAST, again.correction):
                ref = stated.calculation or stated.root[0]
                found.append(Repeat(stated.root, ref, stated.label, stated.quantity, question, rivals, again))
    return tuple(sorted(found, key=lambda one: (-one.again.gain, one.root, one.question)))


def _touched(casebook: Casebook, held: dict[str, Held]) -> list[tuple[Stated, tuple[str, ...]]]:
    """Return every root that criteria stand on, with the rivals whose criteria they are."""
    assert casebook.ground is not None
    stated: dict[Root, Stated] = {}
    rivals: dict[Root, list[str]] = {}
    for rival, one in sorted(held.items()):
        for root, found in roots(casebook.ground.bench, one.calculations).items():
            stated[root] = found
            rivals.setdefault(root, []).append(rival)
    return [(stated[root], tuple(rivals[root])) for root in sorted(stated)]
