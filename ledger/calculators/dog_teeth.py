"""Dog teeth: the torque a ring of dogs holds, and whether its flanks throw it apart, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.capacities import CAUTIONS, STATIC, curves, judged, mean, number, stated
from ledger.calculators.contract import Calculator, Choice, Draws, Output, Whole
from ledger.mechanics import dog_teeth as mechanics

FACE, RADIAL = "face", "radial"
PERMITTED = mechanics.PERMITTED


def compute(
    form: str,
    count: Draws,
    share: Draws,
    radius: Draws,
    thickness: Draws,
    width: Draws,
    engagement: Draws,
    gap: Draws,
    shear: Draws,
    bearing: Draws,
    bending: Draws,
    slope: Draws,
    friction: Draws,
    hub_radius: Draws,
    torque: Draws,
) -> dict[str, Any]:
    """Return every declared output by name."""
    given = (count, radius, thickness, width, engagement, gap, share, shear, bearing, bending)
    found = mechanics.dog_teeth(*given, slope=slope, friction=friction, hub_radius=hub_radius, torque=torque)
    least = mechanics.least_slope(radius, friction, hub_radius)
    outputs = {
        **found,
        **judged(
            {
                "shearing off": found["shear_capacity"],
                "crushing of the flanks": found["bearing_capacity"],
                "bending off": found["bending_capacity"],
            }
        ),
        "least_slope": least,
        "throws_itself_out": slope > least,
        "curves": _curves(form, [mean(one) for one in given]),
    }
    if stated(torque, "Torque"):
        force = 1000.0 * torque / (found["carriers"] * radius)
        outputs |= {
            "dog_force": force,
            "shear_stress": shear * torque / found["shear_capacity"],
            "bearing_stress": bearing * torque / found["bearing_capacity"],
            "bending_stress": bending * torque / found["bending_capacity"],
            "release_force": mechanics.release_force(torque, radius, slope, friction, hub_radius),
        }
    return outputs


def _curves(form: str, given: list[float]) -> list[dict[str, Any]]:
    count, radius, thickness, width, engagement, gap, share, shear, bearing, bending = given
    whole = engagement if form == FACE else width
    depth: np.ndarray = np.linspace(0.05, 1.0, 60) * whole
    carriers = mechanics.carrying(count, share)
    if form == FACE:
        arm: Draws = gap + engagement - depth / 2.0
        sheared = np.full(60, mechanics.shear_capacity(shear, carriers, thickness, width, radius))
        crushed = mechanics.bearing_capacity(bearing, carriers, depth, width, radius)
        bent = mechanics.bending_capacity(bending, carriers, thickness, width, arm, radius)
    else:
        arm = gap + engagement / 2.0
        sheared = mechanics.shear_capacity(shear, carriers, thickness, depth, radius)
        crushed = mechanics.bearing_capacity(bearing, carriers, engagement, depth, radius)
        bent = mechanics.bending_capacity(bending, carriers, thickness, depth, arm, radius)
    return curves(depth, shearing_off=sheared, crushing=crushed, bending_off=bent)


DOG_TEETH = Calculator(
    name="dog-teeth",
    title="Dog teeth",
    purpose=(
        "How much torque a ring of dogs holds before they shear off, are crushed or bend off; and whether the slope of "
        "their flanks throws them out of mesh under load or holds them in."
    ),
    inputs=(
        Choice("form", "Dogs that stand on a face, or radially on a ring", (FACE, RADIAL), default=FACE),
        Whole("count", "Dogs on the ring", low=1, high=1000),
        number(PERMITTED, "share", "Share of the dogs that carries (one at the least)", default="0.4..1.0"),
        number(PERMITTED, "radius", "Mean radius of the contact"),
        number(PERMITTED, "thickness", "Thickness of a dog at its root, along the circumference"),
        number(PERMITTED, "width", "Width of the contact: radial of face dogs, axial of radial ones"),
        number(PERMITTED, "engagement", "Depth of the contact: axial of face dogs, radial of radial ones"),
        number(PERMITTED, "gap", "From the root to where the contact begins", default="0 mm"),
        number(PERMITTED, "shear", "Permitted shear stress, mean over the root"),
        number(PERMITTED, "bearing", "Permitted pressure, mean over the contact"),
        number(PERMITTED, "bending", "Permitted bending stress at the root"),
        number(
            PERMITTED,
            "slope",
            "Slope of the loaded flank against the axis (above 0 sheds, below 0 is undercut)",
            default="0 °",
        ),
        number(PERMITTED, "friction", "Coefficient of friction of flanks and hub", default="0.05..0.15"),
        number(
            PERMITTED,
            "hub_radius",
            "Mean radius of the splines on which the sleeve slides (0: it slides on none)",
            default="0 mm",
        ),
        number(PERMITTED, "torque", "Torque at which stresses and forces are wanted (0: none)", default="0 N·m"),
    ),
    outputs=(
        Output("capacity", "Torque that the dogs hold", "N·m"),
        Output("shear_capacity", "Torque at which they shear off", "N·m"),
        Output("bearing_capacity", "Torque at which their flanks are crushed", "N·m"),
        Output("bending_capacity", "Torque at which they bend off", "N·m"),
        Output("carriers", "Dogs that carry"),
        Output("weakest", "What comes first", form="text"),
        Output("ways", "Ways to give way", form="rows"),
        Output("least_slope", "Slope from which the dogs throw themselves apart", "°"),
        Output("throws_itself_out", "The loaded flank throws the dogs apart", form="truth"),
        Output("dog_force", "Force on each dog that carries", "N", optional=True),
        Output("shear_stress", "Mean shear stress", "MPa", optional=True),
        Output("bearing_stress", "Mean pressure on the flanks", "MPa", optional=True),
        Output("bending_stress", "Bending stress", "MPa", optional=True),
        Output("release_force", "Force that pulls them apart under that torque (below 0: thrown)", "N", optional=True),
        Output(
            "curves",
            "Capacity against axial engagement",
            form="curves",
            axes=("axial engagement [mm]", "torque [N·m]"),
        ),
    ),
    formula=(
        "*n* = max(1, share · count) dogs carry, each *F* = *T*/(*n*·*R*). With thickness *t*, width *w*, depth of "
        "contact *e* and gap *g* below it, the torque that each way permits is\n\n"
        "- shearing off: *T* = τ·*n*·*t*·*w*·*R*,\n"
        "- crushing: *T* = *p*·*n*·*e*·*w*·*R*,\n"
        "- bending off: *T* = σ·*n*·*w*·*t*²·*R*/(6·(*g* + *e*/2)),\n\n"
        "and the least of them is the capacity. To pull dogs apart under torque takes "
        "*F* = (*T*/*R*)·tan(ρ − β) + µ·*T*/*R_h*, with ρ = arctan µ, slope β and *R_h* of the splines the sleeve "
        "slides on. Where β > ρ + arctan(µ·*R*/*R_h*) they throw themselves apart, however great the torque."
    ),
    sources=(
        "Shear and bearing of a block, *F* = *T*/(*n*·*R*): as for keys in Wentzell, Machine Design, ex. 15.1, p. 332. "
        "No published worked example of dogs was found.",
        "Force to slide under torque, µ·*T*/*R*: Sadhu Singh, ex. 7.3, p. 204. With a slope: friction on an incline.",
        "That half to all of the dogs carry, and undercuts of 2° to 5°: common practice, no source.",
    ),
    assumptions=(
        *STATIC,
        "Dogs that carry share the torque evenly. What share carries is stated, since it hangs on how exactly they are "
        "spaced and on how far they yield; at the limit more of them come to bear.",
        "Shear is the mean over the root; of a rectangle the middle sees half as much again.",
        "Bending treats a dog as a beam. Dogs are stubby: expect shear and crushing to come first, and take bending as "
        "a lower bound of what a dog with a generous root fillet holds. No notch factor is applied.",
        "A sloping flank is pressed by *F*/cos β on an area as much greater, so its pressure is that of a square one.",
        "The capacity is that of dogs that stay in mesh. It stands although the flanks throw them apart: something "
        "else, such as a fork, a detent or a lock, must then hold the sleeve.",
        "Flanks so far undercut that friction locks them under torque, ρ − β ≥ 90°, are refused.",
        "Corners, chamfers and burrs take from the depth of contact: state what is left.",
        "Tilting of a sleeve that is loaded beside its hub, and the springing open of rings, are not computed.",
    ),
    cautions=CAUTIONS,
    compute=compute,
)
