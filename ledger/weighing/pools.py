"""How several people's confidences become one, and how many people that is worth. Pure functions of numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ledger.errors import WeighingRefused
from ledger.weighing.given import Numbers, numbers, people


def linear_pool(
    confidences: Sequence[Sequence[float]] | Numbers, weights: Sequence[float] | None = None
) -> tuple[float, ...]:
    """Return the weighted mean of several people's confidences, Σ_i w_i p_i; it is sure only if all with weight are.

    confidences  one row a person, one column a rival; each row sums to one
    weights      w, one a person, 0…1, sum one; None: equal

    Raises WeighingRefused for rows that are no confidences and weights that are no shares.

    Source: Stone, Annals of Mathematical Statistics 32 (1961), p. 1339.
    """
    rows, shares = people(confidences, weights)
    return tuple(math.fsum(shares * column) for column in rows.T)


def logarithmic_pool(
    confidences: Sequence[Sequence[float]] | Numbers, weights: Sequence[float] | None = None
) -> tuple[float, ...]:
    """Return the weighted geometric mean of several people's confidences, Π_i p_i^w_i made to sum to one.

    Shared evidence may be taken in before or after pooling, to the same end. A person of any weight who gives a rival
    no chance shuts it out for all; one of no weight has no say.

    Arguments as in `linear_pool`. Raises WeighingRefused likewise, and where every rival is shut out.

    Source: Genest and Zidek, Statistical Science 1 (1986), p. 114.
    """
    rows, shares = people(confidences, weights)
    heard, say = rows[shares > 0.0], shares[shares > 0.0]
    open_to_all = np.all(heard > 0.0, axis=0)
    if not np.any(open_to_all):
        raise WeighingRefused(
            "every rival is given no chance by somebody; expected one that nobody shuts out. "
            "Raise a confidence above 0, or use the linear pool."
        )
    logs = say @ np.log(heard[:, open_to_all])
    pooled = np.zeros(rows.shape[1])
    pooled[open_to_all] = np.exp(logs - logs.max())
    return tuple(float(value) for value in pooled / math.fsum(pooled))


def effective_number(weights: Sequence[float] | Numbers) -> float:
    """Return how many equal weights would tell as much, (Σ w)² / Σ w², from 1 to their number.

    weights  finite, >= 0, one of them above 0; their scale does not matter

    Raises WeighingRefused otherwise.

    Source: Kish, Survey Sampling (1965).
    """
    given = numbers("the weights", weights, 1)
    if not (np.all(np.isfinite(given)) and np.all(given >= 0.0) and np.any(given > 0.0)):
        raise WeighingRefused("the weights must be finite, none below 0 and one above 0. Correct the numbers.")
    shares = given / given.max()
    return math.fsum(shares) ** 2 / math.fsum(shares**2)
