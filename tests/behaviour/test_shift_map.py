"""Maps of mechanisms as pages get them: which calculations have one, and what it tells."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import pytest

from ledger.calculators.results import Bound, Result
from ledger.mechanics.shift_states import shift_states
from ledger.publishing.drawings.shift import draw
from ledger.publishing.shift_map import shift_map
from tests import casebooks, shift_maps
from tests.casebook_calculators import REGISTER
from tests.casebooks import pages_of


def of_tracks(*stands: str) -> Result:
    """Return a drum's result with the stated tracks."""
    rows = tuple({"track": f"fork {number}", "stands": one} for number, one in enumerate(stands, 1))
    bound = Bound("tracks", "Tracks", "", "rows", None, None, "", None, None, rows)
    return Result("calculations/drum", "selector-drum", (bound,), (), (), {})


def told(gears: int, **more: Any) -> list[str]:
    """Return what the frames of one way up, driving, say."""
    found = shift_maps.mapped(shift_states(gears, **more))
    assert found is not None
    return [found.frames[one].told for one in found.ways["drive up"]]


def test_a_drum_is_turned_through_its_tracks() -> None:
    """Stated tracks give a map of positions without gears and loads; shares of the travel are told as such."""
    found = shift_map(of_tracks("0 + 0 -", "0 0 0.5 0"))
    assert found is not None
    assert [state.name for state in found.states] == ["1", "2", "3", "4"]
    assert [state.offsets for state in found.states] == [(0, 0), (1, 0), (0, 0.5), (-1, 0)]
    drawn = draw(found)
    assert drawn.loads == ()
    assert drawn.grid.rows[2][-1].words == "right, 0.5 of its travel"


@pytest.mark.parametrize("stands", [("0 + 0", "0 +"), ("up down",), ("0 0 0",)])
def test_tracks_that_cannot_be_read_have_no_map(stands: tuple[str, ...]) -> None:
    """Tracks of unlike length, of other signs, or that never move are left to the calculator to refuse."""
    assert shift_map(of_tracks(*stands)) is None


def test_ordinary_shifting_interrupts_the_drive() -> None:
    """Without an overlap nothing is engaged between two gears, and the map says so."""
    said = told(2, overlap="none", neutral=False)
    assert said == ["Gear 1 carries.", "Nothing is engaged on the way: the drive is interrupted.", "Gear 2 carries."]


def test_a_lock_stays_a_lock_whatever_moves_together() -> None:
    """Members moved together lock in the held overlap, and the way goes on to the next gear."""
    said = told(2, members="together")
    assert "the box locks" in said[2]
    assert said[-1] == "Gear 2 carries."


def test_pictures_have_words_beside_them() -> None:
    """Both pictures are well formed, and their descriptions name state, forks and overlaps that lock."""
    found = shift_maps.mapped(shift_states(4, reverse=True, overlap="spring"))
    assert found is not None
    drawn = draw(found)
    mechanism, tracks = (ElementTree.fromstring(one).findtext("desc") or "" for one in (drawn.mechanism, drawn.tracks))
    assert "1: Gear 1 carries. A at place 3 of 6. 1-3 drive left; 1-3 coast left." in mechanism
    assert "Overlaps that would lock: 1+2, 2+3, 3+4: up while coasting, down while driving." in tracks


def test_only_pages_with_states_have_a_map() -> None:
    """A calculation's page has the section and its script where there are states to turn through, and no other."""
    made = casebooks.casebook()
    ref = "calculations/drum-length"
    with_states = replace(made, results={**made.results, ref: shift_maps.result(shift_states(3), ref)})
    one, other = (pages_of(each, REGISTER)[f"{ref}.md"] for each in (with_states, made))
    assert "## Turn it" in one
    assert "shift-map.js" in one
    assert "shift-map" not in other


def test_a_drum_names_the_map_of_its_gears() -> None:
    """A drum whose positions are taken from a calculation with gears leads there."""
    made = casebooks.casebook()
    above, ref = "calculations/cam-length", "calculations/drum-length"
    taken = Bound("positions", "Positions", "", "calculation", above, "positions", "", None, None)
    drum = of_tracks("0 + 0 -", "0 0 + 0")
    results = {
        above: shift_maps.result(shift_states(3), above),
        ref: replace(drum, ref=ref, inputs=(*drum.inputs, taken)),
    }
    text = pages_of(replace(made, results={**made.results, **results}), REGISTER)[f"{ref}.md"]
    assert "Which gears these positions hold is turned through in" in text
    assert 'href="cam-length.html"' in text


def test_places_are_named_as_the_calculation_they_are_taken_from_names_them() -> None:
    """A disc's places bear the gears of the selector above where forks rest just in its neutral, else numbers."""
    above = shift_maps.mapped(shift_states(2, reverse=True, overlap="none"))
    assert above is not None
    named = shift_map(of_tracks("0 0 + 0", "- 0 0 +"), above)
    assert named is not None
    assert named.selectors[0].places == tuple(state.name for state in named.states) == ("R", "N", "1", "2")
    for other in (of_tracks("0 0 + 0", "- + 0 +"), of_tracks("0 + 0", "- 0 +")):
        numbered = shift_map(other, above)
        assert numbered is not None
        assert [state.name for state in numbered.states] == [str(place + 1) for place in range(len(numbered.states))]


def test_neutral_bears_one_name() -> None:
    """Dial, chart and table of places all say N where nothing is held."""
    made = shift_states(2, reverse=True, overlap="none")
    found = shift_maps.mapped(made)
    assert found is not None
    assert "N" in found.selectors[0].places
    assert "N" in [state.name for state in found.states]
    assert made["actuator_places"][0]["places"] == "R · N · 1 · 2"
