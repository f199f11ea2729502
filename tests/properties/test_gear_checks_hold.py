"""What sizes to check a wheel by keep to, whatever the wheel: scale, order, arrays, limits."""

from __future__ import annotations

import subprocess
import sys
from ast import literal_eval
from itertools import pairwise
from math import cos, pi, radians, sin, tan
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.mechanics import gear_checks, gear_geometry, tooth_sizes
from tests.spans import span_touch

ROOT = Path(__file__).parents[2]
PRESSURE = pi / 9
WHEELS = {
    "teeth": st.integers(8, 200),
    "shift": st.floats(-0.4, 0.9),
    "helix": st.floats(0.0, radians(35)),
}
FORM, TIP, ROOT_CIRCLE = 0.985, 2.0, 2.5


def circles(module: float, teeth: int, shift: float, helix: float) -> tuple[float, float, float]:
    """Form, tip and root diameter, near enough to those of a wheel."""
    reference = float(gear_geometry.reference_diameter(module, teeth, helix))
    base = float(gear_geometry.base_diameter(module, teeth, PRESSURE, helix))
    middle = reference + 2 * shift * module
    return max(base * 1.0005, middle - 1.4 * module), middle + TIP * module, middle - ROOT_CIRCLE * module


@given(scale=st.floats(0.1, 20.0), **WHEELS)
def test_everything_grows_with_the_module(scale: float, teeth: int, shift: float, helix: float) -> None:
    """Lengths of a wheel k times as large are k times as long, counts stay."""
    one, large = circles(1.0, teeth, shift, helix), circles(scale, teeth, shift, helix)
    spanned = gear_checks.chosen_span(1.0, teeth, shift, one[0], one[1], PRESSURE, helix)
    assert gear_checks.chosen_span(scale, teeth, shift, large[0], large[1], PRESSURE, helix) == spanned
    if teeth * (1 - cos(PRESSURE)) + 2 * shift > 0.1:
        pin = gear_checks.ideal_pin(1.0, teeth, shift, PRESSURE, helix)
        assert gear_checks.ideal_pin(scale, teeth, shift, PRESSURE, helix) == pytest.approx(scale * pin, rel=1e-9)


@given(**WHEELS)
def test_a_chosen_span_touches_the_flank(teeth: int, shift: float, helix: float) -> None:
    """Between form and tip circle, or no span is named."""
    form, tip, _ = circles(1.0, teeth, shift, helix)
    spanned = gear_checks.chosen_span(1.0, teeth, shift, form, tip, PRESSURE, helix)
    if spanned:
        assert spanned >= 2
        assert form < span_touch(teeth, shift, spanned, helix) < tip


@given(module=st.floats(0.3, 8.0), **WHEELS)
def test_a_chosen_pin_can_be_measured_over(module: float, teeth: int, shift: float, helix: float) -> None:
    """It touches the flank, stands out by a tenth of the module, clears the root, and is one of the stock."""
    form, tip, root = circles(module, teeth, shift, helix)
    pin = float(gear_checks.chosen_pin(module, teeth, shift, form, tip, root, gear_checks.PINS, PRESSURE, helix))
    if pin:
        assert pin in gear_checks.PINS
        assert form < gear_checks.pin_touch(module, teeth, shift, pin, PRESSURE, helix) < tip
        assert tooth_sizes.over_pins(module, teeth, shift, pin, PRESSURE, helix) >= tip + 0.1 * module - 1e-9


@given(
    total=st.floats(-0.5, 2.0),
    first=st.integers(6, 100),
    second=st.integers(6, 100),
    allowance=st.floats(0.0, 0.2),
)
def test_divided_shifts_add_up_and_do_not_care_for_the_order(
    total: float, first: int, second: int, allowance: float
) -> None:
    """Their sum is the one asked for; the wheels named the other way round get the same shifts."""
    one, two = gear_checks.split_shifts(total, first, second, allowance_1=allowance)
    assert one + two == pytest.approx(total, abs=1e-12)
    if first != second:
        other, back = gear_checks.split_shifts(total, second, first, allowance_2=allowance)
        assert [float(back), float(other)] == pytest.approx([float(one), float(two)], abs=1e-12)
    least = [gear_geometry.undercut_limit(teeth) for teeth in (first, second)]
    if total >= sum(least) + allowance:
        assert one >= least[0] + allowance - 1e-12
        assert two >= least[1] - 1e-12


@given(thinning=st.floats(0.0, 0.5), shift=st.floats(-0.5, 1.0), module=st.floats(0.5, 5.0))
def test_thinner_teeth_are_generated_with_less_shift(thinning: float, shift: float, module: float) -> None:
    """By the thinning, back from the thickness."""
    generated = gear_checks.generating_shift(shift, thinning, module)
    assert generated <= shift
    assert 2 * (shift - generated) * module * tan(PRESSURE) == pytest.approx(thinning, abs=1e-9)


def test_arrays_give_what_floats_give() -> None:
    """Every function on arrays of draws, beside the same draws one at a time."""
    source = np.random.default_rng(3)
    teeth, shift = source.integers(9, 80, 40), source.uniform(-0.3, 0.8, 40)
    module, helix = source.uniform(0.5, 4, 40), source.uniform(0, 0.5, 40)
    form, tip, root = (np.array(each) for each in zip(*map(circles, module, teeth, shift, helix), strict=True))
    keep = teeth * (1 - cos(PRESSURE)) + 2 * shift > 0.1
    calls = {
        "span": lambda m, z, x, b, f, t, r: gear_checks.chosen_span(m, z, x, f, t, PRESSURE, b),
        "ideal": lambda m, z, x, b, f, t, r: gear_checks.ideal_pin(m, z, x, PRESSURE, b),
        "pin": lambda m, z, x, b, f, t, r: gear_checks.chosen_pin(m, z, x, f, t, r, gear_checks.PINS, PRESSURE, b),
        "seat": lambda m, z, x, b, f, t, r: gear_checks.pin_touch(m, z, x, 1.7 * m, PRESSURE, b),
        "split": lambda m, z, x, b, f, t, r: gear_checks.split_shifts(x, z, 30, 1.0, PRESSURE, b, 0.01, 0.02)[0],
        "thin": lambda m, z, x, b, f, t, r: gear_checks.thinning_for(0.05 * m, PRESSURE + 0.02, PRESSURE, b),
        "start": lambda m, z, x, b, f, t, r: gear_checks.active_start(f, t, f, t / 2.2)[0],
    }
    draws = tuple(one[keep] for one in (module, teeth, shift, helix, form, tip, root))
    for name, call in calls.items():
        together = call(*draws)
        alone = [float(call(*(one[place].item() for one in draws))) for place in range(int(keep.sum()))]
        assert together == pytest.approx(np.array(alone), rel=1e-12), name


def test_it_is_the_same_without_numpy() -> None:
    """In an interpreter without site packages, as in a reader's browser: to about the last digit."""
    program = (
        f"import sys; sys.path.insert(0, {str(ROOT)!r})\n"
        "from ledger.mechanics import gear_checks as checks\n"
        "given = (1.5, 21, 0.2)\n"
        "print(repr([float(one) for one in (\n"
        "    checks.chosen_span(*given, 30.5, 35.0), checks.chosen_pin(*given, 30.5, 35.0, 28.0),\n"
        "    checks.ideal_pin(*given), checks.pin_touch(*given, 2.5),\n"
        "    *checks.split_shifts(0.4, 21, 33))]))\n"
    )
    done = subprocess.run([sys.executable, "-I", "-S", "-c", program], capture_output=True, text=True, check=True)
    given_here = 1.5, 21, 0.2
    here = [
        gear_checks.chosen_span(*given_here, 30.5, 35.0),
        gear_checks.chosen_pin(*given_here, 30.5, 35.0, 28.0),
        gear_checks.ideal_pin(*given_here),
        gear_checks.pin_touch(*given_here, 2.5),
        *gear_checks.split_shifts(0.4, 21, 33),
    ]
    assert literal_eval(done.stdout) == pytest.approx([float(one) for one in here], rel=1e-12)


@given(shift=st.floats(-0.3, 0.8))
def test_of_ever_more_teeth_the_pin_is_that_of_a_rack(shift: float) -> None:
    """Between straight flanks: touching on the line x m outside the datum, d_p = s_space / cos α = (π/2) m / cos α."""
    pin = gear_checks.ideal_pin(1.0, 1e6, shift)
    assert pin == pytest.approx(pi / 2 / cos(PRESSURE), rel=1e-5)


@given(teeth=st.integers(12, 90), helix=st.floats(0.0, 0.5))
def test_longer_mates_reach_farther_down(teeth: int, helix: float) -> None:
    """A greater tip of the mate lowers the active flank, to the base circle at most."""
    base = float(gear_geometry.base_diameter(1, teeth, PRESSURE, helix))
    mate = float(gear_geometry.base_diameter(1, 40, PRESSURE, helix))
    reference = float(gear_geometry.reference_diameter(1, teeth + 40, helix))
    whole = reference / 2 * sin(float(tooth_sizes.transverse_angle(PRESSURE, helix)))
    starts = [gear_checks.active_start(base, mate + more, mate, whole)[0] for more in (1.0, 2.0, 3.0, 5.0)]
    assert all(before >= after >= base for before, after in pairwise(starts))
