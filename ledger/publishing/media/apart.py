"""Numbers of marks moved apart, so that each can be read where many marks lie close together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, pi, sin

# Widths of a picture [px]: on a phone, on a tablet, on a desk. A number keeps its size on all of them.
WIDTHS = (328.0, 620.0, 1000.0)
HIGH, DIGIT, AROUND = 15.0, 8.5, 5.0
STEP, RINGS, DIRECTIONS = 13.0, 12, 16

Place = tuple[float, float]


def apart(at: Sequence[Place], ratio: float) -> list[Place]:
    """Return how far from its mark the middle of each number stands, to the right and down [px].

    at     where each mark is pointed to, in hundredths of the picture's width and height
    ratio  height of the picture over its width

    The first in each row of nearer to farther places that lies in the picture and on no number before it, on any of
    WIDTHS; where there is none, the nearest, as if it were alone.
    """
    placed: list[tuple[float, Place, Place]] = []
    for number, anchor in enumerate(at, 1):
        wide = DIGIT * len(str(number)) + AROUND
        free = (one for one in _around() if _fits(anchor, one, wide, ratio, placed))
        placed.append((wide, anchor, next(free, (0.0, -STEP))))
    return [offset for _, _, offset in placed]


def _around() -> Iterator[Place]:
    """Yield offsets from nearer to farther: above first, then by turns to both sides."""
    for ring in range(1, RINGS + 1):
        for turn in range(DIRECTIONS):
            angle = 2 * pi * ((turn + 1) // 2) / DIRECTIONS * (1 if turn % 2 else -1)
            yield STEP * ring * sin(angle), -STEP * ring * cos(angle)


def _fits(
    anchor: Place, offset: Place, wide: float, ratio: float, placed: Sequence[tuple[float, Place, Place]]
) -> bool:
    for width in WIDTHS:
        x, y = _middle(anchor, offset, width, ratio)
        if not (wide / 2 <= x <= width - wide / 2 and HIGH / 2 <= y <= width * ratio - HIGH / 2):
            return False
        for other, where, by in placed:
            left, top = _middle(where, by, width, ratio)
            if abs(x - left) < (wide + other) / 2 and abs(y - top) < HIGH:
                return False
    return True


def _middle(anchor: Place, offset: Place, width: float, ratio: float) -> Place:
    return anchor[0] * width / 100 + offset[0], anchor[1] * width * ratio / 100 + offset[1]
