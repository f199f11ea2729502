"""Unit factors against definitions worked out by hand, and the proof that a wrong one would be noticed.

Definitions: international yard and pound agreement of 1959 (inch 25.4 mm, pound 0.45359237 kg); standard gravity
9.80665 m/s² (3rd CGPM, 1901); horsepower 550 ft·lbf/s; metric horsepower 75 kgf·m/s.
"""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import Any

import numpy as np
import pint
import pytest

from ledger.publishing.live.browser import reading
from ledger.quantities import vocabulary
from ledger.quantities.units import convert, factor, same_dimension

POUND, INCH, GRAVITY = 0.45359237, 0.0254, 9.80665
POUND_FORCE = POUND * GRAVITY
BY_HAND = [
    ("in", "mm", 25.4),
    ("ft", "m", 0.3048),
    ("thou", "µm", 25.4),
    ("mil", "mm", 0.0254),
    ("yd", "m", 0.9144),
    ("mi", "km", 1.609344),
    ("lb", "kg", POUND),
    ("oz", "g", POUND * 1000 / 16),
    ("t", "kg", 1000.0),
    ("slug", "kg", POUND_FORCE / 0.3048),
    ("lbf", "N", POUND_FORCE),
    ("ozf", "N", POUND_FORCE / 16),
    ("kgf", "N", GRAVITY),
    ("kp", "N", GRAVITY),
    ("daN", "N", 10.0),
    ("kip", "kN", POUND_FORCE),
    ("lbf·ft", "N·m", 1.3558179483),
    ("lbf·in", "N·m", POUND_FORCE * INCH),
    ("kgf·m", "N·m", GRAVITY),
    ("psi", "kPa", POUND_FORCE / INCH**2 / 1000),
    ("ksi", "MPa", POUND_FORCE / INCH**2 / 1000),
    ("bar", "MPa", 0.1),
    ("atm", "kPa", 101.325),
    ("N/mm²", "MPa", 1.0),
    ("hp", "W", 550 * 0.3048 * POUND_FORCE),
    ("PS", "W", 75 * GRAVITY),
    ("kW", "N·m/s", 1000.0),
    ("Wh", "J", 3600.0),
    ("lb·in²", "kg·m²", POUND * INCH**2),
    ("kg·m²", "kg·mm²", 1e6),
    ("cSt", "mm²/s", 1.0),
    ("cP", "mPa·s", 1.0),
    ("L/min", "m³/s", 1 / 60_000),
    ("cc", "mm³", 1000.0),
    ("km/h", "m/s", 1 / 3.6),
    ("mph", "km/h", 1.609344),
    ("min", "s", 60.0),
    ("h", "min", 60.0),
    ("ms", "s", 1e-3),
    ("°", "rad", pi / 180),
    ("arcmin", "°", 1 / 60),
    ("rev", "°", 360.0),
    ("mrad", "rad", 1e-3),
    ("N·m/°", "N·m/rad", 180 / pi),
    ("rpm", "1/min", 1.0),
    ("rev/min", "1/min", 1.0),
    ("Hz", "1/min", 60.0),
    ("1/min", "1/s", 1 / 60),
    ("1/min", "rad/s", 2 * pi / 60),
    ("rad/s", "rpm", 60 / (2 * pi)),
    ("°/s", "1/min", 1 / 6),
    ("%", "", 0.01),
    ("‰", "%", 0.1),
    ("ppm", "", 1e-6),
    ("MPa^0.5", "Pa^0.5", 1000.0),
]


def wrong(convert: Callable[[float, str, str], float]) -> list[str]:
    """Every conversion by hand that a converter does not give, to the ten digits printed for lbf·ft."""
    return [
        f"{given} to {wanted}"
        for given, wanted, by_hand in BY_HAND
        if abs(convert(1.0, given, wanted) - by_hand) > 1e-10 * by_hand
        or abs(convert(by_hand, wanted, given) - 1) > 1e-10
    ]


def test_factors_agree_with_the_definitions() -> None:
    """Every factor is the one its definition gives, forwards and backwards."""
    assert wrong(convert) == []


@pytest.mark.parametrize("given", [given for given, _, _ in BY_HAND])
def test_a_planted_wrong_factor_is_noticed(given: str) -> None:
    """The check refuses a converter that is one part in a billion off in one unit."""

    def planted(value: float, unit_from: str, unit_to: str) -> float:
        right = convert(value, unit_from, unit_to)
        return right * (1 + 1e-9) if unit_from == given else right

    assert [one for one in wrong(planted) if one.startswith(f"{given} to ")]


@pytest.mark.parametrize("together", vocabulary.TOGETHER)
def test_torques_written_together_are_newtons_by_metres(together: str) -> None:
    """`Nm` has the size that pint gives newton times metre, and no length or number is alike, least of all `nm`."""
    prefix = {"k": "kilo", "m": "milli", "N": ""}[together[0]]
    registry: Any = pint.UnitRegistry()
    held = registry(f"{prefix}newton * {'milli' if together.endswith('mm') else ''}meter")
    assert factor(together, "J") == pytest.approx(held.to("newton * meter").magnitude, rel=1e-15)
    assert not any(same_dimension(together, other) for other in ("nm", "mm", "N", "1/m", "N/m"))
    assert vocabulary.pint_name(together) is None


def test_the_browser_reads_torques_written_together_alike() -> None:
    """The form takes the same of them for the same units."""
    assert {name: "·".join(parts) for name, parts in vocabulary.TOGETHER.items()} == reading.TOGETHER
    units = {"": 1.0, "N·m": 1.0, "kN·m": 1000.0, "N·m/rad": 2.0, "nm": 7.0, "N·m²": 9.0}
    assert [reading.read(f"5 {one}", units).mean for one in ("Nm", "kNm", "Nm/rad", "nm")] == [5, 5000, 10, 35]
    with pytest.raises(reading.Unreadable, match="the unit Nm²"):
        reading.read("5 Nm²", units)


def test_rounding_happens_once() -> None:
    """Factors that have an exact decimal are the float nearest to it."""
    assert (factor("in", "mm"), factor("ft", "mm"), factor("lb", "kg"), factor("PS", "kW")) == (
        25.4,
        304.8,
        0.45359237,
        0.73549875,
    )


def test_arrays_convert_as_numbers_do() -> None:
    """An array of values converts value by value."""
    assert list(convert(np.array([1.0, 2.0, -3.0]), "in", "mm")) == [25.4, 50.8, 25.4 * -3]


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("mm", "in", True),
        ("N·m", "J", True),
        ("rpm", "rad/s", True),
        ("1/min", "Hz", True),
        ("%", "", True),
        ("mm", "kg", False),
        ("N·m/rad", "N·m", False),
        ("rad", "", False),
        ("°", "%", False),
        ("px", "mm", False),
        ("mm/rev", "mm", False),
    ],
)
def test_dimensions(one: str, other: str, same: bool) -> None:
    """Angles, pixels and pure numbers do not pass for one another; shaft speeds do."""
    assert same_dimension(one, other) is same is same_dimension(other, one)
