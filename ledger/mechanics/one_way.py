"""One-way elements: struts and pawls that push against a notch, rollers and sprags that wedge between two races.

Lengths in mm, angles in °, stresses in MPa, torques in N·m, forces in N. Values are floats or arrays of draws of one
shape.
"""

from __future__ import annotations

from ledger.mechanics.maths import acos, cos, every, maximum, pi, sin, tan, where

PERMITTED = {
    "count": ("Elements", "", 1.0, 1000.0),
    "share": ("Share that carries", "", 0.01, 1.0),
    "radius": ("Radius of the contact", "mm", 0.1, 100_000.0),
    "width": ("Width along the axis", "mm", 0.01, 10_000.0),
    "angle": ("Angle of the force against the tangent", "°", -60.0, 60.0),
    "nose": ("Height of the nose in contact", "mm", 0.0, 10_000.0),
    "crushing": ("Permitted pressure of the nose", "MPa", 0.001, 100_000.0),
    "rounding": ("Radius of the rounding", "mm", 0.0, 100_000.0),
    "pressure": ("Permitted Hertz pressure", "MPa", 0.001, 100_000.0),
    "pivot": ("Diameter of the pivot", "mm", 0.0, 10_000.0),
    "body_length": ("Length of the element", "mm", 0.0, 100_000.0),
    "body_thickness": ("Thickness of the element", "mm", 0.0, 10_000.0),
    "yielding": ("Yield strength of the element", "MPa", 1.0, 100_000.0),
    "wedge": ("Wedge angle", "°", 0.0, 60.0),
    "flat": ("Flat from the middle of the shaft", "mm", 0.0, 100_000.0),
    "ramp": ("Radius of the ramp", "mm", 0.0, 100_000.0),
    "rim": ("Thickness of the outer race", "mm", 0.0, 10_000.0),
    "hoop": ("Permitted hoop stress", "MPa", 0.001, 100_000.0),
    "modulus": ("Modulus of elasticity", "MPa", 1.0, 10_000_000.0),
    "poisson": ("Poisson's ratio", "", 0.0, 0.5),
    "friction": ("Coefficient of friction", "", 0.0, 1.0),
}
DEGREE = pi / 180.0
SLIPPED = 0.001


def line_force(pressure, width, radius, stiffness):
    """Return the force at which the greatest pressure of a line contact reaches a limit [N].

    F = π w R p0² / E*, the inverse of `hertz.line_pressure` with F/w for its load

    pressure   p0 [MPa], 0 or more;  width  w along the line [mm], above 0
    radius     R of the contact, see `hertz.joint_radius` [mm], above 0
    stiffness  E*, see `hertz.joint_stiffness` [MPa], above 0

    Source: Johnson, Contact Mechanics (1985), eq. 4.45.
    """
    if not every((pressure >= 0) & (width > 0) & (radius > 0) & (stiffness > 0)):
        raise ValueError("A line contact needs a width, a radius and a stiffness above zero.")
    return pi * width * radius * pressure * pressure / stiffness


def nose_capacity(crushing, carriers, nose, width, radius):
    """Return the torque at which flat noses reach a mean pressure on a radial notch [N·m].

    T = p n h w R

    crushing  p [MPa];  carriers  n [-];  nose  h, height in contact [mm];  width  w [mm]
    radius    R of the contact [mm]

    Source: T = F R and F = p A, as for keys in Wentzell, Machine Design, ex. 15.1, p. 332.
    """
    return crushing * carriers * nose * width * radius / 1000.0


def rounded_capacity(pressure, carriers, rounding, width, stiffness, radius):
    """Return the torque at which rounded noses reach a Hertz pressure on a flat radial notch [N·m].

    T = n F R with the force F of `line_force`

    pressure  p0 [MPa];  rounding  radius of the nose [mm];  stiffness  E* [MPa]; the rest as of `nose_capacity`
    """
    return carriers * line_force(pressure, width, rounding, stiffness) * radius / 1000.0


def along_capacity(stress, carriers, area, angle, radius):
    """Return the torque at which a stress is reached on an area across the force along a strut [N·m].

    T = n σ A cos φ R: the force along the strut is F/cos φ, where F turns the ring

    stress  σ [MPa];  area  A [mm²];  angle  φ of the force against the tangent [°]; the rest as of `nose_capacity`

    Source: equilibrium.
    """
    return stress * carriers * area * cos(angle * DEGREE) * radius / 1000.0


def column_stress(yielding, modulus, length, thickness):
    """Return the stress at which a strut of rectangular section, hinged at both ends, gives way [MPa].

    λ = L √12 / t; σ = S - (S λ / 2π)²/E while λ² <= 2π²E/S (Johnson's parabola), else π²E/λ² (Euler)

    yielding  S [MPa];  modulus  E [MPa];  length  L [mm], 0 or more;  thickness  t [mm], above 0

    Source: Shigley's Mechanical Engineering Design, 10th ed., §4-12 and §4-13, eq. 4-43 to 4-48.
    """
    if not every(thickness > 0):
        raise ValueError("Thickness of the element: must be above 0.")
    square = 12.0 * length * length / (thickness * thickness)
    short = square <= 2.0 * pi * pi * modulus / yielding
    johnson = yielding - yielding * yielding * square / (4.0 * pi * pi * modulus)
    return where(short, johnson, pi * pi * modulus / where(short, 1.0 + square, square))


def wedge_angle(flat, roller, race):
    """Return the angle between the tangents at the two contacts of a roller on a flat inside a race [°].

    cos ε = (h + r)/(R - r)

    flat    h, distance of the flat from the middle of the shaft [mm]
    roller  r, radius of the roller [mm]
    race    R, inner radius of the outer race [mm]

    Errors: ValueError where the roller does not fit between flat and race.
    Source: geometry: the roller's middle lies h + r above the shaft's and R - r from it.
    """
    ratio = (flat + roller) / (race - roller)
    if not every((race > roller) & (ratio > 0) & (ratio <= 1)):
        raise ValueError("The roller does not fit between flat and race: h + 2 r must not exceed R.")
    return acos(ratio) / DEGREE


def wedge_capacity(pressure, carriers, contact, width, stiffness, wedge, radius):
    """Return the torque at which wedged rollers or sprags reach a Hertz pressure [N·m].

    T = n N tan(ε/2) R with the force N of `line_force`

    contact  radius of the sharper contact, see `sharper_radius` [mm]
    wedge    ε: each contact force leans ε/2 from the normal of its race [°], above 0
    radius   R of the race that the torque is taken at [mm]; the rest as of `rounded_capacity`

    Source: equilibrium of a body held at two contacts: both forces lie on the line through them. Orthwein, Clutches and
    Brakes, ch. on one-way clutches, writes the same for sprags (seen in an abstract).
    """
    return carriers * line_force(pressure, width, contact, stiffness) * tan(wedge * DEGREE / 2.0) * radius / 1000.0


def burst_capacity(hoop, rim, width, wedge, radius):
    """Return the torque at which wedged elements stretch the outer race to a hoop stress [N·m].

    T = 2π t w σ tan(ε/2) R: n forces N, spread evenly, are a pressure n N/(2π R w), and σ = n N/(2π w t)

    hoop  σ [MPa];  rim  t, thickness of the race [mm]; the rest as of `wedge_capacity`

    Source: thin ring under pressure, any text; a race loaded at points bends besides.
    """
    return 2.0 * pi * rim * width * hoop * tan(wedge * DEGREE / 2.0) * radius / 1000.0


def wedge_holds(wedge, friction):
    """Return whether a wedged element holds instead of slipping: tan(ε/2) <= µ at the slipperier contact."""
    return tan(wedge * DEGREE / 2.0) <= friction


def slip_capacity(wedge, friction, others):
    """Return the torque at which wedged elements slip out [N·m]: next to none, or no bound where they hold.

    A wedge that holds does so under any torque, for its friction grows along; then twice the greatest of the other
    capacities stands for no bound, so that this way never comes first. One that slips is given 0.001 N·m.

    wedge, friction  see `wedge_holds`;  others  capacities of the other ways [N·m], one at least
    """
    most = others[0]
    for one in others[1:]:
        most = maximum(most, one)
    return where(wedge_holds(wedge, friction), 2.0 * most, SLIPPED)


def crowding(count, roller, race):
    """Return in words that so many rollers do not go round within a race, or "": r ≤ (R - r) sin(π/n), where n > 1.

    count  n [-];  roller  r [mm];  race  R, inner radius of the outer race [mm]
    """
    if not every(roller < race):
        return "Radius of the roller: must be smaller than that of its race."
    apart = every((count < 2.0) | (roller <= (race - roller) * sin(pi / maximum(count, 2.0))))
    return "" if apart else "Elements: so many rollers do not go round within the race."


def nose_holds(angle, friction):
    """Return whether a nose stays in a radial notch without help: tan φ <= µ; φ above 0 pushes it out, below 0 in."""
    return tan(angle * DEGREE) <= friction


def sharper_radius(rounding, bulge):
    """Return the radius of the sharper contact of a wedged element [mm]: 1/R = 1/r + 1/r_c.

    rounding  r of the element there [mm], above 0
    bulge     r_c of what it lies on: of a bulging ramp, of the inner race under a sprag [mm]; 0 for a flat ramp

    Against the hollow outer race, 1/R = 1/r - 1/R_o, the contact is always milder.
    """
    if not every((rounding > 0) & (bulge >= 0)):
        raise ValueError("A wedged element must have a radius above 0.")
    curved = bulge > 0
    return 1.0 / (1.0 / rounding + where(curved, 1.0 / where(curved, bulge, 1.0), 0.0))


def wedge_normal(torque, carriers, wedge, radius):
    """Return the normal force on one wedged element [N]: N = T / (n R tan(ε/2)), T in N·m, ε above 0."""
    return 1000.0 * torque / (carriers * radius * tan(wedge * DEGREE / 2.0))


def friction_needed(angle):
    """Return the coefficient of friction at which a force that leans from its normal just holds [-]: µ = tan φ or 0."""
    return maximum(tan(angle * DEGREE), 0.0)
