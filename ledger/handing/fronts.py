"""A checked entry as plain data again: front matter that says the same and reads back as the same entry."""

from __future__ import annotations

from typing import Any

from ledger.entries.parts import Part
from ledger.quantities.chance import Chance
from ledger.quantities.factor import Factor
from ledger.quantities.notation import Quantity


def plain(value: Any) -> Any:
    """Return checked front matter, or any part of it, as text, numbers, truths, lists and mappings.

    Keys have hyphens, and fields that were not written stay out. References have their folder; what is taken from
    elsewhere is a mapping; quantities are in their notation; chances and factors are numbers, ranges `0.2..0.6`, or
    words of the ladder.
    """
    if isinstance(value, Part):
        return {
            field.alias or name: plain(inner)
            for name, field in type(value).model_fields.items()
            if name in value.model_fields_set and (inner := getattr(value, name)) is not None
        }
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, Chance):
        return value.word or _range(value.low, value.high)
    if isinstance(value, Factor):
        return _range(value.low, value.high)
    if isinstance(value, dict):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    return str(value) if isinstance(value, str) else value


def _range(low: float, high: float) -> str | float:
    return low if low == high else f"{low!r}..{high!r}"
