"""What holds of every section of the build sheet, whatever is decided."""

from __future__ import annotations

import inspect
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from ledger.building.contract import entry_name
from ledger.building.sections.register import SECTIONS, parameters
from ledger.building.sheet import build_sheet
from ledger.building.telling.files import sheet_files
from ledger.building.values import Grid, Sheet
from ledger.calculators.contract import Choice, Number, Rows, Text, Whole
from ledger.handing.as_csv import safe
from tests.sheets import decision, opened
from tests.whole_sheet import OTHERWISE, WHOLE, fixes

# These gather what the sections above made, and say row by row what each comes from or stand beside it.
GATHERED = ("least_features", "other_processes", "full_size", "parts")
DECLARED = {
    (table.name, column.name): tuple(entry_name(one) for one in column.of)
    for section in SECTIONS
    for table in section.tables
    for column in table.columns
}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Sheet:
    return build_sheet(opened(tmp_path_factory.mktemp("whole"), {"decisions/model": decision(fixes(WHOLE))}))


def numbers(sheet: Sheet) -> dict[tuple[str, str], list[Any]]:
    """Return the cells of every column, by table and column."""
    found: dict[tuple[str, str], list[Any]] = {}
    for chapter in sheet.chapters:
        for grid in chapter.tables:
            for place, column in enumerate(grid.columns):
                found.setdefault((table_of(grid), column.name), []).extend(row[place] for row in grid.rows)
    return found


def table_of(grid: Grid) -> str:
    """Return the declared name of a table, also of a divided one."""
    names = [table.name for section in SECTIONS for table in section.tables]
    return next(name for name in sorted(names, key=len, reverse=True) if grid.name.startswith(entry_name(name)))


def test_every_section_is_in_use_here_and_nothing_is_in_the_way(whole: Sheet) -> None:
    """So that what the other tests say is said of all of them."""
    assert [one.section.name for one in whole.chapters] == [one.name for one in SECTIONS]
    assert whole.wrong == ()
    assert whole.undecided == ()
    assert set(WHOLE) == set(OTHERWISE) == set(parameters())


@pytest.mark.parametrize("section", SECTIONS, ids=lambda one: one.name)
def test_a_section_takes_what_it_declares(section: Any) -> None:
    """Its computation has a place for each parameter and for what it uses, and no other without a default."""
    signature = inspect.signature(section.compute)
    named = {one.name for one in section.parameters} | set(section.uses)
    loose = any(one.kind is inspect.Parameter.VAR_KEYWORD for one in signature.parameters.values())
    asked = {name for name, one in signature.parameters.items() if one.kind is not inspect.Parameter.VAR_KEYWORD}
    assert asked <= named
    assert loose or asked == named


@pytest.mark.parametrize("section", SECTIONS, ids=lambda one: one.name)
def test_a_section_says_of_itself_what_people_ask(section: Any) -> None:
    """A label for each parameter and column, a formula, sources and assumptions; what is wanted is a parameter."""
    assert section.purpose.endswith(".")
    assert section.formula
    assert section.sources
    assert section.assumptions
    assert set(section.wanted) <= {one.name for one in section.parameters}
    for one in section.parameters:
        assert isinstance(one, Choice | Number | Rows | Text | Whole)
        assert one.label[0].isupper()
    for table in section.tables:
        assert len({column.name for column in table.columns}) == len(table.columns)
        assert all(column.label for column in table.columns)


def test_names_are_names_once() -> None:
    """No two sections declare one parameter, table or section name, and uses lead upward."""
    listed = [entry_name(one.name) for section in SECTIONS for one in section.parameters]
    assert len(set(listed)) == len(listed)
    tables = [table.name for section in SECTIONS for table in section.tables]
    assert len(set(tables)) == len(tables)
    assert len({section.name for section in SECTIONS}) == len(SECTIONS)


def test_columns_come_from_parameters_of_their_section_or_above() -> None:
    """And nothing comes from what is computed later."""
    above: set[str] = set()
    for section in SECTIONS:
        above |= {one.name for one in section.parameters}
        for table in section.tables:
            for column in table.columns:
                assert set(column.of) <= above, (section.name, table.name, column.name)


@pytest.mark.parametrize("name", sorted(OTHERWISE))
def test_a_number_that_a_parameter_changes_names_it(name: str, whole: Sheet, tmp_path: Path) -> None:
    """Every parameter changes something, and whatever column it changes says that it comes from it."""
    with_it = {
        **({name.replace("turn", "spread"): "part of a turn"} if name.endswith("-turn") else {}),
        **({name.replace("order", "moves"): "2"} if name.endswith("-order") else {}),
    }
    base = sheet_with(tmp_path / "before", with_it) if with_it else whole
    sheet = sheet_with(tmp_path / "after", {**with_it, name: OTHERWISE[name]})
    assert (numbers(base), problems(base)) != (numbers(sheet), problems(sheet))
    assert unnamed(name, base, sheet, DECLARED) == []


def test_a_column_that_names_too_little_is_found(whole: Sheet, tmp_path: Path) -> None:
    """Without the module among what the tip diameter comes from, another module gives it away."""
    sheet = sheet_with(tmp_path, {"gear-module": OTHERWISE["gear-module"]})
    place = ("gear_wheels", "tip")
    forgetful = tuple(one for one in DECLARED[place] if one != "gear-module")
    assert unnamed("gear-module", whole, sheet, {**DECLARED, place: forgetful}) == [place]


def sheet_with(folder: Path, more: Mapping[str, Any]) -> Sheet:
    """Return the sheet of the whole model with some parameters fixed otherwise."""
    return build_sheet(opened(folder, {"decisions/model": decision(fixes({**WHOLE, **more}))}))


def problems(sheet: Sheet) -> list[str]:
    """Return all that the sheet says of problems."""
    return [one.said for chapter in sheet.chapters for one in chapter.problems]


def unnamed(name: str, before: Sheet, after: Sheet, declared: Mapping[tuple[str, str], tuple[str, ...]]) -> list[Any]:
    """Return the columns that differ and do not say that they come from a parameter."""
    was, now = numbers(before), numbers(after)
    return sorted(
        place
        for place in was.keys() | now.keys()
        if was.get(place) != now.get(place)
        and place[0] not in GATHERED
        and not _is_key(place)
        and name not in declared[place]
    )


def _is_key(place: tuple[str, str]) -> bool:
    """Whether a column says what its rows are about, or how something is called."""
    table = next(one for section in SECTIONS for one in section.tables if one.name == place[0])
    return place[1] in [column.name for column in table.columns[: table.keys]] or place[1] == "file"


def test_the_same_decisions_give_the_same_bytes(tmp_path: Path) -> None:
    """Page, tables and drawings, from two ledgers posted apart."""
    files = {"decisions/model": decision(fixes(WHOLE))}
    made = []
    for place in ("one", "two"):
        casebook = opened(tmp_path / place, files)
        made.append(sheet_files(casebook, build_sheet(casebook), safe))
    assert made[0] == made[1]
