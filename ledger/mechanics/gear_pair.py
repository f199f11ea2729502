"""One pair of external gears: everything about its geometry that the strength of its teeth asks for."""

from __future__ import annotations

from ledger.mechanics import gear_geometry as geometry
from ledger.mechanics.maths import cos, pi, sin
from ledger.mechanics.permitted import outside
from ledger.mechanics.tooth_root import virtual_teeth

DEGREE = pi / 180.0
# Addendum, dedendum and tip rounding of the basic rack in modules: ISO 53:1998, Tables 2 and A.1.
PROFILES = {"A": (1.0, 1.25, 0.38), "B": (1.0, 1.25, 0.30), "C": (1.0, 1.25, 0.25)}
PERMITTED = {
    "module": ("Module", "mm", 0.05, 100.0),
    "teeth": ("Number of teeth", "", 5, 2000),
    "shift": ("Profile shift", "modules", -1.5, 2.0),
    "width": ("Width of the teeth in mesh", "mm", 0.1, 5000.0),
    "helix": ("Helix angle", "°", 0.0, 45.0),
    "torque": ("Torque of wheel 1", "N·m", 1e-6, 1e8),
    "factor": ("Load factor", "", 0.1, 20.0),
    "strength": ("Stress that it bears", "MPa", 1.0, 10_000.0),
    "elasticity": ("Modulus of elasticity", "GPa", 0.1, 1000.0),
    "poisson": ("Poisson's ratio", "", 0.0, 0.5),
    "pin": ("Diameter of the pins or balls", "mm", 0.01, 1000.0),
}


def gear_pair(module, teeth_1, teeth_2, shift_1, shift_2, width, helix=0.0, profile="A", shortened=True):
    """Return the geometry of a pair without backlash, as a dict of values and two dicts of its wheels.

    module     m_n [mm]; teeth_1, teeth_2 z; shift_1, shift_2 x [modules]; width b [mm]
    helix      β [degrees], 0 to 45
    profile    basic rack of ISO 53: "A", "B" or "C", all of 20°
    shortened  whether tips are cut back to keep the rack's clearance where the shifts close the centre distance

    Errors: ValueError naming everything impossible at once.
    """
    said = [outside(PERMITTED[name], value) for name, value in (("module", module), ("width", width), ("helix", helix))]
    for place, teeth, shift in ((1, teeth_1, shift_1), (2, teeth_2, shift_2)):
        faults = (outside(PERMITTED["teeth"], teeth), outside(PERMITTED["shift"], shift))
        said += [f"Wheel {place}: {fault}" for fault in faults if fault]
    if profile not in PROFILES:
        said.append(f"{profile!r} given; expected a profile out of {', '.join(PROFILES)}.")
    if any(said):
        raise ValueError(" ".join(fault for fault in said if fault))
    addendum, dedendum, radius = PROFILES[profile]
    turned = helix * DEGREE
    pressure = geometry.PRESSURE
    shift_sum = shift_1 + shift_2
    working = geometry.working_angle(teeth_1, teeth_2, shift_sum, pressure, turned)
    distance = geometry.centre_distance(module, teeth_1, teeth_2, shift_sum, pressure, turned)
    cut = geometry.tip_shortening(module, teeth_1, teeth_2, shift_sum, distance, turned) if shortened else 0.0
    leaning = geometry.base_helix(pressure, turned)
    straight = dedendum - radius * (1.0 - sin(pressure))
    transverse = geometry.transverse_angle(pressure, turned)
    whole = distance * sin(working)
    wheels = []
    for teeth, shift, mate in ((teeth_1, shift_1, teeth_2), (teeth_2, shift_2, teeth_1)):
        reference = geometry.reference_diameter(module, teeth, turned)
        tip = geometry.tip_diameter(module, teeth, shift, cut, addendum, turned)
        upright = virtual_teeth(teeth, turned, leaning)
        wheels.append(
            {
                "teeth": teeth,
                "shift": shift,
                "reference": reference,
                "base": geometry.base_diameter(module, teeth, pressure, turned),
                "tip": tip,
                "root": geometry.root_diameter(module, teeth, shift, dedendum, turned),
                "pitch": geometry.pitch_diameter(distance, teeth, mate),
                "tip_thickness": geometry.tooth_thickness(tip, module, teeth, shift, pressure, turned),
                "spare_shift": shift - geometry.undercut_limit(teeth, straight, pressure, turned),
                "interferes": tip * tip / 4.0 > reference * reference * cos(transverse) ** 2 / 4.0 + whole * whole,
                "upright_teeth": upright,
                "upright_tip": upright + (tip - reference) / module,
            }
        )
    one, two = wheels
    pitch = geometry.base_pitch(module, pressure, turned)
    ratio = geometry.contact_ratio(one["tip"], two["tip"], one["base"], two["base"], distance, working, pitch)
    return {
        "pressure": pressure,
        "transverse": transverse,
        "working": working,
        "helix": turned,
        "base_helix": leaning,
        "distance": distance,
        "shortening": cut,
        "contact_ratio": ratio,
        "overlap": geometry.overlap_ratio(width, module, turned),
        "dedendum": dedendum,
        "radius": radius,
        "wheels": wheels,
    }
