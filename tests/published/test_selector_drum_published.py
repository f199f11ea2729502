"""Printed figures for motion laws, speeds of cam followers, jamming and contact.

How each was had stands beside it. The peaks of the modified trapezoid and of 4-5-6-7 are from memory of Norton's table;
the first of them was also seen, as 4.8881, in public code written after that book.
"""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from ledger.calculators.selector_drum import SELECTOR_DRUM
from ledger.mechanics import cam_drive, motion_laws, pin_contact
from ledger.mechanics.motion_laws import acceleration, displacement, jerk


def test_simple_harmonic_motion() -> None:
    """CAM-1. Norton, Cam Design and Manufacturing Handbook, 2nd ed. (2009), ch. 3; VDI 2143-1. From memory, exact."""
    assert motion_laws.velocity_factor("harmonic") == pytest.approx(1.5708, rel=1e-4)
    assert motion_laws.velocity_factor("harmonic") == pytest.approx(pi / 2, rel=1e-12)
    assert motion_laws.acceleration_factor("harmonic") == pytest.approx(4.9348, rel=1e-5)
    assert np.max(np.abs(jerk("harmonic", np.linspace(0, 1, 1001)))) == pytest.approx(15.503, rel=1e-4)
    assert acceleration("harmonic", 0.0) == pytest.approx(4.9348, rel=1e-5)  # it jumps there from the rest's zero
    with pytest.raises(ValueError, match="infinite where motion begins and ends"):
        motion_laws.jerk_factor("harmonic")


def test_cycloidal_motion() -> None:
    """CAM-2. VDI 2143-1:1980 ("inclined sine"); Norton, ch. 3. Seen in a copy, second hand."""
    assert motion_laws.velocity_factor("cycloidal") == pytest.approx(2.000, abs=5e-4)
    assert motion_laws.acceleration_factor("cycloidal") == pytest.approx(6.2832, rel=1e-5)
    assert motion_laws.jerk_factor("cycloidal") == pytest.approx(39.478, rel=2e-5)
    assert displacement("cycloidal", 0.3) == pytest.approx(0.3 - np.sin(0.6 * pi) / (2 * pi), rel=1e-12)


def test_modified_sine() -> None:
    """CAM-3. Norton, Design of Machinery, ch. 8; VDI 2143-1. Peaks also seen as 1.76, 5.53, 69.47, -23.15."""
    assert pytest.approx(0.43990085, abs=5e-9) == motion_laws.SINE
    assert motion_laws.velocity_factor("modified sine") == pytest.approx(1.75960, abs=5e-6)
    assert motion_laws.acceleration_factor("modified sine") == pytest.approx(5.5279571, abs=5e-7)
    assert motion_laws.jerk_factor("modified sine") == pytest.approx(69.4663577, abs=5e-7)
    assert jerk("modified sine", 0.0) == pytest.approx(69.4663577, abs=5e-7)
    assert jerk("modified sine", 0.5) == pytest.approx(-23.1553, rel=1e-5)
    assert displacement("modified sine", 0.125) == pytest.approx(0.0199814, abs=5e-8)
    assert displacement("modified sine", 0.5) == pytest.approx(0.5, abs=1e-12)


def test_polynomial_3_4_5() -> None:
    """CAM-4. VDI 2143-1; Norton prints 5.777, a little above the exact 10/√3 (section 14, trap 2)."""
    assert motion_laws.velocity_factor("3-4-5") == 1.875
    assert motion_laws.acceleration_factor("3-4-5") == pytest.approx(5.7735, abs=5e-5)
    assert motion_laws.acceleration_factor("3-4-5") == pytest.approx(5.777, rel=1e-3)
    assert acceleration("3-4-5", 0.2113) == pytest.approx(5.7735, abs=5e-5)
    assert (jerk("3-4-5", 0.0), jerk("3-4-5", 0.5)) == (60, pytest.approx(-30))


def test_constant_acceleration() -> None:
    """CAM-5. Norton, ch. 2 and 3. From memory, exact."""
    assert motion_laws.velocity_factor("constant acceleration") == 2
    assert motion_laws.acceleration_factor("constant acceleration") == 4
    assert (acceleration("constant acceleration", 0.49), acceleration("constant acceleration", 0.51)) == (4, -4)
    with pytest.raises(ValueError, match="jerk of the constant acceleration law is infinite"):
        motion_laws.jerk_factor("constant acceleration")


def test_modified_trapezoid_and_4_5_6_7() -> None:
    """Norton, Design of Machinery, table of peak factors: 2.0, 4.888, 61.4; 2.188, 7.526, 52.5. From memory.

    The printed 7.526 is above the exact 84/5^1.5 (section 14, trap 2); hence its tolerance of 2e-3.
    """
    assert motion_laws.velocity_factor("modified trapezoid") == 2.0
    assert motion_laws.acceleration_factor("modified trapezoid") == pytest.approx(4.8881, abs=5e-5)
    assert motion_laws.jerk_factor("modified trapezoid") == pytest.approx(61.4, abs=0.05)
    assert motion_laws.velocity_factor("4-5-6-7") == pytest.approx(2.188, abs=5.1e-4)
    assert motion_laws.acceleration_factor("4-5-6-7") == pytest.approx(7.526, rel=2e-3)
    assert motion_laws.jerk_factor("4-5-6-7") == pytest.approx(52.5, abs=0.05)


@pytest.mark.parametrize(("share", "speed", "bend"), [(1 / 3, 0.39, 6.17), (1 / 6, 0.78, 24.67)])
def test_a_valve_raised_in_harmonic_motion(share: float, speed: float, bend: float) -> None:
    """50 mm within a third and a sixth of a turn at 100 1/min: 0.39 and 0.78 m/s; 6.17 and 24.67 m/s².

    Exercise of a textbook on theory of machines (cam to raise a valve, ch. "Cams"); its printed answers seen in a copy.
    The first speed is 0.3927, which the answer cuts off.
    """
    duration = share * 60 / 100
    assert cam_drive.peak_speed("harmonic", 50, duration) == pytest.approx(speed, abs=0.01)
    assert cam_drive.peak_acceleration("harmonic", 50, duration) == pytest.approx(bend, abs=0.005)


def test_the_angle_at_which_a_follower_jams() -> None:
    """With as much overhang as guide, and friction of 0.1, a follower jams at 73°.

    Rothbart (ed.), Cam Design Handbook (2004), ch. 6; its text seen in a copy, second hand.
    """
    share = cam_drive.side_share(30.0, 30.0)
    assert np.degrees(cam_drive.jamming_angle(0.0, 0.1, share)) == pytest.approx(73, abs=0.5)


def test_the_least_angle_to_be_kept() -> None:
    """RUL-1. 30° is the limit that is taken where none is stated; Norton, text at Fig. 7-2, as quoted."""
    limit = SELECTOR_DRUM.input("limit")
    assert limit.default == "30 °"
    found = SELECTOR_DRUM.compute(positions=9.0, travel=11.0, dwell=0.35, pin=8.0, depth=6.0)
    assert found["pressure_angle"] == pytest.approx(30, abs=1e-9)
    assert any("Fig. 7-2" in source for source in SELECTOR_DRUM.sources)
    assert any("p. 19" in source for source in SELECTOR_DRUM.sources)  # RUL-2
    assert any("common practice, no source" in source for source in SELECTOR_DRUM.sources)  # RUL-6


def test_two_steel_cylinders_pressed_together() -> None:
    """STR-6. R 40 mm each, length 20 mm, 24.1 kN: p0 1447 MPa, shear 434. Boresi and Schmidt, ex. 17.3, p. 621.

    Together they press as a pin of 40 mm diameter does on a plane. Seen in a copy, second hand. STR-7: 0.300 p0.
    """
    pressure = pin_contact.contact_pressure(24_100.0, 20.0, 40.0, 200_000.0, 0.29)
    assert pressure == pytest.approx(1447, rel=3e-3)
    assert pin_contact.contact_shear(pressure) == pytest.approx(434, rel=3e-3)
