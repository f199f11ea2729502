"""The cameras of the demo photographs, and where a point of the box falls in their pictures.

A camera has its place and three axes of its own in box coordinates: right, down, forward. A point seen at x, y, both
over its distance ahead, falls after Brown's distortion at f x (1 + k1 r² + k2 r⁴) + cx, and likewise down the picture.
"""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import numpy as np

WIDTH, HEIGHT = 1200, 800


def camera(place: list[float], target: list[float], focal: float, roll: float, k1: float, k2: float,
           middle: tuple[float, float] = (WIDTH / 2, HEIGHT / 2), **more: Any) -> dict[str, Any]:  # fmt: skip
    """Return a camera that looks from a place to a target, rolled clockwise [deg]."""
    here = np.array(place, float)
    forward = np.array(target, float) - here
    forward /= np.linalg.norm(forward)
    right = np.cross(forward, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    down = np.cross(forward, right)
    turn = radians(roll)
    right, down = cos(turn) * right + sin(turn) * down, cos(turn) * down - sin(turn) * right
    axes = {name: [round(float(v), 12) for v in axis] for name, axis in
            (("right", right), ("down", down), ("forward", forward))}  # fmt: skip
    return {"width": WIDTH, "height": HEIGHT, "focal": focal, "middle": list(middle), "k1": k1, "k2": k2,
            "place": [float(v) for v in place], **axes, **more}  # fmt: skip


# focus: distance of the sharp plane [mm]; aperture: diameter of the entrance pupil [mm]; noise: of a pixel, of 255.
CAMERAS = {
    "inspection-opening": camera([141.0, -1147.0, 108.0], [133.5, -165.0, 92.0], 5400.0, 0.6, -0.35, 0.0,
                                 (603.0, 396.5), focus=1100.0, aperture=7.0, noise=3.0, vignette=0.25),
    "inspection-opening-oblique": camera([-24.0, -640.0, 225.0], [130.0, -120.0, 84.0], 2480.0, -1.4, -0.16, 0.0,
                                         (598.0, 403.0), focus=560.0, aperture=5.0, noise=3.5, vignette=0.3),
    "rim-of-third-wheel": camera([-24.0, -302.0, 104.0], [115.0, -92.0, 60.0], 1500.0, 2.1, -0.09, 0.0,
                                 (596.0, 404.0), focus=246.0, aperture=2.4, noise=4.5, vignette=0.35),
    "left-side-outside": camera([322.0, -4150.0, 160.0], [306.0, -160.0, 76.0], 5800.0, 0.5, -0.30, 0.0,
                                (602.0, 401.0), focus=3990.0, aperture=26.0, noise=2.5, vignette=0.25),
    "right-side-outside": camera([284.0, 4150.0, 190.0], [306.0, 160.0, 76.0], 5800.0, -0.7, -0.30, 0.0,
                                 (602.0, 401.0), focus=3960.0, aperture=26.0, noise=2.5, vignette=0.25),
    "bore-camera-still": camera([208.0, 129.0, 34.0], [306.0, 148.0, 72.0], 760.0, -9.0, -0.2, 0.025,
                                (612.0, 390.0), focus=75.0, aperture=1.6, noise=4.0, vignette=0.75),
    "bore-camera-dogs": camera([80.0, -113.0, 22.0], [66.0, -60.0, 14.0], 640.0, 24.0, -0.2, 0.025,
                               (612.0, 390.0), focus=62.0, aperture=0.8, noise=5.0, vignette=0.75),
}  # fmt: skip
# Sleeves that are not in neutral, by picture: millimetres rearward.
SHIFTS: dict[str, dict[str, float]] = {"bore-camera-dogs": {"S1": 11.0}}


def project(seen_by: dict[str, Any], points: np.ndarray) -> np.ndarray:
    """Return the pixels (n, 2) of points (n, 3) [mm]; points must lie ahead of the camera."""
    away = np.asarray(points, float) - seen_by["place"]
    ahead = away @ seen_by["forward"]
    flat = np.column_stack([away @ seen_by["right"], away @ seen_by["down"]]) / ahead[:, None]
    square = (flat**2).sum(axis=1, keepdims=True)
    bent = flat * (1 + seen_by["k1"] * square + seen_by["k2"] * square**2)
    return seen_by["focal"] * bent + np.array(seen_by["middle"])


def straightened(seen_by: dict[str, Any], pixels: np.ndarray) -> np.ndarray:
    """Return the directions x, y over distance of pixels (n, 2): Newton's steps undo the distortion."""
    bent = (np.asarray(pixels, float) - seen_by["middle"]) / seen_by["focal"]
    far = np.linalg.norm(bent, axis=1)
    k1, k2 = seen_by["k1"], seen_by["k2"]
    r = far.copy()
    for _ in range(30):
        r = r - (r * (1 + k1 * r**2 + k2 * r**4) - far) / (1 + 3 * k1 * r**2 + 5 * k2 * r**4)
    return bent * (r / np.maximum(far, 1e-12))[:, None]
