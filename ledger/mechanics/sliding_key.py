"""Sliding keys: they stand out of slots of a hollow shaft into the bore of whichever gear they lie under.

Lengths in mm, stresses in MPa, torques in N·m, forces in N. Values are floats or arrays of draws of one shape. The
force on a key is taken at the shaft's surface, F = T/(n R), as textbooks do for keys.
"""

from __future__ import annotations

from ledger.mechanics.dog_teeth import bearing_capacity, bending_capacity, carrying, shear_capacity
from ledger.mechanics.maths import every, pi
from ledger.mechanics.refusing import refuse

PERMITTED = {
    "count": ("Keys", "", 1.0, 100.0),
    "diameter": ("Diameter of the shaft", "mm", 0.1, 100_000.0),
    "width": ("Width of a key", "mm", 0.01, 10_000.0),
    "length": ("Length in contact", "mm", 0.01, 100_000.0),
    "projection": ("Height of the contact with the gear", "mm", 0.01, 10_000.0),
    "seat": ("Depth of the contact with the slot", "mm", 0.0, 10_000.0),
    "gap": ("Slot to contact", "mm", 0.0, 10_000.0),
    "share": ("Share that carries", "", 0.01, 1.0),
    "shear": ("Permitted shear stress", "MPa", 0.001, 100_000.0),
    "bearing": ("Permitted pressure", "MPa", 0.001, 100_000.0),
    "bending": ("Permitted bending stress", "MPa", 0.001, 100_000.0),
    "friction": ("Coefficient of friction", "", 0.0, 1.0),
    "torque": ("Torque", "N·m", 0.0, 1e9),
}


def sliding_key(count, diameter, width, length, projection, gap, share, shear, bearing, bending, **more):
    """Return the number of keys that carry and what they hold, as a dict.

    With R = D/2 and n keys that carry, each of width b along the circumference and length L along the axis:

    shear    T = τ n b L R, where they leave the shaft
    gear     T = p n h L R, on the height h on which a gear touches them
    bending  T = σ n L b² R / (6 (g + h/2)), as cantilevers that begin g before the contact

    count       of keys;  share  of them that carries; one carries at the least
    diameter    D of the shaft [mm];  width  b [mm];  length  L [mm];  projection  h [mm];  gap  g [mm]
    shear, bearing, bending  permitted τ, p, σ [MPa]
    more        what else is given by the name of its range is checked along

    Errors: ValueError naming everything impossible at once: also keys as wide as the shaft, b ≥ D, or that fill its
    circumference, count · b ≥ πD.
    Source: Wentzell, Machine Design, ex. 15.1, p. 332 (shear and bearing of a key, where h is half its height).
    """
    refuse(
        PERMITTED,
        [
            "" if every(width < diameter) else "Width of a key: must be smaller than the diameter of the shaft.",
            "" if every(count * width < pi * diameter) else "Width of a key: the keys fill the whole circumference.",
        ],
        count=count, diameter=diameter, width=width, length=length, projection=projection, gap=gap,
        share=share, shear=shear, bearing=bearing, bending=bending, **more,
    )  # fmt: skip
    carriers, radius = carrying(count, share), diameter / 2.0
    return {
        "carriers": carriers,
        "shear_capacity": shear_capacity(shear, carriers, width, length, radius),
        "gear_capacity": bearing_capacity(bearing, carriers, projection, length, radius),
        "bending_capacity": bending_capacity(bending, carriers, width, length, gap + projection / 2.0, radius),
    }


def seat_capacity(bearing, carriers, seat, length, diameter):
    """Return the torque at which keys reach a mean pressure in their slots [N·m]: T = p n e L D/2, seated e deep."""
    return bearing_capacity(bearing, carriers, seat, length, diameter / 2.0)


def key_slide_force(torque, diameter, friction):
    """Return the force along the axis that draws keys from under a gear that carries torque [N].

    F = 2 µ T / R, R = D/2: a key rubs on the gear and, across from it, on its slot

    torque  T [N·m];  diameter  D of the shaft [mm];  friction  µ [-]

    Source: law of friction on two faces; derived, no published example.
    """
    return 4000.0 * friction * torque / diameter
