"""Spline: the torque straight-sided splines hold, and the force that slides a sleeve on them under torque, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.capacities import CAUTIONS, STATIC, curves, judged, mean, number, stated
from ledger.calculators.contract import Calculator, Draws, Output, Whole
from ledger.mechanics import spline as mechanics

PERMITTED = mechanics.PERMITTED


def compute(
    count: Draws,
    major: Draws,
    minor: Draws,
    chamfer: Draws,
    length: Draws,
    share: Draws,
    pressure: Draws,
    thickness: Draws,
    shear: Draws,
    friction: Draws,
    torque: Draws,
    force: Draws,
) -> dict[str, Any]:
    """Return every declared output by name."""
    more = {"thickness": thickness, "shear": shear, "friction": friction, "torque": torque, "force": force}
    found = mechanics.spline(count, major, minor, chamfer, length, share, pressure, **more)
    ways = {"crushing of the flanks": found["flank_capacity"]}
    outputs: dict[str, Any] = dict(found)
    radius = found["mean_radius"]
    thick, strong = stated(thickness, "Thickness of a spline"), stated(shear, "Permitted shear stress")
    if thick != strong:
        raise ValueError("Shear of the splines needs both their thickness and a permitted shear stress.")
    if thick:
        ways["shearing off"] = outputs["tooth_capacity"] = mechanics.tooth_capacity(
            shear, count, share, thickness, length, radius
        )
    outputs |= judged(ways)
    if stated(torque, "Torque"):
        outputs["pressure_at_torque"] = pressure * torque / found["flank_capacity"]
        outputs["slide_force"] = mechanics.slide_force(torque, radius, friction)
    if stated(force, "Force along the axis"):
        outputs["slide_torque"] = mechanics.slide_torque(force, radius, friction)
    reach = np.linspace(0.0, mean(outputs["capacity"]), 60)
    outputs["curves"] = curves(reach, force_to_slide=mechanics.slide_force(reach, mean(radius), mean(friction)))
    return outputs


SPLINE = Calculator(
    name="spline",
    title="Spline",
    purpose=(
        "How much torque straight-sided splines hold between shaft and hub; what force slides a sleeve on them while "
        "they carry torque, and under what torque a given force no longer can."
    ),
    inputs=(
        Whole("count", "Splines", low=1, high=1000),
        number(PERMITTED, "major", "Outer diameter of the splines"),
        number(PERMITTED, "minor", "Inner diameter of the splines"),
        number(PERMITTED, "chamfer", "Chamfer or rounding lost from the flank, at either end of it", default="0 mm"),
        number(PERMITTED, "length", "Length in contact"),
        number(PERMITTED, "share", "Share of the splines that carries", default="1"),
        number(PERMITTED, "pressure", "Permitted pressure on the flanks, mean"),
        number(PERMITTED, "thickness", "Thickness of a spline where it is loaded (0: shear left out)", default="0 mm"),
        number(PERMITTED, "shear", "Permitted shear stress, mean (0: shear left out)", default="0 MPa"),
        number(PERMITTED, "friction", "Coefficient of friction", default="0.05..0.15"),
        number(PERMITTED, "torque", "Torque under which the sleeve slides (0: not wanted)", default="0 N·m"),
        number(PERMITTED, "force", "Force along the axis that is there (0: not wanted)", default="0 N"),
    ),
    outputs=(
        Output("capacity", "Torque that the splines hold", "N·m"),
        Output("flank_capacity", "Torque at which the flanks reach the permitted pressure", "N·m"),
        Output("tooth_capacity", "Torque at which the splines shear off", "N·m", optional=True),
        Output("mean_radius", "Mean radius", "mm"),
        Output("height", "Height on which they touch", "mm"),
        Output("weakest", "What comes first", form="text"),
        Output("ways", "Ways to give way", form="rows"),
        Output("pressure_at_torque", "Pressure on the flanks at the stated torque", "MPa", optional=True),
        Output("slide_force", "Force that slides a sleeve under the stated torque", "N", optional=True),
        Output("slide_torque", "Torque under which the stated force just slides it", "N·m", optional=True),
        Output(
            "curves", "Force to slide under torque", form="curves", axes=("torque [N·m]", "force along the axis [N]")
        ),
    ),
    formula=(
        "With *z* splines between diameters *D* and *d*, chamfers *c* and length *L*: *R_m* = (*D* + *d*)/4, "
        "*h* = (*D* − *d*)/2 − 2*c*, and\n\n"
        "- flanks: *T* = *p*·*z*·*s*·*h*·*L*·*R_m*,\n"
        "- shear: *T* = τ·*z*·*s*·*t*·*L*·*R_m*,\n\n"
        "with share *s* that carries and thickness *t*. A sleeve slides under torque by *F* = µ·*T*/*R_m*."
    ),
    sources=(
        "Flank pressure and force to slide: Sadhu Singh, ex. 7.3, p. 204; Bhandari, Design of Machine Elements, §9.13.",
        "Shear of the teeth with half of them carrying: Machinery's Handbook, involute splines (from memory).",
        "That a quarter to three quarters of the splines carry on parts of ordinary fit: common practice, no source.",
    ),
    assumptions=(
        *STATIC,
        "Pressure is even along flank and length. Where torque enters at one end or shafts are out of line, it is not.",
        "Permitted pressures of splines that slide under load are far below those of fixed ones, because they wear.",
        "Involute splines may be approximated by their circles; their flanks lean, and they centre themselves.",
        "The shaft under the splines is not judged here: see shaft-section, with the inner diameter as the outside.",
        "Friction is that of dry or boundary-lubricated steel at rest. To start from rest takes more than to keep on.",
    ),
    cautions=CAUTIONS,
    compute=compute,
)
