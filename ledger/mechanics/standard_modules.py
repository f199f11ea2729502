"""Standard modules of gears, as data, and the nearest of them. Modules in mm."""

from __future__ import annotations

from itertools import pairwise

from ledger.mechanics.maths import every, where

# ISO 54:1996, Table 1 (DIN 780-1, series 1 and 2). 6.5 stands in series II in brackets, to be avoided.
SERIES_1 = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0)
SERIES_2 = (
    1.125, 1.375, 1.75, 2.25, 2.75, 3.5, 4.5, 5.5, 6.5, 7.0, 9.0, 11.0, 14.0, 18.0, 22.0, 28.0, 36.0, 45.0,
)  # fmt: skip
# Below 1 mm, where ISO 54 does not reach: DIN 780-1, series 1. From memory.
SMALL = (0.1, 0.12, 0.16, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)

FIRST, BOTH = "series I", "series I and II"
CHOICES = {FIRST: SMALL + SERIES_1, BOTH: tuple(sorted(SMALL + SERIES_1 + SERIES_2))}


def nearest_module(module, series=FIRST):
    """Return the standard module nearest to a module by ratio [mm]; halfway, by the geometric mean, the smaller.

    module  [mm], above 0
    series  "series I" or "series I and II", with those of DIN 780-1 below 1 mm

    Errors: ValueError for an unknown series, and outside a fifth below the smallest to a fifth above the greatest.
    Source: ISO 54:1996, Table 1.
    """
    known = _series(series)
    if not every((module >= known[0] / 1.2) & (module <= known[-1] * 1.2)):
        raise ValueError(f"Standard modules are known from {known[0]:g} to {known[-1]:g} mm.")
    nearest = known[0]
    for below, above in pairwise(known):
        nearest = where(module * module > below * above, above, nearest)
    return nearest + 0.0 * module


def modules_between(least, greatest, series=BOTH):
    """Return the standard modules from `least` to `greatest`, both included [mm], smallest first."""
    return tuple(module for module in _series(series) if least <= module <= greatest)


def _series(series):
    if series not in CHOICES:
        raise ValueError(f"{series!r} given; expected {FIRST} or {BOTH}.")
    return CHOICES[series]
