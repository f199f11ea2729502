"""What an entry stands on, drawn at build time in four columns: sources; notes, measurements and precedents;
hypotheses and calculations; decisions. A line goes from each thing to what stands on it, the thicker the more it
carries; one that speaks against it is broken.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from math import isinf
from textwrap import wrap

from markupsafe import Markup

from ledger.publishing.addresses import Link

WIDTH, TOP, BOX, APART, PAD, LINE = 960.0, 32.0, 202.0, 9.0, 8.0, 14.5
HEADS = ("source", "note, measurement, precedent", "hypothesis, calculation", "decision")
SIGNS, MOST = 26, 3  # of a text in one line, and its lines
THICKEST = 10.0  # decibans, from which on lines are no thicker
# What follows the page's colours there follows the reader's here.
STYLE = """
svg { font: 12px system-ui, sans-serif; color-scheme: light dark; background: light-dark(#fbfaf6, #13191b); }
.wl-trace-box { fill: light-dark(#f1efe7, #1c2427); stroke: light-dark(#d3cfc0, #364145); }
.wl-trace-root { stroke: light-dark(#8f4a0c, #e4a95d); stroke-width: 2; }
.wl-trace-edge { fill: none; stroke: light-dark(#55605f, #a4b0ae); opacity: 0.75; }
.wl-trace-for { stroke: light-dark(#0a6350, #74d1b4); }
.wl-trace-against { stroke: light-dark(#a0331b, #f3a188); stroke-dasharray: 6 4; }
text { fill: light-dark(#1f2a2d, #dde4e2); }
.wl-trace-weight, .wl-trace-head { fill: light-dark(#55605f, #a4b0ae); }
"""


@dataclass(frozen=True)
class Box:
    """One thing: its link, its column 0 to 3, and what it carries in words."""

    link: Link
    column: int
    carries: str


@dataclass(frozen=True)
class Line:
    """A line from a thing to one that stands on it, with the decibans it gives; None where no weight goes along."""

    lower: str
    upper: str
    decibans: float | None


@dataclass(frozen=True)
class _Placed:
    """A box in its place, with the lines of its text."""

    x: float
    y: float
    height: float
    title: tuple[str, ...]
    carries: tuple[str, ...]

    @property
    def middle(self) -> float:
        return self.y + self.height / 2


def draw(root: str, title: str, boxes: Mapping[str, Box], lines: Sequence[Line]) -> Markup:
    """Return the drawing. Boxes by ref in the order of the tree, the root among them."""
    placed = _placed(boxes, lines)
    height = max(one.y + one.height for one in placed.values()) + 6
    known = re.sub(r"\W", "-", root)
    parts = [
        f'<text class="wl-trace-head" x="{_x(column) + PAD:.1f}" y="20">{head}</text>'
        for column, head in enumerate(HEADS)
        if any(box.column == column for box in boxes.values())
    ]
    parts += [_line(placed[line.lower], placed[line.upper], line.decibans) for line in lines]
    parts += [_box(boxes[ref], one, ref == root) for ref, one in placed.items()]
    return Markup(
        f'<svg class="wl-trace" viewBox="0 0 {WIDTH:.0f} {height:.0f}" role="group" '
        f'aria-labelledby="trace-{known} trace-{known}-told"><title id="trace-{known}">What “{escape(title)}” stands '
        f'on</title><desc id="trace-{known}-told">{escape(_told(boxes))}</desc>{"".join(parts)}</svg>'
    )


def standalone(svg: Markup) -> str:
    """Return a drawing as a file of its own, with its colours in it; its links lead nowhere and are left out."""
    text = re.sub(r"<a href=\"[^\"]*\">|</a>", "", str(svg))
    return text.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1).replace(
        ">", f"><style>{STYLE}</style>", 1
    )


def _placed(boxes: Mapping[str, Box], lines: Sequence[Line]) -> dict[str, _Placed]:
    """Place boxes near the middle of what stands on them, column by column from the right, none over another."""
    texts = {ref: (_wrapped(box.link.words), _wrapped(box.carries)) for ref, box in boxes.items()}
    heights = {ref: 2 * PAD + LINE * (len(title) + len(carries)) for ref, (title, carries) in texts.items()}
    uppers: dict[str, list[str]] = {}
    for line in lines:
        if boxes[line.upper].column > boxes[line.lower].column:
            uppers.setdefault(line.lower, []).append(line.upper)
    middles: dict[str, float] = {}
    tallest = max(_stack(heights, column) for column in _columns(boxes))
    for column in reversed(_columns(boxes)):
        # What has nothing beside it to stand by follows the one before it in the order of the tree.
        wanted: dict[str, float] = {}
        last = tallest / 2
        for ref in column:
            above = [middles[one] for one in uppers.get(ref, ()) if one in middles]
            last = wanted[ref] = sum(above) / len(above) if above else last
        middles |= _apart(sorted(column, key=wanted.__getitem__), wanted, heights, tallest)
    return {
        ref: _Placed(_x(box.column), TOP + middles[ref] - heights[ref] / 2, heights[ref], *texts[ref])
        for ref, box in boxes.items()
    }


def _columns(boxes: Mapping[str, Box]) -> list[list[str]]:
    return [[ref for ref, box in boxes.items() if box.column == column] for column in range(len(HEADS))]


def _stack(heights: Mapping[str, float], column: Sequence[str]) -> float:
    return sum(heights[ref] + APART for ref in column)


def _apart(
    column: Sequence[str], wanted: Mapping[str, float], heights: Mapping[str, float], room: float
) -> dict[str, float]:
    """Return the middles of a column's boxes, as near to the wanted ones as the order and the room let them be."""
    middles: dict[str, float] = {}
    end = 0.0
    for ref in column:
        middles[ref] = max(wanted[ref], end + heights[ref] / 2)
        end = middles[ref] + heights[ref] / 2 + APART
    start = room
    for ref in reversed(column):
        middles[ref] = min(middles[ref], start - heights[ref] / 2 - APART)
        start = middles[ref] - heights[ref] / 2
    return middles


def _x(column: int) -> float:
    return column * (WIDTH - 2 - BOX) / (len(HEADS) - 1) + 1


def _wrapped(text: str) -> tuple[str, ...]:
    return tuple(wrap(text, SIGNS, max_lines=MOST, placeholder="…")) if text else ()


def _line(lower: _Placed, upper: _Placed, decibans: float | None) -> str:
    """Return the line between two boxes; within a column it goes round on the right, in the last one on the left."""
    last = lower.x == _x(len(HEADS) - 1)
    start = lower.x if last else lower.x + BOX
    if upper.x > lower.x:
        reach = (upper.x - start) / 2
        path = f"M{start:.1f} {lower.middle:.1f}C{start + reach:.1f} {lower.middle:.1f} "
        path += f"{upper.x - reach:.1f} {upper.middle:.1f} {upper.x:.1f} {upper.middle:.1f}"
    else:
        far = min(46.0, 16 + abs(upper.middle - lower.middle) / 12)
        out = start - far if last else start + far
        path = f"M{start:.1f} {lower.middle:.1f}C{out:.1f} {lower.middle:.1f} {out:.1f} {upper.middle:.1f} "
        path += f"{start:.1f} {upper.middle:.1f}"
    if decibans is None:
        return f'<path class="wl-trace-edge" stroke-width="1.2" d="{path}"/>'
    size = THICKEST if isinf(decibans) else min(abs(decibans), THICKEST)
    leaning = "for" if decibans >= 0 else "against"
    return f'<path class="wl-trace-edge wl-trace-{leaning}" stroke-width="{1.2 + 0.45 * size:.1f}" d="{path}"/>'


def _box(box: Box, one: _Placed, root: bool) -> str:
    lines = [("", text) for text in one.title] + [(' class="wl-trace-weight"', text) for text in one.carries]
    texts = "".join(
        f'<text{look} x="{one.x + PAD:.1f}" y="{one.y + PAD + LINE * (number + 0.75):.1f}">{escape(text)}</text>'
        for number, (look, text) in enumerate(lines)
    )
    look = "wl-trace-box wl-trace-root" if root else "wl-trace-box"
    drawn = (
        f"<title>{escape(f'{box.link.words}: {box.carries}' if box.carries else box.link.words)}</title>"
        f'<rect class="{look}" x="{one.x:.1f}" y="{one.y:.1f}" width="{BOX:.0f}" height="{one.height:.1f}" rx="3"/>'
        f"{texts}"
    )
    linked = box.link.href is not None and not root
    return f'<a href="{escape(box.link.href or "")}">{drawn}</a>' if linked else f"<g>{drawn}</g>"


def _told(boxes: Mapping[str, Box]) -> str:
    counts = [sum(box.column == column for box in boxes.values()) for column in range(len(HEADS))]
    said = "; ".join(f"{head}: {count}" for head, count in zip(HEADS, counts, strict=True) if count)
    return f"From left to right, {said}. Each leads to its page; the table says the same in words."
