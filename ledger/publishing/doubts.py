"""Which doubt matters: the roots of a result's doubt, and what halving each would buy."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from ledger.calculators.contract import Calculator, Rows
from ledger.calculators.results import Result, Share
from ledger.casebook.values import Casebook
from ledger.publishing.addresses import Link, Ways
from ledger.publishing.figures import half_width, plain_label
from ledger.quantities import percents
from ledger.quantities.summary import Summary

MOST = 6


@dataclass(frozen=True)
class Doubt:
    """One root: where its doubt is stated, its share, and what would be left if it were halved."""

    root: Link
    beside: Link | None
    share: str
    left: str
    chance: str


@dataclass(frozen=True)
class Doubts:
    """The roots that matter most to one output. `now` is its half-width as it stands."""

    output: str
    now: str
    rows: tuple[Doubt, ...]
    with_chance: bool


def doubts(casebook: Casebook, register: Mapping[str, Calculator], result: Result, ways: Ways) -> tuple[Doubts, ...]:
    """Return for each output whose doubt was traced the roots with the greatest shares."""
    found = []
    for name in dict.fromkeys(one.output for one in result.shares):
        outcome = result.outcome(name)
        if outcome is None or outcome.summary is None:
            continue
        shares = [one for one in result.shares if one.output == name][:MOST]
        rows = tuple(_doubt(casebook, register, result, one, outcome.summary, outcome.unit, ways) for one in shares)
        now = half_width(outcome.summary.half, outcome.unit)
        found.append(Doubts(plain_label(outcome.label), now, rows, any(one.chance is not None for one in shares)))
    return tuple(found)


def _doubt(
    casebook: Casebook,
    register: Mapping[str, Calculator],
    result: Result,
    one: Share,
    of: Summary,
    unit: str,
    ways: Ways,
) -> Doubt:
    ref, *place = one.root.split(", ")
    return Doubt(
        root=Link(_label(casebook, register, ref, place), None) if place else ways.to(ref),
        beside=ways.to(ref) if place and ref != result.ref else None,
        share=percents.chance(one.share),
        left="cannot be halved" if one.uncertainty is None else half_width(of.half_with(one.uncertainty), unit),
        chance="–" if one.chance is None else percents.chance(one.chance),
    )


def _label(casebook: Casebook, register: Mapping[str, Calculator], ref: str, place: list[str]) -> str:
    """Return the label of the input, cell or limit that states a doubt."""
    if place == ["limit of a criterion"]:
        return "the limit of a criterion"
    known = casebook.results.get(ref)
    calculator = register.get(known.calculator) if known else None
    row = re.fullmatch(r"(\S+) row (\d+)", place[0])
    name = row[1] if row else place[0]
    declared = calculator.input(name) if calculator else None
    bound = next((one for one in known.inputs if one.name == name), None) if known else None
    label = plain_label(declared.label if declared else bound.label if bound else name)
    if row is None:
        return label
    columns = declared.columns if isinstance(declared, Rows) else ()
    column = next((one.label for one in columns if one.name == place[-1]), place[-1])
    cells = bound.rows[int(row[2]) - 1] if bound and len(bound.rows) >= int(row[2]) else {}
    titled = next((str(cell) for key, cell in cells.items() if key != place[-1] and not str(cell)[:1].isdigit()), "")
    return f"{label}, row {row[2]}{f' ({titled})' if titled else ''}: {plain_label(column)}"
