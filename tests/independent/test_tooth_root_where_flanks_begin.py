"""Where a flank begins, and what that does to contact: searched along the cut tooth, and by closed forms."""

from __future__ import annotations

from math import acos, atan2, cos, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from scipy.optimize import brentq

from ledger.calculators.tooth_flank import TOOTH_FLANK
from ledger.calculators.tooth_root import TOOTH_ROOT
from ledger.mechanics import gear_geometry as geometry
from ledger.mechanics import tooth_flank, tooth_root
from ledger.mechanics.contact_path import pressure_along
from ledger.mechanics.gear_pair import PROFILES, gear_pair

PRESSURE = pi / 9
GIVEN = {"module": 1.0, "width": 10.0, "torque": 5.0, "strength_1": 400.0}


def searched_form_radius(teeth: int, shift: float, profile: str) -> float:
    """Radius at which fillet and involute cross [modules], by a general root finder on the difference of angles."""
    _, dedendum, rounding = PROFILES[profile]
    base = teeth * cos(PRESSURE) / 2

    def point(turn: float) -> tuple[float, float]:
        x, y = tooth_root.fillet_point(teeth, shift, dedendum, rounding, PRESSURE, turn)
        return float(np.hypot(x, y)), atan2(x, y)

    def inside(turn: float) -> float:
        radius, angle = point(turn)
        steep = acos(min(base / radius, 1.0))
        half = (pi / 2 + 2 * shift * tan(PRESSURE)) / teeth + tan(PRESSURE) - PRESSURE - (tan(steep) - steep)
        return angle - half

    turns = np.linspace(0.3, pi / 2 - PRESSURE - 1e-3, 400)
    outside = [place for place, turn in enumerate(turns) if point(turn)[0] > base and inside(turn) < 0]
    return point(brentq(inside, turns[outside[-1]], turns[outside[-1] + 1], xtol=1e-13))[0]


@pytest.mark.parametrize(
    ("teeth", "shift", "profile"), [(14, 0.0, "A"), (12, 0.0, "A"), (10, 0.0, "A"), (12, -0.2, "C"), (14, 0.0, "D")]
)
def test_an_undercut_flank_begins_where_the_fillet_crosses_it(teeth: int, shift: float, profile: str) -> None:
    """The form diameter of an undercut wheel is that of the crossing."""
    wheel = gear_pair(1, teeth, 60, shift, 0, 10, profile=profile)["wheels"][0]
    assert wheel["spare_shift"] < 0
    assert wheel["form"] / 2 == pytest.approx(searched_form_radius(teeth, shift, profile), rel=1e-7)


@pytest.mark.parametrize(("teeth", "shift"), [(20, 0.0), (31, 0.3), (14, 0.4)])
@pytest.mark.parametrize("helix", [0.0, 20.0])
def test_a_whole_flank_begins_where_the_tools_rounding_ends(teeth: int, shift: float, helix: float) -> None:
    """d_Ff = 2 √(r_b² + (r sin α_t − (h* − x) m / sin α_t)²), helical wheels included."""
    wheel = gear_pair(2, teeth, 60, shift, 0, 10, helix, "C")["wheels"][0]
    turned = geometry.transverse_angle(PRESSURE, radians(helix))
    straight = 1.25 - 0.25 * (1 - sin(PRESSURE))
    rolled = wheel["reference"] / 2 * sin(turned) - (straight - shift) * 2 / sin(turned)
    assert rolled > 0
    assert wheel["form"] == pytest.approx(2 * sqrt(wheel["base"] ** 2 / 4 + rolled**2), rel=1e-12)


@pytest.mark.parametrize("helix", [0.0, 25.0])
def test_the_form_circle_has_no_jump_where_undercut_begins(helix: float) -> None:
    """A hair to either side of the limit the flank begins at the base circle."""
    limit = -float(gear_pair(1, 12, 60, 0, 0, 10, helix)["wheels"][0]["spare_shift"])
    for step in (-1e-6, 1e-6):
        wheel = gear_pair(1, 12, 60, limit + step, 0, 10, helix)["wheels"][0]
        assert wheel["form"] == pytest.approx(wheel["base"], rel=1e-5)


@pytest.mark.parametrize(
    ("teeth", "mate", "ratio", "bent"), [(14, 60, 1.459, None), (12, 40, 1.275, 4.16), (10, 30, 1.093, 5.10)]
)
def test_undercut_shortens_contact(teeth: int, mate: int, ratio: float, bent: float | None) -> None:
    """Contact ends at the form circle, so fewer pairs carry and the load stands higher (recomputed by a second hand).

    Up to the base circle's touching point the ratios would be 1.542, 1.405 and 1.264.
    """
    found = TOOTH_ROOT.compute(**GIVEN | {"teeth_1": float(teeth), "teeth_2": float(mate)})
    assert found["contact_ratio"] == pytest.approx(ratio, abs=6e-4)
    if bent is not None:
        assert found["form_1"] * found["correction_1"] == pytest.approx(bent, abs=6e-3)


def test_the_inner_point_follows_the_shortened_contact() -> None:
    """A base pitch before the end of contact; that end is wheel 1's form circle where wheel 2 is the long one."""
    found = TOOTH_FLANK.compute(**GIVEN | {"teeth_1": 40.0, "teeth_2": 12.0})
    pair = gear_pair(1, 40, 12, 0, 0, 10)
    whole = float(pair["distance"] * sin(pair["working"]))
    end = whole - sqrt(pair["wheels"][1]["form"] ** 2 - pair["wheels"][1]["base"] ** 2) / 2
    inner = end - pi * cos(PRESSURE)
    at_pitch = 20 * sin(PRESSURE) * 6 * sin(PRESSURE)
    assert found["inner_1"] == pytest.approx(max(sqrt(at_pitch / (inner * (whole - inner))), 1), rel=1e-9)
    xs = [point["x"] for point in found["pressures"]]
    assert max(xs) - min(xs) == pytest.approx(found["contact_ratio"] * pi * cos(PRESSURE), rel=0.02)
    assert max(xs) == pytest.approx(end - 20 * sin(PRESSURE), abs=1e-9)


def test_many_draws_have_the_form_circles_of_single_ones() -> None:
    """Undercut and whole flanks beside each other in one call."""
    shifts = np.linspace(-0.2, 0.6, 9)
    together = gear_pair(1, 12, 40, shifts, 0.0, 10)
    for place, shift in enumerate(shifts):
        alone = gear_pair(1, 12, 40, float(shift), 0.0, 10)
        assert together["wheels"][0]["form"][place] == pytest.approx(alone["wheels"][0]["form"], rel=1e-11)
        assert together["contact_ratio"][place] == pytest.approx(alone["contact_ratio"], rel=1e-9)


def test_a_tip_that_reaches_below_a_whole_flank_interferes() -> None:
    """With a tip far too long for its mate's fillet, which is not undercut, it is said; with the usual one not."""
    assert not gear_pair(1, 20, 60, 0, 0, 10)["wheels"][1]["interferes"]
    assert gear_pair(1, 20, 60, 0, 0, 10, tip_2=62.6)["wheels"][1]["interferes"]


def test_a_rack_of_25_degrees_bends_as_by_hand() -> None:
    """A stub rack of 25°, from the 30° tangent by textbook iteration: form and correction factors."""
    turned, teeth, mate, addendum, dedendum, rounding = radians(25), 22, 35, 0.8, 1.0, 0.3
    pull = rounding - dedendum
    space = pi / 4 - dedendum * tan(turned) - rounding * (1 - sin(turned)) / cos(turned)
    lean = 2 / teeth * (pi / 2 - space) - pi / 3
    turn = pi / 6
    for _ in range(50):
        turn = 2 * pull / teeth * tan(turn) - lean
    chord = teeth * sin(pi / 3 - turn) + sqrt(3) * (pull / cos(turn) - rounding)
    radius = rounding + 2 * pull**2 / (cos(turn) * (teeth * cos(turn) ** 2 - 2 * pull))
    base, base_2, tip, tip_2 = teeth * cos(turned), mate * cos(turned), teeth + 2 * addendum, mate + 2 * addendum
    sums = sqrt(tip**2 - base**2) + sqrt(tip_2**2 - base_2**2)
    ratio = (sums / 2 - (teeth + mate) / 2 * sin(turned)) / (pi * cos(turned))
    reach = sqrt(tip**2 - base**2) / 2 - pi * cos(turned) * (ratio - 1)
    loaded = 2 * sqrt(reach**2 + base**2 / 4)
    steep = acos(base / loaded)
    half = pi / 2 / teeth + (tan(turned) - turned) - (tan(steep) - steep)
    top = (cos(half) - sin(half) * tan(steep - half)) * loaded
    arm = (top - teeth * cos(pi / 3 - turn) - pull / cos(turn) + rounding) / 2
    slender = chord / arm
    found = TOOTH_ROOT.compute(
        **GIVEN | {"teeth_1": 22.0, "teeth_2": 35.0, "profile": "own", "pressure": 25.0},
        addendum=addendum, dedendum=dedendum, rounding=rounding,
    )  # fmt: skip
    assert found["contact_ratio"] == pytest.approx(ratio, rel=1e-12)
    assert found["form_1"] == pytest.approx(6 * arm * cos(steep - half) / (chord**2 * cos(turned)), rel=1e-9)
    corrected = (1.2 + 0.13 * slender) * (chord / 2 / radius) ** (1 / (1.21 + 2.3 / slender))
    assert found["correction_1"] == pytest.approx(corrected, rel=1e-9)
    assert found["working_angle"] == pytest.approx(25)


def test_a_stated_centre_distance_opens_teeth_by_their_backlash() -> None:
    """Pitch less both thicknesses on the pitch circles; the distance without backlash leaves none."""
    pair = gear_pair(3, 20, 31, 0.1, 0.0, 30, 15.0, distance=80.0)
    pitch = pi * pair["wheels"][0]["pitch"] / 20
    thick = [
        geometry.tooth_thickness(wheel["pitch"], 3, wheel["teeth"], wheel["shift"], PRESSURE, radians(15))
        for wheel in pair["wheels"]
    ]
    assert pair["backlash"] == pytest.approx(pitch - sum(thick), rel=1e-9)
    share = (20 + 31) * 1.5 / cos(radians(15)) / 80.0 * cos(pair["transverse"])
    assert pair["working"] == pytest.approx(acos(share), rel=1e-12)
    closed = gear_pair(3, 20, 31, 0.1, 0.0, 30, 15.0)
    again = gear_pair(3, 20, 31, 0.1, 0.0, 30, 15.0, distance=closed["distance"])
    assert again["backlash"] == pytest.approx(0, abs=1e-9)
    assert again["contact_ratio"] == pytest.approx(closed["contact_ratio"], rel=1e-9)


def test_the_tip_square_to_the_teeth_is_thinner() -> None:
    """By the cosine of the helix angle on the tip cylinder, whose lead is that of the reference cylinder."""
    wheel = gear_pair(2, 20, 40, 0, 0, 20, 30.0)["wheels"][0]
    lead = pi * wheel["reference"] / tan(radians(30))
    steep = atan2(pi * wheel["tip"], lead)
    assert wheel["normal_tip_thickness"] == pytest.approx(wheel["tip_thickness"] * cos(steep), rel=1e-12)


def test_the_leaning_factor_of_flanks_raises_pressure() -> None:
    """1/√(cos β), as the corrected edition has it, not the √(cos β) of older ones; the page says so."""
    assert tooth_flank.leaning_factor(radians(15)) == pytest.approx(1 / sqrt(cos(radians(15))))
    assert any("Corrigendum 1:2008" in source and "√(cos *β*)" in source for source in TOOTH_FLANK.sources)


def test_a_drawn_path_ends_where_the_flanks_begin() -> None:
    """Flanks that begin later shorten the curve at both ends."""
    base = [float(geometry.base_diameter(1, teeth)) for teeth in (30, 60)]
    whole = 45 * sin(PRESSURE)
    plain = pressure_along(32, 62, *base, 45, PRESSURE, 2.95, 100.0, 113_000.0)
    late = pressure_along(32, 62, *base, 45, PRESSURE, 2.95, 100.0, 113_000.0, start_1=4.0, start_2=9.0)
    assert late[0]["x"] == pytest.approx(4.0 - 15 * sin(PRESSURE))
    assert late[-1]["x"] == pytest.approx(whole - 9.0 - 15 * sin(PRESSURE))
    assert plain[0]["x"] < late[0]["x"] < late[-1]["x"] < plain[-1]["x"]
