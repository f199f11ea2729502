"""How much there is to know, and how much an outcome teaches, in bits."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from ledger.errors import WeighingRefused
from ledger.weighing.checking import SUM_TOLERANCE
from ledger.weighing.likelihood import Array, logs

BIT = math.log(2.0)


def entropy(chances: ArrayLike) -> float:
    """Return the entropy of a distribution, H = -sum p log2 p, 0 log 0 being 0 [bit].

    chances  of any shape, each 0 … 1, summing to one

    Raises WeighingRefused when they are no distribution.
    Source: Cover & Thomas, Elements of Information Theory, 2nd ed. (2006), §2.1.
    """
    return _entropy(_distribution(chances))


def gains(before: Array, shown: Array) -> Array:
    """Return what each outcome would teach, sum_i q_i log2(q_i / p_i) from p to q, >= 0, (draws, outcomes) [bit].

    before  p, confidences, (draws, rivals), each row summing to one
    shown   P(outcome | rival), (draws, outcomes, rivals)

    An outcome of chance 0 teaches nothing.
    Source: Cover & Thomas, Elements of Information Theory, 2nd ed. (2006), §2.3 (relative entropy).
    """
    joint = before[:, None, :] * shown
    chance = joint.sum(axis=-1, keepdims=True)
    after = joint / np.where(chance > 0, chance, 1.0)
    left = after > 0
    terms = after * (logs(np.where(left, after, 1.0)) - logs(np.where(left, before[:, None, :], 1.0)))
    found: Array = np.maximum(np.where(left, terms, 0.0).sum(axis=-1) / BIT, 0.0)
    return found


def _entropy(chances: Array) -> float:
    some = chances[chances > 0]
    return max(0.0, -float(np.sum(some * np.log2(some))))


def _distribution(chances: ArrayLike) -> Array:
    values = np.asarray(chances, dtype=float)
    if not bool(np.all((values >= 0) & (values <= 1))):
        raise WeighingRefused("a chance lies outside 0 to 1, or is no number. Correct it.")
    total = float(values.sum())
    if not abs(total - 1.0) <= SUM_TOLERANCE:
        raise WeighingRefused(f"the chances sum to {total:.12g}; expected 1. Divide each of them by that sum.")
    return values
