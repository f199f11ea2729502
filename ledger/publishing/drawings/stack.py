"""A stack of parts drawn to scale at build time: side by side as one bar, and beneath it part by part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from markupsafe import Markup

from ledger.calculators.results import Result
from ledger.publishing.addresses import Link
from ledger.publishing.drawings.curves import COLOURS, WIDTH, Chart
from ledger.publishing.figures import Grid, number
from ledger.quantities.summary import Summary

EDGE, BAR, ROW, TITLE, FOOT = 6.0, 26.0, 33.0, 24.0, 30.0
TITLES = {"this": "This layout", "other": "The other layout"}
MOST = 40
TAKEN = "fill:none;stroke:var(--wl-against);stroke-width:1.6;stroke-dasharray:4 2"
NOMINAL, WORST = "nominal, all pieces [mm]", "worst case, ± [mm]"


@dataclass(frozen=True)
class _Part:
    """One part: its length with its sign, how far it may be off, where it begins, and of how many pieces it is."""

    name: str
    length: float
    off: float
    start: float
    pieces: int


def draw(result: Result) -> Chart | None:
    """Return the picture of a calculation's stacks on one scale, or None where it has no parts with lengths."""
    rows = rows_of(result, "parts", {"layout", "part", NOMINAL, WORST})
    stacks = {name: _parts([row for row in rows if row["layout"] == name], _pieces(result, name)) for name in
              dict.fromkeys(str(row["layout"]) for row in rows)}  # fmt: skip
    places = [0.0, *(place for parts in stacks.values() for one in parts for place in (one.start, _end(one)))]
    low, high = min(places), max(places)
    if not stacks or high <= low:
        return None
    scale = (WIDTH - 2 * EDGE) / (high - low)
    drawn, y = [], 0.0
    for name, parts in stacks.items():
        drawn.append(_stack(parts, y, scale, low, TITLES.get(name, name) if len(stacks) > 1 else ""))
        y += TITLE + BAR + 10 + ROW * (len(parts) + 1)
    drawn.append(ruler(y, scale, high - low, "mm"))
    title = "The stack, to scale" if len(stacks) == 1 else "The stacks, to one scale"
    svg = (
        f'<svg class="wl-chart" viewBox="0 0 {WIDTH:.0f} {y + FOOT:.0f}" role="img" focusable="false" '
        f'aria-labelledby="stack stack-told"><title id="stack">{title}</title>'
        f'<desc id="stack-told">{escape(_told(stacks))}</desc>{"".join(drawn)}</svg>'
    )
    return Chart(Markup(svg), (), _grid(stacks))


def rows_of(result: Result, name: str, columns: set[str]) -> Sequence[Mapping[str, Any]]:
    """Return the rows of an output, none where it has not got them all with these columns."""
    outcome = result.outcome(name)
    rows = outcome.value if outcome is not None else None
    return rows if isinstance(rows, tuple) and all(columns <= set(row) for row in rows) else ()


def _pieces(result: Result, layout: str) -> Mapping[str, int]:
    """Return of how many pieces each part is, as far as a plain number was given."""
    name = {"this": "layout"}.get(layout, layout)
    rows = next((one.rows for one in result.inputs if one.name == name), ())
    told = {str(row.get("part")): str(row.get("quantity", "1")) for row in rows}
    return {part: int(text) for part, text in told.items() if text.isdecimal() and 0 < int(text) <= MOST}


def _parts(rows: Sequence[Mapping[str, Any]], pieces: Mapping[str, int]) -> tuple[_Part, ...]:
    found, start = [], 0.0
    for row in rows:
        one = _Part(
            str(row["part"]), _middle(row[NOMINAL]), _middle(row[WORST]), start, pieces.get(str(row["part"]), 1)
        )
        found.append(one)
        start = _end(one)
    return tuple(found)


def _middle(cell: Any) -> float:
    return cell.estimate if isinstance(cell, Summary) else float(cell)


def _end(one: _Part) -> float:
    return one.start + one.length


def _stack(parts: Sequence[_Part], y: float, scale: float, low: float, title: str) -> str:
    def across(place: float) -> float:
        return EDGE + scale * (place - low)

    bar, found = y + TITLE - 4, []
    if title:
        found.append(f'<text x="2" y="{y + 13:.1f}" style="font-weight:600">{title}</text>')
    for place, one in enumerate(parts):
        left, width = across(min(one.start, _end(one))), scale * abs(one.length)
        colour = f"fill:var(--wl-line-{place % COLOURS})" if one.length > 0 else TAKEN
        if one.length > 0:
            found.append(_box(left, bar, width, BAR, colour, one.pieces))
        top = bar + BAR + 10 + ROW * place
        found.append(f'<text x="2" y="{top + 12:.1f}">{escape(_short(one))}</text>')
        found.append(_box(left, top + 17, width, 9, colour, one.pieces))
    total, off = _end(parts[-1]), sum(one.off for one in parts)
    top = bar + BAR + 10 + ROW * len(parts)
    left, width = across(min(0.0, total)), scale * abs(total)
    found.append(
        f'<text x="2" y="{top + 12:.1f}" style="font-weight:600">all together {number(total, "mm")}, at worst '
        f"± {number(off, 'mm')}</text>"
        f'<rect style="fill:var(--wl-ink)" x="{left:.1f}" y="{top + 17:.1f}" width="{width:.1f}" height="9"/>'
    )
    return "".join(found)


def _box(x: float, y: float, width: float, height: float, colour: str, pieces: int) -> str:
    cuts = "".join(f"M{x + width * cut / pieces:.1f} {y:.1f}v{height:.0f}" for cut in range(1, pieces))
    lines = f'<path style="stroke:var(--wl-paper);stroke-width:1.4" d="{cuts}"/>' if cuts else ""
    return f'<rect style="{colour}" x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.0f}"/>{lines}'


def _short(one: _Part) -> str:
    pieces = f"{one.pieces} × " if one.pieces > 1 else ""
    told = f"{'takes away ' if one.length < 0 else ''}{number(abs(one.length), 'mm')}"
    room = 60 - len(pieces) - len(told)
    name = one.name if len(one.name) <= room else f"{one.name[: room - 1].rstrip()}…"
    return f"{pieces}{name}, {told}"


def ruler(y: float, scale: float, span: float, unit: str, x: float = EDGE) -> str:
    """Return a measure of a round length to hold a drawing of that scale [1/unit] against."""
    steps = (size * 10.0**power for power in range(-6, 10) for size in (1, 2, 5))
    length = max((step for step in steps if step <= span / 3), default=span)
    end = x + scale * length
    return (
        f'<path class="wl-chart-frame" d="M{x:.1f} {y + 4:.1f}v8m0-4H{end:.1f}m0-4v8"/>'
        f'<text x="{end + 8:.1f}" y="{y + 13:.1f}">{number(length, unit)}</text>'
    )


def _told(stacks: Mapping[str, Sequence[_Part]]) -> str:
    said = []
    for name, parts in stacks.items():
        lines = "; ".join(_short(one) for one in parts)
        said.append(f"{TITLES.get(name, name)}: {lines}; all together {number(_end(parts[-1]), 'mm')}.")
    return " ".join(said)


def _grid(stacks: Mapping[str, Sequence[_Part]]) -> Grid:
    rows = [
        (TITLES.get(name, name), one.name, str(one.pieces), number(one.length), number(one.off), number(_end(one)))
        for name, parts in stacks.items()
        for one in parts
    ]
    heads = ("stack", "part", "pieces", "adds [mm]", "at worst ± [mm]", "chain up to here [mm]")
    return Grid(heads, tuple(tuple(Link(cell, None) for cell in row) for row in rows))
