"""Every reference an entry makes, found in its checked data: what the models call a reference, and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ledger.entries.fields import Ref
from ledger.entries.models import Entry
from ledger.entries.parts import Part, keys_of


def references(entry: Entry, lines: Mapping[str, int] | None = None) -> list[tuple[str, Ref]]:
    """Return (dotted field path, `folder/name`) of each reference, in the order of the model's fields.

    Items of a list are counted from one. Given the `lines` of a document, a key written short keeps its short form in
    the path, so that the path can be looked up there.
    """
    found: list[tuple[str, Ref]] = []
    _walk(entry, "", found, lines or {})
    return found


def _walk(value: Any, path: str, found: list[tuple[str, Ref]], lines: Mapping[str, int]) -> None:
    """Go through the value; models and YAML's limit keep it a few levels deep."""
    kind = type(value)
    if kind is Ref:
        found.append((path, value))
    elif kind is str or value is None:
        return
    elif isinstance(value, Part):
        data = value.__dict__
        prefix = f"{path}." if path else ""
        for name, key in keys_of(type(value)):
            inner = data[name]
            if inner is not None and type(inner) is not str:
                _walk(inner, prefix + key, found, lines)
    elif kind is list or kind is tuple:
        for number, inner in enumerate(value, 1):
            _walk(inner, f"{path}.{number}", found, lines)
    elif kind is dict:
        for key, inner in value.items():
            place = f"{path}.{key}"
            if type(key) is Ref:
                if place not in lines and (short := f"{path}.{key.partition('/')[2]}") in lines:
                    place = short
                found.append((place, key))
            _walk(inner, place, found, lines)
