"""Photographs made fit to publish: encoded anew from their pixels alone."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image, ImageCms

from ledger.photo.pictures import meeting, open_picture

# What a page shows needs no more than this across, and this quality.
SHOWN, QUALITY = 1_600, 85


def without_metadata(given: bytes | Path, name: str, longest: int | None = None) -> tuple[bytes, int, int]:
    """Return a picture encoded anew from its pixels alone, with its width and height; nothing else of it is kept.

    longest  the longer side is made no longer than this [px], and the picture a JPEG; without it size and format stay

    PhotoRefused as in `open_picture`.
    """
    picture = open_picture(given, name)
    assert picture.image is not None
    kind = "JPEG" if longest is not None else picture.format
    with meeting(name):
        pixels = _plain(picture.image, kind)
        if longest is not None and max(pixels.size) > longest:
            pixels.thumbnail((longest, longest), Image.Resampling.LANCZOS)
        out = io.BytesIO()
        settings = {"JPEG": {"quality": QUALITY, "optimize": True}, "WEBP": {"quality": QUALITY}}.get(kind, {})
        pixels.save(out, kind, **settings)
    return out.getvalue(), *pixels.size


def _plain(image: Image.Image, kind: str) -> Image.Image:
    """Return a new picture with the pixels of another, in the colours that every screen takes them for."""
    if image.mode.startswith("I"):
        image = image.point(lambda value: value * (1 / 256)).convert("L")
    clear = image.mode in ("LA", "PA", "RGBA") or "transparency" in image.info
    wanted = ("RGBA" if clear else "RGB") if kind != "JPEG" else "RGB"
    if image.mode in ("1", "L"):
        wanted = "L"
    profile = image.info.get("icc_profile")
    if profile and image.mode in ("RGB", "RGBA", "CMYK"):
        try:
            own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            screen = ImageCms.createProfile("sRGB")
            mode = "RGB" if image.mode == "CMYK" else image.mode
            image = ImageCms.profileToProfile(image, own, screen, outputMode=mode) or image
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            pass  # A profile that cannot be read says nothing of the colours.
    if kind == "JPEG" and clear:
        laid = Image.new("RGBA", image.size, "white")
        laid.alpha_composite(image.convert("RGBA"))
        image = laid
    image = image.convert(wanted)
    return Image.frombytes(image.mode, image.size, image.tobytes())
