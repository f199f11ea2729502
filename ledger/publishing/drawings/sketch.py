"""Drawings of the build sheet on the page: an SVG that follows the page's colours, with words beside it."""

from __future__ import annotations

from html import escape

from markupsafe import Markup

from ledger.building.contract import Sketch
from ledger.building.drawings.drawing import LAYERS, Circle, Drawing, Line

UNITS = 100.0
MARGIN = 2.0


def draw(sketch: Sketch) -> Markup:
    """Return a drawing as SVG: one user unit a hundredth of a mm, y turned downwards, lines in steps from the last."""
    drawing, known = sketch.coarse, escape(sketch.name)
    least_x, least_y, most_x, most_y = drawing.box
    width, height = most_x - least_x + 2.0 * MARGIN, most_y - least_y + 2.0 * MARGIN
    box = " ".join(_whole(one) for one in (least_x - MARGIN, -most_y - MARGIN, width, height))
    return Markup(
        f'<svg class="wl-drawing" viewBox="{box}" role="img" focusable="false" '
        f'aria-labelledby="{known}-drawn {known}-told"><title id="{known}-drawn">{escape(sketch.title)}</title>'
        f'<desc id="{known}-told">{escape(sketch.told)}</desc>{"".join(_layers(drawing))}</svg>'
    )


def _layers(drawing: Drawing) -> list[str]:
    found = []
    for layer in drawing.layers:
        paths = "".join(_path(line) for line in drawing.lines if line.layer == layer)
        circles = "".join(_circle(one) for one in drawing.circles if one.layer == layer)
        kind = "cut" if LAYERS[layer] else "measure"
        found.append(f'<g class="wl-drawn-{kind}"><path d="{paths}"/>{circles}</g>' if paths else
                     f'<g class="wl-drawn-{kind}">{circles}</g>')  # fmt: skip
    return found


def _path(line: Line) -> str:
    """Return a line as steps of whole units, each from where the one before it ended, so that rounding adds up."""
    places = [(round(UNITS * x), round(-UNITS * y)) for x, y in line.points]
    (x, y), *others = places
    steps = []
    for one, two in others:
        if (one, two) != (x, y):
            steps.append(f"{one - x}{'' if two < y else ' '}{two - y}")
            x, y = one, two
    return f"M{places[0][0]} {places[0][1]}l{' '.join(steps)}{'z' if line.closed else ''}"


def _circle(one: Circle) -> str:
    return f'<circle cx="{_whole(one.x)}" cy="{_whole(-one.y)}" r="{_whole(one.radius)}"/>'


def _whole(value: float) -> str:
    return str(round(UNITS * value))
