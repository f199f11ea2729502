"""Tooth root: bending at the roots of a pair of gears, spur or helical, against what the material bears, declared."""

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
    sizes_of,
    stated_or,
    strength,
    strength_of_both,
)
from ledger.mechanics import tooth_loads, tooth_root
from ledger.mechanics.gear_pair import gear_pair
from ledger.mechanics.maths import cos
from ledger.mechanics.tooth_outline import section_line, tooth_outline


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
    pin: Draws = 0.0,
    width_1: Draws = 0.0,
    width_2: Draws = 0.0,
    **tool: Any,
) -> dict[str, Any]:
    """Return every declared output by name; `tool` holds the inputs that go to `gear_pair` by their names."""
    strengths = strength_of_both(strength_1, strength_2)
    pair = gear_pair(module, teeth_1, teeth_2, shift_1, shift_2, width, helix, profile, shortened, **tool)
    force = tooth_loads.tangential_force(torque, pair["wheels"][0]["reference"])
    leaning = tooth_root.helix_factor(pair["overlap"], pair["helix"])
    upright = pair["contact_ratio"] / cos(pair["base_helix"]) ** 2
    found = {
        **geometry_of(pair),
        "tangential_force": force,
        "separating_force": tooth_loads.separating_force(force, pair["working"], pair["transverse"]),
        "axial_force": tooth_loads.axial_force(force, pair["helix"]),
        "helix_factor": leaning,
    }
    margins = []
    widths = [stated_or(one, width, "width", "Root width") for one in (width_1, width_2)]
    for place, (wheel, bears) in enumerate(zip(pair["wheels"], strengths, strict=True), 1):
        tooth = tooth_root.bent_tooth(
            wheel["upright_teeth"],
            wheel["shift"],
            wheel["upright_tip"],
            upright,
            pair["dedendum"],
            pair["radius"],
            pair["pressure"],
        )
        nominal = tooth_root.nominal_stress(
            force, widths[place - 1], module, tooth["form"], tooth["correction"], leaning
        )
        stress = nominal * (application * dynamic * across * among)
        margins.append(bears / stress - 1.0)
        found |= {
            f"form_{place}": tooth["form"],
            f"correction_{place}": tooth["correction"],
            f"nominal_{place}": nominal,
            f"stress_{place}": stress,
            f"margin_{place}": margins[-1],
        }
    least = np.minimum(*margins)
    return {
        **found,
        "least_margin": least,
        "held_torque": torque * (1.0 + least),
        "roots_hold": least >= 0,
        "wheels": sizes_of(pair, module, pin),
        "outlines": _outlines(pair, module),
    }


def _outlines(pair: dict[str, Any], module: Draws) -> list[dict[str, Any]]:
    """Return outlines and critical sections of both teeth at the mean of the draws, tooth counts rounded."""
    points = []
    dedendum, radius, pressure = (float(np.mean(pair[name])) for name in ("dedendum", "radius", "pressure"))
    rack = (dedendum, radius, pressure)
    scale = float(np.mean(module))
    for place, wheel in enumerate(pair["wheels"], 1):
        shift = float(np.mean(wheel["shift"]))
        raised = float(np.mean(wheel["upright_top"] - wheel["upright_teeth"]))
        stretched = float(np.mean(wheel["upright_teeth"] / wheel["teeth"]))
        teeth = round(float(np.mean(wheel["teeth"]))) * stretched
        lines = {
            f"wheel {place}": tooth_outline(teeth, shift, teeth + raised, *rack, scale),
            f"root section of wheel {place}": section_line(teeth, shift, *rack, scale),
        }
        points += [{"series": name, "x": x, "y": y} for name, line in lines.items() for x, y in line]
    return points


def _of_wheels(name: str, label: str, unit: str = "", shown: str | None = None) -> tuple[Output, Output]:
    first, second = (Output(f"{name}_{place}", f"{label}, wheel {place}", unit, shown=shown) for place in (1, 2))
    return first, second


TOOTH_ROOT = Calculator(
    name="tooth-root",
    title="Tooth root",
    purpose=(
        "How hard a torque bends the teeth of two external gears at their roots, from the shape that the tool gives "
        "them, and how far that is from what the material bears. Also the sizes by which such wheels are drawn and "
        "measured."
    ),
    inputs=(
        *PAIR,
        *strength("strength", "Root stress that the material"),
        *LOADS,
        number("width_1", "width", "Width of wheel 1's roots (0: that over which the teeth meet)", "0 mm", low=0.0),
        number("width_2", "width", "Width of wheel 2's roots (0: that over which the teeth meet)", "0 mm", low=0.0),
        number("pin", "pin", "Diameter of pins or balls for measuring (0: not asked)", "0 mm", low=0.0),
    ),
    outputs=(
        *_of_wheels("stress", "Root stress with the load factors", "MPa"),
        *_of_wheels("margin", "Margin of the root", "", "%"),
        Output("least_margin", "Margin of the weaker root", "", shown="%"),
        Output("held_torque", "Torque of wheel 1 that both roots just bear", "N·m"),
        Output("roots_hold", "Both roots hold", form="truth"),
        *_of_wheels("nominal", "Nominal root stress", "MPa"),
        *_of_wheels("form", "Tooth form factor"),
        *_of_wheels("correction", "Stress correction factor"),
        Output("helix_factor", "Helix angle factor"),
        Output("tangential_force", "Force along the reference circle", "N"),
        Output("separating_force", "Force pushing the shafts apart", "N"),
        Output("axial_force", "Force along the shafts", "N"),
        *GEOMETRY,
        Output("wheels", "Wheels", form="rows"),
        Output(
            "outlines",
            "Teeth in their normal section, with the critical sections of their roots",
            form="curves",
            axes=("from the middle of the tooth [mm]", "above the reference circle [mm]"),
        ),
    ),
    formula=(
        "The nominal stress is *σ_F0* = *F_t*/(*b*·*m_n*) · *Y_F*·*Y_S*·*Y_β* with *F_t* = 2000·*T*/*d*; the load "
        "factors multiply it: *σ_F* = *σ_F0*·*K_A*·*K_v*·*K_Fβ*·*K_Fα*. The margin is *σ*/*σ_F* − 1 with the stress "
        "*σ* that the material bears.\n\n"
        "- *Y_F* = 6·*h_Fe*·cos *α_Fen* / (*s_Fn*²·cos *α_n*): chord *s_Fn* of the root where the tangent to the "
        "fillet stands at 30° to the tooth's middle, arm *h_Fe* and angle *α_Fen* of the load where a lone pair "
        "presses nearest to the tip.\n"
        "- *Y_S* = (1.2 + 0.13·*L*)·*q*^(1/(1.21 + 2.3/*L*)), *L* = *s_Fn*/*h_Fe*, *q* = *s_Fn*/(2·*ρ_F*), 1 to 8.\n"
        "- *Y_β* = 1 − *ε_β*·*β*/120°, with *ε_β* at most 1 and *β* at most 30°; 1 for spur gears.\n\n"
        "Fillet and chord are computed from the rack that cuts the wheel, not read from charts. A helical tooth is "
        "replaced by the upright tooth of *z*/(cos²*β_b*·cos *β*) teeth.\n\n"
        "Contact reaches down to the form circle where the flank begins: without undercut √(*r_b*² + (*r*·sin *α_t* − "
        "(*h_t* − *x*)·*m_n*/sin *α_t*)²) with *h_t* = *h_fP* − *ρ_fP*·(1 − sin *α_n*); with undercut where fillet and "
        "involute cross. The next pair meets in time where *ε_α* + *ε_β* is 1 or more.\n\n"
        "An unshifted wheel of 20 teeth cut by profile A and loaded at the tip has *Y_F* = 2.80 and *Y_S* = 1.55."
    ),
    sources=(
        "Method: ISO 6336-3:2006, Method B, clauses 6 to 8 (restated from its geometry).",
        "Tooth form and stress correction factors for loads at the tip agree within 0.7 % and 0.9 % with Pu Lianggui "
        "and others, Mechanical Design, Table 10-5 (basic rack with 0.38 m rounding).",
        "The same fillet and point of loading, put through the other method's parabola and notch factor, give all "
        "30 geometry factors of AGMA 908-B89's table for 20° spur gears (table from memory).",
        "Geometry: ISO 21771-1:2024; Gear Technical Reference of KHK, Tables 4.3 and 5.10.",
        "Tools: ISO 53:1998 (profile D from memory).",
        "No printed worked example of ISO 6336-3's stresses was at hand to compare with.",
    ),
    assumptions=(
        "External gears cut by a rack-shaped tool without protuberance; no grinding notch. Wheels mesh without "
        "backlash unless a centre distance is stated; backlash from thinner teeth is not computed.",
        "ISO 53 knows 20° only: profiles A to D at another angle keep their sizes, and are refused where the tool's "
        "tip is too narrow for its rounding.",
        "Undercut of a helical wheel is that of its upright tooth. A wheel that is undercut may be told as interfering "
        "though its tool has cleared the way.",
        "It follows the named method in part only and claims no conformity: load factors are stated, not computed; no "
        "rim thickness factor (a solid wheel), no deep tooth factor; contact ratios of the upright tooth count from 1 "
        "to 2.",
        "Roots bear over the width where teeth meet unless wider ones are stated; the method counts at most one module "
        "beyond it on each side (from memory), which is for you to keep.",
        "Tips may be cut back together, so that the rack's clearance stays; the flanks have no relief.",
        "The stress that the material bears is stated with its scatter, for the loads and cycles in question; whether "
        "it is meant for one overload or for millions is for its source to say.",
        "A wheel that is loaded on both flanks by turns, as an idler, bears less: about 0.7 of it (common practice, no "
        "source).",
        "Whether pins or balls touch within the flanks is not checked. Sizes that cannot be measured are left out with "
        "a word; in doubt, they are summed up over the draws in which they can.",
        "Outlines are drawn at the mean of the inputs.",
    ),
    cautions=(
        "A tooth that breaks can jam the gears and burst the housing: guard what rotates, also in models.",
        "Gears draw in fingers and sleeves; never turn them under power with the covers off.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
