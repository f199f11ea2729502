"""The entry files as bytes, listed and read fast; what they mean is left to `ledger.entries`."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from ledger.entries.models import KINDS, MODELS
from ledger.entries.reading import HISTORY, Document, read_file, read_text

ENDING = ".md"
CHUNK = 65_536


@dataclass(frozen=True)
class EntryFile:
    """One file in a kind's folder, and its bytes."""

    ref: str
    path: str
    content: bytes


def listed(entries_dir: Path) -> list[tuple[str, str]] | None:
    """Return ref and path of the files of all kinds, in order; None when anything lies there that is no entry file.

    It answers only whether all is plain; `ledger.entries.reading.read_folder` says what is not.
    """
    found = []
    try:
        with os.scandir(entries_dir) as folders:
            for folder in folders:
                if folder.name.startswith(".") or folder.name == HISTORY:
                    continue
                if folder.name not in KINDS or not folder.is_dir(follow_symlinks=False):
                    return None
                with os.scandir(folder.path) as items:
                    for item in items:
                        name = item.name
                        if name.startswith("."):
                            continue
                        if not name.endswith(ENDING) or not item.is_file(follow_symlinks=False):
                            return None
                        found.append((f"{folder.name}/{name[: -len(ENDING)]}", item.path))
    except OSError:
        return None
    found.sort()
    return found


def content_of(path: str) -> bytes:
    """Return a file's bytes with as few calls as can be: this is most of a posting without changes."""
    opened = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
    try:
        content = piece = os.read(opened, CHUNK)
        while len(piece) == CHUNK:
            piece = os.read(opened, CHUNK)
            content += piece
        return content
    finally:
        os.close(opened)


def parse(file: EntryFile, entries_dir: Path) -> Document:
    """Read a file's bytes into a document. Raises FaultsFound."""
    try:
        text = file.content.decode("utf-8")
    except UnicodeDecodeError:
        return read_file(file.path, entries_dir.resolve().parent)
    folder, _, name = file.ref.partition("/")
    return read_text(text, folder, name, f"{entries_dir.resolve().name}/{file.ref}{ENDING}")


def recorded(ref: str, text: str, front: Mapping[str, Any], body: str, file: str) -> Document:
    """Return the document of an entry whose front matter the record has already, without reading YAML again.

    It knows no lines. Raises FaultsFound where the text no longer meets what this program expects.
    """
    folder, _, name = ref.partition("/")
    model = MODELS[KINDS[folder]]
    try:
        entry = model.model_validate(front, by_alias=True, by_name=False)
    except ValidationError:
        return read_text(text, folder, name, file)
    return Document(ref, KINDS[folder], name, file, text, dict(front), body, entry, {})
