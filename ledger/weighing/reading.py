"""What reading a quantity would show under each rival that predicts it, as the outcomes of a look."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ledger.quantities.density import density
from ledger.quantities.quantity import Quantity
from ledger.weighing.likelihood import Array, neutral
from ledger.weighing.values import NONE

POINTS = 240  # edges about each prediction
REACH = 6.0  # standard deviations of a normal prediction that are looked at
NARROW = 1e-3  # of the whole span: an exact prediction among uncertain ones is read no finer


def told_by_reading(
    predicted: Mapping[str, Quantity], doubt: Mapping[str, float], prior: Mapping[str, float]
) -> dict[str, dict[str, float]]:
    """Return the chance of each reading under each named rival, by reading and rival, as `worth` takes it.

    A reading is a value where all predictions are exact or whole, else a small cell of values; telling cells apart and
    no more loses next to nothing, and never adds (data processing). Under a rival it has the chance
    (1 - d) L + d c, with c the prior-weighted mean over the rivals that predict; one that predicts nothing takes c.

    predicted  two or more quantities in one unit, by rival; the reading has no other doubt
    doubt      chance that the model behind a prediction does not apply, d; none where left out
    prior      π of all rivals
    """
    rivals = [rival for rival in prior if rival != NONE]
    names = [rival for rival in rivals if rival in predicted]
    quantities = [predicted[rival] for rival in names]
    singly = all(one.shape in ("exact", "whole") for one in quantities)
    values, table = _singly(quantities) if singly else _in_cells(quantities)
    mean = neutral(np.array([[prior[rival] for rival in names]]), table[None])[0]
    doubts = np.array([doubt.get(rival, 0.0) for rival in names])
    softened = dict(zip(names, ((1 - doubts) * table + doubts * mean[:, None]).T, strict=True))
    return {
        f"{place}: {value:.9g}": {rival: float(softened.get(rival, mean)[place]) for rival in rivals}
        for place, value in enumerate(values.tolist())
    }


def _singly(quantities: list[Quantity]) -> tuple[Array, Array]:
    """Return every value that some rival predicts, and its chance under each, (values, rivals)."""
    chances = [one.chances or {one.numbers[0]: 1.0} for one in quantities]
    values = sorted({value for one in chances for value in one})
    return np.array(values), np.array([[one.get(value, 0.0) for one in chances] for value in values])


def _in_cells(quantities: list[Quantity]) -> tuple[Array, Array]:
    """Return the middles of cells that all predictions together reach over, and the chance of each cell under each."""
    span = np.ptp([end for one in quantities for end in _ends(one)])
    smooth = [_smooth(one, NARROW * float(span)) for one in quantities]
    edges = np.unique(np.concatenate([np.linspace(*_ends(one), POINTS) for one in smooth]))
    middles = (edges[1:] + edges[:-1]) / 2
    table = np.stack([density(one, middles) * np.diff(edges) for one in smooth], axis=1)
    shares: Array = table / table.sum(axis=0)
    return middles, shares


def _smooth(one: Quantity, least: float) -> Quantity:
    """Return a prediction that has a density; a value or whole numbers as a normal one of their mean and deviation."""
    if one.shape not in ("exact", "whole"):
        return one
    return Quantity(one.text, "normal", one.unit, (one.mean, max(one.std, least)))


def _ends(one: Quantity) -> tuple[float, float]:
    if one.shape != "normal":
        return one.support
    return one.mean - REACH * one.std, one.mean + REACH * one.std
