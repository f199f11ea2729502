"""Curves drawn at build time: what is drawn, what stands beside it for those who do not see it."""

from __future__ import annotations

import re
from dataclasses import replace
from math import cos, inf, sin
from xml.etree import ElementTree

import pytest

from ledger.calculators.contract import Output
from ledger.calculators.results import Outcome
from ledger.publishing.drawings.curves import MOST_ROWS, draw
from tests import casebook_calculators, casebooks
from tests.casebook_calculators import REGISTER
from tests.casebooks import pages_of

AXES = ("engagement [mm]", "torque [N·m]")


def points(series: int = 2, count: int = 100) -> list[dict[str, object]]:
    """Return straight lines of different slopes."""
    return [
        {"series": f"line {one}", "x": place / 10, "y": 500.0 * (one + 1) * place / 10}
        for one in range(series)
        for place in range(count)
    ]


def lines(svg: str) -> list[ElementTree.Element]:
    """Return the drawn lines of a chart, which also proves it well formed."""
    return ElementTree.fromstring(svg).findall("polyline")


def test_a_chart_has_a_text_alternative() -> None:
    """A chart is a picture with a title and a description, which says where each line begins and ends."""
    chart = draw("curves", "Capacity <over> engagement", AXES, points())
    assert chart is not None
    root = ElementTree.fromstring(chart.svg)
    assert root.get("role") == "img"
    named = {one.get("id"): one.text or "" for one in root if one.tag in ("title", "desc")}
    assert list(named) == (root.get("aria-labelledby") or "").split()
    title, told = named.values()
    assert title == "Capacity <over> engagement"
    assert "line 1: from 0 at 0 to 9900 at 9.9" in told


def test_lines_differ_in_dashes_as_well_as_in_colour() -> None:
    """No two of many lines have the same colour and dashes, and the first eight differ in each."""
    chart = draw("curves", "Many", AXES, points(20, 3))
    assert chart is not None
    looks = [(one.get("class"), one.get("stroke-dasharray")) for one in lines(chart.svg)]
    assert len(set(looks)) == 20
    assert len({colour for colour, _ in looks}) == 8
    assert len({dashes for _, dashes in looks[:8]}) == 8
    assert len(chart.legend) == 20


@pytest.mark.parametrize(("series", "count"), [(1, 500), (2, 100), (7, 33), (40, 50)])
def test_the_table_beside_it_is_thinned(series: int, count: int) -> None:
    """The data stand in a table of sixty rows or fewer, the ends of a lone line among them."""
    chart = draw("curves", "Many", AXES, points(series, count))
    assert chart is not None
    assert 0 < len(chart.grid.rows) <= MOST_ROWS
    assert all(len(row) == len(chart.grid.heads) for row in chart.grid.rows)
    if series == 1:
        assert (chart.grid.rows[0][0].words, chart.grid.rows[-1][0].words) == ("0", "49.9")


def test_ticks_are_round_numbers_within_the_drawing() -> None:
    """Numbers on the axes are few, round and in order, whatever the sizes; huge and tiny ones share a power of ten."""
    for size in (1e-9, 0.37, 1.0, 96.0, 12345.0, 4e7, -4e7):
        chart = draw("curves", "Sizes", AXES, [{"series": "", "x": place, "y": place * size} for place in range(9)])
        assert chart is not None
        texts = [one.text or "" for one in ElementTree.fromstring(chart.svg).findall("text")]
        ticks = [one for one in texts if re.fullmatch(r"−?[\d.]+", one)]
        assert 6 <= len(ticks) <= 24, size
        assert all(len(one) <= 6 for one in ticks), (size, ticks)
        assert len(set(ticks)) >= 4


def test_lines_stay_within_the_drawing() -> None:
    """No point of a line lies outside the axes."""
    chart = draw("curves", "Lines", AXES, points(5))
    assert chart is not None
    for one in lines(chart.svg):
        for pair in (one.get("points") or "").split():
            x, y = map(float, pair.split(","))
            assert 0 <= x <= 420
            assert 26 - 0.1 <= y <= 254.1


def test_a_circle_stays_round() -> None:
    """Where both axes have the same unit, both have the same scale."""
    round_ = [{"series": "groove", "x": 40 * cos(turn / 10), "y": 40 * sin(turn / 10)} for turn in range(63)]
    chart = draw("curves", "Grooves", ("across [mm]", "up [mm]"), round_)
    assert chart is not None
    pairs = [tuple(map(float, one.split(","))) for one in (lines(chart.svg)[0].get("points") or "").split()]
    wide, high = (max(one[axis] for one in pairs) - min(one[axis] for one in pairs) for axis in (0, 1))
    assert wide == pytest.approx(high, rel=0.01)


def test_one_point_and_level_lines_are_drawn() -> None:
    """A lone point and a level line have axes too; points without a finite place are left out; none give no chart."""
    assert draw("curves", "One", AXES, [{"series": "", "x": 0.0, "y": 0.0}]) is not None
    assert draw("curves", "Level", AXES, [{"series": "", "x": place, "y": 5.0} for place in range(3)]) is not None
    assert draw("curves", "None", AXES, [{"series": "", "x": 0.0, "y": inf}]) is None
    assert draw("curves", "None", AXES, []) is None


def test_a_calculation_page_draws_its_curves() -> None:
    """A calculation's page has chart, legend and folded table, and the same bytes each time."""
    book = casebooks.casebook()
    ref = "calculations/drum-length"
    value = tuple(points())
    outcome = Outcome("reach", "Reach", "", "curves", value=value)  # type: ignore[arg-type]
    made = replace(book, results={**book.results, ref: replace(book.results[ref], outcomes=(outcome,))})
    axial = replace(
        casebook_calculators.AXIAL,
        outputs=(*casebook_calculators.AXIAL.outputs, Output("reach", "Reach", form="curves", axes=AXES)),
    )
    register = {**REGISTER, axial.name: axial}
    page = pages_of(made, register)["calculations/drum-length.md"]
    assert page == pages_of(made, register)["calculations/drum-length.md"]
    svg = re.search(r'<svg class="wl-chart".*?</svg>', page)
    assert svg is not None
    assert {"engagement [mm]", "torque [N·m]"} <= {one.text for one in ElementTree.fromstring(svg[0]).findall("text")}
    assert "The same as a table of 60 rows" in page
    assert page.index("wl-legend") > page.index("wl-chart")
