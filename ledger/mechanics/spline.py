"""Straight-sided splines: what their flanks and teeth hold, and the force that slides a sleeve under torque.

Lengths in mm, stresses in MPa, torques in N·m, forces in N. Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics.maths import every, pi
from ledger.mechanics.refusing import refuse

PERMITTED = {
    "count": ("Splines", "", 1.0, 1000.0),
    "major": ("Outer diameter of the splines", "mm", 0.1, 100_000.0),
    "minor": ("Inner diameter of the splines", "mm", 0.1, 100_000.0),
    "chamfer": ("Chamfer", "mm", 0.0, 1000.0),
    "length": ("Length in contact", "mm", 0.01, 100_000.0),
    "thickness": ("Thickness of a spline", "mm", 0.0, 10_000.0),
    "share": ("Share that carries", "", 0.01, 1.0),
    "pressure": ("Permitted pressure", "MPa", 0.001, 100_000.0),
    "shear": ("Permitted shear stress", "MPa", 0.0, 100_000.0),
    "friction": ("Coefficient of friction", "", 0.0, 1.0),
    "torque": ("Torque", "N·m", 0.0, 1e9),
    "force": ("Force along the axis", "N", 0.0, 1e9),
}


def mean_radius(major, minor):
    """Return the mean radius of straight-sided splines [mm]: R_m = (D + d)/4."""
    return (major + minor) / 4.0


def flank_height(major, minor, chamfer):
    """Return the height on which straight-sided splines touch [mm]: h = (D - d)/2 - 2c, a chamfer c on either part.

    Errors: ValueError where nothing is left of it.
    """
    height = (major - minor) / 2.0 - 2.0 * chamfer
    refuse(PERMITTED, [_flat(height)])
    return height


def flank_capacity(pressure, count, share, height, length, radius):
    """Return the torque at which the flanks of splines reach a mean pressure [N·m].

    T = p z s h L R_m

    pressure  p [MPa];  count  z [-];  share  s of them that carries [-]
    height    h on which they touch [mm];  length  L [mm];  radius  R_m [mm]

    Source: Sadhu Singh, ex. 7.3, p. 204. With s = 1 and no chamfer it is p z L (D² - d²)/8, Bhandari, Design of Machine
    Elements, 3rd ed., §9.13.
    """
    return pressure * count * share * height * length * radius / 1000.0


def tooth_capacity(shear, count, share, thickness, length, radius):
    """Return the torque at which splines reach a mean shear stress where they are loaded [N·m].

    T = τ z s t L R_m

    shear      τ [MPa]
    thickness  t of a spline along the circumference [mm]; the rest as of `flank_capacity`

    Source: T = F R and F = τ A; with s = 1/2 it is the usual formula for the teeth of splines at their pitch diameter,
    as in Machinery's Handbook, "Involute splines, stress formulas" (from memory).
    """
    return shear * count * share * thickness * length * radius / 1000.0


def slide_force(torque, radius, friction):
    """Return the force along the axis that slides a sleeve under torque [N].

    F = µ T / R_m

    torque    T [N·m]
    radius    R_m, mean radius of the flanks [mm]
    friction  µ [-]

    Source: Sadhu Singh, ex. 7.3, p. 204.
    """
    return 1000.0 * friction * torque / radius


def slide_torque(force, radius, friction):
    """Return the torque under which a force along the axis can just slide a sleeve [N·m].

    T = F R_m / µ, the inverse of `slide_force`; µ above 0, for without friction it slides under any torque
    """
    if not every(friction > 0):
        raise ValueError("Coefficient of friction: must be above 0; without any, a sleeve slides under every torque.")
    return force * radius / friction / 1000.0


def spline(count, major, minor, chamfer, length, share, pressure, **more):
    """Return mean radius, height of contact and capacity of the flanks, as a dict; arguments as of the formulas.

    What else is given by the name of its range is checked along.

    Errors: ValueError naming everything impossible at once: also splines without height, and ones so thick that they
    fill the circumference, z t ≥ 2πR_m.
    """
    apart = every(count * more.get("thickness", 0.0) < 2.0 * pi * mean_radius(major, minor))
    refuse(
        PERMITTED,
        [
            _flat((major - minor) / 2.0 - 2.0 * chamfer),
            "" if apart else "Thickness of a spline: the splines together fill the whole circumference.",
        ],
        count=count, major=major, minor=minor, chamfer=chamfer, length=length, share=share,
        pressure=pressure, **more,
    )  # fmt: skip
    height, radius = flank_height(major, minor, chamfer), mean_radius(major, minor)
    return {
        "mean_radius": radius,
        "height": height,
        "flank_capacity": flank_capacity(pressure, count, share, height, length, radius),
    }


def _flat(height):
    """Return in words that splines have no height to touch on, or "" where they have."""
    return (
        "" if every(height > 0) else "Splines: the outer diameter must exceed the inner one by more than four chamfers."
    )
