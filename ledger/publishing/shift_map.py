"""What a mechanism with a selector does from state to state, as frames that a reader can turn through.

A frame is one moment: where every selector and every fork stands, which gear carries, which overruns, and whether the
box locks. Between two gears that are held at once the frames follow the members as they go in and out, each way and
under each load, for that is where an overlap binds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from ledger.calculators.cam_parts import read_tracks
from ledger.calculators.results import Result
from ledger.mechanics.shift_sequence import places

NEEDED = ("states", "fork_positions", "overlaps", "chart")
SIDES = {"left": -1.0, "right": 1.0}
LOADS = {"drive": "driving", "coast": "coasting"}
ENDS = {"up": "up", "down": "down"}
NEUTRAL = "N"
NOTHING, LOCKED = "nothing", "locked"
Rows = Sequence[Mapping[str, Any]]
Members = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Fork:
    """One fork: what lies left and right of it, what turns it, and the names of its tracks, drive side first."""

    name: str
    left: str
    right: str
    selector: str
    tracks: tuple[str, ...]


@dataclass(frozen=True)
class Selector:
    """One selector: its name, and what each of its places holds."""

    name: str
    places: tuple[str, ...]


@dataclass(frozen=True)
class Frame:
    """One moment.

    state     number of the state, from 1; nought on the way between two
    after     number of the state it follows, going up
    offsets   of every track, -1 left to 1 right; `turns` the place of every selector, from 1, between two on the way
    engaged, carries, overruns  gears
    """

    name: str
    state: int
    after: int
    offsets: tuple[float, ...]
    turns: tuple[float, ...]
    engaged: tuple[str, ...]
    carries: str
    overruns: tuple[str, ...]
    locks: bool
    told: str


@dataclass(frozen=True)
class ShiftMap:
    """Selectors, forks, the states, all frames, and for each way through them the frames in order.

    states  a frame for each, whatever the load
    ways    by load and direction (`drive up`), or by direction alone where loads are not known
    binds   by overlap, in words, when it locks
    """

    selectors: tuple[Selector, ...]
    forks: tuple[Fork, ...]
    states: tuple[Frame, ...]
    frames: tuple[Frame, ...]
    ways: Mapping[str, tuple[int, ...]]
    binds: Mapping[str, tuple[str, ...]]

    @property
    def tracks(self) -> tuple[str, ...]:
        """Return the names of all tracks."""
        return tuple(track for fork in self.forks for track in fork.tracks)


def shift_map(result: Result, above: ShiftMap | None = None) -> ShiftMap | None:
    """Return the map of what a calculation gave or was given, or None where it tells of no states.

    above  the map its positions are taken from: one selector's places of it name stated tracks that agree with them
    """
    given = {one.name: one.value for one in result.outcomes if isinstance(one.value, tuple)}
    if all(given.get(name) for name in NEEDED if name != "overlaps"):
        return _of_states(given)
    rows = next((one.rows for one in result.inputs if one.name == "tracks"), ())
    return _of_tracks(rows, above) if rows else None


def _of_states(given: Mapping[str, Any]) -> ShiftMap:
    states: Rows = given["states"]
    forks = _forks(given["fork_positions"], given["chart"], states)
    made = _Maker(states, forks)
    ways = {f"{load} {end}": made.way(given.get("overlaps") or (), end, load) for load in LOADS for end in ENDS}
    binds: dict[str, list[str]] = {}
    for row in given.get("overlaps") or ():
        if row["binds"]:
            binds.setdefault(str(row["overlap"]), []).append(f"{row['direction']} while {LOADS[str(row['load'])]}")
    return ShiftMap(
        made.selectors,
        forks,
        tuple(made.stand(place) for place in range(len(states))),
        tuple(made.frames),
        ways,
        {name: tuple(cases) for name, cases in binds.items()},
    )


def _forks(positions: Rows, chart: Rows, states: Rows) -> tuple[Fork, ...]:
    """Return the forks with the gears beside them: a gear lies where its fork stands in the state of that gear."""
    kinds = {row["number"]: str(row["kind"]) for row in states}
    beside: dict[str, dict[str, str]] = {}
    selectors: dict[str, str] = {}
    for row in positions:
        found = beside.setdefault(str(row["hub"]), {})
        selectors[str(row["hub"])] = str(row["actuator"])
        if row["position"] in SIDES and kinds[row["number"]] in ("gear", "reverse"):
            found[str(row["position"])] = str(row["state"])
    tracks = {str(row["track"]) for row in chart}
    return tuple(
        Fork(
            name,
            found.get("left", ""),
            found.get("right", ""),
            selectors[name],
            (name,) if name in tracks else (f"{name} drive", f"{name} coast"),
        )
        for name, found in beside.items()
    )


def members(words: str) -> Members:
    """Return `drive 1 + coast 2` as pairs of side and gear; `none` is no pair."""
    parts = [part.split() for part in words.split(" + ")]
    return tuple((part[0], part[1]) for part in parts if len(part) == 2)


class _Maker:
    """Makes frames and keeps each once."""

    def __init__(self, states: Rows, forks: Sequence[Fork]) -> None:
        self.states, self.forks = states, forks
        self.frames: list[Frame] = []
        names = tuple(dict.fromkeys(fork.selector for fork in forks))
        self.numbers, found = [], []
        for name in names:
            own = {gear for fork in forks if fork.selector == name for gear in (fork.left, fork.right) if gear}
            held = [tuple(gear for gear in _gears(members(str(row["engaged"]))) if gear in own) for row in states]
            numbers = places(held)
            self.numbers.append(numbers)
            told = {number: "+".join(gears) or NEUTRAL for number, gears in zip(numbers, held, strict=True)}
            found.append(Selector(name, tuple(told[number] for number in sorted(told))))
        self.selectors = tuple(found)

    def way(self, overlaps: Rows, direction: str, load: str) -> tuple[int, ...]:
        """Return the frames from one end to the other, by number."""
        rows = {str(row["overlap"]): row for row in overlaps if (row["direction"], row["load"]) == (direction, load)}
        order = range(len(self.states)) if direction == "up" else range(len(self.states) - 1, -1, -1)
        stops = [place for place in order if self.states[place]["kind"] != "overlap"]
        found = [self._kept(self.stand(stops[0]))]
        for start, end in pairwise(stops):
            lower, upper = sorted((start, end))
            name = f"{self.states[lower]['state']}+{self.states[upper]['state']}"
            row = rows.get(name)
            if row is not None:
                found += self._crossing(row, start, end)
            elif all(members(str(self.states[place]["engaged"])) for place in (start, end)):
                found.append(self._kept(self._between(start, end)))
            found.append(self._kept(self.stand(end)))
        return tuple(found)

    def stand(self, place: int) -> Frame:
        """Return the frame of a state, whatever the load."""
        row = self.states[place]
        engaged = members(str(row["engaged"]))
        gears, name = _gears(engaged), str(row["state"])
        told = f"Gear {name} carries." if gears else "Nothing is engaged, and nothing carries."
        if len(gears) > 1:
            told = f"Gears {' and '.join(gears)} are held at once."
        turns = [numbers[place] for numbers in self.numbers]
        carries = gears[0] if len(gears) == 1 else ""
        return self._frame(name, place + 1, place + 1, engaged, turns, carries, (), False, told)

    def _between(self, start: int, end: int) -> Frame:
        name = f"{self.states[start]['state']} → {self.states[end]['state']}"
        turns = [(numbers[start] + numbers[end]) / 2 for numbers in self.numbers]
        told = "Nothing is engaged on the way: the drive is interrupted."
        return self._frame(name, 0, min(start, end) + 1, (), turns, "", (), False, told)

    def _crossing(self, row: Mapping[str, Any], start: int, end: int) -> list[int]:
        """Return the frames of one overlap; a place that holds it as a state is one of them."""
        steps = [members(part) for part in str(row["engaged"]).split(" → ")]
        carrying, overrunning = (str(row[key]).split(" → ") for key in ("carries", "overruns"))
        between = range(min(start, end), max(start, end))
        holds = {place: set(members(str(self.states[place]["engaged"]))) for place in between[1:]}
        found = []
        for number, (engaged, carries, overruns) in enumerate(zip(steps, carrying, overrunning, strict=True), 1):
            held = next((place for place, held in holds.items() if held == set(engaged)), None)
            share = number / (len(steps) + 1)
            turns = [
                numbers[start] + share * (numbers[end] - numbers[start]) if held is None else numbers[held]
                for numbers in self.numbers
            ]
            locks = carries == LOCKED
            gears = tuple(part for part in overruns.split(", ") if part != "none")
            name = f"{self.states[start]['state']} → {self.states[end]['state']}"
            frame = self._frame(
                name if held is None else f"{self.states[held]['state']}, held",
                0 if held is None else held + 1,
                between[0] + 1 if held is None else held + 1,
                engaged,
                turns,
                "" if locks or carries == NOTHING else carries,
                gears,
                locks,
                _told(row, carries, gears, locks),
            )
            found.append(self._kept(frame))
        return found

    def _frame(
        self,
        name: str,
        state: int,
        after: int,
        engaged: Members,
        turns: Sequence[float],
        carries: str,
        overruns: tuple[str, ...],
        locks: bool,
        told: str,
    ) -> Frame:
        offsets = tuple(offset for fork in self.forks for offset in _offsets(fork, engaged))
        turned = tuple(round(float(one), 3) for one in turns)
        return Frame(name, state, after, offsets, turned, _gears(engaged), carries, overruns, locks, told)

    def _kept(self, frame: Frame) -> int:
        if frame not in self.frames:
            self.frames.append(frame)
        return self.frames.index(frame)


def _gears(engaged: Members) -> tuple[str, ...]:
    return tuple(dict.fromkeys(gear for _, gear in engaged))


def _offsets(fork: Fork, engaged: Members) -> list[float]:
    """Return where each track of a fork stands; one that would have to be on both sides at once stays between."""
    found = []
    for track in fork.tracks:
        own = [
            side
            for side, gear in ((-1.0, fork.left), (1.0, fork.right))
            if any(gear == one and (len(fork.tracks) == 1 or track.endswith(f" {kind}")) for kind, one in engaged)
        ]
        found.append(float(sum(own)))
    return found


def _told(row: Mapping[str, Any], carries: str, overruns: Sequence[str], locks: bool) -> str:
    turned = "" if row["load"] == row["load_met"] else " once the load is turned round"
    loaded = f"{LOADS[str(row['load'])].capitalize()}{turned}: "
    if locks:
        return f"{loaded}the box locks. Its gears hold the input to two speeds at once."
    forced = "" if row["under_load"] == "none" else f" On this way {row['under_load']} is drawn out under load."
    if carries == NOTHING:
        return f"{loaded}nothing carries.{forced}"
    beside = f"gear {' and '.join(overruns)} overruns" if overruns else "nothing overruns"
    return f"{loaded}gear {carries} carries, {beside}.{forced}"


def _of_tracks(rows: Rows, above: ShiftMap | None) -> ShiftMap | None:
    """Return the map of stated tracks alone: the positions of a drum or a disc, without gears and loads."""
    try:
        stands = [str(row["stands"]).split() for row in rows]
        tracks = read_tracks([dict(row) for row in rows], len(stands[0]))
    except (KeyError, ValueError):
        return None
    count = len(stands[0])
    names = _named(tracks, above) or tuple(str(number) for number in range(1, count + 1))
    selector = Selector("positions", names)
    forks = tuple(Fork(name, "−", "+", selector.name, (name,)) for name in tracks)
    frames = tuple(
        Frame(name, place + 1, place + 1, tuple(track[place] for track in tracks.values()), (float(place + 1),),
              (), "", (), False, _standing({track: at[place] for track, at in tracks.items()}))
        for place, name in enumerate(names)
    )  # fmt: skip
    ways = {"up": tuple(range(count)), "down": tuple(range(count - 1, -1, -1))}
    return ShiftMap((selector,), forks, frames, frames, ways, {})


def _named(tracks: Mapping[str, Sequence[float]], above: ShiftMap | None) -> tuple[str, ...]:
    """Return the places of the one selector above where as many are stated and forks rest just where it is neutral."""
    places = above.selectors[0].places if above is not None and len(above.selectors) == 1 else ()
    rests = [not any(stands) for stands in zip(*tracks.values(), strict=True)]
    return places if rests == [place == NEUTRAL for place in places] else ()


def _standing(stands: Mapping[str, float]) -> str:
    away = [
        f"{name} at {'+' if at > 0 else '−'}{'' if abs(at) == 1 else f'{abs(at):g}'}"
        for name, at in stands.items()
        if at
    ]
    return f"{'; '.join(away)}." if away else "Every fork stands in neutral."
