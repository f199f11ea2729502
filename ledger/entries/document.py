"""A file, read and checked; or, where it has faults, as much of it as can be checked all the same."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from ledger.entries.models import Entry
from ledger.errors import Fault


@dataclass(frozen=True, slots=True)
class Document:
    """One file, read and checked.

    ref      `folder/name`; text: the whole file; front: its front matter as plain data; body: what follows, to the byte
    lines    line of each field by dotted path, items of lists counted from one
    spoiled  dotted paths that were left out of `entry` because they have faults; none in a document that may be posted
    kept     of each list that lost items: the numbers, in the file, of those that stayed
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
    spoiled: frozenset[str] = frozenset()
    kept: Mapping[str, tuple[int, ...]] = field(default_factory=dict)

    @property
    def standing(self) -> bool:
        """Return whether the entry has not been withdrawn."""
        return self.entry.withdrawn is None

    def line(self, path: str) -> int:
        """Return the line of a field, or of the nearest thing around it."""
        return climbing(self.lines)(path)

    def fault(self, field: str, given: str, expected: str, remedy: str) -> Fault:
        """Return a fault at a field of `entry`, with its line; at none, where it is about the file as such."""
        field = self.told(field)
        return Fault(self.file, self.line(field) if field else 0, field, given, expected, remedy)

    def told(self, path: str) -> str:
        """Return a path of `entry` as a person counts in the file: with the items that were left out."""
        for stem, numbers in self.kept.items():
            if path.startswith(stem + "."):
                number, dot, rest = path[len(stem) + 1 :].partition(".")
                if number.isdigit() and 0 < int(number) <= len(numbers):
                    path = f"{stem}.{numbers[int(number) - 1]}{dot}{rest}"
        return path

    def lost(self, *paths: str) -> bool:
        """Return whether any of these fields, or anything in or around it, was left out."""
        return bool(self.spoiled) and any(
            bad == path or bad.startswith(path + ".") or path.startswith(bad + ".")
            for bad in self.spoiled
            for path in paths
        )

    def lost_keys(self, path: str) -> frozenset[str]:
        """Return the keys just below a mapping in which something was left out."""
        return frozenset(bad[len(path) + 1 :].partition(".")[0] for bad in self.spoiled if bad.startswith(path + "."))


def climbing(lines: Mapping[str, int]) -> Callable[[str], int]:
    """Return a look-up of a path's line, which falls back to the nearest field around it, and at last to line 1."""

    def line_of(path: str) -> int:
        while path:
            if path in lines:
                return lines[path]
            path = path.rpartition(".")[0]
        return 1

    return line_of
