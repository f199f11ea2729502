"""One thing wrong with what was marked or stated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.errors import did_you_mean


@dataclass(frozen=True)
class Wrong:
    """One thing wrong: its place as a dotted path, such as `points.bar.2`, and how to mend it."""

    field: str
    given: str
    expected: str
    remedy: str

    def __str__(self) -> str:
        return f"{self.field}: given {self.given}; expected {self.expected}. {self.remedy}"


def unknown(field: str, given: str, names: Sequence[str], expected: str) -> Wrong:
    """Return what is wrong with a name that is none of those there are."""
    return Wrong(field, f"`{given}`", expected, did_you_mean(given, names))
