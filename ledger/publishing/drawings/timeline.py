"""The confidences of a question as postings came in, drawn at build time: a line a rival, named where it ends.

A confidence stays as it is until the next posting, so lines go in steps. Dates are those of the record.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from html import escape
from textwrap import wrap

from markupsafe import Markup

from ledger.casebook.moments import Moment
from ledger.publishing.addresses import Link
from ledger.publishing.drawings.curves import COLOURS, TOP, WIDTH, Chart, look, sample
from ledger.publishing.figures import Grid
from ledger.quantities import percents

LEFT, NAMES, BELOW = 50.0, 148.0, 30.0
LEAST, LINE, APART = 230.0, 15.0, 6.0
SIGNS, MOST = 17, 3  # of a name in one line, and its lines
DAY = 76.0  # the room that a date needs


@dataclass(frozen=True)
class _Name:
    """Where a line ends, and the lines of its name."""

    index: int
    end: float
    text: tuple[str, ...]

    @property
    def height(self) -> float:
        return LINE * len(self.text) + APART


def draw(
    question: str, title: str, moments: Sequence[Moment], rivals: Mapping[str, Link], mark: str = ""
) -> Chart | None:
    """Return the picture of a question's confidences, or None where there are not two moments to join.

    rivals  in the order of their lines and names; those that end before the last moment stand in a legend
    mark    the time of the moment to be marked, as one of the moments has it
    """
    told = [one for one in moments if question in one.confidences]
    if len(told) < 2:
        return None
    seen = {rival: link for rival, link in rivals.items() if any(rival in one.confidences[question] for one in told)}
    last = told[-1].confidences[question]
    xs = _across(told)
    names = [
        _Name(index, last[rival], _lines(link.words))
        for index, (rival, link) in enumerate(seen.items())
        if rival in last
    ]
    height = max(LEAST, sum(one.height for one in names))
    parts = _frame(told, xs, height)
    if mark in (times := [one.at for one in told]):
        x = xs[times.index(mark)]
        parts.append(f'<path class="wl-chart-frame" stroke-dasharray="3 3" d="M{x:.1f} {TOP:.1f}V{TOP + height:.1f}"/>')
    for index, rival in enumerate(seen):
        parts += _line(index, xs, [one.confidences[question].get(rival) for one in told], height)
    parts += _names(names, height)
    known = re.sub(r"\W", "-", question)
    svg = (
        f'<svg class="wl-chart" viewBox="0 0 {WIDTH:.0f} {TOP + height + BELOW:.0f}" role="img" focusable="false" '
        f'aria-labelledby="course-{known} course-{known}-told"><title id="course-{known}">{escape(title)}</title>'
        f'<desc id="course-{known}-told">{escape(_said(question, told, seen))}</desc>{"".join(parts)}</svg>'
    )
    gone = tuple((link.words, sample(index)) for index, (rival, link) in enumerate(seen.items()) if rival not in last)
    return Chart(Markup(svg), gone, _grid(question, told, seen))


def _across(told: Sequence[Moment]) -> list[float]:
    """Return where each moment stands; a clock that once went back does not turn the line back."""
    seconds = [datetime.fromisoformat(one.at).timestamp() for one in told]
    for place in range(1, len(seconds)):
        seconds[place] = max(seconds[place], seconds[place - 1])
    width, span = WIDTH - NAMES - LEFT, seconds[-1] - seconds[0]
    if not span:
        return [LEFT + width * place / (len(told) - 1) for place in range(len(told))]
    return [LEFT + width * (one - seconds[0]) / span for one in seconds]


def _frame(told: Sequence[Moment], xs: Sequence[float], height: float) -> list[str]:
    bottom, end = TOP + height, WIDTH - NAMES
    parts = ['<text x="2" y="14">confidence</text>']
    for percent in (0, 25, 50, 75, 100):
        y = bottom - height * percent / 100
        parts.append(f'<path class="wl-chart-grid" d="M{LEFT:.1f} {y:.1f}H{end:.1f}"/>')
        parts.append(f'<text x="{LEFT - 6:.1f}" y="{y + 4.5:.1f}" text-anchor="end">{percent}{percents.PERCENT}</text>')
    parts.append(f'<path class="wl-chart-frame" d="M{LEFT:.1f} {TOP:.1f}V{bottom:.1f}H{end:.1f}"/>')
    hours = slice(11, 16) if told[0].at[:10] == told[-1].at[:10] else slice(10)
    for place in _dated(xs):
        anchor = "start" if place == 0 else "end" if place == len(xs) - 1 else "middle"
        x = xs[place]
        parts.append(f'<path class="wl-chart-frame" d="M{x:.1f} {bottom:.1f}v5"/>')
        parts.append(f'<text x="{x:.1f}" y="{bottom + 20:.1f}" text-anchor="{anchor}">{told[place].at[hours]}</text>')
    return parts


def _dated(xs: Sequence[float]) -> list[int]:
    """Return the moments whose dates find room: the first, the last, and what fits between."""
    found, end = [0], xs[-1] - DAY
    for place in range(1, len(xs) - 1):
        before = xs[found[-1]] + (DAY if found[-1] == 0 else DAY / 2)
        if before + DAY / 2 <= xs[place] <= end - DAY / 2:
            found.append(place)
    return [*found, len(xs) - 1]


def _line(index: int, xs: Sequence[float], shares: Sequence[float | None], height: float) -> list[str]:
    """Return the steps of one rival, broken where it was not there, and a dot for each posting."""
    path, dots, down = "", [], False
    for x, share in zip(xs, shares, strict=True):
        if share is None:
            path, down = path + (f"H{x:.1f}" if down else ""), False
            continue
        y = TOP + height * (1 - share)
        path += f"H{x:.1f}V{y:.1f}" if down else f"M{x:.1f} {y:.1f}"
        dots.append(f'<circle class="wl-line wl-line-{index % COLOURS}" cx="{x:.1f}" cy="{y:.1f}" r="1.6"/>')
        down = True
    return [f'<path {look(index)} d="{path}"/>', *dots]


def _names(names: Sequence[_Name], height: float) -> list[str]:
    """Return the names beside the ends of their lines, pushed apart where they would cover each other."""
    ranked = sorted(names, key=lambda one: (-one.end, one.index))
    tops: list[float] = []
    for one in ranked:
        least = tops[-1] + ranked[len(tops) - 1].height if tops else TOP - APART
        tops.append(max(least, TOP + height * (1 - one.end) - one.height / 2))
    most = TOP + height + APART
    for place in reversed(range(len(ranked))):
        tops[place] = min(tops[place], most - ranked[place].height)
        most = tops[place]
    parts = []
    for one, top in zip(ranked, tops, strict=True):
        end, middle, x = TOP + height * (1 - one.end), top + one.height / 2, WIDTH - NAMES
        parts.append(f'<path {look(one.index)} d="M{x:.1f} {end:.1f}L{x + 10:.1f} {middle:.1f}"/>')
        for number, text in enumerate(one.text):
            y = top + APART / 2 + LINE * (number + 0.8)
            parts.append(f'<text x="{x + 14:.1f}" y="{y:.1f}">{escape(text)}</text>')
    return parts


def _lines(text: str) -> tuple[str, ...]:
    """Return a name in few lines; a longer one ends in dots, and stands in full in the table and the words."""
    return tuple(wrap(text, SIGNS, max_lines=MOST, placeholder="…")) or (text,)


def _said(question: str, told: Sequence[Moment], rivals: Mapping[str, Link]) -> str:
    """Return in words where each line begins and ends."""
    said = [f"Confidence after each posting from {told[0].at[:10]} to {told[-1].at[:10]}."]
    for rival, link in rivals.items():
        own = [one for one in told if rival in one.confidences[question]]
        first, last = (percents.chance(one.confidences[question][rival]) for one in (own[0], own[-1]))
        since = f" on {own[0].at[:10]}" if own[0] is not told[0] else ""
        until = f" on {own[-1].at[:10]}, its last" if own[-1] is not told[-1] else ""
        said.append(f"{link.words}: from {first}{since} to {last}{until}.")
    return " ".join(said)


def _grid(question: str, told: Sequence[Moment], rivals: Mapping[str, Link]) -> Grid:
    heads = ("posted", *(link.words for link in rivals.values()))
    rows = [
        (one.at[:10], *(percents.chance(found[rival]) if rival in found else "–" for rival in rivals))
        for one in told
        for found in [one.confidences[question]]
    ]
    return Grid(heads, tuple(tuple(Link(cell, None) for cell in row) for row in rows))
