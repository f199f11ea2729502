"""What lens, sensor and JPEG do to a computed picture. Numpy and Pillow only."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
from cameras import straightened
from PIL import Image, ImageDraw, ImageFilter

LARGEST = 390_000


def window(camera: dict[str, Any], scale: float) -> tuple[np.ndarray, np.ndarray, int, int]:
    """Return the corner and the far corner of the straight picture that covers the bent one, and its size [px].

    Both corners are directions x, y over distance; the straight picture has `scale` of the focal length.
    """
    w, h = camera["width"], camera["height"]
    across, down = np.linspace(-2, w + 2, 200), np.linspace(-2, h + 2, 200)
    edge = np.vstack([np.column_stack([across, np.full(200, v)]) for v in (-2, h + 2)]
                     + [np.column_stack([np.full(200, v), down]) for v in (-2, w + 2)])  # fmt: skip
    seen = straightened(camera, edge)
    low, high = seen.min(axis=0), seen.max(axis=0)
    size = np.ceil((high - low) * camera["focal"] * scale).astype(int) + 2
    return low, low + size / (camera["focal"] * scale), int(size[0]), int(size[1])


def bend(picture: np.ndarray, camera: dict[str, Any], scale: float, out: float = 1.0) -> np.ndarray:
    """Resample a straight picture (rows, columns, 3) as the camera's lens would bend it; `out` shrinks the result."""
    low, _, _, _ = window(camera, scale)
    w, h = round(camera["width"] * out), round(camera["height"] * out)
    x, y = np.meshgrid((np.arange(w) + 0.5) / out, (np.arange(h) + 0.5) / out)
    seen = straightened(camera, np.column_stack([x.ravel(), y.ravel()]))
    where = (seen - low) * camera["focal"] * scale - 0.5
    return cubic(picture, where).reshape(h, w, 3)


def cubic(picture: np.ndarray, where: np.ndarray) -> np.ndarray:
    """Return the colours (n, 3) at places (n, 2) by Catmull and Rom's cubic."""
    rows, columns = picture.shape[:2]
    base = np.floor(where).astype(int)
    t = where - base

    def weights(u: np.ndarray) -> list[np.ndarray]:
        return [-0.5 * u + u**2 - 0.5 * u**3, 1 - 2.5 * u**2 + 1.5 * u**3, 0.5 * u + 2 * u**2 - 1.5 * u**3,
                -0.5 * u**2 + 0.5 * u**3]  # fmt: skip

    total = np.zeros((len(where), 3))
    for j, wy in enumerate(weights(t[:, 1])):
        row = np.clip(base[:, 1] + j - 1, 0, rows - 1)
        for i, wx in enumerate(weights(t[:, 0])):
            column = np.clip(base[:, 0] + i - 1, 0, columns - 1)
            total += (wx * wy)[:, None] * picture[row, column]
    return np.clip(total, 0, 1)


def develop(picture: np.ndarray, camera: dict[str, Any], seed: int) -> Image.Image:
    """Darken towards the corners, add sensor noise; brightness 0 to 1 as displayed."""
    h, w = picture.shape[:2]
    y, x = np.mgrid[0:h, 0:w]
    far = np.hypot(x - w / 2, y - h / 2) / np.hypot(w / 2, h / 2)
    picture = picture * (1 - camera["vignette"] * far**2.2)[:, :, None]
    random = np.random.default_rng(seed)
    grain = random.standard_normal((h, w, 1)) * 0.8 + random.standard_normal((h, w, 3)) * 0.55
    grain = grain + np.roll(grain, 1, axis=1) * 0.5 + np.roll(grain, 1, axis=0) * 0.4
    noisy = picture + grain * camera["noise"] / 255 * (0.45 + 0.7 * (1 - picture))
    return Image.fromarray((np.clip(noisy, 0, 1) * 255 + 0.5).astype(np.uint8))


def enlarged(picture: Image.Image, camera: dict[str, Any], strength: int) -> Image.Image:
    """Enlarge a small frame to the camera's size and sharpen it as hurried people do: with halos."""
    small = io.BytesIO()
    picture.save(small, "JPEG", quality=72)
    frame = Image.open(small).resize((camera["width"], camera["height"]), Image.Resampling.BICUBIC)
    return frame.filter(ImageFilter.UnsharpMask(radius=3.2, percent=strength, threshold=1))


def arrow(picture: Image.Image, tip: tuple[float, float], tail: tuple[float, float]) -> Image.Image:
    """Draw the arrow that somebody put on the still."""
    big = picture.resize((picture.width * 2, picture.height * 2), Image.Resampling.BICUBIC)
    pen = ImageDraw.Draw(big)
    a, b = np.array(tip) * 2, np.array(tail) * 2
    along = (b - a) / np.linalg.norm(b - a)
    aside = np.array([-along[1], along[0]])
    neck = a + along * 46
    pen.line([tuple(neck), tuple(b)], fill=(222, 38, 24), width=13)
    pen.polygon([tuple(a), tuple(neck + aside * 24), tuple(neck - aside * 24)], fill=(222, 38, 24))
    return big.resize(picture.size, Image.Resampling.LANCZOS)


def store(picture: Image.Image, file: Path) -> int:
    """Write a JPEG without metadata, as good as fits under 390 kB; return the quality."""
    for quality in range(92, 40, -2):
        out = io.BytesIO()
        Image.fromarray(np.asarray(picture.convert("RGB"))).save(out, "JPEG", quality=quality, optimize=True)
        if out.tell() <= LARGEST:
            file.write_bytes(out.getvalue())
            return quality
    raise ValueError(f"{file.name} does not fit under {LARGEST} bytes at any quality worth looking at")
