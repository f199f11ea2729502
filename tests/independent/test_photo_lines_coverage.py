"""How often intervals along a shaft, and from a scale bar, hold the truth, over random cameras. Seeds are named."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from ledger.errors import PhotoRefused
from ledger.photo.lens import BrownLens, Straight, UnknownLens
from ledger.photo.scale_bar import View, scale_bar
from ledger.photo.shaft_line import axial_stack
from ledger.photo.values import Pick
from ledger.quantities.notation import Quantity, parse
from tests.photo_cameras import HEIGHT, WIDTH, flat, pick, random_camera
from tests.photo_coverage import check_coverage, holds, rate_of

CAMERAS, DRAWS = 2_000, 200
FOCAL, TILT = parse("0.6..3"), parse("0 ± 10 °")


def stated(truth: float, u: float, random: np.random.Generator) -> Quantity:
    """A length as somebody measured it, with the error that he states."""
    return parse(f"{truth + u * random.standard_normal()} ± {u} mm (k=1)")


def test_places_along_a_shaft_hold_the_truth_at_their_rate() -> None:
    """Over 2,000 random cameras (seed 5203): three to six known places, stated from one end or each from the last."""
    random = np.random.default_rng(5203)
    held: Counter[str] = Counter()
    cases: Counter[str] = Counter()
    refused = 0
    for number in range(CAMERAS):
        known_count, chained = 3 + number % 4, number % 8 > 3
        u, doubt = random.uniform(0.5, 3.0), 0.1
        # Known places spread over the shaft, the wanted ones among them and a little past the end.
        known = np.sort(np.linspace(0, 200, known_count) + random.uniform(-15, 15, known_count))
        wanted = np.array([random.uniform(known[0], known[-1]), known[-1] + random.uniform(8, 25)])
        camera = random_camera(random, 230, lean=60.0)
        along = np.concatenate([known, wanted])
        seen = pick(camera.see(np.column_stack([along - 100, 0 * along, 0 * along])), u, random)
        steps = np.diff(known, prepend=0.0) if chained else known
        places = [stated(step, doubt, random) for step in steps]
        try:
            stack = axial_stack(
                {f"known {one}": (seen[one], places[one]) for one in range(known_count)},
                {"inner": seen[-2], "outer": seen[-1]},
                Straight(),
                chained=chained,
                photograph=str(number),
                count=DRAWS,
            )
        except PhotoRefused:
            refused += 1
            continue
        found = {one.label: one for one in stack.positions}
        good = holds(found["inner"], wanted[0]), holds(found["outer"], wanted[1])
        last = stack.gaps[-1]
        checks = {
            f"{known_count} known, inner": good[0],
            f"{known_count} known, outer": good[1],
            "chained, outer" if chained else "from one end, outer": good[1],
            "all, inner": good[0],
            "all, outer": good[1],
            "gap at the end": holds(last, wanted[1] - known[-1]),
        }
        for name, well in checks.items():
            cases[name] += 1
            held[name] += well
    print({name: f"{held[name] / cases[name]:.3f} of {cases[name]}" for name in sorted(cases)}, "refused", refused)
    for name in cases:
        check_coverage(name, held[name], cases[name], rate_of(DRAWS))
    assert refused < CAMERAS / 50


def a_scale_bar(random: np.random.Generator, number: int, level: bool) -> tuple[bool, str]:
    """One length from another over a random camera, and whether its interval held it; the tilt left out where level."""
    focal = random.uniform(*FOCAL.numbers) * WIDTH
    lean = np.radians(TILT.std * random.standard_normal())
    direction, u = random.uniform(0, 2 * np.pi), random.uniform(0.5, 4.0)
    normal = np.array([np.sin(lean) * np.cos(direction), np.sin(lean) * np.sin(direction), np.cos(lean)])
    distance = random.uniform(200, 1500)
    bend = parse("0 ± 0.03")
    deep = number % 2 == 1
    depth = random.uniform(-0.1, 0.1) * distance if deep else 0.0

    def in_space(pixels: np.ndarray, away: float) -> np.ndarray:
        ray = np.column_stack([(pixels - np.array([WIDTH, HEIGHT]) / 2) / focal, np.ones(len(pixels))])
        return ray / (ray @ normal)[:, None] * away

    while True:
        ends = random.uniform((300, 200), (WIDTH - 300, HEIGHT - 200), (4, 2))
        if min(np.hypot(*(ends[0] - ends[1])), np.hypot(*(ends[2] - ends[3]))) > 300:
            break
    bar, target = in_space(ends[:2], distance), in_space(ends[2:], distance + depth)
    true_bar, true_target = (float(np.linalg.norm(one[0] - one[1])) for one in (bar, target))
    lens: Straight | UnknownLens = Straight()
    if number % 4 > 1:
        lens = UnknownLens(WIDTH, HEIGHT, bend, parse("0 mm/mm"))
        middle, half = np.array([WIDTH, HEIGHT]) / 2, np.hypot(WIDTH, HEIGHT) / 2
        offset = ends - middle
        # The bent radius R solves r = R/(1 - b R²) for the straight one.
        r, b = np.hypot(*offset.T) / half, bend.std * random.standard_normal()
        bent = 2 * r / (1 + np.sqrt(1 + 4 * b * r * r))
        ends = middle + offset * (bent / r)[:, None]
    seen = pick(ends, u, random)
    view = View(WIDTH, HEIGHT, FOCAL, parse("0 °") if level else TILT, str(number))
    found = scale_bar(
        (seen[0], seen[1]),
        stated(true_bar, 0.002 * true_bar, random),
        (seen[2], seen[3]),
        view,
        lens,
        depth=stated(depth, 0.02 * distance, random) if deep else parse("0 mm"),
        count=DRAWS,
    )
    return holds(found, true_target), ("at another depth" if deep else "in one plane")


def test_lengths_from_a_scale_bar_hold_the_truth_at_their_rate() -> None:
    """Over 2,000 random cameras (seed 5204), tilted as stated: in one plane and at another depth, lens known or not."""
    random = np.random.default_rng(5204)
    held: Counter[str] = Counter()
    cases: Counter[str] = Counter()
    for number in range(CAMERAS):
        well, kind = a_scale_bar(random, number, level=False)
        for name in ("all", kind, "unknown lens" if number % 4 > 1 else "no lens"):
            cases[name] += 1
            held[name] += well
    print({name: f"{held[name] / cases[name]:.3f} of {cases[name]}" for name in cases})
    for name in cases:
        check_coverage(name, held[name], cases[name], rate_of(DRAWS))


def test_a_scale_bar_that_forgets_the_tilt_is_refused() -> None:
    """Taken as square on, the same tilted pictures (seed 5205) are held too seldom, and the check says so."""
    random = np.random.default_rng(5205)
    held = sum(a_scale_bar(random, 4 * number, level=True)[0] for number in range(500))
    with pytest.raises(AssertionError, match="claimed"):
        check_coverage("square on", held, 500, rate_of(DRAWS))


def test_equal_steps_instead_of_the_cross_ratio_are_refused() -> None:
    """A place interpolated straight in the picture, as if it kept ratios, misses the truth (seed 5206)."""
    random = np.random.default_rng(5206)
    held = 0
    for number in range(300):
        camera = random_camera(random, 230, lean=60.0)
        along = np.array([0.0, 80.0, 200.0, 140.0])
        seen = pick(camera.see(np.column_stack([along - 100, 0 * along, 0 * along])), 1.0, random)
        stack = axial_stack(
            {str(one): (seen[one], parse(f"{along[one]} mm")) for one in range(3)},
            {"wanted": seen[3]},
            Straight(),
            photograph=str(number),
            count=DRAWS,
        )
        right = next(one for one in stack.positions if one.label == "wanted")

        def far(one: Pick, other: Pick) -> float:
            return float(np.hypot(one.x - other.x, one.y - other.y))

        wrong = 200.0 * far(seen[0], seen[3]) / far(seen[0], seen[2])
        held += right.low - right.estimate <= 140.0 - wrong <= right.high - right.estimate
    with pytest.raises(AssertionError, match="claimed"):
        check_coverage("equal steps", held, 300, rate_of(DRAWS))


def test_a_bent_line_keeps_its_rate_when_the_lens_is_said_to_be_unknown() -> None:
    """Places along a line bent by an unknown lens, over 1,000 random cameras (seed 5207), are held at the rate."""
    random = np.random.default_rng(5207)
    bend, aside = parse("0 ± 0.06"), parse("0 ± 0.02")
    half = np.hypot(WIDTH, HEIGHT) / 2
    held = cases = 0
    for number in range(1_000):
        middle = np.array([WIDTH, HEIGHT]) / 2 + half * aside.std * random.standard_normal(2)
        scale = half / 0.75
        lens = BrownLens(scale, scale, *middle, -bend.std * random.standard_normal() / 0.75**2)
        camera = random_camera(random, 230, lean=50.0, lens=lens)
        along = np.array([0.0, 70.0, 200.0, random.uniform(90, 180)])
        seen = pick(camera.see(flat(np.column_stack([along - 100, 0 * along]))), 1.0, random)
        try:
            stack = axial_stack(
                {str(one): (seen[one], parse(f"{along[one]} mm")) for one in range(3)},
                {"wanted": seen[3]},
                UnknownLens(WIDTH, HEIGHT, bend, aside),
                photograph=str(number),
                count=DRAWS,
            )
        except PhotoRefused:
            continue
        cases += 1
        held += holds(next(one for one in stack.positions if one.label == "wanted"), along[3])
    print(f"{held / cases:.3f} of {cases}")
    assert cases > 980
    check_coverage("bent line", held, cases, rate_of(DRAWS))
