"""Files read into checked entries, with every fault of every file at once.

A file is UTF-8, begins with front matter between two lines of three hyphens, and lies in its kind's folder under
`entries/`.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from pydantic import ValidationError

from ledger.entries.document import Document as Document
from ledger.entries.document import climbing
from ledger.entries.fields import KINDS, NAME
from ledger.entries.models import MODELS, Entry
from ledger.entries.refusing import SIZE as SIZE
from ledger.entries.refusing import display, file_fault, link, misnamed, oversize, placed, unknown_folder, wrong_kind
from ledger.entries.salvage import salvage
from ledger.entries.scalars import plainly
from ledger.entries.wording import explain
from ledger.entries.yamlstrict import Loaded, load
from ledger.errors import Fault, FaultsFound

HISTORY = "history.jsonl"
_TOP = "Begin the file with a line of three hyphens, the fields, and another such line."


def read_text(text: str, folder: str, name: str, file: str | None = None) -> Document:
    """Read the text of `folder/name`. Raises FaultsFound with all that is wrong; `file` is how faults call it."""
    document, faults = examine(text, folder, name, file)
    if faults or document is None:
        raise FaultsFound(faults)
    return document


def examine(text: str, folder: str, name: str, file: str | None = None) -> tuple[Document | None, list[Fault]]:
    """Return the document of `folder/name` and all that is wrong with it.

    With faults the document holds only what has none, for checking it against the rest of the ledger, or is None where
    nothing can be told of it.
    """
    file = f"entries/{folder}/{name}.md" if file is None else file
    faults = list(misnamed(folder, name, file))
    parts = _split(text, file, faults)
    if parts is None or folder not in KINDS:
        return None, placed(faults)
    named = not faults
    loaded = load(parts[0], file)
    faults += loaded.faults
    if not loaded.complete:
        return None, placed(faults)
    entry = _entry(loaded, folder, file, faults)
    ref, kind = f"{folder}/{name}", KINDS[folder]
    if not faults and entry is not None:
        return Document(ref, kind, name, file, text, loaded.data, parts[1], entry, loaded.lines), []
    said = loaded.data.get("kind", kind)
    saved = salvage(MODELS[kind], {**loaded.data, "kind": kind}, loaded.spoiled) if named and said == kind else None
    if saved is None:
        return None, placed(faults)
    partial = Document(
        ref, kind, name, file, text, loaded.data, parts[1], saved.entry, loaded.lines, saved.spoiled, saved.kept
    )
    return partial, placed(faults)


def read_file(path: str | os.PathLike[str], root: str | os.PathLike[str]) -> Document:
    """Read one file; faults name it by its path below `root`, the investigation's folder. Raises FaultsFound."""
    where = Path(path)
    file = display(os.path.relpath(where, root))
    return _read(os.fspath(where), where.parent.name, where.name, file)


def read_folder(entries_dir: str | os.PathLike[str]) -> tuple[list[Document], list[Fault]]:
    """Read all files below `entries/`: documents without fault, in order of reference, and all faults of the others."""
    top = os.path.abspath(os.fspath(entries_dir))
    shown = os.path.basename(top)
    documents: list[Document] = []
    faults: list[Fault] = []
    for item in _listed(top, shown, faults):
        file = f"{shown}/{display(item.name)}"
        if item.is_symlink():
            faults.append(link(file))
        elif item.is_dir(follow_symlinks=False):
            if item.name in KINDS:
                _read_kind(item.path, item.name, file, documents, faults)
            else:
                faults.append(unknown_folder(item.name, file))
        elif item.name != HISTORY:
            remedy = "Move the file into the folder of its kind, or out of the entries."
            faults.append(file_fault(file, "folder", "a file outside the folders", "a file in a kind's folder", remedy))
    return documents, sorted(faults)


def unread(faults: Iterable[Fault]) -> set[str]:
    """Return the refs of entries whose files have faults: they exist, though nothing more can be said of them."""
    found = set()
    for fault in faults:
        folder, _, name = fault.file.removesuffix(".md").rpartition("/")
        folder = folder.rpartition("/")[2]
        if folder in KINDS and NAME.match(name):
            found.add(f"{folder}/{name}")
    return found


def _read_kind(path: str, folder: str, shown: str, documents: list[Document], faults: list[Fault]) -> None:
    for item in _listed(path, shown, faults):
        file = f"{shown}/{display(item.name)}"
        if item.is_symlink():
            faults.append(link(file))
        elif item.is_dir(follow_symlinks=False):
            remedy = f"Move its files up into {folder}/."
            faults.append(file_fault(file, "folder", "a folder inside a folder", "files only", remedy))
        else:
            try:
                documents.append(_read(item.path, folder, item.name, file))
            except FaultsFound as found:
                faults.extend(found.faults)


def _listed(path: str, shown: str, faults: list[Fault]) -> Iterator[os.DirEntry[str]]:
    """Return what a folder holds, in order of name, dotfiles apart."""
    try:
        with os.scandir(path) as items:
            return iter(sorted((item for item in items if not item.name.startswith(".")), key=lambda item: item.name))
    except OSError as error:
        given = (error.strerror or "an error").lower()
        faults.append(
            file_fault(shown, "folder", given, "a folder that can be read", "Make the folder, or allow it to be read.")
        )
        return iter(())


def _read(path: str, folder: str, base: str, file: str) -> Document:
    stem, ending = os.path.splitext(base)
    if ending != ".md":
        remedy = "Rename it with the ending `.md`, or move it out of the entries."
        raise FaultsFound([file_fault(file, "file name", plainly(display(base)), "a file that ends in `.md`", remedy)])
    if os.path.islink(path):
        raise FaultsFound([link(file)])
    try:
        if not os.path.isfile(path):
            raise FaultsFound(
                [file_fault(file, "file", "no ordinary file", "an ordinary file", "Put the file itself here.")]
            )
        with open(path, "rb") as handle:
            raw = handle.read(SIZE + 1)
    except OSError as error:
        given = (error.strerror or "an error").lower()
        raise FaultsFound(
            [file_fault(file, "file", given, "a file that can be read", "Allow it to be read.")]
        ) from error
    if len(raw) > SIZE:
        raise FaultsFound([oversize(file)])
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        given = f"the byte {raw[error.start]:#04x}"
        raise FaultsFound([Fault(file, line, "file", given, "text in UTF-8", "Save the file as UTF-8.")]) from error
    return read_text(text, folder, stem, file)


def _split(text: str, file: str, faults: list[Fault]) -> tuple[str, str] | None:
    """Return front matter and body; None, and a fault, where they cannot be told apart."""
    if len(text) * 4 > SIZE and len(text.encode("utf-8", "replace")) > SIZE:
        faults.append(oversize(file))
        return None
    if text.startswith("\ufeff"):
        remedy = "Save the file as UTF-8 without a byte order mark."
        faults.append(Fault(file, 1, "file", "an invisible byte order mark", "text that begins with `---`", remedy))
        return None
    first, newline, _ = text.partition("\n")
    if first.rstrip() != "---" or not first.startswith("---") or not newline:
        faults.append(Fault(file, 1, "front matter", f"`{plainly(first)}`", "a line `---` at the very top", _TOP))
        return None
    start = len(first)
    close = text.find("\n---", start)
    while close >= 0:
        end = text.find("\n", close + 1)
        if not text[close + 4 : end if end >= 0 else None].strip(" \t\r"):
            return text[start + 1 : close + 1], text[end + 1 :] if end >= 0 else ""
        close = text.find("\n---", close + 4)
    faults.append(
        Fault(
            file, 1, "front matter", "no closing line", "a second line `---`", "Put a line `---` after the last field."
        )
    )
    return None


def _entry(loaded: Loaded, folder: str, file: str, faults: list[Fault]) -> Entry | None:
    front = loaded.data
    line_of = climbing(loaded.lines)
    wanted = KINDS[folder]
    kind = front.get("kind")
    if kind != wanted:
        if not isinstance(kind, str) or kind not in MODELS:
            front = {**front, "kind": wanted}
        if "kind" not in loaded.spoiled:
            faults.append(wrong_kind(kind, folder, file, line_of("kind")))
    model = MODELS[front["kind"]]
    try:
        return model.model_validate(front, by_alias=True, by_name=False)
    except ValidationError as error:
        for fault in explain(error, model, front, file, line_of):
            if not _is_spoiled(fault.field, loaded.spoiled):
                faults.append(fault)
        return None


def _is_spoiled(path: str, spoiled: frozenset[str]) -> bool:
    """Return whether the value at a path, or around it, has a fault already."""
    return bool(spoiled) and any(path == bad or path.startswith(bad + ".") for bad in spoiled)
