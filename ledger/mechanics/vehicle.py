"""A vehicle as the longitudinal formulas take it, and what is impossible about one.

Values are floats or arrays of draws of one shape. A vehicle is a dict:

curve           rows of the engine's `speed` [1/min], rising, and full `torque` [N·m]
ratios          engine speed over wheel speed, gear by gear, falling [-]
gaps            of the change out of each gear but the last [s]: above 0 a gap, below 0 an overlap, 0 no time at all
shift_speed     engine speed at which it changes up [1/min]
radius          rolling radius of the driven wheels [m]
mass            [kg]
engine_inertia, wheel_inertia   of what turns with the engine, and with the wheels [kg·m²]
efficiency      power at the wheels over power of the engine [-]
rolling, drag, grip, driven, downforce   see `longitudinal.resistance` and `longitudinal.tyre_force`
gap_drive       share of the engine's torque that still drives in a gap [-]
overlap_drive   share of its torque that the engine gives in an overlap [-]
slip            torque of the engine at which its clutch slips [N·m]
surge           share of the momentum of the slowed engine that reaches the wheels in an overlap [-]
"""

from __future__ import annotations

from ledger.mechanics.longitudinal import SPIN, neighbours
from ledger.mechanics.maths import every
from ledger.mechanics.permitted import outside

PERMITTED = {
    "length": ("Length of a straight", "m", 0.1, 100_000.0),
    "entry": ("Speed", "m/s", 0.0, 200.0),
    "grade": ("Grade", "", -0.5, 0.5),
    "times": ("Times a lap", "", 1.0, 1000.0),
    "engine_speed": ("Engine speed", "1/min", 1.0, 200_000.0),
    "torque": ("Torque of the engine", "N·m", 0.00001, 1e6),
    "ratio": ("Ratio", "", 0.01, 1000.0),
    "gap": ("Gap", "s", -2.0, 10.0),
    "radius": ("Rolling radius", "m", 0.001, 5.0),
    "mass": ("Mass", "kg", 0.001, 1e6),
    "engine_inertia": ("Inertia of the engine", "kg·m²", 0.0, 10_000.0),
    "wheel_inertia": ("Inertia of the wheels", "kg·m²", 0.0, 100_000.0),
    "efficiency": ("Efficiency", "", 0.01, 1.0),
    "rolling": ("Rolling resistance", "", 0.0, 1.0),
    "drag": ("Drag over speed squared", "kg/m", 0.0, 10_000.0),
    "grip": ("Grip", "", 0.01, 10.0),
    "driven": ("Share of the weight on driven wheels", "", 0.01, 1.0),
    "downforce": ("Downforce over speed squared", "kg/m", 0.0, 10_000.0),
    "slip": ("Torque at which the clutch slips", "N·m", 0.00001, 1e9),
    "share": ("Share", "", 0.0, 1.0),
    "step": ("Step", "s", 0.001, 5.0),
}
ALONE = (
    "radius", "mass", "engine_inertia", "wheel_inertia", "efficiency", "rolling", "drag", "grip", "driven", "downforce",
    "slip",
)  # fmt: skip
SHARES = ("gap_drive", "overlap_drive", "surge")


def without_gaps(vehicle):
    """Return the same vehicle, whose changes take no time at all and pass nothing of the engine's momentum."""
    return {**vehicle, "gaps": [0.0 for _ in vehicle["gaps"]]}


def shape_of(vehicle, *others):
    """Return zeros of the shape that all values of a vehicle and other values together have."""
    zero = 0.0
    for key, value in vehicle.items():
        if key == "curve":
            cells = [cell for row in value for cell in (row["speed"], row["torque"])]
        else:
            cells = value if isinstance(value, list) else [value]
        for cell in cells:
            zero = zero + 0.0 * cell
    for value in others:
        zero = zero + 0.0 * value
    return zero


def refuse(vehicle, straights, step):
    """Raise ValueError naming everything impossible about a vehicle, straights and step, if anything is."""
    faults = [outside(PERMITTED[key], vehicle[key]) for key in ALONE]
    faults += [outside(PERMITTED["share"], vehicle[key]) for key in SHARES]
    faults += [outside(PERMITTED["ratio"], one) for one in vehicle["ratios"]]
    faults += [outside(PERMITTED["gap"], one) for one in vehicle["gaps"]]
    faults.append(outside(PERMITTED["engine_speed"], vehicle["shift_speed"]))
    faults.append(outside(PERMITTED["step"], step))
    faults += _curve_faults(vehicle)
    ratios = vehicle["ratios"]
    if len(ratios) < 2:
        faults.append("Two gears at least are needed: with one there is no change.")
    if not all(every(one > after) for one, after in neighbours(ratios)):
        faults.append("The ratios must fall from gear to gear, the first the greatest.")
    if not straights:
        faults.append("There is no straight.")
    top = vehicle["curve"][-1]["speed"] * vehicle["radius"] / (SPIN * ratios[-1]) if vehicle["curve"] else 0.0
    for row in straights:
        said = [outside(PERMITTED[key], row[key]) for key in ("length", "entry", "grade", "times")]
        if not any(said) and not every(row["entry"] <= top * 1.000001):
            said.append("It is entered faster than the last gear allows.")
        faults += [f"Straight {row['name']}: {one}" for one in said if one]
    said = [fault for fault in faults if fault]
    if said:
        raise ValueError(" ".join(dict.fromkeys(said)))


def _curve_faults(vehicle):
    curve = vehicle["curve"]
    if len(curve) < 2:
        return ["The engine's curve needs two rows at least."]
    faults = [outside(PERMITTED["engine_speed"], row["speed"]) for row in curve]
    faults += [outside(PERMITTED["torque"], row["torque"]) for row in curve]
    if not all(every(after["speed"] > row["speed"]) for row, after in neighbours(curve)):
        faults.append("The speeds of the engine's curve must rise from row to row.")
    shift = vehicle["shift_speed"]
    if not every((shift > curve[0]["speed"]) & (shift <= curve[-1]["speed"])):
        faults.append("The shift speed must lie above the first row of the engine's curve, and at most at its last.")
    return faults
