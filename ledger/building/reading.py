"""Raw values of parameters as sections take them: the one number that is built, and the draws of what it may be."""

from __future__ import annotations

import re
from typing import Any

import numpy as np

from ledger.calculators.contract import Draws


def nominal(value: Any, what: str) -> float:
    """Return the one number of a value: the nominal of one with limits, else the number itself.

    what  what it is, for the error

    ValueError where it is in doubt and no nominal is known: a shape is drawn of one number.
    """
    if isinstance(value, dict):
        return float(value["nominal"])
    if np.ndim(value) == 0:
        return float(value)
    low, high = float(np.min(value)), float(np.max(value))
    if low == high:
        return low
    raise ValueError(f"{what} is anything from {low:g} to {high:g}; a part is made to one number. Decide which.")


def drawn(value: Any) -> Draws:
    """Return the draws of a value, or its number where it is exact."""
    found: Draws = value["draws"] if isinstance(value, dict) else value
    return found


def spread_about(value: Any) -> Draws:
    """Return the draws of a value with limits less its nominal; 0 where it is exact."""
    found: Draws = value["draws"] - value["nominal"]
    return found


def middle_of(value: Any) -> float:
    """Return the middle between the limits of a value, which is what one aims at; its number where it has none."""
    return (value["low"] + value["high"]) / 2.0 if isinstance(value, dict) else nominal(value, "It")


def least_of(value: Any) -> float:
    """Return the lower limit of a value, the least of its draws where it has none."""
    return float(value["low"]) if isinstance(value, dict) else float(np.min(value))


def greatest_of(value: Any) -> float:
    """Return the upper limit of a value, the greatest of its draws where it has none."""
    return float(value["high"]) if isinstance(value, dict) else float(np.max(value))


def limited(nominal: float, low: float, high: float) -> dict[str, Any]:
    """Return a size with limits, given as deviations, as parameters with limits are given; it is drawn as nominal."""
    return {"draws": nominal, "nominal": nominal, "low": nominal + low, "high": nominal + high}


def slug(text: str) -> str:
    """Return words as a name of small letters, digits and hyphens, as file names and addresses have it."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "part"


def round_stock(diameter: float, length: float) -> str:
    """Return round stock for a part: a millimetre larger either way at the least, in whole millimetres."""
    return f"round, ⌀ {np.ceil(diameter + 1.0):.0f} × {np.ceil(length + 1.0):.0f} mm"


def flat_stock(length: float, width: float, thickness: float) -> str:
    """Return flat stock for a part: a millimetre larger in length and width at the least, its own thickness."""
    return f"flat, {np.ceil(length + 1.0):.0f} × {np.ceil(width + 1.0):.0f} × {thickness:.4g} mm"
