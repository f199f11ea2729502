"""The map of a straight line to its picture, fitted many draws at a time.

t = (α s + β)/(γ s + 1), with s along the line and t along its picture.
Source: Hartley and Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. (2004), 2.5, from memory.
"""

from __future__ import annotations

import numpy as np

FEWEST = 3
# Gauss-Newton steps from the linear fit.
STEPS = 4


def project(straight: np.ndarray, weight: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return places along and across the line that fits best in each draw [px], both (draws, features)."""
    share = weight / weight.sum()
    offset = straight - np.sum(straight * share[:, None], axis=1, keepdims=True)
    x, y = offset[..., 0], offset[..., 1]
    slope = np.arctan2(2 * np.sum(share * x * y, axis=1), np.sum(share * (x * x - y * y), axis=1)) / 2
    slope = slope[0] + (slope - slope[0] + np.pi / 2) % np.pi - np.pi / 2
    along, across = np.cos(slope)[:, None], np.sin(slope)[:, None]
    return x * along + y * across, y * along - x * across


def fit(s: np.ndarray, t: np.ndarray, root: np.ndarray) -> np.ndarray:
    """Return α, β, γ of t = (α s + β)/(γ s + 1) with the least weighted squared error in t, shape (draws, 3)."""
    one = np.ones_like(s)
    slopes = np.stack([s, one, -s * t], axis=-1) * root[:, None]
    found = _least(slopes, t * root)
    if s.shape[1] > FEWEST:
        for _ in range(STEPS):
            third = 1 + found[:, 2:] * s
            reached = (found[:, :1] * s + found[:, 1:2]) / third
            slopes = np.stack([s, one, -s * reached], axis=-1) * (root / third)[..., None]
            found = found + _least(slopes, (t - reached) * root)
    return found


def _least(slopes: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    turned = slopes.swapaxes(-1, -2)
    normal, right = turned @ slopes, turned @ wanted[..., None]
    try:
        return np.asarray(np.linalg.solve(normal, right)[..., 0])
    except np.linalg.LinAlgError:
        return np.full(right.shape[:-1], np.nan)
