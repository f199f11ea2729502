"""Sizes to check a wheel by, found again without their formulas: by touching flanks numerically, and by hand."""

from __future__ import annotations

from math import acos, atan2, cos, hypot, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from scipy.optimize import brentq, minimize, minimize_scalar

from ledger.building.sections.gears.data import gear_data
from ledger.building.sections.gears.wheels import Wheel, geometry_of, pair_on
from ledger.mechanics import gear_checks, gear_geometry, tooth_sizes
from tests.spans import span_touch

PRESSURE = pi / 9


def space_foot(teeth: int, shift: float, helix: float = 0.0) -> float:
    """Half the angle of a space on the base circle [rad], from pitch and thickness on the reference circle."""
    across = atan2(tan(PRESSURE), cos(helix))
    thick = (pi / 2 + 2 * shift * tan(PRESSURE)) / teeth
    return pi / teeth - thick - (tan(across) - across)


def flank_point(base: float, foot: float, rolled: float) -> tuple[float, float]:
    """A point of the flank beside a space whose middle is the x axis: unwound from the base circle by a string."""
    from_middle = foot + rolled
    return (
        base / 2 * (cos(from_middle) + rolled * sin(from_middle)),
        base / 2 * (sin(from_middle) - rolled * cos(from_middle)),
    )


def seated_pin(module: float, teeth: int, shift: float, pin: float) -> tuple[float, float]:
    """How far off the middle a pin lies that just touches both flanks, and the radius on which it does, by search."""
    base, foot = module * teeth * cos(PRESSURE), space_foot(teeth, shift)

    def nearest(middle: float) -> tuple[float, float]:
        def gap(rolled: float) -> float:
            x, y = flank_point(base, foot, rolled)
            return hypot(x - middle, y)

        found = minimize_scalar(gap, bounds=(1e-9, 1.5), method="bounded", options={"xatol": 1e-12})
        return found.fun, found.x

    outwards = base / 2 * (1 + 1e-9), base
    middle = brentq(lambda place: nearest(place)[0] - pin / 2, *outwards, xtol=1e-12)
    return middle, hypot(*flank_point(base, foot, nearest(middle)[1]))


@pytest.mark.parametrize(
    ("module", "teeth", "shift", "pin"),
    [(1.0, 20, 0.0, 1.7), (1.0, 21, 0.0, 1.7), (1.5, 31, 0.4, 3.0), (0.8, 12, 0.35, 2.0), (2.0, 60, -0.2, 3.5)],
)
def test_pins_touch_both_flanks(module: float, teeth: int, shift: float, pin: float) -> None:
    """Middle and touching circle are those of a circle tangent to both flanks; with odd teeth the pins stand askew."""
    middle, touched = seated_pin(module, teeth, shift, pin)
    across = 1.0 if teeth % 2 == 0 else cos(pi / 2 / teeth)
    size = tooth_sizes.over_pins(module, teeth, shift, pin)
    assert size == pytest.approx(2 * middle * across + pin, rel=1e-9)
    assert gear_checks.pin_touch(module, teeth, shift, pin) / 2 == pytest.approx(touched, rel=1e-6)


def test_thicker_teeth_are_refused_by_their_pins() -> None:
    """The check can fail: teeth thicker by a hundredth of the module show in the size over pins."""
    middle, _ = seated_pin(1.0, 20, 0.01 / 2 / tan(PRESSURE), 1.7)
    assert abs(tooth_sizes.over_pins(1.0, 20, 0.0, 1.7) - (2 * middle + 1.7)) > 0.02


def distance_to_screw(base: float, lead: float, foot: float, middle: float) -> tuple[float, float]:
    """Least distance of a point on the x axis from an involute screw surface, and the radius there, by search."""

    def place(at: np.ndarray) -> np.ndarray:
        rolled, height = at
        x, y = flank_point(base, foot, rolled)
        turn = height / lead
        return np.array([x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn), height])

    def squared(at: np.ndarray) -> float:
        return float(np.sum((place(at) - np.array([middle, 0.0, 0.0])) ** 2))

    begun = minimize(squared, np.array([0.4, 0.0]), method="Nelder-Mead", options={"xatol": 1e-11, "fatol": 1e-18})
    found = minimize(squared, begun.x, method="Nelder-Mead", options={"xatol": 1e-12, "fatol": 1e-20})
    return sqrt(found.fun), hypot(*place(found.x)[:2])


@pytest.mark.parametrize(("teeth", "shift", "helix", "ball"), [(20, 0.4, 15.0, 2.0), (33, 0.0, 30.0, 2.0)])
def test_balls_touch_the_leaning_flanks(teeth: int, shift: float, helix: float, ball: float) -> None:
    """In space, a ball that just touches the screw surface of one flank; the other follows by symmetry."""
    lean = radians(helix)
    base = float(gear_geometry.base_diameter(1, teeth, PRESSURE, lean))
    lead = base / 2 / tan(float(gear_geometry.base_helix(PRESSURE, lean)))
    foot = space_foot(teeth, shift, lean)
    found = brentq(
        lambda middle: distance_to_screw(base, lead, foot, middle)[0] - ball / 2, 0.55 * base, 0.62 * base, xtol=1e-9
    )
    across = 1.0 if teeth % 2 == 0 else cos(pi / 2 / teeth)
    size = tooth_sizes.over_pins(1, teeth, shift, ball, PRESSURE, lean)
    assert size == pytest.approx(2 * found * across + ball, abs=2e-6)
    touched = distance_to_screw(base, lead, foot, found)[1]
    assert gear_checks.pin_touch(1, teeth, shift, ball, PRESSURE, lean) / 2 == pytest.approx(touched, abs=1e-4)


@pytest.mark.parametrize(
    ("teeth", "shift", "helix"), [(20, 0.0, 0.0), (17, 0.4, 0.0), (20, 0.4, 15.0), (40, 0.1, 30.0)]
)
def test_the_ideal_pin_touches_at_mid_height(teeth: int, shift: float, helix: float) -> None:
    """On the circle d + 2 x m, for leaning teeth as well."""
    lean = radians(helix)
    pin = gear_checks.ideal_pin(2, teeth, shift, PRESSURE, lean)
    middle = gear_geometry.reference_diameter(2, teeth, lean) + 4 * shift
    assert gear_checks.pin_touch(2, teeth, shift, pin, PRESSURE, lean) == pytest.approx(middle, rel=1e-12)


@pytest.mark.parametrize(("teeth", "shift", "spanned"), [(20, 0.0, 3), (31, 0.4, 4), (12, 0.3, 2)])
def test_span_faces_touch_where_the_base_tangent_meets_the_flanks(teeth: int, shift: float, spanned: int) -> None:
    """Flat faces square to the y axis touch the outer flanks of k teeth about it where these reach farthest."""
    base, foot = teeth * cos(PRESSURE), space_foot(teeth, shift)
    outer = spanned * pi / teeth - foot

    def flank(rolled: float) -> tuple[float, float]:
        at = outer - rolled
        return base * (cos(at) - rolled * sin(at)), base * (sin(at) + rolled * cos(at))

    farthest = minimize_scalar(
        lambda rolled: -flank(rolled)[1], bounds=(0, 1.5), method="bounded", options={"xatol": 1e-9}
    )
    assert tooth_sizes.span(2, teeth, shift, spanned) == pytest.approx(-2 * farthest.fun, rel=1e-12)
    touched = hypot(*flank(farthest.x))
    assert span_touch(teeth, shift, spanned) == pytest.approx(touched, rel=1e-7)


@pytest.mark.parametrize("helix", [0.0, 20.0])
def test_spans_are_chosen_as_by_trying_all(helix: float) -> None:
    """Of all spans that touch the flank, the one nearest to the real number of teeth."""
    lean = radians(helix)
    for teeth in (*range(8, 60, 5), 120):
        for shift in (-0.3, 0.0, 0.5, 0.9):
            wheel = Wheel(1.5, teeth, shift, 10, helix)
            mate = 80
            distance = float(gear_geometry.centre_distance(1.5, teeth, mate, shift, PRESSURE, lean))
            own = geometry_of(pair_on(distance, 1.5, teeth, mate, 10, helix=helix, shift_1=shift))["wheels"][0]
            form, tip = float(own["form"]), wheel.top
            given = 1.5, teeth, shift
            fits = [k for k in range(2, 60) if form < 1.5 * span_touch(teeth, shift, k, lean) < tip]
            found = gear_checks.chosen_span(*given, form, tip, PRESSURE, lean)
            if not fits:
                assert found == 0
                continue
            wanted = 0.0
            if tooth_sizes.span_touches(teeth, shift, PRESSURE, lean):
                wanted = float(tooth_sizes.spanned_teeth(teeth, shift, PRESSURE, lean))
            assert found in fits
            assert abs(found - wanted) <= min(abs(k - wanted) for k in fits) + 1e-6


def test_pins_are_chosen_as_by_trying_all() -> None:
    """Of the stock that touches the flank, stands out and clears the root, the nearest to the ideal one; else none."""
    for teeth in range(9, 70, 4):
        for shift in (0.0, 0.4):
            data = gear_data(
                pair_on(float(gear_geometry.centre_distance(1, teeth, 70, shift)), 1, teeth, 70, 9, shift_1=shift)
            )
            one = data.first
            ideal = gear_checks.ideal_pin(1, teeth, one.generated)
            fits = []
            for pin in gear_checks.PINS:
                try:
                    size = float(tooth_sizes.over_pins(1, teeth, one.generated, pin))
                except ValueError:
                    continue
                across = 1.0 if teeth % 2 == 0 else cos(pi / 2 / teeth)
                bottom = (size - pin) / across - pin
                touched = gear_checks.pin_touch(1, teeth, one.generated, pin)
                if one.form < touched < one.tip and size >= one.tip + 0.1 and bottom > one.root:
                    fits.append(pin)
            assert one.stock_pin == bool(fits)
            if fits:
                assert one.pin == min(fits, key=lambda pin: abs(pin - ideal))
            else:
                assert one.pin == pytest.approx(ideal, abs=5.1e-3)


@pytest.mark.parametrize("teeth", [20, 21])
def test_a_thicker_pin_raises_the_size_by_more_than_itself(teeth: int) -> None:
    """By (1 + c / sin φ) δ, as a wedge lifts it; beside the difference of two sizes."""
    seat = float(gear_geometry.inverse_inv(tooth_sizes.pin_seat(1.5, teeth, 0.2, 3.0)))
    across = 1.0 if teeth % 2 == 0 else cos(pi / 2 / teeth)
    sizes = [float(tooth_sizes.over_pins(1.5, teeth, 0.2, pin)) for pin in (2.9999, 3.0001)]
    assert (sizes[1] - sizes[0]) / 2e-4 == pytest.approx(1 + across / sin(seat), rel=1e-6)


def test_thinner_teeth_measure_less_by_what_they_are_thinner() -> None:
    """A tooth thinner by A shortens the span by A cos α_n: both its faces come nearer along the base tangent."""
    thin = gear_checks.generating_shift(0.2, 0.05, 2.0)
    lost = tooth_sizes.span(2, 25, 0.2, 4) - tooth_sizes.span(2, 25, thin, 4)
    assert lost == pytest.approx(0.05 * cos(PRESSURE), rel=1e-12)
    thick = [tooth_sizes.tooth_thickness(50, 2, 25, shift) for shift in (0.2, thin)]
    assert thick[0] - thick[1] == pytest.approx(0.05, rel=1e-12)


@pytest.mark.parametrize("helix", [0.0, 25.0])
def test_thinning_gives_the_backlash_asked_for(helix: float) -> None:
    """The pair made for a backlash has it, by pitch less thicknesses on the pitch circles."""
    pair = pair_on(48.0 if not helix else 52.6, 1.5, 22, 41, 12, helix=helix, backlash=0.08)
    lean = radians(helix)
    wide = 2 * pi * pair.distance / (22 + 41)
    for wheel, mate in ((pair.first, pair.second), (pair.second, pair.first)):
        pitch = 2 * pair.distance * wheel.teeth / (wheel.teeth + mate.teeth)
        wide -= float(tooth_sizes.tooth_thickness(pitch, 1.5, wheel.teeth, wheel.generated, PRESSURE, lean))
    assert wide == pytest.approx(0.08, abs=3e-4)
    assert gear_data(pair).backlash == pytest.approx(wide, abs=1e-9)


def test_shifts_are_divided_as_by_hand() -> None:
    """z 20/40, sum 0.6: x = 0.5 · 1/3 + 0.6/3; wheels may be stated in either order."""
    assert gear_checks.split_shifts(0.6, 20, 40) == pytest.approx((0.5 / 3 + 0.2, 0.4 - 0.5 / 3))
    assert gear_checks.split_shifts(0.6, 40, 20) == pytest.approx((0.4 - 0.5 / 3, 0.5 / 3 + 0.2))
    assert gear_checks.split_shifts(0.3, 25, 25) == pytest.approx((0.15, 0.15))


def test_undercut_is_kept_off_where_the_sum_allows_it() -> None:
    """z 8 needs 1 − 8 sin² 20°/2 = 0.532 against undercut; where the sum is short, both wheels lack the same."""
    least = 1 - 8 * sin(PRESSURE) ** 2 / 2
    assert gear_checks.split_shifts(0.0, 8, 40)[0] == pytest.approx(least)
    assert gear_checks.split_shifts(0.0, 8, 40)[1] == pytest.approx(-least)
    one, two = gear_checks.split_shifts(0.0, 8, 9)
    second = 1 - 9 * sin(PRESSURE) ** 2 / 2
    assert least - one == pytest.approx(second - two)
    assert gear_checks.split_shifts(1.2, 60, 8)[1] >= least


def test_active_flanks_begin_where_the_mates_tip_leaves_the_line_of_action() -> None:
    """The mate's tip circle cut with the line of action, by coordinates."""
    pair = pair_on(46.0, 1.5, 20, 40, 12)
    data = gear_data(pair)
    working = acos((data.first.base + data.second.base) / 2 / pair.distance)
    foot = np.array([pair.distance - data.second.base / 2 * cos(working), data.second.base / 2 * sin(working)])
    along = np.array([-sin(working), -cos(working)])
    reach = sqrt(data.second.tip**2 - data.second.base**2) / 2
    assert data.first.active / 2 == pytest.approx(float(np.hypot(*(foot + reach * along))), rel=1e-9)
