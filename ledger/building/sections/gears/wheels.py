"""Wheels and pairs of the model as frozen values, and a pair made to close a centre distance.

Lengths in mm, angles in degrees, profile shifts on the normal module, as `mechanics.gear_pair` has them.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, sin, tan
from typing import Any

from ledger.mechanics import gear_checks, gear_geometry
from ledger.mechanics.gear_pair import OWN, PERMITTED, gear_pair, rack_of
from ledger.mechanics.permitted import outside
from ledger.mechanics.tooth_root import tool_land

BORE = ("Bore", "mm", 0.0, 250_000.0)
BACKLASH = ("Backlash", "mm", 0.0, 50.0)
USUAL_SUMS = (-1.0, 1.5)
THINNING = ("Thinning of the teeth", "mm", 0.0, 50.0)


@dataclass(frozen=True)
class Wheel:
    """One external wheel, as a rack generates it.

    module     m_n [mm]; teeth  z; shift  x [modules]; width  b [mm]; helix  β [°]; pressure  α_n [°]
    profile    basic rack of ISO 53, "A" to "D"; or "own", with its addendum, dedendum and rounding [modules]
    tip        tip diameter [mm]; 0: from the rack
    thinning   by how much each tooth is thinner, square to it, along the reference circle [mm]; cut by a deeper tool
    bore       diameter of the bore [mm]; 0: none
    """

    module: float
    teeth: int
    shift: float = 0.0
    width: float = 10.0
    helix: float = 0.0
    pressure: float = 20.0
    profile: str = "A"
    addendum: float = 1.0
    dedendum: float = 1.25
    rounding: float = 0.38
    tip: float = 0.0
    thinning: float = 0.0
    bore: float = 0.0

    @property
    def rack(self) -> tuple[float, float, float]:
        """Addendum, dedendum and tip rounding of the rack [modules]."""
        sizes: tuple[float, float, float] = rack_of(self.profile, self.addendum, self.dedendum, self.rounding)
        return sizes

    @property
    def generated(self) -> float:
        """The profile shift it is generated with, which is less than its own for thinner teeth [modules]."""
        return float(gear_checks.generating_shift(self.shift, self.thinning, self.module, radians(self.pressure)))

    @property
    def reference(self) -> float:
        """Reference diameter [mm]."""
        return float(gear_geometry.reference_diameter(self.module, self.teeth, radians(self.helix)))

    @property
    def base(self) -> float:
        """Diameter of the base circle [mm]."""
        given = self.module, self.teeth, radians(self.pressure), radians(self.helix)
        return float(gear_geometry.base_diameter(*given))

    @property
    def top(self) -> float:
        """Tip diameter [mm], stated or from the rack and the profile shift."""
        given = self.module, self.teeth, self.shift, 0.0, self.rack[0], radians(self.helix)
        return self.tip or float(gear_geometry.tip_diameter(*given))

    @property
    def root(self) -> float:
        """Root diameter [mm], with the deeper tool of thinner teeth."""
        given = self.module, self.teeth, self.generated, self.rack[1], radians(self.helix)
        return float(gear_geometry.root_diameter(*given))

    @property
    def base_pitch(self) -> float:
        """Transverse base pitch [mm]."""
        return float(gear_geometry.base_pitch(self.module, radians(self.pressure), radians(self.helix)))

    def __str__(self) -> str:
        return f"the wheel of {self.teeth} teeth"


@dataclass(frozen=True)
class Pair:
    """Two wheels and the distance of their shafts [mm]."""

    first: Wheel
    second: Wheel
    distance: float


def wheel_faults(wheel: Wheel) -> list[str]:
    """Return in sentences everything about a wheel that no such wheel can have, [] if it can be cut."""
    said = [
        outside(PERMITTED[name], getattr(wheel, name)) for name in ("module", "teeth", "shift", "width", "pressure")
    ]
    said += [
        outside(PERMITTED["helix"], abs(wheel.helix)),
        outside(BORE, wheel.bore),
        outside(THINNING, wheel.thinning),
    ]
    said += [outside(PERMITTED["tip"], wheel.tip)] if wheel.tip else []
    if not outside(PERMITTED["teeth"], wheel.teeth) and wheel.teeth != int(wheel.teeth):
        said.append(f"Number of teeth: {wheel.teeth:g} given; expected a whole number.")
    try:
        sizes = wheel.rack
    except ValueError as error:
        return [*filter(None, said), str(error)]
    names = ("addendum", "dedendum", "rounding")
    said += [outside(PERMITTED[name], size) for name, size in zip(names, sizes, strict=True)]
    if any(said):
        return [one for one in said if one]
    try:
        tool_land(sizes[1], sizes[2], radians(wheel.pressure))
    except ValueError as error:
        return [str(error)]
    least = max(wheel.base, wheel.root)
    if wheel.top <= least:
        said.append(f"Tip diameter: {wheel.top:.3f} mm; expected more than {least:.3f} mm, root and base circle.")
    if wheel.bore >= wheel.root:
        said.append(f"Bore: {wheel.bore:g} mm given; expected less than the root diameter, {wheel.root:.3f} mm.")
    return [one for one in said if one]


def refuse_wheel(wheel: Wheel) -> None:
    """Raise ValueError naming everything that is wrong with a wheel."""
    said = wheel_faults(wheel)
    if said:
        raise ValueError(f"{str(wheel).capitalize()}: {' '.join(said)}")


def geometry_of(pair: Pair) -> dict[str, Any]:
    """Return the geometry of a pair at its distance, as `mechanics.gear_pair` has it, with thinned teeth and cut tips.

    Both wheels are taken to be cut by the rack of the first. Errors: ValueError naming everything impossible.
    """
    one, two = pair.first, pair.second
    found: dict[str, Any] = gear_pair(
        one.module, one.teeth, two.teeth, one.generated, two.generated, min(one.width, two.width), abs(one.helix),
        OWN, False, one.pressure, *one.rack, one.top, two.top, pair.distance,
    )  # fmt: skip
    return found


def pair_on(
    distance: float,
    module: float,
    teeth_1: int,
    teeth_2: int,
    width: float,
    *,
    helix: float = 0.0,
    pressure: float = 20.0,
    profile: str = "A",
    backlash: float = 0.0,
    bores: tuple[float, float] = (0.0, 0.0),
    shift_1: float | None = None,
) -> Pair:
    """Return the pair that closes a centre distance: its shifts, its tips cut back, its teeth thinned for backlash.

    The sum of shifts is that of `gear_geometry.profile_shift_sum`; it is divided by `gear_checks.split_shifts`, or
    wheel 1 gets the shift stated. Tips are cut back so that the tip clearance is the rack's
    (`gear_geometry.tip_shortening`). Both wheels are thinned alike. What a drawing prints is rounded first, so that it
    says what is drawn: shifts to 0.0001, tip diameters to 0.001 mm, thinning to 0.0001 mm; so the distance is closed to
    within 0.0001 modules.

    distance  a [mm]; module m_n [mm]; width of both [mm]; helix, pressure [°]; profile "A" to "D"
    backlash  j_wt, along the pitch circles [mm], 0 and above; bores [mm]

    Errors: ValueError naming everything wrong at once; where shifts, bores or tips cannot be, or the distance is too
    small for such teeth, with the distances that shifts of −1 to 1.5 together would close.
    """
    given = {"distance": distance, "module": module, "width": width, "helix": helix, "pressure": pressure}
    said = [outside(PERMITTED[name], value) for name, value in given.items()] + [outside(BACKLASH, backlash)]
    said += [outside(PERMITTED["teeth"], teeth) for teeth in (teeth_1, teeth_2)]
    if any(said):
        raise ValueError(" ".join(one for one in said if one))
    addendum, dedendum, rounding = rack_of(profile)
    normal, turned = radians(pressure), radians(helix)
    try:
        total = gear_geometry.profile_shift_sum(distance, module, teeth_1, teeth_2, normal, turned)
    except ValueError as error:
        raise ValueError(f"{error} {_closing(distance, module, teeth_1, teeth_2, normal, turned)}") from error
    working = gear_geometry.working_angle_at(distance, module, teeth_1, teeth_2, normal, turned)
    thinning = round(float(gear_checks.thinning_for(backlash, working, normal, turned)), 4)
    allowance = thinning / (2.0 * module * tan(normal))
    straight = dedendum - rounding * (1.0 - sin(normal))
    if shift_1 is None:
        split = gear_checks.split_shifts(total, teeth_1, teeth_2, straight, normal, turned, allowance, allowance)
    else:
        split = (shift_1, total - shift_1)
    cut = gear_geometry.tip_shortening(module, teeth_1, teeth_2, total, distance, turned)
    split = round(float(split[0]), 4), round(total - round(float(split[0]), 4), 4)
    wheels = []
    for teeth, shift, bore, hand in zip((teeth_1, teeth_2), split, bores, (1.0, -1.0), strict=True):
        tip = round(float(gear_geometry.tip_diameter(module, teeth, shift, cut, addendum, turned)), 3)
        lean = hand * helix if helix else 0.0
        wheel = Wheel(module, teeth, shift, width, lean, pressure, profile, tip=tip, thinning=thinning, bore=bore)
        wheels.append(wheel)
    said = [f"{str(wheel).capitalize()}: {fault}" for wheel in wheels for fault in wheel_faults(wheel)]
    if said:
        told = _closing(distance, module, teeth_1, teeth_2, normal, turned)
        raise ValueError(f"{' '.join(said)} The shifts asked for are {total:.3f} together. {told}")
    return Pair(wheels[0], wheels[1], distance)


def _closing(distance: float, module: float, first: int, second: int, normal: float, turned: float) -> str:
    """Return in words which distances usual shifts would close, as far as there are such."""
    ends = []
    for total in USUAL_SUMS:
        try:
            ends.append(float(gear_geometry.centre_distance(module, first, second, total, normal, turned)))
        except ValueError:
            ends.append(float(gear_geometry.base_diameter(module, first + second, normal, turned)) / 2.0)
    given = f"Centre distance: {distance:g} mm given for {first} and {second} teeth of {module:g} mm"
    return f"{given}; profile shifts of −1 to 1.5 together close {ends[0]:.3f} to {ends[1]:.3f} mm."
