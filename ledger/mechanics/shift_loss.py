"""A vehicle along a straight, changing up with a gap or an overlap, and what the changes cost.

Values are floats or arrays of draws of one shape. For a vehicle see `vehicle`.
"""

from __future__ import annotations

from ledger.mechanics.longitudinal import (
    SPIN,
    advance,
    carried_mass,
    resistance,
    time_between,
    time_to_place,
    torque_at,
    tyre_force,
)
from ledger.mechanics.maths import absolute, every, maximum, minimum, where
from ledger.mechanics.vehicle import shape_of

LEAST = 0.01
NEVER = 1e9
NEAR = 1e-9
MOST_STEPS = 100_000


def acceleration(vehicle, grade, speed, ratio, change=None):
    """Return the acceleration of the vehicle at full throttle [m/s²].

    a = min((eta i (q T + T_J)/r - R)/M, (F_tyre - R)/m)

    The clutch passes q T + T_J up to its `slip`. In gear q is 1 and T_J is 0. In a gap q is `gap_drive` and the
    engine's inertia does not belong to M; in an overlap q is `overlap_drive`, T the torque midway between the speeds
    before and after, and T_J = c J dw/d the torque of the engine that is slowed by dw in the duration d, with c the
    `surge`. Below the first row of the curve the clutch slips: T is that of the first row and the engine's inertia is
    free.

    grade   of the road [-]
    speed   v [m/s]
    ratio   i of the gear [-]
    change  None, or a dict of `open` and `over` (in a gap, in an overlap), `drop` [1/min] and `torque` T_J [N·m]
    """
    radius, turned = vehicle["radius"], ratio / vehicle["radius"]
    engine = SPIN * turned * speed
    free = engine < vehicle["curve"][0]["speed"] * (1.0 - NEAR)
    if change is None:
        torque = torque_at(engine, vehicle["curve"])
    else:
        open_, over = change["open"], change["over"]
        share = where(open_, vehicle["gap_drive"], where(over, vehicle["overlap_drive"], 1.0))
        torque = share * torque_at(engine + change["drop"] / 2.0, vehicle["curve"]) + change["torque"]
        free = free | open_
    torque = minimum(torque, vehicle["slip"])
    held = resistance(speed, vehicle["mass"], vehicle["rolling"], vehicle["drag"], grade)
    grip = tyre_force(speed, vehicle["mass"], vehicle["grip"], vehicle["driven"], vehicle["downforce"], grade)
    inertia = where(free, 0.0, vehicle["engine_inertia"])
    moved = carried_mass(vehicle["mass"], vehicle["wheel_inertia"], radius, inertia, ratio, vehicle["efficiency"])
    driven = (vehicle["efficiency"] * turned * torque - held) / moved
    return minimum(driven, (grip - held) / vehicle["mass"])


def gear_at(vehicle, speed):
    """Return the place of the lowest gear that keeps the engine at or below its shift speed (the last gear if none)."""
    gear = 0.0 * speed
    for ratio in vehicle["ratios"][:-1]:
        gear = gear + where(SPIN * ratio * speed / vehicle["radius"] > vehicle["shift_speed"] * (1.0 + NEAR), 1.0, 0.0)
    return gear


def picked(values, gear):
    """Return each draw's value of its own gear; beyond the last there is the last."""
    found = values[-1] + 0.0 * gear
    for place, value in enumerate(values[:-1]):
        found = where(gear == place, value, found)
    return found


def run_straight(vehicle, length, entry, grade, step, record=None):
    """Return how a straight was driven at full throttle, as a dict.

    `time` [s], `speed` [m/s] and `acceleration` [m/s²] at its end; number of `changes`; summed over them the `delay`
    [s] and the `ahead` [m]: how much later, and how much further on, the vehicle is when it has its speed again in the
    next gear than it was when the change began; `regains`, whether it can regain it each time.

    length  [m], above 0
    entry   speed at its start [m/s]
    grade   rise over run [-]
    step    greatest step of time [s]; a step also ends at each row of the engine's curve, at each change, at the end of
            each change and at the end of the straight
    record  None, or a list to which the steps are appended: time, place, speed, gear's place, ratio, acceleration

    Errors: ValueError when the vehicle does not get going or takes too many steps.
    """
    zero = shape_of(vehicle, length, entry, grade)
    at = {"speed": entry + zero, "gear": gear_at(vehicle, entry + zero), "done": zero > 0.0, "regains": zero == 0.0}
    at.update(dict.fromkeys(("time", "place", "left", "total", "began_at", "delay", "ahead", "changes", "pull"), zero))
    at.update(began=at["speed"], ratio=picked(vehicle["ratios"], at["gear"]), drop=zero, torque=zero)
    at.update(open=at["done"], over=at["done"])
    for _ in range(MOST_STEPS):
        at = _step(vehicle, length, grade, step, at, record)
        if every(at["done"]):
            break
    else:
        raise ValueError(f"It takes more than {MOST_STEPS} steps: the vehicle hardly moves.")
    if record is not None:
        record.append(at)
    kept = ("time", "speed", "changes", "delay", "ahead", "regains")
    return {**{key: at[key] for key in kept}, "acceleration": at["pull"]}


def _step(vehicle, length, grade, step, at, record):
    """Return the state after the next step of every draw."""
    underway = at["done"] ^ True
    top = where(at["gear"] < len(vehicle["ratios"]) - 1, vehicle["shift_speed"], vehicle["curve"][-1]["speed"])
    limit = top * vehicle["radius"] / (SPIN * at["ratio"])
    full = underway & (at["speed"] >= limit * (1.0 - NEAR)) & ((at["open"] | at["over"]) ^ True)
    at, changed = _change_up(vehicle, grade, at, full)
    full, changing = full & (changed ^ True), at["open"] | at["over"]

    def pull(one):
        free = acceleration(vehicle, grade, one, at["ratio"], at)
        return where(full, minimum(free, 0.0), free)

    speed, now = at["speed"], pull(at["speed"])
    if record is not None:
        record.append({**at, "pull": now})
    if not every(at["done"] | (speed > 0.0) | (now > 0.0)):
        raise ValueError("The vehicle does not get going, or comes to rest: the drive is less than what holds it.")
    target = _next_row(vehicle, speed, at["ratio"], limit)
    to_row = where(full | changing, NEVER, time_between(speed, target, now, pull, NEAR)[0])
    to_end = time_to_place(speed, now, length - at["place"])
    duration = minimum(minimum(step, to_end), minimum(to_row, where(changing, at["left"], NEVER)))
    duration = where(underway, duration, 0.0)
    arrived = underway & (to_end <= duration)
    after, covered = advance(speed, now, pull, duration)
    after = where(underway & (to_row <= duration) & (arrived ^ True), target, maximum(after, 0.0))
    place = at["place"] + covered
    rest = where(arrived, (length - place) / maximum(after, NEAR), 0.0)
    at = {
        **at,
        "speed": after,
        "place": where(arrived, length, place),
        "time": at["time"] + duration + rest,
        "left": maximum(at["left"] - duration, 0.0),
        "pull": where(arrived, now, at["pull"]),
        "done": at["done"] | arrived,
    }
    return _settle(vehicle, grade, at, changing & underway & (arrived | (at["left"] <= 1e-12)))


def _change_up(vehicle, grade, at, full):
    """Return the state after changes up, and where there was one: at full speed, if the next gear still accelerates."""
    ready = full & (at["gear"] < len(vehicle["ratios"]) - 1)
    if every(ready ^ True):
        return at, ready
    higher, gap = picked(vehicle["ratios"], at["gear"] + 1.0), picked(vehicle["gaps"], at["gear"])
    ready = ready & (acceleration(vehicle, grade, at["speed"], higher) > LEAST)
    begun = under_change(vehicle, gap, at["speed"], at["ratio"], higher)
    begun.update(left=absolute(gap), total=absolute(gap), began=at["speed"], began_at=at["place"])
    started = ready & (gap != 0.0)
    one = where(ready, 1.0, 0.0)
    return {
        **at,
        **{key: where(started, value, at[key]) for key, value in begun.items()},
        "gear": at["gear"] + one,
        "changes": at["changes"] + one,
        "ratio": where(ready, higher, at["ratio"]),
    }, ready


def _settle(vehicle, grade, at, ended):
    """Return the state after changes that ended were counted."""
    if every(ended ^ True):
        return at
    late, on, back = regained(vehicle, grade, at["ratio"], at["speed"], at["began"])
    still = ended ^ True
    return {
        **at,
        "delay": at["delay"] + where(ended, at["total"] - at["left"] + late, 0.0),
        "ahead": at["ahead"] + where(ended, at["place"] - at["began_at"] + on, 0.0),
        "regains": at["regains"] & (back | still),
        "open": at["open"] & still,
        "over": at["over"] & still,
        "drop": where(ended, 0.0, at["drop"]),
        "torque": where(ended, 0.0, at["torque"]),
    }


def under_change(vehicle, gap, speed, ratio, higher):
    """Return the change that begins at a speed, as `acceleration` takes it.

    gap            [s], above 0 a gap, below 0 an overlap; at 0 there is neither
    speed          v [m/s]
    ratio, higher  of the gear that is left and of the next [-]
    """
    over = gap < 0.0
    slowed = where(over, speed * (ratio - higher) / vehicle["radius"], 0.0)
    surge = vehicle["surge"] * vehicle["engine_inertia"] * slowed / where(over, absolute(gap), 1.0)
    return {"open": gap > 0.0, "over": over, "drop": SPIN * slowed, "torque": surge}


def _next_row(vehicle, speed, ratio, limit):
    """Return the speed of the vehicle at the next row of the engine's curve, or at the limit if that comes first."""
    per_row = vehicle["radius"] / (SPIN * ratio)
    target = limit
    for row in vehicle["curve"]:
        at_row = row["speed"] * per_row
        target = where(at_row > speed * (1.0 + NEAR), minimum(target, at_row), target)
    return target


def regained(vehicle, grade, ratio, speed, start_speed):
    """Return time [s] and distance [m] from a speed to the one before the change, and whether it can be regained."""

    def pull(one):
        return acceleration(vehicle, grade, one, ratio)

    now = pull(speed)
    late, on = time_between(speed, start_speed, now, pull, LEAST)
    return late, on, (now > LEAST) & (pull(start_speed) > LEAST)
