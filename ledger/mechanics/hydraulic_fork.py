"""A cylinder on a shift rail: whether it moves fork and sleeve, how fast, and the oil it takes.

Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics import cylinder, detent
from ledger.mechanics.maths import every, maximum, where
from ledger.mechanics.refusing import refuse

BORE_SIDE, ROD_SIDE = "bore side", "rod side"
PERMITTED = {
    "bore": ("Bore", "mm", 1.0, 2000.0),
    "rod": ("Rod", "mm", 0.0, 1990.0),
    "pressure": ("Pressure", "bar", 0.01, 5000.0),
    "back_pressure": ("Pressure on the other side", "bar", 0.0, 5000.0),
    "flow": ("Flow", "L/min", 0.0001, 100_000.0),
    "travel": ("Travel", "mm", 0.01, 10_000.0),
    "mass": ("Mass moved", "kg", 0.0001, 100_000.0),
    "load": ("Load", "N", -1e7, 1e7),
    "friction": ("Friction of the rail", "", 0.0, 2.0),
    "slope": ("Slope of the rail", "°", -90.0, 90.0),
    "pipe_length": ("Length of a pipe", "m", 0.0, 100.0),
    "pipe_bore": ("Bore of a pipe", "mm", 0.5, 500.0),
    "density": ("Density of the oil", "kg/m³", 500.0, 2000.0),
    "delay": ("Delay of the valve", "ms", 0.0, 10_000.0),
    "strokes": ("Strokes in a shift", "", 0.0, 100.0),
    "shifts": ("Shifts a lap", "", 0.0, 100_000.0),
    "lap": ("Time of a lap", "s", 0.0, 1_000_000.0),
}


def hydraulic_fork(
    bore,
    pressure,
    flow,
    travel,
    mass,
    rod=0.0,
    side=BORE_SIDE,
    through=False,
    back_pressure=0.0,
    load=0.0,
    friction=0.0,
    slope=0.0,
    spring=0.0,
    ramp=45.0,
    detent_friction=0.1,
    pipe_length=0.0,
    pipe_bore=8.0,
    density=870.0,
    delay=0.0,
    strokes=1.0,
    shifts=0.0,
    lap=0.0,
):
    """Return forces, speeds, times and oil of one stroke, a shift and a lap, as a dict of values.

    bore, rod           D, d [mm]; the rod thinner than the bore
    side                "bore side" or "rod side": where the pressure acts
    through             whether the rod leaves the cylinder at both ends
    pressure            p [bar] and, on the other side, back_pressure [bar]
    flow                Q, greatest flow into the cylinder [L/min]
    travel              h [mm]
    mass                m of piston, rail, fork and sleeve [kg]
    load                against the motion [N], as of a sleeve under torque; below 0 it helps
    friction, slope     of the rail, see `cylinder.resistance_of_mass`
    spring, ramp, detent_friction  of the detent that is left, see `detent.detent_force`
    pipe_length, pipe_bore, density  of each of the two pipes, see `cylinder.oil_column_mass`
    delay               of the valve [ms]
    strokes             of cylinders like this in one shift [-]
    shifts, lap         shifts a lap [-], and its time [s]; 0: not asked for

    The net force p A1 - p_b A2 - R moves the mass and the oil in the pipes with constant acceleration until the flow
    limits the speed to Q / A1. Where the load helps so much that it
    moves by itself, the pressure needed is 0. Whatever takes longer than ten seconds, or cannot move, counts as ten.

    Errors: ValueError naming everything impossible at once.
    """
    given = {
        "bore": bore, "rod": rod, "pressure": pressure, "back_pressure": back_pressure, "flow": flow,
        "travel": travel, "mass": mass, "load": load, "friction": friction, "slope": slope,
        "pipe_length": pipe_length, "pipe_bore": pipe_bore, "density": density, "delay": delay, "strokes": strokes,
        "shifts": shifts, "lap": lap,
    }  # fmt: skip
    faults = [] if every(rod < bore) else ["The rod is as thick as the bore, or thicker."]
    if side not in (BORE_SIDE, ROD_SIDE):
        faults.append(f"{side!r} given; expected {BORE_SIDE} or {ROD_SIDE}.")
    try:
        notch = detent.detent_force(spring, ramp, detent_friction)
    except ValueError as error:
        faults.append(str(error))
    refuse(PERMITTED, faults, **given)

    ring = cylinder.ring_area(bore, rod)
    blank = ring if through else cylinder.bore_area(bore)
    driven, other = (blank, ring) if side == BORE_SIDE else (ring, blank)
    resisting = load + cylinder.resistance_of_mass(mass, friction, slope) + notch
    backward = cylinder.oil_force(back_pressure, other)
    push = cylinder.oil_force(pressure, driven) - backward
    net = push - resisting
    columns = cylinder.oil_column_mass(1.0, pipe_length, pipe_bore, density) * (driven * driven + other * other)
    felt = mass + columns
    way = travel / 1000.0
    limit = cylinder.piston_speed(flow, driven)
    seconds = cylinder.travel_time(way, net / felt, limit)
    last = cylinder.speed_after(way, net / felt, limit)
    moves = net > 0
    stroke = driven * travel / 1000.0
    return {
        "force": push,
        "detent_force": notch,
        "resistance": resisting,
        "net_force": net,
        "moves": moves,
        "pressure_needed": maximum(0.0, 10.0 * (resisting + backward) / driven),
        "felt_mass": felt,
        "steady_speed": limit,
        "power": resisting * limit,
        "travel_time": seconds,
        "time": delay / 1000.0 + seconds,
        "mean_speed": where(moves, way / seconds, 0.0),
        "end_speed": last,
        "end_energy": 0.5 * mass * last * last,
        "flow_limits": moves & (last >= limit),
        "peak_flow": cylinder.flow_taken(last, driven),
        "return_flow": cylinder.flow_taken(last, other),
        "oil_stroke": stroke,
        "oil_shift": strokes * stroke,
        "oil_lap": shifts * strokes * stroke,
        "acceleration": net / felt,
    }
