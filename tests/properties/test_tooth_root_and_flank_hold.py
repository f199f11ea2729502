"""What holds for every pair of gears: arrays as floats, helix running out into spur, inverses, scale."""

from __future__ import annotations

from math import pi, radians
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.calculators.contract import Calculator
from ledger.calculators.tooth_flank import TOOTH_FLANK
from ledger.calculators.tooth_root import TOOTH_ROOT
from ledger.mechanics import gear_geometry as geometry

BOTH = pytest.mark.parametrize("calculator", [TOOTH_ROOT, TOOTH_FLANK], ids=lambda one: one.name)
PAIRS = st.fixed_dictionaries(
    {
        "module": st.floats(0.3, 12),
        "teeth_1": st.integers(14, 80).map(float),
        "teeth_2": st.integers(14, 120).map(float),
        "shift_1": st.floats(-0.15, 0.5),
        "shift_2": st.floats(-0.15, 0.5),
        "width": st.floats(3, 80),
        "helix": st.floats(0.5, 35),
        "profile": st.sampled_from(["A", "B", "C", "D"]),
        "shortened": st.booleans(),
        "torque": st.floats(1, 4000),
        "strength_1": st.floats(100, 2000),
    }
)


def numbers(calculator: Calculator, found: dict[str, Any]) -> dict[str, Any]:
    """The numbers and truths among the outputs."""
    return {one.name: found[one.name] for one in calculator.outputs if one.form in ("number", "truth")}


@BOTH
@given(pair=PAIRS, spread=st.floats(0.001, 0.02))
@settings(deadline=None, max_examples=25)
def test_arrays_give_what_floats_give(calculator: Calculator, pair: dict, spread: float) -> None:
    """Draw by draw, with every real input spread."""
    drawn = ("module", "shift_1", "shift_2", "width", "helix", "torque", "strength_1")
    steps = 1 + spread * np.linspace(-1, 1, 5)
    many = numbers(calculator, calculator.compute(**pair | {name: pair[name] * steps for name in drawn}))
    for place in (0, 3):
        one = calculator.compute(**pair | {name: float(pair[name] * steps[place]) for name in drawn})
        for name, value in numbers(calculator, one).items():
            assert np.broadcast_to(many[name], 5)[place] == pytest.approx(value, rel=1e-9, abs=1e-12)
            assert np.isfinite(value)


@BOTH
@given(pair=PAIRS)
@settings(deadline=None, max_examples=25)
def test_a_helix_running_out_is_a_spur_gear(calculator: Calculator, pair: dict) -> None:
    """At a helix of a millionth of a degree every number is that of the spur pair."""
    spur = numbers(calculator, calculator.compute(**pair | {"helix": 0.0}))
    almost = numbers(calculator, calculator.compute(**pair | {"helix": 1e-6}))
    for name, value in spur.items():
        assert almost[name] == pytest.approx(value, rel=1e-5, abs=1e-7 * spur["tangential_force"] + 1e-5)


@BOTH
@given(pair=PAIRS, scale=st.floats(0.2, 8))
@settings(deadline=None, max_examples=25)
def test_a_model_to_scale_has_the_same_stress_at_torque_by_the_cube(
    calculator: Calculator, pair: dict, scale: float
) -> None:
    """Module and width times s, torque times s³: stresses, margins and ratios stay."""
    here = calculator.compute(**pair)
    scaled = {"module": pair["module"] * scale, "width": pair["width"] * scale, "torque": pair["torque"] * scale**3}
    there = calculator.compute(**pair | scaled)
    for name in ("stress_1", "stress_2", "least_margin", "contact_ratio", "overlap_ratio"):
        assert there[name] == pytest.approx(here[name], rel=1e-9, abs=1e-9)
    assert there["centre_distance"] == pytest.approx(scale * here["centre_distance"], rel=1e-12)


@BOTH
@given(pair=PAIRS, factor=st.floats(1.01, 3))
@settings(deadline=None, max_examples=25)
def test_load_factors_act_as_more_torque(calculator: Calculator, pair: dict, factor: float) -> None:
    """Any factor raises stress as that much more torque would, and never the margin."""
    more = calculator.compute(**pair | {"torque": pair["torque"] * factor})
    for name in ("application", "dynamic", "across", "among"):
        loaded = calculator.compute(**pair | {name: factor})
        assert loaded["stress_1"] == pytest.approx(more["stress_1"], rel=1e-9)
        assert loaded["least_margin"] < calculator.compute(**pair)["least_margin"]


@BOTH
@given(pair=PAIRS)
@settings(deadline=None, max_examples=25)
def test_the_held_torque_leaves_no_margin(calculator: Calculator, pair: dict) -> None:
    """At the torque that both wheels just bear the least margin is zero."""
    held = float(calculator.compute(**pair)["held_torque"])
    assert calculator.compute(**pair | {"torque": held})["least_margin"] == pytest.approx(0, abs=1e-9)


@given(pair=PAIRS)
@settings(deadline=None, max_examples=25)
def test_root_stresses_do_not_hang_on_which_wheel_is_called_the_first(pair: dict) -> None:
    """Exchanged wheels with the torque of the other exchange their stresses."""
    here = TOOTH_ROOT.compute(**pair)
    names = {"teeth_1": "teeth_2", "teeth_2": "teeth_1", "shift_1": "shift_2", "shift_2": "shift_1"}
    turned = {one: pair[other] for one, other in names.items()}
    there = TOOTH_ROOT.compute(**pair | turned | {"torque": pair["torque"] * pair["teeth_2"] / pair["teeth_1"]})
    assert there["stress_1"] == pytest.approx(here["stress_2"], rel=1e-9)
    assert there["stress_2"] == pytest.approx(here["stress_1"], rel=1e-9)


@given(pair=PAIRS)
@settings(deadline=None, max_examples=25)
def test_flank_pressures_do_not_hang_on_which_wheel_is_called_the_first(pair: dict) -> None:
    """As above, for flanks."""
    here = TOOTH_FLANK.compute(**pair)
    names = {"teeth_1": "teeth_2", "teeth_2": "teeth_1", "shift_1": "shift_2", "shift_2": "shift_1"}
    turned = {one: pair[other] for one, other in names.items()}
    there = TOOTH_FLANK.compute(**pair | turned | {"torque": pair["torque"] * pair["teeth_2"] / pair["teeth_1"]})
    assert there["stress_1"] == pytest.approx(here["stress_2"], rel=1e-9)
    assert there["nominal"] == pytest.approx(here["nominal"], rel=1e-9)


@given(st.floats(0.5, 10), st.integers(10, 60), st.integers(10, 90), st.floats(-0.2, 1.2), st.floats(0, 40))
@settings(deadline=None)
def test_shift_sum_and_centre_distance_are_inverse(
    module: float, first: int, second: int, shifts: float, helix: float
) -> None:
    """The shifts that close a distance give that distance, and the working angle both ways is one."""
    lean = radians(helix)
    distance = geometry.centre_distance(module, first, second, shifts, geometry.PRESSURE, lean)
    back = geometry.profile_shift_sum(distance, module, first, second, geometry.PRESSURE, lean)
    assert back == pytest.approx(shifts, abs=1e-9)
    one = geometry.working_angle(first, second, shifts, geometry.PRESSURE, lean)
    other = geometry.working_angle_at(distance, module, first, second, geometry.PRESSURE, lean)
    assert one == pytest.approx(other, rel=1e-9)


@given(st.floats(1e-4, 1.5))
def test_involute_and_its_inverse_undo_each_other(angle: float) -> None:
    """Within the noise of the involute itself; arrays as floats."""
    value = geometry.inv(angle)
    assert geometry.inverse_inv(value) == pytest.approx(angle, rel=1e-7)
    assert geometry.inverse_inv(np.array([value, value]))[1] == pytest.approx(geometry.inverse_inv(value), rel=1e-12)


@given(st.integers(8, 100), st.floats(-0.3, 0.6))
@settings(deadline=None)
def test_teeth_and_spaces_share_the_pitch(teeth: int, shift: float) -> None:
    """On the reference circle a tooth of shift x and one of −x fill one pitch, so that such wheels mesh."""
    both = [geometry.tooth_thickness(teeth * 2.0, 2.0, teeth, one) for one in (shift, -shift)]
    assert sum(both) == pytest.approx(2 * pi, rel=1e-12)
