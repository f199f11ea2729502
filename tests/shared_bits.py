"""What two variables tell of each other, by a library."""

from __future__ import annotations

import numpy as np
from scipy import stats


def mutual_information(joint: np.ndarray) -> float:
    """The relative entropy of a joint table, which sums to one, to what two that tell nothing have, in bits."""
    apart = np.outer(joint.sum(axis=1), joint.sum(axis=0))
    return float(stats.entropy(joint.ravel(), apart.ravel(), base=2))
