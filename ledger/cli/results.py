"""The result of a calculation, as a terminal shows it."""

from __future__ import annotations

from typing import Any

from rich.markup import escape
from rich.table import Table

from ledger.calculators.results import Result
from ledger.cli.telling import Terminal
from ledger.quantities import percents
from ledger.quantities.summary import Summary, show

console = Terminal(highlight=False)
LONGEST_TABLE = 10


def print_result(result: Result) -> None:
    """Print inputs, outcomes with their intervals, short tables, and whose doubt makes the doubt of what comes out."""
    table = Table("input", "value", "from")
    for bound in result.inputs:
        value = show(bound.summary, bound.unit) if bound.summary else bound.stated or f"{len(bound.rows)} rows"
        table.add_row(escape(bound.label), escape({"True": "yes", "False": "no"}.get(value, value)), bound.ground)
    console.print(table)
    table = Table("result", "value", "95 % interval")
    for outcome in result.outcomes:
        if outcome.summary is not None:
            low, high = outcome.summary.low, outcome.summary.high
            interval = f"{low:.4g} … {high:.4g} {outcome.unit}".rstrip() if high > low else "exact"
            value = show(outcome.summary, outcome.unit)
            if outcome.share is not None:
                value += f", {percents.draws(outcome.share)}"
            table.add_row(escape(outcome.label), escape(value), interval)
        elif outcome.chance is not None:
            table.add_row(escape(outcome.label), _chance(outcome.chance), "")
        elif outcome.form == "text":
            table.add_row(escape(outcome.label), escape(str(outcome.value)), "")
    console.print(table)
    for outcome in result.outcomes:
        if outcome.form == "rows" and isinstance(outcome.value, tuple) and outcome.value:
            if len(outcome.value) <= LONGEST_TABLE:
                console.print(_rows(outcome.label, outcome.value))
            else:
                console.print(f"{outcome.label}: {len(outcome.value)} rows; `--json` prints them.", markup=False)
    for share in result.shares:
        what = share.root.removeprefix(f"{result.ref}, ")
        of, left = result.outcome(share.output), ""
        if share.uncertainty is not None and of is not None and of.summary is not None:
            left = f"; with half its doubt ±{of.summary.half_with(share.uncertainty):.2g} would be left"
        console.print(
            f"{what} makes {percents.chance(share.share)} of the variance of {share.output}{left}", markup=False
        )


def _rows(label: str, rows: tuple[Any, ...]) -> Table:
    table = Table(*rows[0], title=escape(label), title_justify="left")
    for row in rows:
        table.add_row(*(escape(_cell(cell)) for cell in row.values()))
    return table


def _cell(value: object) -> str:
    if isinstance(value, Summary):
        return show(value, "")
    return f"{value:.5g}" if isinstance(value, float) else str(value)


def _chance(chance: float) -> str:
    return {0.0: "no", 1.0: "yes"}.get(chance) or percents.draws(chance)
