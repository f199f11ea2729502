"""Forks: the pads that run in the sleeves' grooves, the opening that clears the sleeve, where each stands."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.building.contract import AS_MODEL, GAP, WALL, BillItem, Column, Feature, Made, Section, Table
from ledger.building.disc import PLACED as DISC_PLACED
from ledger.building.drum import LAID as DRUM_LAID
from ledger.building.meshing import Problem
from ledger.building.reading import drawn, flat_stock, nominal
from ledger.calculators.contract import Choice, Number, Rows, Text
from ledger.mechanics.model_scale import PROCESSES

PAD = ("fork_groove", "fork_play")
REACH = ("forks", "fork_play_under")
SHAPE = (*PAD, *REACH, "fork_arms")
PLACES = ("forks", "shaft_stations", "shaft_span")
PINS = ("forks", *DISC_PLACED, *DRUM_LAID)


def compute(
    forks: list[dict[str, Any]],
    fork_groove: Any,
    fork_play: Any,
    fork_play_under: Any,
    fork_sleeve: Any,
    fork_arms: Any,
    fork_rail: Any,
    fork_process: str,
    fork_material: str,
    stations: tuple[dict[str, Any], ...] | None,
    drum_tracks: tuple[dict[str, Any], ...] | None,
    disc_tracks: tuple[dict[str, Any], ...] | None,
) -> Made:
    """Return the sizes of each fork, and where it stands."""
    thick = drawn(fork_groove) - drawn(fork_play)
    problems = [] if np.min(thick) > 0 else [Problem(True, "fork", "Its play is as wide as the groove.")]
    features = [
        Feature("fork: thickness of the pads", WALL, thick, fork_process, PAD),
        Feature("fork: width of the arms", WALL, drawn(fork_arms), fork_process, ("fork_arms",)),
        Feature("fork: play in the groove", GAP, drawn(fork_play), fork_process, ("fork_play",)),
        Feature("fork: play under the pads", GAP, drawn(fork_play_under), fork_process, ("fork_play_under",)),
    ]
    shared: dict[str, Any] = {"pad": thick, "play": drawn(fork_play), "rail": drawn(fork_rail)}
    if fork_sleeve is not None:
        shared["wall"] = (drawn(fork_sleeve) - drawn(fork_groove)) / 2.0
        of = ("fork_sleeve", "fork_groove")
        features.append(Feature("sleeve: wall beside the groove", WALL, shared["wall"], fork_process, of))
    known = None if stations is None else {one["part"]: one for one in stations}
    both = None if drum_tracks is None and disc_tracks is None else (*(drum_tracks or ()), *(disc_tracks or ()))
    tracks = None if both is None else {one["track"]: one for one in both}
    pad = nominal(fork_groove, "The groove") - nominal(fork_play, "The play")
    rows, placed, items = [], [], []
    for fork in forks:
        opening = drawn(fork["groove_bottom"]) + 2.0 * drawn(fork_play_under)
        across = drawn(fork["sleeve"]) + 2.0 * drawn(fork_arms)
        depth = (drawn(fork["sleeve"]) - opening) / 2.0
        if np.min(depth) <= 0:
            said = "Its pads do not reach into the groove: lessen the play under them, or deepen the groove."
            problems.append(Problem(True, f"fork {fork['fork']}", said))
        rows.append({"fork": fork["fork"], **shared, "opening": opening, "depth": depth, "across": across})
        placed.append(_placed(fork, known, tracks, problems))
        stock = flat_stock(float(np.max(across)), float(np.max(across)), pad)
        items.append(BillItem(f"fork, {fork['fork']}", 1, fork_material, fork_process, stock, of=SHAPE))
    rail = nominal(fork_rail, "The rail")
    count = len({fork["rail"] or fork["fork"] for fork in forks})
    rod = f"ground rod, ⌀ {rail:g} mm; cut to the casing"
    items.append(BillItem("fork rail", count, "steel", "", rod, of=("fork_rail", "forks")))
    return Made({"forks": rows, "fork_places": placed}, features, items, (), problems)


def _placed(
    fork: dict[str, Any], stations: dict[str, Any] | None, tracks: dict[str, Any] | None, problems: list[Problem]
) -> dict[str, Any]:
    """Return where a fork stands in neutral along its shaft, and in which track its pin runs, as far as that is known.

    stations, tracks  by name; None while their section cannot be computed
    """
    station, track = fork["station"], fork["track"]
    row: dict[str, Any] = {"fork": fork["fork"], "station": station or "–", "track": track or "–"}
    for name, what, known in ((station, "station", stations), (track, "track", tracks)):
        if name and known is None:
            said = f"Its {what} {name} is not on the sheet yet: what it is part of is undecided."
            problems.append(Problem(False, f"fork {fork['fork']}", said))
    if station and stations is not None and station not in stations:
        said = f"There is no station {station} in `shaft-stations`. There are: {', '.join(stations) or 'none'}."
        problems.append(Problem(True, f"fork {fork['fork']}", said))
    elif station and stations is not None:
        row["neutral"] = (stations[station]["begins"] + stations[station]["ends"]) / 2.0
        row["on"] = stations[station]["shaft"]
    if track and tracks is not None and track not in tracks:
        said = f"There is no track {track}. There are: {', '.join(tracks) or 'none'}."
        problems.append(Problem(True, f"fork {fork['fork']}", said))
    elif track and tracks is not None:
        row["pin"] = tracks[track]["neutral"]
    return row


def _mm(name: str, label: str, low: float = 0.01, default: str | None = None) -> Number:
    return Number(name, label, "mm", low, 5000.0, default=default, limits=True)


FORKS = Section(
    name="forks",
    title="Forks",
    purpose="The forks: pads, opening and reach, and where each stands in neutral.",
    parameters=(
        Rows(
            "forks",
            "Forks, the sleeve that each moves, and the track of its pin",
            (
                Text("fork", "Fork"),
                _mm("sleeve", "Diameter of its sleeve"),
                _mm("groove_bottom", "Diameter at the bottom of the sleeve's groove"),
                Text("station", "Station of its sleeve, in `shaft-stations`", default=""),
                Text("track", "Track of its pin", default=""),
                Text("rail", "Rail that it shares with others", default=""),
            ),
        ),
        _mm("fork_groove", "Width of the groove in the sleeves"),
        _mm("fork_play", "Play of the pads in the groove, both sides together", 0.0, "0.2 mm"),
        _mm("fork_play_under", "Play between pads and the bottom of the groove", 0.0, "0.3 mm"),
        _mm("fork_sleeve", "Length of the sleeves without their dogs"),
        _mm("fork_arms", "Width of a fork's arms outside the sleeve"),
        _mm("fork_rail", "Diameter of the rails"),
        Choice("fork_process", "How the forks are made", (AS_MODEL, *PROCESSES), default=AS_MODEL),
        Text("fork_material", "What the forks are made of", default="not stated"),
    ),
    wanted=("fork_sleeve",),
    uses=("stations", "drum_tracks", "disc_tracks"),
    tables=(
        Table(
            "forks",
            "Sizes",
            (
                Column("fork", "Fork"),
                Column("pad", "Thickness of the pads", "mm", PAD),
                Column("play", "Play in the groove", "mm", ("fork_play",)),
                Column("opening", "Opening between the pads", "mm", REACH),
                Column("depth", "Depth of the pads in the groove", "mm", REACH),
                Column("across", "Across the arms", "mm", ("forks", "fork_arms")),
                Column("wall", "Wall of the sleeve beside its groove", "mm", ("fork_sleeve", "fork_groove")),
                Column("rail", "Rail", "mm", ("fork_rail",)),
            ),
        ),
        Table(
            "fork_places",
            "Places",
            (
                Column("fork", "Fork"),
                Column("station", "Sleeve", of=("forks",)),
                Column("on", "On", of=("forks", "shaft_stations")),
                Column("neutral", "In neutral, from the left bearing shoulder", "mm", PLACES),
                Column("track", "Track", of=("forks",)),
                Column("pin", "Its pin in neutral: radius on the disc, or from the drum's end", "mm", PINS),
            ),
        ),
    ),
    compute=compute,
    formula=(
        "Pads are as thick as the groove less their play; the opening clears the bottom of the groove by the play "
        "under the pads on either side; the pads reach into the groove by half of sleeve less opening."
    ),
    sources=("Plain geometry, derived here.",),
    assumptions=("Every fork has the same pads; a sleeve stands in the middle of its station in neutral.",),
    cautions=("Forks close on fingers without warning when a disc or drum is turned.",),
)
