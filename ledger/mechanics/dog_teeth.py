"""Dogs, keys and other blocks that stand on a ring and carry torque by one flank: what they hold.

A block is loaded on part of one flank. It may shear off at its root, be crushed where it touches, or bend off as a
cantilever. Lengths in mm, stresses in MPa, torques in N·m. Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics.maths import atan, every, maximum, pi, tan
from ledger.mechanics.refusing import refuse
from ledger.mechanics.spline import slide_force

PERMITTED = {
    "count": ("Dogs", "", 1.0, 1000.0),
    "radius": ("Mean radius of the contact", "mm", 0.1, 100_000.0),
    "thickness": ("Thickness at the root", "mm", 0.01, 10_000.0),
    "width": ("Width of the contact", "mm", 0.01, 10_000.0),
    "engagement": ("Depth of the contact", "mm", 0.01, 10_000.0),
    "gap": ("Root to contact", "mm", 0.0, 10_000.0),
    "share": ("Share that carries", "", 0.01, 1.0),
    "shear": ("Permitted shear stress", "MPa", 0.001, 100_000.0),
    "bearing": ("Permitted pressure", "MPa", 0.001, 100_000.0),
    "bending": ("Permitted bending stress", "MPa", 0.001, 100_000.0),
    "slope": ("Slope of the flank", "°", -60.0, 60.0),
    "friction": ("Coefficient of friction", "", 0.0, 1.0),
    "hub_radius": ("Mean radius of the hub's splines", "mm", 0.0, 100_000.0),
    "torque": ("Torque", "N·m", 0.0, 1e9),
}


def carrying(count, share):
    """Return how many of several blocks carry [-]: max(1, n s), for one carries at the least."""
    return maximum(1.0, count * share)


def shear_capacity(stress, carriers, thickness, width, radius):
    """Return the torque at which blocks reach a mean shear stress at their roots [N·m].

    T = τ n t w R

    stress     τ, mean over the root [MPa]
    carriers   n, blocks that carry [-]
    thickness  t along the circumference [mm]
    width      w across the load [mm]
    radius     R at which they are loaded [mm]

    Source: T = F R and F = τ A, as for keys in Wentzell, Machine Design, ex. 15.1, p. 332.
    """
    return stress * carriers * thickness * width * radius / 1000.0


def bearing_capacity(stress, carriers, engagement, width, radius):
    """Return the torque at which blocks reach a mean pressure on their flanks [N·m].

    T = p n e w R

    stress      p, mean over the contact [MPa]
    engagement  e, depth of the contact [mm]; the rest as of `shear_capacity`

    Source: T = F R and F = p A, as for keys in Wentzell, Machine Design, ex. 15.1, p. 332.
    """
    return stress * carriers * engagement * width * radius / 1000.0


def bending_capacity(stress, carriers, thickness, width, arm, radius):
    """Return the torque at which blocks reach a bending stress at their roots [N·m].

    T = σ n w t² R / (6 a): a cantilever with a rectangular root

    stress  σ [MPa]
    arm     a, root to the middle of the contact [mm], above 0; the rest as of `shear_capacity`

    Source: bending of a beam, as in Boresi & Schmidt, Advanced Mechanics of Materials, ch. 1. Blocks as stubby as dogs
    bend less than a beam would, and shear more.
    """
    return stress * carriers * width * thickness * thickness / (6.0 * arm) * radius / 1000.0


def release_force(torque, radius, slope, friction, hub_radius=0.0):
    """Return the force along the axis that pulls dogs apart under torque [N]; below zero, they throw themselves apart.

    F = T/R tan(ρ - β) + µ T/R_h, with ρ = atan µ; the last term, of a sleeve on its hub, only where R_h is not 0

    torque      T [N·m]
    radius      R, mean radius of the dogs [mm]
    slope       β of the flank against the axis [°]: above 0 it sheds the other dog, below 0 (undercut) it pulls it in
    friction    µ, on the flanks and on the hub alike [-]
    hub_radius  R_h, mean radius of the splines on which the sleeve slides [mm]; 0 if it does not slide on any

    Errors: ValueError where ρ - β reaches 90°: the flanks lock, and no force pulls the dogs apart under torque.
    Source: friction on an incline. With β = 0 and no hub it is µT/R, Sadhu Singh, ex. 7.3, p. 204.
    """
    refuse(PERMITTED, [_locked(slope, friction)])
    flank = 1000.0 * torque / radius * tan(atan(friction) - slope * (pi / 180.0))
    return flank if _none(hub_radius) else flank + slide_force(torque, hub_radius, friction)


def least_slope(radius, friction, hub_radius=0.0):
    """Return the slope of flank from which dogs throw themselves apart under any torque [°].

    β = atan µ + atan(µ R / R_h): there `release_force` is zero. Arguments as there.
    """
    drag = 0.0 if _none(hub_radius) else atan(friction * radius / hub_radius)
    return (atan(friction) + drag) * (180.0 / pi)


def dog_teeth(count, radius, thickness, width, engagement, gap, share, shear, bearing, bending, **more):
    """Return the number of dogs that carry and the three capacities, as a dict.

    Arguments as of the single formulas; gap from the root to the near end of the contact, so that the arm of bending
    is the gap and half the depth of the contact. What else is given by the name of its range is checked along.

    Errors: ValueError naming everything impossible at once: also dogs that leave no space between them, n t ≥ 2πR, and
    flanks that lock, see `release_force`.
    """
    apart = every(count * thickness < 2.0 * pi * radius)
    refuse(
        PERMITTED,
        [
            "" if apart else "Thickness at the root: the dogs fill the whole ring, with no space between them.",
            _locked(more.get("slope", 0.0), more.get("friction", 0.0)),
        ],
        count=count, radius=radius, thickness=thickness, width=width, engagement=engagement, gap=gap,
        share=share, shear=shear, bearing=bearing, bending=bending, **more,
    )  # fmt: skip
    carriers = carrying(count, share)
    return {
        "carriers": carriers,
        "shear_capacity": shear_capacity(shear, carriers, thickness, width, radius),
        "bearing_capacity": bearing_capacity(bearing, carriers, engagement, width, radius),
        "bending_capacity": bending_capacity(bending, carriers, thickness, width, gap + engagement / 2.0, radius),
    }


def _locked(slope, friction):
    """Return in words that friction locks the flanks whatever pulls, or "" where it does not."""
    if every(atan(friction) - slope * (pi / 180.0) < pi / 2.0 - 1e-9):
        return ""
    return "Slope of the flank: so far undercut that friction locks the dogs under torque, whatever pulls."


def _none(hub_radius):
    """Return whether there is no hub; refuse draws that are in two minds about it."""
    with_hub = hub_radius > 0
    mixed = hasattr(with_hub, "any") and with_hub.any() and not with_hub.all()
    if mixed:
        raise ValueError("Mean radius of the hub's splines: above 0 in all draws, or 0 in all.")
    return not (with_hub.any() if hasattr(with_hub, "any") else with_hub)
