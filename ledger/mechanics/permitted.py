"""Permitted ranges as data, and in words what lies outside them.

A range is (label, unit, least, greatest), both ends permitted.
"""

from __future__ import annotations

from ledger.mechanics.maths import extremes


def outside(permitted, value):
    """Return in words what is wrong with a value or any of its draws, or "" if all lie within; NaN never does."""
    label, unit, least, greatest = permitted
    low, high = extremes(value)
    if low >= least and high <= greatest:
        return ""
    given = "" if hasattr(value, "__len__") else f" {value:g} given;"
    tail = f" {unit}" if unit else ""
    return f"{label}:{given} permitted from {least:g} to {greatest:g}{tail}."
