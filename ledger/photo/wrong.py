"""One thing wrong with what was marked or stated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches


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
    near = get_close_matches(given, names, 1)
    remedy = f"Did you mean `{near[0]}`?" if near else f"There are: {', '.join(names)}."
    return Wrong(field, f"`{given}`", expected, remedy)
