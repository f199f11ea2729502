"""The entry files as bytes, listed and read fast; what they mean is left to `ledger.entries`."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from ledger.entries.models import KINDS
from ledger.entries.reading import HISTORY, SIZE, Document, examine, read_file
from ledger.errors import Fault, FaultsFound

ENDING = ".md"
CHUNK = 65_536


@dataclass(frozen=True)
class EntryFile:
    """One file in a kind's folder, and its bytes."""

    ref: str
    path: str
    content: bytes


@dataclass(frozen=True)
class Listing:
    """Ref and path of every entry file, in order; `plain` unless something else lies among them."""

    files: tuple[tuple[str, str], ...]
    plain: bool


def listed(entries_dir: Path) -> Listing | None:
    """Return the files of all kinds; None where the folder cannot be read.

    It tells only whether all is plain; `ledger.entries.reading.read_folder` says what is not.
    """
    found, plain = [], True
    try:
        with os.scandir(entries_dir) as folders:
            for folder in folders:
                if folder.name.startswith(".") or folder.name == HISTORY:
                    continue
                if folder.name not in KINDS or not folder.is_dir(follow_symlinks=False):
                    plain = False
                    continue
                with os.scandir(folder.path) as items:
                    for item in items:
                        name = item.name
                        if name.startswith("."):
                            continue
                        if name.endswith(ENDING) and item.is_file(follow_symlinks=False):
                            found.append((f"{folder.name}/{name[: -len(ENDING)]}", item.path))
                        else:
                            plain = False
    except OSError:
        return None
    found.sort()
    return Listing(tuple(found), plain)


def content_of(path: str) -> bytes:
    """Return a file's bytes with as few calls as can be: this is most of a posting without changes.

    Little more is read than an entry may have, so that gigabytes are refused as soon as two megabytes.
    """
    opened = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
    try:
        content = piece = os.read(opened, CHUNK)
        while len(piece) == CHUNK and len(content) <= SIZE:
            piece = os.read(opened, CHUNK)
            content += piece
        return content
    finally:
        os.close(opened)


def parse(file: EntryFile, entries_dir: Path) -> tuple[Document | None, list[Fault]]:
    """Read a file's bytes into a document and all that is wrong with it, as `reading.examine` does."""
    try:
        text = file.content.decode("utf-8")
    except UnicodeDecodeError:
        try:
            return read_file(file.path, entries_dir.resolve().parent), []
        except FaultsFound as found:
            return None, list(found.faults)
    folder, _, name = file.ref.partition("/")
    return examine(text, folder, name, f"{entries_dir.resolve().name}/{file.ref}{ENDING}")
