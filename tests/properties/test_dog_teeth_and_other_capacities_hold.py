"""What holds for every dog, spline, key, one-way element and shaft section."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.calculators.contract import Calculator
from ledger.calculators.dog_teeth import DOG_TEETH
from ledger.calculators.one_way_element import ONE_WAY_ELEMENT
from ledger.calculators.shaft_section import SHAFT_SECTION
from ledger.calculators.sliding_key import SLIDING_KEY
from ledger.calculators.spline import SPLINE
from ledger.mechanics import dog_teeth as dogs
from ledger.mechanics import hertz, one_way, spline
from ledger.mechanics.weakest import weakest
from tests.capacities import computed

COUNT = 4


def draws(least: float, most: float) -> st.SearchStrategy[np.ndarray]:
    """A few draws between two values."""
    return st.lists(st.floats(least, most), min_size=COUNT, max_size=COUNT).map(np.array)


def wholes(least: int, most: int) -> st.SearchStrategy[np.ndarray]:
    """A few whole numbers."""
    return st.lists(st.integers(least, most), min_size=COUNT, max_size=COUNT).map(lambda found: np.array(found, float))


STRESS = draws(50, 2000)
BLOCK = {
    "share": draws(0.1, 1), "width": draws(2, 50), "shear": STRESS, "bearing": STRESS, "bending": STRESS,
    "gap": draws(0, 3), "friction": draws(0.01, 0.3), "torque": draws(1, 9000),
}  # fmt: skip
DOGS = st.fixed_dictionaries(
    {
        **BLOCK,
        "form": st.sampled_from(["face", "radial"]),
        "count": wholes(1, 30),
        "radius": draws(10, 200),
        "thickness": draws(0.02, 0.45),
        "engagement": draws(1, 20),
        "slope": draws(-10, 40),
        "hub_radius": draws(5, 150),
    }
).map(lambda found: {**found, "thickness": found["thickness"] * 2 * np.pi * found["radius"] / found["count"]})
KEYS = st.fixed_dictionaries(
    {
        **BLOCK, "width": draws(0.5, 3.5), "count": wholes(1, 8), "diameter": draws(10, 200),
        "length": draws(5, 80), "projection": draws(1, 10), "seat": draws(1, 10),
    }
)  # fmt: skip
SPLINES = st.fixed_dictionaries(
    {
        "count": wholes(4, 40), "major": draws(60, 80), "minor": draws(40, 55), "chamfer": draws(0, 0.5),
        "length": draws(5, 200), "share": draws(0.1, 1), "pressure": STRESS, "thickness": draws(1, 3), "shear": STRESS,
        "friction": draws(0.01, 0.3), "torque": draws(1, 9000), "force": draws(1, 9000),
    }
)  # fmt: skip
ELEMENT = {
    "count": wholes(1, 40), "share": draws(0.1, 1), "radius": draws(30, 150), "width": draws(5, 60),
    "rounding": draws(2, 20), "pressure": draws(500, 4000), "friction": draws(0.01, 0.2), "torque": draws(1, 9000),
}  # fmt: skip
ELEMENTS = st.one_of(
    st.fixed_dictionaries(
        {
            **ELEMENT, "rounding": draws(0.5, 2), "form": st.sampled_from(["roller", "sprag"]),
            "wedge": draws(1, 20), "rim": draws(3, 20), "hoop": STRESS,
        }
    ),
    st.fixed_dictionaries(
        {
            **ELEMENT, "form": st.sampled_from(["strut", "pawl"]), "nose": draws(1, 10), "pivot": draws(3, 20),
            "angle": draws(-20, 20), "body_length": draws(5, 100), "body_thickness": draws(2, 10), "crushing": STRESS,
        }
    ),
)  # fmt: skip
SECTIONS = st.fixed_dictionaries(
    {
        "outside": draws(20, 120), "bore": draws(0, 15), "hole": draws(1, 5), "torque": draws(10, 9000),
        "torque_swing": draws(0, 900), "bending": draws(0, 4000), "bending_steady": draws(0, 100),
        "tensile": draws(900, 1600), "yielding": draws(300, 900), "length": draws(50, 500), "scatter": draws(0.8, 1.2),
        "surface": st.sampled_from(["ground", "machined", "hot-rolled", "as forged"]),
        "judged_by": st.sampled_from(["goodman", "elliptic", "yield"]),
    }
)  # fmt: skip
EVERY = st.one_of(
    *(
        strategy.map(lambda found, calculator=calculator: (calculator, found))
        for calculator, strategy in (
            (DOG_TEETH, DOGS), (SLIDING_KEY, KEYS), (SPLINE, SPLINES), (ONE_WAY_ELEMENT, ELEMENTS),
            (SHAFT_SECTION, SECTIONS),
        )
    )
)  # fmt: skip


def numbers(calculator: Calculator, outputs: dict[str, Any]) -> dict[str, Any]:
    """The outputs that are numbers or truths."""
    forms = ("number", "whole", "truth")
    return {one.name: outputs[one.name] for one in calculator.outputs if one.form in forms and one.name in outputs}


@given(EVERY, st.integers(0, COUNT - 1))
@settings(deadline=None, max_examples=120)
def test_one_draw_is_that_of_floats(case: tuple[Calculator, dict[str, Any]], place: int) -> None:
    """Arrays of draws give, element by element, what floats give, in every output, and never anything but finite."""
    calculator, inputs = case
    many = numbers(calculator, computed(calculator, **inputs))
    single = {name: float(one[place]) if isinstance(one, np.ndarray) else one for name, one in inputs.items()}
    alone = numbers(calculator, computed(calculator, **single))
    assert set(many) == set(alone)
    for name, value in alone.items():
        assert np.all(np.isfinite(many[name]))
        assert np.broadcast_to(many[name], COUNT)[place] == pytest.approx(value, rel=1e-9)


@given(EVERY)
@settings(deadline=None, max_examples=100)
def test_the_capacity_is_the_least_of_its_ways(case: tuple[Calculator, dict[str, Any]]) -> None:
    """In every draw; chances of coming first add up to the whole; curves are finite, 60 points a series."""
    calculator, inputs = case
    found = computed(calculator, **inputs)
    least = np.minimum.reduce([np.broadcast_to(row["capacity [N·m]"], COUNT) for row in found["ways"]])
    assert np.array_equal(np.broadcast_to(found["capacity"], COUNT), least)
    assert sum(row["chance that it comes first [%]"] for row in found["ways"]) == pytest.approx(100)
    series = {row["series"] for row in found["curves"]}
    assert len(found["curves"]) == 60 * len(series)
    assert np.all(np.isfinite([[row["x"], row["y"]] for row in found["curves"]]))


@given(EVERY, st.floats(1.01, 3))
@settings(deadline=None, max_examples=100)
def test_all_strengths_scaled_scale_the_capacity(case: tuple[Calculator, dict[str, Any]], by: float) -> None:
    """Stresses by a factor: capacity by that factor; Hertz pressure by its square; never less for a stronger part."""
    calculator, inputs = case
    strengths = [name for name in ("shear", "bearing", "bending", "pressure", "crushing", "hoop") if name in inputs]
    if calculator is SHAFT_SECTION:
        strengths = ["endurance", "tensile", "yielding"]
        inputs = {**inputs, "endurance": inputs["yielding"] / 3, "hole": 0.0, "bending_factor": 2.0}
    before = computed(calculator, **inputs)["capacity"]
    after = computed(calculator, **{**inputs, **{name: inputs[name] * by for name in strengths}})["capacity"]
    assert np.all(after >= before * (1 - 1e-12))
    if calculator is not ONE_WAY_ELEMENT:
        assert after == pytest.approx(before * by, rel=1e-9)


@given(DOGS)
@settings(deadline=None, max_examples=60)
def test_at_the_capacity_a_stress_is_what_is_permitted(inputs: dict[str, Any]) -> None:
    """Loaded with its capacity, a ring of dogs has no stress above the permitted and one that is just that."""
    capacity = computed(DOG_TEETH, **inputs)["capacity"]
    found = computed(DOG_TEETH, **{**inputs, "torque": capacity})
    used = [found[f"{name}_stress"] / inputs[name] for name in ("shear", "bearing", "bending")]
    assert np.maximum.reduce(used) == pytest.approx(np.ones(COUNT), rel=1e-9)


@given(DOGS)
@settings(deadline=None, max_examples=60)
def test_dogs_throw_themselves_apart_where_no_force_holds_them(inputs: dict[str, Any]) -> None:
    """The sign of the releasing force tells; at the least slope it is nil, under any torque."""
    found = computed(DOG_TEETH, **inputs)
    assert np.array_equal(found["throws_itself_out"], found["release_force"] < 0)
    at_edge = dogs.release_force(
        inputs["torque"], inputs["radius"], found["least_slope"], inputs["friction"], inputs["hub_radius"]
    )
    assert at_edge == pytest.approx(np.zeros(COUNT), abs=1e-6 * float(np.max(np.abs(found["release_force"])) + 1e4))


@given(DOGS, st.floats(1.01, 2))
@settings(deadline=None, max_examples=40)
def test_bigger_dogs_hold_more(inputs: dict[str, Any], by: float) -> None:
    """More of them, further out, wider, thicker or of better steel: never less; further from the root: never more."""
    before = computed(DOG_TEETH, **inputs)["capacity"]
    for name in ("count", "radius", "width", "thickness"):
        grown = np.ceil(inputs[name] * by) if name == "count" else inputs[name] * by
        if np.all(np.ceil(inputs["count"] * by) * inputs["thickness"] < 2 * np.pi * inputs["radius"]):
            assert np.all(computed(DOG_TEETH, **{**inputs, name: grown})["capacity"] >= before * (1 - 1e-12))
    assert np.all(computed(DOG_TEETH, **{**inputs, "gap": inputs["gap"] + by})["capacity"] <= before * (1 + 1e-12))


@given(draws(1, 9000), draws(5, 200), draws(0.01, 0.5))
def test_force_and_torque_of_sliding_are_inverse(force: np.ndarray, radius: np.ndarray, friction: np.ndarray) -> None:
    """The torque under which a force just slides a sleeve needs that very force."""
    torque = spline.slide_torque(force, radius, friction)
    assert spline.slide_force(torque, radius, friction) == pytest.approx(force, rel=1e-12)
    assert dogs.release_force(torque, radius, 0.0, friction) == pytest.approx(force, rel=1e-9)


@given(draws(100, 4000), draws(1, 100), draws(1, 100), draws(1e4, 3e5))
def test_force_and_pressure_of_a_line_contact_are_inverse(
    pressure: np.ndarray, width: np.ndarray, radius: np.ndarray, stiffness: np.ndarray
) -> None:
    """The force for a pressure makes that pressure."""
    force = one_way.line_force(pressure, width, radius, stiffness)
    assert hertz.line_pressure(force / width, radius, stiffness) == pytest.approx(pressure, rel=1e-9)


@given(SECTIONS)
@settings(deadline=None, max_examples=60)
def test_bores_holes_and_swings_never_strengthen_a_shaft(inputs: dict[str, Any]) -> None:
    """Against the same shaft solid, without a hole, or with steadier bending."""
    found = computed(SHAFT_SECTION, **inputs)["capacity"]
    for better in ({"bore": 0.0, "hole": 0.0}, {"hole": 0.0}, {"scatter": inputs["scatter"] * 1.1}):
        assert np.all(computed(SHAFT_SECTION, **{**inputs, **better})["capacity"] >= found * (1 - 1e-12))


@given(st.lists(draws(1, 3).map(np.round), min_size=1, max_size=4))
def test_shares_in_being_the_weakest_add_up(capacities: list[np.ndarray]) -> None:
    """In every draw, ties included."""
    least, shares = weakest(capacities)
    assert np.array_equal(sum(shares), np.ones(COUNT)) or sum(shares) == pytest.approx(np.ones(COUNT))
    assert all(np.array_equal(share > 0, one == least) for share, one in zip(shares, capacities, strict=True))
