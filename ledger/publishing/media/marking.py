"""The marks of a note or a measurement on the picture they were seen on, as its page shows them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from ledger.casebook.items import Item
from ledger.casebook.measuring import at_hand
from ledger.casebook.values import Casebook
from ledger.entries.models import Evidence, Measurement, Source
from ledger.entries.parts import Mark
from ledger.errors import PhotoRefused
from ledger.photo.pictures import open_picture
from ledger.publishing import words
from ledger.publishing.addresses import Ways
from ledger.publishing.media.picturing import (
    Reprint,
    Shot,
    corners,
    drawable,
    marked,
    marked_reprint,
    named_source,
    source_reprint,
)

ROOM = 1.05  # beyond the farthest mark, where the picture's own size is not known


@dataclass(frozen=True)
class Marked:
    """Marks on a picture, its credit, and why it is an outline alone."""

    shot: Shot
    credit: str
    withheld: str


def marks(casebook: Casebook, item: Item, ways: Ways, root: Path | None) -> Marked | None:
    """Return the marks of a note or a measurement drawn on its source's picture, or None where it has none.

    A picture that may not be reprinted, or is not here, is left blank.

    root  the investigation's folder; without it no picture is looked for
    """
    entry = item.entry
    if not isinstance(entry, Evidence | Measurement):
        return None
    own = [mark for mark in entry.marks if drawable(mark)]
    if not own:
        return None
    source = named_source(casebook, entry)
    found, withheld = _shown(casebook, item, source, root, marked_reprint)
    size = found.original if found is not None else _size(casebook, entry.source, source, root)
    shown = f"{ways.to(entry.source).words}, with marks: {', '.join(mark.label for mark in own)}"
    alt = shown if found is not None else f"A blank outline of {shown}"
    return Marked(marked(found, size, ways.here, alt, own), words.credit(source), withheld)


def on_source(casebook: Casebook, item: Item, ways: Ways, root: Path | None) -> Marked | None:
    """Return all that notes and measurements marked on a picture, as its source's page shows it.

    None for other kinds, and for a source that is neither a picture to show nor has marks on one. A picture that may
    not be reprinted, or is not here, is left blank: its marks and its credit are shown, and not a pixel of it.
    """
    source = item.entry
    if not isinstance(source, Source) or source.medium == "recording":
        return None
    told = [
        (mark, ways.to(other.ref, anchor="the-marks"))
        for other in casebook.entries.values()
        if isinstance(other.entry, Evidence | Measurement) and other.entry.source == item.ref
        for mark in other.entry.marks
        if drawable(mark)
    ]
    found, withheld = _shown(casebook, item, source, root, source_reprint)
    if found is None and not told:
        return None
    size = found.original if found is not None else _size(casebook, item.ref, source, root)
    shown = f"{item.title}, with {words.count(len(told), 'mark')}, which the list below tells" if told else item.title
    alt = shown if found is not None else f"A blank outline of {shown}"
    own, owners = [mark for mark, _ in told], [owner for _, owner in told]
    return Marked(marked(found, size, ways.here, alt, own, owners), words.credit(source), withheld)


def _shown(
    casebook: Casebook,
    item: Item,
    source: Source | None,
    root: Path | None,
    reprint: Callable[[Casebook, Item, Path], Reprint | None],
) -> tuple[Reprint | None, str]:
    """Return the picture that an entry's page may show, or None and why only a blank outline stands there."""
    withheld = _withheld(source)
    if not withheld and root is not None:
        try:
            found = reprint(casebook, item, root)
        except PhotoRefused as error:
            return None, f"The picture is not shown: {error}"
        if found is not None:
            return found, ""
    return None, withheld or "The picture is not at hand: the marks stand on a blank outline."


def _withheld(source: Source | None) -> str:
    if source is None:
        return "Its source is not in the ledger: the marks stand on a blank outline."
    if source.withdrawn:
        return "Its source is withdrawn: the marks stand on a blank outline."
    return "" if source.publishable else "The picture may not be reprinted here: the marks stand on a blank outline."


def _size(casebook: Casebook, ref: str, source: Source | None, root: Path | None) -> tuple[float, float]:
    """Return the size of a picture that is not shown: its own, else that of picks made on it, else what marks need."""
    if source is not None and source.file is not None and source.medium != "recording":
        try:
            path = at_hand(root, source.file)
            if path is not None:
                return open_picture(path, source.file, whole=False).size
        except PhotoRefused:
            pass
    others = [
        item.entry
        for item in (*casebook.entries.values(), *casebook.withdrawn.values())
        if isinstance(item.entry, Evidence | Measurement) and item.entry.source == ref
    ]
    for other in others:
        picked = other.picked if isinstance(other, Measurement) else None
        if picked is not None and picked.size is not None and picked.file is None:
            return picked.size
    return _around(mark for other in others for mark in other.marks if drawable(mark))


def _around(some: Iterable[Mark]) -> tuple[float, float]:
    places = [place for mark in some for place in corners(mark)]
    return ROOM * max(1.0, *(x for x, _ in places)), ROOM * max(1.0, *(y for _, y in places))
