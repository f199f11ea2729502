"""What a bibliography says of the ledger's standing sources, whatever its format."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import Source
from ledger.handing.leaving import leaving

INVENTED = "Invented with the whole case: it exists nowhere else."
SOUNDS = frozenset({"wav", "flac", "mp3", "ogg", "oga", "opus", "m4a", "aac", "aiff", "wma"})
FILMS = frozenset({"mp4", "m4v", "mov", "mkv", "webm", "avi", "mpg", "mpeg", "ogv"})

_ADDRESS = re.compile(r"https?://[A-Za-z0-9:/?#@!$&()*+,;=._~%-]+")


@dataclass(frozen=True)
class Cited:
    """A source as it is cited.

    author  as the ledger has it, one text: it does not say which part is a family name, nor whether it is a person
    date    year, month and day, as far as they are known
    note    where to find it, whose it is, and what it retells
    url     where the locator is an address of the web that needs no escaping anywhere; else it stands in the note
    form    of a recording, sound or film where its file tells; else empty
    """

    key: str
    title: str
    medium: str
    author: str
    date: tuple[int, ...]
    note: str
    url: str
    form: str


def cited(casebook: Casebook) -> Iterator[Cited]:
    """Yield the standing sources, in order of name; nothing stands on those that were withdrawn."""
    out = leaving(casebook)
    for item in out.entries.values():
        entry = item.entry
        if isinstance(entry, Source):
            yield Cited(
                key=item.name,
                title=out.text(item.title),
                medium=entry.medium,
                author=out.text(entry.author),
                date=tuple(int(part) for part in entry.date.split("-")),
                note=out.text(_note(casebook, entry)),
                url=_url(entry.locator),
                form=_form(casebook.entries[item.ref]) if entry.medium == "recording" else "",
            )


def _note(casebook: Casebook, entry: Source) -> str:
    retold = casebook.entries.get(entry.origin) or casebook.withdrawn.get(entry.origin) if entry.origin else None
    said = (
        f"{entry.locator}." if entry.locator and not _url(entry.locator) else "",
        f"Rights: {entry.rights}.",
        f"Retells: {retold.title}." if retold is not None else "",
        INVENTED if casebook.investigation.invented else "",
    )
    return " ".join(one for one in said if one)


def _url(locator: str | None) -> str:
    return locator if locator is not None and _ADDRESS.fullmatch(locator) else ""


def _form(item: Item) -> str:
    """Return sound or film, as the file tells, also of one that is itself not named."""
    file = item.entry.file if isinstance(item.entry, Source) else None
    ending = (file or "").rpartition(".")[2].lower()
    return "sound" if ending in SOUNDS else "film" if ending in FILMS else ""
