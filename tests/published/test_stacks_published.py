"""Printed tolerance stacks, worst case and root sum square.

A printed clutch angle whose tolerances act through an arccosine (Chase, Gao and Magleby 1995) is left out: it is no
linear stack, and this calculator does not claim it.
"""

from __future__ import annotations

import pytest

from ledger.calculators.axial_length import AXIAL_LENGTH
from tests.stacks import part


def computed(*parts: dict) -> dict:
    """The calculator's outputs for one layout."""
    return dict(AXIAL_LENGTH.compute(layout=list(parts)))


def test_a_gap_with_unequal_limits() -> None:
    """50 ± 0.1 less 20 +0/-0.05 less 10 ± 0.02 leaves 19.88 to 20.17, and 20.025 ± 0.1050 by root sum square.

    Documentation example of a general drawing library, no textbook; limits as printed, the half-width recomputed.
    """
    gap = computed(
        part("housing", 50.0, 0.1),
        part("ring", 20.0, 0.0, 0.05, direction="takes away"),
        part("cover", 10.0, 0.02, direction="takes away"),
    )
    assert gap["nominal"] == pytest.approx(20.0, abs=1e-9)
    assert (gap["least"], gap["greatest"]) == (pytest.approx(19.88, abs=1e-9), pytest.approx(20.17, abs=1e-9))
    assert gap["middle"] == pytest.approx(20.025, abs=1e-9)
    assert gap["half_width"] == pytest.approx(0.1050, abs=5e-5)  # half of the last printed digit


def test_a_shaft_with_two_bearings_in_its_housing() -> None:
    """The gap is ± 0.0245 in the worst case; equal bearings are one row of two.

    Chase, Tolerance Allocation Methods for Designers, ADCATS report 99-6, shaft and housing example [in]; from memory.
    """
    gap = computed(
        part("retaining ring", 0.0505, 0.0015, direction="takes away"),
        part("shaft", 8.000, 0.008),
        part("bearing", 0.5093, 0.0025, quantity=2.0, direction="takes away"),
        part("bearing spacer", 0.400, 0.002, quantity=2.0),
        part("housing", 7.711, 0.006, direction="takes away"),
    )
    assert gap["greatest"] - gap["nominal"] == pytest.approx(0.0245, abs=5e-5)
    assert gap["nominal"] - gap["least"] == pytest.approx(0.0245, abs=5e-5)


def test_leaving_out_the_sleeves() -> None:
    """Common practice, no source: without sleeves between them eight gears save 60 to 80 mm and are about 110 mm long.

    A sanity check, no authority: it asks only which sizes of parts agree with what is said. Gears of 13 to 14 mm do,
    with four sleeves that take 15 to 20 mm each.
    """
    gears = part("gear", 13.5, 0.5, quantity=8.0)
    sleeves = part("sleeve with its play", 17.5, 2.5, quantity=4.0)
    found = AXIAL_LENGTH.compute(layout=[gears], other=[gears, sleeves])
    assert found["least"] <= 110 <= found["greatest"]
    assert (found["saved_least"], found["saved_greatest"]) == (60.0, 80.0)
