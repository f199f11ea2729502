"""The path of a torque drawn at build time: what each element on the way must hold beside what it holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from markupsafe import Markup

from ledger.calculators.results import Result
from ledger.publishing.addresses import Link
from ledger.publishing.drawings.curves import WIDTH, Chart, beside
from ledger.publishing.drawings.stack import rows_of, ruler
from ledger.publishing.figures import Grid, number, shown
from ledger.quantities import percents
from ledger.quantities.summary import Summary

MUST, HOLDS = "must hold [N·m]", "holds [N·m]"
WEAKEST, SURE = "chance that it is the weakest [%]", "chance that it holds [%]"
NEEDED = {"element", "where", MUST, HOLDS, WEAKEST, SURE}
LEFT, RIGHT, ROW, TOP, FOOT = 8.0, 12.0, 58.0, 8.0, 22.0
BEFORE = "before the ratio"
STRONG, LOADED = "fill:var(--wl-share)", "fill:var(--wl-line-1)"


@dataclass(frozen=True)
class _Element:
    """One element: what it must hold and what it holds [N·m], and in what share of the draws it holds, is weakest."""

    name: str
    before: bool
    must: Summary
    holds: Summary
    sure: float
    weakest: float


def draw(result: Result) -> Chart | None:
    """Return the picture of a calculation's elements on one scale of torque, or None where it has none."""
    rows = rows_of(result, "elements", NEEDED)
    if not rows:
        return None
    found = sorted((_element(row) for row in rows), key=lambda one: not one.before)
    most = max(end for one in found for end in (one.must.high, one.holds.high, one.must.estimate, one.holds.estimate))
    scale = (WIDTH - LEFT - RIGHT) / most
    drawn, y = [], TOP
    for place, one in enumerate(found):
        if place and found[place - 1].before and not one.before:
            drawn.append(_ratio(y, result))
            y += 30
        drawn.append(_row(y, one, scale))
        y += ROW
    drawn.insert(
        0, f'<path style="fill:none;stroke:var(--wl-soft);stroke-width:1.6" d="M2 {TOP:.1f}V{y - 8:.1f}m-3-7l3 7l3-7"/>'
    )
    drawn.append(ruler(y, scale, most, "N·m", LEFT))
    y += FOOT
    svg = (
        f'<svg class="wl-chart" viewBox="-3 0 {WIDTH + 3:.0f} {y:.0f}" role="img" focusable="false" '
        f'aria-labelledby="path path-told"><title id="path">The path of the torque</title>'
        f'<desc id="path-told">{escape(" ".join(_told(one) for one in found))}</desc>{"".join(drawn)}</svg>'
    )
    legend = (("holds", _sample(STRONG)), ("must hold", _sample(LOADED)))
    return Chart(Markup(svg), legend, _grid(found))


def _element(row: Mapping[str, Any]) -> _Element:
    return _Element(
        str(row["element"]),
        row["where"] == BEFORE,
        _summary(row[MUST]),
        _summary(row[HOLDS]),
        _summary(row[SURE]).estimate / 100,
        _summary(row[WEAKEST]).estimate / 100,
    )


def _summary(cell: Any) -> Summary:
    return cell if isinstance(cell, Summary) else Summary(float(cell), 0.0, float(cell), float(cell))


def _row(y: float, one: _Element, scale: float) -> str:
    name = one.name if len(one.name) <= 34 else f"{one.name[:33].rstrip()}…"
    mark = f'<text x="{WIDTH - 2:.0f}" y="{y + 13:.1f}" text-anchor="end">weakest {percents.draws(one.weakest)}</text>'
    return (
        f'<text x="{LEFT:.1f}" y="{y + 13:.1f}" style="font-weight:600">{escape(name)}</text>'
        + (mark if one.weakest >= 0.0005 else "")
        + _bar(y + 19, one.holds, scale, STRONG)
        + _bar(y + 33, one.must, scale, LOADED)
    )


def _bar(y: float, one: Summary, scale: float, look: str) -> str:
    """Return a bar up to the estimate with its 95 % interval."""
    drawn = f'<rect style="{look}" x="{LEFT:.1f}" y="{y:.1f}" width="{scale * one.estimate:.1f}" height="11"/>'
    if one.low < one.high:
        low, high = (LEFT + scale * max(0.0, end) for end in (one.low, one.high))
        drawn += f'<path class="wl-bar-range" d="M{low:.1f} {y + 2:.1f}v7m0-3.5H{high:.1f}m0-3.5v7"/>'
    return drawn


def _ratio(y: float, result: Result) -> str:
    bound = next((one.summary for one in result.inputs if one.name == "ratio" and one.summary is not None), None)
    said = f"ratio {shown(bound, '')}" if bound is not None else "the ratio"
    return (
        f'<path class="wl-chart-frame" stroke-dasharray="4 3" d="M{LEFT:.1f} {y + 8:.1f}H{WIDTH:.0f}"/>'
        f'<text x="{LEFT:.1f}" y="{y + 24:.1f}">{escape(said)}</text>'
    )


def _sample(look: str) -> Markup:
    return beside(f'<rect style="{look}" x="1" y="0" width="42" height="10"/>')


def _told(one: _Element) -> str:
    where = "before" if one.before else "after"
    weakest = f"; the weakest {percents.draws(one.weakest)}" if one.weakest >= 0.0005 else ""
    return (
        f"{one.name}, {where} the ratio, must hold {shown(one.must, 'N·m')} and holds {shown(one.holds, 'N·m')}: "
        f"it holds {percents.draws(one.sure)}{weakest}."
    )


def _grid(found: Sequence[_Element]) -> Grid:
    rows = [
        (
            one.name,
            f"{'before' if one.before else 'after'} the ratio",
            shown(one.must, "N·m"),
            shown(one.holds, "N·m"),
            number(100 * one.sure),
            number(100 * one.weakest),
        )
        for one in found
    ]
    heads = ("element", "where", "must hold", "holds", "holds in [%] of the draws", "weakest in [%]")
    return Grid(heads, tuple(tuple(Link(cell, None) for cell in row) for row in rows))
