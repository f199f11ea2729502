"""The short forms in which an input, a cell of its rows, or a limit may be taken from elsewhere."""

from __future__ import annotations

from typing import Any

from ledger.entries.scalars import stated
from ledger.quantities.notation import NotationError


def short(given: str) -> dict[str, str] | None:
    """Read the short forms `measurements/name` and `calculations/name#output`; None for anything else."""
    reference, hash_sign, output = given.partition("#")
    if reference.startswith("measurements/") and not hash_sign:
        return {"measurement": reference}
    if reference.startswith("calculations/") and hash_sign:
        return {"calculation": reference, "output": output}
    return None


def read_cell(given: Any) -> Any:
    """Read the short forms; everything else stays as it is."""
    return (short(given) or given) if isinstance(given, str) else given


def read_limit(given: Any) -> Any:
    """Read the short forms; a quantity stays as it is."""
    if isinstance(given, str) and given[:1].isalpha() and "/" in given:
        return read_taken(given)
    return given


def read_taken(given: Any) -> Any:
    """Read the short forms alone."""
    if not isinstance(given, str):
        return given
    if found := short(given):
        return found
    raise NotationError(given, "`measurements/name` or `calculations/name#output`", "Name the number.")


def read_fixed(given: Any) -> Any:
    """Read the short forms; a bare value, and a list of rows, stand for themselves."""
    if isinstance(given, list):
        return {"rows": given}
    if isinstance(given, str | int | float):
        return (short(given) if isinstance(given, str) else None) or {"value": given}
    return given


def read_given(given: Any) -> Any:
    """Read the short forms `measurements/name` and `calculations/name#output`."""
    if isinstance(given, str) and (found := short(given)):
        return found
    if not isinstance(given, str | int | float):
        return given
    raise NotationError(
        str(given).lower() if isinstance(given, bool) else given,
        "`measurements/name`, `calculations/name#output`, or a mapping with a reason",
        f"Write `{{value: {stated(given)}, reason: …}}`: a value needs its reason beside it.",
    )
