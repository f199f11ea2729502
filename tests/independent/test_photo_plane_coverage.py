"""How often a plane's intervals hold the truth, over random cameras. Seeds are named; a camera is a case."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from ledger.errors import PhotoRefused
from ledger.photo import plane
from ledger.photo.lens import BrownLens, Lens, Straight, UnknownLens
from ledger.photo.plane import CAUSES, angle, length, on_plane
from ledger.photo.plane_known import Frame, known_circle, known_points, known_rectangle
from ledger.photo.values import Measured, measured
from ledger.quantities.notation import Quantity, parse
from tests.photo_cameras import HEIGHT, WIDTH, Camera, flat, pick, random_camera
from tests.photo_coverage import check_coverage, holds, rate_of

CAMERAS, DRAWS = 2_000, 200
HALF_DIAGONAL = np.hypot(WIDTH, HEIGHT) / 2
BEND = parse("0 ± 0.06")
ASIDE = parse("0 ± 0.02")


def stated(truth: float, u: float, unit: str, random: np.random.Generator) -> Quantity:
    """A value as somebody measured it, with the error that he states."""
    return parse(f"{truth + u * random.standard_normal()} ± {u} {unit} (k=1)")


def a_frame(form: int, camera: Camera, u: float, random: np.random.Generator, name: str) -> Frame:
    """A frame of one of four forms, as seen and stated with errors."""
    if form == 0:
        width, height = random.uniform(50, 100, 2)
        corners = np.array([(0, 0), (width, 0), (width, height), (0, height)])
        seen = pick(camera.see(flat(corners - 50)), u, random)
        return known_rectangle(seen, stated(width, 0.2, "mm", random), stated(height, 0.2, "mm", random), name)
    if form == 1:
        angles = np.cumsum(random.uniform(40, 80, 5))
        rim = 50 * np.column_stack([np.cos(np.radians(angles)), np.sin(np.radians(angles))])
        degrees = [stated(one, 0.3, "°", random) for one in angles]
        return known_circle(pick(camera.see(flat(rim)), u, random), stated(100, 0.2, "mm", random), degrees, name)
    count = (4, 8)[form - 2]
    base = np.array([(5, 5), (95, 8), (92, 95), (8, 90), (50, 45), (30, 80), (75, 30), (20, 40)])[:count]
    points = base + random.uniform(-4, 4, (count, 2))
    knowns = [(stated(x, 0.15, "mm", random), stated(y, 0.15, "mm", random)) for x, y in points]
    return known_points(pick(camera.see(flat(points - 50)), u, random), knowns, name)


def turned(at: np.ndarray) -> np.ndarray:
    """The cross product of the legs from the second of three places to the first and the third."""
    one, two = at[..., 0, :] - at[..., 1, :], at[..., 2, :] - at[..., 1, :]
    return one[..., 0] * two[..., 1] - one[..., 1] * two[..., 0]


def off(at: np.ndarray) -> np.ndarray:
    """How far the first of three places lies from the line through the others, with its side."""
    return turned(at) / np.hypot(*np.moveaxis(at[..., 2, :] - at[..., 1, :], -1, 0))


def a_measurement(
    kind: int, frame: Frame, camera: Camera, lens: Lens, u: float, random: np.random.Generator
) -> tuple[Measured, float]:
    """One of four measurements of points inside the frame, with its truth."""
    middle = 0.0 if frame.form == "circle" else 50.0
    while True:
        at = random.uniform(-32, 32, (3, 2))
        if min(np.hypot(*(at[0] - at[1])), np.hypot(*(at[1] - at[2])), np.hypot(*(at[0] - at[2]))) > 12:
            break
    seen = pick(camera.see(flat(at)), u, random)
    if kind == 0:
        return length(frame, seen[0], seen[1], lens, count=DRAWS), float(np.hypot(*(at[0] - at[1])))
    if kind == 1:
        found = angle(frame, *seen, lens, count=DRAWS)
        return found, abs(float(np.degrees(np.arctan2(turned(at), (at[0] - at[1]) @ (at[2] - at[1])))))
    if kind == 2:
        drawn = off(on_plane(frame, seen, lens, CAUSES, DRAWS))
        return measured("distance", "mm", drawn[1:] * np.sign(drawn[0])), abs(float(off(at)))
    drawn = on_plane(frame, seen[:1], lens, CAUSES, DRAWS)[1:, 0, 0]
    return measured("place", "mm", drawn), float(at[0, 0]) + middle


def a_lens(kind: int, random: np.random.Generator) -> tuple[BrownLens | None, Lens]:
    """What the lens does, and what is said of it: nothing done; Brown terms known; a bend that nobody knows."""
    if kind == 0:
        return None, Straight()
    focal = HALF_DIAGONAL / 0.75
    middle = np.array([WIDTH, HEIGHT]) / 2 + HALF_DIAGONAL * ASIDE.std * random.standard_normal(2)
    if kind == 1:
        k1 = random.uniform(-0.25, 0.1)
        known = BrownLens(focal, focal, *middle, k1, 0.02, 0.001, -0.0005, 0.0, 0.6)
        return known, known
    # A bend of the division model is, at first, the Brown term of the other sign.
    bend = BEND.std * random.standard_normal()
    return BrownLens(focal, focal, *middle, -bend / 0.75**2), UnknownLens(WIDTH, HEIGHT, BEND, ASIDE)


def test_intervals_on_a_plane_hold_the_truth_at_their_rate(monkeypatch: pytest.MonkeyPatch) -> None:
    """Over 2,000 random cameras (seed 5201): every form of frame, every measurement, every lens, and all together."""
    # What each cause does alone is no part of the interval, and four fifths of the time.
    monkeypatch.setattr(plane, "_present", lambda lens: ())
    random = np.random.default_rng(5201)
    held: Counter[str] = Counter()
    cases: Counter[str] = Counter()
    refused = 0
    for number in range(CAMERAS):
        form, kind, lens_kind = number % 4, number // 4 % 4, int(random.integers(3))
        lens, said = a_lens(lens_kind, random)
        camera = random_camera(random, 110, lens=lens)
        u = random.uniform(0.5, 4.0)
        beyond = 0.6 if lens_kind == 1 else 0.0
        if beyond:
            # What the calibration leaves over moves every pick.
            camera = Noisy(camera.focal, camera.turn, camera.place, lens, beyond, random)
        try:
            frame = a_frame(form, camera, u, random, str(number))
            found, truth = a_measurement(kind, frame, camera, said, u, random)
        except PhotoRefused:
            refused += 1
            continue
        names = (
            "all",
            ("rectangle", "circle", "four points", "eight points")[form],
            ("length", "angle", "distance to a line", "place")[kind],
            ("no lens", "known lens", "unknown lens")[lens_kind],
        )
        for name in names:
            cases[name] += 1
            held[name] += holds(found, truth)
    print({name: f"{held[name] / cases[name]:.3f} of {cases[name]}" for name in cases}, "refused", refused)
    for name in cases:
        check_coverage(name, held[name], cases[name], rate_of(DRAWS))
    assert refused < CAMERAS / 100


class Noisy(Camera):
    """A camera whose lens is not wholly told by its terms."""

    def __init__(self, focal, turn, place, lens, left, random) -> None:  # type: ignore[no-untyped-def]
        super().__init__(focal, turn, place, lens)
        object.__setattr__(self, "_left", left)
        object.__setattr__(self, "_random", random)

    def see(self, points: np.ndarray) -> np.ndarray:
        """Pixels with what the terms leave over."""
        seen = super().see(points)
        return np.asarray(seen + self._left * self._random.standard_normal(seen.shape))  # type: ignore[attr-defined]


def test_an_interval_too_narrow_is_refused() -> None:
    """Picks twice as bad as they are said to be, over 500 cameras (seed 5202), are caught by the same check."""
    random = np.random.default_rng(5202)
    held = 0
    for number in range(500):
        camera = random_camera(random, 110)
        frame = a_frame(0, camera, 2.0, random, str(number))
        halved = Frame(
            frame.form,
            tuple(type(one)(one.x, one.y, 1.0) for one in frame.picks),
            tuple(parse(str(one.mean) + " mm") for one in frame.knowns),
            str(number),
        )
        at = np.array([[-30, -10], [25, 20]])
        seen = tuple(type(one)(one.x, one.y, 1.0) for one in pick(camera.see(flat(at)), 2.0, random))
        found = length(halved, *seen, Straight(), count=100)
        held += holds(found, float(np.hypot(55, 30)))
    with pytest.raises(AssertionError, match="claimed"):
        check_coverage("halved", held, 500, rate_of(100))
