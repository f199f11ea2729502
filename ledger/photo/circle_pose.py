"""Where a circle stands before the camera that is seen as a given ellipse, by the camera's focal length.

Rays to the ellipse make an elliptic cone; a circle that fits it can stand in two ways, mirrored about the line of
sight, and at any distance in proportion to its size.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from ledger.photo.ellipse import Array, conic_of
from ledger.photo.values import known_faults
from ledger.quantities.notation import Quantity, parse

_TOWARDS = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "above": (0.0, -1.0), "below": (0.0, 1.0)}
# Width of the picture over focal length where nothing is known: from a long lens or a crop (6°) to a wide one (74°).
ANY_LENS = parse("0.1..1.5")


@dataclass(frozen=True)
class View:
    """What is known of the camera.

    width, height  of the whole picture [px], before any cropping
    focal          focal length [px]: picture width times the 35-mm-equivalent focal length over 36 mm
    distance       in place of `focal`: distance of the rim (of the reference rim, where there is one) from the camera
                   over its diameter, a pure number; with neither, any lens from 6° to 74° of view
    centring       standard uncertainty of where the lens looks, about the middle of the picture, over its width
    nearer         which side of the rim is nearer to the camera
    """

    width: float
    height: float
    focal: Quantity | None = None
    distance: Quantity | None = None
    centring: float = 0.02
    nearer: str = "unknown"

    def faults(self) -> list[str]:
        """Return what is wrong with it, one sentence a fault."""
        found = []
        if not (1 <= self.width < inf and 1 <= self.height < inf):
            found.append(f"picture: given {self.width:g} by {self.height:g} px; expected its whole size. State it.")
        if not 0 <= self.centring <= 10:
            found.append(f"centring: given {self.centring:g}; expected 0 to 10 picture widths. 0.02 is usual.")
        if self.nearer != "unknown" and self.nearer not in _TOWARDS:
            found.append(f"nearer: given {self.nearer!r}; expected unknown, {', '.join(_TOWARDS)}. Choose one.")
        if self.focal is not None and self.distance is not None:
            found.append("camera: given both a focal length and a distance; expected one of them. Leave one out.")
        if self.focal is not None:
            found += known_faults(self.focal, "focal length", "px", above=0.0)
        if self.distance is not None:
            found += known_faults(self.distance, "distance over diameter", "", above=0.6)
        return found


@dataclass(frozen=True)
class Camera:
    """Draws of focal length [px] and of where the lens looks [px], and which of two ways a rim stands."""

    focal: Array
    x: Array
    y: Array
    mirrored: NDArray[np.bool_]
    nearer: str


@dataclass(frozen=True)
class Pose:
    """A circle before the camera, its radius taken as 1: x right, y down, z forward.

    away     distance of its centre over its radius
    towards  unit vectors to its centre, (draws, 3)
    normal   unit vectors along its axis, towards the camera's side, (draws, 3)
    """

    away: Array
    towards: Array
    normal: Array

    @property
    def tilt(self) -> Array:
        """Return the angle between the circle's axis and the line of sight to its centre [rad]."""
        across = np.linalg.norm(np.cross(self.normal, self.towards), axis=-1)
        return np.asarray(np.arctan2(across, np.abs(np.sum(self.normal * self.towards, axis=-1))))


def cameras(view: View, major: Array, random: np.random.Generator, count: int) -> Camera:
    """Return draws of the camera; `major` is the half axis of the rim whose distance may be stated [px]."""
    middle = random.standard_normal((2, count)) * view.centring * view.width
    mirrored = random.random(count) < 0.5
    x, y = view.width / 2 + middle[0], view.height / 2 + middle[1]
    if view.focal is not None:
        focal = view.focal.to("px").draw(count, random)
    elif view.distance is not None:
        focal = _focal_at(2 * view.distance.to("").draw(count, random), major)
    else:
        focal = view.width / ANY_LENS.draw(count, random)
    return Camera(focal, x, y, mirrored, view.nearer)


def typical(camera: Camera) -> Camera:
    """Return a camera of the middle of the draws for all of them; which way a rim stands stays drawn."""
    focal, x, y = (np.full_like(one, np.median(one)) for one in (camera.focal, camera.x, camera.y))
    return Camera(focal, x, y, camera.mirrored, camera.nearer)


def _focal_at(away: Array, major: Array) -> Array:
    """Return the focal length at which a circle `away` radii off, near the middle, has this half axis: a √(away² - 1).

    Half the angle that a sphere's silhouette and, nearly, a tilted circle's long axis fill has the sine 1/away.
    """
    return np.asarray(major * np.sqrt(away * away - 1))


def pose(axes: Array, camera: Camera) -> Pose:
    """Return the circle that is seen as an ellipse (x, y, a, b, φ), by draws.

    The cone's matrix Q = Kᵀ E K has eigenvalues λ₁ ≥ λ₂ > 0 > λ₃ with vectors e₁, e₂, e₃. The axis is
    n = √((λ₁ - λ₂)/(λ₁ - λ₃)) e₁ ± √((λ₂ - λ₃)/(λ₁ - λ₃)) e₃, the centre lies along c ∝ Q⁻¹ n at √(-λ₂/(cᵀ Q c)) radii.

    Source: Forsyth et al., Invariant descriptors for 3-D object recognition and pose, IEEE PAMI 13 (1991), pp. 971-991,
    for the two circular sections; from memory, and derived anew.
    """
    scaled = np.stack(
        ((axes[:, 0] - camera.x) / camera.focal, (axes[:, 1] - camera.y) / camera.focal,
         axes[:, 2] / camera.focal, axes[:, 3] / camera.focal, axes[:, 4]), axis=-1,
    )  # fmt: skip
    cone = conic_of(scaled)
    values, vectors = np.linalg.eigh(cone)
    low, middle, high = values.T
    first, last = vectors[:, :, 2], vectors[:, :, 0]
    along = np.sqrt(np.maximum(high - middle, 0) / (high - low))[:, None] * first
    ahead = np.sqrt((middle - low) / (high - low))[:, None] * last
    ways = [_stand(cone, middle, normal) for normal in (along + ahead, along - ahead)]
    # By pictures, not by eigenvectors, whose signs mean nothing: the first way has its near side rather to the right.
    swap = (_near_side(ways[0]) @ (1.0, 0.1)) < (_near_side(ways[1]) @ (1.0, 0.1))
    if camera.nearer == "unknown":
        second = camera.mirrored
    else:
        towards = np.array(_TOWARDS[camera.nearer])
        second, swap = _near_side(ways[1]) @ towards > _near_side(ways[0]) @ towards, np.zeros_like(swap)
    chosen = (second != swap)[:, None]
    return Pose(
        np.where(chosen[:, 0], ways[1].away, ways[0].away),
        np.where(chosen, ways[1].towards, ways[0].towards),
        np.where(chosen, ways[1].normal, ways[0].normal),
    )


def _stand(cone: Array, middle: Array, normal: Array) -> Pose:
    towards = np.linalg.solve(cone, normal[:, :, None])[:, :, 0]
    towards = towards / np.linalg.norm(towards, axis=1, keepdims=True)
    towards = towards * np.where(towards[:, 2:] < 0, -1.0, 1.0)
    inside = np.einsum("ni,nij,nj->n", towards, cone, towards)
    facing = np.where(np.sum(normal * towards, axis=1, keepdims=True) > 0, -1.0, 1.0)
    return Pose(np.sqrt(-middle / inside), towards, normal * facing)


def _near_side(stood: Pose) -> Array:
    """Return the direction on the picture from a circle's centre to its nearest point, (draws, 2), of any length."""
    along = np.sum(stood.normal * stood.towards, axis=1, keepdims=True) * stood.normal - stood.towards
    return np.asarray(along[:, :2] - along[:, 2:] * stood.towards[:, :2] / stood.towards[:, 2:])


def angles_on(found: Pose, camera: Camera, points: Array) -> tuple[Array, Array]:
    """Return places of points on the circle's plane: angle about its axis [rad] and distance from it over its radius.

    The angle counts from a direction that moves little from draw to draw, and rises from x towards y on the picture.

    points  (points, 2) or (draws, points, 2) [px]

    Each is (draws, points).
    """
    rays = np.stack(np.broadcast_arrays(
        (points[..., 0] - camera.x[:, None]) / camera.focal[:, None],
        (points[..., 1] - camera.y[:, None]) / camera.focal[:, None], 1.0,
    ), axis=-1)  # fmt: skip
    depth = found.away * np.sum(found.normal * found.towards, axis=1)
    reach = depth[:, None] / np.einsum("npi,ni->np", rays, found.normal)
    from_centre = rays * reach[:, :, None] - (found.away[:, None] * found.towards)[:, None, :]
    right = np.array([1.0, 0.0, 0.0]) - found.normal[:, :1] * found.normal
    right = right / np.linalg.norm(right, axis=1, keepdims=True)
    down = np.cross(right, found.normal)
    along, across = np.einsum("npi,ni->np", from_centre, right), np.einsum("npi,ni->np", from_centre, down)
    return np.arctan2(across, along), np.hypot(along, across)
