"""Pressure along the path of contact of a spur pair, for drawing. Plain floats only; lengths in mm, stresses in MPa."""

from __future__ import annotations

from ledger.mechanics.gear_geometry import path_of_contact
from ledger.mechanics.hertz import joint_radius, line_pressure
from ledger.mechanics.maths import sin, tan

POINTS = 120
SHARES = ("one pair carries", "two pairs carry", "three pairs carry")


def pressure_along(tip_1, tip_2, base_1, base_2, distance, working, pitch, load, stiffness, start_1=0.0, start_2=0.0):
    """Return points of the pressure over the place on the line of action: a list of `series`, `x` and `y`.

    At x from the pitch point, wheel 1 driving, flanks are curved by r_w1 sin α_w + x and r_w2 sin α_w − x; a load
    shared by n pairs presses with w/n. Where a base circle is touched the pressure has no bound, and no point is given.

    load       w, force square to the flank over width [N/mm]
    stiffness  E* [MPa]
    start_1, start_2  where the flanks begin [mm], as of `path_of_contact`
    """
    approach, recess = path_of_contact(tip_1, tip_2, base_1, base_2, distance, working, start_1, start_2)
    whole, foot = distance * sin(working), base_1 / 2.0 * tan(working)
    points = []
    for place in range(POINTS + 1):
        x = -approach + (approach + recess) * place / POINTS
        before, after = int((x + approach) / pitch + 1e-9), int((recess - x) / pitch + 1e-9)
        pairs = min(before + after + 1, len(SHARES))
        if min(foot + x, whole - foot - x) < 0.01 * whole:
            continue
        pressure = line_pressure(load / pairs, joint_radius(foot + x, whole - foot - x), stiffness)
        side = "" if pairs == 1 else ", before the pitch point" if x < 0 else ", after it"
        points.append({"series": SHARES[pairs - 1] + side, "x": float(x), "y": float(pressure)})
    return points
