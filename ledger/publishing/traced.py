"""What an entry stands on as its page shows it: a drawing in four columns, the same as a tree, and as a table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isinf

from ledger.entries.models import Evidence, Measurement
from ledger.publishing import words
from ledger.publishing.addresses import Link, Ways
from ledger.publishing.calculating import in_short
from ledger.publishing.drawings import trace
from ledger.publishing.drawings.curves import Chart
from ledger.publishing.figures import Grid, minus
from ledger.publishing.keeping import decided
from ledger.quantities import percents
from ledger.tracing.trace import Branch, Edge, Node, Trace, branches

MARKS = "the-marks"
FOLDED = 2  # lines below the root
IDLE = {
    "refused": "could not be computed",
    "uncounted": "does not count",
    "unsourced": "does not count: its source is withdrawn",
}
WHY = {
    "tests-rival": "by testing “{}”",
    "linked": "through a link",
    "precedent": "its precedent",
    "answer": "what came out",
    "takes": "",
    "held-against": "held against it",
    "restates": "restated",
    "retells": "which it retells",
}


@dataclass(frozen=True)
class Line:
    """One line of the tree: a link, its kind, what it carries; and the lines below, those that carry little apart.

    again   it and what is below it were told above
    little  it carries less than a person notices
    folded  what is below it is folded: a calculation well below the root
    """

    link: Link
    kind: str
    carries: str
    again: bool
    little: bool
    folded: bool
    lines: tuple[Line, ...]
    small: tuple[Line, ...]


@dataclass(frozen=True)
class Traced:
    """What an entry stands on.

    chart   the drawing, with its data as a table; None where there is nothing below
    left    how many things the drawing leaves out because they carry little; empty where none
    """

    chart: Chart | None
    left: str
    lines: tuple[Line, ...]
    small: tuple[Line, ...]


def traced(found: Trace, ways: Ways) -> Traced:
    """Return the trace of an entry as its page shows it."""
    told = list(branches(found))
    top = _lines(told, ways)
    left = sum(node.small for node in found.nodes.values())
    return Traced(
        chart=drawn(found, ways),
        left=words.count(left, "thing") if left else "",
        lines=top.lines,
        small=top.small,
    )


def drawn(found: Trace, ways: Ways, most: int | None = None) -> Chart | None:
    """Return the drawing of a trace with its data, or None where nothing is below the root.

    most  how many things are drawn, the root among them: those that carry most, which hang together, for nothing
          carries more to the root than what it stands under; None for all that carry what a person notices
    """
    if len(found.nodes) == 1:
        return None
    told: dict[str, Branch] = {}
    for branch in branches(found):
        told.setdefault(branch.node.ref, branch)
    noticed = [ref for ref, one in told.items() if not one.node.small]
    kept = set(sorted(noticed, key=lambda ref: (ref != found.root, -told[ref].node.size))[:most])
    boxes = {
        ref: trace.Box(to(one.node, ways), one.node.column, carries(one.node, best(found, ref), ways))
        for ref, one in told.items()
        if ref in kept
    }
    lines = [
        trace.Line(edge.tie.lower, edge.tie.upper, edge.decibans)
        for some in found.edges.values()
        for edge in some
        if edge.tie.lower in boxes and edge.tie.upper in boxes
    ]
    svg = trace.draw(found.root, ways.to(found.root).words, boxes, lines)
    return Chart(svg, (), _grid(found, told, ways))


def to(node: Node, ways: Ways) -> Link:
    """Return the link to an entry of a trace; one whose marks are drawn on a picture leads right there."""
    item = ways.casebook.entries[node.ref]
    marked = isinstance(item.entry, Evidence | Measurement) and any(
        mark.box or mark.line or mark.polygon or mark.point for mark in item.entry.marks
    )
    return ways.to(node.ref, anchor=MARKS if marked else "")


def best(found: Trace, ref: str) -> Edge | None:
    """Return the edge by which an entry carries most; None where no weight goes from it."""
    edges = [edge for some in found.edges.values() for edge in some if edge.tie.lower == ref]
    weighed = [edge for edge in edges if edge.decibans is not None]
    return max(weighed, key=lambda edge: abs(edge.decibans or 0.0), default=None)


def carries(node: Node, edge: Edge | None, ways: Ways, again: bool = False) -> str:
    """Return in words what an entry carries now, unless that was told already, and what it gives along an edge."""
    if node.idle:
        return IDLE[node.idle]
    parts = ["" if again else _own(node, ways), _along(edge, ways)]
    return "; ".join(part for part in parts if part)


def _own(node: Node, ways: Ways) -> str:
    casebook = ways.casebook
    if node.kind == "hypothesis":
        return _confidence(node)
    if node.kind == "measurement":
        return minus(node.quantity)
    if node.kind == "source":
        return _source(node)
    if node.holds is not None:
        sure = decided(casebook, node.ref)
        kept = words.kept(node.holds, sure)
        return f"its criteria: {kept}" if sure and node.holds in (0, 1) else f"criteria {kept}"
    result = casebook.results.get(node.ref)
    return in_short(casebook, result) if result is not None else ""


def _confidence(node: Node) -> str:
    if node.confidence is None:
        return "not weighed yet"
    drawn = node.low is not None and node.high is not None and node.low < node.high
    range_ = f" ({words.spread(node.low or 0.0, node.high or 0.0)})" if drawn else ""
    return f"{percents.chance(node.confidence)}{range_}{', leads' if node.leads else ''}"


def _source(node: Node) -> str:
    parts = []
    if node.sound:
        chances = [chance for _, chance in node.sound]
        parts.append(f"sound: {words.spread(min(chances), max(chances))}")
    moved = [one for one in node.moves if one.after is None or abs(one.after - one.before) >= 0.005]
    for one in sorted(moved, key=lambda one: -abs((one.after or 0.0) - one.before))[:1]:
        after = "no answer" if one.after is None else percents.chance(one.after)
        parts.append(f"without it {percents.chance(one.before)} → {after}")
    return "; ".join(parts)


def _along(edge: Edge | None, ways: Ways) -> str:
    if edge is None:
        return ""
    why = WHY.get(edge.tie.why, "").format(ways.to(edge.tie.rival).words if edge.tie.rival else "")
    if edge.decibans is None:
        return why
    said = "beyond measure" if isinf(edge.decibans) else f"{words.decibans(edge.decibans)} decibans"
    return f"{said} {why}".strip()


def _lines(told: list[Branch], ways: Ways) -> Line:
    """Return the root's line with all others in it."""
    waiting: dict[int, list[Line]] = {}
    for branch in reversed(told):
        inside = waiting.pop(branch.depth + 1, [])[::-1]
        waiting.setdefault(branch.depth, []).append(_line(branch, inside, ways))
    return waiting[0][0]


def _line(branch: Branch, inside: list[Line], ways: Ways) -> Line:
    node = branch.node
    return Line(
        to(node, ways),
        words.KINDS[node.kind][0].lower(),
        carries(node, branch.edge, ways, branch.again),
        branch.again,
        node.small,
        node.kind == "calculation" and branch.depth >= FOLDED,
        tuple(one for one in inside if not one.little),
        tuple(one for one in inside if one.little),
    )


def _grid(found: Trace, told: Mapping[str, Branch], ways: Ways) -> Grid:
    rows = [
        (
            to(one.node, ways),
            Link(words.KINDS[one.node.kind][0], None),
            Link(carries(one.node, best(found, ref), ways) or "–", None),
            ways.to(one.edge.tie.upper),
        )
        for ref, one in told.items()
        if one.edge is not None
    ]
    return Grid(("what", "kind", "carries now", "under"), tuple(rows))
