"""How the sheet says things: cells, how a parameter came about, what a table's numbers come from."""

from __future__ import annotations

from ledger.building.contract import Column, entry_name
from ledger.building.values import DEFAULT, FREE, PARTLY, Cell, Grid, Limits, Settled, Sheet
from ledger.quantities.summary import MINUS, Summary, show

MEASURED, UNITLESS, FINEST = 3, 4, 4
Shared = tuple[tuple[Column, ...], tuple[Settled, ...]]


def cell_text(cell: Cell, unit: str) -> str:
    """Return a cell as people read it, without its unit: to its limits, with its 95 % interval, or exact.

    Exact as far as anyone measures: three decimals of what has a unit, and four of what has none; the files have more.
    """
    if isinstance(cell, str):
        return cell
    if isinstance(cell, Limits):
        return limits_text(cell)
    if cell.low < cell.high:
        return show(cell, "")
    rounded = round(cell.estimate, UNITLESS if not unit else MEASURED)
    return show(Summary(rounded, 0.0, rounded, rounded), "")


def limits_text(size: Limits) -> str:
    """Return a size as a drawing states it: `54 +0.030/0`, `15 0/−0.100`, `0.6 ±0.020`."""
    up, down = size.high - size.estimate, size.low - size.estimate
    nominal = cell_text(Summary(size.estimate, 0.0, size.estimate, size.estimate), "mm")
    if abs(up + down) < 0.5 * 10.0**-FINEST:
        return f"{nominal} ±{_deviation(up)}"
    return f"{nominal} {_signed(up)}/{_signed(down)}"


def _signed(deviation: float) -> str:
    text = _deviation(abs(deviation))
    return text if text == "0" else f"{'+' if deviation > 0 else MINUS}{text}"


def _deviation(size: float) -> str:
    """Return a deviation with three decimals, four where it has half micrometres; 0 alone."""
    rounded = round(size, FINEST)
    if rounded == 0:
        return "0"
    return f"{rounded:.{MEASURED if rounded == round(size, MEASURED) else FINEST}f}"


def head_text(column: Column) -> str:
    """Return a column's head with its unit."""
    return f"{column.label} [{column.unit}]" if column.unit else column.label


def value_text(one: Settled) -> str:
    """Return what a parameter is set to."""
    bound = one.bound
    if bound.rows:
        return f"{len(bound.rows)} row{'' if len(bound.rows) == 1 else 's'}"
    if isinstance(one.summary, Limits):
        return f"{limits_text(one.summary)}{'' if bound.unit in ('', '°') else ' '}{bound.unit}"
    return show(bound.summary, bound.unit) if bound.summary is not None else bound.stated


def stated_text(one: Settled) -> str:
    """Return how a parameter was written, where that says more than its value does."""
    return "" if one.how == DEFAULT or one.bound.stated in ("", value_text(one)) else one.bound.stated


def comes_from(sheet: Sheet, grid: Grid) -> tuple[Shared, ...]:
    """Return the columns of a table that come from the same parameters, with those parameters; usual ones left out."""
    known = sheet.parameters
    found: dict[tuple[str, ...], list[Column]] = {}
    for column in grid.columns:
        names = tuple(dict.fromkeys(entry_name(one) for one in column.of if entry_name(one) in known))
        decided = tuple(name for name in names if known[name].how != DEFAULT)
        if decided:
            found.setdefault(decided, []).append(column)
    return tuple((tuple(columns), tuple(known[name] for name in names)) for names, columns in found.items())


def free(sheet: Sheet) -> tuple[tuple[Settled, str], ...]:
    """Return the parameters for whose number no ground speaks, with the rows that this is true of, if not of all."""
    found = []
    for one in sheet.parameters.values():
        rows = [row for share in one.shares if not share.grounds for row in share.rows]
        if one.how in (FREE, PARTLY):
            found.append((one, ", ".join(rows) if one.how == PARTLY else ""))
    return tuple(found)
