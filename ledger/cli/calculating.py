"""Commands about calculators: calculators, calculate."""

from __future__ import annotations

import json
import os
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.markdown import Markdown
from rich.markup import escape
from rich.table import Column, Table

from ledger.cli.place import HERE, AsJson, Folder, find
from ledger.cli.telling import Terminal, errors, whole
from ledger.errors import Fault, FaultsFound

console = Terminal(highlight=False)


def calculators(
    name: Annotated[
        str | None, typer.Argument(help="A calculator to explain; without it, all are listed.", metavar="NAME")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List the calculators, or explain one: inputs, outputs, formula, sources, assumptions, cautions."""
    from ledger.calculators.adhoc import known

    if name is None:
        from ledger.calculators.register import CALCULATORS

        if as_json:
            print(json.dumps({one.name: one.purpose for one in CALCULATORS}, ensure_ascii=False, indent=2))
            return
        table = Table(Column("calculator", no_wrap=True), "what it computes")
        for one in CALCULATORS:
            table.add_row(one.name, escape(one.purpose))
        console.print(table)
        return
    declared = known(name)
    if as_json:
        print(json.dumps(_without(asdict(declared), "compute"), ensure_ascii=False, indent=2))
        return
    console.print(f"[bold]{escape(declared.title)}[/]\n{escape(declared.purpose)}\n")
    for heading, parts in (("input", declared.inputs), ("output", declared.outputs)):
        table = Table(Column(heading, no_wrap=True), "what it is", "unit", "permitted, or default")
        for part in parts:
            unit = getattr(part, "shown", None) or getattr(part, "unit", "")
            table.add_row(part.name, escape(part.label), unit, escape(_permitted(part)))
            for column in getattr(part, "columns", ()):
                table.add_row(
                    f"  {column.name}", escape(column.label), getattr(column, "unit", ""), escape(_permitted(column))
                )
        console.print(table)
    console.print(Markdown(declared.formula))
    _words(declared)


def calculate(
    calculator: Annotated[str, typer.Argument(help="A calculator, such as `axial-length`.", metavar="CALCULATOR")],
    inputs: Annotated[
        list[str] | None,
        typer.Argument(help="Inputs as name=value with units; a table as name=@file.csv.", metavar="NAME=VALUE …"),
    ] = None,
    entry: Annotated[
        str | None,
        typer.Option("--entry", metavar="NAME", help="Also write the calculation as entries/calculations/NAME.md."),
    ] = None,
    title: Annotated[str | None, typer.Option(help="The title of that entry.")] = None,
    draws: Annotated[
        int, typer.Option(help="How many draws to make.", metavar="DRAWS", parser=whole(100, 1_000_000))
    ] = 10_000,
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Run a calculator with inputs given here, for instance `torque='500 ± 20 N·m'`."""
    from ledger.calculators.adhoc import front_of, run_adhoc
    from ledger.cli.results import print_result

    declared, given, result = run_adhoc(calculator, inputs or [], Path.cwd(), draws)
    if entry is not None:
        _write_entry(folder, entry, front_of(declared, given, title or declared.title))
    if as_json:
        print(json.dumps(asdict(result), ensure_ascii=False, indent=2))
        return
    console.print(f"[bold]{escape(declared.title)}[/]\n{escape(declared.purpose)}\n")
    print_result(result)
    _words(declared)


def _write_entry(folder: Path, name: str, front: dict[str, Any]) -> None:
    from ledger.entries.reading import read_text
    from ledger.entries.writing import write

    place = find(folder)
    file = place.entries / "calculations" / f"{name}.md"
    if os.path.lexists(file):
        remedy = "Choose another name, or edit that file."
        raise FaultsFound([Fault(str(file), 0, "", "a file that is there already", "a name that is free", remedy)])
    text = write(front, "\n")
    read_text(text, "calculations", name)
    file.parent.mkdir(parents=True, exist_ok=True)
    with file.open("x", encoding="utf-8") as new:
        new.write(text)
    errors.print(f"Written: {file}. Say there what it tests, and post it.", markup=False)


def _permitted(part: Any) -> str:
    words = []
    if getattr(part, "options", None):
        words.append(", ".join(part.options))
    low, high = getattr(part, "low", None), getattr(part, "high", None)
    if low is not None and high is not None and (low, high) != (float("-inf"), float("inf")):
        words.append(f"{'above ' if getattr(part, 'above', False) else ''}{low:g} to {high:g}")
    if getattr(part, "default", None) is not None:
        words.append(f"default {part.default}")
    if getattr(part, "optional", False):
        words.append("optional")
    return "; ".join(words)


def _words(declared: Any) -> None:
    for heading, lines in (
        ("Sources", declared.sources),
        ("Assumptions", declared.assumptions),
        ("Cautions", declared.cautions),
    ):
        console.print(f"[bold]{heading}[/]")
        for line in lines:
            console.print(f"  - {escape(line)}")


def _without(declared: dict[str, Any], key: str) -> dict[str, Any]:
    return {name: value for name, value in declared.items() if name != key}
