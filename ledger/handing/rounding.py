"""Computed numbers as they are handed out: without the digits that only the arithmetic of floats has put there."""

from __future__ import annotations

from typing import Any

DIGITS = 12
AS_WRITTEN = "front"


def rounded(value: Any) -> Any:
    """Return plain data with every float to twelve significant digits; what an author wrote in an entry stays."""
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}")
    if isinstance(value, dict):
        return {name: one if name == AS_WRITTEN else rounded(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [rounded(one) for one in value]
    return value
