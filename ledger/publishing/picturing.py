"""Photographs on pages: encoded anew without their metadata, with the marks of a measurement drawn over them."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from itertools import pairwise
from pathlib import Path

from markupsafe import Markup

from ledger.casebook.measuring import at_hand, file_of, source_of
from ledger.casebook.values import Casebook, Item
from ledger.entries.models import Measurement
from ledger.errors import PhotoRefused
from ledger.photo.methods import REGISTER
from ledger.photo.pictures import open_picture
from ledger.photo.reencoding import SHOWN, without_metadata
from ledger.publishing.addresses import address

PICTURES = "assets/witness/pictures"
# Beyond so many, picks of a role are told by one label.
NUMBERED = 12
COLOURS = 6
# Endings of pictures that are encoded anew, and of those that are not let through.
OPEN = frozenset({".jpg", ".jpeg", ".jpe", ".jfif", ".png", ".webp", ".tif", ".tiff"})
SHUT = frozenset({".gif", ".bmp", ".heic", ".heif", ".avif", ".jxl", ".jp2"})

Points = Mapping[str, Sequence[tuple[float, float]]]


@dataclass(frozen=True)
class Reprint:
    """A picture fit to publish: its path on the site, its bytes and size, and the size of the original [px]."""

    path: str
    content: bytes
    width: int
    height: int
    original: tuple[float, float]


@dataclass(frozen=True)
class Shot:
    """A picture on a page with marks over it; the legend tells which mark is what."""

    href: str
    width: int
    height: int
    alt: str
    marks: Markup
    legend: tuple[tuple[str, Markup], ...]


def reprint(casebook: Casebook, item: Item, root: Path) -> Reprint | None:
    """Return the picture a measurement was made from, or None where it may not be published, or is not here.

    Only pictures of sources that are `publishable` are. PhotoRefused for one that cannot be read.
    """
    entry = item.entry
    if not isinstance(entry, Measurement) or entry.picked is None:
        return None
    source = source_of(casebook, entry)
    method = REGISTER.get(entry.picked.by)
    name = file_of(entry.picked, source)
    if source is None or not source.publishable or source.withdrawn or name is None:
        return None
    if method is None or method.medium != "photograph":
        return None
    path = at_hand(root, name)
    if path is None:
        return None
    about = path.stat()
    return _reprint(path, name, entry.source.partition("/")[2], about.st_mtime_ns, about.st_size)


def reprints(casebook: Casebook, root: Path) -> dict[str, bytes]:
    """Return every picture that pages of measurements show, by path; those that cannot be read are left out."""
    made = {}
    for item in casebook.of_kind("measurement"):
        try:
            found = reprint(casebook, item, root)
        except PhotoRefused:
            continue
        if found is not None:
            made[found.path] = found.content
    return made


def shot(found: Reprint, here: str, alt: str, points: Points, labels: Mapping[str, str]) -> Shot:
    """Return a picture with the points of each role marked, for the page `here`."""
    width, height = found.original
    marks = "".join(
        _role(place, role, [(100 * x / width, 100 * y / height) for x, y in at])
        for place, (role, at) in enumerate(points.items())
    )
    legend = tuple((f"{role}: {labels.get(role, role)}", _sample(place)) for place, role in enumerate(points))
    svg = f'<svg class="wl-marks" aria-hidden="true" focusable="false">{marks}</svg>'
    return Shot(address(here, found.path), found.width, found.height, alt, Markup(svg), legend)


def of_the_site(path: Path, name: str) -> bytes | None:
    """Return a picture among the site's own files encoded anew without metadata; None for what is no picture.

    PhotoRefused for a picture that cannot be read, or of a format of which metadata could not be taken out.
    """
    ending = path.suffix.lower()
    if ending in SHUT:
        raise PhotoRefused(
            f"{name}: given a picture of a kind whose metadata stay in it; expected a JPEG, PNG or WebP. "
            "Save it anew as one of these."
        )
    if ending not in OPEN:
        return None
    about = path.stat()
    return _anew(path, name, about.st_mtime_ns, about.st_size)


@lru_cache(maxsize=64)
def _anew(path: Path, name: str, changed: int, size: int) -> bytes:
    return without_metadata(path, name)[0]


# The same picture carries several measurements, and a preview builds again and again.
@lru_cache(maxsize=32)
def _reprint(path: Path, name: str, source: str, changed: int, size: int) -> Reprint:
    original = open_picture(path, name, whole=False).size
    content, width, height = without_metadata(path, name, SHOWN)
    known = hashlib.sha256(content).hexdigest()[:8]
    return Reprint(f"{PICTURES}/{source}-{known}.jpg", content, width, height, original)


def _role(place: int, role: str, at: Sequence[tuple[float, float]]) -> str:
    """Return the marks of one role, places in hundredths of width and height; a label keeps its size on any screen."""
    colour = f"wl-mark-{place % COLOURS}"
    closed = [*at, at[0]] if role == "corners" else at
    joined = len(at) in (2, 3) or role == "corners"
    parts = []
    if joined:
        for layer in ("wl-mark-under", colour):
            parts += [
                f'<line class="wl-mark {layer}" x1="{x:.2f}%" y1="{y:.2f}%" x2="{x2:.2f}%" y2="{y2:.2f}%"/>'
                for (x, y), (x2, y2) in pairwise(closed)
            ]
    for x, y in at:
        parts += [
            f'<circle class="wl-mark {layer}" cx="{x:.2f}%" cy="{y:.2f}%" r="4"/>'
            for layer in ("wl-mark-under", colour)
        ]
    if len(at) == 2:
        (x, y), (x2, y2) = at
        parts.append(_label(role, (x + x2) / 2, (y + y2) / 2))
    elif len(at) <= NUMBERED and len(at) > 1:
        parts += [_label(f"{role} {number}" if number == 1 else f"{number}", x, y) for number, (x, y) in
                  enumerate(at, 1)]  # fmt: skip
    else:
        parts.append(_label(role, *min(at, key=lambda point: point[1])))
    return "".join(parts)


def _label(text: str, x: float, y: float) -> str:
    anchor = "start" if x < 20 else "end" if x > 80 else "middle"
    down = 20 if y < 12 else -9
    return f'<text x="{x:.2f}%" y="{y:.2f}%" dy="{down}" text-anchor="{anchor}">{escape(text)}</text>'


def _sample(place: int) -> Markup:
    drawn = "".join(
        f'<path class="wl-mark {layer}" d="M3 6H41"/><circle class="wl-mark {layer}" cx="22" cy="6" r="4"/>'
        for layer in ("wl-mark-under", f"wl-mark-{place % COLOURS}")
    )
    return Markup(
        f'<svg class="wl-sample wl-mark-sample" viewBox="0 0 44 12" aria-hidden="true" focusable="false">{drawn}</svg>'
    )
