"""The gear data of a pair: counts, shifts, diameters, and the sizes by which a finished wheel is checked."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, degrees, radians, sin
from typing import Any

from ledger.building.sections.gears.wheels import Pair, Wheel, geometry_of
from ledger.mechanics import gear_checks, gear_geometry, tooth_sizes


@dataclass(frozen=True)
class WheelData:
    """What a drawing says of one wheel; lengths in mm.

    shift, generated  profile shift, and the one it is cut with for its thinner teeth [modules]
    form, active      diameters where the flank begins, and down to which the mate's tips touch it
    tip_thickness     square to the tooth
    spanned, span     base tangent length W_k over k teeth; 0 teeth where no span touches the flank
    pin               diameter of pins or balls to measure over
    stock_pin         whether that pin is one of `gear_checks.PINS`; else it is the ideal one, to be ground
    """

    teeth: int
    shift: float
    generated: float
    reference: float
    base: float
    pitch: float
    tip: float
    root: float
    form: float
    active: float
    tip_thickness: float
    spanned: int
    span: float
    pin: float
    stock_pin: bool


@dataclass(frozen=True)
class PairData:
    """What a drawing says of a pair; lengths in mm, the angle in degrees.

    centre_without_backlash  distance that the profile shifts close without thinning
    backlash, normal_backlash  along the pitch circles, and square to the flanks as a feeler gauge measures it
    """

    first: WheelData
    second: WheelData
    centre_without_backlash: float
    working_angle: float
    shift_sum: float
    base_pitch: float
    backlash: float
    normal_backlash: float
    contact_ratio: float


def gear_data(pair: Pair) -> PairData:
    """Return the gear data of a pair as it stands at its distance; whether it meshes is told by `meshing.meshes`.

    The span is that of the thinned teeth and of `gear_checks.chosen_span`; pins are chosen by `gear_checks.chosen_pin`,
    else the ideal pin is taken.

    Errors: ValueError naming everything impossible at once.
    Source: ISO 21771-1:2024 and ISO 21771-2; the formulas at the functions of `mechanics`.
    """
    geometry = geometry_of(pair)
    one, two = pair.first, pair.second
    normal, turned = radians(one.pressure), abs(radians(one.helix))
    total = one.shift + two.shift
    given = one.module, one.teeth, two.teeth, total
    first, second = geometry["wheels"]
    whole = float(geometry["distance"]) * sin(float(geometry["working"]))
    across = cos(geometry["working"]) * cos(geometry["base_helix"])
    return PairData(
        first=_wheel(one, first, second, whole),
        second=_wheel(two, second, first, whole),
        centre_without_backlash=float(gear_geometry.centre_distance(*given, normal, turned)),
        working_angle=degrees(geometry["working"]),
        shift_sum=total,
        base_pitch=one.base_pitch,
        backlash=float(geometry["backlash"]),
        normal_backlash=float(geometry["backlash"] * across),
        contact_ratio=float(geometry["contact_ratio"]),
    )


def _wheel(wheel: Wheel, own: dict[str, Any], mate: dict[str, Any], whole: float) -> WheelData:
    angles = radians(wheel.pressure), abs(radians(wheel.helix))
    cut = wheel.module, wheel.teeth, wheel.generated
    form, tip = float(own["form"]), wheel.top
    spanned = int(gear_checks.chosen_span(*cut, form, tip, *angles))
    length = float(tooth_sizes.span(*cut, spanned, *angles)) if spanned else 0.0
    stock = float(gear_checks.chosen_pin(*cut, form, tip, wheel.root, gear_checks.PINS, *angles))
    pin = stock or round(float(gear_checks.ideal_pin(*cut, *angles)), 2)
    active, _ = gear_checks.active_start(float(own["base"]), float(mate["tip"]), float(mate["base"]), whole)
    return WheelData(
        teeth=wheel.teeth,
        shift=wheel.shift,
        generated=wheel.generated,
        reference=wheel.reference,
        base=wheel.base,
        pitch=float(own["pitch"]),
        tip=tip,
        root=wheel.root,
        form=form,
        active=max(float(active), form),
        tip_thickness=float(own["normal_tip_thickness"]),
        spanned=spanned,
        span=length,
        pin=pin,
        stock_pin=stock > 0,
    )
