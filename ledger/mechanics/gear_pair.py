"""One pair of external gears: everything about its geometry that the strength of its teeth asks for."""

from __future__ import annotations

from ledger.mechanics import gear_geometry as geometry
from ledger.mechanics.maths import atan, cos, every, maximum, minimum, pi, sin, sqrt, tan
from ledger.mechanics.permitted import outside
from ledger.mechanics.tooth_root import flank_start, tool_land, virtual_teeth

DEGREE = pi / 180.0
# Addendum, dedendum and tip rounding of the basic rack in modules: ISO 53:1998, Tables 2 and A.1; D from memory.
PROFILES = {"A": (1.0, 1.25, 0.38), "B": (1.0, 1.25, 0.30), "C": (1.0, 1.25, 0.25), "D": (1.0, 1.4, 0.39)}
OWN = "own"
PERMITTED = {
    "module": ("Module", "mm", 0.05, 100.0),
    "teeth": ("Number of teeth", "", 5, 2000),
    "shift": ("Profile shift", "modules", -1.5, 2.0),
    "width": ("Width of the teeth in mesh", "mm", 0.1, 5000.0),
    "helix": ("Helix angle", "°", 0.0, 45.0),
    "pressure": ("Pressure angle of the tool", "°", 10.0, 35.0),
    "addendum": ("Addendum of the tool's rack", "modules", 0.3, 1.6),
    "dedendum": ("Dedendum of the tool's rack", "modules", 0.4, 2.0),
    "rounding": ("Tip rounding of the tool", "modules", 0.0, 0.8),
    "tip": ("Tip diameter", "mm", 0.1, 250_000.0),
    "distance": ("Centre distance", "mm", 0.1, 250_000.0),
    "torque": ("Torque of wheel 1", "N·m", 1e-6, 1e8),
    "factor": ("Load factor", "", 0.1, 20.0),
    "strength": ("Stress that it bears", "MPa", 1.0, 10_000.0),
    "elasticity": ("Modulus of elasticity", "GPa", 0.1, 1000.0),
    "poisson": ("Poisson's ratio", "", 0.0, 0.5),
    "pin": ("Diameter of the pins or balls", "mm", 0.01, 1000.0),
}


def left_out(value):
    """Return whether a size of which 0 means "not stated" is 0 in every draw."""
    return every(value == 0)


def rack_of(profile, addendum=1.0, dedendum=1.25, rounding=0.38):
    """Return addendum, dedendum and tip rounding of the tool's rack [modules]: a profile's, or one's own.

    Errors: ValueError for an unknown profile, and for sizes of one's own beside a profile that has its own.
    """
    sizes = (addendum, dedendum, rounding)
    if profile == OWN:
        return sizes
    if profile not in PROFILES:
        raise ValueError(f"{profile!r} given; expected a profile out of {', '.join((*PROFILES, OWN))}.")
    if not all(every(size == usual) for size, usual in zip(sizes, PROFILES["A"], strict=True)):
        raise ValueError(f"Profile {profile} has its own addendum, dedendum and rounding: state yours with {OWN!r}.")
    return PROFILES[profile]


def _check(module, teeth, shifts, width, helix, pressure, tips, distance, rack):
    """ValueError naming everything impossible at once; return the rack's sizes."""
    said = [outside(PERMITTED[name], value) for name, value in (("module", module), ("width", width))]
    turned = outside(PERMITTED["helix"], helix)
    if turned and not every(helix >= 0) and every(helix == helix):
        turned += " Give it without sign: whether left or right hand, the teeth bear alike."
    said += [turned, outside(PERMITTED["pressure"], pressure)]
    for place in (0, 1):
        faults = [outside(PERMITTED["teeth"], teeth[place]), outside(PERMITTED["shift"], shifts[place])]
        faults += [] if left_out(tips[place]) else [outside(PERMITTED["tip"], tips[place])]
        said += [f"Wheel {place + 1}: {fault}" for fault in faults if fault]
    said += [] if left_out(distance) else [outside(PERMITTED["distance"], distance)]
    sizes = PROFILES["A"]
    try:
        sizes = rack_of(*rack)
    except ValueError as error:
        said.append(str(error))
    said += [
        outside(PERMITTED[name], one) for name, one in zip(("addendum", "dedendum", "rounding"), sizes, strict=True)
    ]
    if any(said):
        raise ValueError(" ".join(fault for fault in said if fault))
    tool_land(sizes[1], sizes[2], pressure * DEGREE)
    return sizes


def gear_pair(
    module, teeth_1, teeth_2, shift_1, shift_2, width, helix=0.0, profile="A", shortened=True, pressure=20.0,
    addendum=1.0, dedendum=1.25, rounding=0.38, tip_1=0.0, tip_2=0.0, distance=0.0,
):  # fmt: skip
    """Return the geometry of a pair, as a dict of values and two dicts of its wheels.

    module        m_n [mm]; teeth_1, teeth_2 z; shift_1, shift_2 x [modules]; width b [mm]
    helix         β [degrees], 0 to 45; pressure  α_n [degrees], 10 to 35
    profile       basic rack of ISO 53: "A" to "D"; or "own", with its addendum, dedendum and rounding [modules]
    shortened     whether tips are cut back to keep the rack's clearance where the shifts close the centre distance
    tip_1, tip_2  tip diameters [mm]; 0: from the rack
    distance      centre distance [mm]; 0: that without backlash

    Errors: ValueError naming everything impossible at once.
    """
    addendum, dedendum, radius = _check(
        module, (teeth_1, teeth_2), (shift_1, shift_2), width, helix, pressure, (tip_1, tip_2), distance,
        (profile, addendum, dedendum, rounding),
    )  # fmt: skip
    turned, pressure = helix * DEGREE, pressure * DEGREE
    shift_sum, play = shift_1 + shift_2, 0.0
    if left_out(distance):
        working = geometry.working_angle(teeth_1, teeth_2, shift_sum, pressure, turned)
        distance = geometry.centre_distance(module, teeth_1, teeth_2, shift_sum, pressure, turned)
    else:
        working = geometry.working_angle_at(distance, module, teeth_1, teeth_2, pressure, turned)
        play = geometry.backlash(distance, module, teeth_1, teeth_2, shift_sum, working, pressure, turned)
    cut = geometry.tip_shortening(module, teeth_1, teeth_2, shift_sum, distance, turned) if shortened else 0.0
    leaning = geometry.base_helix(pressure, turned)
    straight = dedendum - radius * (1.0 - sin(pressure))
    whole = distance * sin(working)
    wheels = []
    for teeth, shift, mate, stated in ((teeth_1, shift_1, teeth_2, tip_1), (teeth_2, shift_2, teeth_1, tip_2)):
        reference = geometry.reference_diameter(module, teeth, turned)
        tip = geometry.tip_diameter(module, teeth, shift, cut, addendum, turned) if left_out(stated) else stated
        upright = virtual_teeth(teeth, turned, leaning)
        thickness = geometry.tooth_thickness(tip, module, teeth, shift, pressure, turned)
        wheels.append(
            {
                "teeth": teeth,
                "shift": shift,
                "reference": reference,
                "base": geometry.base_diameter(module, teeth, pressure, turned),
                "tip": tip,
                "root": geometry.root_diameter(module, teeth, shift, dedendum, turned),
                "pitch": geometry.pitch_diameter(distance, teeth, mate),
                "tip_thickness": thickness,
                "normal_tip_thickness": thickness * cos(atan(tan(turned) * tip / reference)),
                "spare_shift": shift - geometry.undercut_limit(teeth, straight, pressure, turned),
                "start": flank_start(upright, shift, dedendum, radius, pressure) * cos(leaning) * module,
                "upright_teeth": upright,
            }
        )
    one, two = wheels
    for wheel, mate in ((one, two), (two, one)):
        reach = geometry.active_reach(wheel["tip"], wheel["base"], whole, mate["start"])
        # An undercut mate has no fillet left in the way; there only the end of the line of action counts.
        free = whole - mate["start"] * (mate["spare_shift"] >= 0)
        wheel["interferes"] = wheel["tip"] ** 2 - wheel["base"] ** 2 > 4.0 * maximum(free, 0.0) ** 2
        wheel["form"] = sqrt(wheel["base"] ** 2 + 4.0 * wheel["start"] ** 2)
        wheel["active_tip"] = minimum(sqrt(wheel["base"] ** 2 + 4.0 * reach * reach), wheel["tip"])
        wheel["upright_tip"] = wheel["upright_teeth"] + (wheel["active_tip"] - wheel["reference"]) / module
        wheel["upright_top"] = wheel["upright_teeth"] + (wheel["tip"] - wheel["reference"]) / module
        wheel["clearance"] = distance - (wheel["tip"] + mate["root"]) / 2.0
    pitch = geometry.base_pitch(module, pressure, turned)
    ratio = geometry.contact_ratio(
        one["tip"], two["tip"], one["base"], two["base"], distance, working, pitch, one["start"], two["start"]
    )
    return {
        "pressure": pressure,
        "transverse": geometry.transverse_angle(pressure, turned),
        "working": working,
        "helix": turned,
        "base_helix": leaning,
        "distance": distance,
        "backlash": play,
        "shortening": cut,
        "contact_ratio": ratio,
        "overlap": geometry.overlap_ratio(width, module, turned),
        "dedendum": dedendum,
        "radius": radius,
        "wheels": wheels,
    }
