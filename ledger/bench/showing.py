"""Photographs as the page shows them: the file itself where a browser shows it as it is, else encoded anew."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from PIL import ExifTags, Image, ImageOps

from ledger.bench.listening import is_wav
from ledger.bench.spectrum import about_recording
from ledger.errors import PhotoRefused
from ledger.photo.pictures import Picture, find, meeting, open_picture
from ledger.photo.reencoding import without_metadata

# A first look, while the browser takes in the whole picture.
FIRST_LOOK, FIRST_QUALITY = 1_400, 70
# What browsers show just as it stands here, turned as the file says it is held.
AS_IT_IS = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}


@dataclass(frozen=True)
class Shown:
    """A picture for the browser."""

    content: bytes | Path
    medium: str


def about(root: Path, name: str) -> Picture:
    """Return what the head of a picture tells. PhotoRefused for paths out of the folder and what is no picture."""
    path = find(root, name)
    stamp = path.stat()
    return _about(path, name, stamp.st_mtime_ns, stamp.st_size)


def whole(root: Path, name: str) -> None:
    """Refuse a picture that is damaged or cut off anywhere, however sound its head. PhotoRefused."""
    about(root, name)
    path = find(root, name)
    stamp = path.stat()
    _whole(path, name, stamp.st_mtime_ns, stamp.st_size)


def told(root: Path, name: str) -> dict[str, Any]:
    """Return the same as data for the page, and of a recording how long and how high it is."""
    if is_wav(find(root, name)):
        return about_recording(root, name)
    whole(root, name)
    picture = about(root, name)
    return {
        "file": name,
        "medium": "photograph",
        "width": picture.width,
        "height": picture.height,
        "focal": picture.focal,
        "taken": picture.taken,
    }


def photograph(root: Path, name: str, anew: bool) -> Shown:
    """Return a photograph in all its pixels.

    anew  encode it anew, for a browser that did not show the file as it is held
    """
    whole(root, name)
    path, picture = find(root, name), about(root, name)
    if not anew and picture.format in AS_IT_IS and _turned_alike(path, name, picture.format):
        return Shown(path, AS_IT_IS[picture.format])
    content, _, _ = without_metadata(path, name, longest=max(picture.width, picture.height))
    return Shown(content, "image/jpeg")


def first_look(root: Path, name: str) -> Shown:
    """Return a small picture of a photograph, quickly. PhotoRefused for a damaged one."""
    path = find(root, name)
    picture = about(root, name)
    stamp = path.stat()
    if max(picture.width, picture.height) <= FIRST_LOOK:
        return photograph(root, name, anew=False)
    return Shown(_first_look(path, name, stamp.st_mtime_ns, stamp.st_size), "image/jpeg")


def recording(root: Path, name: str) -> Shown:
    """Return a recording to be listened to. PhotoRefused for what is no WAV of the investigation."""
    path = find(root, name)
    if not is_wav(path):
        raise PhotoRefused(f"{name}: given no recording; expected a WAV. Save it anew as one.")
    return Shown(path, "audio/wav")


def _turned_alike(path: Path, name: str, kind: str) -> bool:
    """Return whether every browser turns a picture as its file says it is held: of JPEG they agree, of others not."""
    if kind == "JPEG":
        return True
    with meeting(name), Image.open(path) as image:
        return bool(image.getexif().get(ExifTags.Base.Orientation, 1) == 1)
    return False


@lru_cache(maxsize=64)
def _about(path: Path, name: str, changed: int, size: int) -> Picture:
    return open_picture(path, name, whole=False)


@lru_cache(maxsize=64)
def _whole(path: Path, name: str, changed: int, size: int) -> None:
    with meeting(name), Image.open(path) as image:
        # All of a JPEG is read also for an eighth of its size, in a fraction of the time.
        image.draft("L", (1, 1))
        image.load()


@lru_cache(maxsize=8)
def _first_look(path: Path, name: str, changed: int, size: int) -> bytes:
    with meeting(name), Image.open(path) as image:
        # A JPEG can be read at an eighth to a half of its size in a fraction of the time.
        image.draft("RGB", (FIRST_LOOK, FIRST_LOOK))
        small = ImageOps.exif_transpose(image)
        small.thumbnail((FIRST_LOOK, FIRST_LOOK), Image.Resampling.BILINEAR, reducing_gap=1.5)
        out = io.BytesIO()
        if small.mode.startswith("I"):
            raise PhotoRefused(f"{name}: given 16 bits a colour; expected a small picture. It is shown whole instead.")
        small.convert("RGB").save(out, "JPEG", quality=FIRST_QUALITY)
    return out.getvalue()
