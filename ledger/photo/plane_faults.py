"""What can be wrong with known points of a plane and with picks to be measured on it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from ledger.photo.lens import Lens, lens_faults
from ledger.photo.plane_known import Frame
from ledger.photo.values import APART, Pick, known_faults, pick_faults, places

FEWEST = 4
# Known places nearer to one line than this share of their spread carry no map.
FLAT = 1e-6


def frame_faults(frame: Frame, lens: Lens) -> list[str]:
    """Return what is wrong with a frame and a lens, one sentence a fault."""
    faults = [*lens_faults(lens), *pick_faults(frame.picks, "known point")]
    count = len(frame.picks)
    if count < FEWEST:
        faults.append(f"plane: given {count} known points; expected four at least. Mark more points that are known.")
    expected = {"points": 2 * count, "rectangle": 2, "circle": 1 + count}[frame.form]
    if frame.form == "rectangle" and count != FEWEST:
        faults.append(
            f"rectangle: given {count} picks; expected its four corners, in order round it. Mark the corners."
        )
    if len(frame.knowns) != expected:
        faults.append(
            f"plane: given {len(frame.knowns)} known values for {count} picks; expected {expected}. "
            "Give x and y of each point, width and height of a rectangle, or a diameter and an angle of each point."
        )
    for number, known in enumerate(frame.knowns):
        if frame.form == "points":
            faults += known_faults(known, f"known {'xy'[number % 2]} of point {number // 2 + 1}", "mm")
        elif frame.form == "rectangle":
            faults += known_faults(known, ("width", "height")[number % 2], "mm", above=0.0)
        elif number == 0:
            faults += known_faults(known, "diameter", "mm", above=0.0)
        else:
            faults += known_faults(known, f"angle of point {number}", "°")
    return faults or _flat_picks(frame.picks)


def target_faults(picks: Sequence[Pick], apart: Sequence[tuple[int, int]] = ()) -> list[str]:
    """Return what is wrong with picks to be measured; `apart` names the pairs that must not coincide."""
    faults = pick_faults(picks)
    if faults:
        return faults
    at = places(picks)
    for one, other in apart:
        doubt = float(np.hypot(picks[one].u, picks[other].u))
        gap = float(np.hypot(*(at[one] - at[other])))
        if gap < APART * doubt:
            faults.append(
                f"picks {one + 1} and {other + 1}: given {gap:.3g} px apart with a doubt of {doubt:.3g} px; expected "
                f"at least {APART:g} times that doubt. Zoom in and pick more closely, or measure something larger."
            )
    return faults


def known_place_faults(known: np.ndarray) -> list[str]:
    """Return what is wrong with known places [mm], shape (n, 2): three of four, or all but one, on a line."""
    bad = _on_a_line(known, np.full(len(known), FLAT * float(np.ptp(known, axis=0).max())))
    return [
        f"plane: given known places {_listed(group)} on one line; expected no three of four on a line. "
        "Check the numbers, or choose a point off that line."
        for group in bad
    ]


def _flat_picks(picks: Sequence[Pick]) -> list[str]:
    bad = _on_a_line(places(picks), np.array([APART * pick.u for pick in picks]))
    return [
        f"plane: given known points {_listed(group)} on one line in the picture, or coincident, within their doubt; "
        "expected no three of four on a line. Choose points spread over the plane, or pick more closely."
        for group in bad
    ]


def _on_a_line(at: np.ndarray, least: np.ndarray) -> list[tuple[int, ...]]:
    """Return the groups of points that lie on a line: three of four, or all but one of more."""
    if len(at) == FEWEST:
        return [
            group for group in combinations(range(FEWEST), 3) if _height(at[list(group)]) <= least[list(group)].max()
        ]
    groups = []
    for left_out in range(len(at)):
        group = tuple(number for number in range(len(at)) if number != left_out)
        offset = at[list(group)] - at[list(group)].mean(axis=0)
        across = np.linalg.svd(offset, compute_uv=False)[1] / np.sqrt(len(group))
        if across <= least.max() / 2:
            groups.append(group)
    return groups


def _height(corners: np.ndarray) -> float:
    """Return the least height of a triangle: twice its area over its longest side; 0 for coincident corners."""
    first, second = corners[1] - corners[0], corners[2] - corners[0]
    longest = max(np.hypot(*first), np.hypot(*second), np.hypot(*(second - first)))
    return float(abs(first[0] * second[1] - first[1] * second[0]) / longest) if longest > 0 else 0.0


def _listed(group: Sequence[int]) -> str:
    shown = [str(number + 1) for number in group]
    return ", ".join(shown[:-1]) + " and " + shown[-1]
