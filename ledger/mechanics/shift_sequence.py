"""The states a sequential gearbox passes, in order, and the places an actuator needs to follow them.

A state is a dict: `name`, `kind` (reverse, neutral, gear, overlap), the `gears` held (reverse is -1) and the members
`engaged`. The sequence is enumerated, and nothing is taken from a formula:

    R (if there is reverse), N, 1, 1+2, 2, 2+3, 3 … n

Overlaps are states of their own where they are held as a dwell. Passed through against a spring, or not there at all,
they take no place. Reverse overlaps nothing and stands before neutral; where neutral is not counted it is passed
through between reverse and first without a place.

An actuator's places are the runs of what it holds along the sequence: the same holding twice with another between is
two places, since a drum cannot turn back on its way up. Its steps are one fewer. Counted by gears, an actuator holds
gears, and members part by themselves within a place; counted by members, it sets every member itself.
"""

from __future__ import annotations

from ledger.mechanics.bind_check import both_sides, make_moves, overlap_moves
from ledger.mechanics.hub_pairing import REVERSE

DWELL = "dwell"
SPRING = "spring"
NO_OVERLAP = "none"


def sequence(gears, apart, reverse=False, neutral=True, overlap=DWELL):
    """Return the states from the lowest to the highest, in order.

    gears    forward gears, n >= 1
    apart    whether each gear's members move apart, by gear
    """
    states = [_state("R", "reverse", (REVERSE,))] if reverse else []
    if neutral:
        states.append(_state("N", "neutral", ()))
    for gear in range(1, gears + 1):
        if gear > 1 and overlap == DWELL:
            moves, held = overlap_moves(gear - 1, gear, apart[gear - 1], apart[gear])
            engaged = make_moves(both_sides(gear - 1), moves[:held])
            states.append(_state(f"{gear - 1}+{gear}", "overlap", (gear - 1, gear), engaged))
        states.append(_state(str(gear), "gear", (gear,)))
    return states


def _state(name, kind, gears, engaged=None):
    members = [member for gear in gears for member in both_sides(gear)] if engaged is None else engaged
    return {"name": name, "kind": kind, "gears": gears, "engaged": frozenset(members)}


def places(holdings):
    """Return the place number, from 1, at every state: a new place wherever what is held changes."""
    numbers = []
    for k, held in enumerate(holdings):
        numbers.append(1 if k == 0 else numbers[-1] + (held != holdings[k - 1]))
    return numbers


def hold_gears(states, own):
    """Return what an actuator with these gears holds at every state, by gears."""
    return [tuple(gear for gear in state["gears"] if gear in own) for state in states]


def hold_members(states, own):
    """Return what an actuator with these gears holds at every state, by members."""
    return [frozenset(member for member in state["engaged"] if member[0] in own) for state in states]


def moves_between(one, other, apart, overlap):
    """Return the moves from one state up to the next."""
    if one["kind"] == "gear" and other["kind"] == "gear":
        if overlap == SPRING:
            (lower,), (upper,) = one["gears"], other["gears"]
            return overlap_moves(lower, upper, apart[lower], apart[upper])[0]
    elif "overlap" in (one["kind"], other["kind"]):
        lower, upper = (one if one["kind"] == "overlap" else other)["gears"]
        moves, held = overlap_moves(lower, upper, apart[lower], apart[upper])
        return moves[:held] if other["kind"] == "overlap" else moves[held:]
    leaving, coming = ([member for gear in state["gears"] for member in both_sides(gear)] for state in (one, other))
    return [move for move in (("out", tuple(leaving)), ("in", tuple(coming))) if move[1]]
