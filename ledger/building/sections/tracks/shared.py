"""What drum and disc share: their positions, the motion between them, and a track as stations for table and drawing.

Angles are in degrees on the sheet, stands in travels. The nominal travel is drawn; tables carry its doubt.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import radians
from typing import Any

import numpy as np

from ledger.building.contract import AS_MODEL, GAP, WALL, BillItem, Column, Feature, Problem, millimetres
from ledger.building.reading import drawn, nominal
from ledger.calculators.cam_parts import ARRIVING, LEAVING, read_tracks
from ledger.calculators.contract import Choice, Draws, Input, Number, Rows, Text, Whole
from ledger.mechanics import cam_drive, drum_track, motion_laws
from ledger.mechanics.model_scale import PROCESSES
from ledger.mechanics.standard_parts import stock_pin

DRAWN_EVERY = 0.5
COARSE_EVERY = 3.0
SOURCES = (
    "Motion laws and pressure angle: Norton, Cam Design and Manufacturing Handbook, 2nd ed. (2009), ch. 2, 3, 7.",
)
MOTION = ("tracks", "dwell", "law", "spread", "turn", "moves", "order")


@dataclass(frozen=True)
class Motion:
    """The motion of all tracks.

    tracks  stands by track; travel  drawn [mm], and `built`, its nominal; step, arc  [rad]
    width   of the groove [mm]: the pin and its play; depth [mm]
    """

    tracks: Mapping[str, list[float]]
    travel: Draws
    built: float
    law: str
    step: float
    arc: float
    dwell: float
    moves: int
    arriving: bool
    pin: float
    width: float
    depth: float

    @property
    def swing(self) -> float:
        """The widest swing of a track [travels]."""
        return max(max(stands) - min(stands) for stands in self.tracks.values())

    def longest(self, name: str) -> float:
        """Return the longest move of a track [travels]."""
        stands = self.tracks[name]
        return max(abs(after - before) for before, after in pairwise(stands))

    def stand(self, name: str, angle: float) -> float:
        """Return where a track stands [travels] at an angle from the first position [°]."""
        given = self.step, self.dwell, self.moves, self.arriving
        return float(cam_drive.offset_at(self.law, self.tracks[name], *given, radians(angle)))

    def angles(self, every: float) -> list[float]:
        """Return angles from the first position to the last [°]: at even steps, and where moves begin and end."""
        steps = len(next(iter(self.tracks.values()))) - 1
        step, arc, rest = (float(np.degrees(one)) for one in (self.step, self.arc, self.step * self.dwell / 2.0))
        corners = [place * step + rest + move * arc for place in range(steps) for move in range(self.moves + 1)]
        even = np.arange(0.0, steps * step, every).tolist()
        return sorted({round(angle, 6) for angle in (*even, *corners, steps * step)})


def motion(given: Mapping[str, Any]) -> Motion:
    """Return the motion that parameters, by name without their prefix, state. ValueError for what cannot be."""
    rows = given["tracks"]
    positions = len(rows[0]["stands"].split())
    if positions < 2:
        raise ValueError(f"Track {rows[0]['track']}: {positions} stand given; expected one for each position.")
    tracks = read_tracks(rows, float(positions))
    full = given["spread"] == drum_track.FULL_TURN
    turn, dwell = nominal(given["turn"], "The turn"), nominal(given["dwell"], "The share at rest")
    moves = int(nominal(given["moves"], "The number of moves"))
    step = float(drum_track.step_angle(float(positions), full, radians(turn)))
    pin, play = nominal(given["pin"], "The pin"), nominal(given["play"], "The play of the pin")
    return Motion(
        tracks=tracks,
        travel=drawn(given["travel"]),
        built=nominal(given["travel"], "The travel"),
        law=given["law"],
        step=step,
        arc=float(drum_track.move_arc(step, dwell, moves)),
        dwell=dwell,
        moves=moves,
        arriving=given["order"] == ARRIVING,
        pin=pin,
        width=pin + play,
        depth=nominal(given["depth"], "The depth of the track"),
    )


def parameters(prefix: str, more: tuple[Input, ...]) -> tuple[Input, ...]:
    """Return the parameters that drum and disc share, under a prefix, and then some of their own."""
    return (
        Rows(
            f"{prefix}_tracks",
            "Where each track stands at each position (+, 0 and -, or shares of the travel)",
            (
                Text("track", "Track"),
                Text("stands", "Stands, position by position"),
                Number("pin_at", "Where its pin stands about the axis, from the first's", "°", -360.0, 360.0,
                       default="0 °", limits=True),
            ),
        ),
        Number(f"{prefix}_travel", "Travel of a fork from neutral into a gear", "mm", 0.01, 500.0, limits=True),
        Number(f"{prefix}_pin", "Diameter of the pin", "mm", 0.1, 500.0, limits=True),
        millimetres(f"{prefix}_play", "Play of the pin in its track", 0.0, "0 mm"),
        millimetres(f"{prefix}_depth", "Depth of the track", 0.0),
        Number(f"{prefix}_dwell", "Share of a step in which no fork moves", low=0.0, high=0.95, default="0.2"),
        Choice(f"{prefix}_law", "Motion law", motion_laws.LAWS, default=motion_laws.MODIFIED_SINE),
        Choice(f"{prefix}_spread", "The positions share a full turn, or lie on a part of one",
               (drum_track.FULL_TURN, drum_track.PART_TURN), default=drum_track.FULL_TURN),
        Number(f"{prefix}_turn", "Turn from first to last position, for a part of a turn", "°", 3.0, 360.0,
               default="360 °"),
        Whole(f"{prefix}_moves", "Moves one after the other within a step", 1, 4, default="1"),
        Choice(f"{prefix}_order", "Which comes first, where a step has several moves", (LEAVING, ARRIVING),
               default=LEAVING),
        Number(f"{prefix}_limit", "Limiting pressure angle", "°", 1.0, 80.0, default="30 °", limits=True),
        Number(f"{prefix}_points", "Angle from row to row of the track's table", "°", 0.1, 10.0, default="1 °"),
        *more,
        Choice(f"{prefix}_process", "How it is made", (AS_MODEL, *PROCESSES), default=AS_MODEL),
        Text(f"{prefix}_material", "What it is made of", default="not stated"),
    )  # fmt: skip


def motion_cells(one: Motion) -> dict[str, float]:
    """Return the cells of the columns that drum and disc share."""
    step, arc = np.degrees(one.step), np.degrees(one.arc)
    return {"step": step, "arc": arc, "rest": step * one.dwell, "width": one.width, "depth": one.depth}


def motion_columns(prefix: str, what: str) -> tuple[Column, ...]:
    """Return the columns that drum and disc share; `what` is one of its tracks in words."""
    turned = of(prefix, "tracks", "spread", "turn")
    return (
        Column("step", "From one position to the next", "°", turned),
        Column("arc", "Arc of a move", "°", (*turned, *of(prefix, "dwell", "moves"))),
        Column("rest", "Arc of the rest", "°", (*turned, *of(prefix, "dwell")), behind=True),
        Column("width", f"Width of {what}", "mm", of(prefix, "pin", "play")),
        Column("depth", f"Depth of {what}", "mm", of(prefix, "depth")),
    )


def dowels(prefix: str, part: str, one: Motion) -> BillItem:
    """Return the pins that run in the tracks, as a line of the bill."""
    pin = f"dowel pin, ISO 8734, ⌀ {one.pin:g} m6" if stock_pin(one.pin)[0] else f"pin, ⌀ {one.pin:g} mm, to be turned"
    note = f"as long as its arm is thick, and up to {one.depth:g} mm more, which run in the track"
    return BillItem(part, len(one.tracks), "steel", "", pin, note=note, of=of(prefix, "pin", "depth"))


def unsold(about: str, one: Motion) -> list[Problem]:
    """Return a caution where no dowel pin of the tracks' diameter is sold."""
    sold, nearest = stock_pin(one.pin)
    if sold:
        return []
    said = f"No dowel pin of ISO 8734 is {one.pin:g} mm thick; the nearest is {nearest:g} mm. Take that, or turn them."
    return [Problem(False, about, said)]


def of(prefix: str, *names: str) -> tuple[str, ...]:
    """Return parameters' names under a prefix."""
    return tuple(f"{prefix}_{name}" for name in names)


def unprefixed(prefix: str, given: Mapping[str, Any]) -> dict[str, Any]:
    """Return parameters by their names without the prefix."""
    return {name.removeprefix(f"{prefix}_"): value for name, value in given.items()}


def pinned(rows: list[dict[str, Any]]) -> dict[str, float]:
    """Return where the pin of each track stands about the axis [°]."""
    return {row["track"].strip(): nominal(row["pin_at"], "The pin's place") for row in rows}


def steep(name: str, angle: Draws, limit: Draws) -> list[Problem]:
    """Return a caution where a track's pressure angle exceeds the limit in more than half of the draws [°]."""
    if np.mean(np.greater(angle, limit)) <= 0.5:
        return []
    said = f"Its pressure angle is {np.mean(angle):.3g}°, above the limit of {np.mean(limit):.3g}°."
    return [Problem(False, f"track {name}", said)]


def undercut(
    about: str, what: str, one: Motion, curvature_radius: Callable[..., Draws], radius: float
) -> list[Problem]:
    """Return a problem where a bend is narrower than the pin's track; a law that jumps has none to look at.

    curvature_radius  least radius of curvature [mm] by law, travel, arc and radius, as mechanics has it
    """
    if motion_laws.PEAKS[one.law][1] is None:
        return []
    longest = max(one.longest(name) for name in one.tracks)
    least = float(np.min(curvature_radius(one.law, longest * one.travel, one.arc, radius)))
    if least > one.width / 2.0:
        return []
    said = f"{what} bends with a radius of {least:.3g} mm, within half the track's width."
    return [Problem(True, about, said)]


def between_moves(
    about: str, what: str, one: Motion, radius_at: Callable[[int, Draws], Draws], process: str, laid: tuple[str, ...]
) -> list[Feature]:
    """Return the land between moves of one track, and the play of its pin, where there are any.

    radius_at  radius of a track's middle [mm] by its place among the tracks and its stand outward [travels]
    laid       parameters that the land comes of
    """
    found = []
    land = cam_drive.least_land(
        one.law, one.tracks.values(), one.arriving, one.step, one.arc, one.moves, one.travel, one.width, radius_at
    )
    if land is not None:
        found.append(Feature(f"{about}: land between moves of {what}", WALL, land, process, laid))
    if one.width > one.pin:
        found.append(Feature(f"{about}: play of the pin", GAP, one.width - one.pin, process, of(about, "play")))
    return found
