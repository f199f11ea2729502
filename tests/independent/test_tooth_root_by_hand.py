"""Teeth by other ways: a rack cut into a wheel point by point, sizes found by search, the bent cantilever by hand."""

from __future__ import annotations

from math import acos, atan2, cos, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from scipy.optimize import brentq

from ledger.calculators.tooth_root import TOOTH_ROOT
from ledger.mechanics import gear_geometry as geometry
from ledger.mechanics import tooth_root
from ledger.mechanics.gear_pair import PROFILES, gear_pair
from ledger.mechanics.tooth_outline import tooth_outline

PRESSURE = pi / 9


def cut_half_angles(teeth: int, shift: float, profile: str, radii: np.ndarray) -> np.ndarray:
    """Half angles of the tooth left at each radius [modules] when the rack's tip rounding and flank sweep through it.

    Nothing but the rack's own shape and rolling without slip: the tool's outline is turned into the wheel for many
    places of rolling, and the touch nearest to the tooth's middle is where the tooth ends.
    """
    _, dedendum, rounding = PROFILES[profile]
    land = pi / 4 - dedendum * tan(PRESSURE) - rounding * (1 - sin(PRESSURE)) / cos(PRESSURE)
    # The wheel's tooth stands about x = 0; the tool's tooth is to its right, its rounding on the near side.
    turns = np.linspace(-pi / 2, -PRESSURE, 120)
    arc = pi / 2 - land - rounding * np.cos(turns), shift - dedendum + rounding + rounding * np.sin(turns)
    along = np.linspace(0, dedendum + 1.2, 120)[1:]
    tool_x = np.concatenate([arc[0], arc[0][-1] - along * sin(PRESSURE)])
    tool_y = np.concatenate([arc[1], arc[1][-1] + along * cos(PRESSURE)]) + teeth / 2
    left = np.full(len(radii), np.inf)
    for rolled in np.linspace(-4.0, 4.0, 1601):
        spin = rolled / (teeth / 2)
        x, y = tool_x - rolled, tool_y
        x, y = x * cos(spin) + y * sin(spin), y * cos(spin) - x * sin(spin)
        radius, angle = np.hypot(x, y), np.arctan2(x, y)
        share = (radii[:, None] - radius[:-1]) / np.diff(radius)
        touched = np.where((share >= 0) & (share <= 1), angle[:-1] + share * np.diff(angle), np.inf)
        left = np.minimum(left, touched.min(axis=1))
    return left


@pytest.mark.parametrize(
    ("teeth", "shift", "profile"),
    [(20, 0.0, "A"), (31, 0.2, "C"), (12, 0.0, "A"), (14, 0.5, "B"), (60, -0.3, "A"), (12, 0.0, "D")],
)
def test_the_outline_is_what_a_rolling_rack_leaves(teeth: int, shift: float, profile: str) -> None:
    """Fillet and flank, undercut ones too, agree with a rack swept through the wheel numerically."""
    addendum, dedendum, rounding = PROFILES[profile]
    tip = teeth + 2 * (addendum + shift)
    outline = tooth_outline(teeth, shift, tip, dedendum, rounding, PRESSURE)
    right = [(x, y + teeth / 2) for x, y in outline[len(outline) // 2 :]]
    radii = np.array([np.hypot(x, y) for x, y in right])
    halves = np.array([atan2(x, y) for x, y in right])
    body = (radii > teeth / 2 + shift - dedendum + 0.05) & (radii < tip / 2 - 0.02)
    cut = cut_half_angles(teeth, shift, profile, radii[body])
    assert np.abs((cut - halves[body]) * radii[body]).max() < 0.006


@pytest.mark.parametrize(
    ("teeth", "shift", "profile"), [(20, 0.0, "A"), (31, 0.2, "C"), (14, 0.5, "B"), (20, 0.1, "D")]
)
def test_the_critical_section_is_where_the_outline_leans_30_degrees(teeth: int, shift: float, profile: str) -> None:
    """The chord from differences along the fillet agrees with the closed form, and the curvature with ρ_F."""
    _, dedendum, rounding = PROFILES[profile]
    turns = np.linspace(0.3, pi / 2 - PRESSURE, 20001)
    x, y = tooth_root.fillet_point(teeth, shift, dedendum, rounding, PRESSURE, turns)
    lean = np.arctan2(-np.gradient(x), np.gradient(y))
    place = int(np.abs(lean - pi / 6).argmin())
    chord, height, radius = tooth_root.root_section(teeth, shift, dedendum, rounding, PRESSURE)
    assert chord == pytest.approx(2 * x[place], rel=1e-3)
    assert height == pytest.approx(y[place], rel=1e-3)
    step = np.hypot(np.gradient(x), np.gradient(y))
    assert radius == pytest.approx(abs(step / np.gradient(lean))[place], rel=5e-3)


def test_the_root_stress_of_a_pair_follows_by_hand() -> None:
    """31/41 teeth of 5 mm, 2,067 N·m, step by step from the 30 degree tangent, with the iteration of textbooks."""
    module, teeth, mate, torque, width = 5.0, 31, 41, 2067.0, 38.0
    pull = 0.38 - 1.25
    space = pi / 4 - 1.25 * tan(PRESSURE) - 0.38 * (1 - sin(PRESSURE)) / cos(PRESSURE)
    lean = 2 / teeth * (pi / 2 - space) - pi / 3
    turn = pi / 6
    for _ in range(50):
        turn = 2 * pull / teeth * tan(turn) - lean
    chord = teeth * sin(pi / 3 - turn) + sqrt(3) * (pull / cos(turn) - 0.38)
    radius = 0.38 + 2 * pull**2 / (cos(turn) * (teeth * cos(turn) ** 2 - 2 * pull))
    base, base_2 = teeth * cos(PRESSURE), mate * cos(PRESSURE)
    sums = sqrt((teeth + 2) ** 2 - base**2) + sqrt((mate + 2) ** 2 - base_2**2)
    ratio = (sums / 2 - (teeth + mate) / 2 * sin(PRESSURE)) / (pi * cos(PRESSURE))
    reach = sqrt((teeth + 2) ** 2 - base**2) / 2 - pi * cos(PRESSURE) * (ratio - 1)
    loaded = 2 * sqrt(reach**2 + base**2 / 4)
    steep = acos(base / loaded)
    half = pi / 2 / teeth + (tan(PRESSURE) - PRESSURE) - (tan(steep) - steep)
    arm = (
        (cos(half) - sin(half) * tan(steep - half)) * loaded - teeth * cos(pi / 3 - turn) - pull / cos(turn) + 0.38
    ) / 2
    form = 6 * arm * cos(steep - half) / (chord**2 * cos(PRESSURE))
    slender = chord / arm
    correction = (1.2 + 0.13 * slender) * (chord / 2 / radius) ** (1 / (1.21 + 2.3 / slender))
    stress = 2000 * torque / (module * teeth) / (width * module) * form * correction
    found = TOOTH_ROOT.compute(
        module=module, teeth_1=31.0, teeth_2=41.0, width=width, torque=torque, strength_1=450.0, application=1.5
    )
    assert found["contact_ratio"] == pytest.approx(ratio, rel=1e-12)
    assert found["form_1"] == pytest.approx(form, rel=1e-9)
    assert found["correction_1"] == pytest.approx(correction, rel=1e-9)
    assert found["nominal_1"] == pytest.approx(stress, rel=1e-9)
    assert found["stress_1"] == pytest.approx(1.5 * stress, rel=1e-9)
    assert found["margin_1"] == pytest.approx(450 / (1.5 * stress) - 1, rel=1e-9)
    assert found["tangential_force"] == pytest.approx(2000 * torque / 155)
    assert found["separating_force"] == pytest.approx(2000 * torque / 155 * tan(PRESSURE))


@pytest.mark.parametrize("angle", [1, 5, 14.5, 20, 33, 60, 85])
def test_inverse_involutes_agree_with_bracketing(angle: float) -> None:
    """A general root finder gives the same angle."""
    value = tan(radians(angle)) - radians(angle)
    found = brentq(lambda a: tan(a) - a - value, 1e-6, 1.57, xtol=1e-14)
    assert geometry.inverse_inv(value) == pytest.approx(found, rel=1e-10)


@pytest.mark.parametrize(
    ("teeth", "shift", "helix"), [(24, 0.4, 0.0), (31, -0.1, 0.0), (24, 0.4, 25.0), (45, 0.2, 12.0)]
)
def test_a_span_is_so_many_base_pitches_and_one_base_thickness(teeth: int, shift: float, helix: float) -> None:
    """W = (k − 1) p_b + s_b, both measured square to the flanks on the base cylinder."""
    lean = radians(helix)
    base = geometry.base_diameter(3, teeth, PRESSURE, lean)
    upright = cos(geometry.base_helix(PRESSURE, lean))
    thickness = geometry.tooth_thickness(base, 3, teeth, shift, PRESSURE, lean)
    expected = (3 * geometry.base_pitch(3, PRESSURE, lean) + thickness) * upright
    assert geometry.span(3, teeth, shift, 4, PRESSURE, lean) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("teeth", "shift"), [(20, 0.0), (21, 0.0), (24, 0.35), (45, -0.2)])
def test_pins_rest_where_they_touch_both_flanks(teeth: int, shift: float) -> None:
    """The distance from a pin's middle to the flank's involute, searched point by point, is the pin's radius."""
    module, pin = 2.0, 3.6
    across = 1.0 if teeth % 2 == 0 else cos(pi / 2 / teeth)
    middle = (geometry.over_pins(module, teeth, shift, pin) - pin) / 2 / across
    base = geometry.base_diameter(module, teeth)
    diameters = np.linspace(base * 1.0001, base * 1.4, 20001)
    thickness = geometry.tooth_thickness(diameters, module, teeth, shift)
    angle = pi / teeth - thickness / diameters
    gap = np.hypot(diameters / 2 * np.cos(angle) - middle, diameters / 2 * np.sin(angle))
    assert gap.min() == pytest.approx(pin / 2, rel=1e-5)


def test_undercut_begins_at_the_limit() -> None:
    """At the least shift the fillet ends exactly on the base circle."""
    for teeth in (8, 12, 17):
        for _, dedendum, rounding in PROFILES.values():
            straight = dedendum - rounding * (1 - sin(PRESSURE))
            shift = geometry.undercut_limit(teeth, straight)
            x, y = tooth_root.fillet_point(teeth, shift, dedendum, rounding, PRESSURE, pi / 2 - PRESSURE)
            assert np.hypot(x, y) == pytest.approx(teeth * cos(PRESSURE) / 2, rel=1e-12)


def test_a_pair_interferes_where_the_wheel_reaches_past_the_line_of_action() -> None:
    """The wheel's tip just reaches the end of the line of action at z1 = 2 / (√(i² + (1 + 2 i) sin² α) − i): 14.98."""
    teeth = 2 / (sqrt(9 + 7 * sin(PRESSURE) ** 2) - 3)
    tip, base = 3 * teeth + 2, 3 * teeth * cos(PRESSURE)
    assert sqrt(tip**2 - base**2) / 2 == pytest.approx(2 * teeth * sin(PRESSURE), rel=1e-12)
    assert teeth == pytest.approx(14.98, abs=5e-3)
    assert not gear_pair(1, 16, 48, 0, 0, 10)["wheels"][1]["interferes"]
    assert gear_pair(1, 14, 42, 0, 0, 10)["wheels"][1]["interferes"]
