"""The density of a quantity that reached a calculator as draws and limits: what a measurement says of any value."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from ledger.quantities.density import density as of_quantity
from ledger.quantities.notation import Z95
from ledger.quantities.quantity import Quantity, Shape

WIDE = 6.0
BINS = 60


def is_exact(given: Mapping[str, Any]) -> bool:
    """Return whether a quantity was given without doubt."""
    return np.ndim(given["draws"]) == 0


def density_of(given: Mapping[str, Any]) -> tuple[float, float, Callable[[list[float]], np.ndarray]]:
    """Return low and high ends of what comes into question, and the density as a function of a list of values.

    given  `draws`, `low`, `high` and `nominal` of an input declared with limits

    A range (std 0.289 of its width), a triangle (0.204 to 0.236) and a normal quantity are recognised by their limits
    and spread and taken exactly; a normal one is followed to 6 standard deviations. Draws of any other shape, as from a
    calculation, are taken as a histogram of 60 bins.
    """
    draws = np.asarray(given["draws"], dtype=float)
    low, high = float(given["low"]), float(given["high"])
    width, spread = high - low, float(np.std(draws))
    if width > 0 and draws.min() >= low and draws.max() <= high:
        if 0.265 < spread / width < 0.31:
            return low, high, _exactly("rectangular", (low, high))
        if 0.19 < spread / width < 0.25:
            return low, high, _exactly("triangular", (low, float(given["nominal"]), high))
    middle, std = (low + high) / 2.0, width / (2.0 * Z95)
    normal = std > 0 and abs(spread / std - 1.0) < 0.05 and abs(float(np.mean(draws)) - middle) < 0.1 * std
    if normal:
        return middle - WIDE * std, middle + WIDE * std, _exactly("normal", (middle, std))
    heights, edges = np.histogram(draws, BINS, density=True)

    def drawn(at: list[float]) -> np.ndarray:
        places = np.searchsorted(edges, np.asarray(at, dtype=float), side="right") - 1
        inside = (places >= 0) & (places < BINS)
        return np.where(inside, heights[np.clip(places, 0, BINS - 1)], 0.0)

    return float(edges[0]), float(edges[-1]), drawn


def _exactly(shape: Shape, numbers: tuple[float, ...]) -> Callable[[list[float]], np.ndarray]:
    quantity = Quantity("", shape, "", numbers)

    def exact(at: list[float]) -> np.ndarray:
        return of_quantity(quantity, np.asarray(at, dtype=float))

    return exact


def near(value: float, share: float) -> tuple[float, float, Callable[[list[float]], np.ndarray]]:
    """Return as `density_of` for a value known, or wanted, to a share of itself, which is one standard deviation."""
    std = share * abs(value)
    return value - WIDE * std, value + WIDE * std, _exactly("normal", (value, std))


def counted(cell: float | np.ndarray) -> dict[int, float] | None:
    """Return the chance of every tooth count that was stated, or None where 0 says that nothing was counted."""
    if np.ndim(cell) == 0:
        return {int(cell): 1.0} if cell > 0 else None
    values, counts = np.unique(cell, return_counts=True)
    return {int(value): float(count) / np.size(cell) for value, count in zip(values, counts, strict=True)}
