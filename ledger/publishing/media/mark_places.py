"""Where a mark lies on a picture, in words for whoever does not see it."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.entries.parts import Mark
from ledger.publishing import words
from ledger.quantities import percents

THIRD = 100 / 3
Places = Sequence[tuple[float, float]]


def mark(at: Places, one: Mark) -> str:
    """Return the form of a mark, where it lies and how large it is; places in hundredths of width and height."""
    if one.point is not None:
        return f"a point {_where(*at[0])}"
    if one.line is not None:
        return f"a line from {_corner(*at[0])} to {_corner(*at[-1])}"
    form = "a box" if one.box is not None else f"an outline of {len(at)} corners"
    across, down = (max(along) - min(along) for along in zip(*at, strict=True))
    return f"{form} {_where(*_middle(at))}, {_share(across)} of the width by {_share(down)} of the height"


def picks(at: Places) -> str:
    """Return how many picks there are and where they lie; places in hundredths of width and height."""
    if not at:
        return ""
    return f"{words.count(len(at), 'pick')} {_where(*_middle(at))}"


def _middle(at: Places) -> tuple[float, float]:
    x, y = ((min(along) + max(along)) / 2 for along in zip(*at, strict=True))
    return x, y


def _where(x: float, y: float) -> str:
    return f"in {_corner(x, y)}"


def _corner(x: float, y: float) -> str:
    row = ("upper", "middle", "lower")[_third(y)]
    column = ("left", "middle", "right")[_third(x)]
    return f"the {row}" if row == column else f"the {row} {column}"


def _third(part: float) -> int:
    return min(max(int(part // THIRD), 0), 2)


def _share(part: float) -> str:
    return percents.chance(min(max(part, 0.0), 100.0) / 100)
