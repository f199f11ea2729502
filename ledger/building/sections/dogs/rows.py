"""Rows of the sheet for dogs and windows: their shape, the play they have, whether they strike or are too sharp."""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np

from ledger.building.contract import Problem
from ledger.building.reading import drawn, nominal
from ledger.building.sections.dogs.shape import Dog, Ring
from ledger.building.sections.gears.wheels import Wheel
from ledger.calculators.contract import Draws

DEGREE = pi / 180.0
LEADING, TRAILING, NOT_STATED = "leading", "trailing", "not stated"
ROOT, TIP_END = "root", "tip"
SAME = 1e-6


def dog_row(kind: dict[str, Any], ring: dict[str, Any], angle_at: str) -> dict[str, Any]:
    """Return a kind of dog on a ring: root and tip at the mean radius, and the tip at the inner edge.

    The sloping back leaves h tan β less at the tip than at the root: 2 R sin(α/2) at the end where α is stated.
    """
    radius, angle = drawn(ring["radius"]), drawn(kind["angle"])
    run = drawn(kind["height"]) * np.tan(drawn(kind["back"]) * DEGREE)
    more = run if angle_at == TIP_END else 0.0 * run

    def stated(at: Draws) -> Draws:
        return 2.0 * at * np.sin(angle * DEGREE / 2.0)

    inner = radius - drawn(ring["width"]) / 2.0
    return {
        "ring": ring["ring"],
        "kind": kind["kind"],
        "count": kind["count"],
        "at": kind["at"],
        "angle": angle + more / radius / DEGREE,
        "thickness": stated(radius) + more,
        "tip": stated(radius) + more - run,
        "least_tip": stated(inner) + more - run,
        "width": ring["width"],
        "height": kind["height"],
        "back": kind["back"],
        "slopes": ring["slopes"] if np.any(run) else "none",
        "run": run,
    }


def sharp(what: str, row: dict[str, Any]) -> list[Problem]:
    """Return what is wrong with the tips of a dog, and that nobody said which of its flanks slopes."""
    found = []
    if row["slopes"] == NOT_STATED:
        said = "Which of its flanks slopes is not stated. Say `slopes: leading` or `trailing`, as the sleeve turns."
        found.append(Problem(False, what, said))
    if np.mean(row["least_tip"]) <= 0:
        said = (
            f"Its back slopes so far that its tip is {np.mean(row['least_tip']):.3g} mm thick at the inner edge. "
            "Lessen slope or height, or give it a wider angle."
        )
        found.append(Problem(True, what, said))
    return found


def window_row(ring: dict[str, Any], own: list[dict[str, Any]], across: Any) -> tuple[dict[str, Any], list[Problem]]:
    """Return the row of a ring and its windows, and a caution where dogs span otherwise than stated.

    own  the rows of the dogs on it
    """
    radius, pitch, half = drawn(ring["radius"]), 360.0 / own[0]["count"], drawn(ring["width"]) / 2.0
    row: dict[str, Any] = {
        "ring": ring["ring"], "radius": ring["radius"], "pitch": pitch, "inner": radius - half, "outer": radius + half,
    }  # fmt: skip
    window, spread, problems = drawn(ring["window"]), drawn(ring["spread"]), []
    if any(np.any(drawn(one["at"])) for one in own):
        ahead = [drawn(one["at"]) + one["angle"] / 2.0 for one in own]
        behind = [drawn(one["at"]) - one["angle"] / 2.0 for one in own]
        laid = np.max(np.stack(np.broadcast_arrays(*ahead)), axis=0) - np.min(
            np.stack(np.broadcast_arrays(*behind)), axis=0
        )
        if np.any(spread) and abs(float(np.mean(laid - spread))) > SAME:
            said = f"Its dogs span {np.mean(laid):.4g}° as they stand, stated are {np.mean(spread):.4g}°. Mend one."
            problems.append(Problem(False, f"dogs, {ring['ring']}", said))
        spread = laid
    if np.any(window):
        row |= {"window": ring["window"], "land": 2.0 * radius * np.sin((pitch - window) * DEGREE / 2.0)}
        row |= {"window_inner": row["inner"] - drawn(across) / 2.0, "window_outer": row["outer"] + drawn(across) / 2.0}
        row |= {"depth": ring["depth"]} if np.any(drawn(ring["depth"])) else {}
        if np.any(spread):
            row |= {"spread": spread, "play": window - spread, "play_mm": (window - spread) * DEGREE * radius}
            problems += tight(f"dogs, {ring['ring']}", row["play"])
    return row, problems


def tight(what: str, play: Draws) -> list[Problem]:
    """Return a problem where a dog, or all that stands in a window, is wider than it in some draws."""
    if np.min(play) > 0:
        return []
    said = f"It is {-np.min(play):.3g}° wider than its window in some draws; widen the window or narrow the dog."
    return [Problem(bool(np.mean(play) <= 0), what, said)]


def over_floor(ring: dict[str, Any], own: list[dict[str, Any]]) -> list[Draws]:
    """Return what each kind of dog leaves over the floor of its window at full travel, as far as that is known."""
    if not np.any(drawn(ring["depth"])):
        return []
    return [drawn(ring["depth"]) - one["engaged"] for one in own if "engaged" in one]


def struck(ring: dict[str, Any], deep: list[Draws]) -> list[Problem]:
    """Return a problem where a dog strikes the floor of its window."""
    if not deep or min(float(np.min(one)) for one in deep) > 0:
        return []
    least = min(float(np.mean(one)) for one in deep)
    said = f"At full travel {least:.3g} mm are left over the floor of a window. Deepen it, or lessen the travel."
    return [Problem(least <= 0, f"dogs, {ring['ring']}", said)]


def to_draw(ring: dict[str, Any], own: list[dict[str, Any]], across: Any, room: Any, wheel: Wheel | None) -> Ring:
    """Return a ring to be drawn, of nominal sizes."""
    radius, width = nominal(ring["radius"], "The mean radius"), nominal(ring["width"], "The radial width")
    dogs = tuple(
        Dog(one["kind"], nominal(one["at"], "Where a dog stands"), float(np.mean(one["angle"])),
            nominal(one["height"], "The height"), float(np.mean(one["run"])))
        for one in own
    )  # fmt: skip
    away = max(one.height for one in dogs) if room is None else float(np.mean(room))
    return Ring(
        ring["ring"], dogs, int(nominal(own[0]["count"], "The number of dogs")), radius - width / 2.0,
        radius + width / 2.0, nominal(across, "The radial play"), nominal(ring["window"], "The window"),
        nominal(ring["depth"], "The depth of a window"), away, ring["slopes"],
        wheel.bore if wheel else 0.0, wheel.root if wheel else 0.0,
    )  # fmt: skip
