"""Pairings of gears on hubs against printed counts.

Positions, steps and the bind check of a sequential gearbox have no published case: the figures the trade quotes have
no source, and are held against an enumeration in tests/independent.
"""

from __future__ import annotations

import pytest

from tests.pairings import workable_pairings


@pytest.mark.parametrize(("gears", "count"), [(4, 1), (6, 5), (8, 36), (10, 329), (12, 3655)])
def test_even_gears_have_as_many_workable_pairings_as_the_encyclopedia_prints(gears: int, count: int) -> None:
    """Pairings of 2n in a row with no two neighbours paired: OEIS A000806 (absolute values), n = 2 to 6. Exact."""
    assert len(workable_pairings(gears)) == count


@pytest.mark.parametrize(("gears", "count"), [(1, 1), (3, 1), (5, 6), (7, 41), (9, 365), (11, 3984)])
def test_odd_gears_with_one_alone_have_the_sum_of_two_printed_terms(gears: int, count: int) -> None:
    """OEIS A006198, n = 1 to 6, whose entry gives a(n) = |A000806(n-1)| + |A000806(n)|. Exact."""
    assert len(workable_pairings(gears)) == count


def test_the_five_pairings_of_six_gears_are_those_the_encyclopedia_lists() -> None:
    """OEIS A000806, example for n = 3, lists all five by name."""
    listed = {"14 25 36", "14 26 35", "15 24 36", "16 24 35", "13 25 46"}
    found = {" ".join(f"{one}{other}" for one, other in pairs) for pairs in workable_pairings(6)}
    assert found == listed
