"""What a calculation has to draw on a figure, by name, and the words that stand beside it."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.calculators.register import REGISTER
from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation
from ledger.publishing import calculating
from ledger.publishing.addresses import HOME, Ways
from ledger.publishing.drawings.shift import draw
from ledger.publishing.figuring.lettering import Line
from ledger.publishing.turning import mapped

STATES = "states"


@dataclass(frozen=True)
class Drawing:
    """Pictures that stand side by side, and what is said of their lines."""

    pictures: tuple[str, ...]
    lines: tuple[Line, ...]


def drawings(casebook: Casebook, item: Item) -> dict[str, Drawing]:
    """Return what there is to draw, the most telling first: its states, its stack or path, its curves."""
    result = casebook.results.get(item.ref)
    if result is None:
        return {}
    found: dict[str, Drawing] = {}
    if (states := mapped(result, casebook)) is not None:
        drawn = draw(states)
        lock = tuple(Line(f"Would lock: {one}", 24, "--wl-against", most=4) for one in drawn.binds)
        found[STATES] = Drawing((drawn.mechanism, drawn.tracks), lock)
    for one in calculating.run(casebook, REGISTER, result, Ways(casebook, HOME)).outcomes:
        if one.chart is not None:
            legend = tuple(Line(name, 24, sample=str(sample)) for name, sample in one.chart.legend)
            found[one.name] = Drawing((one.chart.svg,), legend)
    return found


def said(casebook: Casebook, item: Item) -> list[Line]:
    """Return the answer of a calculation, and its criteria."""
    result = casebook.results[item.ref]
    limits = calculating.run(casebook, REGISTER, result, Ways(casebook, HOME)).limits
    if not limits:
        return [Line(calculating.in_short(casebook, result), 30, strong=True, most=5)]
    return [Line(f"{one.label}: {one.value}; {one.limit}: {one.kept}", 26, strong=True, most=5) for one in limits]


def kind(item: Item) -> str:
    """Return what kind of calculation it is."""
    name = item.entry.calculator if isinstance(item.entry, Calculation) else ""
    return f"Calculation, {REGISTER[name].title.lower()}" if name in REGISTER else "Calculation"
