"""Bearing life against another library's distribution, against time lived through step by step, and by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats

from ledger.calculators.bearing_life import BEARING_LIFE
from ledger.mechanics.bearing_life import life_share, survival

DUTY: list[dict[str, Any]] = [
    {"radial": 5000.0, "axial": 1000.0, "x": 0.56, "y": 1.6, "speed": 900.0, "share": 2.0},
    {"radial": 9000.0, "speed": 2300.0, "share": 0.5},
    {"radial": 2000.0, "speed": 0.0, "share": 4.0},
]


@pytest.mark.parametrize(("kind", "power"), [("ball", 3.0), ("roller", 10 / 3)])
def test_life_lived_through_round_by_round(kind: str, power: float) -> None:
    """The duty in short rounds, each using up its share of the life under its own load, ends where L10 says."""
    rating, used, hours = 40_000.0, 0.0, 0.0
    found = BEARING_LIFE.compute(rating=rating, duty=DUTY, kind=kind)
    step = found["life_hours"] / 20_000 / 6.5
    while used < 1:
        for row in DUTY:
            load = row.get("x", 1.0) * row["radial"] + row.get("y", 0.0) * row.get("axial", 0.0)
            load = max(load, row["radial"]) if "axial" in row else load
            used += row["share"] * step * 60 * row["speed"] / (1e6 * (rating / load) ** power)
            hours += row["share"] * step
    assert found["life_hours"] == pytest.approx(hours, rel=2e-4)


def test_survival_is_weibulls() -> None:
    """Another library's distribution, scaled so that a tenth fail by one."""
    for slope in (0.9, 1.5, 3.0):
        scale = np.log(1 / 0.9) ** (-1 / slope)
        for used in (0.0, 0.2, 1.0, 3.0):
            assert survival(used, slope) == pytest.approx(stats.weibull_min.sf(used, slope, scale=scale), rel=1e-12)


def test_a_tenth_of_rating_is_a_third_of_life() -> None:
    """The page's remark on makers: a rating 10 % higher lives 33 % longer on balls, 37 % on rollers."""
    duty = [{"radial": 1000.0, "speed": 1000.0}]
    for kind, more in (("ball", 1.331), ("roller", 1.1 ** (10 / 3))):
        low, high = (BEARING_LIFE.compute(rating=c, duty=duty, kind=kind)["life"] for c in (5000.0, 5500.0))
        assert high / low == pytest.approx(more, rel=1e-12)


def test_an_axial_load_does_not_relieve_a_radial_bearing() -> None:
    """0.56 · 4000 + 1.8 · 100 is 2420 N, less than the radial load alone: 4000 N, and it is told.

    With 2000 N of axial load P is 5840 N. Without an axial load X is a share of the force, and stays.
    """
    row = {"radial": 4000.0, "axial": 100.0, "x": 0.56, "y": 1.8, "speed": 1000.0}
    found = BEARING_LIFE.compute(rating=20_000.0, duty=[row])
    assert (float(found["mean_load"]), bool(found["radial_alone"])) == (pytest.approx(4000), True)
    found = BEARING_LIFE.compute(rating=20_000.0, duty=[{**row, "axial": 2000.0}])
    assert (float(found["mean_load"]), bool(found["radial_alone"])) == (pytest.approx(5840), False)
    found = BEARING_LIFE.compute(rating=20_000.0, duty=[{"radial": 4000.0, "x": 0.4, "speed": 1000.0}])
    assert (float(found["mean_load"]), bool(found["radial_alone"])) == (pytest.approx(1600), False)


def test_loads_above_half_the_rating_are_told() -> None:
    """5001 N on 10,000 is too heavy while it turns, 4999 is not; a load at rest does not count."""
    for load, speed, told in ((5001.0, 100.0, True), (4999.0, 100.0, False), (9000.0, 0.0, False)):
        duty = [{"radial": load, "speed": speed}, {"radial": 10.0, "speed": 100.0}]
        assert bool(BEARING_LIFE.compute(rating=10_000.0, duty=duty)["too_heavy"]) is told


def test_a_wanted_reliability() -> None:
    """99 % survive 0.21 of the life; the rating needed for that many grows by 0.21^(-1/3), and just does it."""
    duty = [{"radial": 1000.0, "speed": 1000.0}]
    usual = BEARING_LIFE.compute(rating=9000.0, duty=duty, hours=5000.0)
    sure = BEARING_LIFE.compute(rating=9000.0, duty=duty, hours=5000.0, reliability=0.99)
    assert usual["reliable_hours"] == pytest.approx(usual["life_hours"])
    assert sure["reliable_hours"] / sure["life_hours"] == pytest.approx(0.21, abs=0.005)
    assert sure["needed_rating"] / usual["needed_rating"] == pytest.approx(0.21 ** (-1 / 3), rel=0.01)
    just = BEARING_LIFE.compute(rating=sure["needed_rating"], duty=duty, hours=5000.0, reliability=0.99)
    assert just["survival"] == pytest.approx(0.99, rel=1e-9)
    assert (bool(usual["lasts"]), bool(sure["lasts"])) == (True, bool(sure["survival"] >= 0.99))
    assert survival(life_share(0.97, 1.3), 1.3) == pytest.approx(0.97)
