"""Printed values of gear geometry: involutes, pairs with profile shift, helical wheels, sizes for measuring."""

from __future__ import annotations

from math import degrees, radians

import pytest

from ledger.mechanics import gear_geometry as geometry
from ledger.mechanics.gear_pair import PROFILES, gear_pair

PRESSURE = geometry.PRESSURE


@pytest.mark.parametrize(
    ("angle", "printed"), [(14.5, 0.0055448), (20, 0.0149044), (22.5, 0.0215145), (25, 0.0299753), (30, 0.0537515)]
)
def test_involutes_are_those_of_the_tables(angle: float, printed: float) -> None:
    """GEO-1: Machinery's Handbook, involute functions (20 and 25 degrees seen in a copy, the rest recomputed)."""
    assert geometry.inv(radians(angle)) == pytest.approx(printed, abs=5e-8)
    assert degrees(geometry.inverse_inv(geometry.inv(radians(angle)))) == pytest.approx(angle, abs=1e-10)


def test_a_shifted_spur_pair_has_its_printed_sizes() -> None:
    """GEO-2: KHK, Gear Technical Reference, Table 4.3 (seen in a copy): m 3, 12/24 teeth, x 0.6/0.36."""
    pair = gear_pair(3, 12, 24, 0.6, 0.36, 30)
    one, two = pair["wheels"]
    assert geometry.inv(pair["working"]) == pytest.approx(0.034316, abs=5e-7)
    assert degrees(pair["working"]) == pytest.approx(26.0886, abs=5e-5)
    assert (pair["distance"] - 54) / 3 == pytest.approx(0.83329, abs=5e-6)
    assert pair["distance"] == pytest.approx(56.4999, abs=5e-5)
    assert pair["contact_ratio"] == pytest.approx(1.202, abs=5e-4)
    for wheel, base, pitch, addendum, tip, root in (
        (one, 33.8289, 37.667, 4.420, 44.840, 32.100),
        (two, 67.6579, 75.333, 3.700, 79.400, 66.660),
    ):
        assert wheel["base"] == pytest.approx(base, abs=5e-5)
        assert wheel["pitch"] == pytest.approx(pitch, abs=5e-4)
        assert (wheel["tip"] - wheel["reference"]) / 2 == pytest.approx(addendum, abs=5e-4)
        assert wheel["tip"] == pytest.approx(tip, abs=5e-4)
        assert wheel["root"] == pytest.approx(root, abs=5e-4)
        assert (wheel["tip"] - wheel["root"]) / 2 == pytest.approx(6.370, abs=5e-4)


def test_without_cutting_back_the_tips_the_contact_ratio_is_not_the_printed_one() -> None:
    """GEO-2 again: a pair whose tips keep their full height gives another contact ratio, so the check can fail."""
    assert abs(gear_pair(3, 12, 24, 0.6, 0.36, 30, shortened=False)["contact_ratio"] - 1.202) > 0.05


def test_a_shifted_helical_pair_has_its_printed_sizes() -> None:
    """KHK, Gear Technical Reference, helical gears, normal system (from memory, recomputed): m 3, 30 degrees."""
    pair = gear_pair(3, 12, 60, 0.09809, 0, 30, 30.0)
    one, two = pair["wheels"]
    assert degrees(pair["transverse"]) == pytest.approx(22.79588, abs=5e-6)
    assert degrees(pair["working"]) == pytest.approx(23.1126, abs=5e-5)
    assert geometry.inv(pair["working"]) == pytest.approx(0.023405, abs=5e-7)
    assert pair["distance"] == pytest.approx(125.000, abs=5e-4)
    assert [float(one[name]) for name in ("reference", "base", "pitch", "root")] == pytest.approx(
        [41.569, 38.322, 41.667, 34.658], abs=5e-4
    )
    assert [float(two[name]) for name in ("reference", "base", "pitch", "root")] == pytest.approx(
        [207.846, 191.611, 208.333, 200.346], abs=5e-4
    )
    assert geometry.profile_shift_sum(125.0, 3, 12, 60, PRESSURE, radians(30)) == pytest.approx(0.09809, abs=5e-6)


def test_a_stated_centre_distance_asks_for_the_printed_sum_of_shifts() -> None:
    """ISO 21771:2007, Eq. 62, worked in a published sheet (seen in a copy): m 3.5, 31/30, 116.5 mm, 21 degrees."""
    helix = radians(21)
    assert degrees(geometry.transverse_angle(PRESSURE, helix)) == pytest.approx(21.2990642859, abs=5e-10)
    assert geometry.centre_distance(3.5, 31, 30, 0.0, PRESSURE, helix) == pytest.approx(114.3447280708, abs=5e-9)
    working = geometry.working_angle_at(116.5, 3.5, 31, 30, PRESSURE, helix)
    assert degrees(working) == pytest.approx(23.8707609654, abs=5e-9)
    assert geometry.profile_shift_sum(116.5, 3.5, 31, 30, PRESSURE, helix) == pytest.approx(0.6518771312, abs=5e-10)


def test_spans_are_the_printed_ones() -> None:
    """GEO-3: KHK Table 5.10 (SDP/SI, Metric Gear Technology, section 10; seen in a copy): m 3, z 24, x 0.4."""
    assert geometry.spanned_teeth(24, 0.4) == pytest.approx(3.7879, abs=5e-5)
    assert geometry.span(3, 24, 0.4, 4) == pytest.approx(32.8266, abs=5e-5)
    assert geometry.span(3, 24, 0.4, 5) == pytest.approx(41.6830, abs=5e-5)


def test_a_helical_span_is_the_printed_one() -> None:
    """KHK, span of helical gears, normal system (from memory, recomputed): m 3, 25 degrees, z 24, x 0.4."""
    helix = radians(25)
    assert degrees(geometry.transverse_angle(PRESSURE, helix)) == pytest.approx(21.88023, abs=5e-6)
    assert geometry.spanned_teeth(24, 0.4, PRESSURE, helix) == pytest.approx(4.63009, abs=5e-6)
    assert geometry.span(3, 24, 0.4, 5, PRESSURE, helix) == pytest.approx(42.0085, abs=5e-5)


def test_a_size_over_pins_is_the_printed_one() -> None:
    """GEO-4: KHK and SDP/SI section 10, example over pins (from memory, recomputed): m 1, z 20, pins of 1.7."""
    assert geometry.over_pins(1, 20, 0, 1.7) == pytest.approx(22.2941, abs=1e-4)
    seat = geometry.inverse_inv(0.0268197)
    assert degrees(seat) == pytest.approx(24.1350, abs=1e-4)
    assert geometry.base_diameter(1, 20) / geometry.cos(seat) + 1.7 == pytest.approx(22.2941, abs=1e-4)


def test_chordal_sizes_are_the_printed_ones() -> None:
    """GEO-5: SDP/SI, Elements of Metric Gear Technology, Table 10-1, p. T-81 (seen in a copy): m 10, z 12, x 0.3."""
    assert geometry.tooth_thickness(120, 10, 12, 0.3) == pytest.approx(17.8918, abs=5e-5)
    thickness, height = geometry.chordal_thickness(10, 12, 0.3, 1.3)
    assert thickness == pytest.approx(17.8256, abs=5e-5)
    assert height == pytest.approx(13.6657, abs=5e-5)


def test_a_path_of_contact_is_the_printed_one() -> None:
    """GEO-6: Khurmi and Gupta, Theory of Machines, ex. 12.3, p. 398 (seen in a copy): 30/80, m 12, addendum 10 mm."""
    one, two = geometry.base_diameter(12, 30), geometry.base_diameter(12, 80)
    path = geometry.path_of_contact(380, 980, one, two, 660, PRESSURE)
    assert sum(path) == pytest.approx(52.258, rel=1e-3)
    assert sum(path) / geometry.cos(PRESSURE) == pytest.approx(55.61, rel=1e-3)
    ratio = geometry.contact_ratio(380, 980, one, two, 660, PRESSURE, geometry.base_pitch(12))
    assert ratio == pytest.approx(1.475, rel=1e-3)


def test_engagement_and_sliding_are_the_printed_ones() -> None:
    """GEO-7: Khurmi and Gupta, ex. 12.4, p. 399 (seen in a copy): 20/40, m 5, 1.2 m/s at the pitch line."""
    base = geometry.base_diameter(5, 20)
    path = geometry.path_of_contact(110, 210, base, geometry.base_diameter(5, 40), 150, PRESSURE)
    assert degrees(sum(path) / (base / 2)) == pytest.approx(29.43, rel=1e-3)
    assert max(path) * (1200 / 50 + 1200 / 100) == pytest.approx(455.3, rel=1e-3)


def test_the_least_teeth_without_interference_are_the_printed_ones() -> None:
    """GEO-8: Khurmi and Gupta, ex. 12.9, p. 410 (13 for equal wheels seen in a copy; 15 and 17.10 recomputed)."""
    for teeth, ratio in ((13, 1), (15, 3)):
        for fewer, interferes in ((0, False), (1, True)):
            pinion = teeth - fewer
            assert gear_pair(1, pinion, pinion * ratio, 0, 0, 10)["wheels"][1]["interferes"] == interferes
    assert geometry.undercut_limit(17.10) == pytest.approx(0, abs=5e-4)


def test_the_racks_are_those_of_iso_53() -> None:
    """RACK-1 (ISO 53:1998, Tables 2 and A.1, seen) and RACK-2 (from memory, as is D): addendum, dedendum, rounding."""
    printed = {"A": (1.0, 1.25, 0.38), "B": (1.0, 1.25, 0.30), "C": (1.0, 1.25, 0.25), "D": (1.0, 1.4, 0.39)}
    assert printed == PROFILES
