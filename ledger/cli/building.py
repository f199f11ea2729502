"""The command about the model's dimensions: build-sheet."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from rich.markup import escape
from rich.padding import Padding
from rich.table import Column, Table
from rich.text import Text

from ledger.casebook.opening import open_casebook
from ledger.cli.place import HERE, AsJson, Folder, find
from ledger.cli.telling import Terminal, computing, errors
from ledger.errors import Fault, FaultsFound
from ledger.quantities import percents

if TYPE_CHECKING:
    from ledger.building.values import Chapter, Grid, Sheet
    from ledger.casebook.values import Casebook

console = Terminal(highlight=False)
LONGEST = 40
NOTHING = "No decision fixes a parameter of the model yet. `--parameters` says what can be fixed."


def build_sheet(
    out: Annotated[
        Path | None, typer.Option("--out", help="Also write page, tables and drawings into this folder.", metavar="DIR")
    ] = None,
    parameters: Annotated[
        bool, typer.Option("--parameters", help="Say what decisions can fix, section by section, and stop.")
    ] = False,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Print the derived dimensions of the model, each with what it comes from, and what is still undecided.

    With --out: sheet.md, a CSV for each table, and DXF and SVG drawings of gears and tracks. Nothing is written while a
    part of the sheet cannot be made, and nothing is written over that was not handed out before.
    """
    if parameters:
        _print_parameters(as_json)
        return
    from ledger.building.sheet import build_sheet as made_of
    from ledger.publishing.staling import looks

    place = find(folder)
    with computing(errors, quiet=as_json) as progress:
        casebook = open_casebook(place.root, progress=progress)
    sheet, stale = made_of(casebook), looks(casebook, fixing=True)
    written = "" if out is None else _write(casebook, sheet, stale, out, place.entries)
    if as_json:
        print(json.dumps({"stale": stale, **_json(sheet)}, ensure_ascii=False, indent=2, allow_nan=False))
    else:
        _print_stale(stale)
        _print(sheet) if out is None else _print_open(sheet)
        console.print(written, markup=False, soft_wrap=True)
    if sheet.wrong or sheet.conflicts:
        raise typer.Exit(1)


def _print_stale(stale: Sequence[str]) -> None:
    from ledger.building.telling.markdown import TAKE_AGAIN

    if stale:
        console.print(f"[yellow]{TAKE_AGAIN}[/]")
        for line in stale:
            console.print(f"  {line}", markup=False)
        console.print()


def _print_parameters(as_json: bool) -> None:
    from ledger.building.contract import entry_name
    from ledger.building.sections.register import SECTIONS
    from ledger.publishing.declaring import declared

    told = {
        section.name: [replace(declared(one), name=entry_name(one.name)) for one in section.parameters]
        for section in SECTIONS
        if section.parameters
    }
    if as_json:
        listed = {name: [asdict(one) for one in ones] for name, ones in told.items()}
        print(json.dumps(listed, ensure_ascii=False, indent=2))
        return
    for section in SECTIONS:
        if section.name not in told:
            continue
        console.print(f"[bold]{escape(section.title)}[/]\n{escape(section.purpose)}")
        table = Table(Column("under `fixes`", no_wrap=True), "what it is", "unit", "may be", "otherwise")
        for one in told[section.name]:
            table.add_row(one.name, escape(one.label), one.unit, escape(one.permitted), escape(one.otherwise))
            for column in one.columns:
                table.add_row(f"  {column.name}", escape(column.label), column.unit, escape(column.permitted),
                              escape(column.otherwise))  # fmt: skip
        console.print(table)


def _write(casebook: Casebook, sheet: Sheet, stale: Sequence[str], out: Path, entries: Path) -> str:
    from ledger.building.telling.files import sheet_files
    from ledger.handing.as_csv import safe
    from ledger.handing.folder import write_out

    faults = [*_not_to_be_built(sheet)]
    if out.resolve().is_relative_to(entries.resolve()):
        remedy = "Name one beside it, such as `build-sheet`."
        faults.append(Fault(str(out), 0, "", "a folder among the entry files", "a folder of its own", remedy))
    if faults:
        raise FaultsFound(faults)
    done = write_out(out, sheet_files(casebook, sheet, safe, stale))
    return f"{len(done.written)} files written in {out}, {len(done.unchanged)} were the same."


def _not_to_be_built(sheet: Sheet) -> list[Fault]:
    """Return what stands in the way of building, each with the decisions that it comes from."""
    if not sheet.chapters:
        remedy = "Add it to a decision; `witness build-sheet --parameters` says what can be fixed."
        return [Fault("entries/decisions", 0, "fixes", "nothing fixed", "a decision that fixes a parameter", remedy)]
    faults = [
        Fault("entries/decisions", 0, "fixes", one, "one value for each parameter", "") for one in sheet.conflicts
    ]
    for section, problem in sheet.wrong:
        chapter = next(one for one in sheet.chapters if one.section.name == section)
        file, field = _place(chapter, problem.about)
        faults.append(Fault(file, 0, field, problem.about, "parts that can be made", problem.said))
    return faults


def _place(chapter: Chapter, about: str) -> tuple[str, str]:
    """Return the decision's file and the field that a problem comes from: those that give a row it speaks of."""
    for one in chapter.parameters:
        for share in one.shares:
            if any(row and row in about for row in share.rows):
                return f"entries/{share.decision}.md", f"fixes.{one.name}"
    first = next(iter(chapter.decisions), None)
    return f"entries/{first}.md" if first else "entries/decisions", f"fixes, for {chapter.section.title.lower()}"


def _print(sheet: Sheet) -> None:
    from ledger.building.telling.words import free

    if not sheet.chapters:
        console.print(NOTHING, markup=False)
        _list("In the way of building", list(sheet.conflicts))
        return
    console.print(f"[bold]Build sheet[/] of {escape(sheet.title)}\n")
    _list("Cautions", list(sheet.cautions))
    for chapter in sheet.chapters:
        _chapter(sheet, chapter)
    _print_undecided(sheet)
    _list(
        "Chosen freely: no ground speaks for the number",
        [f"{one.name} ({one.bound.label}){f': {rows}' if rows else ''}" for one, rows in free(sheet)],
    )
    _list(
        "Resting on open questions",
        [
            f"{one.hypothesis}, {'leading' if one.leads else 'not leading'} at {percents.chance(one.confidence)}: "
            + ", ".join(one.decisions)
            for one in sheet.opens
        ],
    )
    _list("In the way of building", [*sheet.conflicts, *(f"{one.about}: {one.said}" for _, one in sheet.wrong)])


def _print_open(sheet: Sheet) -> None:
    """Print of a sheet that is written the cautions and what it does not settle: what is wrong, what is undecided."""
    _list("Cautions", list(sheet.cautions))
    for one in (problem for chapter in sheet.chapters for problem in chapter.problems):
        mark = "[red]wrong[/]" if one.serious else "[yellow]look[/]"
        console.print(f"{mark} {escape(f'{one.about}: {one.said}')}")
    _print_undecided(sheet)


def _print_undecided(sheet: Sheet) -> None:
    undecided = [
        f"{one.label} ({one.name}): {'its section waits for it' if one.needed else 'nothing is made without it'}"
        + (f"; see {', '.join((*one.questions, *one.lookouts))}" if one.questions else "")
        for one in sheet.undecided
    ]
    _list("Still undecided", undecided or ["nothing that the sections in use ask for"])


def _chapter(sheet: Sheet, chapter: Chapter) -> None:
    from ledger.building.telling.words import comes_from

    console.print(f"[bold]{escape(chapter.section.title)}[/]")
    if chapter.refused:
        console.print(f"[red]Could not be computed.[/] {escape(chapter.refused)}")
    for grid in chapter.tables:
        if len(grid.rows) > LONGEST:
            console.print(f"{grid.title}: {len(grid.rows)} rows; `--out` writes them.", markup=False)
            continue
        _table(grid)
        for columns, settled in comes_from(sheet, grid):
            names = ", ".join(column.label for column in columns)
            decisions = dict.fromkeys(ref for one in settled for ref in one.decisions)
            said = f"{names}: from {', '.join(one.name for one in settled)} ({', '.join(decisions)})"
            _indented(Text(said, style="dim"), 2)
    for one in chapter.problems:
        mark = "[red]wrong[/]" if one.serious else "[yellow]look[/]"
        console.print(f"{mark} {escape(f'{one.about}: {one.said}')}")
    console.print()


def _table(grid: Grid) -> None:
    """Print a table; one that is wider than the terminal goes on its side, a row of it in each column."""
    from ledger.building.telling.words import cell_text, head_text

    heads = [head_text(column) for column in grid.columns]
    rows = [[cell_text(cell, column.unit) for cell, column in zip(row, grid.columns, strict=True)] for row in grid.rows]
    widths = [max(len(cell) for cell in (*head.split(), *cells)) for head, *cells in zip(heads, *rows, strict=True)]
    if sum(widths) + 3 * len(heads) < console.width:
        table = Table(*map(escape, heads), title=escape(grid.title), title_justify="left")
        for row in rows:
            table.add_row(*map(escape, row))
        console.print(table)
        return
    console.print(f"[italic]{escape(grid.title)}[/]")
    for row in rows:
        told = zip(heads[grid.keys :], row[grid.keys :], strict=True)
        console.print(Padding(Text(", ".join(row[: grid.keys]), style="bold"), (0, 0, 0, 2), expand=False))
        console.print(
            Padding(Text("; ".join(f"{head} {cell}" for head, cell in told if cell)), (0, 0, 0, 6), expand=False)
        )


def _indented(text: Text, by: int) -> None:
    console.print(Padding(text, (0, 0, 0, by), expand=False))


def _list(title: str, lines: list[str]) -> None:
    if lines:
        console.print(f"[bold]{escape(title)}[/]")
        for line in lines:
            _indented(Text(line), 2)
        console.print()


def _json(sheet: Sheet) -> dict[str, Any]:
    return {
        "title": sheet.title,
        "cautions": sheet.cautions,
        "sections": [
            {
                "name": one.section.name,
                "refused": one.refused,
                "parameters": [asdict(parameter) for parameter in one.parameters],
                "tables": [asdict(grid) for grid in one.tables],
                "problems": [asdict(problem) for problem in one.problems],
            }
            for one in sheet.chapters
        ],
        "undecided": [asdict(one) for one in sheet.undecided],
        "opens": [asdict(one) for one in sheet.opens],
        "conflicts": sheet.conflicts,
        "drawings": [sketch.name for sketch in sheet.sketches],
    }
