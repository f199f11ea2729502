"""Tables as sections make them, turned into tables as they are shown."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.building.contract import Placed, Rows, Table, entry_name
from ledger.building.reading import drawn, slug
from ledger.building.values import Cell, Grid, limits_of
from ledger.quantities.summary import Summary, show, summarise


def grids(table: Table, rows: Rows) -> list[Grid]:
    """Return a table as shown, divided if it is to be; columns without any cell, and the one it is divided by, go."""
    if not rows:
        return []
    filled = (one for one in table.columns if any(_filled(row.get(one.name)) for row in rows))
    columns = tuple(one for one in filled if one.name != table.split)
    keys = table.keys - bool(table.split)
    parts: dict[str, Rows] = {}
    for row in rows:
        parts.setdefault(str(row[table.split]) if table.split else "", []).append(row)
    name = entry_name(table.name)
    used: dict[str, int] = {}
    found = []
    for part, own in parts.items():
        cells = tuple(tuple(_cell(row.get(column.name)) for column in columns) for row in own)
        file = f"{name}-{slug(part)}" if part else name
        used[file] = used.get(file, 0) + 1
        file = file if used[file] == 1 else f"{file}-{used[file]}"
        found.append(Grid(file, f"{table.title}: {part}" if part else table.title, columns, cells, keys))
    return found


def places(table: Table, rows: Rows) -> dict[str, Placed]:
    """Return the numbers of a table by `table/row/column`."""
    found = {}
    for row in rows:
        keys = [words(row.get(column.name)) for column in table.columns[: table.keys]]
        for column in table.columns[table.keys :]:
            value = row.get(column.name)
            if value is not None and not isinstance(value, str):
                place = f"{entry_name(table.name)}/{slug(' '.join(keys))}/{entry_name(column.name)}"
                label = f"{', '.join(keys)}: {column.label.lower()}"
                found[place] = Placed(label, column.unit, drawn(value), column.of)
    return found


def words(value: Any) -> str:
    """Return a raw cell as words."""
    cell = _cell(value)
    return cell if isinstance(cell, str) else show(cell, "")


def _filled(value: Any) -> bool:
    return value is not None and not (isinstance(value, str) and value == "")


def _cell(value: Any) -> Cell:
    if value is None or isinstance(value, str):
        return value or ""
    if isinstance(value, dict):
        return limits_of(value)
    if np.ndim(value) == 0:
        exact = float(value) + 0.0
        return Summary(exact, 0.0, exact, exact)
    return summarise(value)
