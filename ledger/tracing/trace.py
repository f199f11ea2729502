"""From an entry down to everything that it stands on, with the weight that each thing carries now.

Hypotheses that are only linked to one of these are named and not gone into: each has a trace of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from math import inf

from ledger.casebook.items import Item
from ledger.casebook.losing import Losing, Without
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation, Decision, Evidence, Hypothesis, Measurement, Source
from ledger.tracing.grounds import LINKED, Grounds, Tie, direct
from ledger.tracing.staleness import confidence
from ledger.weighing.values import Weighing

COLUMNS = {
    "source": 0, "investigation": 0, "evidence": 1, "measurement": 1, "precedent": 1, "reply": 1, "lookout": 1,
    "hypothesis": 2, "calculation": 2, "question": 2, "decision": 3,
}  # fmt: skip
# Decibans: about as fine as people tell degrees of belief apart (I. J. Good, Biometrika 66 (1979), 393; from memory).
SMALL = 1.0


@dataclass(frozen=True)
class Moved:
    """What losing a source would do to a hypothesis; `after` is None where it could not be weighed any more."""

    rival: str
    before: float
    after: float | None


@dataclass(frozen=True)
class Node:
    """One entry of a trace, with what it carries now.

    column      0 source, 1 note and measurement, 2 hypothesis and calculation, 3 decision
    size        decibans that the way to it carries at most, at its weakest place; without bound where the root names it
    confidence  of a hypothesis, `low` to `high` its 90 % interval, None where it was not drawn; `leads`
    holds       of a calculation with criteria, the least chance among them, of the draws
    quantity    of a measurement, as written
    sound       of a source, by question, the chance that it is sound
    moves       of a source, what losing it would do to the hypotheses that the root counts on, None of them left out
    idle        why it carries nothing now, else empty: refused, uncounted, unsourced
    """

    ref: str
    kind: str
    title: str
    column: int
    size: float
    confidence: float | None = None
    low: float | None = None
    high: float | None = None
    leads: bool = False
    holds: float | None = None
    quantity: str = ""
    sound: tuple[tuple[str, float], ...] = ()
    moves: tuple[Moved, ...] = ()
    idle: str = ""

    @property
    def small(self) -> bool:
        """Return whether it carries less than a person notices."""
        return self.size < SMALL


@dataclass(frozen=True)
class Edge:
    """A tie with the decibans that the lower entry gives the upper one; None where no weight goes along it."""

    tie: Tie
    decibans: float | None


@dataclass(frozen=True)
class Trace:
    """A root and everything below it: nodes by ref, the root first, and from each the edges down."""

    root: str
    nodes: Mapping[str, Node]
    edges: Mapping[str, tuple[Edge, ...]]


@dataclass(frozen=True)
class Branch:
    """One line of a trace as a tree; `again` where it, and all below it, were told above already."""

    depth: int
    edge: Edge | None
    node: Node
    again: bool


def trace(casebook: Casebook, ref: str, grounds: Grounds | None = None) -> Trace:
    """Return the trace of a standing entry.

    grounds  of the casebook, where they are at hand
    """
    ties = grounds or Grounds(casebook.entries)
    edges = {one: _edges(casebook, ties, one) for one in (ref, *ties.below(ref))}
    beside = {edge.tie.lower for some in edges.values() for edge in some if edge.tie.why == LINKED}
    edges |= dict.fromkeys(sorted(beside - edges.keys()), ())
    sizes = _sizes(ref, edges)
    counted = _counted_on(casebook, ref)
    take = casebook.losing
    nodes = {one: _node(casebook, one, sizes[one], take, counted) for one in sorted(edges, key=lambda one: one != ref)}
    return Trace(ref, nodes, edges)


def _edges(casebook: Casebook, ties: Grounds, ref: str) -> tuple[Edge, ...]:
    """Return the edges down from an entry: those with a weight, the heaviest first, and then the others."""
    edges = [Edge(tie, _weight(casebook, tie)) for tie in ties.down(ref)]
    return tuple(sorted(edges, key=lambda edge: (edge.decibans is None, -abs(edge.decibans or 0.0))))


def branches(found: Trace) -> Iterator[Branch]:
    """Yield a trace as a tree, line by line from the root; what stands in it twice is gone into once."""
    told: set[str] = set()
    waiting: list[tuple[str, Edge | None, int]] = [(found.root, None, 0)]
    while waiting:
        ref, edge, depth = waiting.pop()
        again = ref in told
        told.add(ref)
        yield Branch(depth, edge, found.nodes[ref], again)
        if not again:
            waiting += [(lower.tie.lower, lower, depth + 1) for lower in reversed(found.edges[ref])]


def _sizes(root: str, edges: Mapping[str, tuple[Edge, ...]]) -> dict[str, float]:
    """Return the decibans that pass along the best way to each entry, of each way the least along it."""
    sizes = {root: inf}
    queue = [(-inf, root)]
    while queue:
        size, ref = heappop(queue)
        if -size < sizes[ref]:
            continue
        for edge in edges[ref]:
            lower = edge.tie.lower
            reached = min(-size, _strength(edge))
            if reached > sizes.get(lower, -1.0):
                sizes[lower] = reached
                heappush(queue, (-reached, lower))
    return sizes


def _strength(edge: Edge) -> float:
    return inf if edge.decibans is None else abs(edge.decibans)


def _weight(casebook: Casebook, tie: Tie) -> float | None:
    """Return the decibans that go along a tie to a hypothesis."""
    item = casebook.entries[tie.upper]
    weighing = casebook.weighings.get(str(item.entry.question)) if isinstance(item.entry, Hypothesis) else None
    if weighing is None or tie.why not in ("bears", "tests", "tests-rival", LINKED):
        return None
    for key in _keys(casebook, weighing, tie):
        if tie.upper in weighing.infinite.get(key, ()):
            return inf
        weights = weighing.weights.get(key) or weighing.through.get(key)
        if weights is not None and tie.upper in weights:
            return weights[tie.upper]
    return 0.0 if tie.why in ("bears", LINKED) else None


def _keys(casebook: Casebook, weighing: Weighing, tie: Tie) -> list[str]:
    """Return under what names a weighing may have the weight of what a tie leads to."""
    if tie.why == LINKED:
        own = {one.rival for one in weighing.standings}
        named = [key for key in (*weighing.weights, *weighing.through) if key.count(" ") == 2]
        ends = [(key, set(key.split(" ")[::2])) for key in named]
        return [key for key, pair in ends if tie.lower in pair and pair & own]
    if tie.why == "bears":
        return [tie.lower]
    entry = casebook.entries[tie.lower].entry
    observed = entry.observed if isinstance(entry, Calculation) else None
    return [tie.lower, f"feasibility:{tie.rival}", *([str(observed.measurement)] if observed else [])]


def _counted_on(casebook: Casebook, ref: str) -> tuple[str, ...]:
    """Return the hypotheses that a root counts on: itself, or those that a decision names."""
    item = casebook.entries[ref]
    named = direct(item.entry) if isinstance(item.entry, Decision) else [ref]
    return tuple(
        one for one in named if one in casebook.entries and isinstance(casebook.entries[one].entry, Hypothesis)
    )


def _node(casebook: Casebook, ref: str, size: float, losing: Losing, counted: tuple[str, ...]) -> Node:
    item = casebook.entries[ref]
    entry = item.entry
    one = Node(ref, item.kind, item.title, COLUMNS[item.kind], size, idle=_idle(casebook, item))
    if isinstance(entry, Hypothesis):
        return _hypothesis(casebook, one, str(entry.question))
    if isinstance(entry, Measurement):
        return replace(one, quantity=entry.quantity.text)
    if isinstance(entry, Source):
        moves = tuple(_moves(casebook, losing.of(ref), counted))
        sound = ((question, weighing.soundness.get(ref)) for question, weighing in casebook.weighings.items())
        return replace(one, moves=moves, sound=tuple((at, chance) for at, chance in sound if chance is not None))
    if ref in casebook.results and casebook.results[ref].kept:
        return replace(one, holds=min(kept.chance for kept in casebook.results[ref].kept))
    return one


def _hypothesis(casebook: Casebook, one: Node, question: str) -> Node:
    weighing = casebook.weighings.get(question)
    for standing in weighing.standings if weighing is not None else ():
        if weighing is not None and standing.rival == one.ref:
            leads = weighing.leader == one.ref
            return replace(one, confidence=standing.confidence, low=standing.low, high=standing.high, leads=leads)
    return one


def _moves(casebook: Casebook, without: Without, counted: tuple[str, ...]) -> Iterator[Moved]:
    """Yield what losing a source would do to the hypotheses counted on."""
    lost = {loss.question: loss for loss in without.losses}
    for ref in counted:
        entry = casebook.entries[ref].entry
        assert isinstance(entry, Hypothesis)
        before = confidence(casebook, str(entry.question), ref)
        loss = lost.get(str(entry.question))
        if loss is not None and before is not None:
            yield Moved(ref, before, loss.confidences.get(ref))


def _idle(casebook: Casebook, item: Item) -> str:
    entry = item.entry
    if item.ref in casebook.refused:
        return "refused"
    if isinstance(entry, Evidence | Calculation) and entry.uncounted is not None:
        return "uncounted"
    return "unsourced" if isinstance(entry, Evidence | Measurement) and entry.source not in casebook.entries else ""
