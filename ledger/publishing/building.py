"""The page of the build sheet: its tables with what their numbers come from, its drawings, its files to take away."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from markupsafe import Markup

from ledger.building.contract import Section, Sketch, entry_name
from ledger.building.sheet import build_sheet, decides
from ledger.building.telling.chains import behind, says
from ledger.building.telling.files import drawing_files, table_files
from ledger.building.telling.words import free, stated_text, value_text
from ledger.building.values import DEFAULT, FREE, PARTLY, Chapter, Open, Settled, Sheet, Undecided
from ledger.casebook.values import Casebook
from ledger.handing.as_csv import safe
from ledger.publishing.addresses import BUILDING, Link, Ways, parameter_at
from ledger.publishing.building_tables import FOLDER, Shown, file_link, links_to, shown
from ledger.publishing.drawings.sketch import draw
from ledger.publishing.figures import Grid as Rows
from ledger.publishing.figures import grid, minus, plain_label
from ledger.publishing.rendering import page
from ledger.publishing.tracer import Tracer
from ledger.quantities import percents


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
    open: Undecided
    helps: tuple[Link, ...]


@dataclass(frozen=True)
class Resting:
    """A hypothesis of an open question, how sure the ledger is of it, and the decisions that rest on it."""

    open: Open
    hypothesis: Link
    confidence: str
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
        undecided=tuple(
            Lacking(plain_label(one.label), one, links_to((*one.questions, *one.lookouts), ways))
            for one in sheet.undecided
        ),
        opens=tuple(
            Resting(one, ways.to(one.hypothesis), percents.chance(one.confidence), links_to(one.decisions, ways))
            for one in sheet.opens
        ),
        free=tuple((_anchor(one), rows) for one, rows in free(sheet)),
        parts=tuple(_part(casebook, sheet, chapter, ways) for chapter in sheet.chapters),
        files=tuple(file_link(name) for name in ("parameters.csv", "columns.csv")),
    )


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
    return Part(
        chapter.section,
        chapter.refused,
        tuple((one.about, one.said, one.serious) for one in chapter.problems),
        tuple(shown(sheet, grid, ways) for grid in chapter.tables),
        tuple(_drawn(one) for one in chapter.sketches),
        tuple(_parameter(casebook, chapter.section, one, ways) for one in decided),
        tuple(_parameter(casebook, chapter.section, one, ways) for one in chapter.parameters if one.how == DEFAULT),
    )


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
                    links_to(behind(casebook, ref), ways),
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
    files = tuple(file_link(f"{sketch.name}.{ending}") for ending in ("dxf", "svg"))
    return Drawn(plain_label(sketch.title), draw(sketch), files)
