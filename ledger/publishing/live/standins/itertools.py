"""Stands in for itertools."""

from __future__ import annotations


def pairwise(values):
    """Return neighbours, two by two."""
    listed = list(values)
    return list(zip(listed, listed[1:], strict=False))  # noqa: RUF007 - this is what stands in for pairwise


def product(*parts):
    """Return every choice of one from each, the last changing fastest."""
    chosen = [()]
    for part in parts:
        held = list(part)
        chosen = [(*before, one) for before in chosen for one in held]
    return chosen
