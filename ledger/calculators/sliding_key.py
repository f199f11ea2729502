"""Sliding key: the torque that keys in the bore of gears hold, and the force that moves them, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.capacities import CAUTIONS, STATIC, curves, judged, mean, number, stated
from ledger.calculators.contract import Calculator, Draws, Output, Whole
from ledger.mechanics import sliding_key as mechanics

PERMITTED = mechanics.PERMITTED


def compute(
    count: Draws,
    share: Draws,
    diameter: Draws,
    width: Draws,
    length: Draws,
    projection: Draws,
    seat: Draws,
    gap: Draws,
    shear: Draws,
    bearing: Draws,
    bending: Draws,
    friction: Draws,
    torque: Draws,
) -> dict[str, Any]:
    """Return every declared output by name."""
    given = (count, diameter, width, length, projection, gap, share, shear, bearing, bending)
    found = mechanics.sliding_key(*given, seat=seat, friction=friction, torque=torque)
    ways = {
        "shearing off": found["shear_capacity"],
        "crushing in the gear": found["gear_capacity"],
        "bending off": found["bending_capacity"],
    }
    outputs: dict[str, Any] = dict(found)
    if stated(seat, "Depth of the contact with the slot"):
        ways["crushing in the slot"] = outputs["slot_capacity"] = mechanics.seat_capacity(
            bearing, found["carriers"], seat, length, diameter
        )
    outputs |= judged(ways)
    if stated(torque, "Torque"):
        outputs["key_force"] = 2000.0 * torque / (found["carriers"] * diameter)
        outputs["slide_force"] = mechanics.key_slide_force(torque, diameter, friction)
    outputs["curves"] = _curves([mean(one) for one in given])
    return outputs


def _curves(given: list[float]) -> list[dict[str, Any]]:
    count, diameter, width, length, projection, gap, _, shear, bearing, bending = given
    carriers = np.linspace(1.0, count, 60)
    found = mechanics.sliding_key(
        count, diameter, width, length, projection, gap, carriers / count, shear, bearing, bending
    )
    return curves(
        carriers,
        shearing_off=found["shear_capacity"],
        crushing_in_the_gear=found["gear_capacity"],
        bending_off=found["bending_capacity"],
    )


SLIDING_KEY = Calculator(
    name="sliding-key",
    title="Sliding key",
    purpose=(
        "How much torque keys hold that slide in slots of a shaft and lock one gear at a time through its bore; and "
        "what force draws them from under a gear that carries torque."
    ),
    inputs=(
        Whole("count", "Keys that lock one gear", low=1, high=100),
        number(PERMITTED, "share", "Share of the keys that carries (one at the least)", default="0.4..1.0"),
        number(PERMITTED, "diameter", "Diameter of the shaft, which is the bore of the gears"),
        number(PERMITTED, "width", "Width of a key along the circumference"),
        number(PERMITTED, "length", "Length of the contact along the axis"),
        number(PERMITTED, "projection", "Height on which the gear touches a key"),
        number(PERMITTED, "seat", "Depth on which the slot touches a key (0: left out)", default="0 mm"),
        number(PERMITTED, "gap", "From the slot's edge to where the contact begins", default="0 mm"),
        number(PERMITTED, "shear", "Permitted shear stress, mean"),
        number(PERMITTED, "bearing", "Permitted pressure, mean"),
        number(PERMITTED, "bending", "Permitted bending stress"),
        number(PERMITTED, "friction", "Coefficient of friction", default="0.05..0.15"),
        number(PERMITTED, "torque", "Torque at which forces are wanted (0: none)", default="0 N·m"),
    ),
    outputs=(
        Output("capacity", "Torque that the keys hold", "N·m"),
        Output("shear_capacity", "Torque at which they shear off", "N·m"),
        Output("gear_capacity", "Torque at which they are crushed in the gear", "N·m"),
        Output("bending_capacity", "Torque at which they bend off", "N·m"),
        Output("slot_capacity", "Torque at which they are crushed in the slot", "N·m", optional=True),
        Output("carriers", "Keys that carry"),
        Output("weakest", "What comes first", form="text"),
        Output("ways", "Ways to give way", form="rows"),
        Output("key_force", "Force on each key that carries, at the stated torque", "N", optional=True),
        Output("slide_force", "Force that draws the keys out under the stated torque", "N", optional=True),
        Output(
            "curves",
            "Capacity against how many keys carry",
            form="curves",
            axes=("keys that carry", "torque [N·m]"),
        ),
    ),
    formula=(
        "*n* = max(1, share · count) keys carry, each *F* = *T*/(*n*·*R*) at the shaft's surface, *R* = *D*/2. With "
        "width *b*, length *L*, height *h* in the gear and gap *g*:\n\n"
        "- shearing off: *T* = τ·*n*·*b*·*L*·*R*,\n"
        "- crushing: *T* = *p*·*n*·*h*·*L*·*R*, in the slot with its own depth for *h*,\n"
        "- bending off: *T* = σ·*n*·*L*·*b*²·*R*/(6·(*g* + *h*/2)).\n\n"
        "To draw the keys out under torque takes *F* = 2·µ·*T*/*R*: each rubs on the gear and on its slot."
    ),
    sources=(
        "Shear and bearing of a key: Wentzell, Machine Design, ex. 15.1, p. 332, where *h* is half the key's height.",
        "Force to draw the keys: law of friction on two faces; derived, no published example.",
    ),
    assumptions=(
        *STATIC,
        "Keys that carry share the torque evenly. With more than two it is never certain how many bear: state the "
        "share as a range.",
        "The force is taken at the shaft's surface, as textbooks do; in truth it acts half a contact height further "
        "out in the gear, which is as much on the safe side, and further in in the slot, which is not.",
        "Bending treats a key as a beam that leaves its slot, without a notch factor; stubby keys shear first.",
        "The shaft is weakened by slots and by the bore in which the keys are moved. It is not judged here; "
        "shaft-section judges a bore, and no formula here judges slots.",
        "Balls and pins in a bore touch at points and lines, not on faces: these formulas do not hold for them.",
    ),
    cautions=CAUTIONS,
    compute=compute,
)
