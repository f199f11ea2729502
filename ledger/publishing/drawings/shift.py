"""The shift map drawn at build time: selectors and forks in their first state, and the tracks of all states beneath.

The script of the page (`assets/shift-map.js`) moves what is drawn here; without it the pictures stand still.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from math import cos, pi, sin

from markupsafe import Markup

from ledger.publishing.addresses import Link
from ledger.publishing.drawings.curves import look
from ledger.publishing.figures import Grid, number
from ledger.publishing.shift_map import LOADS, Fork, Frame, Selector, ShiftMap

WIDTH = 420.0
DIAL, RADIUS, ACROSS = 132.0, 46.0, 3  # of a selector: its room, its size, and how many stand side by side
ROW, GEAR, SLEEVE, TRAVEL = 72.0, 92.0, 30.0, 62.0  # of a fork: height, breadth of a gear, half a sleeve, its way
MIDDLE, EDGE = WIDTH / 2, 26.0
LANE, HEAD, FOOT = 36.0, 26.0, 24.0  # of the tracks: height of one, and room above and below all
CROWDED = 16
PLACES_NAMED, CLOSE = 20, 10
FIRST = "1"
ALWAYS = 4
# What a gear does in a frame: its look, and the word beside its name.
STATES = {
    "carries": ("wl-map-carries", "carries"),
    "overruns": ("wl-map-overruns", "overruns"),
    "locks": ("wl-map-locks", "locks"),
    "held": ("wl-map-overruns", "held"),
    "free": ("", ""),
}


@dataclass(frozen=True)
class Drawn:
    """The two pictures, what the script moves them by, the table, and which loads can be chosen."""

    mechanism: Markup
    tracks: Markup
    data: str
    grid: Grid
    loads: tuple[tuple[str, str], ...]
    first: Frame
    binds: tuple[str, ...]


def draw(found: ShiftMap) -> Drawn:
    """Return a map drawn, in its first gear where it names gears."""
    loads = tuple(LOADS.items()) if len(found.ways) > 2 else ()
    first = next((state for state in found.states if state.carries and state.name == FIRST), found.states[0])
    return Drawn(
        mechanism(found, first), tracks(found, first), _data(found, first), _grid(found), loads, first, _bound(found)
    )


def _bound(found: ShiftMap) -> tuple[str, ...]:
    """Return the overlaps that lock, those in the same cases together."""
    alike: dict[str, list[str]] = {}
    for name, cases in found.binds.items():
        alike.setdefault(", ".join(cases) if len(cases) < ALWAYS else "either way, under either load", []).append(name)
    return tuple(f"{', '.join(names)}: {cases}" for cases, names in alike.items())


def mechanism(found: ShiftMap, frame: Frame) -> Markup:
    """Return selectors and forks as they stand in a frame."""
    lines = (len(found.selectors) + ACROSS - 1) // ACROSS
    top = lines * DIAL + 8
    height = top + ROW * len(found.forks)
    parts = [
        _selector(place, one, frame.turns[place], len(found.selectors)) for place, one in enumerate(found.selectors)
    ]
    track = 0
    for place, fork in enumerate(found.forks):
        parts.append(_fork(top + ROW * place, fork, track, frame))
        track += len(fork.tracks)
    return _picture("mechanism", "Selectors, forks and gears", _told(found, frame), height, "".join(parts))


def _picture(name: str, title: str, told: str, height: float, drawn: str) -> Markup:
    return Markup(
        f'<svg class="wl-chart wl-map-{name}" viewBox="0 0 {WIDTH:.0f} {height:.0f}" role="img" focusable="false" '
        f'aria-labelledby="map-{name} map-{name}-told"><title id="map-{name}">{escape(title)}</title>'
        f'<desc id="map-{name}-told">{escape(told)}</desc>{drawn}</svg>'
    )


def _selector(place: int, one: Selector, turn: float, count: int) -> str:
    """Return a selector as a disc that turns under a fixed mark; its places share the turn."""
    line, column = divmod(place, ACROSS)
    here = min(ACROSS, count - line * ACROSS)
    x = WIDTH * (2 * column + 1) / (2 * here)
    y = line * DIAL + 18 + RADIUS
    number_of = len(one.places)
    size = 13 if number_of <= CLOSE else 11
    parts = []
    for at, held in enumerate(one.places):
        angle = 2 * pi * at / number_of
        reach = RADIUS - 12
        said = held if number_of <= CLOSE or "+" not in held else "·"
        sx, sy = x + reach * sin(angle), y - reach * cos(angle)
        ends = [(x + r * sin(angle), y - r * cos(angle)) for r in (RADIUS - 4, RADIUS)]
        parts.append(
            f'<path class="wl-map-tick" d="M{ends[0][0]:.1f} {ends[0][1]:.1f}L{ends[1][0]:.1f} {ends[1][1]:.1f}"/>'
        )
        if number_of <= PLACES_NAMED:
            parts.append(
                f'<text x="{sx:.1f}" y="{sy:.1f}" text-anchor="middle" dy="0.36em" style="font-size:{size}px" '
                f'transform="rotate({360 * at / number_of:.1f} {sx:.1f} {sy:.1f})">{escape(said)}</text>'
            )
    share = 360.0 / number_of
    return (
        f'<g data-turn="{place}" data-at="{x:.1f} {y:.1f}" data-share="{share:.4f}" '
        f'transform="rotate({-share * (turn - 1):.2f} {x:.1f} {y:.1f})">'
        f'<circle class="wl-map-disc" cx="{x:.1f}" cy="{y:.1f}" r="{RADIUS:.0f}"/>'
        f'<circle class="wl-map-hub" cx="{x:.1f}" cy="{y:.1f}" r="7"/>{"".join(parts)}</g>'
        f'<path class="wl-map-mark" d="M{x - 7:.1f} {y - RADIUS - 12:.1f}h14l-7 11z"/>'
        f'<text x="{x:.1f}" y="{y + RADIUS + 16:.1f}" text-anchor="middle">{escape(_short(one.name, 20))}</text>'
    )


def _fork(y: float, fork: Fork, track: int, frame: Frame) -> str:
    """Return a fork's row: its name, the gears at its sides, its rail, and a sleeve or its two sides."""
    top, high = y + 26, 34.0
    left, right = EDGE + GEAR, WIDTH - EDGE - GEAR
    parts = [
        f'<text x="{MIDDLE:.0f}" y="{y + 11:.1f}" text-anchor="middle">{escape(_short(fork.name, 40))}</text>',
        f'<path class="wl-map-shaft" d="M{left:.0f} {top + high / 2:.1f}H{right:.0f}"/>',
    ]
    for side, gear in ((EDGE, fork.left), (right, fork.right)):
        parts.append(_gear(side, top, high, gear, frame) if gear else "")
    each = high / len(fork.tracks)
    for place, name in enumerate(fork.tracks):
        said = name.removeprefix(fork.name).strip() if len(fork.tracks) > 1 else ""
        at, below = top + each * place, top + each * (place + 0.5)
        # The rail of the last track lies below the sleeve, that of another above it.
        last = place == len(fork.tracks) - 1
        rail, near = (top + high + 6, at + each - 1) if last else (top - 6, at + 1)
        parts.append(f'<path class="wl-map-rail" d="M{left - 12:.0f} {rail:.1f}H{right + 12:.0f}"/>')
        parts.append(
            f'<g data-track="{track + place}" transform="translate({TRAVEL * frame.offsets[track + place]:.1f} 0)">'
            f'<path class="wl-map-fork" d="M{MIDDLE - 9:.0f} {rail:.1f}h18M{MIDDLE:.0f} {rail:.1f}V{near:.1f}"/>'
            f'<rect class="wl-map-sleeve" x="{MIDDLE - SLEEVE:.0f}" y="{at + 1:.1f}" width="{2 * SLEEVE:.0f}" '
            f'height="{each - 2:.1f}" rx="2"/>'
            f'<text x="{MIDDLE:.0f}" y="{below:.1f}" dy="0.36em" text-anchor="middle" style="font-size:12px">{said}'
            "</text></g>"
        )
    return "".join(parts)


def _gear(x: float, y: float, height: float, gear: str, frame: Frame) -> str:
    state = gear_state(gear, frame)
    look_of, said = STATES[state]
    middle = y + height / 2
    return (
        f'<g class="wl-map-gear {look_of}" data-gear="{escape(gear)}"><rect x="{x:.0f}" y="{y:.1f}" width="{GEAR:.0f}" '
        f'height="{height:.0f}" rx="3"/><text class="wl-map-name" x="{x + 14:.0f}" y="{middle:.1f}" dy="0.36em" '
        f'text-anchor="middle">{escape(gear)}</text><text x="{x + 26:.0f}" y="{middle:.1f}" dy="0.36em" '
        f'style="font-size:12px" data-said="">{said}</text></g>'
    )


def gear_state(gear: str, frame: Frame) -> str:
    """Return what a gear does in a frame: carries, overruns, locks, is held, or is free."""
    if gear not in frame.engaged:
        return "free"
    if frame.locks:
        return "locks"
    if gear == frame.carries:
        return "carries"
    return "overruns" if gear in frame.overruns else "held"


def tracks(found: ShiftMap, frame: Frame) -> Markup:
    """Return every track over all states, overlaps that bind marked, with a cursor at a frame."""
    count, names = len(found.states), found.tracks
    step = (WIDTH - 20) / count
    bottom = HEAD + LANE * len(names)
    parts = []
    for x, overlap in _crossed(found, step):
        parts.append(
            f'<g><title>{escape(overlap)}</title><rect class="wl-map-bind" x="{x - 7:.1f}" y="{HEAD - 6:.1f}" '
            f'width="14" height="{bottom - HEAD + 6:.1f}"/>'
            f'<path class="wl-map-cross" d="M{x - 5:.1f} 5l10 10m0-10l-10 10"/></g>'
        )
    for place, state in enumerate(found.states):
        x = _across(place + 1, step)
        parts.append(f'<path class="wl-chart-grid" d="M{x:.1f} {HEAD:.1f}V{bottom:.1f}"/>')
        if count <= CROWDED or "+" not in state.name:
            size = "" if count <= 12 else ' style="font-size:11px"'
            parts.append(
                f'<text x="{x:.1f}" y="{bottom + 17:.1f}" text-anchor="middle"{size}>{escape(state.name)}</text>'
            )
    for place, name in enumerate(names):
        y = HEAD + LANE * (place + 0.62)
        parts.append(
            f'<text class="wl-map-lane" x="2" y="{y - 14:.1f}" style="font-size:11px">{escape(_short(name, 44))}</text>'
        )
        parts.append(f'<path {look(place)} d="{_developed([one.offsets[place] for one in found.states], step, y)}"/>')
    x = _across(_position(frame), step)
    cursor = (
        f'<g data-cursor="" data-step="{step:.4f}" transform="translate({x:.1f} 0)">'
        f'<path class="wl-map-cursor" d="M0 {HEAD - 4:.1f}V{bottom:.1f}"/>'
        f'<path class="wl-map-mark" d="M-6 {HEAD - 12:.1f}h12l-6 9z"/></g>'
    )
    told = (
        f"{len(names)} tracks over {count} states, {found.states[0].name} to {found.states[-1].name}: "
        f"up is left, down is right. {_binding(found)}"
    )
    return _picture("tracks", "Where every track stands in every state", told, bottom + FOOT, "".join(parts) + cursor)


def _crossed(found: ShiftMap, step: float) -> list[tuple[float, str]]:
    """Return where each overlap that binds lies: at its state, or between those of its gears."""
    names = [state.name for state in found.states]
    places = []
    for overlap, cases in found.binds.items():
        lower, _, upper = overlap.partition("+")
        at = names.index(overlap) + 1 if overlap in names else (names.index(lower) + names.index(upper)) / 2 + 1
        places.append((_across(at, step), f"{overlap} locks {', '.join(cases)}"))
    return places


def _position(frame: Frame) -> float:
    return float(frame.state) if frame.state else frame.after + 0.5


def _across(position: float, step: float) -> float:
    return 10 + step * (position - 0.5)


def _developed(stands: Sequence[float], step: float, y: float) -> str:
    """Return a track as level places joined by ramps, left upwards."""
    half = 0.22 * step
    points = [
        (_across(place, step) + dx, y + 8 * stand) for place, stand in enumerate(stands, 1) for dx in (-half, half)
    ]
    (x, first), *others = points
    return f"M{x:.1f} {first:.1f}" + "".join(f"L{x:.1f} {at:.1f}" for x, at in others)


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def _told(found: ShiftMap, frame: Frame) -> str:
    turned = "; ".join(
        f"{one.name} at place {number(turn)} of {len(one.places)}"
        for one, turn in zip(found.selectors, frame.turns, strict=True)
    )
    away = [f"{name} {_side(at)}" for name, at in zip(found.tracks, frame.offsets, strict=True) if at]
    return f"{frame.name}: {frame.told} {turned}. {'; '.join(away) or 'Every fork in neutral'}."


def _side(offset: float) -> str:
    side = "left" if offset < 0 else "right" if offset > 0 else "neutral"
    return side if abs(offset) in (0, 1) else f"{side}, {abs(offset):g} of its travel"


def _binding(found: ShiftMap) -> str:
    if not found.binds:
        return "No overlap binds." if any(frame.overruns for frame in found.frames) else ""
    return f"Overlaps that would lock: {'; '.join(_bound(found))}."


def _grid(found: ShiftMap) -> Grid:
    names = found.tracks
    rows = [
        (state.name, f"{state.told}{_locks(found, state.name)}", *(_side(at) for at in state.offsets))
        for state in found.states
    ]
    rows += [(f"{name}, on the way", f"Locks {', '.join(cases)}.", *("" for _ in names)) for name, cases in
             found.binds.items() if name not in {state.name for state in found.states}]  # fmt: skip
    return Grid(("state", "what happens", *names), tuple(tuple(Link(cell, None) for cell in row) for row in rows))


def _locks(found: ShiftMap, overlap: str) -> str:
    return f" Locks {', '.join(found.binds[overlap])}." if overlap in found.binds else ""


def _data(found: ShiftMap, first: Frame) -> str:
    """Return the frames and ways as the script reads them, without what stands still."""
    frames = [
        {
            "name": frame.name,
            "told": frame.told,
            "state": frame.state,
            "at": _position(frame),
            "turns": frame.turns,
            "offsets": frame.offsets,
            "gears": {gear: gear_state(gear, frame) for gear in frame.engaged},
        }
        for frame in found.frames
    ]
    looks = {name: {"look": look_of, "said": said} for name, (look_of, said) in STATES.items()}
    told = {"frames": frames, "ways": found.ways, "looks": looks, "travel": TRAVEL, "first": first.state}
    return json.dumps(told, ensure_ascii=False, separators=(",", ":"))
