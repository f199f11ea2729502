"""Whether two wheels of the sheet mesh: everything in the way of it, in words."""

from __future__ import annotations

from math import radians, sin
from typing import Any

from ledger.building.contract import Problem
from ledger.building.sections.gears.rolling import digging
from ledger.building.sections.gears.tooth_shape import half_tooth, usual_tolerance
from ledger.building.sections.gears.wheels import Pair, Wheel, geometry_of, wheel_faults
from ledger.mechanics import gear_geometry
from ledger.mechanics.gear_checks import active_start

# Limits in modules or as ratios: usual in the trade for wheels that are milled or printed; no source but for the first
# two. Tip thickness: Gear Technical Reference of KHK and others, 0.2 for tough, 0.4 for hardened teeth (from memory).
THINNEST_TIP, THIN_TIP = 0.2, 0.25
LEAST_CONTACT, SPARE_CONTACT = 1.0, 1.2
LEAST_CLEARANCE = 0.12
WIDEST_BACKLASH = 0.2
CLOSE = 0.01
UNDERCUT = 1e-3
SAME = 1e-6


def meshes(pair: Pair, tolerance: float = CLOSE) -> list[Problem]:
    """Return everything in the way of a pair, serious things first; [] if it meshes and nothing is to be said.

    Serious: a wheel that cannot be cut; different base pitches, racks or hands; profile shifts that close another
    centre distance than the stated one; teeth that jam; tips that dig into the mate, or touch its root circle; tips
    thinner than 0.2 modules; a transverse contact ratio of one or less. Cautions: tips below 0.25 modules, a contact
    ratio below 1.2, a root clearance below 0.12 modules, undercut, backlash above 0.2 modules.

    tolerance  by how much the centre distance of the profile shifts may differ from the stated one [mm]

    Source: conditions of meshing, ISO 21771-1:2024; limits in this module.
    """
    found = [
        Problem(True, "wheel", f"{str(wheel).capitalize()}: {fault}")
        for wheel in (pair.first, pair.second)
        for fault in _uncut(wheel)
    ]
    found = found or _unlike(pair)
    if not found:
        try:
            geometry = geometry_of(pair)
        except ValueError as error:
            return [Problem(True, "centre distance", f"{pair.distance:g} mm given. {error}")]
        found = [*_distance(pair, geometry, tolerance), *_contact(geometry)]
        for wheel, mate, own, other in (
            (pair.first, pair.second, *geometry["wheels"]),
            (pair.second, pair.first, *reversed(geometry["wheels"])),
        ):
            found += _teeth(wheel, own) + _reach(wheel, mate, own, other, geometry)
    return sorted(found, key=lambda one: not one.serious)


def _uncut(wheel: Wheel) -> list[str]:
    said = wheel_faults(wheel)
    if not said:
        try:
            half_tooth(wheel)
        except ValueError as error:
            said = [str(error).partition(": ")[2] or str(error)]
    return said


def _unlike(pair: Pair) -> list[Problem]:
    one, two = pair.first, pair.second
    if abs(one.base_pitch - two.base_pitch) > SAME * one.base_pitch:
        given = f"{one.base_pitch:.4f} mm of {one}, {two.base_pitch:.4f} mm of {two}"
        said = f"Base pitches differ: {given}. Give both one module, pressure angle and helix angle."
        return [Problem(True, "base pitch", said)]
    found = []
    if abs(one.helix + two.helix) > 1e-9:
        said = f"Helix angles: {one.helix:g}° and {two.helix:g}° given; expected as much to the other hand."
        found.append(Problem(True, "rack", said))
    sizes = [(wheel.module, wheel.pressure, *wheel.rack) for wheel in (one, two)]
    if sizes[0] != sizes[1]:
        said = "The wheels are cut by different racks; nothing more was looked at. Give both one module and profile."
        found.append(Problem(True, "rack", said))
    return found


def _distance(pair: Pair, geometry: dict[str, Any], tolerance: float) -> list[Problem]:
    one, two = pair.first, pair.second
    angles = radians(one.pressure), abs(radians(one.helix))
    try:
        own = float(gear_geometry.centre_distance(one.module, one.teeth, two.teeth, one.shift + two.shift, *angles))
    except ValueError as error:
        return [Problem(True, "centre distance", str(error))]
    found = []
    if abs(own - pair.distance) > tolerance:
        said = (
            f"The profile shifts {one.shift:.4f} and {two.shift:.4f} close {own:.3f} mm; stated are {pair.distance:g} "
            f"mm, within {tolerance:g} mm. Change the shifts or the distance of the shafts."
        )
        found.append(Problem(True, "centre distance", said))
    play = float(geometry["backlash"])
    if play < -SAME * one.module:
        said = f"The teeth are {-play:.3f} mm too thick on the pitch circles and jam. Thin them, or part the shafts."
        found.append(Problem(True, "backlash", said))
    elif play > WIDEST_BACKLASH * one.module:
        said = f"A backlash of {play:.3f} mm is above {WIDEST_BACKLASH:g} modules: reversals will knock."
        found.append(Problem(False, "backlash", said))
    return found


def _contact(geometry: dict[str, Any]) -> list[Problem]:
    ratio = float(geometry["contact_ratio"])
    mend = "Longer tips, more teeth, or less profile shift raise it."
    if ratio <= LEAST_CONTACT:
        said = f"Transverse contact ratio {ratio:.3f}; expected above {LEAST_CONTACT:g}. {mend}"
        return [Problem(True, "contact", said)]
    if ratio < SPARE_CONTACT:
        said = f"Transverse contact ratio {ratio:.3f} is below {SPARE_CONTACT:g}: small errors interrupt contact."
        return [Problem(False, "contact", f"{said} {mend}")]
    return []


def _teeth(wheel: Wheel, own: dict[str, Any]) -> list[Problem]:
    found = []
    tip = float(own["normal_tip_thickness"]) / wheel.module
    if tip < THIN_TIP:
        serious = tip < THINNEST_TIP
        least = THINNEST_TIP if serious else THIN_TIP
        said = (
            f"Tips of {wheel} are {tip * wheel.module:.3f} mm thick, {tip:.3f} modules; expected {least:g} or more. "
            "A smaller profile shift or tip diameter widens them."
        )
        found.append(Problem(serious, "tip", said))
    if float(own["spare_shift"]) < -UNDERCUT:
        said = (
            f"{str(wheel).capitalize()} is undercut: its shift is {-float(own['spare_shift']):.3f} modules short. Its "
            "teeth are weaker at the root, and contact ends where the undercut begins."
        )
        found.append(Problem(False, "undercut", said))
    return found


def _reach(wheel: Wheel, mate: Wheel, own: dict[str, Any], other: dict[str, Any], geometry: Any) -> list[Problem]:
    found = []
    depth = digging(mate, wheel, geometry)
    whole = float(geometry["distance"]) * sin(float(geometry["working"]))
    begun, _ = active_start(float(other["base"]), float(own["tip"]), float(own["base"]), whole)
    short = bool(own["interferes"]) and float(other["spare_shift"]) >= -SAME
    reached = f"{float(begun):.3f} mm on {mate}, whose flanks begin at {float(other['form']):.3f} mm"
    if depth > usual_tolerance(wheel.module):
        why = f": they reach down to {reached}" if short else ""
        mend = f"Cut these tips back, or give {mate} more shift."
        found.append(Problem(True, "interference", f"Tips of {wheel} dig {depth:.3f} mm into {mate}{why}. {mend}"))
    elif short:
        said = f"Tips of {wheel} reach down to {reached}, too little to be seen. Break these edges."
        found.append(Problem(False, "interference", said))
    clear = float(own["clearance"])
    if clear < LEAST_CLEARANCE * wheel.module:
        serious = clear <= 0
        least = 0.0 if serious else LEAST_CLEARANCE * wheel.module
        said = f"Between tips of {wheel} and roots of {mate} {clear:.3f} mm are left; expected above {least:.3f} mm."
        found.append(Problem(serious, "clearance", said))
    return found
