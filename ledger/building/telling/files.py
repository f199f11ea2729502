"""Every file of the sheet by name: the page, the tables, the drawings."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.building.drawings.profiles import to_dxf, to_svg
from ledger.building.telling.markdown import TAKE_AGAIN, markdown
from ledger.building.telling.tables import Tame, column_frame, csv, frame, parameter_frame
from ledger.building.values import Sheet
from ledger.casebook.values import Casebook

PAGE = "sheet.md"
PARAMETERS, COLUMNS = "parameters.csv", "columns.csv"
STALE = "take-again-first.txt"


def sheet_files(casebook: Casebook, sheet: Sheet, tame: Tame, stale: Sequence[str] = ()) -> dict[str, bytes]:
    """Return the files of a sheet by name. The same casebook gives the same bytes.

    sheet.md, one CSV a table, parameters.csv with the chain of each, columns.csv with the parameters of each column,
    and each drawing as DXF and SVG. `tame` gives words as a spreadsheet will not run them. What is `stale` of the
    decisions stands at the head of the page, and in a file of its own beside tables and drawings, which have no head.
    """
    page = markdown(casebook, sheet, stale).encode()
    made = {PAGE: page, **table_files(casebook, sheet, tame), **drawing_files(sheet)}
    if stale:
        made[STALE] = "\n".join((TAKE_AGAIN, *stale, "")).encode()
    return made


def table_files(casebook: Casebook, sheet: Sheet, tame: Tame) -> dict[str, bytes]:
    """Return the tables as CSV by name."""
    made = {f"{grid.name}.csv": csv(frame(grid), tame) for chapter in sheet.chapters for grid in chapter.tables}
    made[PARAMETERS] = csv(parameter_frame(casebook, sheet), tame)
    made[COLUMNS] = csv(column_frame(sheet), tame)
    return made


def drawing_files(sheet: Sheet) -> dict[str, bytes]:
    """Return the drawings as DXF and SVG by name."""
    made: dict[str, bytes] = {}
    for sketch in sheet.sketches:
        made[f"{sketch.name}.dxf"] = to_dxf(sketch.fine)
        made[f"{sketch.name}.svg"] = to_svg(sketch.fine).encode()
    return made
