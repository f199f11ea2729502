"""What the changes of a whole lap cost: straights driven with the time that changes take, and again without.

Values are floats or arrays of draws of one shape. For a vehicle see `vehicle`.
"""

from __future__ import annotations

from ledger.mechanics.longitudinal import SPIN, advance, carried_mass, neighbours, resistance
from ledger.mechanics.maths import absolute, maximum, where
from ledger.mechanics.shift_loss import acceleration, regained, run_straight, under_change
from ledger.mechanics.vehicle import refuse, without_gaps


def straights_of_trace(trace, rise):
    """Return the stretches of a trace on which the vehicle gains speed, as rows: `name`, `length`, `entry` and `exit`.

    A stretch runs from a least to the next greatest speed if there lies `rise` or more between them, and ends where the
    speed has fallen by as much. Least and greatest are found on the means of the draws.

    trace  rows of `distance` [m], rising, and `speed` [m/s]
    rise   least gain that counts [m/s], above 0

    Errors: ValueError for a trace that goes back, or that gains speed nowhere.
    """
    mean = [{key: _mean(row[key]) for key in ("distance", "speed")} for row in trace]
    if any(after["distance"] <= row["distance"] for row, after in neighbours(mean)):
        raise ValueError("The distances of the trace must rise from row to row.")
    found, low, high = [], 0, 0
    for place, row in enumerate(mean):
        fallen = mean[high]["speed"] - row["speed"]
        if fallen >= rise and mean[high]["speed"] - mean[low]["speed"] >= rise:
            found.append((low, high))
            low = high = place
        elif row["speed"] <= mean[low]["speed"]:
            low = high = place
        elif row["speed"] >= mean[high]["speed"]:
            high = place
    if mean and mean[high]["speed"] - mean[low]["speed"] >= rise:
        found.append((low, high))
    if not found:
        raise ValueError("The trace gains speed nowhere by as much as is asked for.")
    return [
        {
            "name": f"from {mean[low]['distance']:.0f} m",
            "length": trace[high]["distance"] - trace[low]["distance"],
            "entry": trace[low]["speed"],
            "exit": trace[high]["speed"],
            "grade": 0.0,
            "times": 1.0,
        }
        for low, high in found
    ]


def lap_loss(vehicle, straights, step):
    """Return what the changes of a lap cost, as a dict of values and rows.

    vehicle    see `vehicle`
    straights  rows of `name`, `length` [m], `entry` [m/s], `grade` [-], `times` a lap
    step       greatest step of time [s]

    To a place: time at the end of each straight, less that of the same vehicle whose changes take no time. To a speed:
    how much later than that vehicle it has the same speed, change by change. Distance: how far it is behind, at the end
    of the straight, v t - a t²/2 with t the loss to the place, and speed and acceleration there.

    Errors: ValueError naming everything impossible at once.
    """
    refuse(vehicle, straights, step)
    ideal = without_gaps(vehicle)
    sums = dict.fromkeys(("time", "time_without", "place_loss", "speed_loss", "distance_loss", "changes"), 0.0)
    regains, rows = True, []
    for straight in straights:
        try:
            with_, without = (
                run_straight(one, straight["length"], straight["entry"], straight["grade"], step)
                for one in (vehicle, ideal)
            )
        except ValueError as error:
            raise ValueError(f"Straight {straight['name']}: {error}") from error
        lost = with_["time"] - without["time"]
        behind = 1.0 * where(
            lost > 0.0,
            with_["speed"] * lost - with_["acceleration"] * lost * lost / 2.0,
            without["speed"] * lost + without["acceleration"] * lost * lost / 2.0,
        )
        row = {
            "time": with_["time"],
            "time_without": without["time"],
            "place_loss": lost,
            "speed_loss": with_["delay"],
            "distance_loss": behind,
            "changes": with_["changes"],
        }
        sums = {key: value + straight["times"] * row[key] for key, value in sums.items()}
        regains = regains & with_["regains"]
        rows.append({**row, "name": straight["name"], "times": straight["times"], "speed": with_["speed"]})
    per = maximum(sums["changes"], 1.0)
    return {
        **sums,
        **{f"{key}_a_change": sums[key] / per for key in ("place_loss", "speed_loss", "distance_loss")},
        "regains": regains,
        "surge_torque": surge_torque(vehicle),
        "straights": rows,
    }


def surge_torque(vehicle):
    """Return the greatest torque of the slowed engine in any overlap, before tyres limit it [N·m]: c J dw/d."""
    greatest = 0.0
    for row in each_change(vehicle):
        greatest = maximum(greatest, row["torque"])
    return greatest


def each_change(vehicle):
    """Return every change at its shift speed on a level road, as rows.

    `speed` [m/s] at which it begins; `after`, the speed [m/s] when it is over; `drop` of the engine's speed [1/min];
    `torque` of the slowed engine in an overlap [N·m]; `delay` and `ahead`, see `shift_loss.run_straight`, and
    `regains`. To first order the time lost at a mark further on is delay - ahead / speed there.
    """
    rows = []
    for gap, ratio, higher in zip(vehicle["gaps"], vehicle["ratios"], vehicle["ratios"][1:], strict=False):
        speed = vehicle["shift_speed"] * vehicle["radius"] / (SPIN * ratio)
        change = under_change(vehicle, gap, speed, ratio, higher)

        def pull(one, higher=higher, change=change):
            return acceleration(vehicle, 0.0, one, higher, change)

        duration = absolute(gap)
        after, covered = advance(speed, pull(speed), pull, duration)
        after = maximum(after, 0.0)
        late, on, back = regained(vehicle, 0.0, higher, after, speed)
        rows.append(
            {
                "speed": speed,
                "after": after,
                "drop": SPIN * speed * (ratio - higher) / vehicle["radius"],
                "torque": change["torque"],
                "delay": duration + late,
                "ahead": covered + on,
                "regains": back,
            }
        )
    return rows


def around_change(vehicle, place, step):
    """Return what is drawn of one change on a level road, with the time it takes and without, as two lists of points.

    A point has `time` since the change began [s], `speed` [m/s], `torque` through the wheels' axle [N·m] and the
    `engine`'s speed [1/min], which is drawn falling evenly while a change takes time.

    place  of the gear that is left, 0 for the first
    step   of time [s]
    """
    ratio, higher = vehicle["ratios"][place], vehicle["ratios"][place + 1]
    begins = vehicle["shift_speed"] * vehicle["radius"] / (SPIN * ratio)
    gap = vehicle["gaps"][place]
    lead = maximum(0.05, absolute(gap))
    entry = maximum(0.7 * begins, begins - lead * maximum(acceleration(vehicle, 0.0, begins, ratio), 0.0))
    alone = {**vehicle, "ratios": [ratio, higher], "gaps": [gap]}
    lines = []
    for one in (alone, without_gaps(alone)):
        steps = []
        run_straight(one, begins * (2.0 * lead + 2.0 * absolute(gap)), entry, 0.0, step, steps)
        start = next((at["time"] for at in steps if at["gear"] > 0.5), steps[-1]["time"])
        bare = carried_mass(vehicle["mass"], vehicle["wheel_inertia"], vehicle["radius"])
        points = []
        for at in steps:
            since, speed = at["time"] - start, at["speed"]
            held = resistance(speed, vehicle["mass"], vehicle["rolling"], vehicle["drag"], 0.0)
            slowing = (at["gear"] > 0.5) & (since < absolute(one["gaps"][0]))
            share = 1.0 - since / absolute(gap) if slowing else 0.0
            engine = SPIN * speed / vehicle["radius"] * (at["ratio"] + share * (ratio - higher))
            torque = (bare * at["pull"] + held) * vehicle["radius"]
            points.append({"time": since, "speed": speed, "torque": torque, "engine": engine})
        lines.append(points)
    return lines


def _mean(value):
    return sum(value) / len(value) if hasattr(value, "__len__") else value
