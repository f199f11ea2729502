"""Drawings of pages put onto a figure, as large as there is room, with words beside them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from ledger.publishing.drawings.curves import Chart
from ledger.publishing.figuring.lettering import Line, panel
from ledger.publishing.figuring.nesting import at, size

GAP = 60.0
LEAST = 430.0  # of the words' width


def placed(chart: Chart) -> Callable[[float, float], str]:
    """Return what draws a chart alone, or with its legend beside it."""
    return beside((chart.svg,), [Line(name, 24, sample=str(sample)) for name, sample in chart.legend])


def beside(drawings: Sequence[str], lines: Sequence[Line], last: str = "") -> Callable[[float, float], str]:
    """Return what draws pictures side by side with a panel of words on their right; `last` ends the panel."""
    told = [*lines, *([Line(last, 20, "--wl-soft")] if last else [])]

    def draw(width: float, height: float) -> str:
        room = width - (LEAST + GAP if told else 0.0)
        sizes = [size(one) for one in drawings]
        scale = min((room - GAP * (len(sizes) - 1)) / sum(w for w, _ in sizes), *(height / h for _, h in sizes))
        x, parts = 0.0, []
        if not told:
            x = (width - scale * sum(w for w, _ in sizes) - GAP * (len(sizes) - 1)) / 2
        for one, (w, h) in zip(drawings, sizes, strict=True):
            parts.append(at(one, x, 0.0, scale * w, scale * h))
            x += scale * w + GAP
        return "".join(parts) + (panel(told, x, width - x, height) if told else "")

    return draw
