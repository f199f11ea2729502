"""How far a plane leans from facing the camera, by the map from the picture to it."""

from __future__ import annotations

import numpy as np


def lean(to_plane: np.ndarray, at: np.ndarray) -> float:
    """Return how far a plane leans from facing the camera at a place on the picture [°], 0 to 90.

    acos(s/l), with s and l the shortest and longest length on the picture of short lengths alike on the plane, that is
    the singular values of the map's Jacobian J there: (J⁻¹)_ij = (h_ij - p_i h_3j)/(h₃ · (x, y, 1)), p the place on the
    plane. Exact in the middle of the picture; off it by as much as the ray there leaves the middle.

    to_plane  homography from straight pixels to the plane [mm], shape (3, 3)
    at        place on the picture [px], shape (2,)
    """
    reached = to_plane @ np.append(at, 1.0)
    slopes = (to_plane[:2, :2] - np.outer(reached[:2] / reached[2], to_plane[2, :2])) / reached[2]
    long, short = np.linalg.svd(slopes, compute_uv=False)
    return float(np.degrees(np.arccos(short / long)))
