"""What can be wrong with a file as such: its name, its folder, its kind, its size, its bytes."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import replace

from ledger.entries.fields import FOLDERS, KINDS, NAME, NONE_OF_THESE, OTHERS
from ledger.entries.scalars import plainly
from ledger.errors import Fault, nearest

SIZE = 1_000_000


def misnamed(folder: str, name: str, file: str) -> Iterator[Fault]:
    if folder not in KINDS:
        yield unknown_folder(folder, file)
    if not NAME.match(name):
        better = "-".join("".join(sign if sign.isascii() and sign.isalnum() else " " for sign in name.lower()).split())
        remedy = f"Rename it to `{better or 'some-name'}.md`."
        yield file_fault(file, "file name", plainly(display(name)), "small letters, digits and single hyphens", remedy)
    elif folder == "hypotheses" and name in (OTHERS, NONE_OF_THESE):
        yield file_fault(file, "file name", name, "a name without a meaning of its own", "Rename the hypothesis.")


def wrong_kind(kind: object, folder: str, file: str, line: int) -> Fault:
    wanted = KINDS[folder]
    if kind is None:
        return Fault(file, line, "kind", "nothing", f"`kind: {wanted}`", f"Add the line `kind: {wanted}`.")
    right = FOLDERS.get(kind) if isinstance(kind, str) else None
    move = f"Move the file to {right}/, or write" if right else "Write"
    return Fault(file, line, "kind", plainly(kind), f"`{wanted}`, the kind of {folder}/", f"{move} `kind: {wanted}`.")


def unknown_folder(name: str, file: str) -> Fault:
    close = nearest(name, KINDS, 1)
    remedy = f"Rename it to {close[0]}/." if close else "Move it out of the entries."
    return file_fault(file, "folder", plainly(display(name)), f"one of {', '.join(KINDS)}", remedy)


def link(file: str) -> Fault:
    return file_fault(file, "file", "a symbolic link", "a file of its own", "Put a copy of the file here.")


def oversize(file: str) -> Fault:
    return file_fault(
        file, "file", f"more than {SIZE // 1_000_000} MB", "a smaller file", "Split the entry, or shorten its text."
    )


def file_fault(file: str, field: str, given: str, expected: str, remedy: str) -> Fault:
    return Fault(file, 0, field, given, expected, remedy)


def placed(faults: Iterable[Fault]) -> list[Fault]:
    return [fault if fault.field else replace(fault, field="front matter") for fault in faults]


def display(name: str) -> str:
    """Return a file's name as text that can be printed, whatever its bytes are."""
    return os.fsencode(name).decode("utf-8", "backslashreplace").replace(os.sep, "/")
