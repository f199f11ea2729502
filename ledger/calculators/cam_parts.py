"""What selector drums and face-cam discs declare and compute alike: steps, forces, contact, and the tracks drawn."""

from __future__ import annotations

from itertools import pairwise
from math import pi
from typing import Any

import numpy as np

from ledger.calculators.contract import Choice, Draws, Input, Number, Output, Rows, Text, Whole
from ledger.mechanics import cam_drive, drum_track, motion_laws, pin_contact

Tracks = dict[str, list[float]]
DEGREE = pi / 180.0
LEAVING, ARRIVING = "leaving first", "arriving first"
MARKS = {"+": 1.0, "-": -1.0, "−": -1.0}

STEP_INPUTS: tuple[Input, ...] = (
    Whole("positions", "Positions", low=2, high=100),
    Number("travel", "Travel of a fork from neutral into a gear", "mm", low=0.01, high=500.0),
    Number("dwell", "Share of a step in which no fork moves", "", low=0.0, high=0.95),
    Choice("law", "Motion law", motion_laws.LAWS, default=motion_laws.MODIFIED_SINE),
    Choice(
        "spread",
        "The positions share a full turn, or lie on a part of one",
        (drum_track.FULL_TURN, drum_track.PART_TURN),
        default=drum_track.FULL_TURN,
    ),
    Number("turn", "Turn from first to last position, for a part of a turn", "°", low=3.0, high=360.0, default="360 °"),
    Whole("moves", "Moves one after the other within a step", low=1, high=4, default="1"),
    Choice("order", "Which comes first, where a step has several moves", (LEAVING, ARRIVING), default=LEAVING),
    Number("limit", "Limiting pressure angle", "°", low=1.0, high=80.0, default="30 °"),
    Rows(
        "tracks",
        "Where each track stands at each position: +, 0 and -, or shares of the travel, as `0 + 0 -` or `0 1 0 -1`",
        (Text("track", "Track"), Text("stands", "Stands, position by position")),
        optional=True,
    ),
    Number("pin", "Diameter of the pin, width of the track", "mm", low=0.1, high=500.0),
    Number("depth", "Depth of the track, length of the contact", "mm", low=0.0, high=500.0),
    Number(
        "space", "Outside diameter of the space there is (0: not asked)", "mm", low=0.0, high=5000.0, default="0 mm"
    ),
    Number("casing", "Wall and clearance taken off it, each side", "mm", low=0.0, high=500.0, default="0 mm"),
)
FORCE_INPUTS: tuple[Input, ...] = (
    Number(
        "duration", "Time of a move (0: speeds and forces are not asked)", "ms", low=0.0, high=60_000.0, default="0 ms"
    ),
    Number("load", "Force against the fork all along its travel", "N", low=0.0, high=1e6, default="0 N"),
    Number("mass", "Mass that moves with the fork: sleeve, fork, rail", "kg", low=0.0, high=10_000.0, default="0 kg"),
    Number("pin_friction", "Friction between pin and track", "", low=0.0, high=1.0, default="0.12"),
    Number("rail_friction", "Friction between rail and guide", "", low=0.0, high=1.0, default="0.12"),
    Number("overhang", "Overhang of the pin beyond the guide", "mm", low=0.0, high=2000.0, default="0 mm"),
    Number("guide", "Length of the guide of the rail (0: long)", "mm", low=0.0, high=5000.0, default="0 mm"),
    Number("offset", "Distance across the rail between load and pin", "mm", low=0.0, high=2000.0, default="0 mm"),
    Number(
        "inertia", "Moment of inertia of drum or disc and its drive", "kg·m²", low=0.0, high=1000.0, default="0 kg·m²"
    ),
    Number("elasticity", "Elasticity of pin and track", "GPa", low=1.0, high=1000.0, default="206 GPa"),
    Number("poisson", "Poisson's ratio of pin and track", "", low=0.0, high=0.5, default="0.3"),
)
STEP_OUTPUTS: tuple[Output, ...] = (
    Output("step_angle", "Angle from one position to the next", "°"),
    Output("arc", "Arc of a move", "°"),
    Output("rest", "Arc of the rest in a position", "°"),
    Output("pressure_angle", "Greatest pressure angle", "°"),
    Output("angle_room", "What the pressure angle leaves of its limit", "°"),
    Output("keeps_limit", "The pressure angle keeps its limit", form="truth"),
    Output("curvature", "Least radius of curvature of the track", "mm", optional=True),
    Output("undercut_room", "The same less half the pin: below zero the track is undercut", "mm", optional=True),
    Output("ramp_land", "Least land between moves of a track, out and back", "mm", optional=True),
    Output("jamming_angle", "Pressure angle at which friction holds the rail", "°"),
    Output("room", "Room: the space less what is needed", "mm", optional=True),
    Output("fits", "It fits the space", form="truth", optional=True),
    Output("positions_that_fit", "Positions that fit the space at the limiting angle", optional=True),
)
FREE: dict[str, Any] = {"optional": True, "given": "moves_freely"}
FORCE_OUTPUTS: tuple[Output, ...] = (
    Output("peak_speed", "Greatest speed of the fork", "m/s", optional=True),
    Output("peak_acceleration", "Greatest acceleration of the fork", "m/s²", optional=True),
    Output("peak_jerk", "Greatest jerk of the fork", "m/s³", optional=True),
    Output("contact_force", "Greatest normal force between pin and track", "N", **FREE),
    Output("side_force", "Greatest force of the pin across the rail", "N", **FREE),
    Output("guide_force", "Greatest force that the guide bears", "N", **FREE),
    Output("torque", "Torque of one fork at the drum or disc", "N·m", **FREE),
    Output("power", "Power of one fork at the drum or disc", "W", **FREE),
    Output("start_torque", "Torque that starts the drum or disc within half a rest", "N·m", optional=True),
    Output("step_time", "Time of a whole step from rest to rest", "s", shown="ms", optional=True),
    Output("moves_freely", "Friction never holds the rail", form="truth", optional=True),
    Output("contact_pressure", "Greatest contact pressure at the pin", "MPa", **FREE),
    Output("contact_shear", "Greatest shear stress under the contact", "MPa", **FREE),
)
STEP_FORMULA = (
    "The step is φ = 2π/*n* for *n* positions on a full turn, θ/(*n* − 1) on a turn θ; the arc of a move is "
    "β = φ(1 − *d*)/*k* with the share *d* at rest and *k* moves one after the other. "
    "The middles of two ramps of a track, out and back, are ψ apart: φ − (*k* − 1)β where the first has the last share "
    "of its step and the second the first share of the next; with stated tracks and one order of moves, *i*·φ + "
    "*j*(*k* − 1)β for ramps *i* steps apart, *j* being −1, 0 or 1 by which share each of them has. The land between "
    "them is *r*·ψ − *w*/sin α for a pin *w*. Where one move is longer, both ramps are crossed at half the shorter "
    "travel, each with its slope there: *r*·(ψ − Σβ(½ − *z*)) − Σ*w*/(2·sin α)."
)
FORCE_FORMULA = (
    "Over a time *T* the fork reaches *C_v*·*h*/*T* and *C_a*·*h*/*T*². At 97 points of the move, with *t* = tan α "
    "there, the load *L* = *P* + *m*·*a*, and *L*′ = *L*(1 + 2μ_r·*e*/*B*), the pin presses square on the track with "
    "*L*′√(1 + *t*²)/*D* and is pushed aside with *L*′(*t* + μ_p)/*D*, *D* = 1 − μ_p·*t* − μ_r·*k_g*(*t* + μ_p), "
    "*k_g* = (2*A* + *B*)/*B* for an overhang *A* beyond a guide *B*. The rail jams where *D* falls to nothing: "
    "tan α = (1 − μ_r·*k_g*·μ_p)/(μ_p + μ_r·*k_g*). The contact pressure is that of a cylinder on a plane after "
    "Hertz, *p*₀ = √(*F*·*E*\\*/(π·*R*·*l*)); the shear beneath is 0.300 *p*₀."
)
SOURCES = (
    "Motion laws and pressure angle: Norton, Cam Design and Manufacturing Handbook, 2nd ed. (2009), ch. 2, 3 and 7; "
    "VDI 2143-1:1980.",
    "Limit of 30° for a follower that slides (about 35° for one that swings): Norton, the same, text at Fig. 7-2.",
    "That the 30° are empirical, and that more is borne with a rigid follower, strong bearings and little overhang: "
    "Rothbart (ed.), Cam Design Handbook (2004), p. 19.",
    "Jamming and force on the guide: Rothbart (ed.), the same, ch. 6.",
    "Contact: Johnson, Contact Mechanics (1985), §4.2.",
    "That racing drums of short throw have ramps steeper than 30°: common practice, no source.",
    "Friction of oiled steel of about 0.12: common practice, no source.",
)
ASSUMPTIONS = (
    "The land is the least over the places where a stated track turns back, and is left out where none does; without "
    "stated tracks it is that of one that arrives last and leaves first. The turn from last to first is not among "
    "them.",
    "Stands of tracks can be read off the `chart` of shift-states for one actuator: the offsets of each track, state "
    "after state, are its stands as they are (`0 -1 -1 0` …), and the states are the positions. Of several actuators "
    "states in which none of an actuator's own tracks has moved are one position.",
    "All moves are of one arc, and of one travel where no tracks are stated. A track that goes from one "
    "gear straight to another in one step moves twice the travel, and is computed so where the tracks are stated.",
    "The drum or disc turns at steady speed through the moves; it starts and stops within the rests.",
    "Parts are rigid, and the pin fills its track: blows from play, and vibration, are not computed.",
    "Under the uniform law the fork starts and stops in no time; the blow is not computed, and no acceleration, "
    "curvature or jerk is given. Harmonic and constant acceleration have no finite jerk.",
    "The pressure angle is that of the middle of the track, along its depth and across its width.",
    "The pin slides or turns as its friction says; a roller on it has a smaller one. Where inertia exceeds the load, "
    "friction helps to brake and is left out.",
    "Forces, torque, power and contact are given over the draws in which friction never holds the rail "
    "(`moves_freely`), and not at all where it always does.",
    "The normal force leaves out the friction along the track: both together are √(1 + μ_p²) times as much.",
    "Torque and power are of one fork. Forks that move at the same time add up.",
    "The contact is that of a cylinder on a plane of the same material along the whole depth. Where the wall bends "
    "away from the pin, and at the edges, the pressure is higher.",
)
CAUTIONS = (
    "A drum, a fork and a rail pinch and shear: keep fingers out of a model that can be turned, by hand too.",
    "A detent's spring lets go without notice.",
    "A rail that jams breaks its fork or leaves two gears in at once; guard what rotates.",
    "For understanding and for models only; not for rating a part that carries people.",
)


def read_tracks(rows: list[dict[str, Any]], positions: Draws) -> Tracks:
    """Return where each track stands at each position, in travels; ValueError naming every row that cannot be read."""
    tracks: Tracks = {}
    faults = []
    for row in rows:
        name, words = row["track"].strip(), row["stands"].split()
        try:
            stands = [MARKS[word] if word in MARKS else float(word) for word in words]
        except ValueError:
            faults.append(f"Track {name}: {row['stands']!r} given; expected +, 0 and -, or shares of the travel.")
            continue
        if name in tracks:
            faults.append(f"Track {name} stands in two rows; name them apart.")
        if not np.all(np.equal(positions, len(stands))):
            faults.append(f"Track {name} states {len(stands)} stands; expected one for each position.")
        if any(abs(one) > 2 or one != one for one in stands):
            faults.append(f"Track {name}: stands lie between -2 and 2 travels.")
        if len(set(stands)) < 2:
            faults.append(f"Track {name} never moves.")
        tracks[name] = stands
    if faults:
        raise ValueError(" ".join(faults))
    return tracks


def longest_move(tracks: Tracks) -> float:
    """Return the longest move of a step, in travels; 1 where no track is stated."""
    moves = [abs(after - before) for one in tracks.values() for before, after in pairwise(one)]
    return max(moves, default=1.0)


def widest_swing(tracks: Tracks) -> float:
    """Return the widest swing of a track, in travels; 2 (a gear on either side) where no track is stated."""
    return max((max(one) - min(one) for one in tracks.values()), default=2.0)


def drawn(tracks: Tracks) -> Tracks:
    """Return the tracks to draw: those stated, or one that goes out and back."""
    return tracks or {"a track, out and back": [0.0, 1.0, 0.0]}


def forces(
    radius: Draws, outward: float, step: Draws, arc: Draws, travel: Draws, length: Draws, **given: Any
) -> dict[str, Any]:
    """Return the outputs of speeds and forces; none where no time is stated."""
    if np.all(np.equal(given["duration"], 0)):
        return {}
    law, duration = given["law"], given["duration"] / 1000.0
    driven = cam_drive.drive(
        law, travel, arc, duration, radius, given["load"], given["mass"], given["pin_friction"],
        given["rail_friction"], given["overhang"], given["guide"], given["offset"], outward,
    )  # fmt: skip
    found = {
        "peak_speed": cam_drive.peak_speed(law, travel, duration),
        **driven,
        "step_time": cam_drive.step_time(duration, arc, step, given["dwell"], given["moves"]),
    }
    _, bends, jerks = motion_laws.PEAKS[law]
    if bends is not None:
        found["peak_acceleration"] = cam_drive.peak_acceleration(law, travel, duration)
    if jerks is not None:
        found["peak_jerk"] = cam_drive.peak_jerk(law, travel, duration)
    if np.any(np.not_equal(given["inertia"], 0)):
        found["start_torque"] = cam_drive.starting_torque(given["inertia"], duration, arc, step, given["dwell"])
    if np.all(np.greater(length, 0)):
        pressure = pin_contact.contact_pressure(
            driven["contact_force"], length, given["pin"], 1000.0 * given["elasticity"], given["poisson"]
        )
        found |= {"contact_pressure": pressure, "contact_shear": pin_contact.contact_shear(pressure)}
    return found


def jamming(given: dict[str, Any]) -> Draws:
    """Return the pressure angle at which friction holds the rail [°]."""
    share = cam_drive.side_share(given["overhang"], given["guide"])
    angle: Draws = cam_drive.jamming_angle(given["pin_friction"], given["rail_friction"], share) / DEGREE
    return angle


def spaced(space: Draws, casing: Draws, needed: Draws) -> dict[str, Draws]:
    """Return what a space leaves; nothing where no space is stated."""
    if np.all(np.equal(space, 0)):
        return {}
    room = settled(space - 2.0 * casing - needed)
    return {"room": room, "fits": room >= 0}


def settled(value: Draws) -> Draws:
    """Return a difference with what is only rounding set to zero, so that a limit met exactly is kept."""
    return np.where(np.abs(value) < 1e-9, 0.0, value) + 0.0


def mean(value: Draws) -> float:
    """Return the mean of draws, for drawing."""
    return float(np.mean(value))
