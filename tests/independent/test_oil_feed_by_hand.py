"""Oil feed against a root finder over the whole network, against closed forms, and against integration."""

from __future__ import annotations

from math import pi, sqrt
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import fsolve

from ledger.calculators.oil_feed import OIL_FEED
from ledger.mechanics.oil_feed import bore_loss, centrifugal_rise, hole_flow

HOLES: list[dict[str, Any]] = [
    {"gear": f"{place}", "place": 70.0 * place, "diameter": size, "count": 2.0, "radius": 30.0, "needed": 0.3}
    for place, size in enumerate((1.5, 2.0, 1.2, 1.8), 1)
]
FEED: dict[str, Any] = {"pressure": 3.0, "bore": 8.0, "speed": 4000.0, "viscosity": 25.0}


def test_pressure_by_integration_outward() -> None:
    """The rise is the integral of rho w² r."""
    spin = 2 * pi * 5000 / 60
    assert centrifugal_rise(870.0, 5000.0, 0.04) == pytest.approx(quad(lambda r: 870 * spin**2 * r, 0, 0.04)[0])


def test_laminar_loss_is_hagen_and_poiseuilles() -> None:
    """128 mu L Q/(pi d⁴) below Re 2300; Blasius above 4000; never a step between, and always rising."""
    assert bore_loss(1e-5, 0.5, 0.016, 870.0, 50e-6) == pytest.approx(
        128 * 870 * 50e-6 * 0.5 * 1e-5 / (pi * 0.016**4), rel=1e-12
    )
    speed = 8000 * 5e-6 / 0.016
    assert bore_loss(speed * pi * 0.016**2 / 4, 0.5, 0.016, 870.0, 5e-6) == pytest.approx(
        0.3164 / 8000**0.25 * 0.5 / 0.016 * 870 * speed**2 / 2, rel=1e-12
    )
    flows = np.linspace(1e-7, 5e-4, 4000)
    losses = bore_loss(flows, 0.5, 0.016, 870.0, 5e-6)
    assert np.all(np.diff(losses) > 0)
    assert np.max(np.diff(losses)) < 0.01 * losses[-1]


def test_one_hole_near_the_feed() -> None:
    """Without a way to go there is no loss: Q = C A sqrt(2 (p + rise)/rho)."""
    hole = {"place": 0.0, "diameter": 2.0, "radius": 30.0}
    rise = 870 * (2 * pi * 4000 / 60 * 0.03) ** 2 / 2
    expected = 0.65 * pi * 0.002**2 / 4 * sqrt(2 * (3e5 + rise) / 870) * 60_000
    assert OIL_FEED.compute(holes=[hole], **FEED)["flow"] == pytest.approx(expected, rel=1e-9)


def test_a_root_finder_over_all_unknowns_agrees() -> None:
    """Four pressures at once by another library's solver: the same pressures and flows."""
    found = OIL_FEED.compute(holes=HOLES, **FEED)

    def faults(pressures: np.ndarray) -> list[float]:
        flows = [
            float(hole_flow(p + centrifugal_rise(870.0, 4000.0, 0.03), hole["diameter"] / 1000, 2.0, 0.65, 870.0))
            for p, hole in zip(pressures, HOLES, strict=True)
        ]
        before, wrong = 3e5, []
        for place, p in enumerate(pressures):
            wrong.append(before - p - float(bore_loss(sum(flows[place:]), 0.07, 0.008, 870.0, 25e-6)))
            before = p
        return wrong

    solved = fsolve(faults, [2.9e5] * 4, xtol=1e-12)
    shown = [row["pressure on the axis [bar]"] for row in found["holes_shown"]]
    assert shown == pytest.approx((solved / 1e5).tolist(), rel=1e-7)
    assert found["flow"] == pytest.approx(sum(row["flow [L/min]"] for row in found["holes_shown"]))


def test_the_supply_s_flow_is_the_limit() -> None:
    """A pump of half the flow that would pass: all of it passes, at a pressure that is less."""
    free = OIL_FEED.compute(holes=HOLES, **FEED)
    half = OIL_FEED.compute(holes=HOLES, greatest_flow=free["flow"] / 2, **FEED)
    assert half["flow"] == pytest.approx(free["flow"] / 2, rel=1e-9)
    assert half["feed_pressure"] < free["feed_pressure"]
    assert (bool(half["flow_limited"]), bool(free["flow_limited"])) == (True, False)


def test_a_film_serves_the_first_holes_first() -> None:
    """Too little for all: each hole passes what a ring of oil at the wall of the bore drives, until nothing is left."""
    found = OIL_FEED.compute(holes=HOLES, greatest_flow=3.0, **FEED)
    spin = 2 * pi * 4000 / 60
    each = [
        2 * 0.65 * pi * (hole["diameter"] / 1000) ** 2 / 4 * spin * sqrt(0.03**2 - 0.004**2) * 60_000 for hole in HOLES
    ]
    shown = [row["flow [L/min]"] for row in found["holes_shown"]]
    assert bool(found["film"])
    assert shown[0] == pytest.approx(each[0], rel=1e-9)
    assert shown[1] == pytest.approx(3.0 - each[0], rel=1e-9)
    assert shown[2:] == [0, 0]
    assert found["verdict"].startswith("3, 4:")


def test_a_core_of_air_narrower_than_the_bore() -> None:
    """Below the air's pressure on the axis: the core's rim, where the pressure is the air's, lies inside the bore."""
    wide = {**FEED, "bore": 40.0, "speed": 6000.0}
    holes = [{**hole, "diameter": 1.0} for hole in HOLES]
    spin, area = 2 * pi * 6000 / 60, pi * 0.001**2 / 4
    core = 0.012
    flow = 8 * 0.65 * area * spin * sqrt(0.03**2 - core**2) * 60_000
    found = OIL_FEED.compute(holes=holes, greatest_flow=flow, **wide)
    assert (bool(found["full"]), bool(found["film"])) == (False, False)
    assert found["least_pressure"] * 1e5 == pytest.approx(-870 * spin**2 * core**2 / 2, rel=2e-3)


def test_oil_fed_at_the_outside_has_to_be_pressed_in() -> None:
    """Fed at the radius of the holes, the two rises cancel but for losses; too slow a supply lets nothing in."""
    hole = {"place": 0.0, "diameter": 2.0, "radius": 30.0}
    found = OIL_FEED.compute(holes=[hole], feed_radius=30.0, **FEED)
    assert found["flow"] == pytest.approx(0.65 * pi * 0.002**2 / 4 * sqrt(2 * 3e5 / 870) * 60_000, rel=1e-9)
    fast = OIL_FEED.compute(holes=HOLES, feed_radius=40.0, **{**FEED, "speed": 12_000.0})
    assert fast["inward"] > 3
    assert (fast["flow"], bool(fast["reaches_every"])) == (0, False)


def test_the_worked_sentence_of_the_page() -> None:
    """870 kg/m³ at 30 mm gains 5.5 bar at 11,325 1/min."""
    assert centrifugal_rise(870.0, 11_325.0, 0.03) / 1e5 == pytest.approx(5.5, abs=0.05)


def test_an_outlet_inside_the_wall_is_refused() -> None:
    """A hole that ends at 3 mm in a bore of 8 mm is none, where the shaft turns; a pipe at rest has no such radius."""
    hole = {"place": 10.0, "diameter": 2.0, "radius": 3.0}
    with pytest.raises(ValueError, match="Hole 1: Its outlet lies inside the wall"):
        OIL_FEED.compute(holes=[hole], **FEED)
    assert OIL_FEED.compute(holes=[hole], **{**FEED, "speed": 0.0})["flow"] > 0
    assert OIL_FEED.compute(holes=[{**hole, "radius": 4.0}], **FEED)["flow"] > 0


def test_inlet_drillings_in_line_with_one_hole() -> None:
    """Two orifices one after the other: 1/A² adds up, so an inlet as large as the hole leaves 1/√2 of the flow."""
    hole = {"place": 0.0, "diameter": 2.0, "count": 2.0, "radius": 30.0}
    free = OIL_FEED.compute(holes=[hole], **FEED)
    held = OIL_FEED.compute(holes=[hole], inlet=2.0, inlets=2.0, **FEED)
    assert held["flow"] == pytest.approx(free["flow"] / sqrt(2), rel=1e-9)
    assert held["feed_pressure"] + held["inlet_loss"] == pytest.approx(3.0)
    assert free["inlet_loss"] == 0


def test_an_inlet_limits_the_film_too() -> None:
    """Where oil only wets the wall, what comes in is what the inlet passes under the supply and the wall's suction."""
    found = OIL_FEED.compute(holes=HOLES, inlet=0.8, **{**FEED, "pressure": 0.5, "speed": 8000.0})
    suction = 870 * (2 * pi * 8000 / 60 * 0.004) ** 2 / 2
    assert bool(found["film"])
    assert found["flow"] == pytest.approx(0.65 * pi * 0.0008**2 / 4 * sqrt(2 * (5e4 + suction) / 870) * 60_000)


def test_a_bush_has_no_oil_of_its_own() -> None:
    """Pressed at by 20 bar, a hole passes nothing, and the next gets what it would get alone."""
    alone = {"place": 50.0, "diameter": 2.0, "radius": 30.0, "needed": 0.3}
    found = OIL_FEED.compute(holes=[{**alone, "back": 20.0}, alone], **FEED)
    shown = [row["flow [L/min]"] for row in found["holes_shown"]]
    assert shown == [0, pytest.approx(OIL_FEED.compute(holes=[alone], **FEED)["flow"], rel=1e-9)]
    assert found["holes_shown"][0]["pressure over the hole [bar]"] < 0
    assert not found["reaches_every"]
    shut = OIL_FEED.compute(holes=[{**alone, "back": 20.0}], **FEED)
    assert (shut["flow"], float(shut["feed_pressure"])) == (0, pytest.approx(3.0))
