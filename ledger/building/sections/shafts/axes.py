"""Where the axes of shafts stand in the frame of the sheet, and the ends that shafts have beyond their shoulders.

The frame: z along the shafts, 0 at the left bearing shoulders and rising to the right; x from the first shaft's axis to
the second's; y to the left of that line. Seen from the right end x points right and y up.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.building.contract import Problem
from ledger.building.reading import drawn, least_of, middle_of

LEFT, RIGHT = "left", "right"
FRAME = (
    "Frame of all coordinates: *z* along the shafts, 0 at the left bearing shoulders and rising to the right; *x* from "
    "the first shaft's axis to the second's; *y* to the left of that line. Seen from the right end, *x* points right "
    "and *y* up."
)
Rows = list[dict[str, Any]]


def axes_of(names: list[str], rows: Rows, distance: Any) -> tuple[Rows, list[Problem]]:
    """Return where the axes stand: the first at the origin, the second along x, others by their distances to both.

    x and y are those of the middles between the limits, which is what one bores to; the distances keep their limits.
    """
    if len(names) < 2 or distance is None:
        return [], []
    apart, problems = middle_of(distance), []
    found: Rows = [
        {"axis": names[0], "x": 0.0, "y": 0.0, "from_second": distance},
        {"axis": names[1], "x": apart, "y": 0.0, "from_first": distance},
    ]
    for row in rows:
        first, second = middle_of(row["from_first"]), middle_of(row["from_second"])
        along = (apart**2 + first**2 - second**2) / (2.0 * apart)
        height = first**2 - along**2
        if height < 0:
            said = f"Its distances do not reach: {names[0]} and {names[1]} are {apart:g} mm apart."
            problems.append(Problem(True, f"axis {row['axis']}", said))
            continue
        aside = float(np.sqrt(height)) * (1.0 if row["side"] == LEFT else -1.0)
        found.append({"axis": row["axis"], "x": along, "y": aside, "from_first": row["from_first"],
                      "from_second": row["from_second"]})  # fmt: skip
    return found, problems


def least_apart(axes: Rows) -> dict[frozenset[str], float]:
    """Return the least distance of every two axes that a distance is stated for [mm]."""
    names = [one["axis"] for one in axes[:2]]
    found = {}
    for row in axes:
        for other, name in zip(names, ("from_first", "from_second"), strict=True):
            if name in row and other != row["axis"]:
                found[frozenset((other, row["axis"]))] = least_of(row[name])
    return found


def with_journals(stations: Rows, ends: dict[str, dict[str, Any]], between: dict[str, Any]) -> Rows:
    """Return the stations of all shafts, each shaft's with what stands out beyond its bearing shoulders.

    between  length from shoulder to shoulder, by shaft [mm]
    """
    found: Rows = []
    for shaft in dict.fromkeys(one["shaft"] for one in stations):
        own = [one for one in stations if one["shaft"] == shaft]
        end = ends.get(shaft)
        if end is None:
            found += own
            continue
        left, right = (_journal(shaft, side, end) for side in (LEFT, RIGHT))
        last = drawn(between[shaft])
        whole = [
            left | {"begins": -drawn(left["length"]), "ends": 0.0},
            *own,
            right | {"begins": last, "ends": last + drawn(right["length"])},
        ]
        found += [one for one in whole if np.any(drawn(one["length"]))]
    return found


def _journal(shaft: str, side: str, end: dict[str, Any]) -> dict[str, Any]:
    thick = drawn(end[f"{side}_diameter"])
    return {
        "shaft": shaft,
        "part": f"{side} end",
        "length": end[side],
        "diameter": end[f"{side}_diameter"] if np.any(thick) else "–",
    }
