"""Forks: the pads that run in the sleeves' grooves, the opening that clears the sleeve, where each stands."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.building.contract import (
    AS_MODEL,
    GAP,
    WALL,
    BillItem,
    Column,
    Feature,
    Made,
    Naming,
    Problem,
    Section,
    Sketch,
    Table,
    millimetres,
)
from ledger.building.reading import drawn, flat_stock, nominal
from ledger.building.sections.forks.changes import changes
from ledger.building.sections.forks.reach import fork_sketch, rail_rows, reached, tongue, toward
from ledger.building.sections.tracks.disc import MOVED as DISC_MOVED
from ledger.building.sections.tracks.disc import PLACED as DISC_PLACED
from ledger.building.sections.tracks.disc_place import PLACE as DISC_PLACE
from ledger.building.sections.tracks.drum import LAID as DRUM_LAID
from ledger.building.sections.tracks.drum import MOVED as DRUM_MOVED
from ledger.building.sections.tracks.shared import Motion
from ledger.calculators.contract import Choice, Draws, Number, Rows, Text
from ledger.mechanics.model_scale import PROCESSES

PAD = ("fork_groove", "fork_play")
REACH = ("forks", "fork_play_under")
SHAPE = (*PAD, *REACH, "fork_arms")
PLACES = ("forks", "shaft_stations", "shaft_span")
PINS = ("forks", *DISC_PLACED, *DRUM_LAID)
REACHED = ("forks", "fork_rails", "shaft_axes", "centre_distance", "shaft_stations")
DRAWN = (*SHAPE, *REACHED, "fork_rail", "fork_boss")
ARMS = ("forks", "fork_rails", *DISC_PLACE, *DISC_PLACED, "disc_thickness")
TOWARD = ("forks", "shaft_stations", "disc_pins")
CHANGED = ("forks", *DISC_MOVED, *DRUM_MOVED, "dogs", "dog_space", "dog_sleeve")


def compute(
    forks: list[dict[str, Any]],
    fork_groove: Any,
    fork_play: Any,
    fork_play_under: Any,
    fork_sleeve: Any,
    fork_arms: Any,
    fork_rail: Any,
    fork_boss: Any,
    fork_rails: list[dict[str, Any]] | None,
    fork_process: str,
    fork_material: str,
    axes: dict[str, tuple[float, float]] | None,
    span: Any,
    pins: dict[str, tuple[float, float, float]] | None,
    plus: str | None,
    stations: tuple[dict[str, Any], ...] | None,
    drum_tracks: tuple[dict[str, Any], ...] | None,
    disc_tracks: tuple[dict[str, Any], ...] | None,
    drum_motion: Motion | None,
    disc_motion: Motion | None,
    dog_reach: dict[str, Draws] | None,
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
    shared: dict[str, Any] = {"pad": thick, "play": fork_play}
    if fork_sleeve is not None:
        shared["wall"] = (drawn(fork_sleeve) - drawn(fork_groove)) / 2.0
        of = ("fork_sleeve", "fork_groove")
        features.append(Feature("sleeve: wall beside the groove", WALL, shared["wall"], fork_process, of))
    known = None if stations is None else {one["part"]: one for one in stations}
    both = None if drum_tracks is None and disc_tracks is None else (*(drum_tracks or ()), *(disc_tracks or ()))
    tracks = None if both is None else {one["track"]: one for one in both}
    pad = nominal(fork_groove, "The groove") - nominal(fork_play, "The play")
    rows, placed, items, sketches = [], [], [], []
    rails = {row["rail"]: row for row in fork_rails or []}
    for fork in forks:
        opening = drawn(fork["groove_bottom"]) + 2.0 * drawn(fork_play_under)
        across = drawn(fork["sleeve"]) + 2.0 * drawn(fork_arms)
        depth = (drawn(fork["sleeve"]) - opening) / 2.0
        if np.min(depth) <= 0:
            said = "Its pads do not reach into the groove: lessen the play under them, or deepen the groove."
            problems.append(Problem(True, f"fork {fork['fork']}", said))
        row = {"fork": fork["fork"], **shared, "groove": fork_groove, "opening": opening, "depth": depth,
               "across": across}  # fmt: skip
        place = _placed(fork, known, tracks, problems)
        drawing, rail = "", rails.get(fork["rail"] or fork["fork"])
        if rail is not None:
            arms, more, wrong = reached(fork, place, rail, (axes or {}), (pins or {}).get(fork["track"]))
            place, row = place | arms, row | more
            made, undrawn = _drawn(fork, row, fork_rail, fork_boss)
            sketches += made
            problems += wrong + undrawn
            drawing = ", ".join(one.name for one in made)
        elif fork_rails is not None:
            said = f"Its rail {fork['rail'] or fork['fork']} is not in `fork-rails`; there are {', '.join(rails)}."
            problems.append(Problem(True, f"fork {fork['fork']}", said))
        place |= toward(place, stations, plus)
        rows.append(row)
        placed.append(place)
        long = float(np.max(across)) / 2.0 + float(row.get("reach", np.max(across) / 2.0))
        stock = flat_stock(float(np.max(across)), long + nominal(fork_boss, "The boss"), pad)
        items.append(BillItem(f"fork, {fork['fork']}", 1, fork_material, fork_process, stock, drawing, of=SHAPE))
    bars, more_items = rail_rows(fork_rails, fork_rail, span)
    count = len({fork["rail"] or fork["fork"] for fork in forks})
    rod = f"ground rod, ⌀ {nominal(fork_rail, 'The rail'):g} mm h6; length undecided"
    items += more_items or [BillItem("fork rail", count, "steel", "", rod, of=("fork_rail", "forks"))]
    sleeves = {fork["station"]: (fork, fork_groove, fork_sleeve) for fork in forks if fork["station"]}
    tongues = tuple(
        tongue(fork, rail, (axes or {})[place["on"]], fork_boss)
        for fork, place in zip(forks, placed, strict=True)
        if (rail := rails.get(fork["rail"] or fork["fork"])) is not None and place.get("on") in (axes or {})
    )
    changed, bound = changes(placed, (drum_motion, disc_motion), dog_reach)
    tables = {"forks": rows, "fork_places": placed, "fork_rails": bars, "fork_changes": changed}
    return Made(tables, features, items, sketches, problems + bound,
                {"rails": tuple(bars), "sleeves": sleeves, "tongues": tongues})  # fmt: skip


def _drawn(fork: dict[str, Any], row: dict[str, Any], rod: Any, boss: Any) -> tuple[list[Sketch], list[Problem]]:
    """Return a fork's drawing where its reach is known, and why it cannot be drawn."""
    if "reach" not in row:
        return [], []
    try:
        return [fork_sketch(fork, row, rod, boss, DRAWN)], []
    except ValueError as error:
        return [], [Problem(True, f"fork {fork['fork']}", str(error))]


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


FORKS = Section(
    name="forks",
    title="Forks",
    purpose="The forks: pads, opening and reach, and where each stands in neutral, in the frame of the casing.",
    parameters=(
        Rows(
            "forks",
            "Forks, the sleeve that each moves, and the track of its pin",
            (
                Text("fork", "Fork"),
                millimetres("sleeve", "Diameter of its sleeve"),
                millimetres("groove_bottom", "Diameter at the bottom of the sleeve's groove"),
                Text("station", "Station of its sleeve, in `shaft-stations`", default=""),
                Text("track", "Track of its pin", default=""),
                Text("rail", "Rail that it shares with others", default=""),
            ),
        ),
        millimetres("fork_groove", "Width of the groove in the sleeves"),
        millimetres("fork_play", "Play of the pads in the groove, both sides together", 0.0, "0.2 mm"),
        millimetres("fork_play_under", "Play between pads and the bottom of the groove", 0.0, "0.3 mm"),
        millimetres("fork_sleeve", "Length of the sleeves without their dogs"),
        millimetres("fork_arms", "Width of a fork's arms outside the sleeve"),
        millimetres("fork_rail", "Diameter of the rails"),
        millimetres("fork_boss", "Diameter of a fork's end about its rail", default="9 mm"),
        Rows(
            "fork_rails",
            "Rails, where they stand, and what stands out beyond the bearing shoulders",
            (
                Text("rail", "Rail"),
                Number("at_x", "x", "mm", -5000.0, 5000.0, limits=True),
                Number("at_y", "y", "mm", -5000.0, 5000.0, limits=True),
                millimetres("left", "Beyond the left bearing shoulders", 0.0, "0 mm"),
                millimetres("right", "Beyond the right bearing shoulders", 0.0, "0 mm"),
            ),
        ),
        Choice("fork_process", "How the forks are made", (AS_MODEL, *PROCESSES), default=AS_MODEL),
        Text("fork_material", "What the forks are made of", default="not stated"),
    ),
    wanted=("fork_sleeve", "fork_rails"),
    uses=(
        "axes",
        "span",
        "pins",
        "plus",
        "stations",
        "drum_tracks",
        "disc_tracks",
        "drum_motion",
        "disc_motion",
        "dog_reach",
    ),
    names=(
        Naming("forks", "track", (("drum_tracks", "track"), ("disc_tracks", "track"))),
        Naming("forks", "station", (("shaft_stations", "part"),)),
        Naming("forks", "rail", (("fork_rails", "rail"),)),
    ),
    tables=(
        Table(
            "forks",
            "Sizes",
            (
                Column("fork", "Fork"),
                Column("pad", "Thickness of the pads", "mm", PAD),
                Column("groove", "Groove in the sleeve", "mm", ("fork_groove",)),
                Column("play", "Play in the groove", "mm", ("fork_play",)),
                Column("opening", "Opening between the pads", "mm", REACH),
                Column("depth", "Depth of the pads in the groove", "mm", REACH, behind=True),
                Column("across", "Across the arms", "mm", ("forks", "fork_arms")),
                Column(
                    "wall", "Wall of the sleeve beside its groove", "mm", ("fork_sleeve", "fork_groove"), behind=True
                ),
                Column("reach", "Sleeve's axis to rail's axis", "mm", REACHED),
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
                Column("plus", "At + it moves towards", of=TOWARD),
                Column("minus", "At − it moves towards", of=TOWARD),
                Column("track", "Track", of=("forks",)),
                Column(
                    "pin", "Its pin in neutral: radius on the disc, or from the drum's end", "mm", PINS, behind=True
                ),
                Column("rail_from_pin_x", "Arm, from the rail to the pin: x", "mm", ARMS),
                Column("rail_from_pin_y", "y", "mm", ARMS),
                Column("fork_to_pin", "Arm, from the fork to the pin: z", "mm", (*ARMS, *PLACES)),
            ),
        ),
        Table(
            "fork_rails",
            "Rails",
            (
                Column("rail", "Rail"),
                Column("rod", "Rod", "mm", ("fork_rail",)),
                Column("x", "x", "mm", ("fork_rails",)),
                Column("y", "y", "mm", ("fork_rails",)),
                Column("begins", "Begins at z", "mm", ("fork_rails", "shaft_span")),
                Column("ends", "Ends at z", "mm", ("fork_rails", "shaft_span")),
                Column("length", "Length", "mm", ("fork_rails", "shaft_span")),
            ),
        ),
        Table(
            "fork_changes",
            "Changes in which one sleeve leaves and another enters",
            (
                Column("change", "Change"),
                Column("old", "From", of=(*CHANGED, *TOWARD)),
                Column("new", "To", of=(*CHANGED, *TOWARD)),
                Column("tall_in", "First dogs of the new gear in, at", "°", CHANGED),
                Column("short_out", "Shortest dogs of the old gear out, at", "°", CHANGED),
                Column("tall_out", "All dogs of the old gear out, at", "°", CHANGED),
                Column("together", "Both in over", "°", CHANGED),
            ),
            keys=3,
        ),
    ),
    compute=compute,
    formula=(
        "Pads are as thick as the groove less their play; the opening clears the bottom of the groove by the play "
        "under the pads on either side; the pads reach into the groove by half of sleeve less opening."
    ),
    sources=("Plain geometry, derived here.",),
    assumptions=(
        "Every fork has the same pads; a sleeve stands in the middle of its station in neutral.",
        "A fork and its arm are fast on their rail, which slides in the end walls. A rail of its own has the fork's "
        "name.",
        "Angles of changes are those of a drum or disc turning upward, with forks that do not give and without the "
        "plays of pins and pads; downward the same are passed the other way round.",
    ),
    cautions=("Forks close on fingers without warning when a disc or drum is turned.",),
)
