"""What holds for any rim, wheel and view."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.errors import PhotoRefused
from ledger.photo.circle_pose import View
from ledger.photo.ellipse import axes_of, state_of
from ledger.photo.rim_fit import Rim, fit_rim
from ledger.photo.round_part import diameter, ratio, tilt
from ledger.photo.tooth_count import count_teeth
from ledger.photo.tooth_marks import Marks
from ledger.photo.tooth_module import module_of
from ledger.photo.values import Pick
from ledger.quantities.notation import parse
from tests.photo_rims import VIEW, Part, picked, random_part

SEEDS = st.integers(0, 10_000)


def seen(seed: int, steepest: float = 70.0) -> tuple[Part, list[Pick]]:
    """A part and picks of its rim."""
    random = np.random.default_rng(seed)
    part = random_part(random, steepest)
    return part, list(picked(part.rim(np.linspace(0, 5.5, 12) + random.uniform(0, 6)), random))


def shape(rim: Rim) -> tuple[float, ...]:
    """Half axes with the spread of their draws."""
    return rim.a, rim.b, float(np.std(rim.draws[:, 2])), float(np.std(rim.draws[:, 3]))


@given(SEEDS, st.integers(0, 11))
@settings(deadline=None, max_examples=20)
def test_order_of_picks_does_not_matter(seed: int, start: int) -> None:
    """Numbered from another pick, or the other way round, the same rim is found; its draws spread alike."""
    _, picks = seen(seed)
    one, other = fit_rim(picks, count=1000), fit_rim((picks[start:] + picks[:start])[::-1], count=1000)
    assert (one.x, one.y, one.a, one.b) == pytest.approx((other.x, other.y, other.a, other.b), abs=1e-2)
    assert shape(one)[2:] == pytest.approx(shape(other)[2:], rel=0.3)


@given(SEEDS, st.floats(0, 6), st.floats(0.2, 5))
@settings(deadline=None, max_examples=20)
def test_a_turned_and_enlarged_picture_has_the_same_rim(seed: int, turn: float, times: float) -> None:
    """Half axes grow with the picture, their ratio stays, whichever way the picture is turned."""
    _, picks = seen(seed)
    c, s = times * np.cos(turn), times * np.sin(turn)
    moved = [Pick(c * p.x - s * p.y + 7, s * p.x + c * p.y - 9, times * p.u) for p in picks]
    one, other = fit_rim(picks, count=1000), fit_rim(moved, count=1000)
    assert (other.a, other.b) == pytest.approx((times * one.a, times * one.b), rel=1e-3)
    assert shape(other)[2:] == pytest.approx([times * two for two in shape(one)[2:]], rel=0.3)


@given(SEEDS)
@settings(deadline=None, max_examples=20)
def test_same_picks_same_answer(seed: int) -> None:
    """Draws are seeded by what is given: nothing changes from one time to the next."""
    _, picks = seen(seed)
    one, other = fit_rim(picks, count=400), fit_rim(picks, count=400)
    assert np.array_equal(one.draws, other.draws)
    assert np.array_equal(tilt(one, VIEW).draws, tilt(other, VIEW).draws)
    assert ((one.draws[:, 2] >= one.draws[:, 3]) & (one.draws[:, 3] > 0)).all()


@given(st.floats(-1e3, 1e3), st.floats(1, 500), st.floats(0.05, 1), st.floats(-1.5, 1.5))
@settings(deadline=None, max_examples=60)
def test_states_and_axes_turn_into_each_other(x: float, major: float, share: float, angle: float) -> None:
    """(x, y, a, b, φ) come back from their state, but for the angle of a circle."""
    axes = np.array([x, -x, major, share * major, angle])
    back = axes_of(state_of(axes))
    assert back[:4] == pytest.approx(axes[:4], rel=1e-9)
    if share < 0.999:
        assert np.cos(2 * (back[4] - angle)) == pytest.approx(1, abs=1e-9)


@given(SEEDS)
@settings(deadline=None, max_examples=12)
def test_a_rim_by_itself_has_the_ratio_one(seed: int) -> None:
    """The ratio of a rim to itself is one within its doubt; its diameter is that of the reference."""
    part, picks = seen(seed)
    again = picked(part.rim(np.linspace(0, 5.5, 12)), np.random.default_rng(seed + 1))
    rim, other = fit_rim(picks, count=600), fit_rim(again, count=600)
    for arrangement in ("coaxial", "coplanar"):
        found = ratio(other, rim, VIEW, arrangement=arrangement)
        assert abs(found.estimate - 1) < 5 * found.uncertainty
    known = diameter(other, rim, parse("50 mm"), VIEW)
    assert known.estimate == pytest.approx(50 * found.estimate, rel=0.02)
    assert known.parts["scale"] == 0


@given(SEEDS)
@settings(deadline=None, max_examples=12)
def test_less_known_is_never_surer(seed: int) -> None:
    """A wider known diameter, depth or pick gives a wider diameter; the named causes make up the whole nearly."""
    part, picks = seen(seed, 60)
    rough = [Pick(p.x, p.y, 3 * p.u) for p in picks]
    other = fit_rim(picked(part.rim(np.linspace(0, 6, 12), 0.6, 0.2), np.random.default_rng(seed)), count=600)
    rim = fit_rim(picks, count=600)
    sure = diameter(other, rim, parse("100 ± 1 mm"), VIEW, parse("8..12 mm"))
    assert diameter(other, rim, parse("100 ± 8 mm"), VIEW, parse("8..12 mm")).uncertainty > sure.uncertainty
    assert diameter(other, rim, parse("100 ± 1 mm"), VIEW, parse("-20..40 mm")).parts["depth"] > sure.parts["depth"]
    assert (
        diameter(other, fit_rim(rough, count=600), parse("100 ± 1 mm"), VIEW).parts["picking"] > (sure.parts["picking"])
    )
    assert sum(part**2 for part in sure.parts.values()) ** 0.5 == pytest.approx(sure.uncertainty, rel=0.5)


def opposite(side: str) -> str:
    """The other side."""
    pairs: dict[str, str] = {"left": "right", "right": "left", "above": "below", "below": "above"}
    return pairs[side]


@pytest.mark.parametrize(("normal", "side"), [((0.7, 0, -0.714), "right"), ((0, -0.7, -0.714), "above")])
def test_the_nearer_side_settles_which_way_a_rim_stands(normal: tuple[float, ...], side: str) -> None:
    """A rim whose axis leans to a side has its far edge there; with the side told, evenly spaced marks are even.

    The wheel is near: wrongly told, its teeth stand unevenly, and are refused.
    """
    part = Part(1500.0, np.array([600.0, 400.0]), np.array([0, 0, 4.0]), np.array(normal) / np.linalg.norm(normal))
    random = np.random.default_rng(1)
    rim = fit_rim(picked(part.rim(np.linspace(0, 6, 20)), random, 0.3), count=800)
    marks = Marks(picked(part.rim(2 * np.pi / 40 * np.arange(12)), random, 0.3))
    lens = parse("1500 px")
    right = count_teeth(rim, marks, View(1200, 800, lens, centring=0.001, nearer=opposite(side)))
    assert right.likeliest == 40
    assert not right.slips
    with pytest.raises(PhotoRefused, match="fit badly"):
        count_teeth(rim, marks, View(1200, 800, lens, centring=0.001, nearer=side))


@given(SEEDS, st.booleans())
@settings(deadline=None, max_examples=15)
def test_marks_count_alike_both_ways_round(seed: int, tell: bool) -> None:
    """Teeth numbered backwards give the same chances; they sum to one, read as a quantity, and hold the set."""
    random = np.random.default_rng(seed)
    part = random_part(random, 60, 150)
    rim = fit_rim(picked(part.rim(np.linspace(0, 5.5, 14)), random), count=2000)
    marks = picked(part.rim(0.4 + 2 * np.pi / 31 * np.arange(9)), random)
    hidden: tuple[int | None, ...] = (0, 0, 0, None, 0, 0, 0, 0) if tell else ()
    one = count_teeth(rim, Marks(marks, hidden), VIEW)
    other = count_teeth(rim, Marks(marks[::-1], hidden[::-1]), VIEW)
    # The draws of the camera differ, as they are seeded by the marks in order.
    apart = sum(abs(one.chances.get(teeth, 0) - other.chances.get(teeth, 0)) for teeth in range(8, 121)) / 2
    assert apart < 0.25
    assert sum(z * p for z, p in one.chances.items()) == pytest.approx(
        sum(z * p for z, p in other.chances.items()), rel=0.03
    )
    assert sum(one.chances.values()) == pytest.approx(1, abs=1e-6)
    assert one.likeliest in one.held
    assert one.quantity.chances == pytest.approx({float(z): p for z, p in one.chances.items()}) or len(one.chances) == 1


@given(st.floats(0.5, 30), st.integers(10, 90))
@settings(deadline=None, max_examples=20)
def test_modules_grow_with_the_wheel(module: float, teeth: int) -> None:
    """Twice the diameter is twice the module; chances and what is left sum to one."""
    size = module * (teeth + 2)
    one = module_of(parse(f"{size} ± {0.01 * size} mm"), parse(teeth))
    other = module_of(parse(f"{1.5 * size} ± {0.015 * size} mm"), parse(teeth))
    assert other.module.estimate == pytest.approx(1.5 * one.module.estimate, rel=0.01)
    assert sum(one.chances.values()) + one.neither == pytest.approx(1, abs=0.02)


def refused(picks: list[Pick]) -> str:
    """What a refusal says."""
    with pytest.raises(PhotoRefused) as told:
        fit_rim(picks, count=400)
    return str(told.value)


def test_rims_that_are_none_are_refused_in_words() -> None:
    """Too few, a line, a hyperbola, a scatter, NaN, edge-on, a hopeless arc: each by its own name."""
    turn = np.linspace(0, 2 * np.pi, 12)[:-1]
    circle = [Pick(300 + 100 * np.cos(t), 300 + 60 * np.sin(t)) for t in turn]
    assert "4 picks; expected 5" in refused(circle[:4])
    assert "on a line" in refused([Pick(float(k), 2.0 * k) for k in range(8)])
    assert "hyperbola" in refused([Pick(s * 100 * np.cosh(t), 80 * np.sinh(t)) for t in (-1, 0, 1) for s in (1, -1)])
    bent = [*circle[:5], Pick(circle[5].x + 40, circle[5].y), *circle[6:]]
    assert "Pick 6 lies farthest" in refused(bent)
    assert "finite" in refused([*circle, Pick(float("nan"), 1.0)]) or "nan" in refused(
        [*circle, Pick(float("nan"), 1.0)]
    )
    assert "edge-on" in refused([Pick(300 + 100 * np.cos(t), 300 + 2.2 * np.sin(t)) for t in turn])
    short = np.linspace(0, 0.5, 8)
    told = refused([Pick(300 + 100 * np.cos(t), 300 + 60 * np.sin(t)) for t in short])
    assert "arc" in told or "straight" in told
    both = refused([Pick(1.0, 1.0, 0.0), Pick(2.0, float("inf"))])
    assert both.count("expected") == 3


def test_marks_that_cannot_be_counted_are_refused_in_words() -> None:
    """Faulty marks, priors and views are named all at once; marks elsewhere, twice, or to and fro too."""
    part = Part(1500.0, np.array([600.0, 400.0]), np.array([0, 0, 9.0]), np.array([0.3, 0, -0.954]))
    random = np.random.default_rng(2)
    rim = fit_rim(picked(part.rim(np.linspace(0, 6, 14)), random), count=400)
    good = picked(part.rim(2 * np.pi / 30 * np.arange(6)), random)

    def told(marks: Marks, view: View = VIEW, prior: tuple[int, int] = (8, 120)) -> str:
        with pytest.raises(PhotoRefused) as refusal:
            count_teeth(rim, marks, view, prior)
        return str(refusal.value)

    many = told(Marks(good[:1], (1, 2), slip=2, placing=-1), View(0, 800, centring=-1), (3, 900))
    for word in ("picture", "centring", "marks", "hidden", "slip", "placing", "teeth"):
        assert word in many
    assert "none that is known" in told(Marks(good, (None,) * 5))
    assert "radii from" in told(Marks((*good, Pick(900.0, 700.0))))
    assert "same place" in told(Marks((*good, Pick(good[-1].x + 0.5, good[-1].y))))
    assert "to and fro" in told(Marks((good[0], good[3], good[1], good[4], good[2], good[5])))
    assert "of a pitch" in told(Marks(tuple(Pick(p.x, p.y, 7.0) for p in good), placing=0.15))
    assert "no number of teeth in the range" in told(Marks(good), prior=(8, 12))
    uneven = tuple(Pick(p.x + (9 if k == 3 else 0), p.y, 0.3) for k, p in enumerate(good))
    assert "fit badly" in told(Marks(uneven, placing=0.01))


def test_a_module_that_cannot_be_is_refused() -> None:
    """A diameter in another unit of size, or that may be negative, and chances that do not sum to one."""
    for tip, teeth, words in (("62 m", "31", "Check the unit"), ("62 ± 80 mm", "31", "surely"), ("62 s", "31", "tip")):
        with pytest.raises(PhotoRefused, match=words):
            module_of(parse(tip), parse(teeth))
    with pytest.raises(PhotoRefused, match="sum to one"):
        module_of(parse("62 mm"), parse("31"), series=(0.5, 0.1, 0.1))
