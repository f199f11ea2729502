"""Selector drum: the least drum for its positions, its pressure angle, forces, torque and contact, declared."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators import cam_parts
from ledger.calculators.cam_parts import DEGREE, Tracks, mean
from ledger.calculators.contract import Calculator, Choice, Draws, Number, Output
from ledger.mechanics import cam_drive, drum_track, motion_laws


def compute(
    positions: Draws,
    travel: Draws,
    dwell: Draws,
    pin: Draws,
    depth: Draws,
    law: str = motion_laws.MODIFIED_SINE,
    spread: str = drum_track.FULL_TURN,
    turn: Draws = 360.0,
    moves: Draws = 1.0,
    order: str = cam_parts.LEAVING,
    limit: Draws = 30.0,
    tracks: list[dict[str, Any]] | None = None,
    space: Draws = 0.0,
    casing: Draws = 0.0,
    place: str = drum_track.BESIDE,
    mean_radius: Draws = 0.0,
    bore: Draws = 0.0,
    wall: Draws = 0.0,
    gap: Draws = 0.0,
    between: Draws = 3.0,
    duration: Draws = 0.0,
    load: Draws = 0.0,
    mass: Draws = 0.0,
    pin_friction: Draws = 0.12,
    rail_friction: Draws = 0.12,
    overhang: Draws = 0.0,
    guide: Draws = 0.0,
    offset: Draws = 0.0,
    inertia: Draws = 0.0,
    elasticity: Draws = 206.0,
    poisson: Draws = 0.3,
) -> dict[str, Any]:
    """Return every declared output by name; the radius is stated, or follows from the bore or the limiting angle."""
    slotted = place == drum_track.SLOT_IN_RAIL
    _refuse_places(spread, slotted, depth, wall, mean_radius, bore)
    length = wall if slotted else depth
    read = cam_parts.read_tracks(tracks or [], positions)
    longest = cam_parts.longest_move(read) * travel
    swing = cam_parts.widest_swing(read) * travel
    full, factor, bound = spread == drum_track.FULL_TURN, motion_laws.velocity_factor(law), limit * DEGREE
    step = drum_track.step_angle(positions, full, turn * DEGREE)
    arc = drum_track.move_arc(step, dwell, moves)
    least = np.maximum(np.maximum(drum_track.least_radius(longest, arc, bound, factor), length), pin / 2.0)
    radius = _radius(least, place, mean_radius, bore, depth, wall, gap)
    if too_thick := drum_track.pin_in_drum(radius, pin):
        raise ValueError(too_thick)
    angle = drum_track.pressure_angle(longest, arc, radius, factor)
    outside = drum_track.outside_diameter(place, radius, depth, wall, gap)
    found = {
        "step_angle": step / DEGREE,
        "arc": arc / DEGREE,
        "rest": step * dwell / DEGREE,
        "least_radius": least,
        "least_diameter": drum_track.outside_diameter(place, least, depth, wall, gap),
        "radius": radius,
        "outside_diameter": outside,
        "pressure_angle": angle / DEGREE,
        "angle_room": cam_parts.settled(limit - angle / DEGREE),
        "keeps_limit": angle <= bound + 1e-9,
        "jamming_angle": cam_parts.jamming({"overhang": overhang, "guide": guide, "pin_friction": pin_friction,
                                            "rail_friction": rail_friction}),
        **cam_parts.spaced(space, casing, outside),
        "curves": _curves(read, law, step, dwell, moves, order, travel, swing + pin + between),
    }  # fmt: skip
    if read:
        found["drum_length"] = drum_track.drum_length(len(read), swing, pin, between)
        first = order == cam_parts.ARRIVING
        left = cam_drive.least_land(
            law, read.values(), first, step, arc, moves, travel, pin, lambda _place, _out: radius
        )
    else:
        left = drum_track.land(radius, drum_track.ramp_spacing(step, arc, moves), pin, angle)
    if left is not None:
        found["ramp_land"] = left
    found |= _of_place(place, spread, outside, wall, angle, radius, depth, turn, pin)
    if "room" in found and full:
        within = np.maximum(radius - (outside - (space - 2.0 * casing)) / 2.0, 0.1)
        found["positions_that_fit"] = drum_track.most_positions(
            drum_track.least_arc(longest, within, bound, factor), dwell, moves
        )
    if motion_laws.PEAKS[law][1] is not None:
        found["curvature"] = drum_track.curvature_radius(law, longest, arc, radius)
        found["undercut_room"] = found["curvature"] - pin / 2.0
    return found | cam_parts.forces(
        radius, 0.0, step, arc, longest, length, law=law, dwell=dwell, moves=moves, pin=pin, duration=duration,
        load=load, mass=mass, pin_friction=pin_friction, rail_friction=rail_friction, overhang=overhang, guide=guide,
        offset=offset, inertia=inertia, elasticity=elasticity, poisson=poisson,
    )  # fmt: skip


def _refuse_places(spread: str, slotted: bool, depth: Draws, wall: Draws, mean_radius: Draws, bore: Draws) -> None:
    faults = []
    if slotted and spread == drum_track.FULL_TURN:
        faults.append("A slot round the full turn cuts the rail in two; spread the positions over a part of a turn.")
    if slotted and not np.all(np.greater(wall, 0)):
        faults.append("The pin of a slot bears on the wall of the rail; state the wall.")
    if not slotted and not np.all(np.greater(depth, 0)):
        faults.append("The pin bears on the depth of the track; state the depth.")
    if np.any(np.not_equal(mean_radius, 0)) and np.any(np.not_equal(bore, 0)):
        faults.append("State the mean radius or the bore, not both.")
    if faults:
        raise ValueError(" ".join(faults))


def _radius(least: Draws, place: str, mean_radius: Draws, bore: Draws, depth: Draws, wall: Draws, gap: Draws) -> Draws:
    if np.any(np.not_equal(mean_radius, 0)):
        return mean_radius
    if np.any(np.not_equal(bore, 0)):
        radius: Draws = drum_track.radius_in_bore(place, bore, depth, wall, gap)
        return radius
    return least


def _of_place(
    place: str, spread: str, outside: Draws, wall: Draws, angle: Draws, radius: Draws, depth: Draws, turn: Draws,
    pin: Draws,
) -> dict[str, Draws]:  # fmt: skip
    found = {}
    if place != drum_track.BESIDE:
        found["bore_diameter"] = drum_track.bore_of_rail(outside, wall)
    if place == drum_track.SLOT_IN_RAIL:
        found["bridge"] = drum_track.slot_bridge(radius, turn * DEGREE, pin)
    else:
        found["bottom_angle"] = drum_track.bottom_angle(angle, radius, depth) / DEGREE
    return found


def _curves(
    tracks: Tracks, law: str, step: Draws, dwell: Draws, moves: Draws, order: str, travel: Draws, spacing: Draws
) -> list[dict[str, Any]]:
    first, apart, far = order == cam_parts.ARRIVING, mean(spacing), mean(travel)
    steps, dwells, moved = mean(step), mean(dwell), round(mean(moves))
    return [
        {"series": name, "x": angle / DEGREE, "y": place * apart + stand * far}
        for place, (name, stands) in enumerate(cam_parts.drawn(tracks).items())
        for angle, stand in cam_drive.offsets_along(law, stands, steps, dwells, moved, first)
    ]


SELECTOR_DRUM = Calculator(
    name="selector-drum",
    title="Selector drum",
    purpose=(
        "How large a drum must be to carry its forks through its positions without ramps that are too steep; or how "
        "steep they are on a drum of given size, and what force, torque and contact pressure that means."
    ),
    inputs=(
        *cam_parts.STEP_INPUTS,
        Choice("place", "Where the drum lies", drum_track.PLACES, default=drum_track.BESIDE),
        Number(
            "mean_radius",
            "Mean radius of the track (0: from the bore, or the least for the limiting angle)",
            "mm",
            low=0.0,
            high=5000.0,
            default="0 mm",
        ),
        Number("bore", "Bore of the hollow rail (0: follows)", "mm", low=0.0, high=5000.0, default="0 mm"),
        Number("wall", "Wall of the hollow rail", "mm", low=0.0, high=500.0, default="0 mm"),
        Number("gap", "Gap between drum and bore", "mm", low=0.0, high=100.0, default="0 mm"),
        Number("between", "Wall between tracks side by side", "mm", low=0.0, high=500.0, default="3 mm"),
        *cam_parts.FORCE_INPUTS,
    ),
    outputs=(
        Output("least_diameter", "Least outside diameter of the drum, or of the hollow rail, for the limit", "mm"),
        Output("least_radius", "Least mean radius of the track for the limit", "mm"),
        Output("outside_diameter", "Outside diameter of the drum, or of the hollow rail", "mm"),
        Output("radius", "Mean radius of the track", "mm"),
        *cam_parts.STEP_OUTPUTS,
        Output("bottom_angle", "Pressure angle at the bottom of the track", "°", optional=True),
        Output("bore_diameter", "Bore of the hollow rail", "mm", optional=True),
        Output("bridge", "What is left of the rail between the ends of its slot", "mm", optional=True),
        Output("drum_length", "Least length of the drum with the stated tracks side by side", "mm", optional=True),
        *cam_parts.FORCE_OUTPUTS,
        Output(
            "curves", "Developed tracks", form="curves", axes=("angle of the drum [°]", "place along the drum [mm]")
        ),
    ),
    formula=(
        f"{cam_parts.STEP_FORMULA}\n\n"
        "The steepest place of the developed track has tan α = *C_v*·*h*/(*r*·β); so the least mean radius for the "
        "limit is *C_v*·*h*/(β·tan α_max). Outside the drum measures 2*r* + *t*; a hollow rail around it 2*r* + *t* + "
        "2*g* + 2*s*, and with the slot in the rail 2*r* + *s*, for a depth *t*, gap *g* and wall *s*. The track is "
        "undercut where its radius of curvature, (1 + *t*²)^(3/2)·(*r*β)²/(*h*·|*a*|) with the slope *t* at that "
        f"place, falls below half the pin *w*.\n\n{cam_parts.FORCE_FORMULA}\n\n"
        "On a track of 25 mm radius 8 mm of travel within 60° have 31.4° under the cycloidal law and 28.3° under the "
        "modified sine."
    ),
    sources=(*cam_parts.SOURCES, "Sizes of drum and rail, lands and bridge: geometry, derived here."),
    assumptions=(
        *cam_parts.ASSUMPTIONS,
        "The radius is that of the middle of the contact between pin and track. At its bottom the angle is steeper, "
        "and is given too.",
        "The least radius is never smaller than the track is deep, nor than half the pin, however gentle the ramps.",
        "On a full turn every position has an equal share of it, also where the drum is never turned on from the last "
        "to the first.",
        "Positions that fit are not rounded down: 7.9 means seven.",
        "A drum in a hollow rail moves that one rail; its rail is kept from turning by something that is not computed.",
        "Tracks lie side by side. Forks far apart need a longer drum, and tracks that lie into one another a shorter "
        "one.",
        "A slot weakens its rail; that is not computed.",
    ),
    cautions=cam_parts.CAUTIONS,
    compute=compute,
)
