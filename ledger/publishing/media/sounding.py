"""Recordings on the pages of their sources: with the sound and how it is stored, and nothing else that was in them."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from ledger.casebook.items import Item
from ledger.casebook.measuring import at_hand
from ledger.casebook.originals import SOUND, may_be_published
from ledger.casebook.values import Casebook
from ledger.entries.models import Source
from ledger.errors import PhotoRefused
from ledger.photo.chunks import plain_wav
from ledger.publishing import words
from ledger.publishing.addresses import Ways, address

RECORDINGS = "assets/witness/recordings"
AWAY = "The recording is not played here: it is not at hand, or no whole WAV."


@dataclass(frozen=True)
class Sound:
    """A recording fit to publish: its path on the site, and its bytes."""

    path: str
    content: bytes


@dataclass(frozen=True)
class Sounding:
    """A recording on a page: its address, its name, its credit, and why it is not played where it has no address."""

    href: str
    title: str
    credit: str
    withheld: str


def sound(item: Item, root: Path | None) -> Sound | None:
    """Return the recording that a source is, or None where it may not be published, is not here, or is no WAV.

    PhotoRefused for a WAV that cannot be read.
    """
    source = item.entry
    if not isinstance(source, Source) or source.file is None or not may_be_published(source):
        return None
    path = at_hand(root, source.file)
    if path is None or path.suffix.lower() != SOUND:
        return None
    about = path.stat()
    return _sound(path, source.file, item.name, about.st_mtime_ns, about.st_size)


def sounds(casebook: Casebook, root: Path) -> dict[str, bytes]:
    """Return every recording that pages of sources play, by path, without unreadable ones."""
    made = {}
    for item in casebook.of_kind("source"):
        try:
            found = sound(item, root)
        except PhotoRefused:
            continue
        if found is not None:
            made[found.path] = found.content
    return made


def sounding(item: Item, ways: Ways, root: Path | None) -> Sounding | None:
    """Return the recording for its source's page; None for what is no recording, or one that may not be published."""
    source = item.entry
    if not isinstance(source, Source) or source.file is None or not may_be_published(source):
        return None
    if source.medium != "recording" and Path(source.file).suffix.lower() != SOUND:
        return None
    try:
        found = sound(item, root)
    except PhotoRefused:
        found = None
    if found is None:
        return Sounding("", item.title, words.credit(source), AWAY)
    return Sounding(address(ways.here, found.path), item.title, words.credit(source), "")


@lru_cache(maxsize=16)
def _sound(path: Path, name: str, source: str, changed: int, size: int) -> Sound:
    content = plain_wav(path, name)
    return Sound(f"{RECORDINGS}/{source}-{hashlib.sha256(content).hexdigest()[:8]}{SOUND}", content)
