"""Shaft section: the torque a solid or hollow shaft with an oil hole holds, once and for ever, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.capacities import CAUTIONS, curves, judged, mean, number, stated
from ledger.calculators.contract import Calculator, Choice, Draws, Output
from ledger.mechanics import shaft_section as mechanics
from ledger.mechanics.maths import maximum

PERMITTED = mechanics.PERMITTED
YIELD, GOODMAN, ELLIPTIC = "yield", "goodman", "elliptic"


def compute(judged_by: str, surface: str, **given: Draws) -> dict[str, Any]:
    """Return every declared output by name; `given` are the numbers by name."""
    loaded = np.all(np.greater(given["torque"] + given["torque_swing"], 0))
    tough = np.all(np.less_equal(given["yielding"], given["tensile"]))
    mechanics.check(
        more=(
            "" if loaded else "Torque: state its mean or its swing, above 0; moments are then scaled along with it.",
            "" if tough else "Yield strength: must not exceed the tensile strength.",
        ),
        **given,
    )
    endurance = _endurance(surface, given)
    factors = _factors(given)
    found = _safety(given, factors, endurance)
    ways = {"yielding once": found["yield_capacity"]}
    if judged_by != YIELD:
        ways["breaking in time"] = found["goodman_capacity" if judged_by == GOODMAN else "elliptic_capacity"]
    outputs = {
        **found,
        **judged(ways),
        "endurance_limit": endurance,
        "bending_factor_used": factors[0],
        "torsion_factor_used": factors[1],
        "curves": _curves(judged_by, surface, {name: mean(value) for name, value in given.items()}),
    }
    if stated(given["length"], "Length between gears"):
        outputs["stiffness"] = mechanics.torsional_stiffness(
            given["outside"], given["bore"], given["length"], given["shear_modulus"]
        )
    return outputs


def _endurance(surface: str, given: dict[str, Draws]) -> Draws:
    """Return the endurance limit: the one stated, which carries its own doubt, or one computed, with its scatter."""
    if stated(given["endurance"], "Endurance limit"):
        return given["endurance"]
    found: Draws = mechanics.endurance_limit(given["tensile"], given["outside"], surface) * given["scatter"]
    return found


def _factors(given: dict[str, Draws]) -> tuple[Draws, Draws]:
    """Return the fatigue notch factors: the greater of what is stated and what the hole makes."""
    bending, torsion = given["bending_factor"], given["torsion_factor"]
    if not stated(given["hole"], "Oil hole"):
        return bending, torsion
    place = given["hole"], given["outside"], given["bore"]
    radius = given["hole"] / 2.0
    bent = mechanics.fatigue_factor(
        mechanics.notch_sensitivity(given["tensile"], radius), mechanics.hole_bending_factor(*place)
    )
    twisted = mechanics.fatigue_factor(
        mechanics.notch_sensitivity(given["tensile"], radius, True), mechanics.hole_torsion_factor(*place)
    )
    return maximum(bending, bent), maximum(torsion, twisted)


def _safety(given: dict[str, Draws], factors: tuple[Draws, Draws], endurance: Draws) -> dict[str, Draws]:
    section = given["outside"], given["bore"]
    loads = given["bending"], given["bending_steady"], given["torque"], given["torque_swing"]
    loaded = given["torque"] + given["torque_swing"]
    alternating, steady, notched = mechanics.stresses(section, loads, factors)
    normal = mechanics.bending_stress(given["bending"] + given["bending_steady"], *section)
    shear = mechanics.torsion_stress(loaded, *section)
    smooth = mechanics.von_mises(normal, shear)
    found = {
        "nominal_stress": smooth,
        "shear_stress": mechanics.greatest_shear(normal, shear),
        "normal_stress": mechanics.greatest_normal(normal, shear),
        "alternating_stress": alternating,
        "mean_stress": steady,
        "yield_factor": given["yielding"] / smooth,
        "notch_yield_factor": given["yielding"] / notched,
        "goodman_factor": mechanics.goodman(alternating, steady, endurance, given["tensile"]),
        "elliptic_factor": mechanics.elliptic(alternating, steady, endurance, given["yielding"]),
    }
    for name in ("yield", "goodman", "elliptic"):
        found[f"{name}_capacity"] = loaded * found[f"{name}_factor"]
    return found


def _curves(judged_by: str, surface: str, middle: dict[str, Draws]) -> list[dict[str, Any]]:
    bores = np.linspace(0.0, 0.8, 60) * middle["outside"]
    hollow = {**middle, "bore": bores}
    found = _safety(hollow, _factors(hollow), _endurance(surface, hollow))
    series = {"yielding once": found["yield_capacity"]}
    if judged_by != YIELD:
        series["breaking in time"] = found["goodman_capacity" if judged_by == GOODMAN else "elliptic_capacity"]
    return curves(bores, **{name: np.asarray(value) for name, value in series.items()})


SHAFT_SECTION = Calculator(
    name="shaft-section",
    title="Shaft section",
    purpose=(
        "How much torque a section of a shaft holds, solid or hollow, with an oil hole or another notch, when bending "
        "grows along with the torque: before it yields, and before it breaks after any number of turns."
    ),
    inputs=(
        number(PERMITTED, "outside", "Outside diameter"),
        number(PERMITTED, "bore", "Bore (0: solid)", default="0 mm"),
        number(PERMITTED, "hole", "Oil hole right across the shaft, its diameter (0: none)", default="0 mm"),
        number(PERMITTED, "torque", "Torque, its mean"),
        number(PERMITTED, "torque_swing", "Torque, how far it swings about the mean", default="0 N·m"),
        number(PERMITTED, "bending", "Bending moment that stands still while the shaft turns", default="0 N·m"),
        number(PERMITTED, "bending_steady", "Bending moment that turns with the shaft", default="0 N·m"),
        number(PERMITTED, "bending_factor", "Fatigue notch factor of another notch, bending", default="1"),
        number(PERMITTED, "torsion_factor", "Fatigue notch factor of another notch, torsion", default="1"),
        number(PERMITTED, "tensile", "Tensile strength"),
        number(PERMITTED, "yielding", "Yield strength"),
        number(
            PERMITTED,
            "endurance",
            "Endurance limit of this shaft, with its scatter (0: from tensile strength)",
            default="0 MPa",
        ),
        number(
            PERMITTED,
            "scatter",
            "Scatter of an endurance limit from tensile strength, as a factor",
            default="1.00 ± 0.16",
        ),
        Choice("surface", "Surface", tuple(mechanics.SURFACES), default="machined"),
        Choice("judged_by", "Capacity judged by", (GOODMAN, ELLIPTIC, YIELD), default=GOODMAN),
        number(PERMITTED, "length", "Length that twists, for its stiffness (0: not wanted)", default="0 mm"),
        number(PERMITTED, "shear_modulus", "Shear modulus", default="80000 MPa"),
    ),
    outputs=(
        Output("capacity", "Greatest torque that the section holds", "N·m"),
        Output("yield_capacity", "Greatest torque before it yields", "N·m"),
        Output("goodman_capacity", "Greatest torque for any number of turns, by Goodman's line", "N·m"),
        Output("elliptic_capacity", "The same by the ASME ellipse", "N·m"),
        Output("yield_factor", "Safety against yielding, smooth"),
        Output("notch_yield_factor", "Safety against the first yielding at the notch"),
        Output("goodman_factor", "Safety against breaking in time, by Goodman's line"),
        Output("elliptic_factor", "The same by the ASME ellipse"),
        Output("nominal_stress", "Greatest equivalent stress, smooth", "MPa"),
        Output("shear_stress", "Greatest shear stress, smooth", "MPa"),
        Output("normal_stress", "Greatest normal stress, smooth", "MPa"),
        Output("alternating_stress", "Alternating equivalent stress, with notch", "MPa"),
        Output("mean_stress", "Mean equivalent stress, with notch", "MPa"),
        Output("endurance_limit", "Endurance limit", "MPa"),
        Output("bending_factor_used", "Fatigue notch factor, bending"),
        Output("torsion_factor_used", "Fatigue notch factor, torsion"),
        Output("weakest", "What comes first", form="text"),
        Output("ways", "Ways to give way", form="rows"),
        Output("stiffness", "Torsional stiffness", "N·m/rad", optional=True),
        Output("curves", "Capacity against bore", form="curves", axes=("bore [mm]", "torque [N·m]")),
    ),
    formula=(
        "σ = 32·*M*·*D*/(π·(*D*⁴ − *d*⁴)), τ = 16·*T*·*D*/(π·(*D*⁴ − *d*⁴)), σ′ = √(σ² + 3τ²). With notch factors on "
        "alternating and mean parts alike:\n\n"
        "- yielding: *n* = *S_y*/σ′ of the greatest load, smooth,\n"
        "- Goodman: 1/*n* = σ′*_a*/*S_e* + σ′*_m*/*S_ut*,\n"
        "- ASME ellipse: 1/*n*² = (σ′*_a*/*S_e*)² + (σ′*_m*/*S_y*)²,\n\n"
        "and the capacity is *n* times the greatest torque: moments grow in proportion. An oil hole's concentration "
        "follows Roark's formulas for the gross section; *K_f* = 1 + *q*·(*K_t* − 1) with Neuber's *q*. Where no "
        "endurance limit is stated, *S_e* = *k_a*·*k_b*·min(*S_ut*/2, 700 MPa) times its scatter."
    ),
    sources=(
        "Shigley's Mechanical Engineering Design, 10th ed., ch. 6 and 7; example 7-1, p. 363.",
        "Oil hole: Roark's Formulas for Stress and Strain, 7th ed., Table 17.1, case 17 (torsion seen in a copy, "
        "bending from memory); Shigley's Table A-16 differs by up to 4 %.",
        "Torsion and combined stress: Wentzell, Machine Design, ex. 17.1–17.3, pp. 379–383.",
        "Scatter of endurance limits, a standard deviation of 8 %: Shigley, §6-9.",
    ),
    assumptions=(
        "Steel. Stresses are elastic; yielding is judged on the smooth section, since soft spots at a notch yield a "
        "little and carry on, and the first yielding at the notch is given besides.",
        "Bending moments and torque grow together: the capacity is at the ratio of moments stated.",
        "Of a hole and another notch at one place the greater factor counts; they do not multiply.",
        "A hole lies right across the shaft and is taken where bending is greatest, its corners rounded and smooth. "
        "One that ends in the bore is a little milder.",
        "The torsion factor of a hole is half the edge's stress over the shear stress. Taking the edge's stress itself "
        "as equivalent stress would be 15 % more severe.",
        "Size factors hold for turning shafts up to 254 mm. Residual stress, shot peening, case hardening, corrosion "
        "and reliability other than by scatter are not in the formulas: state an endurance limit that has them.",
        "The scatter belongs to an endurance limit that is computed from the tensile strength. One that is stated is "
        "taken as it is: state its doubt with it.",
        "Splines, keyways, shoulders and press fits are notches: their factors must be stated.",
    ),
    cautions=(CAUTIONS[0], CAUTIONS[2]),
    compute=compute,
)
