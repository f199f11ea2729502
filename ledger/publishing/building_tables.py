"""Tables of the build sheet as its page shows them: what is made to first, the other numbers and the chains behind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ledger.building.contract import Column
from ledger.building.telling.words import cell_text, comes_from, head_text
from ledger.building.values import DEFAULT, Grid, Limits, Settled, Sheet
from ledger.building.values import Cell as Told
from ledger.publishing import words
from ledger.publishing.addresses import BUILDING, Link, Ways, address, parameter_at
from ledger.publishing.figures import minus, plain_label

FOLDER = "build-sheet"
MOST_ROWS = 37
DRAWINGS = ("drawing", "file")


@dataclass(frozen=True)
class From:
    """Columns whose numbers come from the same parameters; `known` is its id on the page."""

    known: str
    columns: str
    parameters: tuple[Link, ...]
    decisions: tuple[Link, ...]


@dataclass(frozen=True)
class Cell:
    """One cell of a table: its words, with where they lead; whether it is a number, and `whole`, kept on one line."""

    links: tuple[Link, ...]
    number: bool = False
    whole: bool = False


@dataclass(frozen=True)
class Block:
    """Some columns of a table, the first `keys` of them saying what a row is about."""

    heads: tuple[str, ...]
    keys: int
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True)
class Shown:
    """A table as the page shows it.

    told     how many rows it has, and of how many they are some, in words
    made     the columns that a part is made to or put by; `behind` the others, None if there are none
    decided  the decisions that all of its numbers come from, where they are the same for all
    """

    title: str
    told: str
    made: Block
    behind: Block | None
    csv: Link
    decided: tuple[Link, ...]
    sources: tuple[From, ...]


def shown(sheet: Sheet, grid: Grid, ways: Ways) -> Shown:
    """Return a table with links from its numbers to what they come from; of a long one some rows, evenly."""
    sources, leads = list[From](), dict[str, str | None]()
    shared = comes_from(sheet, grid)
    for place, (columns, settled) in enumerate(shared, 1):
        known = f"{grid.name}-from-{place}"
        decisions = _decisions(settled)
        lead = ways.to(decisions[0]).href if len(decisions) == 1 else f"#{known}"
        leads.update({column.name: lead for column in columns})
        labels = ", ".join(plain_label(column.label) for column in columns)
        sources.append(From(known, labels, tuple(_named(one) for one in settled), links_to(decisions, ways)))
    alike = {_decisions(settled) for _, settled in shared}
    once = next(iter(alike)) if len(alike) == 1 and len(shared) > 1 else ()
    kept = _kept(len(grid.rows))
    leads = leads if len(grid.rows) <= MOST_ROWS else {}
    made = [place for place, column in enumerate(grid.columns) if place < grid.keys or not column.behind]
    others = [place for place, column in enumerate(grid.columns) if place < grid.keys or column.behind]
    rows = words.count(len(grid.rows), "row")
    return Shown(
        plain_label(grid.title),
        f"{len(kept)} of {rows}" if len(kept) < len(grid.rows) else rows,
        _block(sheet, grid, made, kept, leads, ways),
        _block(sheet, grid, others, kept, leads, ways) if len(others) > grid.keys else None,
        file_link(f"{grid.name}.csv"),
        links_to(once, ways),
        tuple(replace(one, decisions=()) if once else one for one in sources),
    )


def links_to(refs: Sequence[str], ways: Ways) -> tuple[Link, ...]:
    """Return links to entries."""
    return tuple(ways.to(ref) for ref in refs)


def file_link(name: str) -> Link:
    """Return a link to a file of the sheet."""
    return Link(name, address(BUILDING, f"{FOLDER}/{name}"))


def _block(
    sheet: Sheet, grid: Grid, places: Sequence[int], kept: Sequence[int], leads: dict[str, str | None], ways: Ways
) -> Block:
    columns = [grid.columns[place] for place in places]
    rows = tuple(
        tuple(
            _cell(sheet, grid.rows[row][place], column, None if at < grid.keys else leads.get(column.name), ways)
            for at, (place, column) in enumerate(zip(places, columns, strict=True))
        )
        for row in kept
    )
    return Block(tuple(plain_label(head_text(column)) for column in columns), grid.keys, rows)


def _decisions(settled: Sequence[Settled]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(ref for one in settled for ref in one.decisions))


def _kept(count: int) -> Sequence[int]:
    """Return which rows are shown: all of a short table; of a long one some, evenly, first and last among them."""
    if count <= 3 * MOST_ROWS:
        return range(count)
    return sorted({round(place * (count - 1) / (MOST_ROWS - 1)) for place in range(MOST_ROWS)})


def _cell(sheet: Sheet, cell: Told, column: Column, lead: str | None, ways: Ways) -> Cell:
    text = cell_text(cell, column.unit)
    if text.startswith(("measurements/", "calculations/")):
        return Cell((ways.to(text.partition("#")[0]),))
    if column.name == "from":
        named = [sheet.parameters[name] for name in text.split(", ") if name in sheet.parameters]
        return Cell(tuple(_named(one) for one in named if one.how != DEFAULT))
    if column.name in DRAWINGS:
        known = {one.name for one in sheet.sketches}
        return Cell(tuple(_drawing(name, known) for name in text.split(", ")))
    link = Link(minus(text), lead if text not in ("", "–") else None)
    return Cell((link,), not isinstance(cell, str), not isinstance(cell, str | Limits))


def _drawing(name: str, known: set[str]) -> Link:
    return Link(name, file_link(f"{name}.svg").href if name in known else None)


def _named(one: Settled) -> Link:
    return Link(one.name, f"#{parameter_at(one.name)}")
