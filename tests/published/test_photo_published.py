"""Printed examples of measuring on photographs and of combining measurements.

PHO-1: "Photogrammetry: an introduction", worked example of a flag pole; seen in a copy.
Lyons, Gibaut and Clifford, How to combine correlated estimates of a single physical quantity, Nucl. Instrum. Meth. A
270 (1988), 110-117, section 5: readings and covariance (17') seen in a copy, the printed result from memory.
Peelle's puzzle, in Burr, Kawano, Talou, Pan, Hengartner, Algorithms 4 (2011), 28-39: the puzzle named and described in
a copy, its numbers from memory. D'Agostini, Nucl. Instrum. Meth. A 346 (1994), 306-311: from memory.
"""

from __future__ import annotations

from math import hypot

import numpy as np
import pytest

from ledger.photo.combining import Reading, combine
from ledger.photo.lens import Straight
from ledger.photo.shaft_line import axial_stack
from ledger.photo.values import Pick
from ledger.quantities.notation import parse
from tests.covariances import readings_of

PIXELS = (0.0, 55.0, 70.0, 310.0)


def test_height_of_the_flag() -> None:
    """With 36 in and 9 in known, the third gap is 110.0 in and the whole 155 in (PHO-1, printed 109.999991).

    From 17850/4650 = 45 (9 + X)/(9 (45 + X)) follows X = 109.9999…, held to 0.001 in: the picks are given a doubt of
    1e-5 px, as the example knows none. Inches are written as millimetres: the method knows no size.
    """
    picks = [Pick(412.0, 900.0 - place, 1e-5) for place in PIXELS]
    known = {name: (picks[n], parse(text)) for n, (name, text) in enumerate(zip("abc", ("0 mm", "36 mm", "45 mm")))}  # noqa: B905
    stack = axial_stack(known, {"d": picks[3]}, Straight())
    assert [one.label for one in stack.positions] == ["a", "b", "c", "d"]
    assert stack.gaps[2].label == "c to d"
    assert stack.gaps[2].estimate == pytest.approx(110.0, abs=0.002)
    assert stack.positions[3].estimate == pytest.approx(155.0, abs=0.002)


def test_four_lifetimes_with_their_covariance() -> None:
    """Lyons, Gibaut, Clifford, section 5: 11.16 ± 1.13, with weights 0.145, 0.470, 0.347, 0.038 (to the last digit)."""
    covariance = np.array(
        [[2.74, 1.15, 0.86, 1.31], [1.15, 1.67, 0.82, 1.32], [0.86, 0.82, 2.12, 1.05], [1.31, 1.32, 1.05, 2.93]]
    )
    readings = readings_of("abcd", "s", (9.5, 11.9, 11.1, 8.9), covariance)
    found = combine("lifetime", readings, proportional=False)
    assert found.value.estimate == pytest.approx(11.16, abs=0.005)
    assert found.value.uncertainty == pytest.approx(1.13, abs=0.005)
    assert list(found.weights.values()) == pytest.approx([0.145, 0.470, 0.347, 0.038], abs=6e-4)
    assert found.freedom == 3
    assert not found.conflict


def scaled(first: float, second: float, own: float, shared: float) -> list[Reading]:
    """Two readings with errors of their own and a shared scale error, both as shares of the reading."""
    return [
        Reading(name, "mm", value, value * hypot(own, shared), {"scale": value * shared})
        for name, value in (("one", first), ("other", second))
    ]


def test_the_puzzle_of_readings_that_share_a_scale() -> None:
    """Readings 1.5 and 1.0 with 10 % of their own and 20 % shared give 0.88 ± 0.22, below both, when naively taken.

    With the shared error taken at the estimate, which is what a scale does, the answer lies between them: weights as
    1/1.5² to 1/1.0², so (1.5/2.25 + 1)/(1/2.25 + 1) = 1.154.
    """
    naive = combine("puzzle", scaled(1.5, 1.0, 0.1, 0.2), proportional=False)
    assert naive.value.estimate == pytest.approx(0.88, abs=0.005)
    assert naive.value.uncertainty == pytest.approx(0.22, abs=0.005)
    right = combine("puzzle", scaled(1.5, 1.0, 0.1, 0.2))
    assert right.value.estimate == pytest.approx(1.153846, abs=1e-6)
    assert min(right.weights.values()) > 0


def test_two_readings_of_one_normalisation() -> None:
    """Readings 8.0 and 8.5 with 2 % of their own and 10 % shared give 7.87 ± 0.81 naively (D'Agostini, section 2)."""
    naive = combine("normalised", scaled(8.0, 8.5, 0.02, 0.10), proportional=False)
    assert naive.value.estimate == pytest.approx(7.87, abs=0.005)
    assert naive.value.uncertainty == pytest.approx(0.81, abs=0.005)
    assert 8.0 < combine("normalised", scaled(8.0, 8.5, 0.02, 0.10)).value.estimate < 8.5
