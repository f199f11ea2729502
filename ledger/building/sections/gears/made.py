"""Gears made from what was decided: pairs and wheels as rows, features, drawings and lines of the bill."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import radians
from typing import Any

import numpy as np

from ledger.building.contract import GAP, TIP, WALL, BillItem, Feature, Made, Problem, Rows, Sketch
from ledger.building.reading import drawn, limited, nominal, round_stock, slug, spread_about
from ledger.building.sections.gears.data import PairData, WheelData, gear_data
from ledger.building.sections.gears.drawing import gear_drawing
from ledger.building.sections.gears.meshing import meshes
from ledger.building.sections.gears.wheels import Pair, Wheel, pair_on
from ledger.calculators.contract import Draws
from ledger.mechanics import gear_checks, gear_geometry, tooth_sizes
from ledger.mechanics.gear_pair import OWN, gear_pair

DIVIDED, ON_DRIVEN = "divided between both wheels", "none on the driving wheel"
NO_BORE, NO_FACE = 0.0, 10.0
COARSE = 0.04
CUT = (
    "gear_module", "gear_pairs", "centre_distance", "gear_pressure", "gear_helix", "gear_shifts", "gear_profile",
    "gear_backlash",
)  # fmt: skip
COUNTED = ("gear_module", "gear_pairs", "gear_helix")
ROLLED = ("gear_module", "gear_pairs", "gear_pressure", "gear_helix")
BLANKS = ("gear_blanks",)


@dataclass(frozen=True)
class Placed:
    """A pair with its name and those of its wheels; `face` is 0 where none is decided, `width` it with its limits."""

    gear: str
    names: tuple[str, str]
    pair: Pair
    data: PairData
    face: float
    width: Any


def compute(
    gear_module: Any,
    gear_pairs: Rows,
    centre_distance: Any,
    gear_blanks: Rows | None,
    gear_backlash: Any,
    gear_shifts: str,
    gear_profile: str,
    gear_pressure: float,
    gear_helix: float,
    gear_process: str,
    gear_material: str,
) -> Made:
    """Return the gears; a pair that cannot be made, or does not mesh, is a serious problem."""
    module = nominal(gear_module, "The module")
    blanks = {row["gear"]: row for row in gear_blanks or []}
    made: dict[str, Any] = {"gear_pairs": [], "gear_wheels": [], "features": [], "sketches": [], "problems": []}
    placed: list[Placed] = []
    wheels: dict[str, tuple[Wheel, float]] = {}
    play = nominal(gear_backlash, "The backlash")
    for row in gear_pairs:
        try:
            one, distance = _placed(row, blanks.get(row["gear"], {}), module, centre_distance, play, {
                "helix": nominal(gear_helix, "The helix angle"),
                "pressure": nominal(gear_pressure, "The pressure angle"),
                "profile": gear_profile,
                "shift_1": 0.0 if gear_shifts == ON_DRIVEN else None,
            })  # fmt: skip
        except ValueError as error:
            made["problems"].append(Problem(True, f"gear {row['gear']}", f"{_counts(row)}: {error}"))
            continue
        placed.append(one)
        drawing = _drawn(one, distance, gear_backlash)
        made["gear_pairs"].append(_pair_row(one, drawing, distance))
        for problem in meshes(one.pair):
            made["problems"].append(replace(problem, about=f"gear {one.gear}, {problem.about}"))
        made["features"].append(Feature(f"gear {one.gear}, backlash square to the flanks", GAP,
                                        drawing["normal_backlash"], gear_process, CUT))  # fmt: skip
        for place, wheel in enumerate((one.pair.first, one.pair.second)):
            name = one.names[place]
            if name in wheels:
                made["problems"] += _unlike(name, wheels[name], (wheel, one.face))
                continue
            if slug(name) in {slug(other) for other in wheels}:
                said = "Another wheel has a name that gives the same file. Name them apart, by letters or digits."
                made["problems"].append(Problem(True, f"wheel {name}", said))
                continue
            wheels[name] = wheel, one.face
            data = (one.data.first, one.data.second)[place]
            made["gear_wheels"].append(_wheel_row(name, wheel, data, one.width, drawing["wheels"][place]))
            made["features"] += _features(name, wheel, data, drawing["wheels"][place], gear_process)
            made["sketches"].append(_sketch(name, wheel))
    unknown = sorted(set(blanks) - {row["gear"] for row in gear_pairs})
    made["problems"] += [Problem(True, f"blank {one}", f"There is no pair {one} in `gear-pairs`.") for one in unknown]
    missing = [one.gear for one in placed if gear_blanks is not None and one.gear not in blanks]
    made["problems"] += [Problem(False, f"gear {one}", "Its face and bores are undecided.") for one in missing]
    return Made(
        {name: made[name] for name in ("gear_pairs", "gear_wheels")},
        made["features"],
        [_listed(name, *one, gear_process, gear_material) for name, one in wheels.items()],
        made["sketches"],
        made["problems"],
        {"gears": tuple(placed), "distance": centre_distance},
    )


def _counts(row: dict[str, Any]) -> str:
    return f"{np.mean(row['driver']):g}/{np.mean(row['driven']):g} teeth"


def _placed(
    row: dict[str, Any], blank: dict[str, Any], module: float, shafts: Any, play: float, cut: dict[str, Any]
) -> tuple[Placed, Any]:
    gear = row["gear"]
    counts = [int(nominal(row[side], f"The number of teeth ({side})")) for side in ("driver", "driven")]
    distance = row["distance"] if nominal(row["distance"], "The centre distance") else shafts
    at = nominal(distance, "The centre distance")
    face = nominal(blank.get("face", NO_BORE), "The face")
    bores = tuple(nominal(blank.get(f"{side}_bore", NO_BORE), "The bore") for side in ("driver", "driven"))
    pair = pair_on(at, module, counts[0], counts[1], face or NO_FACE, backlash=play, bores=(bores[0], bores[1]), **cut)
    names = row["driver_is"] or f"{gear}, driving", row["driven_is"] or f"{gear}, driven"
    width = blank["face"] if face else 0.0
    return Placed(gear, names, pair, gear_data(pair), face, width), distance


def _drawn(one: Placed, distance: Any, play: Any) -> dict[str, Any]:
    """Return what the doubt of the distance and the tolerance of the teeth do to a pair, as draws."""
    first, second = one.pair.first, one.pair.second
    angles = radians(first.pressure), abs(radians(first.helix))
    working = gear_geometry.working_angle_at(one.pair.distance, first.module, first.teeth, second.teeth, *angles)
    thinner = gear_checks.thinning_for(spread_about(play), working, *angles) if isinstance(play, dict) else 0.0
    generated = [
        gear_checks.generating_shift(wheel.shift, wheel.thinning + thinner, wheel.module, angles[0])
        for wheel in (first, second)
    ]
    geometry: dict[str, Any] = gear_pair(
        first.module, first.teeth, second.teeth, generated[0], generated[1], first.width, abs(first.helix), OWN, False,
        first.pressure, *first.rack, first.top, second.top, drawn(distance),
    )  # fmt: skip
    across = np.cos(geometry["working"]) * np.cos(geometry["base_helix"])
    wheels = [
        {**_to_limits(wheel, data, _thinnings(play, working, *angles)), "clearance": own["clearance"]}
        for wheel, data, own in zip((first, second), (one.data.first, one.data.second), geometry["wheels"], strict=True)
    ]
    return {**geometry, "normal_backlash": geometry["backlash"] * across, "wheels": wheels}


def _thinnings(play: Any, working: Any, pressure: float, helix: float) -> tuple[float, float]:
    """Return by how much less and more than nominal the limits of the backlash thin a tooth [mm]."""
    if not isinstance(play, dict):
        return 0.0, 0.0
    ends = (play["low"] - play["nominal"], play["high"] - play["nominal"])
    least, most = (float(gear_checks.thinning_for(one, working, pressure, helix)) for one in ends)
    return least, most


def _to_limits(wheel: Wheel, data: WheelData, thinnings: tuple[float, float]) -> dict[str, Any]:
    """Return what a wheel is checked by, and its root diameter, with the limits that those of the backlash give."""
    angles = radians(wheel.pressure), abs(radians(wheel.helix))
    found: dict[str, list[float]] = {"span": [], "over": [], "root": []}
    for thinner in (0.0, *thinnings):
        shift = gear_checks.generating_shift(wheel.shift, wheel.thinning + thinner, wheel.module, angles[0])
        cut = wheel.module, wheel.teeth, shift
        found["span"].append(float(tooth_sizes.span(*cut, data.spanned, *angles)) if data.spanned else 0.0)
        found["over"].append(float(tooth_sizes.over_pins(*cut, data.pin, *angles)))
        found["root"].append(float(gear_geometry.root_diameter(*cut, wheel.rack[1], angles[1])))
    made: dict[str, Any] = {name: limited(one, most - one, least - one) for name, (one, least, most) in found.items()}
    return made if data.spanned else {**made, "span": "no span touches"}


def _pair_row(one: Placed, drawing: dict[str, Any], distance: Any) -> dict[str, Any]:
    data = one.data
    return {
        "gear": one.gear,
        "ratio": data.second.teeth / data.first.teeth,
        "distance": distance,
        "shift_sum": data.shift_sum,
        "working_angle": np.degrees(drawing["working"]),
        "contact_ratio": drawing["contact_ratio"],
        "backlash": drawing["backlash"],
        "clearance": np.minimum(drawing["wheels"][0]["clearance"], drawing["wheels"][1]["clearance"]),
        "base_pitch": data.base_pitch,
    }


def _wheel_row(name: str, wheel: Wheel, data: WheelData, width: Any, drawing: dict[str, Any]) -> dict[str, Any]:
    return {
        "wheel": name,
        "teeth": data.teeth,
        "shift": data.shift,
        "generated": data.generated,
        "reference": data.reference,
        "base": wheel.base,
        "pitch": data.pitch,
        "tip": data.tip,
        "root": drawing["root"],
        "tip_thickness": data.tip_thickness,
        "face": width or "undecided",
        "bore": wheel.bore or "undecided",
        "spanned": data.spanned or "–",
        "span": drawing["span"],
        "pin": data.pin,
        "over": drawing["over"],
        "file": f"gear-{slug(name)}",
    }


def _features(name: str, wheel: Wheel, data: WheelData, drawing: dict[str, Any], process: str) -> list[Feature]:
    found = [
        Feature(f"{name}: tooth tip", TIP, data.tip_thickness, process, CUT),
        Feature(f"{name}: tip clearance", GAP, drawing["clearance"], process, CUT),
    ]
    if wheel.bore:
        wall: Draws = (drawing["root"]["low"] - wheel.bore) / 2.0
        found.append(Feature(f"{name}: wall under the root", WALL, wall, process, (*CUT, *BLANKS)))
    return found


def _unlike(name: str, one: tuple[Wheel, float], other: tuple[Wheel, float]) -> list[Problem]:
    """Return a problem where one wheel stands in two pairs that would cut it differently."""
    if (replace(one[0], helix=abs(one[0].helix)), one[1]) == (replace(other[0], helix=abs(other[0].helix)), other[1]):
        return []
    said = (
        "It stands in two pairs that ask for different wheels: other teeth, shifts, face or bore. Give both pairs one "
        f"face and bore for it, and `gear-shifts: {ON_DRIVEN}` where the distances would divide the shifts differently."
    )
    return [Problem(True, f"wheel {name}", said)]


def _listed(name: str, wheel: Wheel, face: float, process: str, material: str) -> BillItem:
    stock = round_stock(wheel.top, face) if face else f"round, ⌀ {np.ceil(wheel.top + 1.0):.0f} mm; face undecided"
    part = f"wheel {name}, {wheel.teeth} teeth"
    return BillItem(part, 1, material, process, stock, f"gear-{slug(name)}", of=(*CUT, *BLANKS))


def _sketch(name: str, wheel: Wheel) -> Sketch:
    title = f"Wheel {name}: {wheel.teeth} teeth, module {wheel.module:g} mm"
    bore = f", bore {wheel.bore:g} mm" if wheel.bore else ""
    told = (
        f"Outline of a wheel of {wheel.teeth} teeth, module {wheel.module:g} mm: tip diameter {wheel.top:.2f} mm, root "
        f"diameter {wheel.root:.2f} mm{bore}."
    )
    fine, coarse = gear_drawing(wheel, title), gear_drawing(wheel, title, COARSE * wheel.module)
    return Sketch(f"gear-{slug(name)}", title, told, fine, coarse, (*CUT, *BLANKS))
