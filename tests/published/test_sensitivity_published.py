"""Shares of variance against a function whose shares are printed.

Ishigami and Homma (1990), as in Saltelli et al., Global Sensitivity Analysis: The Primer (2008), 4.4 (from memory):
Y = sin X1 + 7 sin² X2 + 0.1 X3⁴ sin X1 with X uniform on (-π, π). The exact shares follow from the printed variances
V1 = (1 + b π⁴/5)²/2, V2 = a²/8, V = V1 + V2 + 8 b² π⁸/225: 0.3139, 0.4424 and 0.
"""

from __future__ import annotations

import numpy as np
import pytest

from ledger.calculators.sensitivity import share_of_variance
from ledger.quantities.draws import generator

A, B = 7.0, 0.1


def test_the_shares_of_the_ishigami_function() -> None:
    """The three printed first-order shares come out of 100,000 plain draws, and 0.24 is left to acting together."""
    x = generator("ishigami").uniform(-np.pi, np.pi, (3, 100_000))
    y = np.sin(x[0]) + A * np.sin(x[1]) ** 2 + B * x[2] ** 4 * np.sin(x[0])
    found = [share_of_variance(one, y) for one in x]
    assert found == pytest.approx([0.3139, 0.4424, 0.0], abs=0.01)
    assert 1 - sum(found) == pytest.approx(0.2437, abs=0.015)
