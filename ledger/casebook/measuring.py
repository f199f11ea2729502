"""Measurements made anew from the picks they keep."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from ledger.casebook.items import Item
from ledger.casebook.recomputing import code_digest
from ledger.casebook.values import Casebook
from ledger.entries.models import Measurement, Source
from ledger.entries.parts import Picked
from ledger.errors import PhotoRefused
from ledger.photo.declaring import Found, Method
from ledger.photo.methods import REGISTER, measure
from ledger.photo.pictures import Picture, find, open_picture
from ledger.photo.telling import agrees, quantity_text
from ledger.photo.values import DRAWS
from ledger.quantities.notation import Quantity

Pairs = tuple[tuple[str, tuple[tuple[float, float], ...]], ...]
Knowns = tuple[tuple[str, Quantity | str | tuple[Quantity | str, ...]], ...]
MEASURING = ("photo", "quantities", "mechanics")
LensKey = str | tuple[tuple[str, Quantity], ...] | None


class NotAtHand(PhotoRefused):
    """The picture or recording is not here: nothing is wrong with the entry, but it cannot be measured here."""


def file_of(picked: Picked, source: Source | None) -> str | None:
    """Return the file that was measured: the picks' own, else the source's."""
    return picked.file or (source.file if source is not None else None)


def at_hand(root: Path | None, name: str) -> Path | None:
    """Return a picture or recording of the investigation, or None where it is not there.

    PhotoRefused for a path that leads out of the folder, and for what is no ordinary file.
    """
    if root is None:
        return None
    given = Path(name)
    inside = not given.is_absolute() and ".." not in given.parts and "\0" not in name
    if inside and not os.path.lexists(root / given):
        return None
    return find(root, name)


def picture_of(root: Path | None, name: str, whole: bool = False) -> Picture | None:
    """Return a picture of the investigation, or None where it is not there. PhotoRefused as `open_picture` says."""
    path = at_hand(root, name)
    return None if path is None else open_picture(path, name, whole)


@dataclass(frozen=True)
class Asked:
    """A measurement from picks with everything that goes into it: the same asked gives the same answer.

    recording, stamp  the WAV where one is listened to, with its time of change and its size
    """

    method: Method
    points: Pairs
    known: Knowns
    lens: LensKey
    size: tuple[float, float] | None
    doubt: float
    count: int
    photograph: str
    recording: Path | None
    stamp: tuple[int, int]

    def key(self) -> str:
        """Return a digest of all that goes into the answer, the code that gives it and the recording's samples too."""
        parts = [
            code_digest(MEASURING),
            self.method.name,
            self.points,
            _plain(self.known),
            _plain(self.lens) if isinstance(self.lens, tuple) else self.lens,
            self.size,
            self.doubt,
            self.count,
            self.photograph,
            None if self.recording is None else hashlib.sha256(self.recording.read_bytes()).hexdigest(),
        ]
        return hashlib.sha256(json.dumps(parts).encode()).hexdigest()

    def found(self) -> Found:
        """Return what the picks give. PhotoRefused for what cannot be measured."""
        return _found(self)


def asked(
    entry: Measurement,
    source: Source | None,
    root: Path | None,
    register: Mapping[str, Method] = REGISTER,
    count: int = DRAWS,
) -> Asked:
    """Return what the picks of a measurement ask for. Raises as `measured_anew` does."""
    picked = entry.picked
    if picked is None:
        raise PhotoRefused(
            f"{entry.title}: given a measurement without `picked`; expected picks to measure by. "
            "Add them, with the method in `by`."
        )
    method = register.get(picked.by)
    if method is None:
        raise PhotoRefused(
            f"picked.by: given `{picked.by}`; expected a way of measuring. There are: {', '.join(register)}."
        )
    name = file_of(picked, source)
    recording, stamp, size = None, (0, 0), picked.size
    if method.medium == "recording":
        recording = at_hand(root, name) if name else None
        if recording is None:
            raise NotAtHand(f"{name or 'its recording'} is not here; put it into the investigation's folder.")
        about = recording.stat()
        stamp = about.st_mtime_ns, about.st_size
    elif size is None:
        picture = picture_of(root, name) if name else None
        if picture is None:
            raise NotAtHand(
                f"{name or 'its picture'} is not here; put it into the investigation's folder, or state its "
                "`size: [width, height]`."
            )
        size = picture.size
    return Asked(
        method,
        tuple((role, tuple(places)) for role, places in picked.points.items()),
        tuple(picked.known.items()),
        tuple(picked.lens.items()) if isinstance(picked.lens, dict) else picked.lens,
        size,
        picked.doubt,
        count,
        name or entry.source,
        recording,
        stamp,
    )


def measured_anew(
    entry: Measurement,
    source: Source | None,
    root: Path | None,
    register: Mapping[str, Method] = REGISTER,
    count: int = DRAWS,
) -> Found:
    """Return what the picks of a measurement give. The same picks give the same answer.

    source  the source it names, for its file
    root    the investigation's folder; without it nothing is at hand

    PhotoRefused for what cannot be measured; NotAtHand where that is only because a picture or recording is not here.
    """
    return asked(entry, source, root, register, count).found()


def unlike_their_picks(casebook: Casebook, root: Path) -> tuple[list[str], list[str]]:
    """Return of which measurements the quantity is not what their picks give; and which cannot be measured here.

    Everything is measured anew; nothing that the store has kept is trusted.
    """
    unlike, away = [], []
    for item in casebook.of_kind("measurement"):
        entry = item.entry
        if not isinstance(entry, Measurement) or entry.picked is None:
            continue
        try:
            told = unlike_its_picks(item.ref, entry, source_of(casebook, entry), root)
        except NotAtHand as error:
            away.append(f"{item.ref} cannot be measured again: {error}")
        except PhotoRefused as error:
            unlike.append(f"{item.ref} cannot be measured from its picks. {error}")
        else:
            unlike += [told] if told else []
    return unlike, away


def unlike_its_picks(ref: str, entry: Measurement, source: Source | None, root: Path) -> str:
    """Say what the picks of a measurement give, where its quantity is something else; "" where the two agree.

    Raises as `measured_anew` does.
    """
    found = measured_anew(entry, source, root)
    if agrees(found, entry.quantity):
        return ""
    return (
        f"{ref} says `{entry.quantity.text}`, but its picks give `{quantity_text(found)}`: "
        f"`witness measure {ref} --write` writes that into its file, or mend the picks."
    )


def source_of(casebook: Casebook, entry: Measurement) -> Source | None:
    """Return the source of a measurement, also one that was withdrawn."""
    return source_among(entry, casebook.entries, casebook.withdrawn)


def source_among(entry: Measurement, *books: Mapping[str, Item]) -> Source | None:
    """Return the source of a measurement from the first of these that has it."""
    item = next((book[entry.source] for book in books if entry.source in book), None)
    return item.entry if item is not None and isinstance(item.entry, Source) else None


def _plain(pairs: Knowns | tuple[tuple[str, Quantity], ...]) -> list[list[object]]:
    return [[name, [_text(one) for one in said] if isinstance(said, tuple) else _text(said)] for name, said in pairs]


def _text(said: Quantity | str) -> list[object] | str:
    return said if isinstance(said, str) else [said.text, said.shape, said.unit, said.numbers]


# Combined measurements and checks ask for the same parts again.
@lru_cache(maxsize=256)
def _found(one: Asked) -> Found:
    stated = dict(one.lens) if isinstance(one.lens, tuple) else one.lens
    return measure(
        one.method, dict(one.points), dict(one.known), stated, one.size, one.doubt, one.count, one.photograph,
        one.recording,
    )  # fmt: skip
