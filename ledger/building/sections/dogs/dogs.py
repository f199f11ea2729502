"""Dogs of sleeves and wheels: their thickness, the play in their windows, how far they engage, what they hold."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.building.contract import (
    AS_MODEL,
    GAP,
    TIP,
    WALL,
    Column,
    Feature,
    Made,
    Problem,
    Section,
    Table,
    millimetres,
)
from ledger.building.reading import drawn
from ledger.building.sections.dogs.rows import (
    DEGREE,
    LEADING,
    NOT_STATED,
    ROOT,
    TIP_END,
    TRAILING,
    dog_row,
    over_floor,
    sharp,
    struck,
    tight,
    to_draw,
    window_row,
)
from ledger.building.sections.dogs.seating import seated
from ledger.building.sections.dogs.shape import sketches, windows_name
from ledger.calculators.contract import Choice, Draws, Number, Rows, Text, Whole
from ledger.mechanics.dog_teeth import dog_teeth
from ledger.mechanics.model_scale import PROCESSES

KINDS, RINGS = ("dogs",), ("dog_rings",)
ROUND = (*KINDS, *RINGS)
AXIAL = (*KINDS, "dog_space", "dog_sleeve")
STRENGTHS = ("dog_shear", "dog_pressure", "dog_bending")
SHAPED = (*ROUND, "dog_angle_at")
STOPS = ("dog_space", "dog_sleeve", "dog_travel")
FLOOR = (*ROUND, *STOPS)
HOLDS = (*SHAPED, *AXIAL[1:], "dog_travel", "dog_share", *STRENGTHS)
DRAWN = (*SHAPED, "dog_across", "dog_space", "dog_sleeve")
TOUCHING = 1e-6


def compute(
    dogs: list[dict[str, Any]],
    dog_rings: list[dict[str, Any]],
    dog_space: Any,
    dog_sleeve: Any,
    dog_travel: Any,
    dog_angle_at: str,
    dog_across: Any,
    dog_process: str,
    gears: tuple[Any, ...] | None,
    **strengths: Any,
) -> Made:
    """Return the dogs of one side of a sleeve, by ring and kind, and the windows of each ring."""
    rows, windows, features, drawings = [], [], [], []
    room = None
    if dog_space is not None and dog_sleeve is not None:
        room = (drawn(dog_space) - drawn(dog_sleeve)) / 2.0
    stop, problems = _stop(room, dog_travel)
    if stop is not None:
        features.append(Feature("sleeve: clearance at full travel", GAP, stop, dog_process, STOPS))
    for ring in dog_rings:
        radius = drawn(ring["radius"])
        for kind in dogs:
            row = dog_row(kind, ring, dog_angle_at)
            what = f"dogs, {ring['ring']}, {kind['kind']}"
            features.append(Feature(f"{what}: thickness", WALL, row["thickness"], dog_process, SHAPED))
            features.append(Feature(f"{what}: tip at its inner edge", TIP, row["least_tip"], dog_process, SHAPED))
            problems += sharp(what, row)
            if np.any(drawn(ring["window"])):
                row["play"] = drawn(ring["window"]) - row["angle"]
                row["play_mm"] = row["play"] * DEGREE * radius
                problems += tight(what, row["play"])
            if room is not None:
                row["clear"] = room - drawn(row["height"])
                features.append(Feature(f"{what}: clearance in neutral", GAP, row["clear"], dog_process, AXIAL))
                if dog_travel is not None:
                    row["engaged"] = np.minimum(drawn(dog_travel) - row["clear"], drawn(row["height"]))
                    problems += _reaches(what, row["engaged"])
                    row |= _held(row, radius, strengths)
            rows.append(row)
        own = [row for row in rows if row["ring"] == ring["ring"]]
        window, said = window_row(ring, own, dog_across)
        windows.append(window | ({} if stop is None else {"stop": stop}))
        features += _around(ring, windows[-1], dog_across, dog_process, gears)
        deep, floor = over_floor(ring, own), f"dogs, {ring['ring']}: over the window's floor"
        features += [Feature(floor, GAP, one, dog_process, FLOOR) for one in deep]
        problems += said + seated(ring, own) + struck(ring, deep) + _stands(ring, gears)
        drawings += sketches(to_draw(ring, own, dog_across, room, wheels_of(gears).get(ring["inside"])), DRAWN)
    tall = max(float(np.max(drawn(kind["height"]))) for kind in dogs)
    rings = {row["ring"]: (row["inner"], row["outer"], tall) for row in windows}
    return Made({"dogs": rows, "dog_rings": windows}, features, sketches=drawings, problems=problems,
                passed={"rings": rings, "windows": windows_of(dog_rings), "dog_reach": _reach(dogs, room)})  # fmt: skip


def windows_of(rings: list[dict[str, Any]]) -> dict[str, str]:
    """Return by ring the drawing of its windows, where they are stated."""
    return {one["ring"]: windows_name(one["ring"]) for one in rings if np.any(drawn(one["window"]))}


def _reach(dogs: list[dict[str, Any]], room: Any) -> dict[str, Draws] | None:
    """Return by kind of dog how far its sleeve has to go until it enters a window [mm]."""
    return None if room is None else {kind["kind"]: room - drawn(kind["height"]) for kind in dogs}


def _stop(room: Any, travel: Any) -> tuple[Any, list[Problem]]:
    """Return what is left between sleeve and wheel at full travel, and a problem where that is nothing."""
    if room is None or travel is None:
        return None, []
    stop = room - drawn(travel)
    if np.mean(stop) > TOUCHING:
        return stop, []
    said = f"At full travel {round(float(np.mean(stop)), 3) + 0.0:g} mm are left between sleeve and wheel"
    mend = "the track presses them together. Shorten the sleeve or the travel, or widen the space."
    return stop, [Problem(bool(np.mean(stop) < -TOUCHING), "sleeve", f"{said}: {mend}")]


def _around(
    ring: dict[str, Any], row: dict[str, Any], across: Any, process: str, gears: tuple[Any, ...] | None
) -> list[Feature]:
    """Return the walls beside a ring's windows: from one to the next, and to the root and bore of its wheel."""
    name = f"dogs, {ring['ring']}"
    found = []
    if "land" in row:
        found.append(Feature(f"{name}: land between windows", WALL, row["land"], process, ROUND))
    wheel = wheels_of(gears).get(ring["inside"])
    if wheel is not None:
        radius, half = drawn(ring["radius"]), (drawn(ring["width"]) + drawn(across)) / 2.0
        root = wheel.root / 2.0 - radius - half
        found.append(Feature(f"{name}: wall to the root of {ring['inside']}", WALL, root, process,
                             (*RINGS, "dog_across", "gear_pairs")))  # fmt: skip
        if wheel.bore:
            bore = radius - half - wheel.bore / 2.0
            found.append(Feature(f"{name}: wall to the bore of {ring['inside']}", WALL, bore, process,
                                 (*RINGS, "dog_across", "gear_blanks")))  # fmt: skip
    return found


def _stands(ring: dict[str, Any], gears: tuple[Any, ...] | None) -> list[Problem]:
    if not ring["inside"] or gears is None or ring["inside"] in wheels_of(gears):
        return []
    said = f"There is no wheel {ring['inside']}. There are: {'; '.join(wheels_of(gears)) or 'none'}."
    return [Problem(True, f"dogs, {ring['ring']}", said)]


def wheels_of(gears: tuple[Any, ...] | None) -> dict[str, Any]:
    return {
        name: wheel
        for one in gears or ()
        for name, wheel in zip(one.names, (one.pair.first, one.pair.second), strict=True)
    }


def _reaches(what: str, engaged: Draws) -> list[Problem]:
    if np.min(engaged) > 0:
        return []
    said = "At full travel it does not reach its mate in some draws. Lengthen the travel or the dog."
    return [Problem(bool(np.mean(engaged) <= 0), what, said)]


def _held(row: dict[str, Any], radius: Draws, strengths: dict[str, Any]) -> dict[str, Any]:
    """Return the torque that the dogs hold, where all three strengths are stated and the dogs engage.

    A dog stands on its sleeve and enters the window with its tip first: from its root to the near end of the contact
    is what of its height stays outside.
    """
    stated = [drawn(strengths[name]) for name in STRENGTHS]
    if not all(np.all(np.greater(one, 0)) for one in stated) or np.min(row["engaged"]) <= 0.01:
        return {}
    found = dog_teeth(
        row["count"], radius, row["thickness"], drawn(row["width"]), row["engaged"],
        np.maximum(drawn(row["height"]) - row["engaged"], 0.0),
        drawn(strengths["dog_share"]), *stated,
    )  # fmt: skip
    least = np.minimum(found["shear_capacity"], np.minimum(found["bearing_capacity"], found["bending_capacity"]))
    return {"held": least}


def _play(label: str, of: tuple[str, ...]) -> tuple[Column, Column]:
    return (
        Column("play", label, "°", of, behind=True),
        Column("play_mm", "The same at the mean radius", "mm", of, behind=True),
    )


def _strength(name: str, label: str) -> Number:
    return Number(name, f"{label} (0: not asked)", "MPa", 0.0, 100_000.0, default="0 MPa", limits=True)


DOGS = Section(
    name="dogs",
    title="Dogs",
    purpose="The dogs on each side of a sleeve, and the windows that they enter.",
    parameters=(
        Rows(
            "dogs",
            "Kinds of dog on one side of a sleeve",
            (
                Text("kind", "Kind"),
                Whole("count", "How many round the ring", 1, 1000),
                Number("angle", "Angle that one takes up at the mean radius", "°", 0.1, 350.0, limits=True),
                Number("height", "Height along the axis", "mm", 0.01, 1000.0, limits=True),
                Number("back", "Slope of the back against the axis", "°", 0.0, 60.0, default="0 °", limits=True),
                Number("at", "Its middle, from its window's, towards the side of the sloping flanks", "°",
                       -180.0, 180.0, default="0 °", limits=True),
            ),
        ),
        Rows(
            "dog_rings",
            "Rings that carry the dogs, and their windows",
            (
                Text("ring", "Ring"),
                millimetres("radius", "Mean radius of the dogs"),
                millimetres("width", "Radial width of a dog"),
                Number("window", "Angle of a window (0: not stated)", "°", 0.0, 350.0, default="0 °", limits=True),
                Number("spread", "From the first flank to the last of all that stands in one window (0: one dog)", "°",
                       0.0, 350.0, default="0 °", limits=True),
                Text("inside", "Smallest wheel that the windows are let into", default=""),
                millimetres("depth", "Depth of a window (0: not stated)", 0.0, "0 mm"),
                Choice("slopes", "Flank of a dog that slopes, as it turns", (LEADING, TRAILING, NOT_STATED),
                       default=NOT_STATED),
            ),
        ),
        millimetres("dog_space", "Space between the faces on either side of a sleeve"),
        millimetres("dog_sleeve", "Length of the sleeve without its dogs"),
        millimetres("dog_travel", "Travel of the sleeve to one side"),
        Choice("dog_angle_at", "Where the angle of a dog with a sloping back is meant", (ROOT, TIP_END), default=ROOT),
        millimetres("dog_across", "Radial play of a dog in its window, inside and outside together", 0.0, "0.2 mm"),
        _strength("dog_shear", "Shear stress that a dog bears"),
        _strength("dog_pressure", "Pressure that a flank bears"),
        _strength("dog_bending", "Bending stress that a dog bears"),
        Number("dog_share", "Share of the dogs that carry", "", 0.01, 1.0, default="0.5..1", limits=True),
        Choice("dog_process", "How the dogs are made", (AS_MODEL, *PROCESSES), default=AS_MODEL),
    ),
    wanted=("dog_space", "dog_sleeve", "dog_travel"),
    uses=("gears",),
    tables=(
        Table(
            "dogs",
            "Dogs",
            (
                Column("ring", "Ring"),
                Column("kind", "Kind"),
                Column("count", "Round the ring", of=KINDS),
                Column("at", "Middle, from its window's", "°", KINDS),
                Column("angle", "Angle at the root", "°", SHAPED),
                Column("thickness", "Thickness at the root, mean radius", "mm", SHAPED),
                Column("tip", "At the tip, mean radius", "mm", SHAPED),
                Column("least_tip", "At the tip, inner edge", "mm", SHAPED, behind=True),
                Column("width", "Radial width", "mm", RINGS),
                Column("height", "Height", "mm", KINDS),
                Column("back", "Slope of the back", "°", KINDS),
                Column("slopes", "Flank that slopes", of=ROUND),
                *_play("Play in a window", SHAPED),
                Column("clear", "Clearance in neutral", "mm", AXIAL, behind=True),
                Column("engaged", "Engaged at full travel", "mm", (*AXIAL, "dog_travel"), behind=True),
                Column("held", "Torque it holds", "N·m", HOLDS, behind=True),
            ),
            keys=2,
        ),
        Table(
            "dog_rings",
            "Rings and windows",
            (
                Column("ring", "Ring"),
                Column("radius", "Mean radius", "mm", RINGS),
                Column("inner", "Dogs from radius", "mm", RINGS),
                Column("outer", "Dogs to radius", "mm", RINGS),
                Column("pitch", "Pitch", "°", KINDS, behind=True),
                Column("window", "Window", "°", RINGS),
                Column("depth", "Depth of a window", "mm", RINGS),
                Column("window_inner", "Windows from radius", "mm", (*RINGS, "dog_across")),
                Column("window_outer", "Windows to radius", "mm", (*RINGS, "dog_across")),
                Column("land", "Land between two windows", "mm", ROUND, behind=True),
                Column("spread", "All that stands in one", "°", SHAPED, behind=True),
                *_play("Play of all that", SHAPED),
                Column("stop", "Sleeve to wheel at full travel", "mm", STOPS, behind=True),
            ),
        ),
    ),
    compute=compute,
    formula=(
        "A dog of angle α is 2*R* sin(α/2) thick at its mean radius *R*. In neutral (*s* − *l*)/2 − *h* is left before "
        "it, *s* the space, *l* the sleeve, *h* its height; it engages by the travel less that."
    ),
    sources=("What dogs hold: F = T/R on shear, pressure and bending, as `dog-teeth`.",),
    assumptions=(
        "Windows have the pitch of the first kind of dog, and their flanks are parallel to the shaft.",
        "Flanks of dogs and windows point to the shaft's axis; the back of a dog slopes the same all along. The "
        "leading flank is the one that goes first as the sleeve turns, so both faces of a sleeve are mirror images.",
        "Sloping flanks bear on the overrun, steep ones drive. Where the leading flanks of a ring slope, the wheel "
        "drives the sleeve; where the trailing ones do, the sleeve drives the wheel.",
        "Where a dog stands is counted, for all dogs of a ring alike, from the middle of the window towards the side "
        "on which the ring's sloping flanks lie: above nought is the side of the overrun, below it the side that "
        "drives. On a ring where none slopes it is counted towards where the sleeve turns.",
        "What dogs hold is for a dog that bends as a cantilever; a stubby one holds more.",
    ),
    cautions=(
        "Dogs under load part with a blow, and sloping backs throw a sleeve out: keep hands off sleeves and forks "
        "while anything turns.",
    ),
)  # fmt: skip
