"""What an entry says as plain data, so that two revisions of it can be held against each other."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ledger.entries.fields import Ref
from ledger.entries.models import Entry
from ledger.entries.parts import Part, keys_of
from ledger.quantities.chance import Chance
from ledger.quantities.factor import Factor
from ledger.quantities.quantity import Quantity

Names = Mapping[str, str]


def said(entry: Entry, names: Names, *fields: str) -> dict[str, Any]:
    """Return the fields of an entry's front matter as plain data, by their keys; those left out are left out.

    names   present refs by former ones: entries that were renamed since are named as now
    fields  keys to return; all without any
    """
    found = {key: _plain(getattr(entry, name), names) for name, key in keys_of(type(entry))}
    return {key: value for key, value in found.items() if value not in (None, [], {}) and (not fields or key in fields)}


def _plain(value: Any, names: Names) -> Any:
    if isinstance(value, Ref):
        return names.get(value, str(value))
    if isinstance(value, Part):
        found = {key: _plain(getattr(value, name), names) for name, key in keys_of(type(value))}
        return {key: one for key, one in found.items() if one not in (None, [], {})}
    if isinstance(value, list | tuple):
        return [_plain(one, names) for one in value]
    if isinstance(value, dict):
        return {_plain(key, names): _plain(one, names) for key, one in value.items()}
    if isinstance(value, Quantity):
        return " ".join(value.text.split())
    if isinstance(value, Chance):
        return value.word or _ends(value.low, value.high)
    if isinstance(value, Factor):
        return _ends(value.low, value.high)
    return value


def _ends(low: float, high: float) -> str:
    return f"{low!r}" if low == high else f"{low!r}..{high!r}"
