"""What standing decisions fix, put together: one value or one table for each parameter."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from ledger.calculators.contract import Input, Number, Rows
from ledger.entries.models import Decision
from ledger.entries.parts import Fixed, Given, Taken
from ledger.quantities.notation import NotationError, parse

REASON = "decided"


@dataclass(frozen=True)
class Share:
    """What one decision has in a parameter.

    rows     the words that its rows begin with, if rows
    grounds  refs of what the number is taken from or stands on; none where it was chosen freely
    """

    decision: str
    rows: tuple[str, ...]
    grounds: tuple[str, ...]


class Shared:
    """Whatever decisions have shares in."""

    shares: tuple[Share, ...]

    @property
    def decisions(self) -> tuple[str, ...]:
        """Return the refs of the decisions that fix it."""
        return tuple(dict.fromkeys(one.decision for one in self.shares))

    @property
    def grounds(self) -> tuple[str, ...]:
        """Return the refs of what it is taken from or stands on."""
        return tuple(dict.fromkeys(ref for one in self.shares for ref in one.grounds))


@dataclass(frozen=True)
class Settlement(Shared):
    """What one parameter is fixed to, and which decisions have what share in it."""

    given: Given
    shares: tuple[Share, ...]


@dataclass(frozen=True)
class Conflict:
    """Two decisions that fix one parameter differently; `row` names the row, where only rows conflict."""

    name: str
    row: str
    decision: str
    other: str


def put_together(
    decisions: Iterable[tuple[str, Decision]], known: Mapping[str, Input]
) -> tuple[dict[str, Settlement], list[Conflict]]:
    """Return what is fixed by parameter name, and the conflicts. Unknown parameters are passed over.

    Decisions count in the order they were taken. Rows of several decisions are put together where no two of them begin
    with the same words; of a conflict the earlier decision stands.
    """
    found: dict[str, Settlement] = {}
    conflicts: list[Conflict] = []
    for ref, decision in sorted(decisions, key=lambda one: (one[1].taken, one[0])):
        for name, fixed in decision.fixes.items():
            if name not in known:
                continue
            new = Settlement(given_of(fixed), (Share(ref, _keys(fixed, known[name]), _grounds(fixed)),))
            had = found.get(name)
            if had is None:
                found[name] = new
                continue
            joined = _joined(had, new, known[name])
            if isinstance(joined, str):
                other = next((one.decision for one in had.shares if joined in one.rows), had.decisions[0])
                conflicts.append(Conflict(name, joined, ref, other))
            else:
                found[name] = joined
    return found, conflicts


def given_of(fixed: Fixed) -> Given:
    """Return a fixed parameter as an input is given; the decision is its reason."""
    return Given.model_construct(
        value=fixed.value,
        chosen=None,
        measurement=fixed.measurement,
        calculation=fixed.calculation,
        output=fixed.output,
        rows=fixed.rows,
        reason=REASON,
    )


def _joined(had: Settlement, new: Settlement, declared: Input) -> Settlement | str:
    """Return both together, or the name of the row in conflict ("" for a single value)."""
    if _same(had.given, new.given, declared):
        return replace(had, shares=(*had.shares, *new.shares))
    if had.given.rows is None or new.given.rows is None:
        return ""
    taken = {key for one in had.shares for key in one.rows}
    twice = [key for one in new.shares for key in one.rows if key in taken]
    if twice:
        return twice[0]
    rows = had.given.model_copy(update={"rows": [*had.given.rows, *new.given.rows]})
    return Settlement(rows, (*had.shares, *new.shares))


def _keys(fixed: Fixed, declared: Input) -> tuple[str, ...]:
    """Return the words that rows begin with, each once."""
    if fixed.rows is None or not isinstance(declared, Rows):
        return ()
    first = declared.columns[0].name
    return tuple(dict.fromkeys(str(row[first]) for row in fixed.rows if first in row))


def _grounds(fixed: Fixed) -> tuple[str, ...]:
    """Return what a parameter is taken from, then the grounds stated beside it."""
    cells = [cell for row in fixed.rows or [] for cell in row.values() if isinstance(cell, Taken)]
    taken = [fixed.measurement or fixed.calculation, *(cell.measurement or cell.calculation for cell in cells)]
    return tuple(dict.fromkeys(str(one) for one in (*taken, *fixed.grounds) if one is not None))


def _same(one: Given, other: Given, declared: Input) -> bool:
    if one == other:
        return True
    unit = declared.unit if isinstance(declared, Number) else ""
    return one.value is not None and other.value is not None and _read(one.value, unit) == _read(other.value, unit)


def _read(value: Any, unit: str) -> Any:
    """Return a value such that those that mean the same are equal: `5.4 cm` is `54 mm`."""
    if isinstance(value, bool):
        return value
    try:
        quantity = parse(value).to(unit)
    except NotationError:
        return value
    return quantity.shape, tuple(round(number, 9) for number in quantity.numbers)
