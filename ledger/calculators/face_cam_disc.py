"""Face-cam disc: the least disc for its positions and grooves, its pressure angle, forces and torque, declared."""

from __future__ import annotations

from math import cos, sin
from typing import Any

import numpy as np

from ledger.calculators import cam_parts
from ledger.calculators.cam_parts import DEGREE, Tracks, mean
from ledger.calculators.contract import Calculator, Draws, Number, Output, Whole
from ledger.mechanics import cam_drive, drum_track, face_cam, motion_laws


def compute(
    positions: Draws,
    travel: Draws,
    dwell: Draws,
    pin: Draws,
    depth: Draws,
    grooves: Draws,
    law: str = motion_laws.MODIFIED_SINE,
    spread: str = drum_track.FULL_TURN,
    turn: Draws = 360.0,
    moves: Draws = 1.0,
    order: str = cam_parts.LEAVING,
    limit: Draws = 30.0,
    tracks: list[dict[str, Any]] | None = None,
    space: Draws = 0.0,
    casing: Draws = 0.0,
    inner_radius: Draws = 0.0,
    land: Draws = 3.0,
    rim: Draws = 3.0,
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
    """Return every declared output by name; the inner radius is stated, or the least for the limiting angle."""
    read = cam_parts.read_tracks(tracks or [], positions)
    longest = cam_parts.longest_move(read) * travel
    swing = cam_parts.widest_swing(read) * travel
    full, bound = spread == drum_track.FULL_TURN, limit * DEGREE
    step = drum_track.step_angle(positions, full, turn * DEGREE)
    arc = drum_track.move_arc(step, dwell, moves)
    least = np.maximum(face_cam.least_radius(law, longest, arc, bound), pin / 2.0)
    radius = inner_radius if np.any(np.not_equal(inner_radius, 0)) else least
    if not np.all(radius >= pin / 2.0):
        raise ValueError(
            "The innermost groove would reach over the middle of the disc: its radius is below half the pin."
        )
    angle = face_cam.pressure_angle(law, longest, arc, radius)
    outside = face_cam.disc_diameter(radius, grooves, swing, pin, land, rim)
    found = {
        "step_angle": step / DEGREE,
        "arc": arc / DEGREE,
        "rest": step * dwell / DEGREE,
        "least_radius": least,
        "least_diameter": face_cam.disc_diameter(least, grooves, swing, pin, land, rim),
        "radius": radius,
        "disc_diameter": outside,
        "hub": face_cam.largest_hub(radius, pin),
        "pressure_angle": angle / DEGREE,
        "angle_room": cam_parts.settled(limit - angle / DEGREE),
        "keeps_limit": angle <= bound + 1e-9,
        "jamming_angle": cam_parts.jamming({"overhang": overhang, "guide": guide, "pin_friction": pin_friction,
                                            "rail_friction": rail_friction}),
        **cam_parts.spaced(space, casing, outside),
        "grooves": _grooves(radius, int(np.max(grooves)), swing, pin, land, law, longest, arc),
        "curves": _curves(read, law, step, dwell, moves, order, travel, radius, grooves, swing, pin, land),
    }  # fmt: skip
    if read:
        left = cam_drive.least_land(
            law, read.values(), order == cam_parts.ARRIVING, step, arc, moves, travel, pin,
            lambda place, out: face_cam.groove_radius(radius, place % grooves, swing, pin, land) + out * travel,
        )  # fmt: skip
    else:
        spacing = drum_track.ramp_spacing(step, arc, moves)
        left = face_cam.land_between_moves(radius, longest, spacing, pin, angle)
    if left is not None:
        found["ramp_land"] = left
    if "room" in found and full:
        found["positions_that_fit"] = _positions_that_fit(
            law, longest, bound, dwell, moves, radius + found["room"] / 2.0
        )
    if motion_laws.PEAKS[law][1] is not None:
        found["curvature"] = face_cam.curvature_radius(law, longest, arc, radius)
        found["undercut_room"] = found["curvature"] - pin / 2.0
    return found | cam_parts.forces(
        radius, 1.0, step, arc, longest, depth, law=law, dwell=dwell, moves=moves, pin=pin, duration=duration,
        load=load, mass=mass, pin_friction=pin_friction, rail_friction=rail_friction, overhang=overhang, guide=guide,
        offset=offset, inertia=inertia, elasticity=elasticity, poisson=poisson,
    )  # fmt: skip


def _positions_that_fit(law: str, travel: Draws, bound: Draws, dwell: Draws, moves: Draws, radius: Draws) -> Draws:
    """Return how many positions fit: β tan α hangs on radius and travel alone, so it is found from an arc of one."""
    steepest = np.tan(face_cam.pressure_angle(law, travel, 1.0, np.maximum(radius, 0.1)))
    most: Draws = drum_track.most_positions(steepest / np.tan(bound), dwell, moves)
    return most


def _grooves(
    first: Draws, count: int, swing: Draws, pin: Draws, land: Draws, law: str, travel: Draws, arc: Draws
) -> list[dict[str, Any]]:
    rows = []
    for place in range(count):
        least = face_cam.groove_radius(first, place, swing, pin, land)
        angle = face_cam.pressure_angle(law, travel, arc, least) / DEGREE
        rows.append(
            {
                "groove": "innermost" if place == 0 else f"number {place + 1}",
                "least radius [mm]": least,
                "mean radius [mm]": least + swing / 2.0,
                "greatest radius [mm]": least + swing,
                "pressure angle [°]": angle,
            }
        )
    return rows


def _curves(
    tracks: Tracks, law: str, step: Draws, dwell: Draws, moves: Draws, order: str, travel: Draws, radius: Draws,
    grooves: Draws, swing: Draws, pin: Draws, land: Draws,
) -> list[dict[str, Any]]:  # fmt: skip
    points = []
    steps, dwells, moved, travels = mean(step), mean(dwell), round(mean(moves)), mean(travel)
    for place, (name, stands) in enumerate(cam_parts.drawn(tracks).items()):
        least = mean(face_cam.groove_radius(radius, place % round(mean(grooves)), swing, pin, land))
        low = min(stands)
        for angle, stand in cam_drive.offsets_along(law, stands, steps, dwells, moved, order == cam_parts.ARRIVING):
            out = least + (stand - low) * travels
            points.append({"series": name, "x": out * cos(angle), "y": out * sin(angle)})
    return points


FACE_CAM_DISC = Calculator(
    name="face-cam-disc",
    title="Face-cam disc",
    purpose=(
        "How large a disc with grooves in its face must be to carry its rails through its positions without ramps that "
        "are too steep; or how steep they are on a disc of given size, and what force, torque and contact pressure "
        "that means."
    ),
    inputs=(
        *cam_parts.STEP_INPUTS,
        Whole("grooves", "Grooves inside one another on a face", low=1, high=12),
        Number(
            "inner_radius",
            "Least radius of the innermost groove's middle (0: the least for the limiting angle)",
            "mm",
            low=0.0,
            high=5000.0,
            default="0 mm",
        ),
        Number("land", "Land left between grooves", "mm", low=0.0, high=500.0, default="3 mm"),
        Number("rim", "Rim outside the last groove", "mm", low=0.0, high=500.0, default="3 mm"),
        *cam_parts.FORCE_INPUTS,
    ),
    outputs=(
        Output("least_diameter", "Least diameter of the disc for the limit", "mm"),
        Output("least_radius", "Least radius of the innermost groove's middle for the limit", "mm"),
        Output("disc_diameter", "Diameter of the disc", "mm"),
        Output("radius", "Least radius of the innermost groove's middle", "mm"),
        Output("hub", "Largest hub within the innermost groove", "mm"),
        *cam_parts.STEP_OUTPUTS,
        *cam_parts.FORCE_OUTPUTS,
        Output("grooves", "Grooves", form="rows"),
        Output("curves", "Grooves in the face", form="curves", axes=("across the disc [mm]", "up the disc [mm]")),
    ),
    formula=(
        f"{cam_parts.STEP_FORMULA}\n\n"
        "A move outward from the radius *r*₁ has tan α = (*h*/β)·*v*(*z*)/(*r*₁ + *h*·*s*(*z*)), greatest a little "
        "before the middle of the move, so the least inner radius for the limit is the greatest of "
        "*h*·(*v*(*z*)/(β·tan α_max) − *s*(*z*)). Grooves follow one another outward at the swing, the pin *w* and a "
        "land; the disc ends half a pin and a rim outside the last. The greatest over the move is taken over 289 "
        "points of its first half; the tangent is exact within one part in ten thousand where *r*₁ is a tenth of *h* "
        "or more. The land is measured along the circle at *r*₁ + *h*/2 for a move outward from *r*₁, and α is the "
        "greatest one where no tracks are stated.\n\n"
        f"{cam_parts.FORCE_FORMULA}"
    ),
    sources=(*cam_parts.SOURCES, "Sizes of the disc and places of its grooves: geometry, derived here."),
    assumptions=(
        *cam_parts.ASSUMPTIONS,
        "Pins move along a radius of the disc, without eccentricity. The innermost groove decides, and its steepest "
        "move is the one that begins or ends at its least radius.",
        "Tracks are dealt to the grooves in the order stated, from the innermost outward, and once the face is full "
        "to the other face.",
        "The innermost groove's middle lies at half a pin's width from the middle of the disc at the least.",
        "Positions that fit are those of a disc as large as the space leaves. They are not rounded down: 9.7 means "
        "nine.",
    ),
    cautions=cam_parts.CAUTIONS,
    compute=compute,
)
