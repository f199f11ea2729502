"""How probable a value is under a stated quantity: the density or, for whole numbers, the chance."""

from __future__ import annotations

import numpy as np

from ledger.quantities.notation import Quantity

STRATA = 4001


def density(quantity: Quantity, at: np.ndarray) -> np.ndarray:
    """Return the quantity's probability density at the values `at`, both in the quantity's unit [1/unit].

    For whole numbers it is the chance of each value. An exact quantity has no density: ValueError.
    """
    numbers = quantity.numbers
    if quantity.shape == "normal":
        mean, std = numbers
        bell: np.ndarray = np.exp(-0.5 * ((at - mean) / std) ** 2) / (std * np.sqrt(2 * np.pi))
        return bell
    if quantity.shape == "rectangular":
        low, high = numbers
        return np.where((at >= low) & (at <= high), 1 / (high - low), 0.0)
    if quantity.shape == "triangular":
        low, mode, high = numbers
        peak = 2 / (high - low)
        rising = peak * (at - low) / (mode - low) if mode > low else np.full_like(at, peak)
        falling = peak * (high - at) / (high - mode) if high > mode else np.full_like(at, peak)
        return np.where((at >= low) & (at <= high), np.where(at < mode, rising, falling), 0.0)
    if quantity.shape == "whole":
        chances = dict(zip(numbers[::2], numbers[1::2], strict=True))
        return np.array([chances.get(float(value), 0.0) for value in np.ravel(at)])
    raise ValueError("an exact quantity has no density")


def agreement(measured: Quantity, predicted: np.ndarray) -> float:
    """Return the density of a measured value under draws of its prediction.

    integral p(x) q(x) dx = E_p[q(x)], with p the prediction, as draws in the measurement's unit, and q the density of
    the measurement.
    """
    return float(np.mean(density(measured, np.atleast_1d(predicted))))


def overlap(measured: Quantity, stated: Quantity) -> float:
    """Return the density of a measured value under a stated prediction in the same unit.

    integral p(x) q(x) dx by the midpoint rule over the measurement's support, or over the stated values when those are
    whole or exact.
    """
    if stated.shape == "exact":
        return agreement(measured, np.array([stated.numbers[0]]))
    if stated.shape == "whole":
        values, chances = np.array(stated.numbers[::2]), np.array(stated.numbers[1::2])
        return float(np.sum(chances * density(measured, values)))
    if measured.shape == "whole":
        values, chances = np.array(measured.numbers[::2]), np.array(measured.numbers[1::2])
        return float(np.sum(chances * density(stated, values)))
    low, high = _span(measured)
    edges = np.linspace(low, high, STRATA)
    middles = (edges[1:] + edges[:-1]) / 2
    return float(np.sum(density(measured, middles) * density(stated, middles)) * (edges[1] - edges[0]))


def _span(quantity: Quantity) -> tuple[float, float]:
    if quantity.shape == "normal":
        mean, std = quantity.numbers
        return mean - 8 * std, mean + 8 * std
    return quantity.numbers[0], quantity.numbers[-1]
