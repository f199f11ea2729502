"""The rows that tell a reader what a gearbox does from state to state, as lists of dicts."""

from __future__ import annotations

from ledger.mechanics.bind_check import (
    COAST,
    DOWN,
    DRIVE,
    UP,
    cross_overlap,
    name_gear,
    name_members,
    name_moves,
    turned_round,
)
from ledger.mechanics.shift_sequence import (
    NO_OVERLAP,
    SPRING,
    hold_gears,
    hold_members,
    moves_between,
    places,
    sequence,
)

NEUTRAL = "N"


def actuator_row(name, own, gears, apart, reverse, neutral, overlap):
    """Return what one actuator needs: positions and steps under both conventions, and its places in order."""
    row = {"actuator": name, "gears": ", ".join(name_gear(gear) for gear in sorted(own))}
    for way, counted in (("without", False), ("with", True)):
        states = sequence(gears, apart, reverse, counted, overlap)
        positions = max(places(hold_gears(states, own)))
        row[f"positions_{way}_neutral"] = positions
        row[f"steps_{way}_neutral"] = positions - 1
        row[f"positions_by_member_{way}_neutral"] = max(places(hold_members(states, own)))
    held = hold_gears(sequence(gears, apart, reverse, neutral, overlap), own)
    row["places"] = " · ".join(_name_held(one) for k, one in enumerate(held) if k == 0 or one != held[k - 1])
    return row


def _name_held(held):
    return "+".join(name_gear(gear) for gear in held) or NEUTRAL


def state_rows(states, teams):
    """Return every state with the members engaged and every actuator's place."""
    numbers = {name: places(hold_gears(states, own)) for name, own in teams.items()}
    return [
        {
            "number": k + 1,
            "state": state["name"],
            "kind": state["kind"],
            "engaged": name_members(state["engaged"]),
            "places": ", ".join(f"{name} {numbers[name][k]}" for name in teams),
        }
        for k, state in enumerate(states)
    ]


def _sides(hub, engaged, side):
    """Return the sides of a hub whose gear has its member of this kind engaged."""
    return [where for where in ("left", "right") if hub[where] is not None and (hub[where], side) in engaged]


def _position(sides):
    return " and ".join(sides) or "neutral"


def fork_rows(states, hubs):
    """Return where every fork stands in every state: left, right, neutral; its drive and coast side apart."""
    rows = []
    for k, state in enumerate(states):
        for hub in hubs:
            drive, coast = (_sides(hub, state["engaged"], side) for side in (DRIVE, COAST))
            either = [where for where in ("left", "right") if where in drive or where in coast]
            rows.append(
                {
                    "number": k + 1,
                    "state": state["name"],
                    "hub": hub["hub"],
                    "actuator": hub["actuator"],
                    "position": _position(either),
                    "drive_side": _position(drive),
                    "coast_side": _position(coast),
                }
            )
    return rows


def chart_rows(states, hubs):
    """Return the tracks developed: every fork's offset, -1 left, 0 neutral, 1 right, at every state.

    A hub whose members move apart has two tracks. A sleeve that two overlapping gears share has two rows for one state.
    """
    rows = []
    for hub in hubs:
        for side in (DRIVE, COAST) if hub["apart"] else (None,):
            track = f"{hub['hub']} {side}" if side else hub["hub"]
            for k, state in enumerate(states):
                sides = _sides(hub, state["engaged"], side or DRIVE) + _sides(hub, state["engaged"], side or COAST)
                offsets = sorted({-1 if where == "left" else 1 for where in sides}) or [0]
                rows += [
                    {
                        "number": k + 1,
                        "state": state["name"],
                        "track": track,
                        "actuator": hub["actuator"],
                        "offset": offset,
                    }
                    for offset in offsets
                ]
    return rows


def shift_rows(states, teams, apart, overlap):
    """Return every step up and then down: the members moved, in order, and the actuators that turn."""
    numbers = {name: places(hold_gears(states, own)) for name, own in teams.items()}
    rows = []
    for direction in (UP, DOWN):
        steps = range(1, len(states))
        for k in steps if direction == UP else reversed(steps):
            moves = moves_between(states[k - 1], states[k], apart, overlap)
            start, end = (k - 1, k) if direction == UP else (k, k - 1)
            turning = [name for name in teams if numbers[name][start] != numbers[name][end]]
            rows.append(
                {
                    "direction": direction,
                    "from": states[start]["name"],
                    "to": states[end]["name"],
                    "moves": name_moves(moves if direction == UP else turned_round(moves)),
                    "actuators": ", ".join(f"{name} {numbers[name][start]}→{numbers[name][end]}" for name in turning),
                }
            )
    return rows


def overlap_rows(gears, apart, overlap, load_reversed, known):
    """Return the bind check's rows. What locks and what carries depends on the order of the ratios alone."""
    if overlap == NO_OVERLAP:
        return []
    order, rows = {gear: float(gears + 1 - gear) for gear in range(1, gears + 1)}, []
    for lower in range(1, gears):
        for direction in (UP, DOWN):
            for load in (DRIVE, COAST):
                row = cross_overlap(lower, lower + 1, apart, direction, load, order, overlap == SPRING, load_reversed)
                if known:
                    step = known[lower + 1] / known[lower]
                    row["input_speed_change"] = (step if direction == UP else 1 / step) - 1
                rows.append(row)
    return rows
