"""Tooth duty: turns by hand, lives by logarithms, damage lived through, and a closed form of chance."""

from __future__ import annotations

from math import log, log10, pi

import numpy as np
import pytest
from scipy import stats

from ledger.calculators.tooth_duty import TOOTH_DUTY
from ledger.mechanics.tooth_duty import (
    BELOW,
    FLANK,
    FLATTER,
    NONE,
    ROOT,
    SAME,
    cycles_over,
    cycles_to_failure,
)

GEAR = {"distance": 9000.0, "ratio": 5.0, "radius": 0.6, "strength": 900.0, "knee": 3e6, "exponent": 6.0}
SPECTRUM = [{"torque": 1500.0, "share": 0.001}, {"torque": 1100.0, "share": 0.02}, {"torque": 600.0, "share": 0.3}]


def test_a_wheel_rolled_along() -> None:
    """1 km on a wheel of 2 m circumference turns it 500 times, a gear of ratio 3 1500 times."""
    assert cycles_over(1.0, 3.0, 1 / pi, 1.0) == pytest.approx(1500)


def test_a_line_through_two_tests() -> None:
    """±400 MPa for 2·10⁴ and ±250 for 1.2·10⁶ cycles, after 2.5·10⁴ at ±350: some 1.5·10⁵ are left at ±300.

    The question of a worked example, recomputed with logarithms alone; its printed answer was not seen.
    """
    exponent = log(60) / log(1.6)
    lives = [cycles_to_failure(load, 250.0, 1.2e6, exponent) for load in (400.0, 350.0, 300.0)]
    assert lives[0] == pytest.approx(2e4, rel=1e-12)
    slope = (log10(2e4) - log10(1.2e6)) / (log10(400) - log10(250))
    by_logs = [10 ** (log10(2e4) + slope * (log10(load) - log10(400))) for load in (350, 300)]
    assert lives[1:] == pytest.approx(by_logs, rel=1e-12)
    assert lives[2] * (1 - 2.5e4 / lives[1]) == pytest.approx(1.5e5, rel=0.01)


def test_three_ways_below_the_knee() -> None:
    """Half the strength: 2^k, 2^(2k-1) times the knee, or without end; at and above the strength all agree."""
    found = {below: cycles_to_failure(450.0, 900.0, 3e6, 6.0, below) for below in BELOW}
    assert found[SAME] == pytest.approx(3e6 * 2**6)
    assert found[FLATTER] == pytest.approx(3e6 * 2**11)
    assert found[NONE] >= 1e299
    for load in (900.0, 1500.0):
        assert len({float(cycles_to_failure(load, 900.0, 3e6, 6.0, below)) for below in BELOW}) == 1


def test_damage_lived_through() -> None:
    """Kilometre by kilometre until the damage sum is one: the distance that is said to be borne."""
    found = TOOTH_DUTY.compute(spectrum=SPECTRUM, **GEAR)
    per_km = 1000 * 5.0 / (2 * pi * 0.6)
    damage, driven = 0.0, 0
    while damage < 1:
        for row in SPECTRUM:
            damage += per_km * row["share"] / (3e6 * (900.0 / row["torque"]) ** 6)
        driven += 1
    assert found["distance_borne"] == pytest.approx(driven, abs=1)


def test_the_constant_torque_does_the_same_damage() -> None:
    """The spectrum replaced by its equivalent torque over the same share: the same damage sum."""
    found = TOOTH_DUTY.compute(spectrum=SPECTRUM, **GEAR)
    alone = [{"torque": found["equivalent_torque"], "share": sum(row["share"] for row in SPECTRUM)}]
    assert TOOTH_DUTY.compute(spectrum=alone, **GEAR)["damage"] == pytest.approx(found["damage"], rel=1e-12)


def test_the_needed_strength_is_just_enough() -> None:
    """With it the damage sum is the limit, the distance borne is the one asked, and the margin is nothing."""
    needed = TOOTH_DUTY.compute(spectrum=SPECTRUM, limit=0.7, **GEAR)["needed_strength"]
    found = TOOTH_DUTY.compute(spectrum=SPECTRUM, limit=0.7, **{**GEAR, "strength": needed})
    assert found["damage"] == pytest.approx(0.7, rel=1e-9)
    assert found["distance_borne"] == pytest.approx(9000, rel=1e-9)
    assert found["margin"] == pytest.approx(0, abs=1e-9)


def test_the_chance_to_bear_it_has_a_closed_form() -> None:
    """Normal strength: the chance is that of exceeding the needed strength."""
    generator = np.random.default_rng(3)
    strength = generator.normal(700.0, 60.0, 20_000)
    found = TOOTH_DUTY.compute(spectrum=SPECTRUM, **{**GEAR, "strength": strength})
    needed = float(np.mean(found["needed_strength"]))
    assert float(np.mean(found["bears"])) == pytest.approx(stats.norm.sf(needed, 700, 60), abs=0.017)  # 5 sigma


def test_the_worked_sentence_of_the_page() -> None:
    """At k = 6 a torque a tenth higher is borne 0.56 times as long."""
    base, more = (
        TOOTH_DUTY.compute(spectrum=[{"torque": torque, "share": 0.1}], **GEAR)["distance_borne"]
        for torque in (1000.0, 1100.0)
    )
    assert more / base == pytest.approx(0.56, abs=0.005)


def test_torques_below_the_knee_need_no_more_than_themselves() -> None:
    """300 N·m on teeth of 400, for a million km, where lesser torques do no damage: borne, with a third to spare."""
    given = {**GEAR, "distance": 1e6, "strength": 400.0, "knee": 1e6, "below": NONE}
    found = TOOTH_DUTY.compute(spectrum=[{"torque": 300.0, "share": 0.5}], **given)
    assert (bool(found["bears"]), float(found["damage"])) == (True, 0)
    assert found["needed_strength"] == pytest.approx(300)
    assert found["margin"] == pytest.approx(1 / 3)


@pytest.mark.parametrize("below", BELOW)
@pytest.mark.parametrize("part", [ROOT, FLANK])
@pytest.mark.parametrize("distance", [0.3, 9.0, 900.0, 90_000.0])
def test_headline_numbers_agree(below: str, part: str, distance: float) -> None:
    """A hair above the needed strength it bears the distance, a hair below it does not, by every rule."""
    given = {**GEAR, "distance": distance, "below": below, "part": part, "limit": 0.7}
    needed = float(TOOTH_DUTY.compute(spectrum=SPECTRUM, **given)["needed_strength"])
    for share, bears in ((1 + 1e-9, True), (1 - 1e-9, False)):
        found = TOOTH_DUTY.compute(spectrum=SPECTRUM, **{**given, "strength": needed * share})
        assert bool(found["bears"]) is bears
        assert (float(found["margin"]) > 0) is bears


def test_the_flatter_slope_of_flanks() -> None:
    """Haibach's rule is of stress: k_s = 12, so 23 below the knee; a flank's stress is the root of its torque: 11.5."""
    torque, stress = 450.0 / 900.0, (450.0 / 900.0) ** 0.5
    assert cycles_to_failure(450.0, 900.0, 3e6, 6.0, FLATTER, FLANK) == pytest.approx(3e6 * stress**-23)
    assert cycles_to_failure(450.0, 900.0, 3e6, 6.0, FLATTER, ROOT) == pytest.approx(3e6 * torque**-11)
