"""Model scale: a machine built again smaller, from what can be made and what can be bought, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.contract import Calculator, Choice, Draws, Number, Output, Rows, Text, Whole
from ledger.calculators.model_scale_parts import FITS, GAP, LENGTH, NONE, SHAFT, WALL, part_row
from ledger.mechanics import model_scale as mechanics
from ledger.mechanics.standard_bearings import CUP, KINDS
from ledger.mechanics.standard_modules import BOTH, FIRST, nearest_module

POINTS = 100


def compute(
    scale: Draws,
    process: str,
    wall: Draws,
    tip: Draws,
    gap: Draws,
    module: Draws,
    modules: str,
    distance: Draws,
    pressure: Draws,
    helix: Draws,
    gears: list[dict[str, Any]],
    parts: list[dict[str, Any]],
    torque: Draws,
    strength: Draws,
    model_strength: Draws,
    mass: Draws,
    density: Draws,
    model_density: Draws,
) -> dict[str, Any]:
    """Return every declared output by name; those that the inputs do not ask for are left out."""
    geared, driven, weighed = (bool(np.any(np.asarray(one) > 0)) for one in (module, torque, mass))
    _refuse(gears, parts, geared, driven, strength, model_strength)
    least = [
        np.where(np.asarray(own) > 0, own, usual)
        for own, usual in zip((wall, tip, gap), mechanics.PROCESSES[process], strict=True)
    ]
    given: dict[str, Any] = {"actual_scale": scale + 0.0 * module, "parts": [], "gears": []}
    if geared:
        given["model_module"] = nearest_module(scale * module, modules)
        given["actual_scale"] = given["model_module"] / module
    actual = given["actual_scale"]
    made, scales = [], []
    if geared and np.any(np.asarray(distance) > 0):
        given["model_distance"] = actual * distance
    angles = (np.radians(pressure), np.radians(helix))
    for gear in gears:
        row, widths = _gear(gear, given["model_module"], actual * distance, angles)
        given["gears"].append({**row, "made [% of draws]": 100 * float(np.mean(widths >= least[1]))})
        made.append(widths >= least[1])
        scales.append(np.where(widths > 0, least[1] * actual / np.maximum(widths, 1e-9), np.inf))
        given["least_tip"] = np.minimum(given.get("least_tip", widths), widths)
    for part in parts:
        given["parts"].append(part_row(part, actual, least))
        if part["kind"] == WALL:
            made.append(actual * part["size"] >= least[0])
            scales.append(mechanics.least_scale(least[0], part["size"]))
    given["made"] = np.logical_and.reduce(np.broadcast_arrays(*made)) if made else True
    if scales and np.all(np.isfinite(np.max(np.broadcast_arrays(*scales), axis=0))):
        given["least_scale"] = np.max(np.broadcast_arrays(*scales), axis=0)
    if driven:
        given["model_torque"] = mechanics.scaled_torque(torque, actual, strength, model_strength)
        given["torque_curve"] = _curve(scale, torque, strength, model_strength, module if geared else None, modules)
    if weighed:
        given["model_mass"] = mass * mechanics.mass_ratio(actual, density, model_density)
    given["inertia_share"] = mechanics.inertia_ratio(actual, density, model_density)
    return given


def _refuse(gears: Any, parts: Any, geared: bool, driven: bool, strength: Draws, model_strength: Draws) -> None:
    faults = []
    if gears and not geared:
        faults.append("Gears are stated without the module at full size.")
    if driven and not (np.all(np.asarray(strength) > 0) and np.all(np.asarray(model_strength) > 0)):
        faults.append("A torque needs the strength of both materials: at full size, and of the model's.")
    for part in parts:
        if part["kind"] != SHAFT and (part["bearing"] != NONE or part["fit"] != NONE):
            faults.append(f"{part['part']}: only a shaft has a bearing or a fit; it is stated as {part['kind']}.")
        if part["bearing"] == CUP and part["fit"] != NONE:
            faults.append(
                f"{part['part']}: a drawn cup has no inner ring, the shaft runs on its needles; state no fit."
            )
    names = [row["gear"] for row in gears] + [row["part"] for row in parts]
    faults += [f"{name} stands in {names.count(name)} rows." for name in dict.fromkeys(names) if names.count(name) > 1]
    if faults:
        raise ValueError(" ".join(faults))


def _gear(gear: Any, module: Draws, distance: Draws, angles: Any) -> tuple[dict[str, Any], Draws]:
    first, second = gear["driver"], gear["driven"]
    try:
        one, other, shift = mechanics.tip_widths(module, first, second, distance, *angles)
    except ValueError as error:
        raise ValueError(f"{gear['gear']}: {error}") from error
    row = {
        "gear": gear["gear"],
        "ratio": second / first,
        "driving wheel, reference [mm]": first * module / np.cos(angles[1]),
        "driven wheel, reference [mm]": second * module / np.cos(angles[1]),
        "closes with x₁ + x₂": shift,
        "tooth tips [mm]": np.minimum(one, other),
    }
    return row, np.minimum(one, other)


def _curve(
    scale: Draws, torque: Draws, strength: Draws, model_strength: Draws, module: Draws | None, modules: str
) -> list[dict[str, Any]]:
    middle, full, ratio = float(np.mean(scale)), float(np.mean(torque)), float(np.mean(model_strength / strength))
    at = np.linspace(0.5 * middle, 1.5 * middle, POINTS)
    points = [{"series": "any scale", "x": one, "y": full * one**3 * ratio} for one in at.tolist()]
    if module is not None:
        whole = float(np.mean(module))
        taken = nearest_module(at * whole, modules) / whole
        points += [
            {"series": "standard modules", "x": one, "y": full * kept**3 * ratio}
            for one, kept in zip(at.tolist(), taken.tolist(), strict=True)
        ]
    return points


def least_size(name: str, label: str) -> Number:
    """Return the least size that a process can make, of which 0 means as it usually is."""
    return Number(name, f"{label} (0: as the process usually needs)", "mm", 0.0, 50.0, default="0 mm")


MODEL_SCALE = Calculator(
    name="model-scale",
    title="Model scale",
    purpose=(
        "A model from the dimensions of the real thing: the nearest standard module and the scale that follows from "
        "it, which bearings and fits there are, which walls and tooth tips can be made, and what torque the model "
        "holds."
    ),
    inputs=(
        Number("scale", "Scale, model over full size", low=0.005, high=20.0),
        Choice("process", "How it is made", tuple(mechanics.PROCESSES), default=mechanics.FILAMENT),
        least_size("wall", "Least wall"),
        least_size("tip", "Least width of a tooth tip"),
        least_size("gap", "Least clearance between moving parts"),
        Number("module", "Normal module at full size (0: no gears)", "mm", 0.0, 60.0, default="0 mm"),
        Choice("modules", "Modules to be had", (FIRST, BOTH), default=FIRST),
        Number("distance", "Distance of the shafts at full size (0: unshifted)", "mm", 0.0, 5000.0, default="0 mm"),
        Number("pressure", "Normal pressure angle", "°", 10.0, 35.0, default="20 °"),
        Number("helix", "Helix angle", "°", 0.0, 45.0, default="0 °"),
        Rows(
            "gears",
            "Pairs of gears",
            (
                Text("gear", "Gear"),
                Whole("driver", "Teeth of the driving wheel", 6, 300),
                Whole("driven", "Teeth of the driven wheel", 6, 300),
            ),
            optional=True,
        ),
        Rows(
            "parts",
            "Dimensions",
            (
                Text("part", "Part"),
                Number("size", "Full size", "mm", low=0.0, high=100_000.0, above=True),
                Choice("kind", "Kind", (LENGTH, SHAFT, WALL, GAP), default=LENGTH),
                Choice("bearing", "Bearing on it", (NONE, *KINDS), default=NONE),
                Choice("fit", "Fit on it", FITS, default=NONE),
            ),
            optional=True,
        ),
        Number("torque", "Torque at full size (0: not asked)", "N·m", 0.0, 1e9, default="0 N·m"),
        Number("strength", "Strength of the full-size material (0: not stated)", "MPa", 0.0, 5000.0, default="0 MPa"),
        Number("model_strength", "Strength of the model's, of the same kind", "MPa", 0.0, 5000.0, default="0 MPa"),
        Number("mass", "Mass at full size (0: not asked)", "kg", 0.0, 1e7, default="0 kg"),
        Number("density", "Density at full size", "kg/m³", 10.0, 25_000.0, default="7850 kg/m³"),
        Number("model_density", "Density of the model", "kg/m³", 10.0, 25_000.0, default="7850 kg/m³"),
    ),
    outputs=(
        Output("actual_scale", "Scale with that module"),
        Output("made", "Every wall and tooth tip can be made", form="truth"),
        Output("model_module", "Module of the model, standard", "mm", optional=True),
        Output("model_distance", "Distance of the shafts in the model", "mm", optional=True),
        Output("least_tip", "Narrowest tooth tip", "mm", optional=True),
        Output("least_scale", "Least scale at which all can be made, modules of any size", optional=True),
        Output("model_torque", "Torque that stresses the model as much as the real thing is", "N·m", optional=True),
        Output("model_mass", "Mass of the model", "kg", optional=True),
        Output("inertia_share", "Moment of inertia, model over full size"),
        Output("gears", "Gears of the model", form="rows"),
        Output("parts", "Parts of the model", form="rows"),
        Output("torque_curve", "Torque by scale", form="curves", optional=True, axes=("scale [-]", "torque [N·m]")),
    ),
    formula=(
        "The module decides the scale: *m'* is the standard module nearest to *s*·*m* by ratio, and everything is "
        "scaled by *s'* = *m'*/*m*. Tooth counts, and with them ratios and profile shift coefficients, stay.\n\n"
        "- Tooth tip: *s_a* = *d_a*·[(π/2 + 2·*x*·tan α_n)/*z* + inv α_t − inv α_a], cos α_a = *d_b*/*d_a*; the sum of "
        "profile shifts that closes *s'*·*a* is divided in halves.\n"
        "- Torque at the same share of strength: *T'* = *T*·*s'*³·σ'/σ. Mass *s'*³·ρ'/ρ, moment of inertia "
        "*s'*⁵·ρ'/ρ.\n- A wall needs *s'*·*w* ≥ *w_min*, a tip *s_a* ≥ *s_min*; the least scale is the greatest of "
        "*w_min*/*w* and *s'*·*s_min*/*s_a*. Gaps are opened to what the process needs.\n"
        "- A shaft takes the bore nearest to its scaled size; a fit's clearances are EI − es to ES − ei. "
        "Beside a bearing the hole is the bearing's bore, with the deviations of ISO 492, normal class, in place of "
        "H's.\n\n"
        "Module 5 at 3:10 is module 1.5; 3,100 N·m in steel of 900 MPa become 3,100·0.3³·70/900 = 6.5 N·m in brass at "
        "70 MPa."
    ),
    sources=(
        "Modules: ISO 54:1996, Table 1; below 1 mm DIN 780-1, series 1, from memory.",
        "Bearings: boundary dimensions of ISO 15, series 02, 10 and 49 (ISO 1206), and ISO 3245; below 10 mm and "
        "above 80 mm bore, 6013, 6015, 6213, 6215 and half of the drawn cups from memory.",
        "Bores of bearings: ISO 492, normal class: 0/−8 µm to 18 mm, −10 to 30, −12 to 50, −15 to 80, −20 to 120; from "
        "memory.",
        "Fits: ISO 286-1:2010 and ISO 286-2:2010; as in Narayana and others, Machine Drawing, Tables 15.1 and 15.2.",
        "Tooth tips: ISO 21771-1:2024. Torque, mass and inertia: geometric similarity.",
        "Least walls, tips and gaps of printing: public design guides of printing services, which differ by half; of "
        "cut metal: common practice, no source.",
    ),
    assumptions=(
        "The model is similar to the real thing in every length that is not said to be opened or thickened.",
        "Strengths are of one kind (both of teeth in bending, say) and stress concentrations scale with the shape. A "
        "printed part is weaker between its layers than along them: state the weaker.",
        "Tip widths are those of a usual rack, addendum one module, tips shortened to keep their clearance.",
        "What a process can make is a usual figure: print or cut one tooth first, and state your own.",
        "Fits of ISO 286 are meant for cut parts; printed ones do not hold them.",
        "The tables have the commonest bores, not all that are made; how far a shaft was changed stands in its row.",
        "Bearings are chosen by their bore alone, not by load; no load ratings are given.",
        "Fits reach to 180 mm, from c to s.",
    ),
    cautions=(
        "A small model still pinches fingers and catches hair: guard it, and turn it by hand first.",
        "A motor on a model can break it: let a clutch slip below the torque given here.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
)
