"""Stands in for collections.abc, which only annotations name."""

from __future__ import annotations

Callable = Generator = Iterable = Iterator = Mapping = Sequence = Set = object
