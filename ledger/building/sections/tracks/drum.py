"""The selector drum of the sheet: its tracks as angle against travel, developed, and the drum around them."""

from __future__ import annotations

from math import pi, radians
from typing import Any

import numpy as np

from ledger.building.contract import GAP, WALL, BillItem, Column, Feature, Made, Section, Sketch, Table
from ledger.building.drawings.drawing import Drawing
from ledger.building.reading import drawn, nominal, round_stock
from ledger.building.sections.tracks.drawing import drum_drawing
from ledger.building.sections.tracks.shape import drum_track as developed
from ledger.building.sections.tracks.shared import (
    COARSE_EVERY,
    DRAWN_EVERY,
    MOTION,
    SOURCES,
    Motion,
    between_moves,
    dowels,
    motion,
    motion_cells,
    motion_columns,
    of,
    parameters,
    pinned,
    steep,
    undercut,
    unprefixed,
    unsold,
)
from ledger.calculators.contract import Number
from ledger.mechanics import drum_track, motion_laws

NAME = "drum"
MOVED = of(NAME, *MOTION, "travel")
LAID = (*MOVED, *of(NAME, "pin", "play", "wall"))
STEEP = (*MOVED, *of(NAME, "diameter", "depth"))
POINTS = "drum_points"
DEGREE = pi / 180.0


def compute(**values: Any) -> Made:
    """Return the drum: each track's table, its steepness, and the drum's length."""
    given = unprefixed(NAME, values)
    one = motion(given)
    outside, wall = nominal(given["diameter"], "The diameter of the drum"), nominal(given["wall"], "The wall")
    bore = 0.0 if given["bore"] is None else nominal(given["bore"], "The bore")
    radius = (outside - one.depth) / 2.0
    if radius <= 0:
        raise ValueError(f"The track is {one.depth:g} mm deep, the drum {outside:g} mm thick.")
    middles, length = _laid(one, wall)
    at = pinned(given["tracks"])
    rows, tracks, problems = [], [], []
    for name in one.tracks:
        angle = drum_track.pressure_angle(one.longest(name) * one.travel, one.arc, radius,
                                          motion_laws.velocity_factor(one.law)) / DEGREE  # fmt: skip
        tracks.append({"track": name, "neutral": middles[name], "pin_at": at[name], "pressure_angle": angle})
        problems += steep(name, angle, drawn(given["limit"]))
        for degree in one.angles(float(nominal(given["points"], "The step of the table"))):
            travel = one.stand(name, degree) * one.travel
            rows.append({"track": name, "angle": degree, "travel": travel,
                         "around": outside / 2.0 * radians(degree + at[name]),
                         "along": middles[name] + travel})  # fmt: skip
    problems += undercut(NAME, "A track", one, drum_track.curvature_radius, radius) + unsold(NAME, one)
    whole = {
        "drum": "drum",
        "diameter": outside,
        "length": length,
        "bore": bore or "undecided",
        **motion_cells(one),
    }
    process, material = given["process"], given["material"]
    return Made(
        {"drum": [whole], "drum_tracks": tracks, "drum_track": rows},
        _features(one, radius, outside, wall, bore, process),
        [
            BillItem("selector drum", 1, material, process, round_stock(outside, length), NAME, of=LAID),
            dowels(NAME, "pin of a drum track", one),
        ],
        [_sketch(one, middles, at, outside, length)],
        problems,
        {"drum_tracks": tuple(tracks), "drum_motion": one},
    )  # fmt: skip


def _laid(one: Motion, wall: float) -> tuple[dict[str, float], float]:
    """Return where each track's neutral lies from the drum's end [mm], and the drum's length [mm]."""
    middles, at = {}, wall
    for name, stands in one.tracks.items():
        middles[name] = at + one.width / 2.0 - min(stands) * one.built
        at += (max(stands) - min(stands)) * one.built + one.width + wall
    return middles, at


def _features(one: Motion, radius: float, outside: float, wall: float, bore: float, process: str) -> list[Feature]:
    found = [
        Feature("drum: width of a track", GAP, one.width, process, of(NAME, "pin", "play")),
        Feature("drum: wall between tracks", WALL, wall, process, of(NAME, "wall")),
    ]
    found += between_moves(NAME, "a track", one, lambda place, out: radius, process, LAID)
    if bore:
        left = outside / 2.0 - one.depth - bore / 2.0
        found.append(Feature("drum: wall under the tracks", WALL, left, process, of(NAME, "diameter", "depth", "bore")))
    return found


def _sketch(one: Motion, middles: dict[str, float], at: dict[str, float], outside: float, length: float) -> Sketch:
    title = f"Selector drum, ⌀ {outside:g} mm, laid flat"
    told = (
        f"{len(one.tracks)} tracks of a drum laid flat, {np.pi * outside:.1f} mm around and {length:.1f} mm long, each "
        f"{one.width:g} mm wide: {', '.join(one.tracks)}."
    )

    def drawing(every: float) -> Drawing:
        laid = []
        for name in one.tracks:
            angles = one.angles(every)
            stations = [
                (radians(angle + at[name]), middles[name] + one.stand(name, angle) * one.built) for angle in angles
            ]
            laid.append(developed(stations, outside, one.width))
        return drum_drawing(laid, 0.0, length, title)

    return Sketch(NAME, title, told, drawing(DRAWN_EVERY), drawing(COARSE_EVERY), (*LAID, "drum_diameter"))


DRUM = Section(
    name=NAME,
    title="Selector drum",
    purpose="A drum whose tracks move the forks: angle against travel for each, ready for CAD.",
    parameters=parameters(
        NAME,
        (
            Number("drum_diameter", "Outside diameter of the drum", "mm", 0.5, 5000.0, limits=True),
            Number("drum_wall", "Wall between tracks and at the ends", "mm", 0.0, 500.0, default="3 mm", limits=True),
            Number("drum_bore", "Bore of the drum (0: none)", "mm", 0.0, 5000.0, limits=True),
        ),
    ),
    wanted=("drum_bore",),
    tables=(
        Table(
            "drum",
            "Drum",
            (
                Column("drum", "What"),
                Column("diameter", "Outside diameter", "mm", of(NAME, "diameter")),
                Column("length", "Length", "mm", LAID),
                Column("bore", "Bore", "mm", of(NAME, "bore")),
                *motion_columns(NAME, "a track"),
            ),
        ),
        Table(
            "drum_tracks",
            "Tracks",
            (
                Column("track", "Track"),
                Column("neutral", "Neutral, from the drum's end", "mm", LAID),
                Column("pin_at", "Pin about the axis", "°", of(NAME, "tracks")),
                Column("pressure_angle", "Greatest pressure angle", "°", STEEP, behind=True),
            ),
        ),
        Table(
            "drum_track",
            "Track, angle against travel",
            (
                Column("track", "Track"),
                Column("angle", "Turn of the drum", "°", of(NAME, *MOTION, "points")),
                Column("travel", "Travel from neutral", "mm", (*MOVED, POINTS)),
                Column("around", "Around the outside", "mm", of(NAME, *MOTION, "points", "diameter")),
                Column("along", "From the drum's end", "mm", (*LAID, POINTS)),
            ),
            keys=2,
            split="track",
        ),
    ),
    compute=compute,
    formula=(
        "Over the arc β of a move the travel is *h*·*s*(*z*), *s* the motion law and *z* the share of the arc; between "
        "moves it rests. tan α = *C_v*·*h*/(*r*·β) at the middle of the track's depth."
    ),
    sources=SOURCES,
    assumptions=(
        "Tracks lie side by side in the order stated, a wall between each; travel towards + leads away from the end "
        "that lengths are measured from.",
        "The track is as wide as the pin and its play, and the same all along.",
    ),
    cautions=(
        "A drum, a fork and a rail pinch and shear: keep fingers out of whatever can be turned, by hand too.",
        "A detent's spring lets go without notice: cover it with a cloth and draw its plug slowly.",
    ),
)
