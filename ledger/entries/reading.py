"""Files read into checked entries, with every fault of every file at once.

A file is UTF-8, begins with front matter between two lines of three hyphens, and lies in its kind's folder under
`entries/`.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from ledger.entries.fields import FOLDERS, KINDS, NAME, NONE_OF_THESE, OTHERS
from ledger.entries.models import MODELS, Entry
from ledger.entries.scalars import plainly
from ledger.entries.wording import climbing, explain
from ledger.entries.yamlstrict import Loaded, load
from ledger.errors import Fault, FaultsFound

SIZE = 1_000_000
HISTORY = "history.jsonl"
_TOP = "Begin the file with a line of three hyphens, the fields, and another such line."


@dataclass(frozen=True, slots=True)
class Document:
    """One file, read and checked.

    ref    `folder/name`; text: the whole file; front: its front matter as plain data; body: what follows, to the byte
    lines  line of each field by dotted path, items of lists counted from one
    """

    ref: str
    kind: str
    name: str
    file: str
    text: str
    front: dict[str, Any]
    body: str
    entry: Entry
    lines: Mapping[str, int]

    @property
    def standing(self) -> bool:
        """Return whether the entry has not been withdrawn."""
        return self.entry.withdrawn is None

    def line(self, path: str) -> int:
        """Return the line of a field, or of the nearest thing around it."""
        return climbing(self.lines)(path)


def read_text(text: str, folder: str, name: str, file: str | None = None) -> Document:
    """Read the text of `folder/name`. Raises FaultsFound with all that is wrong; `file` is how faults call it."""
    file = f"entries/{folder}/{name}.md" if file is None else file
    faults = list(_misnamed(folder, name, file))
    parts = _split(text, file, faults)
    if parts is None or folder not in KINDS:
        raise FaultsFound(_shown(faults))
    loaded = load(parts[0], file)
    faults += loaded.faults
    entry = _entry(loaded, folder, file, faults) if loaded.complete else None
    if faults or entry is None:
        raise FaultsFound(_shown(faults))
    return Document(f"{folder}/{name}", entry.kind, name, file, text, loaded.data, parts[1], entry, loaded.lines)


def read_file(path: str | os.PathLike[str], root: str | os.PathLike[str]) -> Document:
    """Read one file; faults name it by its path below `root`, the investigation's folder. Raises FaultsFound."""
    where = Path(path)
    file = _display(os.path.relpath(where, root))
    return _read(os.fspath(where), where.parent.name, where.name, file)


def read_folder(entries_dir: str | os.PathLike[str]) -> tuple[list[Document], list[Fault]]:
    """Read all files below `entries/`: documents without fault, in order of reference, and all faults of the others."""
    top = os.path.abspath(os.fspath(entries_dir))
    shown = os.path.basename(top)
    documents: list[Document] = []
    faults: list[Fault] = []
    for item in _listed(top, shown, faults):
        file = f"{shown}/{_display(item.name)}"
        if item.is_symlink():
            faults.append(_link(file))
        elif item.is_dir(follow_symlinks=False):
            if item.name in KINDS:
                _read_kind(item.path, item.name, file, documents, faults)
            else:
                faults.append(_unknown_folder(item.name, file))
        elif item.name != HISTORY:
            remedy = "Move the file into the folder of its kind, or out of the entries."
            faults.append(
                _file_fault(file, "folder", "a file outside the folders", "a file in a kind's folder", remedy)
            )
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
        file = f"{shown}/{_display(item.name)}"
        if item.is_symlink():
            faults.append(_link(file))
        elif item.is_dir(follow_symlinks=False):
            remedy = f"Move its files up into {folder}/."
            faults.append(_file_fault(file, "folder", "a folder inside a folder", "files only", remedy))
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
            _file_fault(shown, "folder", given, "a folder that can be read", "Make the folder, or allow it to be read.")
        )
        return iter(())


def _read(path: str, folder: str, base: str, file: str) -> Document:
    stem, ending = os.path.splitext(base)
    if ending != ".md":
        remedy = "Rename it with the ending `.md`, or move it out of the entries."
        raise FaultsFound(
            [_file_fault(file, "file name", plainly(_display(base)), "a file that ends in `.md`", remedy)]
        )
    if os.path.islink(path):
        raise FaultsFound([_link(file)])
    try:
        if not os.path.isfile(path):
            raise FaultsFound(
                [_file_fault(file, "file", "no ordinary file", "an ordinary file", "Put the file itself here.")]
            )
        with open(path, "rb") as handle:
            raw = handle.read(SIZE + 1)
    except OSError as error:
        given = (error.strerror or "an error").lower()
        raise FaultsFound(
            [_file_fault(file, "file", given, "a file that can be read", "Allow it to be read.")]
        ) from error
    if len(raw) > SIZE:
        raise FaultsFound([_oversize(file)])
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        given = f"the byte {raw[error.start]:#04x}"
        raise FaultsFound([Fault(file, line, "file", given, "text in UTF-8", "Save the file as UTF-8.")]) from error
    return read_text(text, folder, stem, file)


def _misnamed(folder: str, name: str, file: str) -> Iterator[Fault]:
    if folder not in KINDS:
        yield _unknown_folder(folder, file)
    if not NAME.match(name):
        better = "-".join("".join(sign if sign.isascii() and sign.isalnum() else " " for sign in name.lower()).split())
        remedy = f"Rename it to `{better or 'some-name'}.md`."
        yield _file_fault(
            file, "file name", plainly(_display(name)), "small letters, digits and single hyphens", remedy
        )
    elif folder == "hypotheses" and name in (OTHERS, NONE_OF_THESE):
        yield _file_fault(file, "file name", name, "a name without a meaning of its own", "Rename the hypothesis.")


def _split(text: str, file: str, faults: list[Fault]) -> tuple[str, str] | None:
    """Return front matter and body; None, and a fault, where they cannot be told apart."""
    if len(text) * 4 > SIZE and len(text.encode("utf-8", "replace")) > SIZE:
        faults.append(_oversize(file))
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
            faults.append(_wrong_kind(kind, folder, file, line_of("kind")))
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


def _wrong_kind(kind: object, folder: str, file: str, line: int) -> Fault:
    wanted = KINDS[folder]
    if kind is None:
        return Fault(file, line, "kind", "nothing", f"`kind: {wanted}`", f"Add the line `kind: {wanted}`.")
    right = FOLDERS.get(kind) if isinstance(kind, str) else None
    move = f"Move the file to {right}/, or write" if right else "Write"
    return Fault(file, line, "kind", plainly(kind), f"`{wanted}`, the kind of {folder}/", f"{move} `kind: {wanted}`.")


def _unknown_folder(name: str, file: str) -> Fault:
    close = get_close_matches(name, KINDS, 1)
    remedy = f"Rename it to {close[0]}/." if close else "Move it out of the entries."
    return _file_fault(file, "folder", plainly(_display(name)), f"one of {', '.join(KINDS)}", remedy)


def _link(file: str) -> Fault:
    return _file_fault(file, "file", "a symbolic link", "a file of its own", "Put a copy of the file here.")


def _oversize(file: str) -> Fault:
    return _file_fault(
        file, "file", f"more than {SIZE // 1_000_000} MB", "a smaller file", "Split the entry, or shorten its text."
    )


def _file_fault(file: str, field: str, given: str, expected: str, remedy: str) -> Fault:
    return Fault(file, 0, field, given, expected, remedy)


def _shown(faults: Iterable[Fault]) -> list[Fault]:
    return [fault if fault.field else replace(fault, field="front matter") for fault in faults]


def _display(name: str) -> str:
    """Return a file's name as text that can be printed, whatever its bytes are."""
    return os.fsencode(name).decode("utf-8", "backslashreplace").replace(os.sep, "/")
