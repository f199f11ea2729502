"""Printed values by which finished wheels are checked: spans, pins, sizes over pins and balls, and a pair's data."""

from __future__ import annotations

from math import degrees, radians

import pytest

from ledger.building.sections.gears.data import gear_data
from ledger.building.sections.gears.wheels import Wheel, pair_on
from ledger.mechanics import gear_checks, gear_geometry, tooth_sizes

PRESSURE = tooth_sizes.PRESSURE
SHIFTS = (-0.4, -0.2, 0.0, 0.2, 0.4, 0.6, 0.8, 1.0)


@pytest.mark.parametrize(
    ("teeth", "printed"),
    [
        (10, (None, 1.6348, 1.7886, 1.9979, 2.2687, 2.6079, 3.0248, 3.5315)),
        (20, (1.6231, 1.6599, 1.7244, 1.8149, 1.9306, 2.0718, 2.2389, 2.4329)),
        (30, (1.6418, 1.6649, 1.7057, 1.7632, 1.8369, 1.9267, 2.0324, 2.1542)),
        (40, (1.6500, 1.6669, 1.6967, 1.7389, 1.7930, 1.8589, 1.9365, 2.0257)),
    ],
)
def test_pins_at_mid_height_are_the_printed_ones(teeth: int, printed: tuple[float | None, ...]) -> None:
    """KHK, Gear Technical Reference, "Size of pin which meshes at d + 2 x m", m 1, 20 degrees (from memory)."""
    for shift, size in zip(SHIFTS, printed, strict=True):
        if size is not None:
            assert gear_checks.ideal_pin(1, teeth, shift) == pytest.approx(size, abs=1.01e-4)


def test_a_pin_at_mid_height_is_found_by_the_printed_steps() -> None:
    """KHK and SDP/SI section 10, pin size for spur gears (from memory): z 20, x 0: 0.0636354, 0.4276057, 1.7245.

    The last digit of the pin was printed from rounded steps.
    """
    half = gear_geometry.pi / 40 - gear_geometry.inv(PRESSURE)
    assert half == pytest.approx(0.0636354, abs=5e-8)
    assert gear_geometry.tan(PRESSURE) + half == pytest.approx(0.4276057, abs=1e-7)
    assert gear_checks.ideal_pin(1, 20) == pytest.approx(1.7245, abs=1e-4)
    assert gear_checks.pin_touch(1, 20, 0, gear_checks.ideal_pin(1, 20)) == pytest.approx(20, abs=1e-12)


def test_a_size_over_balls_is_the_printed_one() -> None:
    """KHK and SDP/SI section 10, over balls, normal system (from memory): m 1, z 20, 15 degrees, x 0.4, balls of 2."""
    helix = radians(15)
    assert degrees(tooth_sizes.transverse_angle(PRESSURE, helix)) == pytest.approx(20.646896, abs=5e-7)
    seat = tooth_sizes.pin_seat(1, 20, 0.4, 2, PRESSURE, helix)
    assert seat == pytest.approx(0.058890, abs=5e-7)
    assert degrees(gear_geometry.inverse_inv(seat)) == pytest.approx(30.8534, abs=5e-5)
    assert tooth_sizes.over_pins(1, 20, 0.4, 2, PRESSURE, helix) == pytest.approx(24.5696, abs=5e-5)


def test_a_ball_at_mid_height_is_near_the_printed_one() -> None:
    """The same source finds 1.9020 over the virtual spur wheel; the ball that truly touches there differs by 0.2 %."""
    assert gear_checks.ideal_pin(1, 20, 0.4, PRESSURE, radians(15)) == pytest.approx(1.9020, rel=2e-3)


@pytest.mark.parametrize(
    ("teeth", "over", "printed"),
    [
        (9, 2, 4.5542), (17, 2, 4.6663), (18, 3, 7.6324), (19, 3, 7.6464), (20, 3, 7.6604), (26, 3, 7.7445),
        (27, 4, 10.7106), (30, 4, 10.7526), (36, 5, 13.7888), (40, 5, 13.8448), (45, 6, 16.8670),
    ],
)  # fmt: skip
def test_spans_of_standard_wheels_are_the_tabled_ones(teeth: int, over: int, printed: float) -> None:
    """Table of base tangent lengths of m 1, 20 degrees, x 0, as gear handbooks have it (from memory); k and W both."""
    wheel = Wheel(1.0, teeth)
    form = gear_data_form(wheel)
    assert gear_checks.chosen_span(1, teeth, 0, form, wheel.top) == over
    assert tooth_sizes.span(1, teeth, 0, over) == pytest.approx(printed, abs=5.1e-5)


def gear_data_form(wheel: Wheel) -> float:
    """Form diameter of a wheel beside a mate of 60 teeth."""
    pair = pair_on((wheel.teeth + 60) / 2, 1.0, wheel.teeth, 60, 10, shift_1=0.0)
    return gear_data(pair).first.form


def test_a_shifted_pair_on_its_distance_has_its_printed_data() -> None:
    """KHK, Gear Technical Reference, Table 4.3 (seen in a copy): m 3, 12/24 teeth on 56.4999 mm, x 0.6 and 0.36."""
    data = gear_data(pair_on(56.4999, 3, 12, 24, 20, shift_1=0.6))
    assert data.second.shift == pytest.approx(0.36, abs=1e-4)
    assert data.working_angle == pytest.approx(26.0886, abs=2e-4)
    assert data.contact_ratio == pytest.approx(1.202, abs=1e-3)
    assert (data.first.tip, data.second.tip) == pytest.approx((44.840, 79.400), abs=1e-3)
    assert (data.first.root, data.second.root) == pytest.approx((32.100, 66.660), abs=1e-3)
    assert (data.first.pitch, data.second.pitch) == pytest.approx((37.667, 75.333), abs=5e-4)


def test_a_span_on_its_wheel_is_the_printed_one() -> None:
    """KHK Table 5.10 (SDP/SI, Metric Gear Technology, section 10; seen in a copy): m 3, z 24, x 0.4, k 4, 32.8266."""
    distance = float(gear_geometry.centre_distance(3, 24, 40, 0.4))
    found = gear_data(pair_on(distance, 3, 24, 40, 20, shift_1=0.4)).first
    assert (found.spanned, found.span) == (4, pytest.approx(32.8266, abs=5e-5))
