"""Forces between the teeth of a pair, and the older reckoning of a tooth's bending strength after Lewis.

Values are floats or arrays of draws of one shape; angles in radians.
"""

from __future__ import annotations

from ledger.mechanics.maths import atan, cos, pi, sin, tan
from ledger.mechanics.tooth_root import fillet_point, load_arm, rolled_angle, tangent_turn

PARABOLA_STEPS = 30


def tangential_force(torque, diameter):
    """Return the force along the reference circle [N]: F_t = 2000 T / d, T [N·m], d [mm]."""
    return 2000.0 * torque / diameter


def separating_force(force, working, transverse):
    """Return the force that pushes the shafts apart [N]: F_r = F_t sin α_wt / cos α_t.

    force                F_t at the reference circle [N]
    working, transverse  α_wt and α_t [rad]; alike where wheels roll on their reference circles
    """
    return force * sin(working) / cos(transverse)


def axial_force(force, helix):
    """Return the force along the shaft [N]: F_a = F_t tan β, zero for spur gears."""
    return force * tan(helix)


def normal_force(force, pressure, helix=0.0):
    """Return the force square to the flank [N]: F_n = F_t / (cos α_n cos β)."""
    return force / (cos(pressure) * cos(helix))


def lewis_load(stress, width, module, factor):
    """Return the tangential load at which a tooth bends to a stress after Lewis [N]: F = σ b m Y."""
    return stress * width * module * factor


def lewis_factor(teeth, shift=0.0, dedendum=1.25, radius=0.38, pressure=pi / 9.0, addendum=1.0):
    """Return the form factor of Lewis for a load at the tip [-]: Y = s² / (6 h), in σ = F_t / (b m Y).

    The section is where the parabola of even strength, with its top where the load's line cuts the tooth's middle,
    touches the generated fillet: the tangent there stands at arctan(s / (4 h)). Only the tangential part of the load
    counts.

    Source: Lewis (1892), as in Shigley's Mechanical Engineering Design, 14-1.
    """
    tip = teeth + 2.0 * (addendum + shift)
    top = load_arm(teeth, shift, pressure, tip, 0.0)[0]
    turn = tangent_turn(teeth, shift, dedendum, radius, pressure)
    for _ in range(PARABOLA_STEPS):
        half, height = fillet_point(teeth, shift, dedendum, radius, pressure, turn)
        wanted = atan(half / (2.0 * (top - height)))
        turn = pi / 2.0 - wanted - rolled_angle(teeth, shift, dedendum, radius, pressure, turn)
    half, height = fillet_point(teeth, shift, dedendum, radius, pressure, turn)
    return 2.0 * half * half / (3.0 * (top - height))
