"""The face-cam disc of the sheet: its grooves as angle against radius, face by face, and the disc around them."""

from __future__ import annotations

from math import cos, pi, radians, sin
from typing import Any

import numpy as np

from ledger.building.contract import GAP, WALL, BillItem, Column, Feature, Made, Problem, Section, Sketch, Table
from ledger.building.drawings.drawing import Drawing
from ledger.building.reading import drawn, nominal, round_stock
from ledger.building.sections.tracks import disc_place
from ledger.building.sections.tracks.drawing import face_drawing
from ledger.building.sections.tracks.shape import face_track
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
from ledger.calculators.contract import Draws, Number, Whole
from ledger.mechanics import face_cam

NAME = "disc"
MOVED = of(NAME, *MOTION, "travel")
PLACED = (*MOVED, *of(NAME, "radius", "grooves", "pin", "play", "land"))
POINTS = "disc_points"
DEGREE = pi / 180.0


def compute(**values: Any) -> Made:
    """Return the disc: each groove's table, its steepness, and the disc's diameter."""
    given = unprefixed(NAME, values)
    one = motion(given)
    first, land = nominal(given["radius"], "The innermost radius"), nominal(given["land"], "The land")
    rim, grooves = nominal(given["rim"], "The rim"), int(nominal(given["grooves"], "The number of grooves"))
    bore, thick = (0.0 if given[name] is None else nominal(given[name], name) for name in ("bore", "thickness"))
    if first <= one.width / 2.0:
        raise ValueError(f"The innermost groove reaches over the middle: {first:g} mm is within half its width.")
    swing = one.swing * one.built
    used = min(grooves, len(one.tracks))
    outside = float(face_cam.disc_diameter(first, used, swing, one.width, land, rim))
    at, limit = pinned(given["tracks"]), drawn(given["limit"])
    rows, tracks, problems = [], [], []
    for place, (name, stands) in enumerate(one.tracks.items()):
        face, groove = place // grooves + 1, place % grooves
        least = face_cam.groove_radius(first, groove, swing, one.width, land)
        angle = face_cam.pressure_angle(one.law, one.longest(name) * one.travel, one.arc, least) / DEGREE
        tracks.append({
            "track": name, "face": face, "groove": groove + 1, "least": least,
            "neutral": least - min(stands) * one.travel, "greatest": least + (max(stands) - min(stands)) * one.travel,
            "pin_at": at[name], "pressure_angle": angle,
        })  # fmt: skip
        problems += steep(name, angle, limit)
        for degree in one.angles(float(nominal(given["points"], "The step of the table"))):
            radius = least + (one.stand(name, degree) - min(stands)) * one.travel
            turned = _turned(degree + at[name], face)
            rows.append({
                "track": name, "angle": degree, "travel": one.stand(name, degree) * one.travel, "radius": radius,
                "x": radius * cos(turned), "y": radius * sin(turned),
            })  # fmt: skip
    problems += undercut(NAME, "A groove", one, face_cam.curvature_radius, first) + unsold(NAME, one)
    faces = -(-len(one.tracks) // grooves)
    if faces > 2:
        said = f"{len(one.tracks)} tracks at {grooves} to a face need {faces} faces; a disc has two."
        problems.append(Problem(True, "disc", f"{said} Give a face more grooves, or divide the tracks."))
    whole = {
        "disc": "disc",
        "diameter": outside,
        "thickness": thick or "undecided",
        "bore": bore or "undecided",
        "hub": float(face_cam.largest_hub(first, one.width)),
        "faces": faces,
        **motion_cells(one),
    }
    sketches = [_sketch(one, face, given, outside, bore) for face in range(1, faces + 1)]
    stock = round_stock(outside, thick) if thick else f"round, ⌀ {np.ceil(outside + 1.0):.0f} mm; thickness undecided"
    drawings = ", ".join(sketch.name for sketch in sketches)
    placed, pins = disc_place.place(given, thick, tracks, outside)
    return Made(
        {"disc": [whole], "disc_tracks": tracks, "disc_track": rows, **placed},
        _features(one, first, land, rim, bore, thick, grooves, faces, given["process"]),
        [
            BillItem("selector disc", 1, given["material"], given["process"], stock, drawings, of=PLACED),
            dowels(NAME, "pin of a disc groove", one),
        ],
        sketches,
        problems,
        {"disc_tracks": tuple(tracks), "disc_motion": one, **pins},
    )  # fmt: skip


def _turned(angle: float, face: int) -> float:
    """Return the angle [rad] as drawn: a face is seen from in front of it, so the second one turns the other way."""
    return radians(angle) if face % 2 else -radians(angle)


def _features(
    one: Motion,
    first: float,
    land: float,
    rim: float,
    bore: float,
    thick: float,
    grooves: int,
    faces: int,
    process: str,
) -> list[Feature]:
    swing = one.swing * one.built
    found = [
        Feature("disc: width of a groove", GAP, one.width, process, of(NAME, "pin", "play")),
        Feature("disc: rim outside the last groove", WALL, rim, process, of(NAME, "rim")),
    ]
    if min(grooves, len(one.tracks)) > 1:
        found.append(Feature("disc: wall between grooves", WALL, land, process, of(NAME, "land")))

    def radius_at(place: int, out: Draws) -> Draws:
        least = face_cam.groove_radius(first, place % grooves, swing, one.width, land)
        radius: Draws = least + out * one.travel
        return radius

    found += between_moves(NAME, "a groove", one, radius_at, process, PLACED)
    if bore:
        inner = first - one.width / 2.0 - bore / 2.0
        found.append(Feature("disc: wall inside the innermost groove", WALL, inner, process,
                             of(NAME, "radius", "pin", "play", "bore")))  # fmt: skip
    if thick:
        web = thick - min(faces, 2) * one.depth
        found.append(Feature("disc: web under the grooves", WALL, web, process, of(NAME, "thickness", "depth")))
    return found


def _sketch(one: Motion, face: int, given: dict[str, Any], outside: float, bore: float) -> Sketch:
    grooves, at = int(nominal(given["grooves"], "The number of grooves")), pinned(given["tracks"])
    names = list(one.tracks)[(face - 1) * grooves : face * grooves]
    title = f"Selector disc, face {face}, seen from in front of it"
    told = (
        f"Face {face} of a disc of {outside:.1f} mm with {len(names)} grooves {one.width:g} mm wide: "
        f"{', '.join(names)}."
    )
    first, land = nominal(given["radius"], "The innermost radius"), nominal(given["land"], "The land")

    def drawing(every: float) -> Drawing:
        made = []
        for groove, name in enumerate(names):
            least = float(face_cam.groove_radius(first, groove, one.swing * one.built, one.width, land))
            low = min(one.tracks[name])
            stations = [
                (_turned(angle + at[name], face), least + (one.stand(name, angle) - low) * one.built)
                for angle in one.angles(every)
            ]
            made.append(face_track(sorted(stations), one.width))
        return face_drawing(made, outside, bore, title)

    of_it = (*PLACED, *of(NAME, "rim", "bore"))
    return Sketch(f"{NAME}-face-{face}", title, told, drawing(DRAWN_EVERY), drawing(COARSE_EVERY), of_it)


DISC = Section(
    name=NAME,
    title="Selector disc",
    purpose="A disc whose grooves move the forks: angle against radius for each, ready for CAD.",
    parameters=parameters(
        NAME,
        (
            Number("disc_radius", "Least radius of the innermost groove's middle", "mm", 0.1, 5000.0, limits=True),
            Whole("disc_grooves", "Grooves inside one another on a face", 1, 12, default="1"),
            Number("disc_land", "Wall left between grooves", "mm", 0.0, 500.0, default="3 mm", limits=True),
            Number("disc_rim", "Rim outside the last groove", "mm", 0.0, 500.0, default="3 mm", limits=True),
            Number("disc_bore", "Bore of the disc (0: none)", "mm", 0.0, 5000.0, limits=True),
            Number("disc_thickness", "Thickness of the disc", "mm", 0.1, 1000.0, limits=True),
            *disc_place.PARAMETERS,
        ),
    ),
    wanted=("disc_bore", "disc_thickness", *disc_place.WANTED),
    tables=(
        Table(
            "disc",
            "Disc",
            (
                Column("disc", "What"),
                Column("diameter", "Diameter", "mm", (*PLACED, "disc_rim")),
                Column("thickness", "Thickness", "mm", of(NAME, "thickness")),
                Column("bore", "Bore", "mm", of(NAME, "bore")),
                Column("hub", "Largest hub within the grooves", "mm", of(NAME, "radius", "pin", "play"), behind=True),
                Column("faces", "Faces with grooves", of=of(NAME, "tracks", "grooves"), behind=True),
                *motion_columns(NAME, "a groove"),
            ),
        ),
        Table(
            "disc_tracks",
            "Grooves",
            (
                Column("track", "Track"),
                Column("face", "Face", of=of(NAME, "tracks", "grooves")),
                Column("groove", "Groove, from inside", of=of(NAME, "tracks", "grooves")),
                Column("least", "Least radius", "mm", PLACED),
                Column("neutral", "Radius in neutral", "mm", PLACED),
                Column("greatest", "Greatest radius", "mm", PLACED),
                Column("pin_at", "Pin about the axis", "°", of(NAME, "tracks")),
                Column("pressure_angle", "Greatest pressure angle", "°", PLACED, behind=True),
            ),
        ),
        Table(
            "disc_track",
            "Groove, angle against radius",
            (
                Column("track", "Track"),
                Column("angle", "Turn of the disc", "°", of(NAME, *MOTION, "points")),
                Column("travel", "Travel from neutral", "mm", (*MOVED, POINTS)),
                Column("radius", "Radius of the groove's middle", "mm", (*PLACED, POINTS)),
                Column("x", "x, as drawn", "mm", (*PLACED, POINTS)),
                Column("y", "y, as drawn", "mm", (*PLACED, POINTS)),
            ),
            keys=2,
            split="track",
        ),
        *disc_place.TABLES,
    ),
    compute=compute,
    formula=(
        "Over the arc β of a move the radius is *r*₁ + *h*·*s*(*z*), *s* the motion law and *z* the share of the arc; "
        "between moves it rests. tan α = (*h*/β)·*v*(*z*)/*r*, greatest a little before the middle of the move."
    ),
    sources=SOURCES,
    assumptions=(
        "Tracks are dealt to the grooves in the order stated, from the innermost outward, and once a face is full to "
        "the other face. Travel towards + leads away from the middle of the disc.",
        "A face is drawn as it is seen from in front of it, so the second face is the mirror image. The first face "
        "turns clockwise from position to position, and x points to where the first track's pin stands.",
        *disc_place.ASSUMPTIONS,
    ),
    cautions=(
        "Grooves, pins and rails pinch and shear: keep fingers out of whatever can be turned, by hand too.",
        "A detent's spring lets go without notice: cover it with a cloth and draw its plug slowly.",
    ),
)
