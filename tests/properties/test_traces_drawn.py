"""Whatever stands on whatever: the drawing of a trace keeps its lines clear of its boxes, and its words whole."""

from __future__ import annotations

import re
from itertools import pairwise
from math import comb
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.publishing.addresses import Link
from ledger.publishing.drawings import trace

WORDS = st.lists(st.sampled_from(("sleeve", "of", "the", "unsynchronised", "third", "wheel")), min_size=1, max_size=30)
Point = tuple[float, float]


@st.composite
def drawings(draw: st.DrawFn) -> tuple[dict[str, trace.Box], list[trace.Line]]:
    """Return boxes by ref and lines between any two of them, forth, back and within a column."""
    columns = draw(st.lists(st.integers(0, 3), min_size=2, max_size=14))
    boxes = {
        f"notes/n{place}": trace.Box(Link(f"{place} {' '.join(draw(WORDS))}", "x.html"), column, " ".join(draw(WORDS)))
        for place, column in enumerate(columns)
    }
    refs = st.sampled_from(sorted(boxes))
    pairs = draw(st.lists(st.tuples(refs, refs).filter(lambda pair: pair[0] != pair[1]), max_size=20, unique=True))
    weights = st.none() | st.floats(-20, 20)
    return boxes, [trace.Line(lower, upper, draw(weights)) for lower, upper in pairs]


def hidden(svg: str) -> int:
    """Return how many lines run behind a box, more than half a unit in from its edge."""
    tree = ElementTree.fromstring(svg)
    boxes = [tuple(float(one.get(name, 0)) for name in ("x", "y", "width", "height")) for one in tree.iter("rect")]
    lines = [along(one.get("d", "")) for one in tree.iter("path")]
    return sum(
        any(
            left + 0.5 < x < left + width - 0.5 and top + 0.5 < y < top + height - 0.5
            for x, y in points
            for left, top, width, height in boxes
        )
        for points in lines
    )


def along(path: str) -> list[Point]:
    """Return points along a path of curves and level strokes, close to each other."""
    points: list[Point] = []
    for letter, numbers in re.findall(r"([MCH])([^MCH]*)", path):
        given = [float(one) for one in numbers.split()]
        if letter == "M":
            points.append((given[0], given[1]))
            continue
        x, y = points[-1]
        ends = [(given[0], y)] if letter == "H" else list(zip(given[::2], given[1::2], strict=True))
        points += [bernstein([(x, y), *ends], step / 200) for step in range(1, 201)]
    return points


def bernstein(knots: list[Point], share: float) -> Point:
    """Return the point of a Bézier curve at a share of its course."""
    last = len(knots) - 1
    weights = [comb(last, place) * share**place * (1 - share) ** (last - place) for place in range(last + 1)]
    x, y = (sum(weight * knot[axis] for weight, knot in zip(weights, knots, strict=True)) for axis in (0, 1))
    return x, y


@given(drawings())
def test_no_line_runs_behind_a_box(drawn: tuple[dict[str, trace.Box], list[trace.Line]]) -> None:
    """Lines go between columns and through lanes, and the boxes of a column stand apart; the same twice."""
    boxes, lines = drawn
    svg = str(trace.draw("notes/n0", "This", boxes, lines))
    assert hidden(svg) == 0
    assert svg == str(trace.draw("notes/n0", "This", boxes, lines))
    ends = sorted(
        (float(one.get("x", 0)), float(one.get("y", 0)), float(one.get("height", 0)))
        for one in ElementTree.fromstring(svg).iter("rect")
    )
    assert all(one[0] != next_[0] or one[1] + one[2] < next_[1] for one, next_ in pairwise(ends))


@given(drawings())
def test_labels_are_whole(drawn: tuple[dict[str, trace.Box], list[trace.Line]]) -> None:
    """All words of a box stand in it, inside its height."""
    boxes, lines = drawn
    tree = ElementTree.fromstring(str(trace.draw("notes/n0", "This", boxes, lines)))
    groups = [one for one in tree.iter() if one.find("rect") is not None]
    assert len(groups) == len(boxes)
    for group in groups:
        box = group.find("rect")
        assert box is not None
        texts = group.findall("text")
        assert (group.findtext("title") or "").replace(":", "") == " ".join(one.text or "" for one in texts)
        foot = float(box.get("y", 0)) + float(box.get("height", 0))
        assert all(float(one.get("y", 0)) < foot for one in texts)


def test_a_line_behind_a_box_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check on lines refuses a drawing whose lines go straight from box to box."""
    boxes = {f"notes/n{column}": trace.Box(Link(f"Thing {column}", "x.html"), column, "") for column in range(4)}
    lines = [trace.Line("notes/n0", "notes/n3", None), trace.Line("notes/n3", "notes/n1", 3.0)]
    assert hidden(str(trace.draw("notes/n0", "This", boxes, lines))) == 0
    way = trace._way
    monkeypatch.setattr(trace, "_way", lambda *given: way(*given)[:: len(way(*given)) - 1])
    assert hidden(str(trace.draw("notes/n0", "This", boxes, lines))) == 2
