"""Numbers of marks stand apart from each other on every width they are placed for, in the picture, and stay so."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from ledger.publishing.media.apart import AROUND, DIGIT, HIGH, WIDTHS, apart

RATIO = 2 / 3
ANCHORS = st.lists(st.tuples(st.floats(0, 100), st.floats(0, 100)), max_size=26)
CROWDED = st.lists(st.tuples(st.floats(30, 45), st.floats(50, 70)), min_size=10, max_size=26)


def clashes(at: list[tuple[float, float]], moved: list[tuple[float, float]], width: float) -> list[tuple[int, int]]:
    """Which numbers lie on each other, and which out of the picture (beside themselves), counted by their corners."""
    boxes = []
    for number, ((x, y), (right, down)) in enumerate(zip(at, moved, strict=True), 1):
        across = DIGIT * len(str(number)) + AROUND
        left, top = x * width / 100 + right - across / 2, y * width * RATIO / 100 + down - HIGH / 2
        boxes.append((left, top, left + across, top + HIGH))
    found = [
        (one, one)
        for one, (left, top, right, bottom) in enumerate(boxes)
        if left < -0.01 or top < -0.01 or right > width + 0.01 or bottom > width * RATIO + 0.01
    ]
    for (one, a), (other, b) in combinations(enumerate(boxes), 2):
        if a[0] < b[2] - 0.01 and b[0] < a[2] - 0.01 and a[1] < b[3] - 0.01 and b[1] < a[3] - 0.01:
            found.append((one, other))
    return found


@given(ANCHORS | CROWDED)
def test_no_number_lies_on_another_or_out_of_the_picture(at: list[tuple[float, float]]) -> None:
    """Anywhere on the picture or in one corner of it, on a phone, a tablet and a desk; the same again every time."""
    moved = apart(at, RATIO)
    assert moved == apart(at, RATIO)
    for width in WIDTHS:
        assert clashes(at, moved, width) == []


def test_numbers_left_where_they_point_are_caught() -> None:
    """The check refuses two numbers on one place, and one over the edge."""
    assert clashes([(50.0, 50.0), (50.5, 50.5)], [(0.0, 0.0), (0.0, 0.0)], 328.0) == [(0, 1)]
    assert clashes([(0.0, 50.0)], [(0.0, 0.0)], 328.0) == [(0, 0)]
