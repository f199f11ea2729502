"""A set of gears as a ladder: speeds in gears, engine speeds after changes, steps from gear to gear.

Values are floats or arrays of draws of one shape.
"""

from __future__ import annotations

from ledger.mechanics.longitudinal import SPIN, neighbours
from ledger.mechanics.maths import every, exp, log, maximum, minimum
from ledger.mechanics.permitted import outside
from ledger.mechanics.vehicle import PERMITTED


def road_speed(engine_speed, ratio, radius):
    """Return the speed of the road in a gear [m/s].

    v = 2 pi n r / (60 i), without slip of the tyres

    engine_speed  n [1/min]
    ratio         i, engine speed over wheel speed [-], above 0
    radius        r, rolling radius [m]

    Source: rolling; any text of vehicle dynamics.
    """
    return engine_speed * radius / (SPIN * ratio)


def engine_speed_after(engine_speed, ratio, higher):
    """Return the engine's speed after a change at one road speed [1/min]: n' = n i' / i.

    engine_speed   n before the change [1/min]
    ratio, higher  i, i' of the gear that is left and of the next [-], above 0
    """
    return engine_speed * higher / ratio


def equal_step(first, last, changes):
    """Return the step that leads in equal steps from the first ratio to the last [-]: (i_1/i_z)^(1/(z - 1)).

    first, last  i_1, i_z [-], above 0
    changes      z - 1, 1 or more
    """
    return exp(log(first / last) / changes)


def ladder(ratios, final, radius, shift_speed, greatest_speed, least_speed):
    """Return the ladder as a dict of values and `rows`, one a gear.

    ratios          of the box, gear by gear, falling [-], 0.01 to 1000
    final           all other ratios between engine and wheels, multiplied [-], 0.01 to 1000
    radius          rolling radius [m], 0.001 to 5
    shift_speed     engine speed at which it changes up [1/min], 1 to 200,000
    greatest_speed  of the engine in the last gear [1/min], the shift speed or more
    least_speed     below which the engine should not fall at a change [1/min], 0 to the shift speed

    Errors: ValueError naming everything impossible at once.
    """
    _refuse(ratios, final, radius, shift_speed, greatest_speed, least_speed)
    rows = [
        {"ratio": ratio, "overall": ratio * final, "speed": road_speed(shift_speed, ratio * final, radius)}
        for ratio in ratios
    ]
    rows[-1]["speed"] = road_speed(greatest_speed, ratios[-1] * final, radius)
    for row, after in neighbours(rows):
        row["step"] = row["ratio"] / after["ratio"]
        row["after"] = engine_speed_after(shift_speed, row["ratio"], after["ratio"])
        row["drop"] = shift_speed - row["after"]
    greatest = least = rows[0]["step"]
    for row in rows[1:-1]:
        greatest, least = maximum(greatest, row["step"]), minimum(least, row["step"])
    lowest = shift_speed / greatest
    return {
        "top_speed": rows[-1]["speed"],
        "spread": ratios[0] / ratios[-1],
        "greatest_step": greatest,
        "least_step": least,
        "equal_step": equal_step(ratios[0], ratios[-1], len(ratios) - 1),
        "greatest_drop": shift_speed - lowest,
        "lowest_after": lowest,
        "stays": lowest >= least_speed,
        "rows": rows,
    }


def _refuse(ratios, final, radius, shift_speed, greatest_speed, least_speed):
    faults = [outside(PERMITTED["ratio"], one) for one in [*ratios, final]]
    faults.append(outside(PERMITTED["radius"], radius))
    faults += [outside(PERMITTED["engine_speed"], one) for one in (shift_speed, greatest_speed)]
    if len(ratios) < 2:
        faults.append("Two gears at least are needed: with one there is no change.")
    if not all(every(one > after) for one, after in neighbours(ratios)):
        faults.append("The ratios must fall from gear to gear, the first the greatest.")
    if not every(greatest_speed >= shift_speed):
        faults.append("The greatest speed of the engine must be the shift speed or more.")
    if not every((least_speed >= 0.0) & (least_speed <= shift_speed)):
        faults.append("The lowest wanted engine speed must lie between 0 and the shift speed.")
    said = [fault for fault in faults if fault]
    if said:
        raise ValueError(" ".join(dict.fromkeys(said)))
