"""Printed speeds in gears.

Equal steps and road speeds have printed cases; a printed ladder with all its falls of engine speed was not found.
"""

from __future__ import annotations

from math import pi

import pytest

from ledger.calculators.ratio_ladder import RATIO_LADDER
from ledger.mechanics import ratio_ladder
from ledger.mechanics.ratio_ladder import equal_step, road_speed


def test_a_motorcycle_of_four_gears_in_equal_steps() -> None:
    """From 40 to 120 km/h in a geometric progression: 57.7 and 83.2 km/h between.

    School exercise on geometric progressions, answer printed to one decimal place; seen in a copy, recomputed.
    """
    step = equal_step(120.0, 40.0, 3)
    assert [round(40 * step**place, 1) for place in (1, 2)] == [57.7, 83.2]
    ratios = [{"ratio": 1.0 * step ** (3 - place)} for place in range(4)]
    radius = (120 / 3.6) / (6000 * 2 * pi / 60)
    rows = RATIO_LADDER.compute(gears=ratios, shift_speed=6000.0, radius=radius)["gears_shown"]
    assert [row["up to [km/h]"] for row in rows] == pytest.approx([40, 57.7, 83.2, 120], abs=0.05)


def test_65_mph_on_30_inch_tyres() -> None:
    """65 mph, 3.08 to 1, 30 in of tyre: 2242 1/min by the rule with 336.

    Notes on gear ratios, seen in a copy. The rule's constant 336 rounds 336.135, which is 0.04 % and within a turn.
    """
    speed = road_speed(2242.0, 3.08, 15 * 0.0254)
    assert speed / 0.44704 == pytest.approx(65, abs=65 * (0.135 / 336 + 0.5 / 2242))


def test_a_diameter_taken_for_a_radius_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """The printed speeds tell a wrong formula from the right one."""
    right = ratio_ladder.road_speed
    monkeypatch.setattr(ratio_ladder, "road_speed", lambda n, i, r: right(n, i, 2 * r))
    with pytest.raises(AssertionError):
        test_a_motorcycle_of_four_gears_in_equal_steps()
