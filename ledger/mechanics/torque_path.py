"""Torque along a path: of the engine and of its slowed inertia, through a clutch that may slip, to each element.

Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics.maths import every, maximum, minimum, pi
from ledger.mechanics.permitted import outside

BEFORE, AFTER = "before", "after"
PERMITTED = {
    "power": ("Power", "kW", 0.001, 100_000.0),
    "speed": ("Speed", "1/min", 1.0, 200_000.0),
    "torque": ("Torque of the engine", "N·m", 0.00001, 1e9),
    "ratio": ("Ratio", "", 0.01, 1000.0),
    "inertia": ("Moment of inertia", "kg·m²", 0.0, 10_000.0),
    "drop": ("Drop of speed", "1/min", 0.0, 200_000.0),
    "duration": ("Time of the drop", "s", 0.0001, 60.0),
    "kept": ("Share of the torque kept", "", 0.0, 1.0),
    "impact": ("Torque of the blow", "N·m", 0.0, 1e9),
    "slip": ("Torque at which the clutch slips", "N·m", 0.001, 1e9),
    "capacity": ("Capacity", "N·m", 0.001, 1e9),
    "step": ("Further ratio", "", 0.01, 1000.0),
    "factor": ("Application factor", "", 0.01, 100.0),
}


def engine_torque(power, speed):
    """Return the torque of a shaft from its power and speed [N·m].

    T = P / ω = 1000 P / (2π n / 60)

    power  P [kW], 0.001 to 100,000
    speed  n [1/min], 1 to 200,000

    Errors: ValueError for zero, negative or otherwise impossible values.
    Source: definition of power; Wentzell, Machine Design, ex. 17.1, p. 379: 5 hp at 1750 1/min give 180 lbf·in.
    """
    _refuse([outside(PERMITTED["power"], power), outside(PERMITTED["speed"], speed)])
    return 60_000.0 * power / (2.0 * pi * speed)


def inertia_torque(inertia, drop, duration):
    """Return the mean torque of an inertia whose speed is forced down [N·m].

    T = J Δω / Δt = J (2π Δn / 60) / Δt

    inertia   J [kg·m²], 0 to 10,000
    drop      Δn [1/min], 0 to 200,000
    duration  Δt [s], 0.0001 to 60; anything where nothing is slowed

    Errors: ValueError for impossible values, and for a drop in no time.
    Source: Newton's second law for rotation; Bhandari, Design of Machine Elements, ex. 12.1.
    """
    faults = [outside(PERMITTED["inertia"], inertia), outside(PERMITTED["drop"], drop)]
    idle = every(inertia * drop == 0)
    if not idle:
        faults.append(outside(PERMITTED["duration"], duration))
    _refuse(faults)
    return inertia * drop * (2.0 * pi / 60.0) / (1.0 if idle else duration)


def through_clutch(torque, slip):
    """Return the torque that passes a clutch [N·m]: min(T, T_slip); beyond it the clutch slips."""
    return minimum(torque, slip)


def margin(held, torque):
    """Return how much more torque an element would hold, over what it must hold [-].

    m = T_held / T - 1, with T_held = C / (K i): zero when the element just holds, negative when it does not

    held    T_held, torque behind the clutch at which the element is at its capacity [N·m], above 0
    torque  T, torque behind the clutch [N·m], above 0
    """
    return held / torque - 1.0


def torque_path(
    torque,
    elements,
    ratio=1.0,
    inertia=0.0,
    drop=0.0,
    duration=0.0,
    kept=1.0,
    slip=PERMITTED["slip"][3],
    impact=0.0,
):
    """Return torques along the path and the margin of every element, as a dict of values and rows.

    torque    T of the engine, steady [N·m], 0.00001 to 1e9
    elements  rows `element`, `capacity` [N·m], `where` ("before" or "after" the ratio), `factor` [-], `step` [-]: a
              further ratio on its way, torque there over torque in the path (1 if left out)
    ratio     i = input speed over output speed of the gear that carries [-], 0.01 to 1000
    inertia, drop, duration  of the engine while it is slowed during a change, see `inertia_torque`
    kept      k, share of T that the engine still gives during the change [-], 0 to 1
    slip      T_slip of the clutch between engine and path [N·m]; left out, it never slips
    impact    T_i that the blow of engaging dogs adds [N·m]; the mean torque of the slowed inertia is the same momentum,
              so one of the two is given

    Steady T_s = min(T, T_slip); change T_c = min(k T + T_J + T_i, T_slip): the torque of the engine, that of its
    inertia and that of the blow all pass the clutch. Elements must hold K T_p with T_p = max(T_s, T_c) before the
    ratio, K i T_p after it. Given too are the greatest torque behind the clutch that every element holds, min C/(K i),
    and in each row `weakest`, its share in being the weakest (ties are shared).

    Errors: ValueError naming everything impossible at once.
    """
    faults = [
        outside(PERMITTED[name], value)
        for name, value in (
            ("torque", torque),
            ("ratio", ratio),
            ("kept", kept),
            ("slip", slip),
            ("impact", impact),
        )
    ]
    try:
        slowed = inertia_torque(inertia, drop, duration)
    except ValueError as error:
        faults.append(str(error))
    if not every(impact == 0) and not every(inertia * drop * impact == 0):
        faults.append("Give the slowed inertia or the blow of the dogs, not both: they are one momentum counted twice.")
    _refuse(faults + _element_faults(elements))
    steady = through_clutch(torque, slip)
    asked = kept * torque + slowed + impact
    change = through_clutch(asked, slip)
    peak = maximum(steady, change)
    rows = []
    for element in elements:
        felt = element["factor"] * element.get("step", 1.0)
        felt = felt * ratio if element["where"] == AFTER else felt
        held = element["capacity"] / felt
        rows.append(
            {
                "element": element["element"].strip(),
                "where": element["where"],
                "capacity": element["capacity"],
                "torque": felt * peak,
                "margin": margin(held, peak),
                "held": held,
            }
        )
    least, held = rows[0]["margin"], rows[0]["held"]
    for row in rows[1:]:
        least, held = minimum(least, row["margin"]), minimum(held, row["held"])
    weakest = [row["margin"] == least for row in rows]
    ties = sum(one * 1 for one in weakest)
    for row, one in zip(rows, weakest, strict=True):
        row["weakest"] = one / ties
    return {
        "inertia_torque": slowed,
        "steady_torque": steady,
        "change_torque": change,
        "peak_torque": peak,
        "after_torque": ratio * peak,
        "clutch_slips": asked > slip,
        "clutch_slips_steadily": torque > slip,
        "least_margin": least,
        "held_torque": held,
        "headroom": held - peak,
        "every_element_holds": least >= 0,
        "elements": rows,
    }


def _element_faults(elements):
    names = [element["element"].strip() for element in elements]
    faults = [] if names else ["No element is named; a path needs one at least."]
    for name in dict.fromkeys(names):
        if not name:
            faults.append("An element has no name.")
        elif names.count(name) > 1:
            faults.append(f"Element {name} stands in {names.count(name)} rows; name them apart.")
    for element, name in zip(elements, names, strict=True):
        said = [outside(PERMITTED[key], element.get(key, 1.0)) for key in ("capacity", "step", "factor")]
        if element["where"] not in (BEFORE, AFTER):
            said.append(f"{element['where']!r} given; expected {BEFORE} or {AFTER}.")
        faults += [f"{name or 'An element'}: {one}" for one in said if one]
    return faults


def _refuse(faults):
    said = [fault for fault in faults if fault]
    if said:
        raise ValueError(" ".join(said))
