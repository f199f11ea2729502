"""Curves drawn as a line chart at build time: an SVG that follows the page's colours, with words and a table beside it.

Lines differ in dashes as well as in colour. Where both axes have the same unit, both have the same scale.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor, isfinite, log10
from typing import Any

from markupsafe import Markup

from ledger.publishing.addresses import Link
from ledger.publishing.figures import FINE, Grid, number

WIDTH, HEIGHT, TOP, BOTTOM, RIGHT = 420.0, 300.0, 26.0, 46.0, 14.0
COLOURS = 8
DASHES = ("", "7 4", "2 3", "10 3 2 3", "14 5", "5 2 1 2", "3 5", "10 3 2 3 2 3")
MOST_ROWS = 60
TOLD = 8
LONG_LABEL = 54
_RAISE = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")
Point = tuple[float, float]


@dataclass(frozen=True)
class Chart:
    """A chart: the drawing with its text alternative, the name and sample of each line, and the data thinned out."""

    svg: Markup
    legend: tuple[tuple[str, Markup], ...]
    grid: Grid


@dataclass(frozen=True)
class _Axis:
    """One axis: from `low` to `high`, drawn from `start` over `length`; numbers stand in units of 10^power."""

    low: float
    high: float
    start: float
    length: float
    power: int

    def place(self, value: float) -> float:
        return self.start + self.length * (value - self.low) / (self.high - self.low)

    @property
    def ticks(self) -> tuple[tuple[float, str], ...]:
        step = _step(self.high - self.low)
        places = max(0, self.power + 1 - floor(log10(step) + FINE))
        first, last = ceil(self.low / step - FINE), floor(self.high / step + FINE)
        values = (count * step for count in range(first, last + 1))
        return tuple((value, number(round(value / 10.0**self.power, places))) for value in values)


def draw(name: str, title: str, axes: tuple[str, str], points: Sequence[Mapping[str, Any]]) -> Chart | None:
    """Return the chart of an output's curves, or None where no point has a finite place.

    name   the output's name, for ids on the page
    axes   the labels of x and y with their units
    """
    series: dict[str, list[Point]] = {}
    for point in points:
        x, y = float(point["x"]), float(point["y"])
        if isfinite(x) and isfinite(y):
            series.setdefault(str(point["series"]), []).append((x, y))
    if not series:
        return None
    across, up = _axes(axes, [point for line in series.values() for point in line])
    parts = [*_frame(across, up, axes)]
    for index, line in enumerate(series.values()):
        places = " ".join(f"{across.place(x):.1f},{up.place(y):.1f}" for x, y in line)
        parts.append(f'<polyline {look(index)} points="{places}"/>')
    known = "".join(sign if sign.isalnum() or sign == "_" else "-" for sign in name)
    svg = (
        f'<svg class="wl-chart" viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}" role="img" focusable="false" '
        f'aria-labelledby="curves-{known} curves-{known}-told"><title id="curves-{known}">{escape(title)}</title>'
        f'<desc id="curves-{known}-told">{escape(_told(series, axes))}</desc>{"".join(parts)}</svg>'
    )
    legend = tuple((line, sample(index)) for index, line in enumerate(series)) if len(series) > 1 else ()
    return Chart(Markup(svg), legend, _grid(series, axes))


def look(index: int) -> str:
    """Return the class and dashes of a line; past eight the colours come again, with other dashes."""
    dashes = DASHES[(index + index // COLOURS) % len(DASHES)]
    return f'class="wl-line wl-line-{index % COLOURS}"' + (f' stroke-dasharray="{dashes}"' if dashes else "")


def sample(index: int) -> Markup:
    """Return a piece of a line, for the legend."""
    return beside(f'<path {look(index)} d="M1 5H43"/>')


def beside(drawn: str, height: int = 10) -> Markup:
    """Return the small picture that stands beside a name in the legend."""
    return Markup(
        f'<svg class="wl-sample" viewBox="0 0 44 {height}" aria-hidden="true" focusable="false">{drawn}</svg>'
    )


def _axes(axes: tuple[str, str], points: list[Point]) -> tuple[_Axis, _Axis]:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    left, right = _wide(min(xs), max(xs))
    low, high = _wide(min(ys), max(ys))
    same = _unit(axes[0]) and _unit(axes[0]) == _unit(axes[1]) and 1 / 3 < (right - left) / (high - low) < 3
    if not same:
        low, high = _rounded(0.0 if 0 < low < 0.4 * high else low, high)
    power = _power(low, high)
    margin = 12 + 7.4 * max(len(text) for _, text in _Axis(low, high, 0, 1, power).ticks)
    width, height = WIDTH - margin - RIGHT, HEIGHT - TOP - BOTTOM
    if same:
        scale = max((right - left) / width, (high - low) / height) * 1.04
        left, right = _about(left, right, scale * width)
        low, high = _about(low, high, scale * height)
    across = _Axis(left, right, margin, width, _power(left, right))
    return across, _Axis(low, high, HEIGHT - BOTTOM, -height, power)


def _wide(low: float, high: float) -> tuple[float, float]:
    return (low, high) if high - low > FINE * max(abs(low), abs(high)) else _about(low, high, abs(low) or 1.0)


def _about(low: float, high: float, span: float) -> tuple[float, float]:
    return (low + high - span) / 2, (low + high + span) / 2


def _rounded(low: float, high: float) -> tuple[float, float]:
    step = _step(high - low)
    return floor(low / step + FINE) * step, ceil(high / step - FINE) * step


def _step(span: float) -> float:
    """Return a step of 1, 2, 2.5 or 5 times a power of ten that gives about five ticks."""
    power = 10.0 ** floor(log10(span / 5))
    return float(next(factor * power for factor in (1, 2, 2.5, 5, 10) if factor * power >= span / 5 * (1 - FINE)))


def _power(low: float, high: float) -> int:
    """Return the power of ten that an axis's numbers are given in: nought between a hundredth and 99,999."""
    exponent = floor(log10(max(abs(low), abs(high))))
    return 3 * floor(exponent / 3) if exponent >= 5 or exponent <= -3 else 0


def _unit(label: str) -> str:
    text = label.rstrip()
    return text[:-1].rpartition("[")[2] if text.endswith("]") and "[" in text else ""


def _frame(across: _Axis, up: _Axis, axes: tuple[str, str]) -> list[str]:
    bottom, end = HEIGHT - BOTTOM, across.start + across.length
    parts = []
    for value, text in across.ticks:
        x = across.place(value)
        parts.append(f'<path class="wl-chart-grid" d="M{x:.1f} {TOP:.1f}V{bottom:.1f}"/>')
        parts.append(f'<text x="{x:.1f}" y="{bottom + 16:.1f}" text-anchor="middle">{text}</text>')
    for value, text in up.ticks:
        y = up.place(value)
        parts.append(f'<path class="wl-chart-grid" d="M{across.start:.1f} {y:.1f}H{end:.1f}"/>')
        parts.append(f'<text x="{across.start - 6:.1f}" y="{y + 4.5:.1f}" text-anchor="end">{text}</text>')
    parts.append(f'<path class="wl-chart-frame" d="M{across.start:.1f} {TOP:.1f}V{bottom:.1f}H{end:.1f}"/>')
    parts.append(_label(axes[0], across.power, end, HEIGHT - 8, "end"))
    parts.append(_label(axes[1], up.power, 2, 14, "start"))
    return parts


def _label(text: str, power: int, x: float, y: float, anchor: str) -> str:
    said = f"{text} (×10{str(power).translate(_RAISE)})" if power else text
    squeezed = f' textLength="{WIDTH - 20:.0f}" lengthAdjust="spacingAndGlyphs"' if len(said) > LONG_LABEL else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"{squeezed}>{escape(said)}</text>'


def _told(series: Mapping[str, list[Point]], axes: tuple[str, str]) -> str:
    """Return in words where each line begins and ends and how far down and up it goes."""
    said = [f"{axes[1] or 'y'} over {axes[0] or 'x'}."]
    for line, points in list(series.items())[:TOLD]:
        (x, y), (x_end, y_end) = points[0], points[-1]
        least, most = min(y for _, y in points), max(y for _, y in points)
        said.append(
            f"{line or 'The line'}: from {number(y)} at {number(x)} to {number(y_end)} at {number(x_end)}, "
            f"between {number(least)} and {number(most)}."
        )
    if len(series) > TOLD:
        said.append(f"And {len(series) - TOLD} more lines.")
    return " ".join(said)


def _grid(series: Mapping[str, list[Point]], axes: tuple[str, str]) -> Grid:
    """Return the data thinned to MOST_ROWS rows or fewer, side by side where all lines share their x."""
    x_label, y_label = axes[0] or "x", axes[1] or "y"
    lines = list(series.values())
    if len(lines) <= TOLD and all([x for x, _ in line] == [x for x, _ in lines[0]] for line in lines):
        heads = (x_label, *(line or y_label for line in series))
        rows = [(lines[0][place][0], *(line[place][1] for line in lines)) for place in _kept(len(lines[0]), MOST_ROWS)]
        return Grid(heads, tuple(tuple(Link(number(cell), None) for cell in row) for row in rows))
    each = max(2, MOST_ROWS // len(lines))
    told = [(line, *points[place]) for line, points in series.items() for place in _kept(len(points), each)]
    found = tuple((Link(line, None), Link(number(x), None), Link(number(y), None)) for line, x, y in told[:MOST_ROWS])
    return Grid(("line", x_label, y_label), found)


def _kept(count: int, most: int) -> list[int]:
    if count <= most:
        return list(range(count))
    return sorted({round(place * (count - 1) / (most - 1)) for place in range(most)})
