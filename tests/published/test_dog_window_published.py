"""Printed couplings of two turning masses, and what is published of dogs and their chances."""

from __future__ import annotations

from math import degrees, pi
from typing import Any

import numpy as np
import pytest

from ledger.calculators.dog_window import DOG_WINDOW
from ledger.mechanics import engagement
from ledger.quantities.units import convert

DOGS = {
    "dogs": 6.0,
    "gap": 26.0,
    "dog": 11.0,
    "difference": 150.0,
    "axial_speed": 0.8,
    "depth": 5.0,
    "patience": 0.0,
}


def dogs(**given: Any) -> dict[str, Any]:
    """The whole calculator, in its declared units."""
    return dict(DOG_WINDOW.compute(**{**DOGS, **given}))


def test_two_flywheels_and_a_spring() -> None:
    """500 lb·ft² at 150 1/min meet 1500 at rest through 150 lbf·ft/rad: 37.5 1/min, 1435 ft·lbf stored, 250° of twist.

    Bevan, The Theory of Machines, ch. 2, ex. 3; second hand, from a public companion. The book works with the rounded
    energies 1915 and 480, hence 0.3 % and a whole degree.
    """
    first, second = convert(500.0, "lb·ft²", "kg·m²"), convert(1500.0, "lb·ft²", "kg·m²")
    stiffness = convert(150.0, "lbf·ft", "N·m")
    found = dogs(difference=150.0, inertia=first, other_inertia=second, stiffness=stiffness)
    assert found["common_speed"] == pytest.approx(37.5, rel=1e-9)
    assert convert(found["energy_lost"], "J", "ft·lbf") == pytest.approx(1435, rel=0.003)
    assert degrees(found["impact"] / stiffness) == pytest.approx(250, abs=1)
    assert found["peak_torque"] == found["added_torque"] == pytest.approx(found["impact"])


def test_a_flywheel_whose_bearing_seizes() -> None:
    """30 kg at 0.25 m and 200 1/min on 1.2 m of 60 mm shaft, G 80 GPa, seized: 196.8 MN/m² and 5.64°.

    Hearn, Mechanics of Materials 1, an exercise on torsion: its text was seen, its answers are from memory. Seized, the
    other inertia is without bound. Gere, 7th ed., problem 3.9-11, has the same in symbols (seen in a copy).
    """
    stiffness = 80e9 * pi * 0.06**4 / 32 / 1.2
    torque = engagement.impact_torque(30 * 0.25**2, 1e12, 200.0, stiffness)
    assert 16 * torque / (pi * 0.06**3) / 1e6 == pytest.approx(196.8, rel=0.001)
    assert degrees(torque / stiffness) == pytest.approx(5.64, abs=0.005)


def test_gere_in_symbols() -> None:
    """A seized shaft feels (n/15 d)·√(2π G I/L), n in 1/min. Gere, 7th ed., problem 3.9-11, seen in a copy."""
    speed, diameter, modulus, inertia, length = 300.0, 0.05, 78e9, 2.5, 0.9
    stiffness = modulus * pi * diameter**4 / 32 / length
    stress = 16 * engagement.impact_torque(inertia, 1e15, speed, stiffness) / (pi * diameter**3)
    printed = speed / (15 * diameter) * np.sqrt(2 * pi * modulus * inertia / length)
    assert stress == pytest.approx(printed, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "least", "most", "helps"),
    [
        ("dogs", 3.0, 12.0, True),
        ("axial_speed", 0.5, 2.0, True),
        ("gap", 20.0, 29.0, True),
        ("difference", 1.0, 400.0, False),
        ("depth", 1.0, 12.0, False),
    ],
)
def test_what_helps_and_hinders_an_entry_at_once(name: str, least: float, most: float, helps: bool) -> None:
    """RUL-3: more dogs, axial speed and backlash raise the chance; more speed difference and overlap lower it.

    Aljawabrah & Lovas, Int. Rev. Appl. Sci. Eng. 15(1), 2024, 61, abstract, seen. It is of entries at once.
    """
    chances = [float(dogs(**{name: value})["chance"]) for value in np.linspace(least, most, 10)]
    steps = np.diff(chances if helps else chances[::-1])
    assert np.all(steps >= 0)
    assert steps.max() > 0


def test_limits_of_axial_speed_backlash_speed_difference_and_overlap() -> None:
    """RUL-3, the same abstract: axial speed and backlash have a lower limit, speed difference and overlap an upper."""
    for name, below, above in (
        ("axial_speed", 0.2, 0.4), ("gap", 15.0, 18.0), ("difference", 390.0, 410.0), ("depth", 12.0, 14.0),
    ):  # fmt: skip
        enters = [bool(dogs(**{name: value})["enters"]) for value in (below, above)]
        assert enters == ([False, True] if name in ("axial_speed", "gap") else [True, False]), name


def test_the_initial_angle_acts_within_one_pitch() -> None:
    """RUL-3, the same abstract: the initial relative position repeats after a pitch, so the chance counts in pitches.

    Twice the dogs at half the angles and half the speed difference are the same picture on half the scale.
    """
    twice = dogs(dogs=12.0, gap=13.0, dog=5.5, difference=75.0)
    assert twice["chance"] == pytest.approx(dogs()["chance"], rel=1e-12)


def test_engagement_degrades_at_very_low_speed_difference() -> None:
    """RUL-4: at very low speed difference engagement becomes uncertain, though a higher one is sure.

    Bóka, Márialigeti, Lovas & Trencséni, Periodica Polytechnica Transp. Eng. 38(1), 2010, 29–35, abstract, seen. With
    patience for the next gap the chance falls to clearance over pitch at standstill; a chance that only falls with the
    speed difference would contradict it.
    """
    chances = [
        float(dogs(difference=value, patience=60.0)["chance"]) for value in (0.0, 5.0, 40.0, 140.0, 390.0, 410.0)
    ]
    assert chances[0] == pytest.approx(15 / 60)
    assert chances[0] < chances[1] < chances[2] < chances[3] == 1.0
    assert chances[4:] == [1.0, 0.0]
