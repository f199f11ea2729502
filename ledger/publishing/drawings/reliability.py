"""Stated chances held against what came true, drawn at build time: a mark a tenth of the scale, the larger the more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from math import sqrt

from markupsafe import Markup

from ledger.publishing import words
from ledger.publishing.addresses import Link
from ledger.publishing.drawings.curves import Chart, beside
from ledger.publishing.figures import Grid
from ledger.quantities import percents
from ledger.weighing.scoring import CalibrationLine

WIDTH, LEFT, TOP, SIDE, BELOW = 420.0, 60.0, 26.0, 320.0, 46.0
TITLE = "How often what was given a chance came true"
AXES = ("chance given", "share that came true")


def draw(lines: Mapping[str, Sequence[CalibrationLine]]) -> Chart | None:
    """Return the picture of calibration tables by forecaster, or None where all are empty."""
    known = {name: table for name, table in lines.items() if table}
    if not known:
        return None
    most = max(line.count for table in known.values() for line in table)
    parts = _frame()
    for index, table in enumerate(known.values()):
        places = [(_x(line.mean_forecast), _y(line.share_true)) for line in table]
        for (x, y), line in zip(places, table, strict=True):
            radius = 2.5 + 6.5 * sqrt(line.count / most)
            parts.append(_mark(index, x, y, radius))
    svg = (
        f'<svg class="wl-chart" viewBox="0 0 {WIDTH:.0f} {TOP + SIDE + BELOW:.0f}" role="img" focusable="false" '
        f'aria-labelledby="calibration calibration-told"><title id="calibration">{TITLE}</title>'
        f'<desc id="calibration-told">{escape(_said(known))}</desc>{"".join(parts)}</svg>'
    )
    legend = tuple((name, _sample(index)) for index, name in enumerate(known))
    return Chart(Markup(svg), legend, _grid(known))


def _mark(index: int, x: float, y: float, radius: float) -> str:
    """Return a ring for the first forecaster, and for others a square, set on a corner, that a ring does not cover."""
    if index == 0:
        return f'<circle class="wl-line wl-line-0" cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}"/>'
    return (
        f'<path class="wl-line wl-line-{index}" d="M{x:.1f} {y - radius:.1f}l{radius:.1f} {radius:.1f}'
        f'l{-radius:.1f} {radius:.1f}l{-radius:.1f} {-radius:.1f}z"/>'
    )


def _sample(index: int) -> Markup:
    return beside(_mark(index, 22.0, 8.0, 6.0), 16)


def _x(share: float) -> float:
    return LEFT + SIDE * share


def _y(share: float) -> float:
    return TOP + SIDE * (1 - share)


def _frame() -> list[str]:
    bottom, end = TOP + SIDE, LEFT + SIDE
    parts = []
    for percent in (0, 20, 40, 60, 80, 100):
        x, y = _x(percent / 100), _y(percent / 100)
        parts.append(f'<path class="wl-chart-grid" d="M{x:.1f} {TOP:.1f}V{bottom:.1f}M{LEFT:.1f} {y:.1f}H{end:.1f}"/>')
        parts.append(f'<text x="{x:.1f}" y="{bottom + 16:.1f}" text-anchor="middle">{percent}</text>')
        parts.append(f'<text x="{LEFT - 6:.1f}" y="{y + 4.5:.1f}" text-anchor="end">{percent}</text>')
    parts.append(f'<path class="wl-chart-frame" d="M{LEFT:.1f} {bottom:.1f}L{end:.1f} {TOP:.1f}"/>')
    parts.append(f'<path class="wl-chart-frame" d="M{LEFT:.1f} {TOP:.1f}V{bottom:.1f}H{end:.1f}"/>')
    parts.append(f'<text x="{end:.1f}" y="{bottom + 38:.1f}" text-anchor="end">{AXES[0]} [%]</text>')
    parts.append(f'<text x="2" y="14">{AXES[1]} [%]</text>')
    return parts


def _said(lines: Mapping[str, Sequence[CalibrationLine]]) -> str:
    said = []
    for name, table in lines.items():
        told = "; ".join(
            f"{words.count(line.count, 'chance')} of {percents.chance(line.mean_forecast)} on average, "
            f"{percents.chance(line.share_true)} of them true"
            for line in table
        )
        said.append(f"{name}: {told}.")
    return " ".join(said)


def _grid(lines: Mapping[str, Sequence[CalibrationLine]]) -> Grid:
    rows = [
        (
            name,
            f"{100 * line.low:.0f} to {100 * line.high:.0f}{percents.PERCENT}",
            str(line.count),
            percents.chance(line.mean_forecast),
            percents.chance(line.share_true),
        )
        for name, table in lines.items()
        for line in table
    ]
    heads = ("by", "chance given", "how many", "their mean", "came true")
    return Grid(heads, tuple(tuple(Link(cell, None) for cell in row) for row in rows))
