"""Printed torques: from power and speed, through a pair of gears, and of a slowed inertia.

Textbooks in inches and pounds take 63,000 for 33,000·12/(2π) = 63,025.4, so their torques are 0.04 % small; where that
is more than the printed digits allow, the tolerance is that 0.04 %.
"""

from __future__ import annotations

import pytest

from ledger.mechanics.torque_path import engine_torque, inertia_torque
from ledger.quantities.units import convert

ROUNDED_CONSTANT = 63_025.4 / 63_000 - 1


def pound_inches(horsepower: float, speed: float) -> float:
    """Torque of a shaft [lbf·in]."""
    return convert(engine_torque(convert(horsepower, "hp", "kW"), speed), "N·m", "lbf·in")


def test_five_horsepower_at_1725() -> None:
    """5 hp at 1725 1/min puts 146.09 lbf on a pitch radius of 1.25 in. Wentzell, Machine Design, ex. 12.1, p. 254."""
    assert pound_inches(5, 1725) / 1.25 == pytest.approx(146.09, rel=1.01 * ROUNDED_CONSTANT)


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
