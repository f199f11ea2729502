"""Contact of two elastic bodies after Hertz: cylinders along a line, balls at a point.

Smooth dry surfaces, contact small against the radii, no friction. Values are floats or arrays of draws of one shape.
Source: Johnson, Contact Mechanics (1985), §3.4 and §4.2; Boresi and Schmidt, Advanced Mechanics of Materials, ch. 17.
"""

from __future__ import annotations

from ledger.mechanics.maths import every, pi, sqrt


def joint_stiffness(elasticity_1, poisson_1, elasticity_2, poisson_2):
    """Return the elasticity of two materials in contact [as given]: 1/E* = (1 − ν1²)/E1 + (1 − ν2²)/E2."""
    return 1.0 / ((1.0 - poisson_1 * poisson_1) / elasticity_1 + (1.0 - poisson_2 * poisson_2) / elasticity_2)


def joint_radius(radius_1, radius_2):
    """Return the radius of the cylinder that presses on a plane as two cylinders press on each other [mm].

    1/R = 1/R1 + 1/R2; a hollow one counts as negative

    Errors: ValueError where a hollow body is narrower than the one within it.
    """
    curved = 1.0 / radius_1 + 1.0 / radius_2
    if not every(curved > 0):
        raise ValueError("The two surfaces do not touch along a line: the hollow one is narrower than the other.")
    return 1.0 / curved


def line_pressure(load, radius, stiffness):
    """Return the greatest pressure of a line contact [MPa]: p0 = √(w E* / (π R)).

    load       w, force over length [N/mm], zero and above
    radius     R, see `joint_radius` [mm]
    stiffness  E*, see `joint_stiffness` [MPa]
    """
    if not every((load >= 0) & (radius > 0)):
        raise ValueError("A contact needs a pressing load and a radius above zero.")
    return sqrt(load * stiffness / (pi * radius))


def line_shear(pressure, depth):
    """Return the greatest shear stress under the middle of a line contact [MPa].

    τ = p0 ζ (1 − ζ / √(1 + ζ²)) with ζ = z/b; greatest at ζ = 0.786, where it is 0.300 p0

    depth  ζ, depth over half-width [-], zero and above
    """
    return pressure * depth * (1.0 - depth / sqrt(1.0 + depth * depth))
