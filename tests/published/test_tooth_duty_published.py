"""Printed damage sums. No printed spectrum of a gear over a distance was found; the parts have printed cases."""

from __future__ import annotations

import pytest

from ledger.mechanics.tooth_duty import damage_sum, equivalent_load


def test_a_bearing_of_three_loads() -> None:
    """Lives of 50,000, 6,500 and 1,000 h; cycles of 40, 15 and 5 min: 7400.38 cycles, 9.867, 28.463 and 61.670 %.

    Worked example in the documentation of a general library for reliability; seen in a copy.
    """
    parts = [made / 60 / life for made, life in ((40, 50_000), (15, 6500), (5, 1000))]
    total = damage_sum([40 / 60, 15 / 60, 5 / 60], [50_000.0, 6500.0, 1000.0])
    assert 1 / total == pytest.approx(7400.37951, abs=5e-6)
    assert 100 * total == pytest.approx(0.01351, abs=5e-6)
    assert [100 * part / total for part in parts] == pytest.approx([9.86717, 28.463, 61.66983], abs=5e-5)


def test_two_stresses_a_cycle() -> None:
    """One cycle of 480 MPa (borne 10⁴ times) and four of 400 (10⁵): 7142 such blocks. Exercise, seen in a copy."""
    assert int(1 / damage_sum([1.0, 4.0], [1e4, 1e5])) == 7142


def test_three_blocks() -> None:
    """10,000 of 20,000, 5,000 of 10,000 and 2,000 of 5,000 cycles: a sum of 1.4. Lecture page, seen in a copy."""
    assert damage_sum([10_000.0, 5000.0, 2000.0], [20_000.0, 10_000.0, 5000.0]) == pytest.approx(1.4)


def test_the_mean_load_of_a_bearing_is_the_same_rule() -> None:
    """650 lb for 30, 750 for 10, 250 for 20: 597 lb with the exponent 3. Mott, 4th ed., ex. 14-6; seen in a copy."""
    assert equivalent_load([650.0, 750.0, 250.0], [30.0, 10.0, 20.0], 3.0) == pytest.approx(597, abs=0.5)


def test_a_wrong_sum_is_caught() -> None:
    """Only the worst part counted, in place of the sum, misses the printed figures."""
    cycles, lives = [10_000.0, 5000.0, 2000.0], [20_000.0, 10_000.0, 5000.0]
    assert max(made / life for made, life in zip(cycles, lives, strict=True)) != pytest.approx(1.4)
    assert damage_sum(cycles, lives) == pytest.approx(1.4)
