"""Photographs on pages: encoded anew without their metadata, with picks and marks drawn over them."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from itertools import pairwise
from pathlib import Path

from markupsafe import Markup

from ledger.casebook.items import Item
from ledger.casebook.measuring import at_hand, file_of, source_of
from ledger.casebook.originals import PICTURED as OPEN
from ledger.casebook.originals import SOUND, may_be_published
from ledger.casebook.values import Casebook
from ledger.entries.models import Evidence, Measurement, Source
from ledger.entries.parts import Mark
from ledger.errors import PhotoRefused
from ledger.photo.chunks import plain_wav
from ledger.photo.methods import REGISTER
from ledger.photo.pictures import open_picture
from ledger.photo.reencoding import SHOWN, without_metadata
from ledger.publishing.addresses import Link, address
from ledger.publishing.media import mark_places
from ledger.publishing.media.apart import apart

PICTURES = "assets/witness/pictures"
# Beyond so many, picks of a role are told by one label.
NUMBERED = 12
COLOURS = 6
# Endings of pictures that are not let through; those of `OPEN` are encoded anew.
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
class Told:
    """One mark in the legend: its label, a sample of its line, where it lies in words, and whose it is, if told."""

    label: str
    sample: Markup
    where: str
    link: Link | None = None


@dataclass(frozen=True)
class Shot:
    """A picture on a page with marks over it, a group each in the order of the legend, which tells what they are.

    Without `href` it is an outline.
    """

    href: str
    width: int
    height: int
    alt: str
    marks: Markup
    legend: tuple[Told, ...]


def reprint(casebook: Casebook, item: Item, root: Path) -> Reprint | None:
    """Return the picture a measurement was made from, or None where it may not be published, or is not here.

    Only pictures of sources that are `publishable` are. PhotoRefused for one that cannot be read.
    """
    entry = item.entry
    if not isinstance(entry, Measurement) or entry.picked is None:
        return None
    source = source_of(casebook, entry)
    method = REGISTER.get(entry.picked.by)
    if method is None or method.medium != "photograph":
        return None
    return reprint_of(entry.source, source, file_of(entry.picked, source), root)


def reprint_of(ref: str, source: Source | None, name: str | None, root: Path) -> Reprint | None:
    """Return a picture of a source, or None where it may not be published, or is not here.

    name  the file, which need not be the source's own; PhotoRefused for one that cannot be read
    """
    if source is None or not may_be_published(source) or name is None:
        return None
    path = at_hand(root, name)
    if path is None:
        return None
    about = path.stat()
    return _reprint(path, name, ref.partition("/")[2], about.st_mtime_ns, about.st_size)


def source_reprint(casebook: Casebook, item: Item, root: Path) -> Reprint | None:
    """Return the picture that a source is, as `reprint` does."""
    source = item.entry
    if not isinstance(source, Source) or not pictured(source):
        return None
    return reprint_of(item.ref, source, source.file, root)


def pictured(source: Source) -> bool:
    """Return whether a source's file is a picture, by its name."""
    return source.file is not None and Path(source.file).suffix.lower() in OPEN | SHUT


def reprints(casebook: Casebook, root: Path) -> dict[str, bytes]:
    """Return every picture that pages of sources, notes and measurements show, by path, without unreadable ones."""
    made = {}
    entries = (*casebook.entries.values(), *casebook.withdrawn.values())
    for item in entries:
        for find in (reprint, marked_reprint, source_reprint):
            try:
                found = find(casebook, item, root)
            except PhotoRefused:
                continue
            if found is not None:
                made[found.path] = found.content
    return made


def marked_reprint(casebook: Casebook, item: Item, root: Path) -> Reprint | None:
    """Return the picture of its source that a note or a measurement has marks on, as `reprint` does."""
    entry = item.entry
    if not isinstance(entry, Evidence | Measurement) or not any(map(drawable, entry.marks)):
        return None
    source = named_source(casebook, entry)
    if source is None or source.medium == "recording":
        return None
    return reprint_of(entry.source, source, source.file, root)


def named_source(casebook: Casebook, entry: Evidence | Measurement) -> Source | None:
    """Return the source of a note or a measurement, also one that was withdrawn."""
    item = casebook.entries.get(entry.source) or casebook.withdrawn.get(entry.source)
    return item.entry if item is not None and isinstance(item.entry, Source) else None


def drawable(mark: Mark) -> bool:
    """Return whether a mark has a place on a picture."""
    return any(place is not None for place in (mark.box, mark.polygon, mark.line, mark.point))


def shot(found: Reprint, here: str, alt: str, points: Points, labels: Mapping[str, str]) -> Shot:
    """Return a picture with the points of each role marked, for the page `here`."""
    width, height = found.original
    placed = {role: [(100 * x / width, 100 * y / height) for x, y in at] for role, at in points.items()}
    marks = "".join(_group(place, _role(place, role, at)) for place, (role, at) in enumerate(placed.items()))
    legend = tuple(
        Told(f"{role}: {labels.get(role, role)}", _sample(place), mark_places.picks(at))
        for place, (role, at) in enumerate(placed.items())
    )
    svg = f'<svg class="wl-marks" aria-hidden="true" focusable="false">{marks}</svg>'
    return Shot(address(here, found.path), found.width, found.height, alt, Markup(svg), legend)


def marked(
    found: Reprint | None,
    size: tuple[float, float],
    here: str,
    alt: str,
    marks: Sequence[Mark],
    owners: Sequence[Link] = (),
) -> Shot:
    """Return marks drawn on a picture, or on a blank outline where there is none to show; the legend has the words.

    size    width and height of the whole picture [px]
    owners  the entry that each mark belongs to, where the marks are several entries'; they are numbered then
    """
    width, height = size
    drawn, told, legend = [], list[tuple[float, float]](), list[Told]()
    places = [[(100 * x / width, 100 * y / height) for x, y in corners(mark)] for mark in marks]
    tops = [(sum(x for x, _ in at) / len(at), min(y for _, y in at)) for at in places]
    moved = apart(tops, height / width) if owners else []
    for place, (mark, at, top) in enumerate(zip(marks, places, tops, strict=True)):
        near = sum(abs(top[0] - x) < 25 and abs(top[1] - y) < 4 for x, y in told)
        told.append(top)
        label = "" if owners else _label(mark.label, *top, further=16 * near)
        drawn.append(_group(place, outline(place, at, closed=mark.line is None) + label))
        shown = f"{place + 1}: {mark.label}" if owners else mark.label
        legend.append(Told(shown, _sample(place), mark_places.mark(at, mark), owners[place] if owners else None))
    # Over all marks, and over what leads to them, so that nothing hides a number.
    numbers = [_number(place, top, by) for place, (top, by) in enumerate(zip(tops, moved, strict=False))]
    drawn += [part for parts in zip(*numbers, strict=True) for part in parts]
    svg = f'<svg class="wl-marks" aria-hidden="true" focusable="false">{"".join(drawn)}</svg>'
    if found is None:
        return Shot("", round(width), round(height), alt, Markup(svg), tuple(legend))
    return Shot(address(here, found.path), found.width, found.height, alt, Markup(svg), tuple(legend))


def corners(mark: Mark) -> list[tuple[float, float]]:
    """Return the corners of a mark on a picture [px]: four of a box, all of a polygon, two of a line, or a point."""
    if mark.box is not None:
        left, top, right, bottom = mark.box
        return [(left, top), (right, top), (right, bottom), (left, bottom)]
    if mark.point is not None:
        return [mark.point]
    return list(mark.polygon or mark.line or ())


def _group(place: int, drawn: str) -> str:
    return f'<g data-mark="{place}">{drawn}</g>'


def outline(place: int, at: Sequence[tuple[float, float]], closed: bool) -> str:
    """Return a mark's lines, or its ring, in hundredths of width and height, over a dark line that sets them off."""
    parts = []
    ends = [*at, at[0]] if closed and len(at) > 2 else at
    for layer in ("wl-mark-under", f"wl-mark-{place % COLOURS}"):
        if len(at) == 1:
            x, y = at[0]
            parts.append(f'<circle class="wl-mark {layer}" cx="{x:.2f}%" cy="{y:.2f}%" r="7"/>')
        parts += _strokes(layer, ends)
    return "".join(parts)


def _strokes(layer: str, at: Sequence[tuple[float, float]]) -> list[str]:
    return [
        f'<line class="wl-mark {layer}" x1="{x:.2f}%" y1="{y:.2f}%" x2="{x2:.2f}%" y2="{y2:.2f}%"/>'
        for (x, y), (x2, y2) in pairwise(at)
    ]


def of_the_site(path: Path, name: str) -> bytes | None:
    """Return a picture or a WAV among the site's own files without metadata; None for what is neither.

    PhotoRefused for one that cannot be read, or of a format of which metadata could not be taken out.
    """
    ending = path.suffix.lower()
    if ending == SOUND:
        return plain_wav(path, name)
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
            parts += _strokes(layer, closed)
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


def _label(text: str, x: float, y: float, further: int = 0) -> str:
    anchor = "start" if x < 20 else "end" if x > 80 else "middle"
    down = 20 + further if y < 12 else -9 - further
    return f'<text x="{x:.2f}%" y="{y:.2f}%" dy="{down}" text-anchor="{anchor}">{escape(text)}</text>'


def _number(place: int, at: tuple[float, float], by: tuple[float, float]) -> tuple[str, str]:
    """Return the line that leads from a mark to its number, and the number."""
    x, y = by
    layers = ("wl-mark-under", f"wl-mark-{place % COLOURS}")
    lead = "".join(f'<line class="wl-mark wl-mark-lead {layer}" x2="{x:.1f}" y2="{y:.1f}"/>' for layer in layers)
    text = f'<text x="{x:.1f}" y="{y + 5:.1f}" text-anchor="middle">{place + 1}</text>'
    where = f'x="{at[0]:.2f}%" y="{at[1]:.2f}%" overflow="visible"'
    return (
        f'<g data-number="{place}"><svg {where}>{lead}</svg></g>',
        f'<g data-number="{place}"><svg {where}>{text}</svg></g>',
    )


def _sample(place: int) -> Markup:
    drawn = "".join(
        f'<path class="wl-mark {layer}" d="M3 6H41"/><circle class="wl-mark {layer}" cx="22" cy="6" r="4"/>'
        for layer in ("wl-mark-under", f"wl-mark-{place % COLOURS}")
    )
    return Markup(
        f'<svg class="wl-sample wl-mark-sample" viewBox="0 0 44 12" aria-hidden="true" focusable="false">{drawn}</svg>'
    )
