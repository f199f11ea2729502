"""Numbers as the ledger's pages show them, told in the browser."""

from __future__ import annotations

import numpy as np

from ledger.quantities.percents import draws
from ledger.quantities.summary import Summary, show, summarise

DIGITS = 4


def number_told(value, unit=""):
    """Return a number without doubt: whole ones as they are, others to four digits that count, and to the unit."""
    whole = abs(value) < 10**7 and (value == int(value) or abs(value) >= 10**DIGITS)
    kept = float(round(value)) if whole else float(f"{value:.{DIGITS}g}")
    return show(Summary(kept, 0.0, kept, kept), unit)


def cell_told(cell):
    """Return the text of a cell of a table."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return number_told(float(cell)) if isinstance(cell, (int, float)) else str(cell)


def spread_told(values, unit, count):
    """Return draws summed up, with the share of all `count` draws that they are where that is not the whole."""
    summary = summarise(np.array(values))
    text = number_told(summary.estimate, unit) if summary.low == summary.high else show(summary, unit)
    return text if len(values) == count else f"{text} ({draws(len(values) / count)} only)"


def chance_told(held):
    """Return in what share of the draws something holds."""
    return draws(len([one for one in held if one]) / len(held))
