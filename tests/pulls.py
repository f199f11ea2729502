"""The bound of what one source can do."""

from __future__ import annotations

import math


def greatest_pull(soundness: float, prior: float) -> float:
    """The most by which one origin can raise the odds of a rival against any other: 1 + R / ((1 - R) π).

    P_o(i) / P_o(k) <= 1 + R A_oi / ((1 - R) sum π A) and sum π A >= π_i A_oi. Without bound (infinite) for a sound
    source taken as certain, or a rival of prior 0.
    """
    if soundness == 0:
        return 1.0
    if soundness == 1 or prior == 0:
        return math.inf
    return 1 + soundness / ((1 - soundness) * prior)
