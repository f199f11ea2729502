"""Tables of the sheet as pandas frames and as CSV."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import floor, log10
from typing import TYPE_CHECKING, Any

from ledger.building.contract import Column, entry_name
from ledger.building.telling.chains import paths
from ledger.building.values import Cell, Grid, Limits, Sheet
from ledger.casebook.values import Casebook
from ledger.quantities.summary import Summary

if TYPE_CHECKING:
    import pandas

Tame = Callable[[str], str]
# Decimals of what has no doubt, and of limits: far below what anyone measures, far above what a float rounds.
EXACT, MADE_TO = 6, 4


def frame(grid: Grid) -> pandas.DataFrame:
    """Return a table with its units in the heads; a column with doubt is followed by the ends of its intervals.

    Those are limits, or 95 % intervals; these are rounded to two digits of their half-width, for what is drawn says no
    more.
    """
    import pandas  # slow to load, and only those who ask for tables need it

    data: dict[str, list[Any]] = {}
    for place, column in enumerate(grid.columns):
        cells = [row[place] for row in grid.rows]
        told = [_numbers(one) for one in cells]
        data[head(column)] = [
            number[0] if isinstance(one, Summary) else one or None for one, number in zip(cells, told, strict=True)
        ]
        if any(isinstance(one, Summary) and one.low < one.high for one in cells):
            data[head(column, " low")] = [low for _, low, _ in told]
            data[head(column, " high")] = [high for _, _, high in told]
    return pandas.DataFrame(data)


def head(column: Column, more: str = "") -> str:
    """Return a column's name with its unit."""
    return f"{entry_name(column.name)}{more}{f' [{column.unit}]' if column.unit else ''}"


def csv(made: pandas.DataFrame, tame: Tame) -> bytes:
    """Return a frame as CSV in UTF-8; `tame` gives words as a spreadsheet will not run them."""
    shown = made.map(lambda cell: tame(cell) if isinstance(cell, str) else cell)
    return shown.to_csv(index=False, lineterminator="\n", float_format="%.9g").encode()


def parameter_frame(casebook: Casebook, sheet: Sheet) -> pandas.DataFrame:
    """Return every parameter with its value, how it came about, and all that it stands on down to the sources."""
    import pandas

    rows = []
    for one in sheet.parameters.values():
        value, low, high = _numbers(one.summary)
        rows.append(
            {
                "parameter": one.name,
                "label": one.bound.label,
                "section": one.section,
                "stated": one.bound.stated or _counted(one.bound.rows),
                "value": value,
                "low": low,
                "high": high,
                "unit": one.bound.unit,
                "how": one.how,
                "decisions": " ".join(one.decisions),
                "grounds": " ".join(one.grounds),
                "chains": " | ".join(path for ref in one.grounds for path in paths(casebook, ref)),
            }
        )
    return pandas.DataFrame(rows)


def column_frame(sheet: Sheet) -> pandas.DataFrame:
    """Return every column of numbers with the parameters that its numbers come from."""
    import pandas

    known = sheet.parameters
    rows = [
        {
            "table": grid.name,
            "column": entry_name(column.name),
            "label": column.label,
            "unit": column.unit,
            "parameters": " ".join(name for one in column.of if (name := entry_name(one)) in known),
        }
        for chapter in sheet.chapters
        for grid in chapter.tables
        for column in grid.columns
        if column.of
    ]
    return pandas.DataFrame(rows)


def _numbers(cell: Cell | None) -> tuple[float | None, float | None, float | None]:
    """Return a number and the ends of its interval, as far as that supports them; nothing of words."""
    if not isinstance(cell, Summary):
        return None, None, None
    decimals, half = MADE_TO if isinstance(cell, Limits) else EXACT, (cell.high - cell.low) / 2.0
    if half > 0 and not isinstance(cell, Limits):
        decimals = min(EXACT, 1 - floor(log10(half)))
    return round(cell.estimate, decimals), round(cell.low, decimals), round(cell.high, decimals)


def _counted(rows: Iterable[Any]) -> str:
    count = len(tuple(rows))
    return f"{count} row{'' if count == 1 else 's'}" if count else ""
