"""Draws of quantities, seeded by names.

Source: JCGM 101:2008, 6.4: rectangular 6.4.2, normal 6.4.7; triangles, which need not be symmetric, by inversion of the
distribution function.
"""

from __future__ import annotations

import hashlib

import numpy as np


def generator(*names: str) -> np.random.Generator:
    """Return a generator seeded by the SHA-256 digest of some names: the same names give the same draws.

    The names' borders count, so ("ab", "c") and ("a", "bc") differ. Draws stay the same as long as numpy's methods do.
    """
    if not names:
        raise ValueError("draws need a name to be seeded by")
    digest = hashlib.sha256()
    for name in names:
        encoded = name.encode()
        digest.update(b"%d:" % len(encoded) + encoded)
    return np.random.Generator(np.random.PCG64(int.from_bytes(digest.digest(), "big")))


def draw(shape: str, numbers: tuple[float, ...], count: int, random: np.random.Generator) -> np.ndarray:
    """Return draws of one shape, its numbers as in Quantity. No draw lies outside the support."""
    if shape == "exact":
        return np.full(count, numbers[0])
    if shape == "normal":
        return numbers[0] + numbers[1] * random.standard_normal(count)
    if shape == "rectangular":
        low, high = numbers
        return np.clip(low + (high - low) * random.random(count), low, high)
    if shape == "triangular":
        return _triangular(numbers, random.random(count))
    values, chances = np.array(numbers[::2]), np.array(numbers[1::2])
    steps = np.cumsum(chances)
    return values[np.searchsorted(steps[:-1] / steps[-1], random.random(count), side="right")]


def _triangular(numbers: tuple[float, ...], share: np.ndarray) -> np.ndarray:
    """Return the quantiles of a triangle: a + √(r (c-a)(b-a)) up to the mode b, c - √((1-r)(c-a)(c-b)) beyond it."""
    low, mode, high = numbers
    width, rise, fall = high - low, mode - low, high - mode
    rising = low + np.sqrt(share * width * rise)
    falling = high - np.sqrt((1 - share) * width * fall)
    return np.clip(np.where(share * width < rise, rising, falling), low, high)
