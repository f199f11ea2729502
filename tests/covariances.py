"""Readings whose covariance is stated whole."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ledger.photo.combining import Reading


def readings_of(labels: Sequence[str], unit: str, estimates: Sequence[float], covariance: np.ndarray) -> list[Reading]:
    """Readings of a covariance: half its least eigenvalue each one's own, the rest shared, a cause for each column."""
    own = np.linalg.eigvalsh(covariance)[0] / 2
    parts = np.linalg.cholesky(covariance - own * np.eye(len(covariance)))
    shared = [{f"cause {number}": float(part) for number, part in enumerate(row)} for row in parts]
    doubts = np.sqrt(np.diag(covariance)).tolist()
    given = zip(labels, estimates, doubts, shared, strict=True)
    return [Reading(label, unit, float(value), doubt, causes) for label, value, doubt, causes in given]
