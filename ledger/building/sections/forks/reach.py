"""How forks reach: from the sleeve to the rail, from the rail to the pin in its track; the rails; a fork's drawing."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from typing import Any

import numpy as np

from ledger.building.contract import BillItem, Problem, Sketch
from ledger.building.drawings.drawing import BORE, OUTLINE, REFERENCE, Circle, Drawing, Line
from ledger.building.drawings.outlines import fork as outline
from ledger.building.reading import drawn, nominal, slug

OTHER = {"left": "right", "right": "left"}


def reached(
    fork: dict[str, Any],
    place: dict[str, Any],
    rail: dict[str, Any],
    axes: dict[str, tuple[float, float]],
    pin: tuple[float, float, float] | None,
) -> tuple[dict[str, Any], dict[str, Any], list[Problem]]:
    """Return the cells of a fork's place that say how its arm reaches, those of its sizes, and problems.

    place  the fork's, with the shaft its sleeve is on; pin  where its pin stands in neutral, None while undecided
    """
    x, y = nominal(rail["at_x"], "Where a rail stands"), nominal(rail["at_y"], "Where a rail stands")
    arms: dict[str, Any] = {}
    if pin is not None:
        arms = {"rail_from_pin_x": pin[0] - x, "rail_from_pin_y": pin[1] - y}
        if "neutral" in place:
            arms["fork_to_pin"] = pin[2] - place["neutral"]
    axis = axes.get(place.get("on", ""))
    if axis is None:
        return arms, {}, []
    reach = hypot(x - axis[0], y - axis[1])
    problems = []
    if reach <= float(np.max(drawn(fork["sleeve"]))) / 2.0:
        said = f"Its rail is {reach:.4g} mm from the sleeve's axis, within the sleeve. Move the rail in `fork-rails`."
        problems.append(Problem(True, f"fork {fork['fork']}", said))
        return arms, {}, problems
    return arms, {"reach": reach}, problems


def toward(place: dict[str, Any], stations: Sequence[dict[str, Any]] | None, plus: str | None) -> dict[str, Any]:
    """Return towards which parts a fork moves at + and at −, where the side of the pins is decided.

    plus  the side along the shafts on which the pins stand, which is where + leads
    """
    if plus is None or stations is None or "on" not in place:
        return {}
    own = [one["part"] for one in stations if one["shaft"] == place["on"]]
    at = own.index(place["station"])
    found = {"left": own[at - 1] if at else "the left end", "right": (*own, "the right end")[at + 1]}
    return {"plus": f"{found[plus]} ({plus})", "minus": f"{found[OTHER[plus]]} ({OTHER[plus]})"}


def rail_rows(rails: list[dict[str, Any]] | None, rod: Any, span: Any) -> tuple[list[dict[str, Any]], list[BillItem]]:
    """Return the rows of the rails, and their lines of the bill; their lengths where the span is decided."""
    rows, items = [], []
    thick = nominal(rod, "The rail")
    for rail in rails or []:
        row = {"rail": rail["rail"], "rod": rod, "x": rail["at_x"], "y": rail["at_y"]}
        length = "length undecided"
        if span is not None:
            left, right = nominal(rail["left"], "The rail's end"), nominal(rail["right"], "The rail's end")
            ends = nominal(span, "The span") + right
            row |= {"begins": -left, "ends": ends, "length": ends + left}
            length = f"{ends + left:.4g} mm long"
        rows.append(row)
        stock = f"ground rod, ⌀ {thick:g} mm h6, {length}"
        items.append(BillItem(f"rail, {rail['rail']}", 1, "steel", "", stock,
                              of=("fork_rail", "fork_rails", "shaft_span")))  # fmt: skip
    return rows, items


def tongue(fork: dict[str, Any], rail: dict[str, Any], axis: tuple[float, float], boss: Any) -> dict[str, Any]:
    """Return a fork's tongue: from which axis to which rail it goes, and how wide it is."""
    at = nominal(rail["at_x"], "Where a rail stands"), nominal(rail["at_y"], "Where a rail stands")
    return {"fork": fork["fork"], "rail": rail["rail"], "axis": axis, "at": at, "boss": nominal(boss, "The boss")}


def fork_sketch(fork: dict[str, Any], row: dict[str, Any], rod: Any, boss: Any, of: tuple[str, ...]) -> Sketch:
    """Return the drawing of a fork's plate about its sleeve's axis, the rail along x. ValueError where it cannot be."""
    opening, across = float(np.mean(row["opening"])), float(np.mean(row["across"]))
    rail, sleeve = nominal(rod, "The rail"), nominal(fork["sleeve"], "The sleeve")
    bottom = nominal(fork["groove_bottom"], "The bottom of the groove")
    reach = float(row["reach"])
    title = f"Fork, {fork['fork']}: plate of {float(np.mean(row['pad'])):.3g} mm"
    told = f"{title}: half a ring from {opening:.4g} to {across:.4g} mm, its rail {reach:.4g} mm off the sleeve's axis."
    line = Line(OUTLINE, outline(opening, across, reach, nominal(boss, "The boss")), True)
    circles = (
        Circle(BORE, round(reach, 6), 0.0, rail / 2.0),
        Circle(REFERENCE, 0.0, 0.0, sleeve / 2.0),
        Circle(REFERENCE, 0.0, 0.0, bottom / 2.0),
    )
    drawing = Drawing(title, (line,), circles)
    return Sketch(f"fork-{slug(fork['fork'])}", title, f"{told} Dashed: sleeve and groove.", drawing, drawing, of)
