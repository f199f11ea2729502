"""The map between a plane and its picture: exact for four points, fitted for more, many draws at a time.

A homography H takes (X, Y) to (x, y) = (h1·P, h2·P)/(h3·P) with P = (X, Y, 1); its rows are h1 to h3.
Source: Hartley and Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. (2004), 2.3 and ch. 4 (algorithm 4.2;
algorithm 4.3, errors in one picture), from memory.
"""

from __future__ import annotations

import numpy as np

# Gauss-Newton steps from the best fit to a draw's; each squares the share that is left over.
STEPS = 3
FIRST_STEPS = 25


def through_four(start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """Return the homography that takes four points to four others.

    The projective basis of each quadrilateral, B = [a p1, b p2, c p3] with B (1, 1, 1) = p4 up to scale; H = B' B⁻¹.

    start, end  shape (…, 4, 2), no three of the four on one line
    returns     shape (…, 3, 3), scaled so that the third coordinate of the first point is 1
    """
    return _scaled(_basis(end) @ _adjugate(_basis(start)), start)


def through_many(start: np.ndarray, end: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Return the homography that takes points to others with the least weighted squared error at the end.

    start, end  shape (draws, n, 2), n ≥ 4; the first draw is the best value, from which the others are found
    weight      shape (n,): 1/u² of each point at the end
    returns     shape (draws, 3, 3)

    np.linalg.LinAlgError if points are so placed that no single homography follows.
    """
    from_start, from_end = _levelling(start[0]), _levelling(end[0])
    level_start, level_end = apply(from_start, start)[0], apply(from_end, end)[0]
    root = np.sqrt(weight / weight.mean())
    best = _direct(level_start[:1], level_end[:1], root)
    best = _improve(best, level_start[:1], level_end[:1], root, FIRST_STEPS)
    found = _improve(np.repeat(best, len(start), axis=0), level_start, level_end, root, STEPS)
    return _scaled(np.linalg.inv(from_end) @ found @ from_start, start)


def apply(matrix: np.ndarray, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return where homographies take points, shape (…, n, 2), and the third coordinate, shape (…, n).

    The third coordinate changes its sign where the horizon is crossed.
    """
    x, y = points[..., 0], points[..., 1]
    rows = [
        matrix[..., row, None, 0] * x + matrix[..., row, None, 1] * y + matrix[..., row, None, 2] for row in range(3)
    ]
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.stack([rows[0] / rows[2], rows[1] / rows[2]], axis=-1), rows[2]


def inverse(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Return the inverse homographies, scaled so that the third coordinate of the first of some points is 1."""
    return _scaled(_adjugate(matrix), points)


def magnification(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Return by how much a homography stretches lengths about points, the root of its area factor: √(|det H| / w³)."""
    third = np.abs(apply(matrix, points)[1])
    return np.asarray(np.sqrt(np.abs(np.linalg.det(matrix))[..., None] / third**3))


def _cross(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    a, b, c = one[..., 0], one[..., 1], one[..., 2]
    d, e, f = other[..., 0], other[..., 1], other[..., 2]
    return np.stack([b * f - c * e, c * d - a * f, a * e - b * d], axis=-1)


def _basis(points: np.ndarray) -> np.ndarray:
    flat = np.concatenate([points, np.ones((*points.shape[:-1], 1))], axis=-1)
    first, second, third, fourth = (flat[..., place, :] for place in range(4))
    shares = (
        np.sum(fourth * _cross(second, third), axis=-1, keepdims=True) * first,
        np.sum(fourth * _cross(third, first), axis=-1, keepdims=True) * second,
        np.sum(fourth * _cross(first, second), axis=-1, keepdims=True) * third,
    )
    return np.stack(shares, axis=-1)


def _adjugate(matrix: np.ndarray) -> np.ndarray:
    first, second, third = (matrix[..., :, place] for place in range(3))
    return np.stack([_cross(second, third), _cross(third, first), _cross(first, second)], axis=-2)


def _scaled(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    point = points[..., 0, :]
    third = matrix[..., 2, 0] * point[..., 0] + matrix[..., 2, 1] * point[..., 1] + matrix[..., 2, 2]
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(matrix / third[..., None, None])


def _levelling(points: np.ndarray) -> np.ndarray:
    """Return the similarity that brings points to the origin and to a distance of √2 on the average."""
    middle = points.mean(axis=0)
    size = np.sqrt(2) / np.mean(np.hypot(*(points - middle).T))
    return np.array([[size, 0, -size * middle[0]], [0, size, -size * middle[1]], [0, 0, 1]])


def _direct(start: np.ndarray, end: np.ndarray, root: np.ndarray) -> np.ndarray:
    x, y = start[0, :, 0], start[0, :, 1]
    one, none = np.ones_like(x), np.zeros_like(x)
    rows = []
    for wanted, places in (
        (end[0, :, 0], (x, y, one, none, none, none)),
        (end[0, :, 1], (none, none, none, x, y, one)),
    ):
        rows.append(np.stack([*places, -wanted * x, -wanted * y, -wanted], axis=-1) * root[:, None])
    smallest = np.linalg.svd(np.concatenate(rows))[2][-1]
    return np.asarray(smallest / smallest[8]).reshape(1, 3, 3)


def _improve(matrix: np.ndarray, start: np.ndarray, end: np.ndarray, root: np.ndarray, steps: int) -> np.ndarray:
    x, y = start[..., 0], start[..., 1]
    for _ in range(steps):
        reached, third = apply(matrix, start)
        share = root / third
        slope = np.stack([x * share, y * share, share], axis=-1)
        # Both coordinates have the same three derivatives, in rows of their own, and two that they share.
        cross_x = -reached[..., :1] * slope[..., :2]
        cross_y = -reached[..., 1:] * slope[..., :2]
        left = (end - reached) * root[:, None]
        normal = np.zeros((*matrix.shape[:-2], 8, 8))
        right = np.empty((*matrix.shape[:-2], 8))
        block = slope.swapaxes(-1, -2)
        normal[..., :3, :3] = normal[..., 3:6, 3:6] = block @ slope
        normal[..., :3, 6:], normal[..., 3:6, 6:] = block @ cross_x, block @ cross_y
        normal[..., 6:, :6] = normal[..., :6, 6:].swapaxes(-1, -2)
        normal[..., 6:, 6:] = cross_x.swapaxes(-1, -2) @ cross_x + cross_y.swapaxes(-1, -2) @ cross_y
        right[..., :3] = (block @ left[..., :1])[..., 0]
        right[..., 3:6] = (block @ left[..., 1:])[..., 0]
        right[..., 6:] = (cross_x.swapaxes(-1, -2) @ left[..., :1] + cross_y.swapaxes(-1, -2) @ left[..., 1:])[..., 0]
        step = np.linalg.solve(normal, right[..., None])[..., 0]
        matrix = matrix + np.concatenate([step, np.zeros((*step.shape[:-1], 1))], axis=-1).reshape(
            *step.shape[:-1], 3, 3
        )
        if np.abs(step).max() < 1e-13:
            break
    return matrix
