"""A small picture of what a note is about: the marked region cut out of its picture, an outline, or a sign.

A cut-out is encoded anew from pixels alone and weighs a few kilobytes, where the whole picture weighs hundreds.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from markupsafe import Markup
from PIL import Image

from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation, Evidence, Measurement, Source
from ledger.errors import PhotoRefused
from ledger.photo.methods import REGISTER
from ledger.publishing import words
from ledger.publishing.addresses import Ways, address, page_of
from ledger.publishing.media.picturing import (
    Reprint,
    corners,
    drawable,
    marked_reprint,
    named_source,
    outline,
    reprint,
)

ACROSS, DOWN, QUALITY = 240, 180, 80
AROUND = 1.7  # the region beside its marks
LEAST = 0.16  # of the picture's width, so that a point, too, shows what it lies on
SIGNS = {
    "recording": "M3 12h3l2-7 3 14 3-11 2 6 2-2h3",
    "conversation": "M4 5h16v10H11l-4 4v-4H4z",
    "calculated": "M4 18h16M6 18v-6M10 18V7M14 18v-9M18 18v-4",
    "measured": "M3 9h18v6H3zM7 9v3M11 9v3M15 9v3M19 9v3",
    "document": "M6 3h9l3 3v15H6zM9 10h6M9 14h6M9 18h4",
    "photograph": "M3 6h18v13H3zM3 16l5-5 4 4 3-3 6 5",
}
Box = tuple[float, float, float, float]
Place = tuple[float, float]


@dataclass(frozen=True)
class Thumb:
    """A small picture, and where it leads.

    src     the cut-out, empty where there is none; `marks` the marks over it, or over a blank, or a sign
    alt     what a cut-out shows; empty where the drawing only repeats the words beside it
    credit  of the cut-out
    """

    href: str
    src: str
    width: int
    height: int
    alt: str
    marks: Markup
    credit: str


def thumb(casebook: Casebook, ref: str, ways: Ways, root: Path | None) -> Thumb:
    """Return the small picture of a note, a measurement or a calculation.

    root  the investigation's folder; without it no picture is looked for
    """
    item = casebook.entries.get(ref)
    leads = ways.to(ref).href or ""
    spots = regions(item) if item is not None else ()
    if item is None or not spots:
        return Thumb(leads, "", ACROSS, DOWN, "", sign(casebook, item), "")
    leads = address(ways.here, page_of(ref), "the-marks")
    found = _found(casebook, item, root)
    region = around([place for one, _ in spots for place in one], found.original if found else None)
    left, top, right, bottom = region
    drawn = "".join(
        outline(
            number,
            [(100 * (x - left) / (right - left), 100 * (y - top) / (bottom - top)) for x, y in one],
            closed,
        )
        for number, (one, closed) in enumerate(spots)
    )
    marks = Markup(f'<svg class="wl-marks" aria-hidden="true" focusable="false">{drawn}</svg>')
    if found is None:
        return Thumb(leads, "", ACROSS, DOWN, "", marks, "")
    piece = cut(found, region)
    source = named_source(casebook, item.entry) if isinstance(item.entry, Evidence | Measurement) else None
    alt = f"Cut out of “{ways.to(item.entry.source).words}”" if isinstance(item.entry, Evidence | Measurement) else ""
    return Thumb(leads, address(ways.here, piece.path), piece.width, piece.height, alt, marks, words.credit(source))


def regions(item: Item) -> tuple[tuple[tuple[Place, ...], bool], ...]:
    """Return the corners of what is marked on the picture of an entry [px], and whether each is closed."""
    entry = item.entry
    if not isinstance(entry, Evidence | Measurement):
        return ()
    own = tuple((tuple(corners(mark)), mark.line is None) for mark in entry.marks if drawable(mark))
    if own or not isinstance(entry, Measurement) or entry.picked is None:
        return own
    method = REGISTER.get(entry.picked.by)
    if method is None or method.medium != "photograph":
        return ()
    return tuple((tuple(at), False) for at in entry.picked.points.values() if at)


def pieces(casebook: Casebook, root: Path) -> dict[str, bytes]:
    """Return every cut-out that comparison pages show, by path."""
    weighed = {ref for weighing in casebook.weighings.values() for ref in weighing.weights}
    made = {}
    for ref in sorted(weighed & set(casebook.entries)):
        item = casebook.entries[ref]
        spots = regions(item)
        found = _found(casebook, item, root) if spots else None
        if found is not None:
            piece = cut(found, around([place for one, _ in spots for place in one], found.original))
            made[piece.path] = piece.content
    return made


def _found(casebook: Casebook, item: Item, root: Path | None) -> Reprint | None:
    """Return the picture that marks or picks lie on, where its rights let it be shown and it is here."""
    if root is None:
        return None
    try:
        return marked_reprint(casebook, item, root) or reprint(casebook, item, root)
    except PhotoRefused:
        return None


def around(places: Iterable[Place], size: Place | None) -> Box:
    """Return a region of the cut-out's shape about some places [px], within a picture of `size` where that is known."""
    known = list(places)
    (left, right), (top, bottom) = ((min(one), max(one)) for one in zip(*known, strict=True))
    whole = size[0] if size is not None else max(right, 1.0)
    across = max((right - left) * AROUND, (bottom - top) * AROUND * ACROSS / DOWN, LEAST * whole)
    down = across * DOWN / ACROSS
    if size is not None:
        shrunk = min(1.0, size[0] / across, size[1] / down)
        across, down = across * shrunk, down * shrunk
    x, y = (left + right - across) / 2, (top + bottom - down) / 2
    if size is not None:
        x, y = (min(max(at, 0.0), most) for at, most in ((x, size[0] - across), (y, size[1] - down)))
    return x, y, x + across, y + down


def cut(found: Reprint, region: Box) -> Reprint:
    """Return a region of a picture [px of the original] as a small picture of its own."""
    scale = found.width / found.original[0], found.height / found.original[1]
    left, top, right, bottom = (round(at * scale[place % 2]) for place, at in enumerate(region))
    return _cut(found, (left, top, max(right, left + 1), max(bottom, top + 1)))


# The same cut-out stands on several pages, and a preview builds again and again.
@lru_cache(maxsize=1024)
def _cut(found: Reprint, box: tuple[int, int, int, int]) -> Reprint:
    with Image.open(io.BytesIO(found.content)) as whole:
        piece = whole.crop(box).resize((ACROSS, DOWN), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    piece.save(out, "JPEG", quality=QUALITY, optimize=True)
    content = out.getvalue()
    name = f"{found.path.removesuffix('.jpg').rpartition('-')[0]}-cut-{hashlib.sha256(content).hexdigest()[:8]}.jpg"
    return Reprint(name, content, ACROSS, DOWN, (float(ACROSS), float(DOWN)))


def sign(casebook: Casebook, item: Item | None) -> Markup:
    """Return the sign of what a note was seen, heard or computed in."""
    kind = "calculated"
    if item is not None and isinstance(item.entry, Measurement):
        kind = "measured"
    elif item is not None and not isinstance(item.entry, Calculation):
        source = named_source(casebook, item.entry) if isinstance(item.entry, Evidence) else item.entry
        kind = source.medium if isinstance(source, Source) else "document"
    return drawn_sign(kind if kind in SIGNS else "document")


def drawn_sign(kind: str) -> Markup:
    """Return one of the signs."""
    return Markup(
        f'<svg class="wl-sign" viewBox="0 0 24 24" aria-hidden="true" focusable="false"><path d="{SIGNS[kind]}"/></svg>'
    )


def by_ref(casebook: Casebook, refs: Iterable[str], ways: Ways, root: Path | None) -> Mapping[str, Thumb]:
    """Return the small pictures of several entries by ref."""
    return {ref: thumb(casebook, ref, ways, root) for ref in refs}
