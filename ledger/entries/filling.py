"""One field of an entry's file written anew, and everything else left as it stands."""

from __future__ import annotations

from typing import Any

from ledger.entries.reading import examine, read_text
from ledger.entries.writing import write
from ledger.errors import FaultsFound


def with_field(text: str, folder: str, name: str, key: str, value: Any) -> str:
    """Return the text of an entry with a top field set; a new one comes after the title.

    Words, order and comments of the rest stay, unless the field ran over several lines: then all of the front matter is
    written anew. Raises FaultsFound if what comes out has faults.
    """
    line = write({key: value}, "").splitlines()[1]
    lines = text.splitlines(keepends=True)
    at = _place(lines, key)
    if at is None:
        after = _place(lines, "title")
        at = 1 if after is None else after + 1
        end = "\r\n" if lines[0].endswith("\r\n") else "\n"
        new = "".join([*lines[:at], line + end, *lines[at:]])
    else:
        end = lines[at][len(lines[at].rstrip("\r\n")) :]
        new = "".join([*lines[:at], line + end, *lines[at + 1 :]])
    document, faults = examine(new, folder, name)
    if document is not None and not faults and document.front.get(key) == value:
        return new
    return _anew(text, folder, name, key, value)


def _place(lines: list[str], key: str) -> int | None:
    """Return the number of the line of a top field in the front matter, counted from nought."""
    for number, line in enumerate(lines[1:], 1):
        if line.startswith("---"):
            return None
        if line.startswith(f"{key}:"):
            return number
    return None


def _anew(text: str, folder: str, name: str, key: str, value: Any) -> str:
    document, faults = examine(text, folder, name)
    if document is None:
        raise FaultsFound(faults)
    return read_text(write({**document.front, key: value}, document.body), folder, name).text
