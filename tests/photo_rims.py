"""Round parts before a camera, made up for simulations: rims, toothed ones too, and what is seen of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledger.photo.circle_pose import View
from ledger.photo.values import Pick

WIDTH, HEIGHT = 1200.0, 800.0
VIEW = View(WIDTH, HEIGHT)


@dataclass(frozen=True)
class Part:
    """A round part: focal length and lens middle [px], centre and axis towards the camera, in radii of its rim."""

    focal: float
    middle: np.ndarray
    centre: np.ndarray
    normal: np.ndarray

    @property
    def tilt(self) -> float:
        """Return the angle between axis and line of sight [°]."""
        return float(np.degrees(np.arccos(abs(self.normal @ self.centre) / np.linalg.norm(self.centre))))

    @property
    def distance(self) -> float:
        """Return the distance over the rim's diameter."""
        return float(np.linalg.norm(self.centre) / 2)

    def rim(self, angles: np.ndarray, radius: float = 1.0, depth: float = 0.0, aside: float = 0.0) -> np.ndarray:
        """Return pixels of a rim at angles [rad]; depth behind the first along the axis, moved aside in its plane."""
        right = np.cross(self.normal, (0.0, 0.1, 1.0))
        right = right / np.linalg.norm(right)
        down = np.cross(self.normal, right)
        centre = self.centre - depth * self.normal + aside * right
        points = centre + radius * (np.cos(angles)[:, None] * right + np.sin(angles)[:, None] * down)
        return np.asarray(points[:, :2] / points[:, 2:] * self.focal + self.middle)


def random_part(random: np.random.Generator, steepest: float = 90.0, smallest: float = 60.0) -> Part:
    """Return a part as any camera may see it: axes in all directions alike, lenses of 6° to 74°."""
    while True:
        focal = WIDTH / random.uniform(0.1, 1.5)
        middle = np.array([WIDTH, HEIGHT]) / 2 + random.normal(size=2) * 0.02 * WIDTH
        ray = np.array([*((random.uniform((250, 200), (950, 600)) - middle) / focal), 1.0])
        centre = ray / np.linalg.norm(ray) * focal / np.exp(random.uniform(np.log(smallest), np.log(300.0)))
        normal = random.normal(size=3)
        normal = normal / np.linalg.norm(normal)
        part = Part(focal, middle, centre, normal if normal @ centre < 0 else -normal)
        if part.tilt <= steepest:
            return part


def picked(pixels: np.ndarray, random: np.random.Generator, u: float = 1.0) -> tuple[Pick, ...]:
    """Return picks with random errors of the stated size [px]."""
    return tuple(Pick(float(x), float(y), u) for x, y in pixels + u * random.standard_normal(pixels.shape))


def arc(random: np.random.Generator, count: int, least: float = 0.45) -> np.ndarray:
    """Return angles of points anywhere on an arc of a share of the turn between `least` and one [rad]."""
    return random.uniform(0, 2 * np.pi) + np.sort(random.uniform(0, random.uniform(least, 1) * 2 * np.pi, count))
