"""Tooth flank: pressure between the teeth of a pair of gears against what the material bears, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Draws, Output
from ledger.calculators.gear_pair_inputs import (
    GEOMETRY,
    LOADS,
    PAIR,
    geometry_of,
    number,
    strength,
    strength_of_both,
)
from ledger.mechanics import hertz, tooth_flank, tooth_loads
from ledger.mechanics.contact_path import pressure_along
from ledger.mechanics.gear_pair import gear_pair
from ledger.mechanics.maths import cos

# Where under a line contact the shear stress is greatest, in half-widths: Johnson, Contact Mechanics, §4.2.
DEEPEST = 0.78615


def compute(
    module: Draws,
    teeth_1: Draws,
    teeth_2: Draws,
    width: Draws,
    torque: Draws,
    strength_1: Draws,
    strength_2: Draws = 0.0,
    shift_1: Draws = 0.0,
    shift_2: Draws = 0.0,
    helix: Draws = 0.0,
    profile: str = "A",
    shortened: bool = True,
    application: Draws = 1.0,
    dynamic: Draws = 1.0,
    across: Draws = 1.0,
    among: Draws = 1.0,
    elasticity_1: Draws = 206.0,
    elasticity_2: Draws = 206.0,
    poisson_1: Draws = 0.3,
    poisson_2: Draws = 0.3,
    **tool: Any,
) -> dict[str, Any]:
    """Return every declared output by name; `tool` holds the inputs that go to `gear_pair` by their names."""
    strengths = strength_of_both(strength_1, strength_2)
    pair = gear_pair(module, teeth_1, teeth_2, shift_1, shift_2, width, helix, profile, shortened, **tool)
    one, two = pair["wheels"]
    force = tooth_loads.tangential_force(torque, one["reference"])
    ratio, overlap, working = pair["contact_ratio"], pair["overlap"], pair["working"]
    materials = (1000.0 * elasticity_1, poisson_1, 1000.0 * elasticity_2, poisson_2)
    zone = tooth_flank.zone_factor(pair["base_helix"], pair["transverse"], working)
    elastic = tooth_flank.elasticity_factor(*materials)
    spread = tooth_flank.contact_ratio_factor(ratio, overlap)
    leaning = tooth_flank.leaning_factor(pair["helix"])
    at_pitch = tooth_flank.pitch_point_pressure(
        force, width, one["reference"], teeth_2 / teeth_1, zone, elastic, spread, leaning
    )
    inner = [
        tooth_flank.inner_point_factor(wheel, mate, working, ratio, overlap) for wheel, mate in ((one, two), (two, one))
    ]
    raised = (application * dynamic * across * among) ** 0.5
    stresses = [at_pitch * single * raised for single in inner]
    margins = [bears / stress - 1.0 for bears, stress in zip(strengths, stresses, strict=True)]
    least = np.minimum(*margins)
    # Half the width of the contact at the pitch point that belongs to the computed pressure: b = 2 R p0 / E*.
    curved = hertz.joint_radius(
        *(wheel["base"] / 2 * np.tan(working) / cos(pair["base_helix"]) for wheel in (one, two))
    )
    half_width = 2.0 * curved * at_pitch * raised / hertz.joint_stiffness(*materials)
    found = {
        "stress_1": stresses[0],
        "stress_2": stresses[1],
        "margin_1": margins[0],
        "margin_2": margins[1],
        "least_margin": least,
        "held_torque": torque * (1.0 + least) ** 2,
        "flanks_hold": least >= 0,
        "nominal": at_pitch,
        "zone": zone,
        "elastic": elastic,
        "spread": spread,
        "leaning": leaning,
        "inner_1": inner[0],
        "inner_2": inner[1],
        "shear": hertz.line_shear(at_pitch * raised, DEEPEST),
        "shear_depth": DEEPEST * half_width,
        "tangential_force": force,
        **geometry_of(pair),
    }
    if not np.any(helix):
        found["pressures"] = _pressures(pair, force / width * raised**2, hertz.joint_stiffness(*materials))
    return found


def _pressures(pair: dict[str, Any], load: Draws, stiffness: Draws) -> list[dict[str, Any]]:
    """Return the pressure along the path of contact of a spur pair, at the mean of the draws."""
    one, two = (
        {name: float(np.mean(wheel[name])) for name in ("teeth", "tip", "base", "start")} for wheel in pair["wheels"]
    )
    points: list[dict[str, Any]] = pressure_along(
        tip_1=one["tip"],
        tip_2=two["tip"],
        base_1=one["base"],
        base_2=two["base"],
        distance=float(np.mean(pair["distance"])),
        working=float(np.mean(pair["working"])),
        pitch=float(np.pi * one["base"] / one["teeth"]),
        load=float(np.mean(load / np.cos(pair["pressure"]))),
        stiffness=float(np.mean(stiffness)),
        start_1=one["start"],
        start_2=two["start"],
    )
    return points


TOOTH_FLANK = Calculator(
    name="tooth-flank",
    title="Tooth flank",
    purpose=(
        "How hard the teeth of two external gears press on each other, at the pitch point and where one pair alone "
        "carries the load, and how far that is from what the material bears without pitting."
    ),
    inputs=(
        *PAIR,
        *strength("strength", "Flank pressure that the material"),
        *LOADS,
        number("elasticity_1", "elasticity", "Modulus of elasticity of wheel 1", "206 GPa"),
        number("elasticity_2", "elasticity", "Modulus of elasticity of wheel 2", "206 GPa"),
        number("poisson_1", "poisson", "Poisson's ratio of wheel 1", "0.3"),
        number("poisson_2", "poisson", "Poisson's ratio of wheel 2", "0.3"),
    ),
    outputs=(
        Output("stress_1", "Flank pressure with the load factors, wheel 1", "MPa"),
        Output("stress_2", "Flank pressure with the load factors, wheel 2", "MPa"),
        Output("margin_1", "Margin of the flank, wheel 1", "", shown="%"),
        Output("margin_2", "Margin of the flank, wheel 2", "", shown="%"),
        Output("least_margin", "Margin of the weaker flank", "", shown="%"),
        Output("held_torque", "Torque of wheel 1 that both flanks just bear", "N·m"),
        Output("flanks_hold", "Both flanks hold", form="truth"),
        Output("nominal", "Nominal pressure at the pitch point", "MPa"),
        Output("zone", "Zone factor"),
        Output("elastic", "Elasticity factor [√MPa]"),
        Output("spread", "Contact ratio factor"),
        Output("leaning", "Helix angle factor"),
        Output("inner_1", "Factor to the inner point of lone contact, wheel 1"),
        Output("inner_2", "Factor to the inner point of lone contact, wheel 2"),
        Output("shear", "Greatest shear stress under the flank at the pitch point", "MPa"),
        Output("shear_depth", "Depth at which it lies", "mm"),
        Output("tangential_force", "Force along the reference circle", "N"),
        *GEOMETRY,
        Output(
            "pressures",
            "Pressure along the path of contact (spur gears)",
            form="curves",
            optional=True,
            axes=("from the pitch point, wheel 1's root first [mm]", "Hertz pressure [MPa]"),
        ),
    ),
    formula=(
        "The nominal pressure (pitch point) is *σ_H0* = *Z_H*·*Z_E*·*Z_ε*·*Z_β*·√(*F_t*/(*d*₁·*b*)·(*u* + 1)/*u*).\n\n"
        "With load factors, and at the inner point where a lone pair carries the load, it is *σ_H* = "
        "*Z_B*·*σ_H0*·√(*K_A*·*K_v*·*K_Hβ*·*K_Hα*), with *Z_D* for wheel 2. The margin is *σ*/*σ_H* − 1 with the "
        "pressure *σ* that the material bears.\n\n"
        "- *Z_H* = √(2·cos *β_b*·cos *α_wt* / (cos²*α_t*·sin *α_wt*)), the curvature at the pitch point.\n"
        "- *Z_E* = √(*E*′/π), 1/*E*′ = (1 − *ν*₁²)/*E*₁ + (1 − *ν*₂²)/*E*₂.\n"
        "- *Z_ε* = √((4 − *ε_α*)/3·(1 − *ε_β*) + *ε_β*/*ε_α*), *ε_β* at most 1; *Z_β* = 1/√(cos *β*).\n"
        "- *Z_B* = max(1, *M* − *ε_β*·(*M* − 1)), *M* the root of the curvature at the inner point over that at the "
        "pitch point.\n\n"
        "Pressure grows with the root of the load, so a margin of 10 % in pressure is 21 % in torque. Steel on steel "
        "has *Z_E* = 189.8 √MPa."
    ),
    sources=(
        "Method: ISO 6336-2:2006, Method B, clauses 6 to 9 (restated).",
        "*Z_β* = 1/√(cos *β*): ISO 6336-2:2006 with its Corrigendum 1:2008 (from memory). Older worked examples, after "
        "DIN 3990 or the edition of 1996, use √(cos *β*) and come out lower for helical gears.",
        "Pressure of cylinders: Johnson, Contact Mechanics (1985), §4.2; Boresi and Schmidt, Advanced Mechanics of "
        "Materials, ex. 17.3, p. 621.",
        "The pressure at the pitch point agrees with Shigley's Mechanical Engineering Design, ex. 14-4 (70,360 lbf/in² "
        "with the factors stated there).",
        "Geometry: ISO 21771-1:2024; Gear Technical Reference of KHK, Table 4.3.",
        "Tools: ISO 53:1998 (profile D from memory).",
        "No printed worked example of ISO 6336-2's stresses was at hand to compare with.",
    ),
    assumptions=(
        "External gears cut by a rack-shaped tool. Smooth dry elastic cylinders press on each other as after Hertz; "
        "oil film, roughness, sliding and heat are not computed.",
        "It follows the named method in part only and claims no conformity: load factors are stated, not computed; no "
        "factors for lubricant, speed, roughness, work hardening or size stand beside the strength.",
        "Contact ratios count from 1 to 2 for the inner point, and to 2.5 for the contact ratio factor.",
        "Both wheels bear over the same stated width; flanks have no relief.",
        "Contact reaches down to the form circle of each wheel, which undercut raises; of a helical wheel it is that "
        "of its upright tooth.",
        "Pressures are those of the stated centre distance, else of the one without backlash.",
        "The pressure that the material bears is stated with its scatter, for the cycles in question.",
        "A few overloads may pass a limit meant for millions without pitting; the root decides then.",
        "The drawn pressure gives a lone pair the whole load and two pairs half of it each, with all load factors; it "
        "leaves out the contact ratio factor.",
        "Curves are drawn at the mean of the inputs.",
    ),
    cautions=(
        "Gears draw in fingers and sleeves; never turn them under power with the covers off.",
        "Pitted teeth shed hard splinters into the oil, and may break later.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
