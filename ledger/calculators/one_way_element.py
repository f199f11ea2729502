"""One-way element: the torque that struts, pawls, rollers or sprags hold, and whether they hold at all, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.capacities import CAUTIONS, STATIC, curves, judged, mean, number, stated
from ledger.calculators.contract import Calculator, Choice, Draws, Output, Whole
from ledger.mechanics import one_way as mechanics
from ledger.mechanics.dog_teeth import carrying
from ledger.mechanics.hertz import joint_stiffness
from ledger.mechanics.refusing import refuse

STRUT, PAWL, ROLLER, SPRAG = "strut", "pawl", "roller", "sprag"
PRESSED = {ROLLER: "contact with the flat or ramp", SPRAG: "contact with the inner race"}
PERMITTED = mechanics.PERMITTED


def compute(form: str, torque: Draws, **given: Draws) -> dict[str, Any]:
    """Return every declared output by name; `given` are the other inputs by name."""
    crowding = mechanics.crowding(given["count"], given["rounding"], given["radius"]) if form == ROLLER else ""
    refuse(PERMITTED, [crowding], **given)
    carriers = carrying(given["count"], given["share"])
    wedged = form in (ROLLER, SPRAG)
    ways = _wedged(form, carriers, given) if wedged else _pushing(form, carriers, given)
    if wedged:
        ways |= _slipping(form, given, list(ways.values()))
    outputs: dict[str, Any] = {"carriers": carriers, **judged(ways)}
    for name, output in OUTPUT_OF.items():
        if name in ways:
            outputs[output] = ways[name]
    outputs["curves"] = _curves(form, given, wedged)
    if wedged:
        angle = _wedge(form, given)
        outputs |= {"wedge_angle": angle, "holds": mechanics.wedge_holds(angle, given["friction"])}
        outputs["friction_needed"] = mechanics.friction_needed(angle / 2.0)
    else:
        outputs["holds"] = mechanics.nose_holds(given["angle"], given["friction"])
        outputs["friction_needed"] = mechanics.friction_needed(given["angle"])
    if stated(torque, "Torque"):
        outputs["element_force"] = (
            mechanics.wedge_normal(torque, carriers, angle, given["radius"])
            if wedged
            else 1000.0 * torque / (carriers * given["radius"])
        )
    return outputs


def _slipping(form: str, given: dict[str, Draws], others: list[Draws]) -> dict[str, Draws]:
    """Return the capacity at which wedged elements slip out, or nothing where they hold in all draws."""
    wedge = _wedge(form, given)
    if np.all(mechanics.wedge_holds(wedge, given["friction"])):
        return {}
    return {"slipping out": mechanics.slip_capacity(wedge, given["friction"], others)}


def _pushing(form: str, carriers: Draws, given: dict[str, Draws]) -> dict[str, Draws]:
    """Return the capacities of struts or pawls by the way they give way."""
    width, radius, angle = given["width"], given["radius"], given["angle"]
    ways: dict[str, Draws] = {}
    if stated(given["nose"], "Height of the nose"):
        ways["crushing of the nose"] = mechanics.nose_capacity(
            given["crushing"], carriers, given["nose"], width, radius
        )
    if stated(given["rounding"], "Radius of the rounding"):
        ways["contact of the rounded nose"] = mechanics.rounded_capacity(
            given["pressure"], carriers, given["rounding"], width, _stiffness(given), radius
        )
    if not ways:
        raise ValueError(f"A {form} needs the height of its nose in contact, or the radius to which it is rounded.")
    if form == PAWL:
        if not stated(given["pivot"], "Diameter of the pivot"):
            raise ValueError("A pawl needs the diameter of its pivot; without one, it is a strut.")
        ways["crushing at the pivot"] = mechanics.along_capacity(
            given["crushing"], carriers, given["pivot"] * width, angle, radius
        )
    long = stated(given["body_length"], "Length of the element")
    if long != stated(given["body_thickness"], "Thickness of the element"):
        raise ValueError("Giving way sideways needs both the length and the thickness of the element.")
    if long:
        stress = mechanics.column_stress(
            given["yielding"], given["modulus"], given["body_length"], given["body_thickness"]
        )
        ways["giving way sideways"] = mechanics.along_capacity(
            stress, carriers, given["body_thickness"] * width, angle, radius
        )
    return ways


def _wedged(form: str, carriers: Draws, given: dict[str, Draws]) -> dict[str, Draws]:
    """Return the capacities of rollers or sprags by the way they give way."""
    if not stated(given["rounding"], "Radius of the rounding"):
        raise ValueError(f"A {form} needs its radius where it touches.")
    radius, width, wedge = given["radius"], given["width"], _wedge(form, given)
    bulge = radius if form == SPRAG else given["ramp"]
    contact = mechanics.sharper_radius(given["rounding"], bulge)
    ways = {
        PRESSED[form]: mechanics.wedge_capacity(
            given["pressure"], carriers, contact, width, _stiffness(given), wedge, radius
        )
    }
    if stated(given["rim"], "Thickness of the outer race"):
        ways["stretching of the outer race"] = mechanics.burst_capacity(
            given["hoop"], given["rim"], width, wedge, radius
        )
    return ways


def _wedge(form: str, given: dict[str, Draws]) -> Draws:
    angle, flat = (stated(given["wedge"], "Wedge angle"), stated(given["flat"], "Flat from the middle"))
    if angle and flat:
        raise ValueError("State the wedge angle, or where the flat lies; not both.")
    if angle:
        return given["wedge"]
    if not flat or form == SPRAG:
        raise ValueError(f"A {form} needs its wedge angle{'' if form == SPRAG else ', or where the flat lies'}.")
    found: Draws = mechanics.wedge_angle(given["flat"], given["rounding"], given["radius"])
    if not np.all(np.greater(found, 0)):
        raise ValueError("The roller just fills the space between flat and race: it cannot wedge.")
    return found


def _stiffness(given: dict[str, Draws]) -> Draws:
    found: Draws = joint_stiffness(given["modulus"], given["poisson"], given["modulus"], given["poisson"])
    return found


def _curves(form: str, given: dict[str, Draws], wedged: bool) -> list[dict[str, Any]]:
    middle: dict[str, Draws] = {name: mean(value) for name, value in given.items()}
    carriers = np.linspace(1.0, max(2.0, mean(given["count"])), 60)
    ways = _wedged(form, carriers, middle) if wedged else _pushing(form, carriers, middle)
    if wedged:
        ways |= _slipping(form, middle, list(ways.values()))
    return curves(carriers, **{name: np.asarray(value) for name, value in ways.items()})


OUTPUT_OF = {
    "crushing of the nose": "nose_capacity",
    "contact of the rounded nose": "contact_capacity",
    "contact with the flat or ramp": "contact_capacity",
    "contact with the inner race": "contact_capacity",
    "crushing at the pivot": "pivot_capacity",
    "giving way sideways": "column_capacity",
    "stretching of the outer race": "race_capacity",
}
ONE_WAY_ELEMENT = Calculator(
    name="one-way-element",
    title="One-way element",
    purpose=(
        "How much torque the struts, pawls, rollers or sprags of a one-way element hold before they are crushed, give "
        "way or stretch their race; and whether their angle lets them hold at all instead of slipping out."
    ),
    inputs=(
        Choice("form", "What it holds with", (STRUT, PAWL, ROLLER, SPRAG)),
        Whole("count", "Elements on the ring", low=1, high=1000),
        number(PERMITTED, "share", "Share that carries (one at the least)", default="0.4..1.0"),
        number(
            PERMITTED,
            "radius",
            "Radius of the contact: of the nose, of the outer race of rollers, of the inner race of sprags",
        ),
        number(PERMITTED, "width", "Width of an element along the axis"),
        number(
            PERMITTED,
            "angle",
            "Strut, pawl: angle between its line of force and the tangent (above 0 pushes it out)",
            default="0 °",
        ),
        number(PERMITTED, "nose", "Strut, pawl: height of the nose in contact (0: left out)", default="0 mm"),
        number(PERMITTED, "crushing", "Strut, pawl: permitted pressure, mean", default="1500 MPa"),
        number(PERMITTED, "pivot", "Pawl: diameter of the pivot", default="0 mm"),
        number(PERMITTED, "body_length", "Strut, pawl: length between its ends (0: left out)", default="0 mm"),
        number(PERMITTED, "body_thickness", "Strut, pawl: thickness of the body (0: left out)", default="0 mm"),
        number(PERMITTED, "yielding", "Strut, pawl: yield strength of the body", default="1200 MPa"),
        number(PERMITTED, "rounding", "Radius of roller, sprag or nose where it touches (0: flat)", default="0 mm"),
        number(PERMITTED, "pressure", "Permitted Hertz pressure", default="2500..4000 MPa"),
        number(PERMITTED, "wedge", "Roller, sprag: angle between its tangents (0: from the flat)", default="0 °"),
        number(PERMITTED, "flat", "Roller: flat from the shaft's middle (0: angle stated)", default="0 mm"),
        number(PERMITTED, "ramp", "Roller: radius of a bulging ramp (0: flat)", default="0 mm"),
        number(PERMITTED, "rim", "Roller, sprag: thickness of the outer race (0: left out)", default="0 mm"),
        number(PERMITTED, "hoop", "Roller, sprag: permitted hoop stress of the outer race", default="400..700 MPa"),
        number(PERMITTED, "modulus", "Modulus of elasticity", default="206000 MPa"),
        number(PERMITTED, "poisson", "Poisson's ratio", default="0.29"),
        number(PERMITTED, "friction", "Coefficient of friction", default="0.05..0.10"),
        number({"torque": ("Torque", "N·m", 0.0, 1e9)}, "torque", "Torque at which forces are wanted", default="0 N·m"),
    ),
    outputs=(
        Output("capacity", "Torque that the element holds (next to none where a wedge slips)", "N·m"),
        Output("nose_capacity", "Torque at which noses are crushed", "N·m", optional=True),
        Output("contact_capacity", "Torque at which the permitted Hertz pressure is reached", "N·m", optional=True),
        Output("pivot_capacity", "Torque at which pivots are crushed", "N·m", optional=True),
        Output("column_capacity", "Torque at which bodies give way sideways", "N·m", optional=True),
        Output("race_capacity", "Torque at which the outer race reaches its hoop stress", "N·m", optional=True),
        Output("carriers", "Elements that carry"),
        Output("holds", "Its angle lets it hold by friction", form="truth"),
        Output("friction_needed", "Coefficient of friction it needs to hold"),
        Output("wedge_angle", "Wedge angle", "°", optional=True),
        Output("element_force", "Force on each: pushing a strut's notch, normal on a roller", "N", optional=True),
        Output("weakest", "What comes first", form="text"),
        Output("ways", "Ways to give way", form="rows"),
        Output(
            "curves",
            "Capacity against how many elements carry",
            form="curves",
            axes=("elements that carry", "torque [N·m]"),
        ),
    ),
    formula=(
        "*n* = max(1, share · count) elements carry at the radius *R*.\n\n"
        "**Strut, pawl**, of width *w*, line of force φ from the tangent: nose *T* = *p*·*n*·*h*·*w*·*R*; rounded "
        "nose *T* = *n*·*F*·*R* with *F* = π·*w*·*r*·*p0*²/*E\\**; pivot *T* = *p*·*n*·*d*·*w*·cos φ·*R*; sideways "
        "*T* = σ·*n*·*t*·*w*·cos φ·*R*, σ after Johnson and Euler. Without help they stay in a radial notch where "
        "tan φ ≤ µ.\n\n"
        "**Roller, sprag**, wedged at the angle ε: *T* = *n*·*N*·tan(ε/2)·*R* with *N* = π·*w*·*r'*·*p0*²/*E\\**, "
        "1/*r'* = 1/*r* + 1/*r_c*; the outer race of thickness *t* holds *T* = 2π·*t*·*w*·σ·tan(ε/2)·*R*. It holds "
        "where tan(ε/2) ≤ µ; where not, it slips out and holds next to nothing. On a flat at the distance "
        "*h*, cos ε = (*h* + *r*)/(*R* − *r*)."
    ),
    sources=(
        "Contact of cylinders: Johnson, Contact Mechanics (1985), §4.2; Boresi & Schmidt, Advanced Mechanics of "
        "Materials, ex. 17.3, p. 621.",
        "Equilibrium at two contacts: Orthwein, Clutches and Brakes, on one-way clutches (an abstract was seen). No "
        "published worked example of a whole one-way element was found.",
        "Columns: Shigley's Mechanical Engineering Design, 10th ed., §4-12, §4-13.",
        "Wedge angles of 6° to 9°, Hertz pressures up to 4,000 MPa at the highest torque: common practice, no source.",
    ),
    assumptions=(
        *STATIC,
        "Elements that carry share the torque evenly. Struts and pawls rarely do: of several, often two bear, and only "
        "the yielding of the parts brings in more; state the share as a range.",
        "A notch's face is taken to be radial. Faces that lean inward draw a nose in and need no friction.",
        "Rollers and sprags that slip are counted as holding 0.001 N·m, so that what stands on the capacity finds no "
        "room in it. In the draws where they hold, the row of slipping out is given twice the greatest other capacity, "
        "which stands for no bound. Struts and pawls are not counted so: springs and notches may hold them.",
        "Races are taken to be stiff; in truth they widen, rollers climb and their angle grows, or shrinks on a curved "
        "ramp. The hoop stress is that of an even pressure, without the bending between elements.",
        "Sprags: the wedge angle is twice the angle between the line of force and the normal of the inner race, which "
        "is the slipperier one.",
        "Wear, centrifugal force, drag while overrunning, oil films that hinder gripping, and the blow of engagement "
        "are not computed.",
    ),
    cautions=(
        *CAUTIONS,
        "A one-way element that slips or rolls over lets go all at once; a box of them gives no braking on a descent.",
    ),
    compute=compute,
)
