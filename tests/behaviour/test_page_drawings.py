"""Stacks and torque paths drawn at build time: true to scale, with words and a table beside them."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pytest

from ledger.calculators.results import Bound, Outcome, Result
from ledger.publishing.addresses import Link
from ledger.publishing.drawings import path as path_drawing
from ledger.publishing.drawings import stack as stack_drawing
from ledger.publishing.drawings import trace
from ledger.publishing.drawings.curves import Chart
from ledger.quantities.summary import Summary

PARTS = (("wheel", 40.0, 0.5), ("sleeve", 44.0, 1.0), ("housing", -70.0, 0.2))


def result(name: str, rows: tuple[dict[str, Any], ...], inputs: tuple[Bound, ...] = ()) -> Result:
    """Return a result with one table."""
    return Result("calculations/x", "axial-length", inputs, (Outcome(name, name, "", "rows", value=rows),), (), {})


def stack(parts: tuple[tuple[str, float, float], ...], pieces: int = 1) -> Chart:
    """Return the drawing of a stack whose first part is of some pieces."""
    rows = tuple(
        {"layout": "this", "part": part, stack_drawing.NOMINAL: length, stack_drawing.WORST: off}
        for part, length, off in parts
    )
    given = ({"part": parts[0][0], "quantity": str(pieces)},)
    bound = Bound("layout", "Parts", "", "rows", None, None, "", None, None, given)
    chart = stack_drawing.draw(result("parts", rows, (bound,)))
    assert chart is not None
    return chart


def rectangles(svg: str) -> list[tuple[float, float, float]]:
    """Return left, top and width of every rectangle, which also proves the drawing well formed."""
    found = ElementTree.fromstring(svg).iter("rect")
    return [(float(one.get("x", 0)), float(one.get("y", 0)), float(one.get("width", 0))) for one in found]


def test_a_stack_is_to_scale() -> None:
    """Every part's breadth is its length on one scale, and each begins where the one before it ends."""
    rows: dict[float, tuple[float, float]] = {}
    for left, top, width in rectangles(stack(PARTS).svg):
        rows.setdefault(top, (left, width))
    (wheel, sleeve, housing, total) = [rows[top] for top in sorted(rows)][1:]
    assert wheel[1] / sleeve[1] == pytest.approx(40 / 44, abs=2e-3)
    assert sleeve[0] == pytest.approx(wheel[0] + wheel[1], abs=0.11)
    assert housing[0] + housing[1] == pytest.approx(sleeve[0] + sleeve[1], abs=0.11)
    assert total[1] / wheel[1] == pytest.approx(14 / 40, abs=2e-3)


def test_a_stack_is_told_and_tabled() -> None:
    """The words name every part and the sum, and the table has the chain up to each part."""
    chart = stack(PARTS, pieces=4)
    desc = ElementTree.fromstring(chart.svg).findtext("desc") or ""
    assert "4 × wheel, 40 mm" in desc
    assert "housing, takes away 70 mm; all together 14 mm" in desc
    assert [row[-1].words for row in chart.grid.rows] == ["40", "84", "14"]
    assert chart.grid.rows[0][2].words == "4"


def test_a_wrong_scale_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check on scale refuses a drawing in which lengths are stretched after the first."""
    middle = stack_drawing._middle
    monkeypatch.setattr(
        stack_drawing, "_middle", lambda cell: middle(cell) if middle(cell) == 40 else 1.1 * middle(cell)
    )
    with pytest.raises(AssertionError):
        test_a_stack_is_to_scale()


def test_nothing_is_drawn_of_nothing() -> None:
    """A result without parts, with other columns, or with parts of no length has no stack."""
    assert stack_drawing.draw(result("parts", ())) is None
    assert stack_drawing.draw(result("parts", ({"part": "wheel"},))) is None
    flat = {"layout": "this", "part": "shim", stack_drawing.NOMINAL: 0.0, stack_drawing.WORST: 0.0}
    assert stack_drawing.draw(result("parts", (flat,))) is None
    assert path_drawing.draw(result("elements", ())) is None
    assert path_drawing.draw(result("elements", ({"element": "shaft"},))) is None


def path(*elements: tuple[str, str, float, float]) -> Chart:
    """Return the drawing of elements: name, where, what each must hold and holds."""
    rows = tuple(
        {
            "element": name,
            "where": where,
            path_drawing.MUST: must,
            path_drawing.HOLDS: Summary(holds, 1.0, holds - 2, holds + 2),
            path_drawing.SURE: 100.0,
            path_drawing.WEAKEST: 25.0,
        }
        for name, where, must, holds in elements
    )
    chart = path_drawing.draw(result("elements", rows))
    assert chart is not None
    return chart


def test_a_path_goes_from_before_to_after_the_ratio() -> None:
    """Elements before the ratio come first, whatever their order in the table, and bars share one scale."""
    chart = path(("shaft", "after the ratio", 30.0, 60.0), ("teeth", "before the ratio", 10.0, 20.0))
    assert [row[0].words for row in chart.grid.rows] == ["teeth", "shaft"]
    widths = [width for _, _, width in rectangles(chart.svg)]
    assert [round(one / widths[1]) for one in widths] == [2, 1, 6, 3]
    desc = ElementTree.fromstring(chart.svg).findtext("desc") or ""
    assert "teeth, before the ratio, must hold 10 N·m and holds 20.0 ± 2.0 N·m: it holds in all draws" in desc


def test_a_trace_names_every_kind_that_a_column_holds() -> None:
    """A precedent stands among notes and measurements, and the head and the description of its column say so."""
    boxes = {
        "decisions/drum": trace.Box(Link("A drum", "drum.html"), 3, ""),
        "precedents/lathe": trace.Box(Link("A lathe", "lathe.html"), 1, ""),
    }
    drawn = str(trace.draw("decisions/drum", "A drum", boxes, [trace.Line("precedents/lathe", "decisions/drum", None)]))
    assert 'class="wl-trace-head"' in drawn
    assert drawn.count("note, measurement, precedent") == 2
