"""Ellipses, poses and counts held to scikit-image, OpenCV, and closed forms."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from skimage.draw import ellipse_perimeter
from skimage.measure import EllipseModel

from ledger.photo.circle_pose import Camera, View, angles_on, pose
from ledger.photo.ellipse import axes_of_conic, conic_coefficients, distances, feet, nearest_conic, state_of
from ledger.photo.rim_draws import _evenly
from ledger.photo.rim_fit import fit_rim
from ledger.photo.round_part import ratio, tilt
from ledger.photo.tooth_count import count_teeth
from ledger.photo.tooth_marks import Marks
from ledger.photo.values import Pick
from ledger.quantities.notation import parse
from tests.photo_rims import VIEW, Part, picked, random_part

AXES = np.array([400.0, 300.0, 180.0, 70.0, 0.6])


def around(axes: np.ndarray, angles: np.ndarray) -> np.ndarray:
    """Points of an ellipse, from scikit-image."""
    return np.asarray(EllipseModel(tuple(axes[:2]), tuple(axes[2:4]), axes[4]).predict_xy(angles))


def test_distances_are_those_of_scikit_image() -> None:
    """Shortest distances from an ellipse, of points about it, to 1e-6 px."""
    random = np.random.default_rng(1)
    points = around(AXES, np.linspace(0, 6, 60)) + random.normal(0, 5, (60, 2))
    model = EllipseModel(tuple(AXES[:2]), tuple(AXES[2:4]), AXES[4])
    assert np.abs(distances(state_of(AXES), points)) == pytest.approx(model.residuals(points), abs=1e-6)


def test_feet_lie_on_the_ellipse_where_their_angles_say() -> None:
    """The eccentric angle of a foot leads to the foot, at the distance stated, and its speed is |d foot/dτ|."""
    points = around(AXES, np.linspace(0.1, 6, 40)) * 1.01
    apart, turned, speed = feet(AXES, points)
    on = around(AXES, turned)
    assert np.linalg.norm(on - points, axis=1) == pytest.approx(np.abs(apart), abs=1e-6)
    slope = np.linalg.norm(around(AXES, turned + 1e-5) - around(AXES, turned - 1e-5), axis=1) / 2e-5
    assert speed == pytest.approx(slope, rel=1e-6)


def test_fits_agree_with_opencv() -> None:
    """On a drawn ellipse, whose pixels scatter by rounding, centre, axes and angle agree with cv2.fitEllipseDirect."""
    rows, columns = ellipse_perimeter(300, 400, 70, 180, orientation=0.0)
    chosen = np.random.default_rng(2).choice(rows.size, 60, replace=False)
    rim = fit_rim([Pick(float(columns[k]), float(rows[k]), 0.3) for k in chosen], count=400)
    (x, y), (one, other), _ = cv2.fitEllipseDirect(np.column_stack((columns, rows))[chosen].astype(np.float32))
    assert (rim.x, rim.y, rim.a, rim.b) == pytest.approx((x, y, max(one, other) / 2, min(one, other) / 2), abs=0.3)
    assert abs(rim.angle) < 0.01


def test_conics_and_ellipses_turn_into_each_other() -> None:
    """Coefficients of an ellipse vanish on it and lead back to it; the nearest conic of its points is it."""
    points = around(AXES, np.linspace(0, 6, 30)) / 100
    small = np.array([*AXES[:4] / 100, AXES[4]])
    back, real = axes_of_conic(conic_coefficients(small))
    assert real
    assert back == pytest.approx(small, rel=1e-9)
    conic, _ = nearest_conic(points, np.full(30, 0.01))
    assert axes_of_conic(conic)[0] == pytest.approx(small, rel=1e-6)


def test_change_of_variables_of_the_draws() -> None:
    """|∂ coefficients/∂ (x, y, ln a, b/a, φ)| by differences is 32 (b⁻² - a⁻²) a⁻³ b⁻⁵/(c₀·c)⁶."""
    at = np.array([0.3, -0.2, 1.4, 0.8, 0.5])
    random = np.random.default_rng(3)
    middle = random.normal(size=6)
    middle /= np.linalg.norm(middle)
    basis = np.linalg.svd(middle[None, :])[2][1:].T

    def coordinates(given: np.ndarray) -> np.ndarray:
        x, y, log_a, share, angle = given
        conic = conic_coefficients(np.array([x, y, np.exp(log_a), share * np.exp(log_a), angle]))
        return np.asarray(basis.T @ conic / (middle @ conic))

    given = np.array([at[0], at[1], np.log(at[2]), at[3] / at[2], at[4]])
    slopes = np.column_stack([(coordinates(given + d) - coordinates(given - d)) / 2e-5 for d in 1e-5 * np.eye(5)])
    closed = 32 * (at[3] ** -2 - at[2] ** -2) * at[2] ** -3 * at[3] ** -5 / (middle @ conic_coefficients(at)) ** 6
    assert abs(np.linalg.det(slopes)) == pytest.approx(abs(closed), rel=1e-6)


@pytest.mark.parametrize("count", [5, 9])
def test_chance_of_picks_within_a_part(count: int) -> None:
    """∫ w⁻ⁿ (w - W) dw from W to 2π by the trapezium rule, over (2π)²⁻ⁿ."""
    span = np.array([0.7, 2.0, 5.0])
    by_hand = []
    for one in span:
        parts = np.linspace(one, 2 * np.pi, 200_001)
        by_hand.append(np.trapezoid(parts**-count * (parts - one), parts) * (2 * np.pi) ** (count - 2))
    assert _evenly(span, count) == pytest.approx(by_hand, rel=1e-6)


def test_pose_is_that_of_opencv() -> None:
    """One of the two stands is the truth, and so is what cv2.solvePnP finds from twelve points of the circle."""
    part = random_part(np.random.default_rng(4), steepest=70)
    angles = np.linspace(0, 2 * np.pi, 13)[:-1]
    seen = part.rim(angles)
    plane = np.column_stack((np.cos(angles), np.sin(angles), np.zeros(12)))
    matrix = np.array([[part.focal, 0, part.middle[0]], [0, part.focal, part.middle[1]], [0, 0, 1]])
    _, turned, moved = cv2.solvePnP(plane, seen, matrix, None)
    axis = cv2.Rodrigues(turned)[0][:, 2]
    size = np.std(seen)
    conic, _ = nearest_conic((seen - seen.mean(axis=0)) / size, np.full(12, 1 / size))
    axes = axes_of_conic(conic)[0] * np.array([size, size, size, size, 1]) + np.array([*seen.mean(axis=0), 0, 0, 0])
    both = Camera(
        np.full(2, part.focal), *np.repeat(part.middle[:, None], 2, axis=1), np.array([True, False]), "unknown"
    )
    found = pose(np.stack((axes, axes)), both)
    true = int(np.argmax(found.normal @ part.normal))
    assert found.normal[true] == pytest.approx(part.normal, abs=1e-6)
    assert np.abs(found.normal[true] @ axis) == pytest.approx(1, abs=1e-6)
    assert found.away[true] * found.towards[true] == pytest.approx(moved.ravel(), rel=1e-6)
    assert found.away == pytest.approx(np.linalg.norm(part.centre), rel=1e-9)
    turns, away = angles_on(found, both, seen)
    assert away[true] == pytest.approx(np.ones(12), abs=1e-9)
    assert np.abs(np.diff(np.unwrap(turns[true]))) == pytest.approx(np.full(11, np.pi / 6), abs=1e-9)


@pytest.mark.parametrize("aside", [0.0, 0.7])
def test_ratio_with_known_lens_and_fine_picks(aside: float) -> None:
    """Rims in one plane, also beside each other, and rims behind each other have their true ratios."""
    part = Part(1500.0, np.array([600.0, 400.0]), np.array([0.8, -0.5, 9.0]), np.array([0.6, 0.3, -0.742]) / 1.0005)
    view = View(1200, 800, focal=parse("1500 px"), centring=0.0)
    random, turn = np.random.default_rng(5), np.linspace(0, 6, 14)
    rim = fit_rim(picked(part.rim(turn), random, 0.01), count=400)
    beside = fit_rim(picked(part.rim(turn, 0.3, aside=aside), random, 0.01), count=400)
    behind = fit_rim(picked(part.rim(turn, 0.3, depth=1.2), random, 0.01), count=400)
    two_ways = ratio(beside, rim, View(1200, 800, parse("1500 px"), None, 0.0, "left"), arrangement="coplanar")
    other = ratio(beside, rim, View(1200, 800, parse("1500 px"), None, 0.0, "right"), arrangement="coplanar")
    assert min(abs(two_ways.estimate - 0.3), abs(other.estimate - 0.3)) < 3e-4
    behinds = [ratio(behind, rim, View(1200, 800, parse("1500 px"), None, 0.0, side), parse("0.6"))
               for side in ("left", "right")]  # fmt: skip
    assert min(abs(one.estimate - 0.3) for one in behinds) < 3e-4
    assert tilt(rim, view).estimate == pytest.approx(part.tilt, abs=0.05)


def test_count_by_hand() -> None:
    """Marks square-on: six pitches of 1/24 turn, one tooth missed, leave no doubt of 24; nor does a count of 13 teeth.

    Told by twos, as marks of every second tooth: twelve.
    """
    part = Part(3000.0, np.array([600.0, 400.0]), np.array([0.0, 0.0, 12.0]), np.array([0.0, 0.0, -1.0]))
    random = np.random.default_rng(6)
    rim = fit_rim(picked(part.rim(np.linspace(0, 6, 20)), random, 0.3), count=1000)
    steps = np.array([0, 1, 2, 3, 5, 6, 7]) * 2 * np.pi / 24
    found = count_teeth(rim, Marks(picked(part.rim(steps), random, 0.3)), VIEW)
    assert found.likeliest == 24
    assert [(slip.stretch, slip.stated, slip.pitches) for slip in found.slips] == [(4, 1, 2)]
    ends = picked(part.rim(np.array([0.0, 12.02 * 2 * np.pi / 24])), random, 0.3)
    counted = count_teeth(rim, Marks(ends, (11,)), VIEW)
    assert counted.likeliest == 24
    # 26 and 22 are one slip off: their share is about that of a slip.
    assert counted.chances[22] + counted.chances[26] == pytest.approx(0.1, abs=0.04)
    second = count_teeth(rim, Marks(picked(part.rim(np.arange(5) * 2 * 2 * np.pi / 24), random, 0.3)), VIEW)
    assert second.likeliest == 12
