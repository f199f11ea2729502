"""Small investigations whose decisions fix a model, for tests of the build sheet. All of it is invented."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from ledger.building.deciding.fixes import check_fixes
from ledger.building.sheet import build_sheet
from ledger.building.values import Grid, Sheet
from ledger.calculators.declared import check_calculations
from ledger.calculators.register import REGISTER
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.quantities.summary import Summary
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.ledger_files import SMALL, put

AT = "2031-05-17T09:00:00Z"
DRAWS = 400

PAIR = """
  scale: 0.3
  process: cut from metal
  gear-module: 1.5 mm
  centre-distance: 54 mm
  gear-shifts: none on the driving wheel
  gear-pairs:
    - {gear: first, driver: 19, driven: 53}
"""
# A latch of a lock: a drum with one track, and nothing that has teeth.
LATCH = """
  scale: 2
  process: printed from resin
  drum-tracks:
    - {track: bolt, stands: "0 + 0"}
  drum-travel: 6 mm
  drum-pin: 3 mm
  drum-depth: 2 mm
  drum-diameter: 30 mm
  drum-law: harmonic
  drum-dwell: 0.25
"""


def decision(fixes: str, grounds: str = "measurements/hub-width", title: str = "T", taken: str = "2031-06-01") -> str:
    """Return a decision's file; `fixes` is the block under that field."""
    listed = "".join(f"\n  - {ground}" for ground in grounds.split())
    return (
        f"---\nkind: decision\ntitle: {title}\nchoice: So it is\ngrounds:{listed}\ntaken: {taken}\nfixes:{fixes}---\n"
    )


def investigation(folder: Path, files: Mapping[str, str], checked: bool = True, at: str = AT) -> Path:
    """Lay out a small ledger with these files besides, posted; return its folder. FaultsFound as posting has it.

    checked  whether what decisions fix is; a ledger of an older program may have what is a fault today
    """
    put(folder / "entries", {**SMALL, **files})
    store = open_store(folder / "witness.sqlite")
    post(
        store,
        folder / "entries",
        at,
        lambda documents, changed: [
            *check_calculations(REGISTER, documents, changed),
            *(check_fixes(REGISTER, documents, changed) if checked else ()),
        ],
    )
    return folder


def opened(folder: Path, files: Mapping[str, str], at: str = AT) -> Casebook:
    """Return the casebook of a small ledger with these files, posted at a time."""
    return open_casebook(investigation(folder, files, at=at), count=DRAWS)


def sheet_of(folder: Path, fixes: str, files: Mapping[str, str] | None = None, **more: str) -> Sheet:
    """Return the sheet of one decision that fixes this."""
    return build_sheet(opened(folder, {"decisions/model": decision(fixes, **more), **(files or {})}))


def grid(sheet: Sheet, name: str) -> Grid:
    """Return a table of the sheet by its name."""
    return next(one for chapter in sheet.chapters for one in chapter.tables if one.name == name)


def cell(sheet: Sheet, name: str, row: str, column: str) -> Summary | str:
    """Return a cell by table, the words that its row begins with, and column."""
    table = grid(sheet, name)
    place = [one.name for one in table.columns].index(column)
    return next(one[place] for one in table.rows if one[0] == row)


def number(sheet: Sheet, name: str, row: str, column: str) -> float:
    """Return the estimate of such a cell."""
    found = cell(sheet, name, row, column)
    assert isinstance(found, Summary)
    return found.estimate


def said(sheet: Sheet) -> str:
    """Return all that the sheet says of problems, what is refused among them."""
    problems = [problem.said for chapter in sheet.chapters for problem in chapter.problems]
    return " | ".join([*(chapter.refused for chapter in sheet.chapters), *problems])
