"""Printed uncertainty examples, from draws to summary.

JCGM 100:2008, Guide to the expression of uncertainty in measurement, Annexes G and H.
JCGM 101:2008, Propagation of distributions using a Monte Carlo method.
JCGM GUM-5:2026, 1st edition, doi 10.59161/YNLY8209, Examples.
NPL Report DEM-ES-011, Software support for metrology best practice guide.

A million draws: the mean wanders by u/1000, a standard uncertainty by u/1400, an end of a 95 % interval by about u/370.
Where the printed tolerance is narrower than that, the case is computed from quantiles instead of random draws.
"""

from __future__ import annotations

from math import exp, log, sqrt

import numpy as np
import pytest
from scipy import stats

from ledger.quantities.draws import generator
from ledger.quantities.notation import parse
from ledger.quantities.summary import summarise

MILLION = 1_000_000


def drawn(notation: str, name: str) -> np.ndarray:
    """A million draws of one input."""
    return parse(notation).draw(MILLION, generator("published", name))


def gauge_inputs() -> dict[str, np.ndarray]:
    """The end gauge's inputs: lengths in nm, temperatures in K."""
    return {
        "standard": drawn("50000623 ± 25 nm (k=1)", "standard"),
        "difference": drawn("215 ± 9.7 nm (k=1)", "difference"),
        "expansion": drawn("9.5e-6..13.5e-6 1/K", "expansion"),
        "temperature": drawn("-0.1 ± 0.41 K (k=1)", "temperature"),
        "expansion difference": drawn("-1e-6..1e-6 1/K", "expansion difference"),
        "temperature difference": drawn("-0.05..0.05 K", "temperature difference"),
    }


def test_end_gauge_length_and_full_uncertainty() -> None:
    """The end gauge measures 50.000838 mm; with second-order terms u = 34 nm (JCGM 100, H.1.7; UNC-1b, to 0.5 nm)."""
    one = gauge_inputs()
    warmth = one["expansion difference"] * one["temperature"] + one["expansion"] * one["temperature difference"]
    summary = summarise(one["standard"] + one["difference"] - one["standard"] * warmth)
    assert summary.estimate / 1e6 == pytest.approx(50.000838, abs=0.5e-6)
    assert summary.uncertainty == pytest.approx(34, abs=0.5)


def test_end_gauge_first_order_uncertainty_and_its_parts() -> None:
    """Linearised, the end gauge has u = 32 nm from parts 25, 9.7, 2.9 and 16.6 nm (JCGM 100, H.1, Table H.1; UNC-1).

    The last part is printed 16.6; its inputs give 16.67 from u = 0.029 K rounded, so it is held to 0.1 nm.
    """
    one = gauge_inputs()
    length, expansion, temperature = 50_000_623, 11.5e-6, -0.1
    parts = (
        one["standard"],
        one["difference"],
        -length * temperature * one["expansion difference"],
        -length * expansion * one["temperature difference"],
    )
    uncertainties = [summarise(part).uncertainty for part in parts]
    assert uncertainties == pytest.approx([25, 9.7, 2.9, 16.6], abs=0.1)
    assert summarise(np.sum(parts, axis=0)).uncertainty == pytest.approx(32, abs=0.5)


@pytest.mark.parametrize(("level", "factor"), [(0.95, 2.12), (0.9545, 2.17), (0.99, 2.92)])
def test_student_coverage_factors(level: float, factor: float) -> None:
    """Sixteen degrees of freedom give k = 2.12, 2.17, 2.92 (JCGM 100, Table G.2; UNC-2), by both intervals."""
    values = stats.t.ppf((np.arange(MILLION) + 0.5) / MILLION, 16)
    for shortest in (False, True):
        summary = summarise(values, level, shortest)
        assert (summary.high - summary.low) / 2 == pytest.approx(factor, abs=0.005)


def test_many_degrees_of_freedom_approach_the_normal() -> None:
    """With unlimited degrees of freedom the factor for 95.45 % is 2.00 (JCGM 100, Table G.2; UNC-2)."""
    summary = summarise(stats.norm.ppf((np.arange(MILLION) + 0.5) / MILLION), 0.9545)
    assert summary.high == pytest.approx(2.00, abs=0.005)


def test_expanded_uncertainty_of_the_end_gauge() -> None:
    """The end gauge's 99 % half-width is 93 nm (JCGM 100, H.1.6; UNC-1): 31.7 nm with sixteen degrees of freedom."""
    combined = sqrt(25**2 + 9.7**2 + 2.9**2 + 16.67**2)
    summary = summarise(combined * stats.t.ppf((np.arange(MILLION) + 0.5) / MILLION, 16), 0.99)
    assert summary.high == pytest.approx(93, abs=0.5)


def test_four_normal_inputs_add() -> None:
    """Four standard normals add to y = 0, u = 2.0, [-3.92, 3.92] (JCGM 101, 9.2.2, Table 2; UNC-3).

    The printed digits are 0.005 wide; an end wanders by 0.006 at a million draws, so it is held to three of those.
    """
    summary = summarise(sum(drawn("0 ± 1 (k=1)", f"normal {place}") for place in range(4)))
    assert summary.estimate == pytest.approx(0, abs=0.01)
    assert summary.uncertainty == pytest.approx(2.0, abs=0.005)
    assert (summary.low, summary.high) == pytest.approx((-3.92, 3.92), abs=0.018)


@pytest.mark.parametrize("shortest", [False, True])
def test_four_rectangular_inputs_add(shortest: bool) -> None:
    """Four rectangles of unit deviation give u = 2.0, [-3.88, 3.88] (JCGM 101, 9.2.3, Table 3; UNC-4).

    The end is exactly 2√3(2 - (3/5)^¼).

    The shortest interval has a flat optimum: its ends wander together, so its width is held and not its ends.
    """
    exact = 2 * sqrt(3) * (2 - 0.6**0.25)
    total = sum(drawn(f"-{sqrt(3)}..{sqrt(3)}", f"rectangular {place}") for place in range(4))
    summary = summarise(total, shortest=shortest)
    assert exact == pytest.approx(3.88, abs=0.005)
    assert summary.uncertainty == pytest.approx(2.0, abs=0.005)
    assert (summary.high - summary.low) / 2 == pytest.approx(exact, abs=0.01)
    if not shortest:
        assert (summary.low, summary.high) == pytest.approx((-exact, exact), abs=0.018)


def test_mass_calibration() -> None:
    """A 100 g weight deviates by 1.2340 mg, u = 0.0754 mg by draws (JCGM 101, 9.3; GUM-5:2026, example 7; UNC-5).

    The shortest 95 % interval is about [1.083, 1.383] (JCGM 101, Table 6; UNC-5b); its optimum is flat, so the ends are
    held to 0.005 mg and the width to 0.002 mg.
    """
    reference = drawn("100000.000 ± 0.050 (k=1)", "reference")
    added = drawn("1.234 ± 0.020 (k=1)", "added")
    air = drawn("1.10..1.30", "air")
    weight, standard = drawn("7000..9000", "weight"), drawn("7950..8050", "standard")
    values = (reference + added) * (1 + (air - 1.2) * (1 / weight - 1 / standard)) - 100_000
    summary = summarise(values, shortest=True)
    assert summary.estimate == pytest.approx(1.2340, abs=3e-4)
    assert summary.uncertainty == pytest.approx(0.0754, abs=3e-4)
    assert (summary.low, summary.high) == pytest.approx((1.083, 1.383), abs=0.005)
    assert summary.high - summary.low == pytest.approx(0.300, abs=0.002)


@pytest.mark.parametrize(
    ("mean", "estimate", "uncertainty"),
    [("0", 50e-6, 50e-6), ("0.010", 150e-6, 112e-6), ("0.050", 2550e-6, 502e-6)],
)
def test_comparison_loss(mean: str, estimate: float, uncertainty: float) -> None:
    """X1² + X2² with u = 0.005 has the printed means and deviations (JCGM 101, 9.4; GUM-5:2026, ex. 16; UNC-6)."""
    first = drawn(f"{mean} ± 0.005 (k=1)", f"comparison {mean}")
    second = drawn("0 ± 0.005 (k=1)", "comparison second")
    summary = summarise(first**2 + second**2)
    assert summary.estimate == pytest.approx(estimate, rel=0.01)
    assert summary.uncertainty == pytest.approx(uncertainty, rel=0.01)


def test_comparison_loss_shortest_interval() -> None:
    """With both means zero the shortest interval is [0, 150e-6], exactly -2u² ln 0.05 (JCGM 101, 9.4; UNC-6b)."""
    first, second = drawn("0 ± 0.005 (k=1)", "loss first"), drawn("0 ± 0.005 (k=1)", "loss second")
    summary = summarise(first**2 + second**2, shortest=True)
    assert summary.low == pytest.approx(0, abs=1.5e-6)
    assert summary.high == pytest.approx(150e-6, rel=0.01)
    assert -2 * 0.005**2 * log(0.05) == pytest.approx(149.8e-6, rel=1e-3)


def test_logarithm_of_a_rectangle() -> None:
    """ln x for x in 0.1..1.1: mean -0.6649, u 0.6062, shortest [-1.895, 0.095] (DEM-ES-011, 9.2, Table 9.2; UNC-7)."""
    values = np.log(drawn("0.1..1.1", "logarithm"))
    summary = summarise(values, shortest=True)
    assert summary.estimate == pytest.approx(-0.6649, abs=0.003)
    assert summary.uncertainty == pytest.approx(0.6062, abs=0.003)
    assert (summary.low, summary.high) == pytest.approx((-1.895, 0.095), abs=0.003)


def test_glucose_molar_mass() -> None:
    """12 H + 6 C + 6 O gives 180.1557, u = 0.0038 (GUM-5:2026, example 3; UNC-8)."""
    hydrogen = drawn("1.00798 ± 0.00008 (k=1)", "hydrogen")
    carbon = drawn("12.0106 ± 0.00058 (k=1)", "carbon")
    oxygen = drawn("15.99940 ± 0.00021 (k=1)", "oxygen")
    summary = summarise(12 * hydrogen + 6 * carbon + 6 * oxygen)
    assert summary.estimate == pytest.approx(180.1557, abs=1e-4)
    assert summary.uncertainty == pytest.approx(0.0038, abs=5e-5)


def test_radioactive_decay() -> None:
    """11.450(50) after 2.73 with half-life 32.9(1.4) leaves 10.810, u = 0.054 (GUM-5:2026, example 14; UNC-9).

    The printed estimate is the formula at the inputs' means. The mean of draws lies below it by the second-order term
    ½ f'' u(T)² = -0.0011, more than the printed digits leave room for, so it is held to that sum (to 2e-4, four of its
    wanderings).
    """
    activity, half_life = parse("11.450 ± 0.050 (k=1)"), parse("32.9 ± 1.4 (k=1)")
    decay, mean = 2.73 * log(2), half_life.mean
    printed = activity.mean * exp(-decay / mean)
    assert printed == pytest.approx(10.810, abs=6e-4)
    bend = printed * (decay**2 / mean**4 - 2 * decay / mean**3)
    draws = drawn(activity.text, "activity") * np.exp(-decay / drawn(half_life.text, "half-life"))
    summary = summarise(draws)
    assert summary.estimate == pytest.approx(printed + bend * half_life.std**2 / 2, abs=2e-4)
    assert summary.uncertainty == pytest.approx(0.054, abs=6e-4)


def test_area_between_two_pixel_counts() -> None:
    """Known only to lie in 47..85 pixels: estimate 66, u = 11.0 (GUM-5:2026, example 11; UNC-11)."""
    area = parse("47..85 px")
    summary = summarise(drawn("47..85 px", "area"))
    assert (area.mean, area.std) == pytest.approx((66, 11.0), abs=0.05)
    assert (summary.estimate, summary.uncertainty) == pytest.approx((66, 11.0), abs=0.05)
