"""The whole outline of a wheel in its transverse section: tips, involute flanks, and the fillets its rack leaves.

The rack's transverse section rolls on the reference circle; whatever point of it has its normal through the pitch point
cuts there. Its flank so makes the involute, taken from the closed form, and its rounding, an arc in the normal section
and an ellipse in the transverse one, makes the fillet. Tip edges are sharp.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, cos, pi, radians, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from ledger.building.sections.gears.wheels import Wheel, refuse_wheel
from ledger.mechanics.gear_geometry import transverse_angle
from ledger.mechanics.tooth_root import tool_land
from ledger.mechanics.tooth_sizes import tooth_thickness

Points = tuple[tuple[float, float], ...]
Array = NDArray[np.float64]
# A curve by a parameter: radius [mm], angle from the tooth's middle [rad] and direction of the tangent [rad].
Curve = Callable[[Array], tuple[Array, Array, Array]]

COARSEST, FINEST = 0.01, 0.00001
PARTS_OF_A_MODULE = 500.0
DIGITS = 6
MOST_PIECES = 100_000
HALVINGS = 60
SAME = 1e-9


@dataclass(frozen=True)
class Outline:
    """The outline of a wheel about its own middle [mm].

    points  closed, counter-clockwise, the first not repeated; the middle of the first tooth lies on the x axis
    bound   no point of the outline is farther than this from the true curve, nor the curve from the outline [mm]
    bore, root, form, base, reference, tip  diameters of circles about the middle [mm]; bore 0: none
    """

    points: Points
    bound: float
    bore: float
    root: float
    form: float
    base: float
    reference: float
    tip: float


def usual_tolerance(module: float) -> float:
    """Return the usual greatest distance of chord and curve [mm]: a five-hundredth of the module, at most 0.01 mm."""
    return min(COARSEST, module / PARTS_OF_A_MODULE)


def gear_outline(wheel: Wheel, tolerance: float | None = None) -> Outline:
    """Return the outline of a wheel's transverse section.

    tolerance  greatest distance of chord and curve [mm], 1e-5 and above; None: `usual_tolerance`

    Between two points at a distance c, whose tangents differ by Δ, a curve that bends one way stays within the triangle
    of the chord and both tangents, and so within c/2 · tan(Δ/2) of the chord; that is kept below the tolerance less
    what rounding to 1e-6 mm takes. For a helical wheel the section is that of one end; teeth twist from there.

    Errors: ValueError for a wheel that cannot be cut (`wheels.wheel_faults`), for teeth that end in a point below their
    tip circle, where undercut or the shift leave no flank, and for a tolerance below 1e-5 mm.
    Source: theory of gearing, the normal through the pitch point (Willis); ISO 53 for the rack.
    """
    radius, angle, form, bound = half_tooth(wheel, tolerance)
    around = _around(radius, angle, wheel.teeth)
    return Outline(around, bound, wheel.bore, wheel.root, 2.0 * form, wheel.base, wheel.reference, wheel.top)


def half_tooth(wheel: Wheel, tolerance: float | None = None) -> tuple[Array, Array, float, float]:
    """Return half a tooth: radii [mm] and angles from its middle [rad], from the middle of the space to its own.

    With them come the radius at which the flank begins [mm] and the bound of `Outline` [mm].
    Arguments and errors as of `gear_outline`.
    """
    refuse_wheel(wheel)
    name = str(wheel).capitalize()
    allowed = usual_tolerance(wheel.module) if tolerance is None else tolerance
    rounded = 0.75 * 10.0**-DIGITS
    if not allowed >= FINEST:
        raise ValueError(f"Tolerance of the outline: {allowed:g} mm given; expected {FINEST:f} mm or more.")
    last, form = _fillet_end(wheel)
    tip, base = wheel.top / 2.0, wheel.base / 2.0
    if form >= tip:
        raise ValueError(f"{name}: undercut takes the whole flank; permit a greater shift or more teeth.")
    land = _half_angle(wheel, tip)
    if land <= 0:
        raise ValueError(f"{name}: its teeth end in a point below the tip circle of {2 * tip:.3f} mm.")
    fillet = fillet_curve(wheel)
    foot = float(fillet(np.array([0.0]))[1][0])
    start, end = (sqrt(max(radius**2 / base**2 - 1.0, 0.0)) for radius in (form, tip))
    pieces = [
        _divided(curve, allowed - rounded, name)
        for curve in (
            _arc(wheel.root / 2.0, pi / wheel.teeth, foot),
            lambda share: fillet(share * last),
            _flank(wheel, start, end),
            _arc(tip, land, 0.0),
        )
    ]
    radius = np.concatenate([piece[0][:-1] for piece in pieces] + [np.array([tip])])
    angle = np.concatenate([piece[1][:-1] for piece in pieces] + [np.array([0.0])])
    if np.any(np.diff(radius) < -1e-9) or np.any((angle < 0) | (angle > pi / wheel.teeth + 1e-9)):
        raise ValueError(f"{name}: no such tooth can be generated; permit a smaller shift.")
    apart = np.append(True, np.hypot(np.diff(radius), np.diff(angle) * radius[1:]) > SAME)
    return radius[apart], angle[apart], form, max(piece[2] for piece in pieces) + rounded


def fillet_curve(wheel: Wheel) -> Curve:
    """Return the fillet as a curve by the angle on the tool's rounding ϑ [rad], 0 at the root, π/2 − α_n at the flank.

    In the transverse section the rounding's point lies u = π m_t/2 − (E m_n + ρ sin ϑ)/cos β along the pitch line from
    the tooth's middle and v = x m_n − (h_fP − ρ) − ρ cos ϑ outside it, and its normal leans by tan ϑ cos β; it cuts
    when the pitch point is at u_0 = u − v tan ϑ cos β, the wheel turned by φ = u_0 / r: at (u − u_0, r + v), turned by
    φ.
    """
    module, lean, radius = wheel.module, cos(radians(wheel.helix)), wheel.reference / 2.0
    _, dedendum, rounding = wheel.rack
    land = float(tool_land(dedendum, rounding, radians(wheel.pressure))) * module
    tool, deep = rounding * module, (wheel.generated - dedendum + rounding) * module

    def curve(turn: Array) -> tuple[Array, Array, Array]:
        along = pi * module / (2.0 * lean) - (land + tool * np.sin(turn)) / lean
        out = deep - tool * np.cos(turn)
        rolled = along - out * np.tan(turn) * lean
        angle = rolled / radius + np.arctan2(along - rolled, radius + out)
        return np.hypot(along - rolled, radius + out), angle, rolled / radius + np.arctan(np.tan(turn) * lean)

    return curve


def _fillet_end(wheel: Wheel) -> tuple[float, float]:
    """Return ϑ where the flank takes over from the fillet [rad], and the radius there [mm]."""
    normal, turned = radians(wheel.pressure), transverse_angle(radians(wheel.pressure), radians(wheel.helix))
    _, dedendum, rounding = wheel.rack
    last, base = pi / 2.0 - normal, wheel.base / 2.0
    straight = dedendum - rounding * (1.0 - sin(normal))
    begun = wheel.reference / 2.0 * sin(turned) - (straight - wheel.generated) * wheel.module / sin(turned)
    if begun >= 0:
        return last, sqrt(base * base + begun * begun)
    fillet = fillet_curve(wheel)
    low, high = 0.0, last
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        radius, angle, _ = (float(one[0]) for one in fillet(np.array([middle])))
        beyond = radius > base and angle > _half_angle(wheel, radius)
        low, high = (low, middle) if beyond else (middle, high)
    return high, float(fillet(np.array([high]))[0][0])


def _half_angle(wheel: Wheel, radius: float) -> float:
    """Return the angle of the involute from the tooth's middle at a radius, the base circle or greater [rad]."""
    thick = tooth_thickness(
        2.0 * radius, wheel.module, wheel.teeth, wheel.generated, radians(wheel.pressure), radians(wheel.helix)
    )
    return float(thick) / (2.0 * radius)


def _flank(wheel: Wheel, start: float, end: float) -> Curve:
    """Return the involute by a share of the way from one roll angle to another [rad], evenly divided for its bend."""
    base = wheel.base / 2.0
    foot = _half_angle(wheel, base)
    low, high = start**1.5, end**1.5

    def curve(share: Array) -> tuple[Array, Array, Array]:
        rolled = (low + (high - low) * share) ** (2.0 / 3.0)
        return base * np.sqrt(1.0 + rolled**2), foot - (rolled - np.arctan(rolled)), foot - rolled

    return curve


def _arc(radius: float, first: float, last: float) -> Curve:
    def curve(share: Array) -> tuple[Array, Array, Array]:
        angle = first + (last - first) * share
        return np.full_like(angle, radius), angle, angle

    return curve


def _divided(curve: Curve, tolerance: float, name: str) -> tuple[Array, Array, float]:
    """Return radii and angles of as many points on a curve, of a parameter 0 to 1, as keep the bound, and the bound."""
    pieces = 1
    while pieces <= MOST_PIECES:
        radius, angle, tangent = curve(np.linspace(0.0, 1.0, pieces + 1))
        x, y = radius * np.cos(angle), radius * np.sin(angle)
        chord, bend = np.hypot(np.diff(x), np.diff(y)), np.diff(tangent)
        if not (np.all(bend >= -1e-12) or np.all(bend <= 1e-12)):
            raise ValueError(f"{name}: the tool leaves no plain fillet; permit a smaller shift or more teeth.")
        bound = float(np.max(chord / 2.0 * np.tan(np.minimum(np.abs(bend), 3.0) / 2.0)))
        if bound <= tolerance:
            return radius, angle, bound
        pieces = max(pieces + 1, ceil(pieces * min(sqrt(bound / tolerance), 8.0)))
    raise ValueError(f"{name}: an outline of more than {MOST_PIECES} points a flank; permit a greater tolerance.")


def _around(radius: Array, angle: Array, teeth: int) -> Points:
    """Return the points of all teeth, from those of half a tooth: middle of the space to middle of the tip."""
    whole_radius = np.concatenate([radius, radius[-2:0:-1]])
    whole_angle = np.concatenate([-angle, angle[-2:0:-1]])
    turns = 2.0 * pi / teeth * np.arange(teeth)[:, None]
    x = (whole_radius * np.cos(whole_angle + turns)).ravel()
    y = (whole_radius * np.sin(whole_angle + turns)).ravel()
    rounded = np.round(np.column_stack([x, y]), DIGITS) + 0.0
    return tuple((float(one), float(other)) for one, other in rounded)
