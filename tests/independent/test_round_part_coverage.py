"""Whether tilts, ratios and tooth counts hold the truth as often as they claim: 2,000 cameras, and faulty methods.

Draws are few for speed; the claimed rate is that of so many (JCGM 101, 7.7). Seeds are those of the generators below.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import numpy as np
import pytest

from ledger.errors import PhotoRefused
from ledger.photo.rim_fit import fit_rim
from ledger.photo.round_part import diameter, tilt
from ledger.photo.tooth_count import count_teeth
from ledger.photo.tooth_marks import Counted, Marks
from ledger.photo.values import Measured, measured
from ledger.quantities.notation import parse
from tests.photo_coverage import check_coverage, holds, rate_of, sampling_error
from tests.photo_rims import VIEW, arc, picked, random_part

CASES, DRAWS = 2_000, 200
KNOWN, DEPTH = parse("100 ± 2 mm"), parse("-10..30 mm")


def test_tilt_and_diameter_hold_the_truth() -> None:
    """Arcs of 0.45 to a whole turn, 7 to 15 picks, unknown lens: 95 % of tilts, and of diameters of coaxial rims."""
    random = np.random.default_rng(20_261)
    tilts, sizes = [], []
    while len(sizes) < CASES:
        part = random_part(random, steepest=80)
        size, ratio = random.normal(100, 2 / 1.96), random.uniform(0.4, 0.9)
        depth = random.uniform(-10, 30) / (size / 2)
        try:
            rim = fit_rim(picked(part.rim(arc(random, int(random.integers(7, 16)))), random), count=DRAWS)
            other = fit_rim(
                picked(part.rim(np.linspace(0, 6, 12) + random.uniform(0, 6), ratio, depth), random), count=DRAWS
            )
        except PhotoRefused:
            continue
        tilts.append(holds(tilt(rim, VIEW), part.tilt))
        sizes.append(holds(diameter(other, rim, KNOWN, VIEW, DEPTH), ratio * size))
    check_coverage("tilt", sum(tilts), CASES, rate_of(DRAWS))
    check_coverage("diameter", sum(sizes), CASES, rate_of(DRAWS))


def narrower(found: Measured) -> Measured:
    """A fault: intervals half as wide as the draws make them."""
    return measured("narrow", found.unit, found.estimate + 0.5 * (found.draws - found.estimate))


def flat(found: Measured) -> Measured:
    """A fault: perspective left out, so that every tilt is acos(b/a) of the draws that are nearest to the least."""
    return dataclasses.replace(found, low=found.estimate - 1e-6, high=found.estimate + 1e-6)


@pytest.mark.parametrize("fault", [narrower, flat])
def test_a_faulty_tilt_is_refused(fault: Callable[[Measured], Measured]) -> None:
    """Intervals that are too narrow do not pass the same check, on fewer cameras."""
    random = np.random.default_rng(3)
    held = 0
    for _ in range(300):
        part = random_part(random, steepest=80)
        # More than χ² allows is refused in one of a hundred right sets; so the same part is marked again.
        rim = None
        while rim is None:
            with suppress(PhotoRefused):
                rim = fit_rim(picked(part.rim(np.linspace(0, 5.5, 10)), random), count=DRAWS)
        held += holds(fault(tilt(rim, VIEW)), part.tilt)
    with pytest.raises(AssertionError):
        check_coverage("tilt", held, 300, rate_of(DRAWS))


def toothed(random: np.random.Generator) -> tuple[Any, Marks, int] | None:
    """A wheel of 12 to 60 teeth with marks on its tips, some teeth hidden, and slips at their stated chances.

    It is seen large enough for all its teeth to be told apart: were fine teeth refused, coarse ones would be left.
    """
    teeth = int(random.integers(12, 61))
    part = random_part(random, steepest=60, smallest=240)
    hidden, pitches = [], [0]
    for _ in range(int(random.integers(3, 16))):
        stated = 1 if random.random() < 0.8 else int(random.integers(2, 5))
        slip = 0.02 if stated == 1 else 0.1
        true = stated if random.random() > slip else stated + (1 if random.random() < 0.5 or stated == 1 else -1)
        if pitches[-1] + true >= teeth:
            break
        pitches.append(pitches[-1] + true)
        hidden.append(stated - 1)
    angles = random.uniform(0, 6) + 2 * np.pi / teeth * (np.array(pitches) + random.normal(0, 0.03, len(pitches)))
    try:
        rim = fit_rim(picked(part.rim(arc(random, 12, 0.6)), random), count=DRAWS)
        return rim, Marks(picked(part.rim(angles), random), tuple(hidden)), teeth
    except PhotoRefused:
        return None


def counts(random: np.random.Generator, cases: int) -> list[tuple[Counted, int]]:
    """Counts with their truths; marks of teeth too small to be told apart are passed over, as the method refuses."""
    found: list[tuple[Counted, int]] = []
    while len(found) < cases:
        made = toothed(random)
        if made is None:
            continue
        try:
            found.append((count_teeth(made[0], made[1], VIEW, (12, 60)), made[2]))
        except PhotoRefused:
            continue
    return found


def check_calibrated(stated: np.ndarray, right: np.ndarray) -> None:
    """Refuse chances that come true more or less often than they say, by parts of the scale."""
    for low, high in ((0.0, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 0.99), (0.99, 1.01)):
        within = (stated >= low) & (stated < high)
        if within.sum() >= 20:
            said, held = float(stated[within].mean()), float(right[within].mean())
            error = sampling_error(int(within.sum()), min(max(said, 0.02), 0.98))
            assert abs(said - held) < error, f"of {within.sum()} that say {said:.3f}, {held:.3f} are right"


def test_a_count_that_says_ninety_percent_is_right_so_often() -> None:
    """The most probable count's chance, over 2,000 cameras; the set of 95 % holds the truth at least so often."""
    found = counts(np.random.default_rng(20_262), CASES)
    stated = np.array([one.chances[one.likeliest] for one, _ in found])
    right = np.array([one.likeliest == teeth for one, teeth in found])
    check_calibrated(stated, right)
    held = np.mean([teeth in one.held for one, teeth in found])
    assert held > 0.95 - sampling_error(CASES)
    sharpened = np.where(stated > 0.3, np.sqrt(stated), stated)
    with pytest.raises(AssertionError):
        check_calibrated(sharpened, right)
