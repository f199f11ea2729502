"""The files that sources are kept in: whose they are, where a path leads, and whether they can be read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from os import stat_result
from pathlib import Path

from ledger.casebook.measuring import at_hand, source_of
from ledger.casebook.values import Casebook
from ledger.entries.models import Measurement, Source
from ledger.entries.reading import Document
from ledger.errors import Fault, PhotoRefused
from ledger.photo.chunks import plain_wav
from ledger.photo.pictures import open_picture

PICTURED = frozenset({".jpg", ".jpeg", ".jpe", ".jfif", ".png", ".webp", ".tif", ".tiff"})
SOUND = ".wav"


def check_originals(documents: Mapping[str, Document], changed: Set[str], root: Path) -> list[Fault]:
    """Return the faults of the files that changed sources name: paths that lead out of the investigation's folder.

    root  the investigation's folder; a file that is not there is no fault
    """
    faults = []
    for ref in sorted(changed & documents.keys()):
        document = documents[ref]
        entry = document.entry
        if not isinstance(entry, Source) or entry.withdrawn is not None or document.lost("file") or not entry.file:
            continue
        try:
            at_hand(root, entry.file)
        except PhotoRefused as error:
            given, expected, remedy = error.parts()
            faults.append(document.fault("file", f"`{entry.file}`, {given}", expected, remedy))
    return faults


def unread(ref: str, source: Source, root: Path) -> str:
    """Say why the file that a source names is of no use here; "" where it can be read, and where none is named.

    A picture must be one, whole and within the limits, and a WAV a WAV; of other files it is asked that they are there.
    """
    if source.file is None or source.withdrawn is not None:
        return ""
    try:
        path = at_hand(root, source.file)
        if path is None:
            return (
                f"{ref} names the file {source.file}, which is not here: put it into the investigation's folder, "
                "mend its name, or leave `file` out."
            )
        ending = path.suffix.lower()
        if source.medium == "photograph" or ending in PICTURED:
            open_picture(path, source.file)
        elif ending == SOUND:
            plain_wav(path, source.file)
        else:
            with path.open("rb"):
                pass
    except PhotoRefused as error:
        return f"the file of {ref} cannot be read as it should. {error}"
    except OSError as error:
        told = (error.strerror or "an error").lower()
        return f"the file of {ref} cannot be read ({told}). Mend the permissions of {source.file}."
    return ""


def all_unread(casebook: Casebook, root: Path) -> list[str]:
    """Return what `unread` says of every standing source."""
    items = casebook.of_kind("source")
    return [told for one in items if isinstance(one.entry, Source) and (told := unread(one.ref, one.entry, root))]


def may_be_published(source: Source) -> bool:
    """Return whether a source's picture or sound may be shown, and its file named."""
    return source.publishable and source.withdrawn is None


class Originals:
    """The files of a casebook's sources, known by what they are on the disk, whatever name or link leads to them.

    of_a_source  whether a file is one, or is what picks of a measurement were made on
    withheld     whether it may not be published: one of its sources does not allow it, or none of them stands
    """

    def __init__(self, casebook: Casebook, root: Path) -> None:
        allowed: dict[tuple[int, int], bool] = {}
        forbidden: set[tuple[int, int]] = set()
        for source, name in _named(casebook):
            one = _identity(root / name) if "\0" not in name else None
            if one is not None:
                allowed[one] = allowed.get(one, False) or may_be_published(source)
                if not source.publishable:
                    forbidden.add(one)
        self._withheld = frozenset(one for one, may in allowed.items() if one in forbidden or not may)
        self._all = frozenset(allowed)

    def of_a_source(self, path: Path) -> bool:
        """Return whether a file is a source's."""
        return _identity(path) in self._all

    def withheld(self, path: Path) -> bool:
        """Return whether a file is a source's that may not be published."""
        return _identity(path) in self._withheld


def _named(casebook: Casebook) -> Iterator[tuple[Source, str]]:
    """Yield every source with each file of it that it or a measurement names, also those that were withdrawn."""
    for item in (*casebook.entries.values(), *casebook.withdrawn.values()):
        entry = item.entry
        if isinstance(entry, Source) and entry.file is not None:
            yield entry, entry.file
        elif isinstance(entry, Measurement) and entry.picked is not None and entry.picked.file is not None:
            source = source_of(casebook, entry)
            if source is not None:
                yield source, entry.picked.file


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        found: stat_result = path.stat()
    except (OSError, ValueError):
        return None
    return found.st_dev, found.st_ino
