"""How often diameters from rims hold the truth though a lens bends the picture, over random cameras. Seeds named."""

from __future__ import annotations

import numpy as np

from ledger.errors import PhotoRefused
from ledger.photo.lens import BrownLens, distort
from ledger.photo.methods import REGISTER, Found, measure
from ledger.quantities.notation import parse
from tests.photo_cameras import HEIGHT, WIDTH, random_camera
from tests.photo_coverage import check_coverage, holds, rate_of

CASES, DRAWS = 60, 800
BEND, ASIDE = parse("0 ± 0.1"), parse("0 ± 0.05")
DIAMETER, REFERENCE = 90.0, 40.0


def bent(pixels: np.ndarray, bend: float, middle: np.ndarray) -> np.ndarray:
    """Return where a lens of the division model draws straight pixels: the root of b s r²/h² + r - s = 0."""
    half = np.hypot(WIDTH, HEIGHT) / 2
    offset = pixels - middle
    reach = np.hypot(offset[:, 0], offset[:, 1])[:, None]
    if abs(bend) < 1e-9:
        return pixels
    seen = 2 * reach / (1 + np.sqrt(1 + 4 * bend * reach**2 / half**2))
    return np.asarray(middle + offset * seen / reach)


def rim(size: float, start: float, count: int = 14) -> np.ndarray:
    """Return points of a circle [mm] in the plane z = 0, over 300° of it."""
    at = start + np.linspace(0, np.radians(300), count)
    return np.column_stack([size / 2 * np.cos(at), size / 2 * np.sin(at), 0 * at])


def one(number: int, random: np.random.Generator, lens: object, draw: object) -> Found | None:
    """Return what two rims of one plane give, seen through a lens; `draw` bends straight pixels."""
    camera = random_camera(random, DIAMETER, lean=50.0, share=0.6)
    u = 1.0
    points = {}
    for role, size in (("rim", DIAMETER), ("reference", REFERENCE)):
        pixels = draw(camera.see(rim(size, random.uniform(0, 6))))  # type: ignore[operator]
        points[role] = (pixels + u * random.standard_normal(pixels.shape)).tolist()
    known = {
        "reference": f"{REFERENCE + 0.05 * random.standard_normal()} ± 0.05 mm (k=1)",
        "focal": f"{36 * camera.focal / WIDTH * (1 + 0.02 * random.standard_normal())} ± "
        f"{36 * 0.02 * camera.focal / WIDTH} mm (k=1)",
    }
    try:
        return measure(
            REGISTER["rim-diameter"], points, known, lens, (WIDTH, HEIGHT), u, DRAWS, str(number)  # type: ignore[arg-type]
        )  # fmt: skip
    except PhotoRefused:
        return None


def test_diameters_hold_the_truth_though_the_lens_is_not_known() -> None:
    """Over 60 random cameras (seed 5310), each with a lens of its own from the stated range, middle and bend."""
    random = np.random.default_rng(5310)
    held = cases = without = 0
    for number in range(CASES):
        bend, aside = float(BEND.draw(1, random)[0]), ASIDE.draw(2, random)
        middle = np.array([WIDTH, HEIGHT]) / 2 + np.hypot(WIDTH, HEIGHT) / 2 * aside
        state = random.bit_generator.state
        found = one(number, random, {"bend": BEND.text, "aside": ASIDE.text}, lambda px: bent(px, bend, middle))  # noqa: B023
        if found is None:
            continue
        cases += 1
        held += holds(found, DIAMETER)
        if number % 3 == 0:
            # The same picture, said to be straight, holds the truth far too seldom: the lens's doubt is needed.
            random.bit_generator.state = state
            blind = one(number, random, "none", lambda px: bent(px, bend, middle))  # noqa: B023
            without += blind is not None and holds(blind, DIAMETER)
    assert cases > 0.9 * CASES
    check_coverage("diameter under an unknown lens", held, cases, rate_of(DRAWS))
    assert without < 0.75 * cases / 3


def test_diameters_hold_the_truth_under_a_calibrated_lens() -> None:
    """Over 60 random cameras (seed 5311) with the Brown terms of a small industrial lens, known to 0.3 px."""
    random = np.random.default_rng(5311)
    terms = {"fx": 2400, "fy": 2400, "cx": 1520, "cy": 980, "k1": -0.2, "k2": 0.05, "residual": 0.3}
    lens = BrownLens(**terms)  # type: ignore[arg-type]
    held = cases = 0
    for number in range(CASES):
        found = one(
            number,
            random,
            terms,
            lambda px: distort(lens, px) + 0.3 * random.standard_normal(px.shape),
        )
        if found is not None:
            cases += 1
            held += holds(found, DIAMETER)
    assert cases > 0.9 * CASES
    check_coverage("diameter under a calibrated lens", held, cases, rate_of(DRAWS))
