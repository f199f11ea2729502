"""Selector drums against quadrature of accelerations, equilibrium solved as a system, energy, and figures by hand."""

from __future__ import annotations

from itertools import pairwise
from math import atan, cos, degrees, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from scipy import integrate, optimize

from ledger.calculators.selector_drum import SELECTOR_DRUM
from ledger.mechanics import cam_drive, drum_track, motion_laws
from ledger.mechanics.motion_laws import LAWS, acceleration, displacement, jerk, velocity

SMOOTH = [law for law in LAWS if motion_laws.PEAKS[law][2] is not None]
NINE = {"positions": 9.0, "travel": 11.0, "dwell": 0.35, "pin": 8.0, "depth": 6.0}


@pytest.mark.parametrize(("law", "angle"), [("cycloidal", 31.431), ("modified sine", 28.267)])
def test_eight_millimetres_in_sixty_degrees(law: str, angle: float) -> None:
    """CAM-6. R 25 mm, h 8 mm, β 60°: 31.431° and 28.267°. Derived from CAM-2 and CAM-3; no published number."""
    factor = motion_laws.velocity_factor(law)
    assert degrees(drum_track.pressure_angle(8.0, radians(60), 25.0, factor)) == pytest.approx(angle, abs=1e-3)
    found = SELECTOR_DRUM.compute(positions=6.0, travel=8.0, dwell=0.0, pin=6.0, depth=5.0, law=law, mean_radius=25.0)
    assert found["pressure_angle"] == pytest.approx(angle, abs=1e-3)


@pytest.mark.parametrize("law", [law for law in LAWS if law != "uniform"])
def test_accelerations_integrate_to_velocity_and_displacement(law: str) -> None:
    """Quadrature of the acceleration alone gives the velocity, and of that the displacement; both end at rest at 1."""
    breaks = [place / 8 for place in range(9)]

    def area(function, end: float) -> float:
        pieces = [(a, min(b, end)) for a, b in pairwise(breaks) if a < end]
        return sum(integrate.quad(lambda z: float(function(law, z)), a, b, epsabs=1e-12)[0] for a, b in pieces)

    for z in (0.07, 0.2, 0.41, 0.55, 0.8, 0.93, 1.0):
        assert area(acceleration, z) == pytest.approx(float(velocity(law, z)), abs=1e-8)
        assert area(velocity, z) == pytest.approx(float(displacement(law, z)), abs=1e-8)
        if law in SMOOTH:
            assert area(jerk, z) == pytest.approx(float(acceleration(law, z)), abs=1e-7)


@pytest.mark.parametrize("law", LAWS)
def test_peaks_are_the_greatest_values_met(law: str) -> None:
    """On a fine grid no velocity, acceleration or jerk exceeds its peak, and each peak is reached."""
    z = np.linspace(0, 1, 20_001)
    for function, peak in zip((velocity, acceleration, jerk), motion_laws.PEAKS[law], strict=True):
        if peak is not None:
            assert np.max(np.abs(function(law, z))) == pytest.approx(peak, rel=1e-6)


def test_the_common_slip_in_the_modified_sine_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """Section 14, trap 1: with π/4 in place of π/(4 + π) it is at 0.893 in the middle, and its ends part."""
    assert float(displacement("modified sine", 0.5)) == pytest.approx(0.5, abs=1e-12)
    monkeypatch.setattr(motion_laws, "SINE", pi / 4)
    middle = float(displacement("modified sine", 0.5))
    assert middle == pytest.approx(0.5 * (1 + pi / 4))
    assert middle + integrate.quad(lambda z: float(velocity("modified sine", z)), 0.5, 1)[0] == pytest.approx(
        1 + pi / 4
    )


def test_nine_positions_by_hand() -> None:
    """40° a step, 26° a move: r = 1.7596·11/(0.45379·tan 35°) = 60.92 mm; outside 127.83; 5.2 positions in 76 mm."""
    found = SELECTOR_DRUM.compute(**NINE, limit=35.0, space=86.0, casing=5.0)
    assert (found["step_angle"], found["arc"], found["rest"]) == (
        pytest.approx(40),
        pytest.approx(26),
        pytest.approx(14),
    )
    radius = 1.759603 * 11 / (radians(26) * tan(radians(35)))
    assert found["least_radius"] == pytest.approx(radius, rel=1e-6)
    assert found["least_diameter"] == pytest.approx(2 * radius + 6, rel=1e-6)
    assert found["room"] == pytest.approx(76 - 2 * radius - 6, rel=1e-6)
    assert not found["fits"]
    arc = 1.759603 * 11 / (35 * tan(radians(35)))  # 76 mm outside, 70 to the middle of the track
    assert found["positions_that_fit"] == pytest.approx(2 * pi * 0.65 / arc, rel=1e-6)
    assert found["ramp_land"] == pytest.approx(radius * radians(40) - 8 / sin(radians(35)), rel=1e-6)
    assert found["bottom_angle"] == pytest.approx(degrees(atan(tan(radians(35)) * radius / (radius - 3))), rel=1e-6)


def test_the_three_places_of_a_drum_by_hand() -> None:
    """r 20, depth 4, gap 0.5, wall 3: 44 mm beside the rails, 51 around a drum inside, 43 with the slot in the rail."""
    sizes = {place: drum_track.outside_diameter(place, 20.0, 4.0, 3.0, 0.5) for place in drum_track.PLACES}
    assert list(sizes.values()) == [44, 51, 43]
    bores = {place: drum_track.bore_of_rail(size, 3.0) for place, size in sizes.items()}
    assert (bores[drum_track.DRUM_INSIDE], bores[drum_track.SLOT_IN_RAIL]) == (45, 37)
    for place in (drum_track.DRUM_INSIDE, drum_track.SLOT_IN_RAIL):
        assert drum_track.radius_in_bore(place, bores[place], 4.0, 3.0, 0.5) == pytest.approx(20)


def test_a_slot_in_a_rail_bears_on_its_wall() -> None:
    """The contact is as long as the wall, and between the slot's ends r (2π - θ) - w of the rail is left."""
    given = {**NINE, "positions": 6.0, "depth": 0.0, "spread": "part of a turn", "turn": 300.0, "wall": 3.0}
    found = SELECTOR_DRUM.compute(
        **given, place="in a hollow rail, slot in the rail", mean_radius=20.0, duration=40.0, load=100.0
    )
    assert found["step_angle"] == pytest.approx(60)
    assert found["bridge"] == pytest.approx(20 * radians(60) - 8)
    pressure = sqrt(found["contact_force"] * 206_000 / (2 * (1 - 0.09)) / (pi * 3 * 4))
    assert found["contact_pressure"] == pytest.approx(pressure, rel=1e-12)


@pytest.mark.parametrize("law", SMOOTH)
def test_the_curvature_is_that_of_the_path_drawn(law: str) -> None:
    """Least radius of circles through three neighbouring points of the developed path."""
    travel, arc, radius = 9.0, 0.6, 25.0
    z = np.linspace(0.0, 1.0, 4001)
    x, y = radius * arc * z, travel * displacement(law, z)
    a = np.hypot(np.diff(x), np.diff(y))
    c = np.hypot(x[2:] - x[:-2], y[2:] - y[:-2])
    area = np.abs((x[1:-1] - x[:-2]) * (y[2:] - y[:-2]) - (x[2:] - x[:-2]) * (y[1:-1] - y[:-2])) / 2
    circles = a[:-1] * a[1:] * c / (4 * np.maximum(area, 1e-30))
    found = drum_track.curvature_radius(law, travel, arc, radius)
    assert found == pytest.approx(np.min(circles), rel=2e-3)


@pytest.mark.parametrize("law", LAWS)
def test_without_friction_the_drum_gives_what_the_fork_takes(law: str) -> None:
    """A constant load: torque summed over the turn is the load times the travel, and power agrees too."""
    load, travel, arc, radius = 180.0, 11.0, 0.45, 40.0
    work = integrate.quad(
        lambda angle: load * radius * tan(atan(travel / (radius * arc) * float(velocity(law, angle / arc)))),
        0, arc, points=[arc * place / 8 for place in range(1, 8)],
    )[0]  # fmt: skip
    assert work == pytest.approx(load * travel, rel=1e-8)
    driven = cam_drive.drive(law, travel, arc, 0.04, radius, load=load)
    assert driven["power"] == pytest.approx(load * cam_drive.peak_speed(law, travel, 0.04), rel=1e-9)
    assert driven["torque"] == pytest.approx(load * motion_laws.velocity_factor(law) * travel / arc / 1000, rel=1e-9)


def test_forces_at_the_steepest_place_by_a_system_of_equations() -> None:
    """Pin force, both guide forces and the torque from the balance of forces and moments on the rail, solved at once.

    The rail lies along x. The pin, A outside the guide, is pressed by N at the angle α from x and rubbed by μ_p N. The
    guide's ends press with N1 (near) and N2 (far), each rubbing with μ_r. The load P pulls back along x. A mass of zero
    makes the steepest place the greatest.
    """
    load, travel, arc, radius, over, guide, pin, rail = 150.0, 11.0, 0.4538, 45.0, 25.0, 60.0, 0.13, 0.15
    slope = motion_laws.velocity_factor("cycloidal") * travel / (radius * arc)
    angle = atan(slope)
    # unknown: N, N1, N2; along x, across, and moments about the far end
    along = [cos(angle) - pin * sin(angle), -rail, -rail]
    across = [sin(angle) + pin * cos(angle), -1.0, 1.0]
    moments = [(sin(angle) + pin * cos(angle)) * (over + guide), -guide, 0.0]
    force, near, far = np.linalg.solve([along, across, moments], [load, 0.0, 0.0])
    found = cam_drive.drive("cycloidal", travel, arc, 0.04, radius, load, 0.0, pin, rail, over, guide)
    assert found["contact_force"] == pytest.approx(force, rel=1e-9)
    assert found["guide_force"] == pytest.approx(near + far, rel=1e-9)
    assert found["torque"] == pytest.approx(force * (sin(angle) + pin * cos(angle)) * radius / 1000, rel=1e-9)


def test_a_couple_across_the_rail_adds_its_friction() -> None:
    """A load 40 mm beside the pin, on a guide of 80: either end bears half the load, so 2·0.1·0.5 is added."""
    level = {"law": "cycloidal", "travel": 0.01, "arc": 1.0, "duration": 1.0, "radius": 5000.0, "load": 100.0}
    beside = cam_drive.drive(**level, rail_friction=0.1, guide=80.0, offset=40.0)
    straight = cam_drive.drive(**level, rail_friction=0.1, guide=80.0)
    assert beside["contact_force"] / straight["contact_force"] == pytest.approx(1.1)


def test_the_greatest_force_over_the_move_is_found() -> None:
    """With load and inertia together the greatest contact force lies where a bounded search finds it."""
    load, mass, travel, arc, radius, time = 60.0, 5.0, 11.0, 0.4538, 40.0, 0.03

    def contact(z: float) -> float:
        slope = travel / (arc * radius) * float(velocity("modified sine", z))
        needed = load + mass * float(acceleration("modified sine", z)) * travel / time**2 / 1000
        return max(needed, 0) * sqrt(1 + slope**2) / (1 - 0.1 * slope - 0.1 * (slope + 0.1))

    best = max(-optimize.minimize_scalar(lambda z: -contact(z), bounds=(a, a + 0.1), method="bounded").fun
               for a in np.arange(0, 1, 0.1))  # fmt: skip
    found = cam_drive.drive("modified sine", travel, arc, time, radius, load, mass, 0.1, 0.1)
    assert found["contact_force"] == pytest.approx(best, rel=5e-4)
    assert found["contact_force"] <= best * (1 + 1e-9)


def test_inertia_alone_brakes_as_hard_as_it_drives() -> None:
    """Without load or friction the mass is slowed by the other flank with the force that sped it up."""
    found = cam_drive.drive("cycloidal", 10.0, 0.5, 0.02, 1000.0, mass=3.0)
    assert found["contact_force"] == pytest.approx(3 * 2 * pi * 0.01 / 0.02**2, rel=1e-3)  # slope of 4 %


def test_a_drum_starts_and_stops_within_its_rests() -> None:
    """Half a rest at even acceleration takes 2·(φd/2)/ω; torque times that angle is the kinetic energy J ω²/2."""
    step, dwell, duration, inertia = radians(40), 0.35, 0.04, 0.003
    arc = drum_track.move_arc(step, dwell)
    turning = arc / duration
    assert cam_drive.step_time(duration, arc, step, dwell) == pytest.approx(duration + 2 * step * dwell / turning)
    torque = cam_drive.starting_torque(inertia, duration, arc, step, dwell)
    assert torque * step * dwell / 2 == pytest.approx(inertia * turning**2 / 2)


def test_a_track_from_gear_to_gear_moves_twice_the_travel() -> None:
    """Stated tracks set what moves in a step: through neutral it is one travel, straight across it is two."""
    through = [{"track": "A", "stands": "0 + 0 - 0 0 0 0 0"}, {"track": "B", "stands": "0 0 + 0 - 0 0 0 0"}]
    across = [{"track": "A", "stands": "0 + - 0 0 0 0 0 0"}]
    one, two = (SELECTOR_DRUM.compute(**NINE, tracks=rows) for rows in (through, across))
    assert two["least_radius"] == pytest.approx(2 * one["least_radius"])
    assert one["drum_length"] == pytest.approx(2 * (22 + 8) + 3 * 3)


@pytest.mark.parametrize(
    ("positions", "dwell", "pin", "radius", "land"),
    [(3.0, 0.3, 6.0, 25.0, 24.18), (15.0, 0.2, 5.0, 60.0, 8.94), (15.0, 0.2, 5.0, 40.0, 4.52)],
)
def test_two_moves_a_step_leave_less_land(
    positions: float, dwell: float, pin: float, radius: float, land: float
) -> None:
    """One that arrives last and leaves first: r(φ - β) - w/sin α; by hand for 120°, 42°: 34.03 - 6/0.6091 = 24.18."""
    given = {"positions": positions, "travel": 8.0, "dwell": dwell, "pin": pin, "depth": 4.0, "mean_radius": radius}
    assert SELECTOR_DRUM.compute(**given, moves=2.0)["ramp_land"] == pytest.approx(land, abs=0.006)
    step, arc = 2 * pi / positions, 2 * pi / positions * (1 - dwell)
    alone = radius * step - pin / sin(atan(1.759603 * 8 / (radius * arc)))
    assert SELECTOR_DRUM.compute(**given)["ramp_land"] == pytest.approx(alone, rel=1e-6)


def test_the_order_of_moves_decides_the_land_of_stated_tracks() -> None:
    """`0 + 0` arrives and leaves: β nearer leaving first, β farther arriving first; `+ 0 +` the other way round."""
    given = {"positions": 3.0, "travel": 8.0, "dwell": 0.3, "pin": 6.0, "depth": 4.0, "mean_radius": 25.0, "moves": 2.0}
    for stands, near in (("0 + 0", "leaving first"), ("+ 0 +", "arriving first")):
        for order in ("leaving first", "arriving first"):
            found = SELECTOR_DRUM.compute(**given, order=order, tracks=[{"track": "A", "stands": stands}])
            spacing = radians(120 - 42 if order == near else 120 + 42)
            assert found["ramp_land"] == pytest.approx(25 * spacing - 34.034 + 24.184, abs=2e-3)
    across = [{"track": "A", "stands": "+ 0 -"}]
    assert "ramp_land" not in SELECTOR_DRUM.compute(**given, tracks=across)


def ramps_apart(curve: np.ndarray, height: float, radius: float, pin: float) -> float:
    """Land at a height of a drawn track that is below it before and after: between crossings, less both grooves."""
    x, y = radius * np.radians(curve[:, 0]), curve[:, 1]
    at = np.flatnonzero((y[:-1] - height) * (y[1:] - height) < 0)
    share = (height - y[at]) / (y[at + 1] - y[at])
    places = x[at] + share * (x[at + 1] - x[at])
    slopes = np.abs((y[at + 1] - y[at]) / (x[at + 1] - x[at]))
    grooves = pin * np.sqrt(1 + 1 / slopes**2)
    return float(np.min(np.diff(places) - (grooves[:-1] + grooves[1:]) / 2))


@pytest.mark.parametrize(
    ("stands", "height"),
    [("0 + 0 0 0 0 0 0", 4.0), ("- + 0 0 0 0 0 0", 4.0), ("+ 0 - + + + + +", -4.0), ("0 0.5 -1 -1 -1 -1 -1 -1", 2.0)],
)
@pytest.mark.parametrize("law", ["modified sine", "harmonic"])
def test_the_land_is_that_between_the_ramps_drawn(stands: str, height: float, law: str) -> None:
    """Crossings and slopes of the developed track, at half the shorter of two neighbouring moves."""
    words = stands.replace("+", "1").replace("- ", "-1 ").split()
    track = cam_drive.offsets_along(law, [float(one) for one in words], radians(45), 0.3, 1, False, 20_000)
    curve = np.array([(degrees(angle), 8 * stand) for angle, stand in track])
    found = SELECTOR_DRUM.compute(
        positions=8.0, travel=8.0, dwell=0.3, pin=6.0, depth=4.0, mean_radius=40.0, law=law,
        tracks=[{"track": "A", "stands": stands}],
    )  # fmt: skip
    assert found["ramp_land"] == pytest.approx(ramps_apart(curve, height, 40.0, 6.0), abs=5e-3)


def test_a_longer_move_elsewhere_does_not_widen_the_land_of_short_ones() -> None:
    """Moves of one travel leave 20.29 mm at 40 mm and 45° a step; a move of two travels in the track makes it no more.

    It makes it less: half way down the short move the long one has hardly left the stand they share.
    """
    given = {"positions": 8.0, "travel": 8.0, "dwell": 0.3, "pin": 6.0, "depth": 4.0, "mean_radius": 40.0}
    lands = [
        SELECTOR_DRUM.compute(**given, tracks=[{"track": "A", "stands": stands}])["ramp_land"]
        for stands in ("0 + 0 0 0 0 0 0", "0 + 0 - + + + +", "0 + 0 - + 0 0 0")
    ]
    alone = SELECTOR_DRUM.compute(**given)["ramp_land"]
    assert alone == pytest.approx(20.29, abs=0.005)
    assert lands[0] == pytest.approx(alone, rel=1e-6)
    assert max(lands) <= alone * (1 + 1e-12)
    assert lands[2] < alone - 1


def test_developed_tracks_stand_where_they_are_said_to() -> None:
    """At each position the drawn track is at its stand; with two moves a step the arriving one may come first."""
    rows = [{"track": "A", "stands": "0 + 0 -"}, {"track": "B", "stands": "- 0 + 0"}]
    given = {**NINE, "positions": 4.0, "moves": 2.0, "tracks": rows, "between": 3.0}
    for order, ahead in (("leaving first", False), ("arriving first", True)):
        curves = SELECTOR_DRUM.compute(**given, order=order)["curves"]
        drawn = {name: [(row["x"], row["y"]) for row in curves if row["series"] == name] for name in ("A", "B")}
        for name, place, stands in (("A", 0.0, (0, 1, 0, -1)), ("B", 33.0, (-1, 0, 1, 0))):
            x, y = np.array(drawn[name]).T
            assert len(x) <= 200
            assert np.interp([0, 90, 180, 270], x, y) == pytest.approx([place + 11 * one for one in stands], abs=1e-6)
        x, y = np.array(drawn["A"]).T  # arrives in the first step while B leaves
        assert np.interp(45, x, y) == pytest.approx(11 * ahead, abs=1e-6)
