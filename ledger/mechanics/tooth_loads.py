"""Forces between the teeth of a pair.

Values are floats or arrays of draws of one shape; angles in radians.
"""

from __future__ import annotations

from ledger.mechanics.maths import cos, sin, tan


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
