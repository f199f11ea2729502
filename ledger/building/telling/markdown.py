"""The whole sheet as one Markdown page that stands by itself."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from ledger.building.telling.chains import paths, says
from ledger.building.telling.words import cell_text, comes_from, head_text, stated_text, value_text
from ledger.building.values import DEFAULT, Chapter, Grid, Settled, Sheet
from ledger.casebook.values import Casebook
from ledger.quantities.percents import chance

LONGEST = 80
TAKE_AGAIN = "Decisions behind this sheet have lost ground. Make nothing of these before they are taken again:"
_SPECIAL = re.compile(r"([\\`*_{}\[\]<>|#!~])")


def markdown(casebook: Casebook, sheet: Sheet, stale: Sequence[str] = ()) -> str:
    """Return the sheet as Markdown, what is `stale` of its decisions first; long tables are left to their CSV."""
    lines = [f"# Build sheet: {plain(sheet.title)}", ""]
    if stale:
        lines += [f"**{TAKE_AGAIN}**", "", *(f"- {plain(line)}" for line in stale), ""]
    lines += ["## Cautions", ""]
    lines += [f"- {plain(line)}" for line in sheet.cautions]
    lines += ["", *_wrong(sheet), *_undecided(casebook, sheet), *_opens(casebook, sheet)]
    for chapter in sheet.chapters:
        lines += ["", *_chapter(casebook, sheet, chapter)]
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip() + "\n"


def plain(text: str) -> str:
    """Return words on one line in which nothing is read as Markdown."""
    return _SPECIAL.sub(r"\\\1", " ".join(text.split()))


def _wrong(sheet: Sheet) -> Iterator[str]:
    said = [*sheet.conflicts, *(f"{problem.about}: {problem.said}" for _, problem in sheet.wrong)]
    if said:
        yield from ("## In the way of building", "", *(f"- {plain(one)}" for one in said), "")


def _undecided(casebook: Casebook, sheet: Sheet) -> Iterator[str]:
    yield from ("## Still undecided", "")
    for one in sheet.undecided:
        what = "its section waits for it" if one.needed else "nothing can be made without it"
        helps = [_titled(casebook, ref) for ref in (*one.questions, *one.lookouts)]
        more = f"; {', '.join(helps)} may help" if helps else ""
        yield f"- {plain(one.label)} (`{one.name}`): {what}{more}"
    if not sheet.undecided:
        yield "Nothing that the sections in use ask for."
    yield ""


def _opens(casebook: Casebook, sheet: Sheet) -> Iterator[str]:
    if not sheet.opens:
        return
    yield from ("## Resting on open questions", "")
    for one in sheet.opens:
        standing = "leads" if one.leads else "does not lead"
        decisions = "; ".join(_titled(casebook, ref) for ref in one.decisions)
        yield f"- {_titled(casebook, one.hypothesis)} {standing} with {chance(one.confidence)}. On it rest: {decisions}"
    yield ""


def _chapter(casebook: Casebook, sheet: Sheet, chapter: Chapter) -> Iterator[str]:
    yield from (f"## {plain(chapter.section.title)}", "", plain(chapter.section.purpose), "")
    if chapter.refused:
        yield from (f"**Could not be computed.** {plain(chapter.refused)}", "")
    for grid in chapter.tables:
        yield from (f"### {plain(grid.title)}", "")
        if len(grid.rows) > LONGEST:
            yield from (f"{len(grid.rows)} rows, in `{grid.name}.csv`.", "")
        else:
            yield from (*_table(grid), "")
        for columns, settled in comes_from(sheet, grid):
            names = ", ".join(plain(column.label) for column in columns)
            yield f"- {names}: from {', '.join(f'`{one.name}`' for one in settled)}"
        yield ""
    if chapter.problems:
        yield from ("### To bear in mind", "")
        yield from (f"- {'**Serious.** ' if one.serious else ''}{plain(f'{one.about}: {one.said}')}"
                    for one in chapter.problems)  # fmt: skip
        yield ""
    decided = [one for one in chapter.parameters if one.how != DEFAULT]
    if decided:
        yield from ("### What was decided", "", *_parameters(casebook, decided), "")
    usual = [f"{plain(one.bound.label)}: {plain(value_text(one))}" for one in chapter.parameters if one.how == DEFAULT]
    if usual:
        yield from (f"Usual, not decided: {'; '.join(usual)}.", "")
    yield from (f"- {plain(line)}" for line in (*chapter.section.assumptions, *chapter.section.sources))


def _table(grid: Grid) -> Iterator[str]:
    yield _row(plain(head_text(column)) for column in grid.columns)
    yield _row("---" for _ in grid.columns)
    for row in grid.rows:
        yield _row(plain(cell_text(cell, column.unit)) for cell, column in zip(row, grid.columns, strict=True))


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"


def _parameters(casebook: Casebook, settled: list[Settled]) -> Iterator[str]:
    for one in settled:
        stated = f", written {plain(stated_text(one))}" if stated_text(one) else ""
        yield f"- `{one.name}`, {plain(one.bound.label)}: {plain(value_text(one))}{stated}; {one.how}"
        for share in one.shares:
            rows = f" ({plain(', '.join(share.rows))})" if len(one.shares) > 1 and share.rows else ""
            free = "" if share.grounds else ", chosen freely"
            yield f"    - decided in {_titled(casebook, share.decision)}{rows}{free}"
            for ref in share.grounds:
                output = one.bound.output if one.bound.ref == ref else None
                said = says(casebook, ref, output)
                yield f"        - {_titled(casebook, ref)}{f': {plain(said)}' if said else ''}"
                yield from (f"            - {path}" for path in paths(casebook, ref) if path != ref)


def _titled(casebook: Casebook, ref: str) -> str:
    item = casebook.entries.get(ref) or casebook.withdrawn.get(ref)
    return f"{plain(item.title)} (`{ref}`)" if item is not None else f"`{ref}`"
