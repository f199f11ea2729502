"""Printed bearings, tolerances, deviations and fits."""

from __future__ import annotations

from itertools import pairwise
from math import sqrt

import pytest

from ledger.mechanics.fits import (
    FINE,
    GRADES,
    LOWER,
    STEPS,
    UPPER,
    fit,
    limits,
    standard_tolerance,
)
from tests.bearing_rows import BEARINGS


@pytest.mark.parametrize(
    "printed",
    [
        "6200 10×30×9",
        "6201 12×32×10",
        "6202 15×35×11",
        "6203 17×40×12",
        "6204 20×47×14",
        "6205 25×52×15",
        "6206 30×62×16",
        "6207 35×72×17",
        "6208 40×80×18",
        "HK1010 10×14×10",
        "HK1212 12×16×12",
        "HK1612 16×22×12",
        "HK2016 20×26×16",
        "HK2516 25×32×16",
        "NA4900 10×22×13",
        "NA4901 12×24×13",
    ],
)
def test_bearings(printed: str) -> None:
    """BRG-4 and BRG-5. Boundary dimensions of ISO 15, series 02 and 49 (ISO 1206), and ISO 3245; tables seen."""
    name, sizes = printed.split()
    assert BEARINGS[name] == tuple(int(size) for size in sizes.split("×"))


def test_fits_at_forty_millimetres() -> None:
    """FIT-1. ISO 286-1 and -2:2010, Ø40 mm, in µm; the tables were seen."""
    assert limits(40.0, "H7") == (0, 25)
    assert limits(40.0, "g6") == (-25, -9)
    assert limits(40.0, "G7") == (9, 34)
    assert fit(40.0, "H7", "g6") == (9, 50)
    assert fit(40.0, "H11", "c11") == (120, 440)
    assert fit(40.0, "H7", "s6") == (-59, -18)
    least, greatest = fit(40.0, "H7", "k6")
    assert least < 0 < greatest


UNITS = {5: 7.0, 6: 10.0, 7: 16.0, 8: 25.0, 9: 40.0, 10: 64.0, 11: 100.0}


def tolerance_unit(low: float, high: float) -> float:
    """The formula of IT5 to IT18, ISO 286-1:2010 [µm]: i = 0.45 D^⅓ + 0.001 D, D = √(low · high) [mm]."""
    mean = sqrt(low * high)
    return 0.45 * mean ** (1 / 3) + 0.001 * mean


@pytest.mark.parametrize(
    ("low", "high", "computed", "printed"),
    [
        (18, 30, (13.07, 20.9, 32.7, 52.3), (13, 21, 33, 52)),
        (30, 50, (15.6, 24.98, 39.0, 62.5), (16, 25, 39, 62)),
        (50, 80, (18.6, 29.7, 46.4, 74), (19, 30, 46, 74)),
    ],
)
def test_standard_tolerances(low: float, high: float, computed: tuple[float, ...], printed: tuple[int, ...]) -> None:
    """FIT-2. ISO 286-1:2010: the formula's figure and the table's, IT6 to IT9; the table was seen."""
    for grade, figure, table in zip((6, 7, 8, 9), computed, printed, strict=True):
        assert UNITS[grade] * tolerance_unit(low, high) == pytest.approx(figure, rel=5e-3)
        assert standard_tolerance(high, grade) == table


def test_a_fit_by_formula() -> None:
    """64 H8/f7: hole +0.046/0, shaft −0.030/−0.060, allowance 30 µm. An examination's solution, seen."""
    assert limits(64.0, "H8") == (0, 46)
    assert limits(64.0, "f7") == (-60, -30)
    assert fit(64.0, "H8", "f7")[0] == 30
    # The solution prints 1.859; 0.45·63.246^⅓ + 0.063246 is 1.8561: its cube root is 0.16 % off.
    assert tolerance_unit(50, 80) == pytest.approx(1.859, rel=2e-3)


def test_a_locating_fit() -> None:
    """25 H7/h6: hole +21/0, shaft 0/−13, clearance 0 to 34 µm. A public fit chart; seen in a copy."""
    assert fit(25.0, "H7", "h6") == (0, 34)


def test_tables_lie_by_their_formulas() -> None:
    """Table entries are the formulas' figures, rounded: none further off than 1.5 µm or 9 %, the smallest step apart.

    Formulas: Narayana, Kannaiah and Reddy, Machine Drawing, Table 15.4; seen in a copy.
    """
    for grade, table in GRADES.items():
        for low, high, printed in zip(STEPS[:-1], STEPS[1:], table[1:], strict=True):
            figure = UNITS[grade] * tolerance_unit(low, high)
            assert printed == pytest.approx(figure, abs=max(1.5, 0.03 * figure)), (grade, high)
    formulas = {"d": (16, 0.44), "e": (11, 0.41), "f": (5.5, 0.41), "g": (2.5, 0.34), "n": (5, 0.34)}
    for letter, (factor, power) in formulas.items():
        for low, high in pairwise(STEPS):
            figure = factor * (low * high) ** (power / 2)
            printed = abs((UPPER | LOWER)[letter][FINE.index(high)])
            assert printed == pytest.approx(figure, abs=max(1.0, 0.04 * figure)), (letter, high)
