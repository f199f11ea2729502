"""Spring detents: what a ball or plunger pressed into a notch holds, by statics.

Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics.maths import atan, every, pi, tan
from ledger.mechanics.refusing import refuse

PERMITTED = {
    "spring": ("Force of the detent's spring", "N", 0.0, 100_000.0),
    "ramp": ("Flank of the detent's notch", "°", 1.0, 85.0),
    "friction": ("Friction in the detent", "", 0.0, 1.0),
}


def detent_force(spring, ramp, friction=0.0):
    """Return the force along the rail that lifts the plunger out of its notch [N].

    F = S tan(alpha + rho), rho = atan(mu)

    spring    S, pressing the plunger square to the rail [N], 0 to 100,000
    ramp      alpha, flank of the notch against the rail's axis [°], 1 to 85
    friction  mu between plunger and flank [-], 0 to 1

    Errors: ValueError for values outside, and where alpha + rho reaches 90°: the plunger jams.
    Source: statics of a wedge; no handbook gives a rule for detents.
    """
    angle = ramp * (pi / 180.0) + atan(friction)
    jams = not every(angle < pi / 2.0 - 1e-9)
    fault = "The detent's flank is so steep that friction holds the plunger in it whatever pushes." if jams else ""
    refuse(PERMITTED, [fault], spring=spring, ramp=ramp, friction=friction)
    return spring * tan(angle)
