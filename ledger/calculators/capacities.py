"""What calculators of capacities share: the table of ways to give way, the weakest in words, curves, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from ledger.calculators.contract import Draws, Number
from ledger.mechanics.weakest import weakest
from ledger.quantities import percents

CAUTIONS = (
    "What gives way under torque throws pieces and lets go of what it held: guard what rotates, also in models.",
    "Keep fingers out of dogs, splines and wedging parts that can be turned: they close without warning.",
    "For understanding and for models only; not for rating a part that carries people.",
)
STATIC = (
    "Permitted stresses are stated, not computed. Whether they are meant for one load or for millions is for their "
    "source to say; state their scatter as a range, for it is most of the doubt.",
    "The capacity is a torque that acts slowly. A blow on engagement is added in torque-headroom, as an application "
    "factor or as the torque of what is slowed.",
)


def number(permitted: Mapping[str, tuple[str, str, float, float]], name: str, label: str, **more: Any) -> Number:
    """Return the declaration of a number whose unit and range a mechanics module permits."""
    _, unit, least, greatest = permitted[name]
    return Number(name, label, unit, **{"low": least, "high": greatest, **more})


def judged(ways: Mapping[str, Draws]) -> dict[str, Any]:
    """Return `capacity`, the rows `ways` and the text `weakest` from the capacity of each way to give way, by name."""
    least, shares = weakest(list(ways.values()))
    chances = {name: float(np.mean(share)) for name, share in zip(ways, shares, strict=True)}
    rows = [
        {"way": name, "capacity [N·m]": value, "chance that it comes first [%]": 100 * chances[name]}
        for name, value in ways.items()
    ]
    most = round(max(chances.values()), 9)
    first = [name for name, chance in chances.items() if chance >= most - 1e-9]
    if len(first) > 1:
        said = f"{' and '.join(first)} alike, each first {percents.draws(most)}."
    else:
        said = f"{first[0]}, first {percents.draws(most)}."
    return {"capacity": least, "ways": rows, "weakest": said[0].upper() + said[1:]}


def curves(x: Iterable[float], **series: np.ndarray) -> list[dict[str, Any]]:
    """Return rows of curves over common x, a series each, underscores in their names for blanks."""
    points = [float(one) for one in x]
    return [
        {"series": name.replace("_", " "), "x": at, "y": float(value)}
        for name, values in series.items()
        for at, value in zip(points, np.broadcast_to(values, len(points)), strict=True)
    ]


def mean(value: Draws) -> float:
    """Return the mean of draws."""
    return float(np.mean(value))


def stated(value: Draws, label: str) -> bool:
    """Return whether an input that is 0 when left out was stated; ValueError if only some draws are above 0."""
    above = np.greater(value, 0)
    if np.any(above) and not np.all(above):
        raise ValueError(f"{label}: above 0 in all draws, or left out.")
    return bool(np.all(above))
