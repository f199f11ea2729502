"""Points of a plane picked on a photograph, with what is known of their places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ledger.photo.values import Pick
from ledger.quantities.notation import Quantity


@dataclass(frozen=True)
class Frame:
    """Points of a plane picked on a photograph, with what is known of their places.

    form        "points": x and y of each pick in turn [mm];
                "rectangle": width and height [mm], four picks in order round it, the first side being the width;
                "circle": diameter [mm], then each pick's angle from the x axis [°], about the middle as origin
    picks       in the same order, four or more
    knowns      as the form says, each with its doubt; doubts of different knowns are independent
    photograph  a name: frames and picks of one photograph share what they have in common
    """

    form: Literal["points", "rectangle", "circle"]
    picks: tuple[Pick, ...]
    knowns: tuple[Quantity, ...]
    photograph: str = ""


def known_points(picks: Sequence[Pick], knowns: Sequence[tuple[Quantity, Quantity]], photograph: str = "") -> Frame:
    """Return a frame of four or more points with known x and y [mm]."""
    return Frame("points", tuple(picks), tuple(one for pair in knowns for one in pair), photograph)


def known_rectangle(picks: Sequence[Pick], width: Quantity, height: Quantity, photograph: str = "") -> Frame:
    """Return the frame of a rectangle: (0, 0), (width, 0), (width, height), (0, height), in the order of its picks."""
    return Frame("rectangle", tuple(picks), (width, height), photograph)


def known_circle(picks: Sequence[Pick], diameter: Quantity, angles: Sequence[Quantity], photograph: str = "") -> Frame:
    """Return the frame of points on a circle, such as bolts on their pitch circle, at known angles [°]."""
    return Frame("circle", tuple(picks), (diameter, *angles), photograph)
