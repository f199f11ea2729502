"""Cameras made up for simulations: pinholes with random focal lengths and poses, and what they see."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledger.photo.lens import BrownLens, distort
from ledger.photo.values import Pick

WIDTH, HEIGHT = 3000.0, 2000.0


@dataclass(frozen=True)
class Camera:
    """A pinhole: focal length and middle [px]; turn and place take the part's coordinates [mm] to the camera's."""

    focal: float
    turn: np.ndarray
    place: np.ndarray
    lens: BrownLens | None = None

    def see(self, points: np.ndarray) -> np.ndarray:
        """Return the pixels of points [mm], shape (n, 3), distorted where there is a lens."""
        seen = points @ self.turn.T + self.place
        pixels = self.focal * seen[:, :2] / seen[:, 2:] + np.array([WIDTH, HEIGHT]) / 2
        return pixels if self.lens is None else distort(self.lens, pixels)


def random_camera(
    random: np.random.Generator, size: float, lean: float = 55.0, share: float = 0.7, lens: BrownLens | None = None
) -> Camera:
    """Return a camera that sees a flat part of about some size [mm], leaning by up to so many degrees."""
    focal = random.uniform(0.6, 3.0) * WIDTH
    tilt, direction, roll = np.radians(random.uniform(0, lean)), *random.uniform(0, 2 * np.pi, 2)
    turn = about_z(roll) @ about_x(tilt) @ about_z(direction)
    distance = focal * size / (share * HEIGHT)
    aside = random.uniform(-0.1, 0.1, 2) * distance * HEIGHT / focal
    return Camera(focal, turn, np.array([*aside, distance]), lens)


def about_x(angle: float) -> np.ndarray:
    """Turn about the x axis."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[1, 0, 0], [0, c, -s], [0, s, c]])


def about_z(angle: float) -> np.ndarray:
    """Turn about the z axis."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def pick(pixels: np.ndarray, u: float, random: np.random.Generator) -> tuple[Pick, ...]:
    """Return picks of pixels with random errors of the stated size."""
    return tuple(Pick(*(place + u * random.standard_normal(2)), u) for place in pixels)


def flat(points: np.ndarray) -> np.ndarray:
    """Return points of the plane z = 0, shape (n, 3)."""
    return np.column_stack([points, np.zeros(len(points))])
