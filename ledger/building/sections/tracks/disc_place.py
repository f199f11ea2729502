"""Where the selector disc stands in the frame of the sheet, and where the pins of its grooves stand in neutral."""

from __future__ import annotations

from typing import Any

from ledger.building.contract import Column, Table
from ledger.building.reading import nominal
from ledger.building.sections.shafts.axes import LEFT, RIGHT
from ledger.building.sections.tracks.shared import MOTION, of
from ledger.calculators.contract import Choice, Input, Number

UPWARD, DOWNWARD = "+y", "-y"
PLACE = ("disc_x", "disc_y", "disc_z", "disc_pins", "disc_front")
WANTED = PLACE[:-1]
PINNED = ("disc_z", "disc_pins", *of("disc", *MOTION, "travel", "radius", "grooves", "pin", "play", "land"))


def _mm(name: str, label: str) -> Number:
    return Number(name, label, "mm", -10_000.0, 10_000.0, limits=True)


PARAMETERS: tuple[Input, ...] = (
    _mm("disc_x", "Where its spindle stands, x"),
    _mm("disc_y", "Where the middle of its thickness stands, y"),
    _mm("disc_z", "Where its spindle stands along the shafts, z"),
    Choice("disc_pins", "Side of its spindle on which the pins stand, along the shafts", (LEFT, RIGHT)),
    Choice("disc_front", "Where its first face looks to", (UPWARD, DOWNWARD), default=UPWARD),
)
TABLES = (
    Table(
        "disc_place",
        "Where the disc stands",
        (
            Column("spindle", "What"),
            Column("x", "x", "mm", ("disc_x",)),
            Column("z", "z, along the shafts", "mm", ("disc_z",)),
            Column("y", "y, middle of its thickness", "mm", ("disc_y",)),
            Column("first", "y, first face", "mm", (*PLACE, "disc_thickness")),
            Column("second", "y, second face", "mm", (*PLACE, "disc_thickness")),
            Column("pins", "Pins stand", of=("disc_pins",)),
            Column("front", "The first face looks to", of=("disc_front",)),
        ),
    ),
    Table(
        "disc_pins",
        "Pins in neutral",
        (
            Column("track", "Groove of"),
            Column("x", "x", "mm", ("disc_x",)),
            Column("y", "y, at the face", "mm", (*PLACE, "disc_thickness", "disc_tracks", "disc_grooves")),
            Column("z", "z, along the shafts", "mm", PINNED),
        ),
    ),
)
ASSUMPTIONS = (
    "The disc's spindle is parallel to *y*, square to the shafts, and the pins stand on the line through it along the "
    "shafts, so that a groove that leads outward moves its rail along. Pins left of the spindle move left at +, pins "
    "right of it move right.",
)


def place(
    given: dict[str, Any], thick: float, tracks: list[dict[str, Any]], outside: float
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the rows of both tables, and what others may use of it: nothing until all of its place is decided.

    given   parameters by their names without the prefix
    thick   of the disc [mm], 0 while undecided; outside  its diameter [mm]
    tracks  rows of the grooves, with face and radius in neutral

    ValueError where the pins of the grooves do not stand on one line.
    """
    if any(given[name.removeprefix("disc_")] is None for name in WANTED) or not thick:
        return {}, {}
    x, y, z = (nominal(given[name], f"The disc's {name}") for name in ("x", "y", "z"))
    aside = [one["track"] for one in tracks if one["pin_at"]]
    if aside:
        raise ValueError(
            f"The pins of {', '.join(aside)} stand at an angle to the first; beside straight rails all stand at 0°. "
            "Take `pin_at` out, or leave the disc's place undecided."
        )
    front = 1.0 if given["front"] == UPWARD else -1.0
    away = -1.0 if given["pins"] == LEFT else 1.0
    faces = (y + front * thick / 2.0, y - front * thick / 2.0)
    row = {"spindle": "spindle and disc", "x": x, "y": y, "z": z, "first": faces[0], "second": faces[1],
           "pins": f"{given['pins']} of the spindle", "front": given["front"]}  # fmt: skip
    pins = [
        {"track": one["track"], "x": x, "y": faces[(int(one["face"]) - 1) % 2], "z": z + away * one["neutral"]}
        for one in tracks
    ]
    told = {one["track"]: (one["x"], one["y"], one["z"]) for one in pins}
    body = {"x": x, "y": y, "z": z, "radius": outside / 2.0, "thickness": thick}
    return {"disc_place": [row], "disc_pins": pins}, {"pins": told, "plus": given["pins"], "disc_body": body}
