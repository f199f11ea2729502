"""What stays true of shift states whatever the gearbox."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.mechanics.shift_states import shift_states

COUNTS = ("positions_without_neutral", "positions_with_neutral", "positions_by_member")
CHECKS = ("pairing_workable", "no_overlap_binds", "gap_free", "actuators_needed")


@st.composite
def gearboxes(draw: st.DrawFn) -> dict[str, Any]:
    """Arguments of `shift_states`: gears in any order on hubs, each hub named, dealt and moved at will."""
    gears, reverse = draw(st.integers(1, 9)), draw(st.booleans())
    names = draw(st.permutations([str(gear) for gear in range(1, gears + 1)] + (["R"] if reverse else [])))
    hubs = []
    while names:
        taken, names = names[:2], names[2:]
        if len(taken) == 2 and draw(st.booleans()):
            names = [taken.pop(), *names]
        left, right = [*taken, ""][:2]
        hubs.append({"hub": f"hub {len(hubs)}", "left": left, "right": right})
    team = draw(st.integers(1, len(hubs)))
    for k, hub in enumerate(hubs):
        hub["actuator"] = f"drum {draw(st.integers(0, team - 1)) if k else 0}"
        hub["members"] = draw(st.sampled_from(["apart", "together"]))
    return {
        "gears": gears,
        "hubs": hubs,
        "reverse": reverse,
        "neutral": draw(st.booleans()),
        "overlap": draw(st.sampled_from(["dwell", "spring", "none"])),
        "load_reversed": draw(st.booleans()),
    }


def counted(result: dict[str, Any]) -> dict[str, Any]:
    """The counts and checks of a result."""
    return {name: result[name] for name in COUNTS + CHECKS}


@settings(max_examples=60, deadline=None)
@given(gearboxes(), st.randoms(use_true_random=False))
def test_names_and_order_of_hubs_change_nothing(box: dict[str, Any], chance: Any) -> None:
    """Renaming hubs and actuators, shuffling rows and swapping left with right leaves counts and checks alone."""
    shuffled = [
        {**hub, "hub": f"other {k}", "actuator": f"new {hub['actuator']}", "left": hub["right"], "right": hub["left"]}
        for k, hub in enumerate(box["hubs"])
    ]
    chance.shuffle(shuffled)
    assert counted(shift_states(**box)) == counted(shift_states(**{**box, "hubs": shuffled}))


@settings(max_examples=60, deadline=None)
@given(gearboxes(), st.data())
def test_giving_a_hub_an_actuator_of_its_own_never_raises_the_busiest(box: dict[str, Any], data: st.DataObject) -> None:
    """Taking one hub off its actuator cannot give any actuator more places: what it holds is part of what was held."""
    moved = data.draw(st.integers(0, len(box["hubs"]) - 1))
    hubs = [{**hub, "actuator": "one more"} if k == moved else hub for k, hub in enumerate(box["hubs"])]
    before, after = shift_states(**box), shift_states(**{**box, "hubs": hubs})
    assert all(after[name] <= before[name] for name in COUNTS)


@settings(max_examples=60, deadline=None)
@given(gearboxes())
def test_states_hold_at_most_two_neighbouring_gears(box: dict[str, Any]) -> None:
    """Every state engages no gear, one, or two next to each other; steps are positions less one."""
    result = shift_states(**box)
    for row in result["states"]:
        engaged = {word for word in row["engaged"].replace("+", " ").split() if word.isdigit() or word == "R"}
        assert len(engaged) <= 2
        if len(engaged) == 2:
            lower, upper = sorted(int(gear) for gear in engaged)
            assert upper - lower == 1
    assert result["steps"] == result["positions"] - 1


@settings(max_examples=60, deadline=None)
@given(gearboxes())
def test_every_actuator_turns_at_most_one_place_a_step_and_back_the_same_way(box: dict[str, Any]) -> None:
    """Each step moves members; going down undoes going up, actuator by actuator, and no drum skips a place."""
    rows = shift_states(**box)["shifts"]
    up, down = ([row for row in rows if row["direction"] == way] for way in ("up", "down"))
    assert [(row["from"], row["to"]) for row in up] == [(row["to"], row["from"]) for row in reversed(down)]
    for there, back in zip(up, reversed(down), strict=True):
        turned = [word.split()[-1].split("→") for word in there["actuators"].split(", ")] if there["actuators"] else []
        assert all(int(end) - int(start) == 1 for start, end in turned)
        returned = [word.split()[-1].split("→") for word in back["actuators"].split(", ")] if back["actuators"] else []
        assert [[end, start] for start, end in turned] == returned
        assert there["moves"]
        assert back["moves"]


@settings(max_examples=60, deadline=None)
@given(gearboxes())
def test_every_overlap_locks_or_has_one_that_carries_and_one_that_overruns(box: dict[str, Any]) -> None:
    """In no set of members of an overlap does nothing carry, nor both."""
    for row in shift_states(**box)["overlaps"]:
        pair = set(row["overlap"].split("+"))
        for carrying, overrunning in zip(row["carries"].split(" → "), row["overruns"].split(" → "), strict=True):
            assert carrying == "locked" or {carrying, overrunning} == pair
        assert row["binds"] == ("locked" in row["carries"])


@settings(max_examples=60, deadline=None)
@given(gearboxes())
def test_a_spring_binds_just_where_a_dwell_would_use_force(box: dict[str, Any]) -> None:
    """A member that a dwell drags out under load is one that a spring leaves in, and the next one locks against it."""
    held, sprung = (shift_states(**{**box, "overlap": overlap})["overlaps"] for overlap in ("dwell", "spring"))
    for one, other in zip(held, sprung, strict=True):
        assert other["binds"] == (one["binds"] or one["under_load"] != "none")


@settings(max_examples=60, deadline=None)
@given(gearboxes())
def test_the_chart_shows_every_track_in_every_state(box: dict[str, Any]) -> None:
    """Tracks have one offset a state, or two where an unworkable pairing asks one sleeve to be on both sides."""
    result = shift_states(**box)
    cells = [(row["track"], row["number"]) for row in result["chart"]]
    tracks = {track for track, _ in cells}
    assert set(cells) == {(track, k + 1) for track in tracks for k in range(len(result["states"]))}
    if result["pairing_workable"]:
        assert len(cells) == len(set(cells))
