"""What an entry stands on, drawn at build time in four columns: sources; notes, measurements and precedents;
hypotheses and calculations; decisions. A line goes from each thing to what stands on it, the thicker the more it
carries; one that speaks against it is broken. Lines that pass a column go through a lane between its boxes, those to
one thing through one lane.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from math import isinf
from textwrap import wrap

from markupsafe import Markup

from ledger.publishing.addresses import Link

WIDTH, TOP, BOX, APART, PAD, LINE = 960.0, 32.0, 202.0, 9.0, 8.0, 14.5
LANE = 2.0  # of height, with APART on either side of it
HEADS = ("source", "note, measurement, precedent", "hypothesis, calculation", "decision")
SIGNS = 26  # of a text in one line
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


# A thing, or a lane to it, in a column; in its own column it is the box.
Place = tuple[str, int]


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
    texts = {ref: (_wrapped(box.link.words), _wrapped(box.carries)) for ref, box in boxes.items()}
    heights = {
        (ref, boxes[ref].column): 2 * PAD + LINE * (len(title) + len(carries))
        for ref, (title, carries) in texts.items()
    }
    ways = [_way(line, boxes) for line in lines]
    heights |= {lane: LANE for way in ways for lane in way[1:-1]}
    middles = _middles(heights, ways)
    placed = {
        ref: _Placed(
            _x(box.column),
            middles[ref, box.column] - heights[ref, box.column] / 2,
            heights[ref, box.column],
            *texts[ref],
        )
        for ref, box in boxes.items()
    }
    height = max(one.y + one.height for one in placed.values()) + 6
    known = re.sub(r"\W", "-", root)
    parts = [
        f'<text class="wl-trace-head" x="{_x(column) + PAD:.1f}" y="20">{head}</text>'
        for column, head in enumerate(HEADS)
        if any(box.column == column for box in boxes.values())
    ]
    parts += [_line(way, middles, line.decibans) for way, line in zip(ways, lines, strict=True)]
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


def _way(line: Line, boxes: Mapping[str, Box]) -> tuple[Place, ...]:
    """Return the places that a line goes through: its lower box, the lanes between, its upper box."""
    start, end = boxes[line.lower].column, boxes[line.upper].column
    between = range(start + 1, end) if start < end else range(start - 1, end, -1)
    return ((line.lower, start), *((line.upper, column) for column in between), (line.upper, end))


def _middles(heights: Mapping[Place, float], ways: Sequence[tuple[Place, ...]]) -> dict[Place, float]:
    """Place boxes and lanes near the middle of what comes next, column by column from the right, none over another."""
    following: dict[Place, list[Place]] = {}
    for here, there in sorted({pair for way in ways for pair in pairwise(way) if pair[1][1] > pair[0][1]}):
        following.setdefault(here, []).append(there)
    columns = [[place for place in heights if place[1] == column] for column in range(len(HEADS))]
    room = max(sum(heights[place] + APART for place in column) for column in columns)
    middles: dict[Place, float] = {}
    for column in reversed(columns):
        # What has nothing beside it to stand by follows the one before it in the order of the tree.
        wanted: dict[Place, float] = {}
        last = room / 2
        for place in column:
            above = [middles[one] for one in following.get(place, ())]
            last = wanted[place] = sum(above) / len(above) if above else last
        middles |= _apart(sorted(column, key=wanted.__getitem__), wanted, heights, room)
    return {place: TOP + middle for place, middle in middles.items()}


def _apart(
    column: Sequence[Place], wanted: Mapping[Place, float], heights: Mapping[Place, float], room: float
) -> dict[Place, float]:
    """Return the middles of a column's boxes and lanes, as near to the wanted ones as order and room permit."""
    middles: dict[Place, float] = {}
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
    return tuple(wrap(text, SIGNS))


def _line(way: tuple[Place, ...], middles: Mapping[Place, float], decibans: float | None) -> str:
    """Return the line along a way."""
    path = _round(way, middles) if way[0][1] == way[-1][1] else _through(way, middles)
    if decibans is None:
        return f'<path class="wl-trace-edge" stroke-width="1.2" d="{path}"/>'
    size = THICKEST if isinf(decibans) else min(abs(decibans), THICKEST)
    leaning = "for" if decibans >= 0 else "against"
    return f'<path class="wl-trace-edge wl-trace-{leaning}" stroke-width="{1.2 + 0.45 * size:.1f}" d="{path}"/>'


def _round(way: tuple[Place, ...], middles: Mapping[Place, float]) -> str:
    """Return the path between two boxes of a column: on the right of it, in the last one on the left."""
    column, start, end = way[0][1], middles[way[0]], middles[way[-1]]
    far = min(46.0, 16 + abs(end - start) / 12)
    side, out = (_x(column), -far) if column == len(HEADS) - 1 else (_x(column) + BOX, far)
    return f"M{side:.1f} {start:.1f}C{side + out:.1f} {start:.1f} {side + out:.1f} {end:.1f} {side:.1f} {end:.1f}"


def _through(way: tuple[Place, ...], middles: Mapping[Place, float]) -> str:
    """Return the path from box to box: curved between columns, straight along its lanes."""
    forth = way[-1][1] > way[0][1]
    leave, enter = (BOX, 0.0) if forth else (0.0, BOX)
    path = f"M{_x(way[0][1]) + leave:.1f} {middles[way[0]]:.1f}"
    for here, there in pairwise(way):
        start, end = _x(here[1]) + leave, _x(there[1]) + enter
        half = (start + end) / 2
        path += f"C{half:.1f} {middles[here]:.1f} {half:.1f} {middles[there]:.1f} {end:.1f} {middles[there]:.1f}"
        if there != way[-1]:
            path += f"H{_x(there[1]) + leave:.1f}"
    return path


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
