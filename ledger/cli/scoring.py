"""The command that keeps score: what was said beforehand, held against what came true."""

from __future__ import annotations

import json
from dataclasses import asdict
from math import isfinite
from typing import Any

from rich.markup import escape
from rich.table import Column, Table

from ledger.casebook import scores as keeping
from ledger.casebook.foretelling import Pool
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.cli.place import HERE, AsJson, Folder, find
from ledger.cli.telling import Terminal
from ledger.entries.models import NONE_OF_THESE
from ledger.publishing.scoring import bits, name
from ledger.quantities import percents

console = Terminal(highlight=False)


def scores(folder: Folder = HERE, as_json: AsJson = False) -> None:
    """Score forecasts, the ledger's and its readers', by what came true: by forecaster, and question by question."""
    casebook = open_casebook(find(folder).root)
    found = keeping.scores(casebook)
    if as_json:
        print(json.dumps(_json(found), ensure_ascii=False, indent=2, allow_nan=False))
        return
    if not found.answered:
        console.print("No question is resolved yet: write `resolved:` into one when its answer is known.", markup=False)
    else:
        console.print(_forecasters(found))
        for one in found.answered:
            console.print(f"\n[bold]{_title(casebook, one.question)}[/]  [dim]{one.question}[/]")
            console.print(f"It was {_title(casebook, one.resolved.answer)}, known {one.resolved.date}.")
            if one.unforetold:
                console.print(f"The ledger has no forecast of it: {escape(one.unforetold)}.")
            for ref in one.late:
                console.print(f"  not counted  {escape(ref)}: dated before, but posted after the answer was.")
            for each in one.judged:
                when = f", {each.forecast.date}" if each.forecast.kind in ("ledger", "author", "reader") else ""
                console.print(
                    f"  {percents.chance(each.share):>11}  {escape(name(each.forecast.kind, each.forecast.name))}{when}"
                )
    for question, pool in found.readers.items():
        console.print(f"\n[bold]{_title(casebook, question)}[/]: {pool.people} of its readers stated confidences")
        console.print(_pooled(casebook, pool))


def _forecasters(found: keeping.Scores) -> Table:
    right = [Column(head, justify="right") for head in ("questions", "Brier, 0…2", "ledger there", "mean yes-or-no")]
    table = Table("forecaster", *right, "bits")
    for one in found.forecasters:
        table.add_row(
            escape(name(one.kind, one.name)),
            str(one.questions),
            f"{one.brier:.3f}",
            "–" if one.ledger is None else f"{one.ledger:.3f}",
            f"{one.half:.3f}",
            bits(one.bits, one.forecasts),
        )
    return table


def _pooled(casebook: Casebook, pool: Pool) -> Table:
    table = Table("rival", Column("linear pool", justify="right"), Column("logarithmic pool", justify="right"))
    for rival, share in pool.linear.items():
        beside = "–" if pool.logarithmic is None else percents.chance(pool.logarithmic[rival])
        table.add_row(_title(casebook, rival), percents.chance(share), beside)
    return table


def _title(casebook: Casebook, ref: str) -> str:
    if ref == NONE_OF_THESE:
        return "None of these"
    item = casebook.entries.get(ref) or casebook.withdrawn.get(ref)
    return escape(item.title if item is not None else ref)


def _json(found: keeping.Scores) -> dict[str, Any]:
    return {
        "forecasters": [_finite(asdict(one)) for one in found.forecasters],
        "answered": [
            {
                "question": one.question,
                "answer": one.resolved.answer,
                "date": one.resolved.date,
                "unforetold": one.unforetold,
                "late": list(one.late),
                "forecasts": [_finite(asdict(each)) for each in one.judged],
            }
            for one in found.answered
        ],
        "pools": {question: asdict(pool) for question, pool in found.pools.items()},
        "readers": {question: asdict(pool) for question, pool in found.readers.items()},
    }


def _finite(value: Any) -> Any:
    """Return values in which an infinite score is the word for it: JSON has no such number."""
    if isinstance(value, dict):
        return {key: _finite(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(one) for one in value]
    return "infinite" if isinstance(value, float) and not isfinite(value) else value
