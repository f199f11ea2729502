"""A question on a figure: its rivals with bars, intervals and numbers, who leads, and what carries the leader."""

from __future__ import annotations

from collections.abc import Callable

from ledger.casebook.values import Casebook
from ledger.publishing import words
from ledger.publishing.addresses import HOME, Ways
from ledger.publishing.comparing import Rival, answer, compare
from ledger.publishing.figuring.lettering import Line, panel, text, wrapped
from ledger.publishing.reasons import moving_most, named
from ledger.quantities import percents
from ledger.weighing.values import Weighing

PANEL, GAP, TALLEST = 540.0, 64.0, 118.0
MOST, NOTES = 8, 4
Draw = Callable[[float, float], str]


def comparison(casebook: Casebook, weighing: Weighing) -> tuple[Draw, str]:
    """Return what draws the rivals of a question, and the same in words."""
    ways = Ways(casebook, HOME)
    found = compare(casebook, weighing, ways)
    said = answer(weighing, ways)
    rivals = found.rivals[:MOST]
    leading = f"{'Leading' if said.leads else 'No leader; standing highest'}: {said.top.words}"
    lines = [Line(leading, 30, strong=True, most=4)]
    if said.margin:
        ahead = (
            f"{said.decibans} decibans over {said.runner_up.words}: {said.margin}." if said.decibans else said.margin
        )
        lines.append(Line(ahead, 24, most=5))
    if said.why:
        lines.append(Line(said.why, 22, "--wl-soft", most=4))
    place = next((number for number, one in enumerate(found.rivals) if one.link == said.top), 0)
    rival = weighing.standings[place].rival
    told = [Line(f"{words.decibans(weight)} decibans: {name}", 22, f"--wl-{words.leaning(weight)}", most=2) for
            name, weight in _heaviest(casebook, weighing, rival, ways)]  # fmt: skip
    if told:
        lines += [Line("What weighs most for it or against it", 24, strong=True), *told]
    more = len(found.rivals) - len(rivals)
    if more:
        lines.append(Line(f"And {words.count(more, 'rival')} more.", 22, "--wl-soft"))

    def draw(width: float, height: float) -> str:
        bars = width - PANEL - GAP
        row = min(TALLEST, height / len(rivals))
        parts = [_row(one, row * number, row, bars) for number, one in enumerate(rivals)]
        return "".join(parts) + panel(lines, bars + GAP, PANEL, height)

    listed = "; ".join(f"{one.link.words}: {one.confidence}{_range(one)}" for one in found.rivals)
    return draw, f"{leading}. {listed}."


def _heaviest(casebook: Casebook, weighing: Weighing, rival: str, ways: Ways) -> list[tuple[str, float]]:
    """Return what moves a rival most by itself, for or against it, heaviest first, as the page's reasons name it."""
    heavy = moving_most(casebook, weighing, rival)[:NOTES]
    return [(named(ref, weighing, rival, ways).words, weight) for ref, weight in heavy]


def _range(one: Rival) -> str:
    return f" (90{percents.PERCENT} range {one.interval})" if one.interval else ""


def _row(one: Rival, y: float, height: float, width: float) -> str:
    """Return a rival's name above its bar, and its confidence at the bar's right."""
    size = min(28.0, 0.27 * height)
    room = width - 230
    name = wrapped(one.link.words, size, room, 1)[0]
    bar, thick = y + 1.55 * size, 0.3 * height
    drawn = [
        text(0, y + size, name, size, "--wl-ink;font-weight:600" if one.leads else "--wl-ink"),
        f'<rect x="0" y="{bar:.1f}" width="{room:.1f}" height="{thick:.1f}" style="fill:var(--wl-track)"/>',
        f'<rect x="0" y="{bar:.1f}" width="{room * one.share:.1f}" height="{thick:.1f}" style="fill:var(--wl-share)"/>',
        text(room + 20, bar + 0.5 * thick + 0.38 * size, one.confidence, 1.1 * size, "--wl-ink;font-weight:600"),
    ]
    if one.low is not None and one.high is not None and one.low < one.high:
        low, high, middle, half = room * one.low, room * one.high, bar + thick / 2, 0.32 * thick
        drawn.append(
            f'<path style="fill:none;stroke:var(--wl-range);stroke-width:2.6" d="M{low:.1f} {middle - half:.1f}'
            f'v{2 * half:.1f}m0-{half:.1f}H{high:.1f}m0-{half:.1f}v{2 * half:.1f}"/>'
        )
    return "".join(drawn)
