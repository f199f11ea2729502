"""Commands that answer: rank, compare, calculate."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.table import Column, Table

from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook, Item
from ledger.cli.place import HERE, AsJson, Folder, find
from ledger.entries.models import Calculation
from ledger.errors import Fault, FaultsFound
from ledger.weighing.values import NONE, Standing, Weighing

console = Console(highlight=False)
LONGEST_TABLE = 10


def rank(folder: Folder = HERE, as_json: AsJson = False) -> None:
    """Rank the rivals of every question."""
    casebook = open_casebook(find(folder).root)
    if as_json:
        print(
            json.dumps(
                {ref: _weighing_json(one) for ref, one in casebook.weighings.items()}, ensure_ascii=False, indent=2
            )
        )
        return
    for ref, weighing in casebook.weighings.items():
        console.print(f"\n[bold]{_safe(casebook.entries[ref].title)}[/]  [dim]{ref}[/]")
        console.print(_standings(casebook, weighing))
    _findings(casebook)


def compare(
    question: Annotated[str, typer.Argument(help="A question, such as `forks` or `questions/forks`.")],
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Set the rivals of one question side by side, with every note and number."""
    casebook = open_casebook(find(folder).root)
    ref = question if "/" in question else f"questions/{question}"
    item = _find(casebook, ref, "question")
    weighing = casebook.weighings.get(ref)
    if weighing is None:
        messages = [finding.message for finding in casebook.findings if ref in finding.about]
        raise FaultsFound(
            [Fault(ref, 0, "", "a question that cannot be weighed", "rivals to weigh", " ".join(messages))]
        )
    if as_json:
        print(json.dumps(_weighing_json(weighing), ensure_ascii=False, indent=2))
        return
    console.print(f"[bold]{_safe(item.title)}[/]")
    console.print(_standings(casebook, weighing))
    console.print(_weights(casebook, weighing))
    console.print(_numbers(casebook, weighing))
    account = weighing.account
    console.print(
        f"\n[bold]Account[/]: {_title(casebook, account.leader)} over {_title(casebook, account.runner_up)}, "
        f"{account.total:+.1f} decibans, made up of"
    )
    for line in account.lines:
        console.print(f"  {line.decibans:+7.2f}  {line.part}{f'  {line.ref}' if line.ref else ''}", markup=False)


def calculate(
    calculator: Annotated[str, typer.Argument(help="A calculator, such as `axial-length`.")],
    inputs: Annotated[
        list[str] | None,
        typer.Argument(help="Inputs as name=value with units; a table as name=@file.csv.", metavar="NAME=VALUE …"),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Run a calculator with inputs given here, for instance `power='520 ± 10 kW'`."""
    from ledger.calculators.adhoc import run_adhoc
    from ledger.quantities.summary import show

    declared, result = run_adhoc(calculator, inputs or [], Path.cwd())
    if as_json:
        print(json.dumps(asdict(result), ensure_ascii=False, indent=2))
        return
    console.print(f"[bold]{_safe(declared.title)}[/]\n{_safe(declared.purpose)}\n")
    table = Table("input", "value", "from")
    for bound in result.inputs:
        value = show(bound.summary, bound.unit) if bound.summary else bound.stated or f"{len(bound.rows)} rows"
        value = {"True": "yes", "False": "no"}.get(value, value)
        table.add_row(_safe(bound.label), _safe(value), bound.ground)
    console.print(table)
    table = Table("result", "value", "95 % interval")
    for outcome in result.outcomes:
        if outcome.summary is not None:
            low, high = outcome.summary.low, outcome.summary.high
            interval = f"{low:.4g} … {high:.4g} {outcome.unit}".rstrip() if high > low else "exact"
            table.add_row(_safe(outcome.label), _safe(show(outcome.summary, outcome.unit)), interval)
        elif outcome.chance is not None:
            table.add_row(_safe(outcome.label), _chance(outcome.chance), "")
        elif outcome.form == "text":
            table.add_row(_safe(outcome.label), _safe(str(outcome.value)), "")
    console.print(table)
    for outcome in result.outcomes:
        if outcome.form == "rows" and outcome.value:
            if len(outcome.value) <= LONGEST_TABLE:
                console.print(_rows(outcome.label, outcome.value))
            else:
                console.print(f"{outcome.label}: {len(outcome.value)} rows; `--json` prints them.", markup=False)
    for heading, lines in (
        ("Sources", declared.sources),
        ("Assumptions", declared.assumptions),
        ("Cautions", declared.cautions),
    ):
        console.print(f"[bold]{heading}[/]")
        for line in lines:
            console.print(f"  - {_safe(line)}")


def _rows(label: str, rows: Any) -> Table:
    from ledger.quantities.summary import Summary, show

    table = Table(*rows[0], title=_safe(label), title_justify="left")
    for row in rows:
        table.add_row(*(_safe(show(cell, "") if isinstance(cell, Summary) else str(cell)) for cell in row.values()))
    return table


def _chance(chance: float) -> str:
    return {0.0: "no", 1.0: "yes"}.get(chance, f"in {chance:.0%} of draws")


def _standings(casebook: Casebook, weighing: Weighing) -> Table:
    table = Table("", "rival", "confidence", "prior", "judged", "buildable")
    for place, standing in enumerate(weighing.standings, 1):
        table.add_row(
            str(place),
            _title(casebook, standing.rival) + ("  [bold](leads)[/]" if standing.rival == weighing.leader else ""),
            f"{standing.confidence:.1%}",
            f"{standing.prior:.0%}",
            f"{standing.judged} of {standing.notes}",
            _buildable(casebook, standing),
        )
    return table


def _buildable(casebook: Casebook, standing: Standing) -> str:
    if standing.rival == NONE:
        return ""
    if standing.rival not in casebook.feasibility:
        return "no criterion" if standing.tested else "untested"
    return f"{casebook.feasibility[standing.rival]:.0%} of draws"


def _weights(casebook: Casebook, weighing: Weighing) -> Table:
    rivals = [standing.rival for standing in weighing.standings]
    table = Table(Column("weight in decibans", no_wrap=True), *(rival.split("/")[-1] for rival in rivals))
    for ref in sorted(weighing.weights, key=lambda one: -max(abs(weight) for weight in weighing.weights[one].values())):
        table.add_row(_safe(ref), *(f"{weighing.weights[ref][rival]:+.1f}" for rival in rivals))
    return table


def _numbers(casebook: Casebook, weighing: Weighing) -> Table:
    table = Table(Column("calculation", no_wrap=True), "tests", "limit", "kept")
    rivals = {standing.rival for standing in weighing.standings}
    for ref, result in casebook.results.items():
        entry = casebook.entries[ref].entry
        tested = [rival for rival in entry.hypotheses if rival in rivals] if isinstance(entry, Calculation) else []
        for kept in result.kept if tested else ():
            table.add_row(
                ref.split("/")[-1],
                ", ".join(rival.split("/")[-1] for rival in tested),
                _safe(f"{kept.output} {kept.limit}"),
                f"{kept.chance:.0%} of draws",
            )
    return table


def _findings(casebook: Casebook) -> None:
    for finding in casebook.findings:
        console.print(f"[yellow]look at[/] {_safe(finding.message)}")


def _title(casebook: Casebook, rival: str) -> str:
    return "None of these" if rival == NONE else _safe(casebook.entries[rival].title)


def _find(casebook: Casebook, ref: str, kind: str) -> Item:
    item = casebook.entries.get(ref)
    if item is None or item.kind != kind:
        known = ", ".join(one.ref for one in casebook.of_kind(kind)) or "none yet"
        raise FaultsFound([Fault(ref, 0, "", f"no standing {kind} of that name", f"a {kind}", f"There are: {known}.")])
    return item


def _weighing_json(weighing: Weighing) -> dict[str, Any]:
    return {
        "leader": weighing.leader,
        "standings": [asdict(standing) for standing in weighing.standings],
        "account": asdict(weighing.account),
        "weights": {ref: dict(weights) for ref, weights in weighing.weights.items()},
    }


def _safe(text: str) -> str:
    from rich.markup import escape

    return escape(text)
