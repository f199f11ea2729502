"""How probable a measured value is under a prediction, held against scipy and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from ledger.quantities.density import agreement, density, overlap
from ledger.quantities.draws import generator
from ledger.quantities.notation import parse

SHAPES = {
    "62 ± 3 mm (k=1)": stats.norm(62, 3),
    "55..68 mm": stats.uniform(55, 13),
    "55..61..68 mm": stats.triang((61 - 55) / 13, 55, 13),
    "55..55..68 mm": stats.triang(0.0, 55, 13),
    "55..68..68 mm": stats.triang(1.0, 55, 13),
}


@pytest.mark.parametrize("text", SHAPES)
def test_densities_agree_with_a_general_library(text: str) -> None:
    """Each shape's density equals scipy's inside its support and is nothing outside."""
    at = np.linspace(50, 75, 501)
    assert density(parse(text), at) == pytest.approx(SHAPES[text].pdf(at), abs=1e-12)


def test_two_normals_meet_as_one_normal_of_their_difference() -> None:
    """The integral of two normal densities is the normal density of the difference with the variances added."""
    closed = stats.norm.pdf(62 - 65, 0, np.hypot(3, 4))
    assert overlap(parse("62 ± 3 mm (k=1)"), parse("65 ± 4 mm (k=1)")) == pytest.approx(closed, rel=1e-6)
    drawn = parse("65 ± 4 mm (k=1)").draw(400_000, generator("test"))
    assert agreement(parse("62 ± 3 mm (k=1)"), drawn) == pytest.approx(closed, rel=5e-3)


def test_a_narrow_measurement_in_a_broad_range_has_the_range_s_density() -> None:
    """A value known to a millimetre somewhere in 20 to 200 mm has the density 1/180."""
    assert overlap(parse("62 ± 1 mm"), parse("20..200 mm")) == pytest.approx(1 / 180, rel=1e-6)


def test_an_exact_prediction_takes_the_measurement_s_density_there() -> None:
    """Predicting 60 mm exactly is as probable as the measurement says 60 mm is."""
    assert overlap(parse("62 ± 3 mm (k=1)"), parse("60 mm")) == pytest.approx(stats.norm.pdf(60, 62, 3))


def test_counts_meet_count_by_count() -> None:
    """Two counts with doubt agree with the sum of the products of their chances, whichever is measured."""
    one, two = parse("30: 0.2, 31: 0.7, 32: 0.1"), parse("31: 0.5, 33: 0.5")
    assert overlap(one, two) == pytest.approx(0.35)
    assert overlap(two, one) == pytest.approx(0.35)


def test_an_exact_measurement_has_no_density() -> None:
    """Comparing a prediction with a value without doubt is refused."""
    with pytest.raises(ValueError, match="no density"):
        overlap(parse("62 mm"), parse("20..200 mm"))
