"""Printed examples of fitting ellipses, of tilt by a circle's ellipse, and of modules by tip diameter.

PHO-2: scikit-image documentation, EllipseModel, Examples. PHO-3: orthographic geometry; the sine rule of oblique round
marks. Gander, Golub, Strebel, Least-squares fitting of circles and ellipses, BIT 34 (1994), 558-578: points and result
from memory, recomputed here by the least sum itself. GEO-2: KHK, Gear Technical Reference, Table 4.3.
"""

from __future__ import annotations

from math import acos, asin, degrees

import numpy as np
import pytest

from ledger.photo.circle_pose import View
from ledger.photo.ellipse import axes_of_conic, distances, monomials, state_of
from ledger.photo.rim_fit import _best, fit_rim
from ledger.photo.round_part import tilt
from ledger.photo.tooth_module import module_of
from ledger.photo.values import Pick
from ledger.quantities.notation import parse

U = 1e-4


def pho_2() -> list[Pick]:
    """The 25 points of EllipseModel((10, 15), (8, 4), 30°).predict_xy(linspace(0, 2 pi, 25)), by its formula."""
    t, theta = np.linspace(0, 2 * np.pi, 25), np.radians(30)
    x = 10 + 8 * np.cos(theta) * np.cos(t) - 4 * np.sin(theta) * np.sin(t)
    y = 15 + 8 * np.sin(theta) * np.cos(t) + 4 * np.cos(theta) * np.sin(t)
    return [Pick(float(a), float(b), U) for a, b in zip(x, y, strict=True)]


def test_ellipse_of_the_documentation() -> None:
    """PHO-2: centre 10.00, 15.00, half axes 8.00, 4.00, angle 0.52 rad, residuals 0 to five digits (to 0.005)."""
    rim = fit_rim(pho_2(), count=500)
    assert (rim.x, rim.y, rim.a, rim.b, rim.angle) == pytest.approx((10, 15, 8, 4, 0.52), abs=0.005)
    assert np.abs(distances(state_of(rim.best[0]), np.array([(p.x, p.y) for p in pho_2()]))).max() < 5e-6


def test_tilt_of_that_circle() -> None:
    """PHO-3: a circle seen so from far away is tilted acos(4/8) = 60° = 90° - asin(4/8)."""
    far = View(20, 30, focal=parse("1000000 px"), centring=0.0)
    found = tilt(fit_rim(pho_2(), count=500), far)
    assert found.estimate == pytest.approx(60.0, abs=0.01)
    assert degrees(acos(4 / 8)) == pytest.approx(90 - degrees(asin(4 / 8)))


def test_eight_points_of_gander_golub_and_strebel() -> None:
    """The best geometric fit has centre (2.6996, 3.8160), half axes 6.5187, 3.0319, angle 0.3596 (last digit).

    The points scatter widely about any ellipse, more than a rim may, so the least squares fit alone is asked.
    """
    points = np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7), (6, 2), (8, 4)], dtype=float)
    misfit, axes = _best(points, np.ones(8), None)
    assert axes == pytest.approx([2.6996, 3.8160, 6.5187, 3.0319, 0.3596], abs=1.01e-4)
    assert misfit**0.5 == pytest.approx(1.1719, abs=5e-5)


def test_conic_through_four_axes_ends() -> None:
    """x²/4 + y² = 1 through (±2, 0), (0, ±1): colour-science documentation, ellipse_fitting: 0.2425, 0, 0.9701, …"""
    printed = np.array([0.2425356, 0.0, 0.9701425, 0.0, 0.0, -0.9701425])
    assert monomials(np.array([(2.0, 0), (0, 1), (-2, 0), (0, -1)])) @ printed == pytest.approx(np.zeros(4), abs=1e-6)
    axes, real = axes_of_conic(printed)
    assert real
    assert axes == pytest.approx([0, 0, 2, 1, 0], abs=1e-6)


@pytest.mark.parametrize(("teeth", "shift", "tip"), [("12", "0.6", "44.840 mm"), ("24", "0.36", "79.400 mm")])
def test_module_of_a_shifted_pair(teeth: str, shift: str, tip: str) -> None:
    """GEO-2: m = 3 mm from d_a 44.840 and 79.400 mm; tip shortening 1.12667 - 1 - … leaves h_a 4.420 and 3.700.

    x less the shortening is h_a/m - 1: 0.47333 and 0.23333.
    """
    addendum = {"12": "1.4733333", "24": "1.2333333"}[teeth]
    found = module_of(parse(tip), parse(teeth), parse("1"), parse(f"{float(addendum) - 1:.7f}"))
    assert found.module.estimate == pytest.approx(3.0, abs=1e-4)
    assert found.likeliest == 3.0
    # With addendum and shift in doubt it is the most probable of both series all the same.
    rough = module_of(parse(tip), parse(teeth))
    assert max(rough.chances, key=lambda m: rough.chances[m]) == 3.0
    assert float(shift) > 0
