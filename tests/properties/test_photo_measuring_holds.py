"""What holds for any picks on a plane, along a shaft, beside a scale bar, and for any readings."""

from __future__ import annotations

from math import hypot

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.errors import PhotoRefused
from ledger.photo.combining import Reading, combine
from ledger.photo.lens import BrownLens, Straight, UnknownLens, distort, straighten
from ledger.photo.plane import angle, length, on_plane
from ledger.photo.plane_known import known_points
from ledger.photo.scale_bar import View, scale_bar
from ledger.photo.shaft_line import Stack, axial_stack
from ledger.photo.values import Pick
from ledger.quantities.notation import parse

COUNT = 60
KNOWN = ((0, 0), (100, 5), (95, 80), (4, 90), (50, 40))
SEEN = ((420.0, 380.0), (2300.0, 520.0), (2050.0, 1600.0), (510.0, 1750.0), (1240.0, 980.0))
TARGETS = ((900.0, 800.0), (1700.0, 1200.0), (1100.0, 1400.0))

similarities = st.tuples(st.floats(0.2, 5), st.floats(-3.1, 3.1), st.floats(-2000, 2000), st.floats(-2000, 2000))


def moved(points: tuple[tuple[float, float], ...], by: tuple[float, ...], u: float = 1e-4) -> tuple[Pick, ...]:
    """Pixels enlarged, turned and shifted, as another crop of the same picture."""
    size, turn, across, down = by
    c, s = size * np.cos(turn), size * np.sin(turn)
    return tuple(Pick(float(c * x - s * y + across), float(s * x + c * y + down), u * size) for x, y in points)


@given(similarities)
@settings(max_examples=25)
def test_a_similarity_of_the_pixels_changes_no_measurement(by: tuple[float, ...]) -> None:
    """Scaling, turning and cropping the picture leaves lengths, angles and places as they were."""
    knowns = [(parse(f"{x} mm"), parse(f"{y} mm")) for x, y in KNOWN[:4]]

    def all_of_it(move: tuple[float, ...]) -> list[float]:
        frame = known_points(moved(SEEN[:4], move), knowns)
        one, two, three = moved(TARGETS, move)
        return [
            length(frame, one, two, Straight(), count=COUNT).estimate,
            angle(frame, one, two, three, Straight(), count=COUNT).estimate,
            *on_plane(frame, [one], Straight(), (), 0)[0, 0],
        ]

    assert all_of_it(by) == pytest.approx(all_of_it((1.0, 0.0, 0.0, 0.0)), abs=1e-4)


@given(st.permutations(range(5)), st.integers(4, 5))
@settings(max_examples=25)
def test_the_order_of_known_points_changes_nothing_but_chance(order: list[int], count: int) -> None:
    """Named in another order, the points give the same length; exact places give the same draws of it."""
    chosen = [number for number in order if number < count]

    def found(numbers: list[int]) -> tuple[float, float]:
        frame = known_points(
            [Pick(*SEEN[n]) for n in numbers], [tuple(parse(f"{value} mm") for value in KNOWN[n]) for n in numbers]
        )
        told = length(frame, Pick(*TARGETS[0]), Pick(*TARGETS[1]), Straight(), count=COUNT)
        return told.estimate, told.uncertainty

    assert found(chosen) == pytest.approx(found(list(range(count))), rel=1e-7)


@given(st.floats(0.1, 4), st.floats(1.2, 4))
@settings(max_examples=25)
def test_more_doubt_in_makes_more_doubt_out(u: float, more: float) -> None:
    """Coarser picks never make a surer length, and the draws of one measurement repeat to the last digit."""
    knowns = [(parse(f"{x} mm"), parse(f"{y} mm")) for x, y in KNOWN[:4]]

    def found(doubt: float) -> tuple[float, tuple[float, ...]]:
        frame = known_points([Pick(*pixel, doubt) for pixel in SEEN[:4]], knowns)
        told = length(frame, Pick(*TARGETS[0], doubt), Pick(*TARGETS[1], doubt), Straight(), count=400)
        return told.uncertainty, tuple(told.draws)

    assert found(u * more)[0] > found(u)[0]
    assert found(u)[1] == found(u)[1]


@given(similarities, st.permutations(range(5)))
@settings(max_examples=25)
def test_a_shaft_keeps_its_places_however_it_is_pictured(by: tuple[float, ...], order: list[int]) -> None:
    """Pixels enlarged, turned, shifted, places counted in any order or from the other end: the stack is the same."""
    along = (0.0, 40.0, 90.0, 150.0, 200.0)
    pixels = tuple((300 + 2000 * s / (s + 260), 500 + 900 * s / (s + 260)) for s in along)

    def stack(move: tuple[float, ...], numbers: list[int], flip: float = 1.0) -> Stack:
        picks = moved(pixels, move)
        return axial_stack(
            {str(n): (picks[n], parse(f"{flip * along[n]} mm")) for n in numbers if n not in (1, 3)},
            {str(n): picks[n] for n in numbers if n in (1, 3)},
            Straight(),
            count=COUNT,
        )

    told = stack(by, order)
    assert [one.label for one in told.positions] == list("01234")
    assert [one.estimate for one in told.positions] == pytest.approx(along, abs=1e-3)
    assert [one.estimate for one in told.gaps] == pytest.approx(np.diff(along), abs=1e-3)
    turned = stack(by, order, -1.0)
    assert [one.estimate for one in turned.positions] == pytest.approx([-s for s in reversed(along)], abs=1e-3)


@given(st.floats(0.3, 3), st.floats(0, 6.2), st.floats(5, 500))
@settings(max_examples=25)
def test_a_scale_bar_scales(size: float, turn: float, known: float) -> None:
    """A known length twice as long makes a length twice as long; square on, a picture's turn changes nothing."""
    points = ((-700.0, -300.0), (-100.0, -250.0), (-400.0, 300.0), (600.0, 500.0))
    c, s = np.cos(turn), np.sin(turn)
    picks = [Pick(1500 + c * x - s * y, 1500 + s * x + c * y) for x, y in points]
    view = View(3000, 3000, tilt=parse("0 °"))

    def found(millimetres: float, known_picks: list[Pick]) -> float:
        bar, target = (known_picks[0], known_picks[1]), (known_picks[2], known_picks[3])
        return scale_bar(bar, parse(f"{millimetres} mm"), target, view, Straight(), count=COUNT).estimate

    assert found(known * size, picks) == pytest.approx(size * found(known, picks), rel=1e-9)
    sharp = [Pick(one.x, one.y, 1e-5) for one in picks]
    expected = known * hypot(1000, 200) / hypot(600, 50)
    assert found(known, sharp) == pytest.approx(expected, rel=1e-6)


@given(st.floats(-0.2, 0.08), st.floats(-0.002, 0.002), st.floats(-0.002, 0.002))
def test_straightening_undoes_distortion(k1: float, p1: float, p2: float) -> None:
    """Distorted and straightened, pixels are where they were."""
    lens = BrownLens(2000, 2100, 1480, 1020, k1, 0.01, p1, p2, 0.0)
    grid = np.stack(np.meshgrid(np.linspace(100, 2900, 7), np.linspace(100, 1900, 5)), axis=-1).reshape(1, -1, 2)
    assert straighten(lens, distort(lens, grid), [], False) == pytest.approx(grid, abs=1e-5)


@given(st.integers(-300, 300).map(lambda one: one / 1000))
def test_no_bend_is_a_straight_lens_and_its_middle_never_moves(bend: float) -> None:
    """A bend of zero changes nothing; any bend leaves the middle of the picture where it is."""
    grid = np.array([[[1500.0, 1000.0], [200.0, 300.0]]])
    flat = UnknownLens(3000, 2000, parse("0"), parse("0"))
    assert straighten(flat, grid, [], False) == pytest.approx(grid)
    bent = UnknownLens(3000, 2000, parse(bend), parse("0"))
    assert straighten(bent, grid, [], False)[0, 0] == pytest.approx((1500, 1000))


readings = st.lists(st.tuples(st.floats(10, 200), st.floats(0.1, 5), st.floats(0, 0.9)), min_size=2, max_size=6).map(
    lambda rows: [
        Reading(f"r{n}", "mm", value, u, {"photo: scale": u * part}) for n, (value, u, part) in enumerate(rows)
    ]
)


@given(readings, st.floats(0.1, 20), st.randoms(use_true_random=False))
@settings(max_examples=60)
def test_combining_follows_units_and_not_order(given_: list[Reading], unit: float, shuffle: object) -> None:
    """Readings in another unit or order give the same estimate, weights and test; never surer than nature allows."""
    for proportional in (True, False):
        try:
            plain = combine("x", given_, proportional, count=2)
        except PhotoRefused:
            continue
        other = [
            Reading(
                one.label,
                "mm",
                unit * one.estimate,
                unit * one.uncertainty,
                {"photo: scale": unit * one.shared["photo: scale"]},
            )
            for one in given_
        ]
        shuffle.shuffle(other)  # type: ignore[attr-defined]
        changed = combine("x", other, proportional, count=2)
        assert changed.value.estimate == pytest.approx(unit * plain.value.estimate, rel=1e-6)
        assert changed.chi_squared == pytest.approx(plain.chi_squared, rel=1e-5, abs=1e-9)
        assert changed.weights == pytest.approx(dict(plain.weights), rel=1e-5, abs=1e-8)
        assert sum(plain.weights.values()) == pytest.approx(1)
        assert 0 <= plain.chance <= 1
        if not proportional:
            # Not surer than readings without the shared part, not less sure than the best reading.
            best = min(one.uncertainty for one in given_)
            assert plain.value.uncertainty <= best * (1 + 1e-9)
