"""What holds for every bearing, every spectrum and every hollow shaft."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.calculators.bearing_life import BEARING_LIFE
from ledger.calculators.contract import Calculator
from ledger.calculators.oil_feed import OIL_FEED
from ledger.calculators.tooth_duty import TOOTH_DUTY
from ledger.mechanics.oil_feed import bore_loss, centrifugal_rise, hole_flow
from ledger.mechanics.tooth_duty import BELOW, PARTS

COUNT = 5


def spread(least: float, most: float) -> st.SearchStrategy[np.ndarray]:
    """Five draws between two values."""
    return st.lists(st.floats(least, most), min_size=COUNT, max_size=COUNT).map(np.array)


BEARINGS = st.fixed_dictionaries(
    {
        "rating": spread(5000, 90_000),
        "kind": st.sampled_from(["ball", "roller"]),
        "duty": st.lists(
            st.fixed_dictionaries(
                {
                    "radial": spread(100, 20_000), "axial": spread(0, 5000), "x": spread(0.4, 1), "y": spread(0, 2),
                    "speed": spread(10, 5000), "share": spread(0.1, 5),
                }
            ),
            min_size=1, max_size=4,
        ),
        "factor": spread(0.2, 5), "hours": spread(10, 10_000), "slope": spread(1, 2), "reliability": spread(0.8, 0.99),
    }
)  # fmt: skip
SPECTRA = st.fixed_dictionaries(
    {
        "spectrum": st.lists(
            st.fixed_dictionaries({"torque": spread(10, 3000), "share": spread(0.001, 0.2)}), min_size=1, max_size=4
        ),
        "distance": spread(10, 10_000), "ratio": spread(1, 10), "radius": spread(0.2, 0.7),
        "strength": spread(200, 2000), "knee": spread(1e5, 1e7), "exponent": spread(3, 10),
        "below": st.sampled_from(BELOW), "part": st.sampled_from(PARTS), "limit": spread(0.3, 1.5),
    }
)  # fmt: skip


@st.composite
def feeds(draw: st.DrawFn) -> dict[str, Any]:
    """A shaft of a few holes, the supply sometimes short."""
    holes, place = [], np.zeros(COUNT)
    for _ in range(draw(st.integers(1, 4))):
        place = place + draw(spread(0, 100))
        holes.append(
            {
                "place": place, "diameter": draw(spread(0.5, 3)), "count": float(draw(st.integers(1, 4))),
                "radius": draw(spread(15, 50)), "back": draw(spread(0, 0.5)), "needed": draw(spread(0, 1)),
            }
        )  # fmt: skip
    return {
        "holes": holes, "pressure": draw(spread(0.5, 8)), "bore": draw(spread(4, 30)), "speed": draw(spread(0, 9000)),
        "viscosity": draw(spread(5, 200)), "feed_radius": draw(spread(0, 30)), "greatest_flow": draw(spread(0.5, 60)),
        "inlet": draw(st.sampled_from([0.0, 1.0, 4.0])), "inlets": float(draw(st.integers(1, 3))),
    }  # fmt: skip


def at(value: Any, place: int) -> Any:
    """One draw of an input, cells of tables included."""
    if isinstance(value, np.ndarray):
        return float(value[place])
    if isinstance(value, dict):
        return {key: at(cell, place) for key, cell in value.items()}
    return [at(row, place) for row in value] if isinstance(value, list) else value


def same_in_one_draw(calculator: Calculator, given_: dict[str, Any], place: int) -> None:
    many, one = calculator.compute(**given_), calculator.compute(**at(given_, place))
    for output in calculator.outputs:
        if output.form in ("number", "truth"):
            found = np.broadcast_to(many[output.name], COUNT)[place]
            assert found == pytest.approx(one[output.name], rel=1e-9, abs=1e-12), output.name
            assert np.all(np.isfinite(np.asarray(many[output.name], dtype=float)))


@given(BEARINGS, st.integers(0, COUNT - 1))
@settings(deadline=None, max_examples=40)
def test_a_bearing_in_one_draw_is_that_of_floats(given_: dict, place: int) -> None:
    """Arrays of draws give, element by element, what floats give."""
    same_in_one_draw(BEARING_LIFE, given_, place)


@given(SPECTRA, st.integers(0, COUNT - 1))
@settings(deadline=None, max_examples=60)
def test_a_spectrum_in_one_draw_is_that_of_floats(given_: dict, place: int) -> None:
    """Arrays of draws give, element by element, what floats give."""
    same_in_one_draw(TOOTH_DUTY, given_, place)


@given(feeds(), st.integers(0, COUNT - 1))
@settings(deadline=None, max_examples=40)
def test_a_feed_in_one_draw_is_that_of_floats(given_: dict, place: int) -> None:
    """Arrays of draws give, element by element, what floats give."""
    same_in_one_draw(OIL_FEED, given_, place)


@given(BEARINGS)
@settings(deadline=None, max_examples=40)
def test_a_bearing_of_the_needed_rating_just_lasts(given_: dict) -> None:
    """Its life is the hours wanted, and the wanted share survives them; the mean load lies between the loads."""
    found = BEARING_LIFE.compute(**given_)
    just = BEARING_LIFE.compute(**{**given_, "rating": found["needed_rating"]})
    assert np.allclose(just["reliable_hours"], given_["hours"], rtol=1e-9)
    assert np.allclose(just["survival"], given_["reliability"], rtol=1e-9)
    assert np.allclose(just["margin"], 0, atol=1e-9)
    loads = [row["equivalent load [N]"] for row in found["duty_shown"]]
    assert np.all(found["mean_load"] >= np.minimum.reduce(loads) * (1 - 1e-9))
    assert np.all(found["mean_load"] <= np.maximum.reduce(loads) * (1 + 1e-9))
    assert np.allclose(sum(row["share of the wear [%]"] for row in found["duty_shown"]), 100)


@given(BEARINGS, st.floats(1.01, 3))
@settings(deadline=None, max_examples=30)
def test_twice_the_load_on_balls_is_an_eighth_of_the_life(given_: dict, more: float) -> None:
    """All loads times a number: the life falls by its power."""
    power = {"ball": 3, "roller": 10 / 3}[given_["kind"]]
    heavier = [{**row, "radial": row["radial"] * more, "axial": row["axial"] * more} for row in given_["duty"]]
    before, after = (BEARING_LIFE.compute(**{**given_, "duty": duty})["life"] for duty in (given_["duty"], heavier))
    assert np.allclose(before / after, more**power, rtol=1e-9)


@given(SPECTRA)
@settings(deadline=None, max_examples=50)
def test_damage_grows_with_distance_and_never_below_what_kinder_rules_say(given_: dict) -> None:
    """Twice the distance, twice the damage; no damage below the knee <= a flatter slope <= the same slope."""
    found = {below: TOOTH_DUTY.compute(**{**given_, "below": below}) for below in BELOW}
    none, same, flatter = (found[below]["damage"] for below in ("does no damage", "same slope", "flatter slope"))
    assert np.all(none <= flatter * (1 + 1e-12))
    assert np.all(flatter <= same * (1 + 1e-12))
    twice = TOOTH_DUTY.compute(**{**given_, "distance": 2 * given_["distance"]})
    assert np.allclose(twice["damage"], 2 * found[given_["below"]]["damage"], rtol=1e-9)
    bears = found["same slope"]["margin"] >= 1e-9
    assert np.array_equal(bears, found["same slope"]["bears"] & (np.abs(found["same slope"]["margin"]) > 1e-9))


@given(SPECTRA)
@settings(deadline=None, max_examples=50)
def test_the_equivalent_torque_lies_within_the_spectrum(given_: dict) -> None:
    """Between the least and the greatest torque, and of one row it is that torque."""
    found = TOOTH_DUTY.compute(**given_)
    torques = [row["torque"] for row in given_["spectrum"]]
    assert np.all(found["equivalent_torque"] >= np.minimum.reduce(torques) * (1 - 1e-9))
    assert np.all(found["equivalent_torque"] <= np.maximum.reduce(torques) * (1 + 1e-9))
    one = TOOTH_DUTY.compute(**{**given_, "spectrum": given_["spectrum"][:1]})
    assert np.allclose(one["equivalent_torque"], torques[0], rtol=1e-9)


@given(feeds())
@settings(deadline=None, max_examples=40)
def test_oil_is_neither_made_nor_lost(given_: dict) -> None:
    """The flow in all is the sum of the holes', never more than the supply brings; each is reached or is not."""
    found = OIL_FEED.compute(**given_)
    assert np.allclose(sum(row["flow [L/min]"] for row in found["holes_shown"]), found["flow"], atol=1e-9)
    assert np.all(found["flow"] <= given_["greatest_flow"] * (1 + 1e-9))
    assert np.array_equal(np.asarray(found["reaches_every"]), np.asarray(found["least_share"] >= 1))
    assert not np.any(np.asarray(found["film"]) & np.asarray(found["full"]))


@given(feeds(), st.floats(1.1, 3))
@settings(deadline=None, max_examples=30)
def test_more_pressure_and_more_supply_never_bring_less(given_: dict, more: float) -> None:
    """Higher supply pressure and flow: the flow in all does not fall."""
    before = OIL_FEED.compute(**given_)["flow"]
    after = OIL_FEED.compute(
        **{**given_, "pressure": given_["pressure"] * more, "greatest_flow": given_["greatest_flow"] * more}
    )["flow"]
    assert np.all(after >= before * (1 - 1e-9) - 1e-9)


@given(st.lists(st.floats(0.1, 5), min_size=5, max_size=5))
def test_formulas_of_oil_in_one_draw_are_those_of_floats(numbers: list[float]) -> None:
    """Each formula alone: arrays give what floats give, and pressure and flow change sign together."""
    a, b, c, d, e = numbers
    values = np.array([d, -e])
    for formula in (
        lambda x: hole_flow(x, a / 1000, b, 0.6, 870.0),
        lambda x: bore_loss(x / 1e4, a, b / 100, 870.0, c * 1e-5),
    ):
        assert formula(values) == pytest.approx([float(formula(d)), float(formula(-e))], rel=1e-12)
        assert float(formula(-d)) == pytest.approx(-float(formula(d)), rel=1e-12)
    assert centrifugal_rise(870.0, 2 * a, b) == pytest.approx(4 * centrifugal_rise(870.0, a, b))
