"""The plane and the lens against scikit-image, OpenCV and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from skimage.transform import ProjectiveTransform

from ledger.errors import PhotoRefused
from ledger.photo import homography
from ledger.photo.lens import BrownLens, Straight, UnknownLens, distort, straighten
from ledger.photo.plane import angle, length, on_plane, rectification
from ledger.photo.plane_known import known_circle, known_points, known_rectangle
from ledger.photo.values import Pick
from ledger.quantities.notation import parse
from tests.photo_cameras import flat, pick, random_camera

cv2 = pytest.importorskip("cv2")

CALIBRATED = BrownLens(535.916, 535.916, 342.283, 235.571, -0.26637, -0.03859, 0.00178, -0.00028, 0.23839)


def quadrilaterals(seed: int, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Corners of a plane and their pictures under random cameras."""
    random = np.random.default_rng(seed)
    known = np.array([(0.0, 0.0), (90.0, 5.0), (100.0, 80.0), (-4.0, 70.0)]) + random.uniform(-8, 8, (count, 4, 2))
    seen = np.stack([random_camera(random, 110).see(flat(one - 45)) for one in known])
    return seen, known


def test_four_points_give_opencvs_homography() -> None:
    """For 200 random cameras the map equals scikit-image's to 1e-8 mm, and OpenCV's to what it loses in raw pixels."""
    seen, known = quadrilaterals(1, 200)
    ours = homography.through_four(seen, known)
    within = seen.mean(axis=1, keepdims=True)
    for number in range(len(seen)):
        theirs = cv2.getPerspectiveTransform(seen[number].astype(np.float32), known[number].astype(np.float32))
        rounded = homography.through_four(
            seen[number].astype(np.float32).astype(float), known[number].astype(np.float32).astype(float)
        )
        assert homography.apply(rounded, within[number])[0] == pytest.approx(
            cv2.perspectiveTransform(within[number][None], theirs)[0], abs=5e-6
        )
        other = ProjectiveTransform.from_estimate(seen[number], known[number])
        assert homography.apply(ours[number], within[number])[0] == pytest.approx(other(within[number]), abs=1e-8)


def test_many_points_give_opencvs_least_squares() -> None:
    """For twelve noisy points the fitted map equals OpenCV's, which also has the least squared error in the picture."""
    random = np.random.default_rng(2)
    for _ in range(25):
        known = random.uniform(0, 100, (12, 2))
        seen = random_camera(random, 110).see(flat(known - 50)) + random.normal(0, 2, (12, 2))
        ours = homography.through_many(known[None], seen[None], np.ones(12))[0]
        theirs = cv2.findHomography(known, seen, 0)[0]
        left = [((homography.apply(one, known)[0] - seen) ** 2).sum() for one in (ours, theirs)]
        assert left[0] <= left[1] * (1 + 1e-9)
        assert homography.apply(ours, known)[0] == pytest.approx(homography.apply(theirs, known)[0], abs=0.02)


def test_scikit_images_own_points() -> None:
    """scikit-image's eight pairs of control points (its test_geometric.py) are met by the four-point map exactly."""
    start = np.array([(-12.3705, -10.5075), (-10.7865, 15.4305), (8.6985, 10.8675), (11.4975, -9.5715)])
    end = np.array([(0.0, 0.0), (0.0, 5800.0), (4900.0, 5800.0), (4900.0, 0.0)])
    matrix = homography.through_four(start, end)
    assert homography.apply(matrix, start)[0] == pytest.approx(end, abs=1e-9)
    theirs = ProjectiveTransform.from_estimate(start, end).params
    assert matrix / matrix[2, 2] == pytest.approx(theirs / theirs[2, 2], rel=1e-9, abs=1e-9)


def test_draws_of_a_fit_are_fits_of_draws() -> None:
    """Each draw's map, found from the best one in a few steps, is the one that is found from nothing."""
    random = np.random.default_rng(3)
    known = random.uniform(0, 100, (7, 2))
    seen = random_camera(random, 110).see(flat(known - 50)) + random.normal(0, 3, (40, 7, 2))
    starts = known + random.normal(0, 0.3, (40, 7, 2))
    weight = random.uniform(0.2, 2.0, 7)
    together = homography.through_many(starts, seen, weight)
    for number in range(40):
        alone = homography.through_many(starts[number : number + 1], seen[number : number + 1], weight)[0]
        assert homography.apply(together[number], known)[0] == pytest.approx(
            homography.apply(alone, known)[0], abs=1e-3
        )


def test_the_brown_terms_are_opencvs() -> None:
    """Straightened pixels equal OpenCV's undistorted ones, and distorting brings them back to 1e-6 px."""
    grid = np.stack(np.meshgrid(np.linspace(30, 610, 12), np.linspace(30, 450, 9)), axis=-1).reshape(1, -1, 2)
    matrix = np.array([[CALIBRATED.fx, 0, CALIBRATED.cx], [0, CALIBRATED.fy, CALIBRATED.cy], [0, 0, 1]])
    terms = np.array([CALIBRATED.k1, CALIBRATED.k2, CALIBRATED.p1, CALIBRATED.p2, CALIBRATED.k3])
    ours = straighten(CALIBRATED, grid, [], False)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_COUNT, 500, 1e-14)
    theirs = cv2.undistortPoints(grid.reshape(-1, 1, 2), matrix, terms, R=None, P=matrix, criteria=stop)[:, 0]
    assert ours[0] == pytest.approx(theirs, abs=1e-5)
    assert distort(CALIBRATED, ours) == pytest.approx(grid, abs=1e-6)


def test_the_one_term_model_follows_the_brown_terms() -> None:
    """A lens with k1 alone is undone by the one-term bend but for a tenth: near enough for what is not known."""
    half = np.hypot(4000, 3000) / 2
    lens = BrownLens(half, half, 2000, 1500, -0.08)
    straight = np.stack(np.meshgrid(np.linspace(200, 3800, 9), np.linspace(200, 2800, 7)), axis=-1).reshape(1, -1, 2)
    bent = distort(lens, straight)
    undone = straighten(UnknownLens(4000, 3000, parse("0.095")), bent, [], False)
    assert np.abs(undone - straight).max() < 0.1 * np.abs(bent - straight).max()


def test_pictures_without_noise_give_the_truth() -> None:
    """Length, angle, distance and place come out as they were put in, for all three forms of frame."""
    random = np.random.default_rng(4)
    camera = random_camera(random, 120)
    corners = np.array([(0, 0), (80, 0), (80, 50), (0, 50)], dtype=float)
    turned = np.radians([10.0, 95.0, 170.0, 250.0, 310.0])
    rim = 40 * np.column_stack([np.cos(turned), np.sin(turned)])
    some = np.array([(5.0, 3.0), (33.0, 41.0), (60.0, 12.0)])
    fine = 1e-5
    frames = (
        (known_rectangle(pick(camera.see(flat(corners)), 0, random), parse("80 mm"), parse("50 mm")), some),
        (
            known_circle(
                pick(camera.see(flat(rim)), 0, random),
                parse("80 mm"),
                [parse(f"{one} °") for one in (10, 95, 170, 250, 310)],
            ),
            some - 30,
        ),
        (
            known_points(
                pick(camera.see(flat(corners)), 0, random), [(parse(f"{x} mm"), parse(f"{y} mm")) for x, y in corners]
            ),
            some,
        ),
    )
    for frame, at in frames:
        sharp = type(frame)(frame.form, tuple(Pick(p.x, p.y, fine) for p in frame.picks), frame.knowns)
        one, two, three = (Pick(*pixel, fine) for pixel in camera.see(flat(at)))
        legs = at[0] - at[1], at[2] - at[1]
        turn = legs[0][0] * legs[1][1] - legs[0][1] * legs[1][0]
        assert length(sharp, one, two, Straight()).estimate == pytest.approx(np.hypot(*legs[0]), abs=1e-5)
        assert angle(sharp, one, two, three, Straight()).estimate == pytest.approx(
            abs(np.degrees(np.arctan2(turn, legs[0] @ legs[1]))), abs=1e-5
        )
        assert on_plane(sharp, [three], Straight(), (), 0)[0, 0] == pytest.approx(at[2], abs=1e-5)
        matrix = rectification(sharp, Straight())
        assert homography.apply(matrix, camera.see(flat(at)))[0] == pytest.approx(at, abs=1e-6)


def test_small_doubts_follow_first_order_propagation() -> None:
    """Square on and with the corners exact, a length's doubt from its own two picks is √2 u times the scale."""
    corners = [Pick(x, y, 1e-6) for x, y in ((0, 0), (2000, 0), (2000, 1000), (0, 1000))]
    frame = known_rectangle(corners, parse("200 mm"), parse("100 mm"))
    found = length(frame, Pick(300, 500, 0.8), Pick(1500, 500, 0.8), Straight())
    assert found.estimate == pytest.approx(120, abs=0.005)
    assert found.uncertainty == pytest.approx(np.sqrt(2) * 0.8 * 0.1, rel=0.03)
    assert found.parts["known"] == 0
    wide = known_rectangle(corners, parse("200 ± 2 mm (k=1)"), parse("100 mm"))
    far = length(wide, Pick(300, 500, 1e-6), Pick(1500, 500, 1e-6), Straight())
    assert far.uncertainty == pytest.approx(2 * 120 / 200, rel=0.03)
    assert far.parts["known"] == pytest.approx(far.uncertainty, rel=0.08)


def test_terms_that_fold_the_picture_are_refused() -> None:
    """Where a barrel's terms turn back on themselves, no straight place exists."""
    strong = BrownLens(500, 500, 320, 240, -0.6)
    with pytest.raises(PhotoRefused, match="fold"):
        straighten(strong, np.array([[[630.0, 470.0]]]), [], False)
