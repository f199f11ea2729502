"""The module of a wheel, from its tip diameter and its number of teeth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ledger.mechanics.standard_modules import SERIES_1, SERIES_2, SMALL
from ledger.photo.tooth_marks import Counted
from ledger.photo.values import DRAWS, Measured, known_faults, measured, refuse, spread
from ledger.quantities.draws import generator
from ledger.quantities.notation import Quantity, parse

# Stub teeth have 0.8, usual ones 1, tall ones up to 1.25 modules of addendum. Common practice, no source.
ADDENDUM = parse("0.8..1..1.25")
# Pinions get more, their wheels less; tip shortening is in it. Common practice, no source.
SHIFT = parse("-0.5..0.1..0.6")
# How often a wheel's module is of series I, of series II, and of neither (inch pitches, a distance of shafts to be
# kept). Ours, to be changed where more is known.
SERIES = (0.65, 0.25, 0.1)
LEAST, MOST = 0.1, 50.0


@dataclass(frozen=True)
class ModuleFound:
    """A module with its doubt.

    module     as it follows from diameter and count alone [mm]
    chances    by standard module [mm] (ISO 54 series I and II, below 1 mm DIN 780), those below 0.001 left out
    neither    chance that it is no standard one
    likeliest  the most probable standard module [mm]
    """

    module: Measured
    chances: Mapping[float, float]
    neither: float
    likeliest: float


def module_of(
    tip: Measured | Quantity,
    teeth: Counted | Quantity,
    addendum: Quantity = ADDENDUM,
    shift: Quantity = SHIFT,
    series: tuple[float, float, float] = SERIES,
    label: str = "module",
) -> ModuleFound:
    """Return the module of a spur wheel: m = d_a / (z + 2 (h_a* + x)), and how probable each standard one is.

    P(m) ∝ prior(m) · p(d_a | m), where p(d_a | m) = (1/m) Σ (1/s) K(ln m - ln(d/s)) over draws of d_a and
    s = z + 2 (h_a* + x), K a normal kernel. All modules of a series are alike beforehand; those of neither are even in
    ln m from 0.1 to 50 mm. Of a helical wheel it is the transverse module, which need not be standard.

    tip       tip diameter d_a [mm], measured or known
    teeth     number of teeth z, counted or known
    addendum  h_a* [-], addendum over module
    shift     x [-], profile shift over module, tip shortening taken off
    series    chances beforehand of series I, series II, and neither

    PhotoRefused for a tip diameter or tooth count that may not be above zero, and a module outside 0.1 to 50 mm.
    Source: ISO 21771-1:2024 (tip diameter); ISO 54:1996, Table 1.
    """
    faults = _faults(tip, teeth, addendum, shift, series)
    refuse(faults)
    random = generator("module", label, str(tip), str(teeth), addendum.text, shift.text)
    sizes = random.choice(tip.draws, DRAWS) if isinstance(tip, Measured) else tip.to("mm").draw(DRAWS, random)
    count = (teeth.quantity if isinstance(teeth, Counted) else teeth).draw(DRAWS, random)
    over = 2 * (addendum.draw(DRAWS, random) + shift.draw(DRAWS, random))
    divisor = count + over
    found = sizes / divisor
    if not (np.median(found) > LEAST and np.median(found) < MOST and (found > 0).all()):
        refuse([f"{label}: given a diameter and a count that make {np.median(found):.3g} mm; expected {LEAST:g} to "
                f"{MOST:g} mm. Check the unit of the diameter."])  # fmt: skip
    logs, weight = np.log(found), 1 / divisor
    width = max(1.06 * min(float(np.std(logs)), float(np.subtract(*np.quantile(logs, (0.75, 0.25)))) / 1.34) *
                DRAWS**-0.2, 1e-4)  # fmt: skip
    lists = (SMALL + SERIES_1, SERIES_2)
    shares = {
        m: series[place] / len(one) * _density(m, logs, weight, width) for place, one in enumerate(lists) for m in one
    }
    neither = series[2] / np.log(MOST / LEAST) * float(np.mean(weight / found))
    whole = sum(shares.values()) + neither
    if not whole > 0:
        refuse(
            [
                f"{label}: given a diameter and a count that make {np.median(found):.4g} mm, which is no standard "
                "module; expected one. Give the chance of neither series above zero."
            ]
        )
    chances = {m: one / whole for m, one in sorted(shares.items()) if one / whole >= 0.001}
    parts = {
        "diameter": spread(sizes / divisor.mean()),
        "count": spread(sizes.mean() / (count + over.mean())),
        "addendum and shift": spread(sizes.mean() / (count.mean() + over)),
    }
    likeliest = max(shares, key=lambda m: shares[m])
    return ModuleFound(measured(label, "mm", found, parts), chances, neither / whole, likeliest)


def _faults(
    tip: Measured | Quantity, teeth: Counted | Quantity, addendum: Quantity, shift: Quantity, series: tuple[float, ...]
) -> list[str]:
    faults = known_faults(addendum, "addendum", "", 0.0) + known_faults(shift, "profile shift", "", -2.0)
    if isinstance(tip, Quantity):
        faults += known_faults(tip, "tip diameter", "mm", 0.0)
    elif tip.unit != "mm" or not (tip.draws > 0).all():
        faults.append(f"tip diameter: given {tip.label} in {tip.unit or 'no unit'}; expected millimetres above zero.")
    if isinstance(teeth, Quantity):
        faults += known_faults(teeth, "teeth", "", 3.0)
    if len(series) != 3 or min(series) < 0 or abs(sum(series) - 1) > 1e-6:
        faults.append(f"series: given {series}; expected three chances that sum to one. {SERIES} is usual.")
    return faults


def _density(module: float, logs: np.ndarray, weight: np.ndarray, width: float) -> float:
    off = (np.log(module) - logs) / width
    return float(np.mean(weight * np.exp(-0.5 * off * off)) / (width * np.sqrt(2 * np.pi)) / module)
