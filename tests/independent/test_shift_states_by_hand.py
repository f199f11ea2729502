"""Shift states against closed forms, searches over all moves, a second method by trial speeds, and cases by hand."""

from __future__ import annotations

from itertools import permutations, product

import networkx
import pytest

from ledger.mechanics.bind_check import (
    COAST,
    DOWN,
    DRIVE,
    UP,
    both_sides,
    carrier,
    cross,
    cross_overlap,
    locks,
    overlap_moves,
    turned_round,
    who_carries,
)
from ledger.mechanics.hub_pairing import actuators_needed
from ledger.mechanics.shift_states import shift_states
from tests.pairings import workable_pairings

RATIOS = {1: 3.0, 2: 2.0, 3: 1.5}
APART = {1: True, 2: True, 3: True}
CASES = list(product((UP, DOWN), (DRIVE, COAST)))


def per_actuator(result: dict, way: str) -> list[int]:
    """Positions of every actuator under one convention."""
    return [row[f"positions_{way}_neutral"] for row in result["actuator_places"]]


def test_eight_gears_on_one_drum() -> None:
    """Common practice, no source: one drum is quoted with fourteen. Those are steps without neutral."""
    result = shift_states(8, actuators=1)
    assert (result["positions_without_neutral"], result["steps_without_neutral"]) == (15, 14)
    assert (result["positions_with_neutral"], result["steps_with_neutral"]) == (16, 15)


def test_eight_gears_on_two_drums() -> None:
    """Common practice, no source: two drums are quoted with nine each. The busier has nine, with neutral."""
    result = shift_states(8, actuators=2)
    assert per_actuator(result, "with") == [9, 8]
    assert per_actuator(result, "without") == [8, 8]
    assert result["positions"] == result["positions_with_neutral"] == 9


@pytest.mark.parametrize("gears", range(2, 15))
def test_positions_follow_the_closed_forms(gears: int) -> None:
    """One drum 2n - 1, with neutral 2n; two drums n each, with neutral n + 1 and n; reverse adds one to a lone drum."""
    one, two = shift_states(gears, actuators=1), shift_states(gears, actuators=2)
    assert (per_actuator(one, "without"), per_actuator(one, "with")) == ([2 * gears - 1], [2 * gears])
    assert (per_actuator(two, "without"), per_actuator(two, "with")) == ([gears, gears], [gears + 1, gears])
    backwards = shift_states(gears, actuators=1, reverse=True)
    assert (per_actuator(backwards, "without"), per_actuator(backwards, "with")) == ([2 * gears], [2 * gears + 1])


@pytest.mark.parametrize("overlap", ["spring", "none"])
def test_overlaps_that_are_not_held_take_no_position(overlap: str) -> None:
    """Passed through or absent, eight gears on one drum leave 8 positions, 9 with neutral."""
    result = shift_states(8, overlap=overlap)
    assert (result["positions_without_neutral"], result["positions_with_neutral"]) == (8, 9)


def test_two_drums_that_set_the_members_themselves_need_as_many_places_as_one() -> None:
    """Each step moves coast sides or drive sides from gear to gear, so a drum moves at nearly every step: 16, not 9."""
    assert shift_states(8, actuators=2)["positions_by_member"] == 16
    assert shift_states(8, actuators=1)["positions_by_member"] == 16


def test_three_gears_on_two_drums_by_hand() -> None:
    """Written out: N, 1, 1+2, 2, 2+3, 3 with 1-3 on A and 2 on B."""
    result = shift_states(3, actuators=2)
    assert [row["state"] for row in result["states"]] == ["N", "1", "1+2", "2", "2+3", "3"]
    assert [row["places"] for row in result["states"]] == [
        "A 1, B 1",
        "A 2, B 1",
        "A 2, B 2",
        "A 3, B 2",
        "A 4, B 2",
        "A 4, B 3",
    ]
    forks = {(row["state"], row["hub"]): (row["drive_side"], row["coast_side"]) for row in result["fork_positions"]}
    assert forks["1+2", "1-3"] == ("left", "neutral")
    assert forks["1+2", "2"] == ("neutral", "left")
    assert forks["2+3", "1-3"] == ("neutral", "right")
    assert forks["3", "2"] == ("neutral", "neutral")


def locks_mechanically(engaged: frozenset, ratios: dict[int, float]) -> bool:
    """Second method: try input speeds on a fine ladder and ask each flank in turn whether it is run into."""

    def stands(speed: float) -> bool:
        return all(speed <= ratios[g] + 1e-9 if side == DRIVE else speed >= ratios[g] - 1e-9 for g, side in engaged)

    return not any(stands(step / 1000) for step in range(1, 5000))


@pytest.mark.parametrize("chosen", range(64))
def test_a_set_of_members_locks_when_no_input_speed_suits_every_flank(chosen: int) -> None:
    """All 64 sets of members of three gears, by trying speeds: the window formula finds the same locks."""
    members = [member for gear in RATIOS for member in both_sides(gear)]
    engaged = frozenset(member for bit, member in enumerate(members) if chosen >> bit & 1)
    assert locks(engaged, RATIOS) == locks_mechanically(engaged, RATIOS)


def settled(engaged: frozenset, load: str) -> set[int]:
    """Second method: push the input from a speed that suits, and note the gears whose flanks stop it."""
    suits = [n / 1000 for n in range(1, 9000) if not blocked(engaged, n / 1000)]
    end = max(suits) if load == DRIVE else min(suits)
    return blocked(engaged, end + (0.001 if load == DRIVE else -0.001))


def blocked(engaged: frozenset, speed: float) -> set[int]:
    """The gears whose flanks forbid a speed."""
    return {g for g, side in engaged if (speed > RATIOS[g] + 1e-9 if side == DRIVE else speed < RATIOS[g] - 1e-9)}


@pytest.mark.parametrize("chosen", range(1, 16))
@pytest.mark.parametrize("load", [DRIVE, COAST])
def test_the_gear_that_carries_is_the_one_that_stops_a_pushed_input(chosen: int, load: str) -> None:
    """Pushing the input up (driving) or down (coasting) until a flank stops it finds the carrying gear."""
    members = [*both_sides(1), *both_sides(2)]
    engaged = frozenset(member for bit, member in enumerate(members) if chosen >> bit & 1)
    found = who_carries(engaged, RATIOS, load)["carries"]
    if locks_mechanically(engaged, RATIOS):
        assert found is None
    elif found is not None:
        assert settled(engaged, load) == {found}
    else:
        assert not any(side == load for _, side in engaged)


def test_the_only_locking_pair_is_coast_of_the_lower_with_drive_of_the_upper() -> None:
    """Of all pairs of members of two gears just one locks."""
    members = [*both_sides(1), *both_sides(2)]
    locking = [pair for pair in product(members, members) if pair[0] < pair[1] and locks(frozenset(pair), RATIOS)]
    assert locking == [((1, COAST), (2, DRIVE))]


def test_an_ordinary_dog_box_binds_in_every_overlap() -> None:
    """Members together engage both gears in both directions: locked, up and down, driving and coasting."""
    result = shift_states(4, members="together")
    assert not result["no_overlap_binds"]
    assert not result["gap_free"]
    assert all(row["binds"] and row["handover"] == "locks" for row in result["overlaps"])
    assert len(result["overlaps"]) == 12


def test_reverse_with_a_forward_gear_locks() -> None:
    """Engaged both ways with any forward gear, reverse leaves no forward speed."""
    assert locks(frozenset([*both_sides(-1), *both_sides(1)]), {-1: -3.0, 1: 3.0})
    assert locks(frozenset([(-1, DRIVE), (1, DRIVE)]), {-1: -3.0, 1: 3.0})


def test_upshift_driving_by_hand() -> None:
    """1 to 2 pulling: 1 carries and 2 overruns until the drive side of 2 comes in; then the other way; no force."""
    row = cross_overlap(1, 2, APART, UP, DRIVE, RATIOS)
    assert (row["carries"], row["overruns"]) == ("1 → 1 → 2", "2 → 2 → 1")
    assert (row["binds"], row["under_load"]) == (False, "none")


def test_downshift_coasting_mirrors_it() -> None:
    """2 to 1 coasting: 2 carries until the coast side of 1 comes in; then 1 carries and 2 overruns."""
    row = cross_overlap(1, 2, APART, DOWN, COAST, RATIOS)
    assert (row["carries"], row["overruns"]) == ("2 → 2 → 1", "1 → 1 → 2")
    assert (row["binds"], row["under_load"]) == (False, "none")


@pytest.mark.parametrize(("direction", "load", "member"), [(UP, COAST, "coast 1"), (DOWN, DRIVE, "drive 2")])
def test_the_difficult_shifts(direction: str, load: str, member: str) -> None:
    """A dwell drags the carrying member out; a spring leaves it in, a lock; turning the load round frees it."""
    held = cross_overlap(1, 2, APART, direction, load, RATIOS)
    assert (held["binds"], held["under_load"]) == (False, member)
    sprung = cross_overlap(1, 2, APART, direction, load, RATIOS, sprung=True)
    assert sprung["binds"]
    turned = cross_overlap(1, 2, APART, direction, load, RATIOS, sprung=True, load_reversed=True)
    assert (turned["binds"], turned["under_load"]) == (False, "none")


def walk(order: tuple, load: str, gears: tuple[int, int]) -> tuple[bool, bool, bool]:
    """Second method: whether an order of moves avoids locks, forced moves, and moments without a carrier."""
    engaged = set(both_sides(gears[0]))
    safe = free = carried = True
    for action, member in order:
        if action == "out":
            free = free and carrier(engaged, RATIOS, load) != member
            engaged.discard(member)
        else:
            engaged.add(member)
        safe = safe and not locks_mechanically(frozenset(engaged), RATIOS)
        carried = carried and any(side == load for _, side in engaged)
    return safe, free, carried


def single_moves() -> list[tuple[str, tuple[int, str]]]:
    """The four moves from gear 1 to gear 2, members apart."""
    return [("in", member) for member in both_sides(2)] + [("out", member) for member in both_sides(1)]


def undone(order: tuple) -> tuple:
    """The order backwards."""
    return tuple(("out" if action == "in" else "in", member) for action, member in reversed(order))


def test_one_order_alone_suits_a_drum_both_ways() -> None:
    """Of all 24 orders just one is free of lock, force and gap both up while driving and down while coasting."""
    suited = [
        order
        for order in permutations(single_moves())
        if all(walk(order, DRIVE, (1, 2))) and all(walk(undone(order), COAST, (2, 1)))
    ]
    moves, _ = overlap_moves(1, 2, True, True)
    assert suited == [tuple((action, member) for action, (member,) in moves)]


def search(start: frozenset, end: frozenset, units: list[frozenset], load: str) -> int | None:
    """Second method: over all sets of members, the fewest forced moves of a path without lock or gap, or None."""
    graph = networkx.DiGraph()
    members = sorted(frozenset().union(*units))
    states = [frozenset(m for bit, m in enumerate(members) if chosen >> bit & 1) for chosen in range(2 ** len(members))]
    for engaged in states:
        for unit in units:
            after = engaged - unit if unit <= engaged else engaged | unit
            torn = bool(unit & engaged) and not unit <= engaged
            if torn or locks(after, RATIOS) or not any(side == load for _, side in after):
                continue
            forced = unit <= engaged and carrier(engaged, RATIOS, load) in unit
            graph.add_edge(engaged, after, forced=int(forced))
    if start not in graph or end not in graph or not networkx.has_path(graph, start, end):
        return None
    return networkx.shortest_path_length(graph, start, end, weight="forced")


def units_of(gear: int, apart: bool) -> list[frozenset]:
    """The members of a gear that move as one."""
    return [frozenset([member]) for member in both_sides(gear)] if apart else [frozenset(both_sides(gear))]


@pytest.mark.parametrize(("lower_apart", "upper_apart"), list(product((True, False), repeat=2)))
@pytest.mark.parametrize(("direction", "load"), CASES)
def test_no_other_path_does_better(lower_apart: bool, upper_apart: bool, direction: str, load: str) -> None:
    """A search over every set of members finds no path with fewer forced moves, nor a free one where ours has a gap."""
    start, end = (1, 2) if direction == UP else (2, 1)
    best = search(
        frozenset(both_sides(start)),
        frozenset(both_sides(end)),
        units_of(1, lower_apart) + units_of(2, upper_apart),
        load,
    )
    moves, _ = overlap_moves(1, 2, lower_apart, upper_apart)
    ours = cross(both_sides(start), moves if direction == UP else turned_round(moves), load, False, RATIOS)
    if best is None:
        assert ours["binds"] or ours["open"]
    elif not ours["open"]:
        assert not ours["binds"]
        assert len(ours["forced"]) == best
    else:
        # One fixed track serves all four shifts; a path of its own for this one alone would still need force.
        assert best > 0


def test_one_hub_of_two_together_removes_the_lock_but_not_the_gap() -> None:
    """With 1 and 3 moved together and 2 apart nothing locks, yet 1 goes out under load while pulling up."""
    hubs = [
        {"hub": "odd", "left": "1", "right": "3", "members": "together"},
        {"hub": "even", "left": "2", "right": "", "members": "apart"},
    ]
    result = shift_states(3, hubs=hubs)
    assert result["no_overlap_binds"]
    assert not result["gap_free"]


@pytest.mark.parametrize("gears", range(2, 9))
def test_actuators_needed_agree_with_graph_colouring(gears: int) -> None:
    """The fewest actuators are the fewest colours: a colouring with one fewer is ruled out by trying all of them."""
    for pairs in workable_pairings(gears):
        conflicts = [
            (a, b)
            for a, b in product(range(len(pairs)), repeat=2)
            if a < b and any(abs(x - y) == 1 for x in pairs[a] for y in pairs[b] if x and y)
        ]
        fewest = next(
            count
            for count in range(1, len(pairs) + 1)
            if any(all(tint[a] != tint[b] for a, b in conflicts) for tint in product(range(count), repeat=len(pairs)))
        )
        assert actuators_needed(pairs) == fewest


def test_six_gears_on_three_hubs_need_three_actuators() -> None:
    """By hand: 1-3, 2-5, 4-6 overlap one another (1+2, 3+4, 4+5), so three; odd with odd, even with even needs two."""
    assert actuators_needed([(1, 3), (2, 5), (4, 6)]) == 3
    assert actuators_needed([(1, 3), (2, 4), (5, None), (6, None)]) == 2


def test_what_cannot_be_built_is_neither_gap_free_nor_free_of_binding() -> None:
    """With 1 and 2 on one sleeve there is no overlap to make, so no criterion on it may pass."""
    hubs = [{"hub": "a", "left": "1", "right": "2"}, {"hub": "b", "left": "3", "right": "4"}]
    found = shift_states(4, hubs=hubs)
    assert not found["pairing_workable"]
    assert not found["gap_free"]
    assert not found["no_overlap_binds"]
