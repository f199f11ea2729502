"""A machine built again at another scale: what can be made, what standard parts are near, what torque it holds.

Lengths in mm, unless told otherwise. Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics.gear_geometry import (
    PRESSURE,
    profile_shift_sum,
    reference_diameter,
    tip_diameter,
    tip_shortening,
)
from ledger.mechanics.maths import every, maximum
from ledger.mechanics.permitted import outside
from ledger.mechanics.tooth_sizes import tooth_thickness

FILAMENT, RESIN, POWDER, CUT = "printed from filament", "printed from resin", "printed from powder", "cut from metal"
# Least wall, least width of a tooth tip, least clearance between moving parts [mm].
# Printed: design guides of printing services, seen in copies, which differ by half. Cut: common practice, no source.
PROCESSES = {
    FILAMENT: (0.8, 0.8, 0.5),
    RESIN: (0.5, 0.5, 0.3),
    POWDER: (0.7, 0.5, 0.5),
    CUT: (0.5, 0.2, 0.02),
}
PERMITTED = {
    "scale": ("Scale", "", 0.005, 20.0),
    "torque": ("Torque at full size", "N·m", 0.0, 1e9),
    "strength": ("Strength", "MPa", 0.1, 5000.0),
    "density": ("Density", "kg/m³", 10.0, 25_000.0),
}


def scaled_torque(torque, scale, strength, model_strength):
    """Return the torque at which a model's parts feel the same share of their strength as at full size [N·m].

    T' = T s³ (σ' / σ): in geometrically similar parts stress is torque over a length cubed

    torque          T at full size [N·m], 0 and above
    scale           s = length of the model over length at full size [-], 0.005 to 20
    strength        σ at full size [MPa], 0.1 to 5000
    model_strength  σ' of the model's material, of the same kind [MPa]

    Errors: ValueError naming everything impossible at once.
    Source: geometric similarity; in torsion of a round shaft, τ = 16 T / (π d³).
    """
    said = [outside(PERMITTED[name], value) for name, value in (("torque", torque), ("scale", scale))]
    said += [outside(PERMITTED["strength"], value) for value in (strength, model_strength)]
    if any(said):
        raise ValueError(" ".join(one for one in said if one))
    return torque * scale**3 * model_strength / strength


def mass_ratio(scale, density, model_density):
    """Return mass of the model over mass at full size [-]: s³ ρ'/ρ, in kg/m³ both."""
    return scale**3 * model_density / density


def inertia_ratio(scale, density, model_density):
    """Return moment of inertia of the model over that at full size [-]: s⁵ ρ'/ρ, in kg/m³ both."""
    return scale**5 * model_density / density


def tip_widths(module, first, second, distance=0.0, pressure=PRESSURE, helix=0.0):
    """Return the widths of the tooth tips of both wheels of a pair [mm], and its sum of profile shifts [-].

    s_a = d_a [(π/2 + 2 x tan α_n)/z + inv α_t − inv α_a] on the tip circle; a sum of profile shifts that closes a
    distance is divided in halves, and tips are shortened by what keeps the tip clearance

    module         normal module m_n [mm], above 0
    first, second  tooth counts, from 6
    distance       centre distance a [mm]; 0: unshifted, at the distance of the reference circles

    Errors: ValueError where the pair cannot mesh at that distance.
    """
    reference = reference_diameter(module, first + second, helix) / 2.0
    at = reference if every(distance == 0) else distance
    shift_sum = profile_shift_sum(at, module, first, second, pressure, helix)
    cut = tip_shortening(module, first, second, shift_sum, at, helix)
    half = shift_sum / 2.0
    tips = [tip_diameter(module, teeth, half, cut, 1.0, helix) for teeth in (first, second)]
    widths = [
        tooth_thickness(tip, module, teeth, half, pressure, helix)
        for tip, teeth in zip(tips, (first, second), strict=True)
    ]
    return maximum(widths[0], 0.0), maximum(widths[1], 0.0), shift_sum


def least_scale(least, size):
    """Return the scale at which a feature is just as large as the process needs it [-]: least / size at full size."""
    return least / size
