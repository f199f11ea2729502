"""Printed tooth counts, ratios, modules and centre distances."""

from __future__ import annotations

import pytest

from ledger.mechanics.standard_modules import SERIES_1, SERIES_2
from ledger.mechanics.tooth_pairs import CUT_OFF, ROUNDED, meetings, printed_range
from tests.gearboxes import beside, exact, gear, pairs_of, weigh

MEASURED = "measured or wanted"


def test_modules_of_series_one() -> None:
    """MOD-1. ISO 54:1996, Table 1, series I from 1 mm up; the printed table was seen."""
    printed = "1 1.25 1.5 2 2.5 3 4 5 6 8 10 12 16 20 25 32 40 50"
    assert tuple(float(one) for one in printed.split()) == SERIES_1


def test_modules_of_series_two() -> None:
    """MOD-2. ISO 54:1996, Table 1, series II; the printed table was seen."""
    printed = "1.125 1.375 1.75 2.25 2.75 3.5 4.5 5.5 6.5 7 9 11 14 18 22 28 36 45"
    assert tuple(float(one) for one in printed.split()) == SERIES_2


def test_a_lay_shaft_box_is_found_from_its_printed_ratios() -> None:
    """PAIR-1. Jindal, Machine Design, ex. 29-2, p. 751: constant pair 23:47, then 20:50 and 33:37, all summing to 70.

    Its ratios to three decimals are 5.109 and 2.291; reverse, 5.676, has an idler and lies on no common distance.
    """
    found = weigh(
        [gear("1", 5.109), gear("2", 2.291), gear("reverse", 5.676, shared=False)],
        beside=[beside("constant pair", 23, 47)],
        same=1.0,
        least=18,
        most=60,
    )
    assert found["sum"] == 70
    assert (20, 50) in pairs_of(found, "1")
    assert (33, 37) in pairs_of(found, "2")
    assert (18, 50) in pairs_of(found, "reverse")
    for row in found["pairs"]:
        stated = {"1": 5.109, "2": 2.291, "reverse": 5.676}[row["gear"]]
        assert row["ratio"] * 47 / 23 == pytest.approx(stated, abs=5e-4)


def test_a_lay_shaft_box_is_not_the_only_one_by_ratio_alone() -> None:
    """PAIR-1 again: with a module and distance of the same sum, 70, the first two pairs are certain."""
    found = weigh(
        [gear("1", 5.109), gear("2", 2.291)],
        beside=[beside("constant pair", 23, 47)],
        distance=exact(35 * 4.0),
        module=exact(4.0),
        same=1.0,
        shift_low=0.0,
        shift_high=0.0,
        odd=0.0,
        own=0.0,
    )
    assert found["set"] == "1 20:50, 2 33:37"
    assert found["set_chance"] == pytest.approx(1)


def test_two_stages_between_the_same_shafts() -> None:
    """Ratio 12, 4 of it in the first stage; pinions of 16 and 15 teeth, modules 3 and 4: wheels of 64 and 45, 120 mm.

    A national entrance examination in mechanical engineering (India), linked questions; seen in two copies, with
    answers 64 and 45, and 120 mm among the distances offered (4·(15 + 45)/2 = 3·(16 + 64)/2).
    """
    for module, pinion, ratio, wheel in ((3.0, 16, 4.0, 64), (4.0, 15, 3.0, 45)):
        row = gear("stage", ratio, MEASURED, driver=pinion)
        found = weigh(
            [row], distance=exact(120.0), module=exact(module), shift_low=0.0, shift_high=0.0, closeness=0.001
        )
        assert (found["driver"], found["driven"]) == (pinion, wheel)
        assert found["pair_chance"] == pytest.approx(1)
        assert found["pairs"][0]["closes with x₁ + x₂"] in ("+0.000", "-0.000")


def test_the_sliding_box_of_a_course() -> None:
    """Wanted 4, 2.24 and 1.38 with a constant pair of 20:40 and sums of 60: 20:40, then 36:24 before 35:25 for third.

    A distance-learning course on gear trains, example of a conventional automobile gear box; seen in a copy: "1.333 is
    nearer to 1.38 than 1.4286", which are 2·24/36 and 2·25/35.
    """
    found = weigh(
        [gear("1", 4.0, MEASURED), gear("2", 2.24, MEASURED), gear("3", 1.38, MEASURED)],
        beside=[beside("constant pair", 20, 40)],
        module=exact(4.0),
        distance=exact(120.0),
        shift_low=0.0,
        shift_high=0.0,
        same=1.0,
        least=18,
        closeness=0.03,
    )
    assert found["sum"] == 60
    first, second, third = (pairs_of(found, name) for name in "123")
    assert max(first, key=first.get) == (20, 40)
    assert max(second, key=second.get) == (28, 32)
    assert max(third, key=third.get) == (36, 24)
    assert third[36, 24] > third[35, 25]
    course = {row["driving"]: 2 * row["ratio"] for row in found["pairs"] if row["gear"] == "3"}
    assert course[36] == pytest.approx(1.333, abs=5e-4)
    assert course[35] == pytest.approx(1.4286, abs=5e-5)


@pytest.mark.parametrize(
    ("driver", "driven", "printed"), [(50, 37, 0.740), (14, 69, 4.929), (49, 32, 0.653), (17, 71, 4.176)]
)
def test_ratios_in_service_manuals(driver: int, driven: int, printed: float) -> None:
    """Printed beside their tooth counts in two makers' service manuals, to three decimals; seen in copies.

    4.929 for 69 to 14 (4.92857…) shows that they round; 32 to 49 is 0.65306 and would be printed so either way.
    """
    low, high = printed_range(printed, 3, ROUNDED)
    assert low <= driven / driver <= high
    low, high = printed_range(printed, 3, CUT_OFF)
    assert (low <= driven / driver < high) == (printed != 4.929)
    found = weigh([gear("g", printed), gear("h", 1.0)], least=14, most=71, same=0.0, spread=12)
    assert found["fits"]


def test_a_table_that_was_rounded_is_known_for_it() -> None:
    """A service manual's 4.929 for 69:14 cannot have been cut off (seen in a copy): told the counts, we say so."""
    row = gear("axle", 4.929, "rounded or cut off", driver=14, driven=69)
    assert weigh([row])["cut_off_chance"] == 0


def test_sums_of_teeth_differ_within_real_boxes() -> None:
    """13:44, 25:44, 39:46, 47:42, 54:38 in one box, by a service manual's table of counts; seen in a copy.

    Sums 57, 69, 85, 89, 92: no common sum within three teeth, whatever the prior on the common one; with a chance that
    gears lie off it they fit, and that is told.
    """
    counts = [(13, 44), (25, 44), (39, 46), (47, 42), (54, 38)]
    rows = [
        gear(str(place), 0.0, MEASURED, driver=pair[0], driven=pair[1]) for place, pair in enumerate(counts, start=1)
    ]
    assert weigh(rows)["off_chance"] > 0.9
    found = weigh(rows, spread=3, odd=0.0)
    assert not found["fits"]
    assert "no common distance holds them together" in found["finding"]
    assert weigh([one | {"shared": False} for one in rows])["set_chance"] == pytest.approx(1)


@pytest.mark.parametrize(("first", "second", "divisor"), [(23, 67, 1), (20, 60, 20), (18, 54, 18)])
def test_common_divisors(first: int, second: int, divisor: int) -> None:
    """23 and 67 hunt; 20 and 60, 18 and 54 do not: a vibration handbook's glossary, "hunting tooth frequency"; seen."""
    assert meetings(first, second) == (first * second // divisor, divisor)


def test_the_profile_shift_that_closes_a_distance() -> None:
    """GEO-2. 12 and 24 teeth, module 3, close 56.4999 mm by x1 + x2 = 0.96. KHK Gear Technical Reference, Table 4.3."""
    row = gear("1", 0.0, MEASURED, driver=12, driven=24)
    found = weigh([row], distance=exact(56.4999), module=exact(3.0))
    assert found["pairs"][0]["closes with x₁ + x₂"] == "+0.960"
    assert found["pairs"][0]["undercut"] == "avoided: 12 teeth from x = +0.30"  # 1 − 12 sin² 20°/2 = 0.2981
