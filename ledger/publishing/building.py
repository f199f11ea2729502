"""The page of the build sheet: its tables with what their numbers come from, its drawings, its files to take away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from markupsafe import Markup

from ledger.building.chains import behind, says
from ledger.building.contract import Column, Section, Sketch, entry_name
from ledger.building.files import drawing_files, table_files
from ledger.building.sheet import build_sheet, decides
from ledger.building.telling import cell_text, comes_from, free, head_text, stated_text, value_text
from ledger.building.values import DEFAULT, FREE, PARTLY, Chapter, Grid, Settled, Sheet
from ledger.building.values import Cell as Told
from ledger.casebook.values import Casebook
from ledger.handing.as_csv import safe
from ledger.publishing import words
from ledger.publishing.addresses import BUILDING, Link, Ways, address, parameter_at
from ledger.publishing.figures import Grid as Rows
from ledger.publishing.figures import grid, minus, plain_label
from ledger.publishing.inlined import inlined
from ledger.publishing.rendering import page
from ledger.publishing.tracer import Tracer

FOLDER = "build-sheet"
MOST_ROWS, UNFOLDED, MOST_CELLS = 37, 20, 100
DRAWINGS_BY = {"gear": "gears", "drum": "drum", "disc": "disc"}


@dataclass(frozen=True)
class From:
    """Columns whose numbers come from the same parameters; `known` is its id on the page."""

    known: str
    columns: str
    parameters: tuple[Link, ...]
    decisions: tuple[Link, ...]


@dataclass(frozen=True)
class Cell:
    """One cell of a table: its words, with where they lead; `number` keeps it on one line."""

    links: tuple[Link, ...]
    number: bool


@dataclass(frozen=True)
class Shown:
    """A table as the page shows it.

    folded, thinned  how many rows it has and how many there are, in words; "" where that needs no saying
    decided          the decisions that all of its numbers come from, where they are the same for all
    """

    title: str
    heads: tuple[str, ...]
    keys: int
    rows: tuple[tuple[Cell, ...], ...]
    folded: str
    thinned: str
    csv: Link
    decided: tuple[Link, ...]
    sources: tuple[From, ...]


@dataclass(frozen=True)
class Ground:
    """What a number stands on: its entry, what that says, and what it stands on itself."""

    link: Link
    says: str
    behind: tuple[Link, ...]


@dataclass(frozen=True)
class Decided:
    """A decision's share in a parameter."""

    link: Link
    rows: str
    grounds: tuple[Ground, ...]


@dataclass(frozen=True)
class Parameter:
    """A parameter as the page shows it, with its id."""

    known: str
    name: str
    label: str
    value: str
    stated: str
    how: str
    free: bool
    shares: tuple[Decided, ...]
    grid: Rows | None


@dataclass(frozen=True)
class Drawn:
    """A drawing with its files."""

    title: str
    svg: Markup
    files: tuple[Link, ...]


@dataclass(frozen=True)
class Part:
    """One section of the page."""

    section: Section
    refused: str
    problems: tuple[tuple[str, str, bool], ...]
    tables: tuple[Shown, ...]
    drawings: tuple[Drawn, ...]
    decided: tuple[Parameter, ...]
    usual: tuple[Parameter, ...]


@dataclass(frozen=True)
class Lacking:
    """What is undecided, and what may help to decide it."""

    label: str
    name: str
    needed: bool
    helps: tuple[Link, ...]


@dataclass(frozen=True)
class Resting:
    """A hypothesis of an open question, how sure the ledger is of it, and the decisions that rest on it."""

    hypothesis: Link
    confidence: str
    leads: bool
    decisions: tuple[Link, ...]


def sheet_page(casebook: Casebook, tracer: Tracer) -> str:
    """Return the page of the build sheet as Markdown; decisions gone stale stand at its head."""
    sheet, ways = _sheet(_Same(casebook)), Ways(casebook, BUILDING)
    return page(
        "build-sheet",
        title=sheet.title,
        cautions=sheet.cautions,
        stale=tracer.flags(ways, fixing=True),
        wrong=[*sheet.conflicts, *(f"{problem.about}: {problem.said}" for _, problem in sheet.wrong)],
        undecided=tuple(_lacking(one.label, one.name, one.needed, (*one.questions, *one.lookouts), ways)
                        for one in sheet.undecided),
        opens=tuple(
            Resting(ways.to(one.hypothesis), words.chance(one.confidence), one.leads, _links(one.decisions, ways))
            for one in sheet.opens
        ),
        free=tuple((_anchor(one), rows) for one, rows in free(sheet)),
        parts=tuple(_part(casebook, sheet, chapter, ways) for chapter in sheet.chapters),
        files=tuple(_file(name) for name in ("parameters.csv", "columns.csv")),
    )  # fmt: skip


def assets(casebook: Casebook) -> dict[str, bytes]:
    """Return the sheet's tables and drawings by their path in the site; none where nothing is decided."""
    if not decides(casebook):
        return {}
    sheet = _sheet(_Same(casebook))
    made = {**table_files(casebook, sheet, safe), **drawing_files(sheet)}
    return {f"{FOLDER}/{name}": content for name, content in made.items()}


@dataclass(frozen=True, eq=False)
class _Same:
    """A casebook told from others by being itself, so that page and files are made of one sheet."""

    casebook: Casebook

    def __hash__(self) -> int:
        return id(self.casebook)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.casebook is self.casebook


@lru_cache(maxsize=1)
def _sheet(one: _Same) -> Sheet:
    return build_sheet(one.casebook)


def _part(casebook: Casebook, sheet: Sheet, chapter: Chapter, ways: Ways) -> Part:
    decided = [one for one in chapter.parameters if one.how != DEFAULT]
    sketches = [one for one in sheet.sketches if DRAWINGS_BY.get(one.name.split("-")[0]) == chapter.section.name]
    return Part(
        chapter.section,
        chapter.refused,
        tuple((one.about, one.said, one.serious) for one in chapter.problems),
        tuple(_shown(sheet, grid, ways) for grid in chapter.tables),
        tuple(_drawn(one) for one in sketches),
        tuple(_parameter(casebook, chapter.section, one, ways) for one in decided),
        tuple(_parameter(casebook, chapter.section, one, ways) for one in chapter.parameters if one.how == DEFAULT),
    )


def _shown(sheet: Sheet, grid: Grid, ways: Ways) -> Shown:
    sources, leads = list[From](), dict[str, str | None]()
    shared = comes_from(sheet, grid)
    for place, (columns, settled) in enumerate(shared, 1):
        known = f"{grid.name}-from-{place}"
        decisions = _decisions(settled)
        lead = ways.to(decisions[0]).href if len(decisions) == 1 else f"#{known}"
        leads.update({column.name: lead for column in columns})
        labels = ", ".join(plain_label(column.label) for column in columns)
        sources.append(From(known, labels, tuple(_named(one) for one in settled), _links(decisions, ways)))
    alike = {_decisions(settled) for _, settled in shared}
    once = next(iter(alike)) if len(alike) == 1 and len(shared) > 1 else ()
    kept = _kept(len(grid.rows))
    linked = len(grid.rows) <= MOST_ROWS
    rows = tuple(
        tuple(
            _cell(sheet, cell, column, leads.get(column.name) if linked and place >= grid.keys else None, ways)
            for place, (cell, column) in enumerate(zip(grid.rows[row], grid.columns, strict=True))
        )
        for row in kept
    )
    return Shown(
        plain_label(grid.title),
        tuple(plain_label(head_text(column)) for column in grid.columns),
        grid.keys,
        rows,
        words.count(len(rows), "row") if len(rows) > UNFOLDED or len(rows) * len(grid.columns) > MOST_CELLS else "",
        f"{len(rows)} of {words.count(len(grid.rows), 'row')}" if len(rows) < len(grid.rows) else "",
        _file(f"{grid.name}.csv"),
        _links(once, ways),
        tuple(replace(one, decisions=()) if once else one for one in sources),
    )


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
        return Cell((ways.to(text.partition("#")[0]),), False)
    if column.name == "from":
        known = [sheet.parameters[name] for name in text.split(", ") if name in sheet.parameters]
        return Cell(tuple(_named(one) for one in known if one.how != DEFAULT), False)
    return Cell((Link(minus(text), lead if text not in ("", "–") else None),), not isinstance(cell, str))


def _named(one: Settled) -> Link:
    return Link(one.name, f"#{parameter_at(one.name)}")


def _anchor(one: Settled) -> Link:
    return Link(plain_label(one.bound.label), f"#{parameter_at(one.name)}")


def _parameter(casebook: Casebook, section: Section, one: Settled, ways: Ways) -> Parameter:
    output, declared = one.bound.output, section.parameter(one.bound.name)
    several = len(one.shares) > 1
    shares = tuple(
        Decided(
            ways.to(share.decision),
            ", ".join(share.rows) if several else "",
            tuple(
                Ground(
                    ways.to(ref),
                    minus(says(casebook, ref, output if one.bound.ref == ref else None)),
                    _links(behind(casebook, ref), ways),
                )
                for ref in share.grounds
            ),
        )
        for share in one.shares
    )
    return Parameter(
        parameter_at(one.name),
        entry_name(one.name),
        plain_label(one.bound.label),
        minus(value_text(one)) or "not stated",
        minus(stated_text(one)),
        one.how,
        one.how in (FREE, PARTLY),
        shares,
        grid(one.bound.rows, declared, ways) if one.bound.rows else None,
    )


def _drawn(sketch: Sketch) -> Drawn:
    files = tuple(_file(f"{sketch.name}.{ending}") for ending in ("dxf", "svg"))
    return Drawn(plain_label(sketch.title), inlined(sketch), files)


def _lacking(label: str, name: str, needed: bool, refs: Sequence[str], ways: Ways) -> Lacking:
    return Lacking(plain_label(label), name, needed, _links(refs, ways))


def _links(refs: Sequence[str], ways: Ways) -> tuple[Link, ...]:
    return tuple(ways.to(ref) for ref in refs)


def _file(name: str) -> Link:
    return Link(name, address(BUILDING, f"{FOLDER}/{name}"))
