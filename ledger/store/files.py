"""The entry files as bytes, listed and read fast; what they mean is left to `ledger.entries`."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from ledger.entries.models import KINDS, MODELS
from ledger.entries.reading import HISTORY, Document, read_file, read_text

ENDING = ".md"


@dataclass(frozen=True, slots=True)
class EntryFile:
    """One file in a kind's folder, and its bytes."""

    folder: str
    name: str
    path: str
    content: bytes

    @property
    def ref(self) -> str:
        """Return `folder/name`."""
        return f"{self.folder}/{self.name}"


def listed(entries_dir: Path) -> Iterator[EntryFile] | None:
    """Return the files of all kinds, read one by one; None when anything lies there that is no entry file.

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
                        if item.name.startswith("."):
                            continue
                        if not item.name.endswith(ENDING) or not item.is_file(follow_symlinks=False):
                            return None
                        found.append((folder.name, item.name[: -len(ENDING)], item.path))
    except OSError:
        return None
    return (EntryFile(folder, name, path, _content(path)) for folder, name, path in sorted(found))


def _content(path: str) -> bytes:
    with open(path, "rb", buffering=0) as file:
        return file.read()


def parse(file: EntryFile, entries_dir: Path) -> Document:
    """Read a file's bytes into a document. Raises FaultsFound."""
    try:
        text = file.content.decode("utf-8")
    except UnicodeDecodeError:
        return read_file(file.path, entries_dir.resolve().parent)
    return read_text(text, file.folder, file.name, f"{entries_dir.resolve().name}/{file.ref}{ENDING}")


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
