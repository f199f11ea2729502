"""Photographs opened safely, under stated limits.

MOST_BYTES   bytes of a file
MOST_PIXELS  pixels of a picture, width times height
LONGEST      pixels of a side
PACKED       pixels a byte; a photograph has some tens at most, a file made to burst has thousands
FORMATS      what is read: JPEG, PNG, TIFF, WebP, told by the content, whatever the name says

Of a file with several pictures the first is taken. A picture is turned as its file says it is held (EXIF orientation):
places are counted in the picture as it is shown. Beyond that its metadata are read for focal length and date, and are
never published.
"""

from __future__ import annotations

import io
import os
import stat
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import SupportsFloat

from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from ledger.errors import PhotoRefused

MOST_BYTES = 100_000_000
MOST_PIXELS = 60_000_000
LONGEST = 30_000
PACKED = 1_000
FORMATS = ("JPEG", "PNG", "TIFF", "WEBP")
# A longer side of 36 mm is what a 35 mm-equivalent focal length counts with.
FRAME = 36.0
_UNITS = {2: 25.4, 3: 10.0, 4: 1.0}
_MEND = "Open it in any picture program and save it anew as JPEG or PNG."
_MODES = ("1", "L", "LA", "P", "PA", "RGB", "RGBA", "RGBX", "CMYK", "YCbCr", "LAB", "I;16", "I;16L", "I;16B", "I")


@dataclass(frozen=True)
class Picture:
    """A photograph.

    width, height  as it is shown [px]
    format         JPEG, PNG, TIFF or WEBP
    focal          35 mm-equivalent focal length [mm], where its metadata tell
    taken          date and time it was taken, `2031-05-17 10:30:00`, where they tell
    image          the pixels, turned as they are shown; None where only the head was read
    """

    width: int
    height: int
    format: str
    focal: float | None = None
    taken: str | None = None
    image: Image.Image | None = field(default=None, compare=False, repr=False)

    @property
    def size(self) -> tuple[float, float]:
        """Return width and height [px]."""
        return float(self.width), float(self.height)


def find(folder: Path, name: str) -> Path:
    """Return the ordinary file of that name below a folder, by relative path.

    PhotoRefused for a path that leads out of the folder, by `..`, from the root or through a link, and for anything
    that is no ordinary file.
    """
    given = Path(name)
    try:
        top, path = folder.resolve(), (folder / given).resolve()
        if given.is_absolute() or ".." in given.parts or "\0" in name or not path.is_relative_to(top):
            raise PhotoRefused(
                f"{name}: given a path that leads out of the investigation's folder; expected a file inside it. "
                "Put a copy of the file there, and name it from there, as `photographs/view.jpg`."
            )
        ordinary = stat.S_ISREG(path.stat().st_mode)
    except (OSError, ValueError, RuntimeError) as error:
        told = (getattr(error, "strerror", None) or "no such file").lower()
        raise PhotoRefused(
            f"{name}: given a file that cannot be read ({told}); expected one in the investigation's folder. "
            "Put it there, or mend its name."
        ) from error
    if not ordinary:
        raise PhotoRefused(f"{name}: given no ordinary file; expected a picture or recording. Put a file there.")
    return path


def open_picture(given: bytes | Path, name: str, whole: bool = True) -> Picture:
    """Return a picture from a file or from bytes.

    whole  read all of it, so that damage anywhere is found; else only the head, for size and metadata

    PhotoRefused, naming the file, what was given, what was expected and how to mend it, for anything but a whole
    picture of the formats within the limits.
    """
    with _read(given, name) as image:
        kind = "JPEG" if image.format == "MPO" else str(image.format)
        turned = _tag(image, ExifTags.Base.Orientation) in (5, 6, 7, 8)
        # Pillow states the size of a TIFF as it is shown, and that of the others as it is stored.
        width, height = image.size[::-1] if turned and kind != "TIFF" else image.size
        focal, taken = _focal(image), _taken(image)
        if whole:
            image.load()
            shown = ImageOps.exif_transpose(image)
            return Picture(width, height, kind, focal, taken, shown)
        return Picture(width, height, kind, focal, taken)


@contextmanager
def _read(given: bytes | Path, name: str) -> Iterator[Image.Image]:
    data = _bytes(given, name)
    with meeting(name), warnings.catch_warnings():
        # Pillow's own limit is higher than ours; what it warns of is refused here.
        warnings.simplefilter("ignore")
        try:
            image = Image.open(io.BytesIO(data), formats=FORMATS)
        except UnidentifiedImageError as error:
            raise PhotoRefused(
                f"{name}: given {_looks_like(data)}; expected a JPEG, PNG, TIFF or WebP. {_MEND}"
            ) from error
        except Image.DecompressionBombError as error:
            raise PhotoRefused(
                f"{name}: given a picture that claims more pixels than any camera has; expected at most "
                f"{MOST_PIXELS / 1e6:g} million pixels. Make it smaller in a picture program."
            ) from error
        with image:
            width, height = image.size
            if width < 1 or height < 1 or width * height > MOST_PIXELS or max(width, height) > LONGEST:
                raise PhotoRefused(
                    f"{name}: given a picture of {width} × {height} px; expected at most {MOST_PIXELS / 1e6:g} million "
                    f"pixels, and {LONGEST} on a side. Make it smaller in a picture program."
                )
            if width * height > PACKED * len(data):
                raise PhotoRefused(
                    f"{name}: given {width * height} pixels packed into {len(data)} bytes; expected at most {PACKED} a "
                    f"byte, as every photograph has. {_MEND}"
                )
            if image.mode not in _MODES:
                raise PhotoRefused(f"{name}: given pixels of the kind {image.mode}; expected grey or colours. {_MEND}")
            yield image


def _bytes(given: bytes | Path, name: str) -> bytes:
    if isinstance(given, Path):
        try:
            with given.open("rb") as file:
                size = os.fstat(file.fileno()).st_size
                data = b"" if size > MOST_BYTES else file.read(MOST_BYTES + 1)
        except OSError as error:
            told = (error.strerror or "an error").lower()
            raise PhotoRefused(
                f"{name}: given a file that cannot be read ({told}); expected a picture. Mend its name or permissions."
            ) from error
        size = max(size, len(data))
    else:
        data, size = given, len(given)
    if size > MOST_BYTES:
        raise PhotoRefused(
            f"{name}: given {size / 1e6:.0f} MB; expected at most {MOST_BYTES / 1e6:.0f} MB. "
            "Save it anew as JPEG, or make it smaller."
        )
    if not data:
        raise PhotoRefused(f"{name}: given an empty file; expected a picture. Copy it again.")
    return data


@contextmanager
def meeting(name: str) -> Iterator[None]:
    """Refuse a picture with whatever Pillow says of it."""
    try:
        yield
    except PhotoRefused:
        raise
    # Pillow and what it stands on meet damaged files with whatever error they happen to lead to.
    except Exception as error:
        raise PhotoRefused(
            f"{name}: given a picture that is damaged or cut off ({error}); expected a whole one. "
            f"Copy it again. {_MEND}"
        ) from error


def _looks_like(data: bytes) -> str:
    known = ((b"GIF8", "a GIF"), (b"BM", "a bitmap"), (b"%PDF", "a PDF"), (b"RIFF", "a recording or film"))
    if data[4:12] in (b"ftypheic", b"ftypheix", b"ftypmif1", b"ftypavif"):
        return "an HEIC or AVIF picture"
    return next((words for head, words in known if data.startswith(head)), "no picture that can be read")


def _tag(image: Image.Image, tag: int, inner: int | None = None) -> object:
    """Return a value of the metadata, or None: damaged metadata tell nothing, and harm nothing."""
    try:
        found = image.getexif()
        return (found if inner is None else found.get_ifd(inner)).get(tag)
    except Exception:  # damaged metadata lead Pillow to whatever error they happen to
        return None


def _number(value: object) -> float | None:
    if not isinstance(value, str | SupportsFloat):
        return None
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if 0 < number < 1e5 else None


def _focal(image: Image.Image) -> float | None:
    """Return the 35 mm-equivalent focal length, as stated or from the focal length and the size of the sensor."""
    inner = ExifTags.IFD.Exif
    stated = _number(_tag(image, ExifTags.Base.FocalLengthIn35mmFilm, inner))
    if stated is not None:
        return stated
    own = _number(_tag(image, ExifTags.Base.FocalLength, inner))
    dense = _number(_tag(image, ExifTags.Base.FocalPlaneXResolution, inner))
    unit = _UNITS.get(int(_number(_tag(image, ExifTags.Base.FocalPlaneResolutionUnit, inner)) or 2))
    if own is None or dense is None or unit is None:
        return None
    return float(round(own * FRAME / (max(image.size) / dense * unit), 1))


def _taken(image: Image.Image) -> str | None:
    for tag, inner in ((ExifTags.Base.DateTimeOriginal, ExifTags.IFD.Exif), (ExifTags.Base.DateTime, None)):
        value = _tag(image, tag, inner)
        if isinstance(value, str) and len(value) >= 10 and value[:4].isdigit() and int(value[:4]) > 1800:
            return value[:10].replace(":", "-") + value[10:19]
    return None
