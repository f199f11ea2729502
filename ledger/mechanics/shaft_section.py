"""A round section of a shaft, solid or hollow, with an oil hole through it: static strength and fatigue.

Lengths in mm, stresses in MPa, moments and torques in N·m. Values are floats or arrays of draws of one shape. Stresses
are of the gross section, as if no hole were drilled; factors of the hole are meant for them.
"""

from __future__ import annotations

from ledger.mechanics.maths import every, maximum, minimum, pi, sqrt, where
from ledger.mechanics.refusing import refuse

PERMITTED = {
    "outside": ("Outside diameter", "mm", 0.1, 100_000.0),
    "bore": ("Bore", "mm", 0.0, 100_000.0),
    "hole": ("Oil hole", "mm", 0.0, 10_000.0),
    "torque": ("Torque, mean", "N·m", 0.0, 1e9),
    "torque_swing": ("Torque, swing about the mean", "N·m", 0.0, 1e9),
    "bending": ("Bending moment that stands still while the shaft turns", "N·m", 0.0, 1e9),
    "bending_steady": ("Bending moment that turns with the shaft", "N·m", 0.0, 1e9),
    "bending_factor": ("Fatigue notch factor, bending", "", 1.0, 10.0),
    "torsion_factor": ("Fatigue notch factor, torsion", "", 1.0, 10.0),
    "tensile": ("Tensile strength", "MPa", 1.0, 10_000.0),
    "yielding": ("Yield strength", "MPa", 1.0, 10_000.0),
    "endurance": ("Endurance limit", "MPa", 0.0, 10_000.0),
    "scatter": ("Scatter of the endurance limit", "", 0.1, 3.0),
    "length": ("Length between gears", "mm", 0.0, 1e6),
    "shear_modulus": ("Shear modulus", "MPa", 1.0, 1e6),
}
SURFACES = {
    "ground": (1.58, -0.085),
    "machined": (4.51, -0.265),
    "hot-rolled": (57.7, -0.718),
    "as forged": (272.0, -0.995),
}
KSI = 6.894757293168361


def bending_stress(moment, outside, bore):
    """Return the greatest bending stress of a round section [MPa].

    σ = 32 M D / (π (D⁴ - d⁴))

    moment  M [N·m];  outside  D [mm];  bore  d [mm], 0 or more and below D

    Source: bending of a beam; Shigley's Mechanical Engineering Design, 10th ed., §3-10.
    """
    return 32_000.0 * moment * outside / (pi * _quartic(outside, bore))


def torsion_stress(torque, outside, bore):
    """Return the greatest shear stress of a round section [MPa]: τ = 16 T D / (π (D⁴ - d⁴)), T in N·m."""
    return 16_000.0 * torque * outside / (pi * _quartic(outside, bore))


def von_mises(normal, shear):
    """Return the equivalent stress of one normal and one shear stress [MPa]: σ' = √(σ² + 3τ²)."""
    return sqrt(normal * normal + 3.0 * shear * shear)


def greatest_shear(normal, shear):
    """Return the greatest shear stress of one normal and one shear stress [MPa]: τ_max = √((σ/2)² + τ²).

    Source: Mohr's circle; Wentzell, Machine Design, ex. 17.2.
    """
    return sqrt(normal * normal / 4.0 + shear * shear)


def greatest_normal(normal, shear):
    """Return the greatest normal stress of one normal and one shear stress [MPa]: σ_1 = σ/2 + √((σ/2)² + τ²)."""
    return normal / 2.0 + greatest_shear(normal, shear)


def hole_bending_factor(hole, outside, bore):
    """Return the stress concentration of a hole across a shaft in bending, on the gross section [-].

    K_t = 3 + C2 x + C3 x², x = a/D, y = d/D
    C2 = -6.250 - 0.585 y + 3.115 y², C3 = 41.000 - 1.071 y - 6.746 y²

    hole  a [mm], at most 0.3 D;  outside  D [mm];  bore  d [mm], at most 0.9 D

    Source: Roark's Formulas for Stress and Strain, 7th ed., Table 17.1, case 17b (from memory; agrees within 4 % with
    Shigley's Table A-16).
    """
    x, y = hole / outside, bore / outside
    return 3.0 + x * (-6.250 + y * (-0.585 + 3.115 * y)) + x * x * (41.000 + y * (-1.071 - 6.746 * y))


def hole_torsion_factor(hole, outside, bore):
    """Return the shear stress concentration of a hole across a shaft in torsion, on the gross section [-].

    K_ts = K/2, K = 4 + C2 x + C3 x² + C4 x³ (greatest stress along the edge over shear stress), x = a/D, y = d/D
    C2 = -6.793 + 1.133 y - 0.126 y², C3 = 38.382 - 7.242 y + 6.495 y², C4 = -44.576 - 7.428 y + 58.656 y²

    hole  a [mm], at most 0.4 D;  outside  D [mm];  bore  d [mm], at most 0.9 D

    Source: Roark's Formulas for Stress and Strain, 7th ed., Table 17.1, case 17c (seen in a copy). K/2 is the greatest
    shear at the edge, as in Shigley's Table A-16.
    """
    x, y = hole / outside, bore / outside
    second = -6.793 + y * (1.133 - 0.126 * y)
    third = 38.382 + y * (-7.242 + 6.495 * y)
    fourth = -44.576 + y * (-7.428 + 58.656 * y)
    return (4.0 + x * (second + x * (third + x * fourth))) / 2.0


def notch_sensitivity(tensile, radius, torsion=False):
    """Return the notch sensitivity of steel [-].

    q = 1/(1 + √a/√r); with S in ksi and r in inches, √a = 0.246 - 3.08e-3 S + 1.51e-5 S² - 2.67e-8 S³ in bending,
    0.190 - 2.51e-3 S + 1.35e-5 S² - 2.67e-8 S³ in torsion

    tensile  S [MPa]; below 345 taken as 345, above 1500 as 1500, where the polynomials end
    radius   r of the notch [mm], above 0

    Source: Shigley's Mechanical Engineering Design, 10th ed., eq. 6-34 and 6-35.
    """
    strength = minimum(maximum(tensile, 345.0), 1500.0) / KSI
    first, second, third = (0.190, -2.51e-3, 1.35e-5) if torsion else (0.246, -3.08e-3, 1.51e-5)
    neuber = first + strength * (second + strength * (third - 2.67e-8 * strength))
    return 1.0 / (1.0 + neuber / sqrt(radius / 25.4))


def fatigue_factor(sensitivity, concentration):
    """Return the fatigue notch factor [-]: K_f = 1 + q (K_t - 1). Shigley, eq. 6-32."""
    return 1.0 + sensitivity * (concentration - 1.0)


def endurance_limit(tensile, diameter, surface):
    """Return the mean endurance limit of a turning steel shaft in bending [MPa].

    S_e = k_a k_b S'; S' = min(S/2, 700 MPa); k_a = A S^B, at most 1; k_b = 1.24 d^-0.107 up to 51 mm, 1.51 d^-0.157
    beyond

    tensile   S [MPa];  diameter  d [mm]; below 2.79 taken as that, and the formula ends at 254
    surface   ground, machined, hot-rolled or as forged

    Errors: ValueError for another surface.
    Source: Shigley's Mechanical Engineering Design, 10th ed., eq. 6-8, 6-19 (Table 6-2), 6-20.
    """
    if surface not in SURFACES:
        raise ValueError(f"Surface: {surface!r} given; expected one of {', '.join(SURFACES)}.")
    factor, power = SURFACES[surface]
    size = maximum(diameter, 2.79)
    shrink = where(size <= 51.0, 1.24 * size**-0.107, 1.51 * size**-0.157)
    return minimum(factor * tensile**power, 1.0) * shrink * minimum(tensile / 2.0, 700.0)


def goodman(alternating, mean, endurance, tensile):
    """Return the factor of safety by the modified Goodman line [-]: 1/n = σ'_a/S_e + σ'_m/S_ut. Shigley, eq. 6-46."""
    return 1.0 / (alternating / endurance + mean / tensile)


def elliptic(alternating, mean, endurance, yielding):
    """Return the factor of safety by the ASME ellipse [-]: 1/n² = (σ'_a/S_e)² + (σ'_m/S_y)². Shigley, eq. 6-48."""
    return 1.0 / sqrt((alternating / endurance) ** 2 + (mean / yielding) ** 2)


def torsional_stiffness(outside, bore, length, shear_modulus):
    """Return the torsional stiffness of a length of shaft [N·m/rad]: k = G π (D⁴ - d⁴) / (32 L), G in MPa."""
    if not every(length > 0):
        raise ValueError("Length between gears: must be above 0.")
    return shear_modulus * pi * _quartic(outside, bore) / (32_000.0 * length)


def check(outside, bore, hole, more=(), **others):
    """Raise ValueError naming what is impossible about a section, or outside the range of the hole's factors.

    more, others  further sentences and values, see `refusing.refuse`, so that everything is named at once
    """
    drilled = hole > 0
    refuse(
        PERMITTED,
        (
            "" if every(bore < outside) else "Bore: must be smaller than the outside diameter.",
            "" if every(hole <= 0.3 * outside) else "Oil hole: known up to 0.3 of the outside diameter.",
            ""
            if every((bore <= 0.9 * outside) | (drilled == 0))
            else "Bore: with an oil hole known up to 0.9 of the outside diameter.",
            *more,
        ),
        outside=outside,
        bore=bore,
        hole=hole,
        **others,
    )


def stresses(section, loads, factors=(1.0, 1.0)):
    """Return alternating, mean and greatest equivalent stress of a section, as a tuple [MPa].

    σ'_a = √((K_f σ_a)² + 3 (K_fs τ_a)²), σ'_m likewise, σ'_max = √((K_f (σ_a + σ_m))² + 3 (K_fs (τ_a + τ_m))²)

    section  outside D and bore d [mm]
    loads    moment M_a that stands still while the shaft turns, and so alternates in it; moment M_m that turns with the
             shaft, and so is steady in it; torque T_m and its swing T_a [N·m]
    factors  K_f and K_fs [-]

    Source: Shigley's Mechanical Engineering Design, 10th ed., eq. 7-4 to 7-6 and 7-15.
    """
    turning, steady, torque, swing = loads
    bend, twist = factors[0] * bending_stress(1.0, *section), factors[1] * torsion_stress(1.0, *section)
    return (
        von_mises(bend * turning, twist * swing),
        von_mises(bend * steady, twist * torque),
        von_mises(bend * (turning + steady), twist * (swing + torque)),
    )


def _quartic(outside, bore):
    square, hollow = outside * outside, bore * bore
    return (square + hollow) * (square - hollow)
