"""What may be stated of tool, tips and distance, and what is left out where a wheel cannot be measured."""

from __future__ import annotations

import numpy as np
import pytest

from ledger.calculators.contract import Calculator
from ledger.calculators.running import outcomes
from ledger.calculators.tooth_flank import TOOTH_FLANK
from ledger.calculators.tooth_root import TOOTH_ROOT
from ledger.mechanics.gear_pair import PROFILES

BOTH = pytest.mark.parametrize("calculator", [TOOTH_ROOT, TOOTH_FLANK], ids=lambda one: one.name)
PAIR = {"module": 5.0, "teeth_1": 31.0, "teeth_2": 41.0, "width": 38.0, "torque": 2067.0, "strength_1": 900.0}
OWN = {"profile": "own", "addendum": 1.0, "dedendum": 1.4, "rounding": 0.39}


@BOTH
def test_a_profile_is_its_own_sizes(calculator: Calculator) -> None:
    """Profile D, and its sizes stated as one's own, give the same."""
    named, stated = (calculator.compute(**PAIR | given) for given in ({"profile": "D"}, OWN))
    assert PROFILES["D"] == (1.0, 1.4, 0.39)
    for name in ("stress_1", "stress_2", "contact_ratio"):
        assert stated[name] == pytest.approx(named[name], rel=1e-12)
    assert named["tip_clearance"] == pytest.approx(0.4 * 5)


@BOTH
def test_stub_teeth_have_lower_tips(calculator: Calculator) -> None:
    """A tip at 0.8 modules: less contact, a thicker tip, more clearance."""
    usual, stub = (calculator.compute(**PAIR | OWN | {"addendum": one}) for one in (1.0, 0.8))
    assert stub["contact_ratio"] < usual["contact_ratio"]
    assert stub["tip_thickness"] > usual["tip_thickness"]
    assert stub["tip_clearance"] == pytest.approx(0.6 * 5)


@BOTH
def test_sizes_of_ones_own_beside_a_named_profile_are_refused(calculator: Calculator) -> None:
    """They would be passed over in silence."""
    with pytest.raises(ValueError, match="state yours with 'own'"):
        calculator.compute(**PAIR | {"profile": "B", "dedendum": 1.4})


@BOTH
def test_pressure_angles_are_taken_from_10_to_35_degrees(calculator: Calculator) -> None:
    """A steeper tool bends less and presses less; beyond the range, or for too wide a tip rounding, it is refused."""
    own = PAIR | {"profile": "own", "rounding": 0.25}
    found = [calculator.compute(**own | {"pressure": angle}) for angle in (17.5, 20.0, 25.0)]
    assert found[0]["stress_1"] > found[1]["stress_1"] > found[2]["stress_1"]
    assert found[2]["contact_ratio"] < found[1]["contact_ratio"]
    with pytest.raises(ValueError, match="Pressure angle of the tool"):
        calculator.compute(**own | {"pressure": 9.0})
    with pytest.raises(ValueError, match="too narrow for its rounding"):
        calculator.compute(**PAIR | {"pressure": 30.0})
    spread = calculator.compute(**own | {"pressure": np.array([18.0, 20.0, 22.0])})
    assert spread["stress_1"][1] == pytest.approx(found[1]["stress_1"], rel=1e-12)


@BOTH
def test_stated_tips_and_distance_are_taken(calculator: Calculator) -> None:
    """Those that would be computed change nothing; shorter tips and wider centres shorten contact; too close jams."""
    plain = calculator.compute(**PAIR)
    same = calculator.compute(**PAIR | {"tip_1": 165.0, "tip_2": 215.0, "distance": 180.0})
    for name in ("stress_1", "stress_2", "contact_ratio", "centre_distance"):
        assert same[name] == pytest.approx(plain[name], rel=1e-9)
    assert not same["jams"]
    short = calculator.compute(**PAIR | {"tip_1": 163.0})
    wide = calculator.compute(**PAIR | {"distance": 181.0})
    assert short["contact_ratio"] < plain["contact_ratio"]
    assert wide["contact_ratio"] < plain["contact_ratio"]
    assert wide["backlash"] > 0
    assert wide["centre_distance"] == 181.0
    assert calculator.compute(**PAIR | {"distance": 179.0})["jams"]
    with pytest.raises(ValueError, match="smaller than the base circles"):
        calculator.compute(**PAIR | {"distance": 160.0})
    with pytest.raises(ValueError, match="Wheel 1: Tip diameter"):
        calculator.compute(**PAIR | {"tip_1": np.array([0.0, 165.0])})


def test_roots_may_be_wider_than_the_mesh() -> None:
    """Each root bears by its own width; left out, by the common one."""
    plain = TOOTH_ROOT.compute(**PAIR)
    wide = TOOTH_ROOT.compute(**PAIR | {"width_1": 45.6})
    assert wide["stress_1"] == pytest.approx(plain["stress_1"] / 1.2)
    assert wide["stress_2"] == plain["stress_2"]
    with pytest.raises(ValueError, match="Root width"):
        TOOTH_ROOT.compute(**PAIR | {"width_2": np.array([0.0, 40.0])})


def test_a_sound_tooth_that_cannot_be_measured_is_still_reckoned() -> None:
    """12 teeth with a shift of −0.4: no span touches its flanks, a thin pin neither; the stresses are told."""
    odd = PAIR | {"teeth_1": 12.0, "teeth_2": 40.0, "shift_1": -0.4, "pin": 0.5}
    found = TOOTH_ROOT.compute(**odd)
    assert found["stress_1"] > 0
    row, other = found["wheels"]
    assert row["span [mm]"] == row["teeth spanned"] == "no span touches the flanks"
    assert row["over two pins or balls [mm]"] == "the pin is too thin"
    assert other["span [mm]"] > 0


def test_a_span_is_over_one_number_of_teeth() -> None:
    """Where draws would have 2 or 3 teeth spanned, the number nearest to their mean is taken for all."""
    draws = np.array([0.1, 0.5, 0.6, 0.7])
    row = TOOTH_ROOT.compute(**PAIR | {"teeth_1": 19.0, "shift_1": draws})["wheels"][0]
    assert row["teeth spanned"] == 3
    alone = TOOTH_ROOT.compute(**PAIR | {"teeth_1": 19.0, "shift_1": 0.6})["wheels"][0]
    assert row["span [mm]"][2] == pytest.approx(alone["span [mm]"])
    assert np.ptp(row["span [mm]"]) == pytest.approx(2 * 0.6 * 5 * np.sin(np.pi / 9))


def test_one_draw_that_cannot_be_measured_ends_nothing() -> None:
    """Sizes are summed up over the draws in which they can be measured, and the share is said."""
    draws = np.array([-0.4, -0.38, -0.2, -0.15])
    found = TOOTH_ROOT.compute(**PAIR | {"teeth_1": 12.0, "teeth_2": 40.0, "shift_1": draws})
    row, other = found["wheels"]
    assert len(row["span [mm]"]) == 2
    assert row["teeth spanned"] == 1
    alone = TOOTH_ROOT.compute(**PAIR | {"teeth_1": 12.0, "teeth_2": 40.0, "shift_1": -0.2})["wheels"][0]
    assert row["span [mm]"][0] == pytest.approx(alone["span [mm]"])
    assert row["draws that give span"] == "50\u00a0% (no span touches the flanks in the others)"
    assert other["draws that give span"] == "all"
    assert np.all(np.isfinite(found["stress_1"]))
    assert "wheels" in {one.name for one in outcomes(TOOTH_ROOT, found)}


@BOTH
def test_overlap_hands_over_where_the_transverse_ratio_does_not(calculator: Calculator) -> None:
    """The total contact ratio counts: wide helical teeth of few transverse ratios still meet in time."""
    loose = PAIR | {"teeth_1": 12.0, "teeth_2": 12.0, "shift_1": 0.8, "shift_2": 0.8}
    spur, helical = calculator.compute(**loose), calculator.compute(**loose | {"helix": 20.0})
    assert not spur["hands_over"]
    assert helical["contact_ratio"] < 1 < helical["total_contact_ratio"]
    assert helical["hands_over"]
    assert helical["total_contact_ratio"] == pytest.approx(helical["contact_ratio"] + helical["overlap_ratio"])


@BOTH
def test_a_helix_with_a_sign_is_refused_in_words(calculator: Calculator) -> None:
    """The declared range lets it through to these words."""
    declared = calculator.input("helix")
    assert declared.low <= -15
    assert "without sign" in declared.label
    with pytest.raises(ValueError, match="Give it without sign"):
        calculator.compute(**PAIR | {"helix": -15.0})


@BOTH
def test_both_tip_thicknesses_are_told(calculator: Calculator) -> None:
    """Alike for spur gears; square to the teeth a helical tip is thinner."""
    spur, helical = calculator.compute(**PAIR), calculator.compute(**PAIR | {"helix": 25.0})
    assert spur["normal_tip_thickness"] == spur["tip_thickness"]
    assert helical["normal_tip_thickness"] < 0.95 * helical["tip_thickness"]
