"""Dogs of sleeves and wheels: their thickness, the play in their windows, how far they engage, what they hold."""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np

from ledger.building.contract import AS_MODEL, GAP, WALL, Column, Feature, Made, Section, Table
from ledger.building.meshing import Problem
from ledger.building.reading import Draws, drawn
from ledger.calculators.contract import Choice, Number, Rows, Text, Whole
from ledger.mechanics.dog_teeth import dog_teeth
from ledger.mechanics.model_scale import PROCESSES

DEGREE = pi / 180.0
KINDS, RINGS = ("dogs",), ("dog_rings",)
ROUND = (*KINDS, *RINGS)
AXIAL = (*KINDS, "dog_space", "dog_sleeve")
STRENGTHS = ("dog_shear", "dog_pressure", "dog_bending")
HOLDS = (*ROUND, *AXIAL[1:], "dog_travel", "dog_share", *STRENGTHS)


def compute(
    dogs: list[dict[str, Any]],
    dog_rings: list[dict[str, Any]],
    dog_space: Any,
    dog_sleeve: Any,
    dog_travel: Any,
    dog_process: str,
    gears: tuple[Any, ...] | None,
    **strengths: Any,
) -> Made:
    """Return the dogs of one side of a sleeve, by ring and kind, and the windows of each ring."""
    rows, windows, features, problems = [], [], [], []
    room = None
    if dog_space is not None and dog_sleeve is not None:
        room = (drawn(dog_space) - drawn(dog_sleeve)) / 2.0
    for ring in dog_rings:
        radius, width = drawn(ring["radius"]), drawn(ring["width"])
        for kind in dogs:
            row = {"ring": ring["ring"], **_round(kind, radius, width)}
            what = f"dogs, {ring['ring']}, {kind['kind']}"
            features.append(Feature(f"{what}: thickness", WALL, row["thickness"], dog_process, ROUND))
            if np.any(drawn(ring["window"])):
                row["play"] = drawn(ring["window"]) - row["angle"]
                row["play_mm"] = row["play"] * DEGREE * radius
                problems += _tight(what, row["play"])
            if room is not None:
                row["clear"] = room - row["height"]
                features.append(Feature(f"{what}: clearance in neutral", GAP, row["clear"], dog_process, AXIAL))
                if dog_travel is not None:
                    row["engaged"] = np.minimum(drawn(dog_travel) - row["clear"], row["height"])
                    problems += _reaches(what, row["engaged"])
                    row |= _held(row, radius, strengths)
            rows.append(row)
        windows.append(_window(ring, dogs[0]["count"]))
        features += _around(ring, windows[-1], dog_process, gears)
        problems += _stands(ring, gears)
    return Made({"dogs": rows, "dog_rings": windows}, features, problems=problems)


def _round(kind: dict[str, Any], radius: Draws, width: Draws) -> dict[str, Any]:
    return {
        "kind": kind["kind"],
        "count": kind["count"],
        "angle": drawn(kind["angle"]),
        "thickness": 2.0 * radius * np.sin(drawn(kind["angle"]) * DEGREE / 2.0),
        "width": width,
        "height": drawn(kind["height"]),
        "back": drawn(kind["back"]),
    }


def _window(ring: dict[str, Any], count: Draws) -> dict[str, Any]:
    radius, pitch = drawn(ring["radius"]), 360.0 / count
    row = {"ring": ring["ring"], "radius": radius, "pitch": pitch}
    window, spread = drawn(ring["window"]), drawn(ring["spread"])
    if np.any(window):
        row |= {"window": window, "land": 2.0 * radius * np.sin((pitch - window) * DEGREE / 2.0)}
        if np.any(spread):
            row |= {"spread": spread, "play": window - spread, "play_mm": (window - spread) * DEGREE * radius}
    return row


def _around(ring: dict[str, Any], row: dict[str, Any], process: str, gears: tuple[Any, ...] | None) -> list[Feature]:
    """Return the walls beside a ring's windows: from one to the next, and to the root and bore of its wheel."""
    name = f"dogs, {ring['ring']}"
    found = []
    if "land" in row:
        found.append(Feature(f"{name}: land between windows", WALL, row["land"], process, ROUND))
    wheel = _wheels(gears).get(ring["inside"])
    if wheel is not None:
        radius, half = drawn(ring["radius"]), drawn(ring["width"]) / 2.0
        root = wheel.root / 2.0 - radius - half
        found.append(
            Feature(f"{name}: wall to the root of {ring['inside']}", WALL, root, process, (*RINGS, "gear_pairs"))
        )
        if wheel.bore:
            bore = radius - half - wheel.bore / 2.0
            found.append(Feature(f"{name}: wall to the bore of {ring['inside']}", WALL, bore, process,
                                 (*RINGS, "gear_blanks")))  # fmt: skip
    return found


def _stands(ring: dict[str, Any], gears: tuple[Any, ...] | None) -> list[Problem]:
    if not ring["inside"] or gears is None or ring["inside"] in _wheels(gears):
        return []
    said = f"There is no wheel {ring['inside']}. There are: {'; '.join(_wheels(gears)) or 'none'}."
    return [Problem(True, f"dogs, {ring['ring']}", said)]


def _wheels(gears: tuple[Any, ...] | None) -> dict[str, Any]:
    return {
        name: wheel
        for one in gears or ()
        for name, wheel in zip(one.names, (one.pair.first, one.pair.second), strict=True)
    }


def _tight(what: str, play: Draws) -> list[Problem]:
    if np.min(play) > 0:
        return []
    said = f"It is {-np.min(play):.3g}° wider than its window in some draws; widen the window or narrow the dog."
    return [Problem(bool(np.mean(play) <= 0), what, said)]


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
        row["count"], radius, row["thickness"], row["width"], row["engaged"],
        np.maximum(row["height"] - row["engaged"], 0.0),
        drawn(strengths["dog_share"]), *stated,
    )  # fmt: skip
    least = np.minimum(found["shear_capacity"], np.minimum(found["bearing_capacity"], found["bending_capacity"]))
    return {"held": least}


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
            ),
        ),
        Rows(
            "dog_rings",
            "Rings that carry the dogs, and their windows",
            (
                Text("ring", "Ring"),
                Number("radius", "Mean radius of the dogs", "mm", 0.1, 5000.0, limits=True),
                Number("width", "Radial width of a dog", "mm", 0.01, 1000.0, limits=True),
                Number("window", "Angle of a window (0: not stated)", "°", 0.0, 350.0, default="0 °", limits=True),
                Number("spread", "From the first flank to the last of all that stands in one window (0: one dog)", "°",
                       0.0, 350.0, default="0 °", limits=True),
                Text("inside", "Smallest wheel that the windows are let into", default=""),
            ),
        ),
        Number("dog_space", "Space between the faces on either side of a sleeve", "mm", 0.01, 5000.0, limits=True),
        Number("dog_sleeve", "Length of the sleeve without its dogs", "mm", 0.01, 5000.0, limits=True),
        Number("dog_travel", "Travel of the sleeve to one side", "mm", 0.01, 500.0, limits=True),
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
                Column("angle", "Angle", "°", KINDS),
                Column("thickness", "Thickness at the mean radius", "mm", ROUND),
                Column("width", "Radial width", "mm", RINGS),
                Column("height", "Height", "mm", KINDS),
                Column("back", "Slope of the back", "°", KINDS),
                Column("play", "Play in a window", "°", ROUND),
                Column("play_mm", "The same at the mean radius", "mm", ROUND),
                Column("clear", "Clearance in neutral", "mm", AXIAL),
                Column("engaged", "Engaged at full travel", "mm", (*AXIAL, "dog_travel")),
                Column("held", "Torque it holds", "N·m", HOLDS),
            ),
            keys=2,
        ),
        Table(
            "dog_rings",
            "Rings and windows",
            (
                Column("ring", "Ring"),
                Column("radius", "Mean radius", "mm", RINGS),
                Column("pitch", "Pitch", "°", KINDS),
                Column("window", "Window", "°", RINGS),
                Column("land", "Land between two windows", "mm", ROUND),
                Column("spread", "All that stands in one", "°", RINGS),
                Column("play", "Play of all that", "°", RINGS),
                Column("play_mm", "The same at the mean radius", "mm", RINGS),
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
        "Windows have the pitch of the first kind of dog.",
        "What dogs hold is for a dog that bends as a cantilever; a stubby one holds more.",
    ),
    cautions=(
        "Dogs under load part with a blow, and sloping backs throw a sleeve out: keep hands off sleeves and forks "
        "while anything turns.",
    ),
)  # fmt: skip
