"""Printed torques: from power and speed, through a pair of gears, and of a slowed inertia.

Textbooks in inches and pounds take 63,000 for 33,000·12/(2π) = 63,025.4, so their torques are 0.04 % small; where that
is more than the printed digits allow, the tolerance is that 0.04 %.
"""

from __future__ import annotations

from math import pi

import pytest

from ledger.calculators.torque_headroom import TORQUE_HEADROOM
from ledger.mechanics.torque_path import engine_torque, inertia_torque
from ledger.quantities.units import convert

ROUNDED_CONSTANT = 63_025.4 / 63_000 - 1


def pound_inches(horsepower: float, speed: float) -> float:
    """Torque of a shaft [lbf·in]."""
    return convert(engine_torque(convert(horsepower, "hp", "kW"), speed), "N·m", "lbf·in")


def test_five_horsepower_at_1750() -> None:
    """5 hp at 1750 1/min is 180 lbf·in. Wentzell, Machine Design, ex. 17.1, p. 379."""
    assert pound_inches(5, 1750) == pytest.approx(180, rel=1.01 * ROUNDED_CONSTANT)


def test_five_horsepower_at_1725() -> None:
    """5 hp at 1725 1/min puts 146.09 lbf on a pitch radius of 1.25 in. Wentzell, Machine Design, ex. 12.1, p. 254."""
    assert pound_inches(5, 1725) / 1.25 == pytest.approx(146.09, rel=1.01 * ROUNDED_CONSTANT)


def test_twenty_kilowatts_on_a_splined_shaft() -> None:
    """20 kW at 320 1/min is 596.8 N·m. Sadhu Singh, ex. 7.3, p. 204."""
    assert engine_torque(20, 320) == pytest.approx(596.8, abs=0.05)


def through_gears(torque: float, ratio: float) -> float:
    """Torque after a pair of gears, by the whole calculator."""
    element = {"element": "shaft", "capacity": 1e6, "where": "after", "factor": 1.0}
    return TORQUE_HEADROOM.compute(elements=[element], torque=torque, ratio=ratio)["after_torque"]


def test_torque_through_gears_of_100_and_200_mm() -> None:
    """342.5 N·m on the gear of 100 mm balance 685 N·m on that of 200 mm.

    Philpot, Mechanics of Materials, MecMovies M6.13; second hand, from its stored pages.
    """
    assert through_gears(342.5, 200 / 100) == pytest.approx(685, abs=0.1)


def test_torque_through_gears_of_24_and_72_teeth() -> None:
    """43.768 on 24 teeth is 131.303 on 72, in one unit or another.

    Philpot, Mechanics of Materials, MecMovies M6.18; second hand. The first figure is printed to half a thousandth.
    """
    assert through_gears(43.768, 72 / 24) == pytest.approx(131.303, abs=72 / 24 * 0.0005)


def test_a_disc_brought_to_rest() -> None:
    """A disc of 1 m by 0.2 m, 7200 kg/m³, comes from 350 1/min to rest in 1.5 s by 3454.36 N·m.

    Bhandari, Design of Machine Elements, ex. 12.1; second hand, from a public companion that works by energy: 94,956.7
    J over the mean speed, where this program takes J Δω/Δt.
    """
    inertia = pi / 4 * 1.0**2 * 0.2 * 7200 * 1.0**2 / 8
    assert inertia_torque(inertia, 350, 1.5) == pytest.approx(3454.36, abs=0.005)


def test_an_engine_forced_down_during_a_change() -> None:
    """0.04 kg·m² brought down by 2,500 1/min in 20 ms adds about 520 N·m. Common practice, no source."""
    assert inertia_torque(0.04, 2500, 0.020) == pytest.approx(520, abs=5)
    assert inertia_torque(0.04, 2500, 0.020) == pytest.approx(523.6, abs=0.05)  # 0.04·261.799/0.02


def test_engines_of_700_to_800_horsepower() -> None:
    """Common practice, no source: they once gave under 300 lbf·ft and later 500 to 600. A sanity check, no authority.

    By P = Tω, at full power, under 300 needs more than 12,255 1/min at 700 hp and more than 14,006 at 800 hp; 500 to
    600 needs 6,128 to 8,403 1/min. So both agree with engines that first turned fast, then slowly. Torque below the
    speed of full power may be higher.
    """
    pound_feet = {hp: pound_inches(hp, 1.0) / 12 for hp in (700, 800)}
    speeds = {(hp, torque): at_one / torque for hp, at_one in pound_feet.items() for torque in (300, 500, 600)}
    assert speeds[700, 300] == pytest.approx(12_255, abs=1)
    assert speeds[800, 300] == pytest.approx(14_006, abs=1)
    assert speeds[700, 600] == pytest.approx(6_128, abs=1)
    assert speeds[800, 500] == pytest.approx(8_403, abs=1)
    assert pound_inches(700, 13_000) / 12 < 300 < pound_inches(700, 12_000) / 12
