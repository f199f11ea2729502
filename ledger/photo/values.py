"""What every method of measuring takes and gives: picks on a photograph, and measured values with their draws.

Pixels: x to the right, y down, as pictures are stored. Lengths in mm, angles in degrees, times in seconds.
An uncertainty is a standard uncertainty, an interval covers 95 %. Draws and what is made of them follow JCGM 101:2008.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite

import numpy as np

from ledger.errors import PhotoRefused
from ledger.quantities.draws import generator
from ledger.quantities.notation import NotationError, Quantity
from ledger.quantities.summary import summarise

DRAWS = 10_000
# Nobody picks to a millionth of a pixel, and no picture is a million pixels wide.
FINEST, WIDEST = 1e-6, 1e6
# Two places nearer than this many of their standard uncertainties cannot be told apart.
APART = 3.0


@dataclass(frozen=True)
class Pick:
    """One point marked on a photograph.

    x, y  place [px], x to the right, y down
    u     standard uncertainty of each of the two [px], > 0; a careful pick of a sharp edge has about 1
    """

    x: float
    y: float
    u: float = 1.0


@dataclass(frozen=True)
class Measured:
    """A quantity measured, with its doubt.

    estimate, uncertainty  mean and standard deviation of the draws, in `unit`
    low, high              ends of the interval that covers 95 %
    draws                  what it might be, equally likely each
    parts                  standard uncertainty from each cause alone, such as "picking", "scale", "tilt" or "lens"
    """

    label: str
    unit: str
    estimate: float
    uncertainty: float
    low: float
    high: float
    draws: np.ndarray = field(compare=False, repr=False)
    parts: Mapping[str, float] = field(default_factory=dict)


def measured(label: str, unit: str, draws: np.ndarray, parts: Mapping[str, float] | None = None) -> Measured:
    """Return draws as a measured value. PhotoRefused if one of them is not finite: NaN is never an answer."""
    if not np.isfinite(draws).all():
        raise PhotoRefused(
            f"{label}: given picks or known values that lead to no finite number; expected a finite {label} in every "
            "draw. Look for picks that nearly coincide, or for known values of zero."
        )
    summary = summarise(draws)
    return Measured(
        label, unit, summary.estimate, summary.uncertainty, summary.low, summary.high, draws, dict(parts or {})
    )


def spread(draws: np.ndarray) -> float:
    """Return the standard deviation of draws: one cause's part of the uncertainty, in their unit."""
    return float(np.std(draws, ddof=1)) if draws.size > 1 else 0.0


def refuse(faults: Iterable[str]) -> None:
    """Raise PhotoRefused with all faults at once, if there are any."""
    found = tuple(faults)
    if found:
        raise PhotoRefused("\n".join(found))


def pick_faults(picks: Sequence[Pick], what: str = "pick") -> list[str]:
    """Return what is wrong with picks, one sentence a fault: places that are no finite pixels, doubt not above zero."""
    faults = []
    for number, pick in enumerate(picks, start=1):
        if not all(isfinite(one) and abs(one) <= WIDEST for one in (pick.x, pick.y)):
            faults.append(
                f"{what} {number}: given ({pick.x:g}, {pick.y:g}); expected pixels within ±{WIDEST:g}. Mark it again."
            )
        if not (isfinite(pick.u) and FINEST <= pick.u <= WIDEST):
            faults.append(
                f"{what} {number}: given an uncertainty of {pick.u:g} px; expected one above zero. "
                "Say how far off the pick may be; 1 px is usual for a sharp edge."
            )
    return faults


def known_faults(known: Quantity, what: str, unit: str, above: float | None = None) -> list[str]:
    """Return what is wrong with a known quantity: another dimension than `unit`, or not surely above a value."""
    try:
        held = known.to(unit)
    except NotationError as error:
        return [f"{what}: {error}"]
    surely = held.numbers[0] - 4 * held.std if held.shape == "normal" else held.support[0]
    if above is not None and not surely > above:
        shown = f"{above:g} {unit}".strip()
        return [
            f"{what}: given `{known.text}`; expected surely more than {shown} (a normal one by four standard "
            "uncertainties). State it more narrowly, or check its sign."
        ]
    return []


def draw_picks(picks: Sequence[Pick], count: int, *names: str) -> np.ndarray:
    """Return normal draws of picks [px], shape (count, picks, 2).

    Each pick's draws are seeded by the names and the pick itself, so that two measurements which share a pick
    share its error, and the order of picks changes nothing.
    """
    drawn = np.empty((count, len(picks), 2))
    for place, pick in enumerate(picks):
        random = generator("pick", *names, repr((float(pick.x), float(pick.y), float(pick.u))))
        drawn[:, place, :] = (pick.x, pick.y) + pick.u * random.standard_normal((count, 2))
    return drawn


def places(picks: Sequence[Pick]) -> np.ndarray:
    """Return the places of picks as they were marked [px], shape (picks, 2)."""
    return np.array([(pick.x, pick.y) for pick in picks], dtype=float).reshape(-1, 2)
