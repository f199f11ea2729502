"""Printed cylinders: force, pressure, speed, power, weight on a slope and acceleration."""

from __future__ import annotations

from typing import Any

import pytest

from ledger.calculators.hydraulic_fork import HYDRAULIC_FORK
from ledger.mechanics import cylinder
from ledger.quantities.units import convert

LIGHT = {"travel": 10.0, "mass": 1.0}


def fork(**given: Any) -> dict[str, Any]:
    """The whole calculator, in its declared units."""
    return dict(HYDRAULIC_FORK.compute(**{**LIGHT, **given}))


def test_that_cylinder_without_the_rounding() -> None:
    """HYD-1 with 231 in³ to the gallon: 318.31 and 424.41 psi, 24.510 and 32.680 in/s, 3.7136 and 4.9515 hp."""
    exact = {"bore side": (318.31, 24.510, 3.7136), "rod side": (424.41, 32.680, 4.9515)}
    for side, (pressure, speed, power) in exact.items():
        load = convert(1000.0, "lbf", "N")
        found = fork(bore=50.8, rod=25.4, side=side, pressure=100.0, flow=20 * 3.785411784, load=load)
        assert convert(found["pressure_needed"], "bar", "psi") == pytest.approx(pressure, rel=2e-5)
        assert convert(found["steady_speed"], "m/s", "in/s") == pytest.approx(speed, rel=3e-5)
        assert convert(found["power"], "W", "hp") == pytest.approx(power, rel=3e-5)


@pytest.mark.parametrize(("friction", "slope", "pounds"), [(0.14, 0.0, 840.0), (0.0, 30.0, 3000.0)])
def test_a_weight_slid_and_lifted(friction: float, slope: float, pounds: float) -> None:
    """HYD-2: 6000 lb on the level with a friction of 0.14 want 840 lb; up a smooth slope of 30°, 3000 lb.

    Esposito, 6th ed., ex. 6-2 and 6-3, p. 221; second hand.
    """
    mass = convert(6000.0, "lb", "kg")
    assert convert(cylinder.resistance_of_mass(mass, friction, slope), "N", "lbf") == pytest.approx(pounds, rel=1e-9)
    found = fork(bore=100.0, pressure=200.0, flow=10.0, mass=mass, friction=friction, slope=slope)
    assert convert(found["resistance"], "N", "lbf") == pytest.approx(pounds, rel=1e-9)


def test_a_weight_lifted_and_quickened() -> None:
    """6000 lb lifted straight up want 8981 lb to come from rest to 8 ft/s in half a second.

    Esposito, 6th ed., ex. 6-4; inputs and method second hand from a public companion, which says that the book's last
    digits differ from its 6000·(1 + 16/32.2). At that acceleration half a second is two feet.
    """
    area = cylinder.bore_area(100.0)
    found = fork(
        bore=100.0,
        pressure=10 * convert(6000 * (1 + 16 / 32.174049), "lbf", "N") / area,
        flow=1e5,
        mass=convert(6000.0, "lb", "kg"),
        slope=90.0,
        travel=convert(2.0, "ft", "mm"),
    )
    assert convert(found["force"], "N", "lbf") == pytest.approx(8981, abs=3)
    assert found["time"] == pytest.approx(0.5, rel=1e-5)
    assert convert(found["end_speed"], "m/s", "ft/s") == pytest.approx(8.0, rel=1e-5)
    assert not found["flow_limits"]


def test_a_cylinder_drawn_in_at_a_thousand_psi() -> None:
    """Piston 25 in², rod 7 in², 20 gpm, 1000 psi: drawn in at 4.28 in/s with 18,000 lb.

    Esposito, 6th ed., ex. 9-1, the return stroke; inputs and method second hand, figures recomputed.
    """
    bore, rod = (25.4 * (4 * area / 3.141592653589793) ** 0.5 for area in (25.0, 7.0))
    pressure = convert(1000.0, "psi", "bar")
    found = fork(bore=bore, rod=rod, side="rod side", pressure=pressure, flow=20 * 3.785411784)
    assert convert(found["steady_speed"], "m/s", "in/s") == pytest.approx(4.28, abs=0.005)
    assert convert(found["force"], "N", "lbf") == pytest.approx(18_000, rel=1e-6)


@pytest.mark.parametrize(("side", "speed", "force"), [("bore side", 45.3, 22_090), ("rod side", 46.9, 21_320)])
def test_a_cylinder_of_75_mm(side: str, speed: float, force: float) -> None:
    """75 mm bore, 14 mm rod, 5 MPa, 200,000 mm³/s: 45.3 mm/s with 22,090 N out, 46.9 mm/s with 21,320 N back.

    A textbook exercise on automation, its printed solution seen on a public page without the book's name. It rounds
    areas to 1 mm², hence 5 N.
    """
    found = fork(bore=75.0, rod=14.0, side=side, pressure=50.0, flow=12.0)
    assert 1000 * found["steady_speed"] == pytest.approx(speed, abs=0.05)
    assert found["force"] == pytest.approx(force, abs=5)
