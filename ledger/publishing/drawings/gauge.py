"""A number drawn against its limit: a value with its interval, a limit with its own doubt, forbidden ground hatched.

Nothing is told by colour alone; the words beside a drawing say it all.
"""

from __future__ import annotations

from html import escape
from math import isfinite

from markupsafe import Markup

from ledger.publishing.figures import number
from ledger.quantities import percents
from ledger.quantities.notation import Z95, Quantity
from ledger.quantities.summary import Summary, show_estimate

WIDTH, HEIGHT, TOP, DEEP = 320.0, 54.0, 19.0, 14.0
MARGIN = 0.14  # of the span, on either side of all that is drawn
HATCH = 7.0
LOOKS = {"for": "wl-gauge-good", "even": "wl-gauge-open", "against": "wl-gauge-bad"}
SHARES = {"for": "wl-gauge-all", "even": "wl-gauge-open", "against": "wl-gauge-some"}
Ends = tuple[float, float, float]


def ends(quantity: Quantity) -> Ends:
    """Return low end, middle and high end of a quantity, in its unit: of 95 % for a normal one, of all for others."""
    if quantity.shape in ("exact", "normal"):
        half = Z95 * quantity.std
        return quantity.mean - half, quantity.mean, quantity.mean + half
    low, high = quantity.support
    return low, quantity.nominal, high


def draw(
    value: Ends,
    unit: str,
    floor: Ends | None = None,
    ceiling: Ends | None = None,
    leaning: str = "for",
    band: Ends | None = None,
) -> Markup:
    """Return a value with its interval against the least and the greatest it may be, or a band that was measured.

    value, floor, ceiling, band  low end, middle and high end, all in one unit
    leaning                      for, even or against: whether it is kept or met
    """
    known = [x for one in (value, floor, ceiling, band) if one is not None for x in one if isfinite(x)]
    low, high = min(known), max(known)
    room = (high - low or abs(high) or 1.0) * MARGIN
    low, high = low - room, high + room

    def place(x: float) -> float:
        return min(max((x - low) / (high - low), 0.0), 1.0) * WIDTH

    parts = [_box("wl-gauge-track", 0.0, WIDTH)]
    if band is not None:
        parts += [_box("wl-gauge-band", place(band[0]), place(band[2])), _edge(place(band[1]))]
        parts.append(_number(place(band[1]), 50.0, number(band[1], unit)))
    for side, limit_ in ((0, floor), (1, ceiling)):
        if limit_ is not None:
            at = place(limit_[1])
            parts += [_hatched(*((0.0, at) if side == 0 else (at, WIDTH)))]
            if limit_[0] < limit_[2]:
                parts.append(_box("wl-gauge-soft", place(limit_[0]), place(limit_[2])))
            both = floor is not None and ceiling is not None
            anchor = ("end", "start")[side] if both else ""
            parts += [_edge(at), _number(at, 50.0, number(limit_[1], unit), anchor)]
    left, middle, right = (place(x) for x in value)
    own = LOOKS[leaning]
    y = TOP + DEEP / 2
    parts.append(f'<path class="wl-gauge-line {own}" d="M{left:.1f} {y:.0f}H{max(right, left + 0.1):.1f}"/>')
    parts.append(f'<circle class="wl-gauge-dot {own}" cx="{middle:.1f}" cy="{y:.0f}" r="5.5"/>')
    parts.append(_number(middle, 12.0, _estimate(value, unit), bold=True))
    return _svg(parts)


def share(chance: float, leaning: str) -> Markup:
    """Return the chance that something holds, as a part of the whole."""
    at, said = WIDTH * chance, percents.chance(chance)
    own = SHARES[leaning]
    parts = [_hatched(at, WIDTH)] if chance < 1 else []
    return _svg(
        [_box("wl-gauge-track", 0.0, WIDTH), *parts, _box(own, 0.0, at), _number(at, 12.0, said, bold=True)],
        TOP + DEEP + 3,
    )


def _estimate(value: Ends, unit: str) -> str:
    """Return the middle of a value, with no more digits than its interval leaves it."""
    low, middle, high = value
    return show_estimate(Summary(middle, 0.0, low, high), unit) if low < high else number(middle, unit)


def _svg(parts: list[str], height: float = HEIGHT) -> Markup:
    return Markup(
        f'<svg class="wl-gauge" viewBox="0 0 {WIDTH:.0f} {height:.0f}" aria-hidden="true" focusable="false">'
        f"{''.join(parts)}</svg>"
    )


def _box(kind: str, left: float, right: float) -> str:
    return f'<rect class="{kind}" x="{left:.1f}" y="{TOP:.0f}" width="{right - left:.1f}" height="{DEEP:.0f}"/>'


def _hatched(left: float, right: float) -> str:
    """Return forbidden ground: tinted, with strokes that lean; each stroke ends where the ground does."""
    strokes, bottom = "", TOP + DEEP
    x = left - DEEP
    while x < right:
        start, stop = max(x, left), min(x + DEEP, right)
        if stop > start:
            strokes += f"M{start:.1f} {bottom - (start - x):.1f}L{stop:.1f} {bottom - (stop - x):.1f}"
        x += HATCH
    return f'{_box("wl-gauge-past", left, right)}<path class="wl-gauge-hatch" d="{strokes}"/>'


def _edge(at: float) -> str:
    return f'<path class="wl-gauge-edge" d="M{at:.1f} {TOP - 3:.0f}V{TOP + DEEP + 5:.0f}"/>'


def _number(at: float, y: float, text: str, anchor: str = "", bold: bool = False) -> str:
    wide = 6.4 * len(text) / 2
    anchor = anchor or ("start" if at < wide else "end" if at > WIDTH - wide else "middle")
    at = {"start": min(at, WIDTH - 2 * wide), "end": max(at, 2 * wide)}.get(anchor, at)
    kind = ' class="wl-gauge-value"' if bold else ""
    return f'<text{kind} x="{at:.1f}" y="{y:.0f}" text-anchor="{anchor}">{escape(text)}</text>'
