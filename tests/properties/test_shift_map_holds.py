"""What stays true of every shift map: forks, gears and locks agree in each frame, whatever the gearbox."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from hypothesis import given, settings

from ledger.mechanics.bind_check import locks
from ledger.mechanics.shift_states import shift_states
from ledger.publishing.drawings.shift import draw, gear_state
from ledger.publishing.shift_map import Frame, ShiftMap
from tests.properties.test_shift_states_hold import gearboxes
from tests.shift_maps import mapped


def engaged_by(found: ShiftMap, frame: Frame) -> set[tuple[int, str]]:
    """Return the members engaged, read off where the tracks stand."""
    held = set()
    for fork in found.forks:
        for track in fork.tracks:
            offset = frame.offsets[found.tracks.index(track)]
            gear = {-1.0: fork.left, 1.0: fork.right}.get(offset)
            if gear:
                sides = ("drive", "coast") if len(fork.tracks) == 1 else (track.rpartition(" ")[2],)
                held |= {(-1 if gear == "R" else int(gear), side) for side in sides}
    return held


def agree(found: ShiftMap, box: dict[str, Any]) -> None:
    """Hold every frame to the rules of one-sided stops: what locks, what carries, what turns with what moves."""
    order = {gear: float(box["gears"] + 1 - gear) for gear in range(1, box["gears"] + 1)}
    for frame in found.frames:
        members = engaged_by(found, frame)
        torn = len({gear for gear, _ in members}) < len(frame.engaged)
        if not torn and "R" not in frame.engaged:
            assert frame.locks == (locks(members, order) and len(frame.engaged) > 1), frame
        assert not frame.locks or not frame.carries
        assert not frame.carries or frame.carries in frame.engaged
        assert set(frame.overruns) <= set(frame.engaged) - {frame.carries}


@settings(max_examples=60)
@given(gearboxes())
def test_forks_gears_and_locks_agree(box: dict[str, Any]) -> None:
    """In every frame the box locks just when the members that the forks hold leave no speed of the input."""
    found = mapped(shift_states(**box))
    assert found is not None
    agree(found, box)


@settings(max_examples=40)
@given(gearboxes())
def test_every_way_goes_from_end_to_end(box: dict[str, Any]) -> None:
    """Each way passes all states that are no overlap, in order, and nothing twice in a row."""
    found = mapped(shift_states(**box))
    assert found is not None
    stops = [state.state for state in found.states if "+" not in state.name]
    for name, way in found.ways.items():
        passed = [found.frames[one].state for one in way if found.frames[one].name in {s.name for s in found.states}]
        assert passed == (stops if name.endswith("up") else stops[::-1]), name
        assert all(one != two for one, two in pairwise(way))


@settings(max_examples=25)
@given(gearboxes())
def test_a_map_is_drawn_the_same_each_time(box: dict[str, Any]) -> None:
    """The same states give the same bytes, and a table row for each state."""
    one, two = (mapped(shift_states(**box)) for _ in range(2))
    assert one is not None
    assert two is not None
    drawn = draw(one)
    assert drawn == draw(two)
    assert len(drawn.grid.rows) >= len(one.states)
    assert all(len(row) == len(drawn.grid.heads) for row in drawn.grid.rows)


def test_a_frame_that_hides_its_lock_is_found_out() -> None:
    """The check refuses a frame that says it turns where two members lock it."""
    from dataclasses import replace

    import pytest

    box = {"gears": 3, "overlap": "dwell", "members": "together"}
    found = mapped(shift_states(**box))
    assert found is not None
    assert any(frame.locks for frame in found.frames)
    silent = replace(found, frames=tuple(replace(frame, locks=False) for frame in found.frames))
    with pytest.raises(AssertionError):
        agree(silent, box)


def test_a_gear_is_told_by_its_frame() -> None:
    """A gear carries, overruns, locks, is held or is free, in this order of looking."""
    frame = Frame("1 → 2", 0, 1, (), (), ("1", "2"), "2", ("1",), False, "")
    assert [gear_state(gear, frame) for gear in ("1", "2", "3")] == ["overruns", "carries", "free"]
