"""Face-cam discs against searches over the whole groove, a circle, and figures by hand."""

from __future__ import annotations

from math import atan, degrees, pi, radians, tan

import numpy as np
import pytest
from scipy import optimize

from ledger.calculators.face_cam_disc import FACE_CAM_DISC
from ledger.mechanics import cam_drive, drum_track, face_cam, motion_laws
from ledger.mechanics.motion_laws import LAWS, displacement, velocity

NINE = {"positions": 9.0, "travel": 11.0, "dwell": 0.35, "pin": 8.0, "depth": 6.0, "grooves": 2.0}


def steepest(law: str, travel: float, arc: float, radius: float) -> float:
    """The greatest slope of a groove, by bounded searches over the whole move [rad]."""

    def slope(z: float) -> float:
        return travel / arc * float(velocity(law, z)) / (radius + travel * float(displacement(law, z)))

    found = (
        optimize.minimize_scalar(lambda z: -slope(z), bounds=(a, a + 0.125), method="bounded", options={"xatol": 1e-9})
        for a in np.arange(0, 1, 0.125)
    )
    return atan(max(-one.fun for one in found))


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize("radius", [1.1, 2.0, 4.0, 12.0, 25.0, 60.0, 300.0])
def test_the_steepest_place_is_found(law: str, radius: float) -> None:
    """By searches over the whole move the tangent is the same within one part in ten thousand."""
    found = face_cam.pressure_angle(law, 11.0, radians(26), radius)
    assert tan(found) == pytest.approx(tan(steepest(law, 11.0, radians(26), radius)), rel=1e-4)


@pytest.mark.parametrize("law", LAWS)
def test_a_large_disc_is_as_steep_as_a_drum(law: str) -> None:
    """Where the radius is large against the travel, a groove in a disc is a drum's track."""
    factor = motion_laws.velocity_factor(law)
    disc = face_cam.pressure_angle(law, 1.0, 0.01, 5000.0)
    assert tan(disc) == pytest.approx(tan(drum_track.pressure_angle(1.0, 0.01, 5000.0, factor)), rel=3e-4)


def test_nine_positions_and_two_grooves_by_hand() -> None:
    """Swing 22, pin 8, land 3, rim 3: the second groove lies 33 further out; D = 2 (r + 33 + 22 + 4 + 3)."""
    found = FACE_CAM_DISC.compute(**NINE, limit=35.0, space=268.0, casing=15.0)
    radius = found["least_radius"]
    assert steepest("modified sine", 11.0, radians(26), radius) == pytest.approx(radians(35), rel=1e-4)
    assert found["disc_diameter"] == pytest.approx(2 * (radius + 62))
    assert found["room"] == pytest.approx(238 - 2 * (radius + 62))
    assert found["hub"] == pytest.approx(2 * radius - 8)
    rows = found["grooves"]
    assert [row["mean radius [mm]"] for row in rows] == pytest.approx([radius + 11, radius + 44])
    assert rows[1]["pressure angle [°]"] == pytest.approx(
        degrees(steepest("modified sine", 11.0, radians(26), radius + 33)), rel=1e-4
    )


def test_two_moves_a_step_leave_less_land() -> None:
    """r₁ 40, h 8, fifteen positions, β 9.6°: 44·(24° - 9.6°) - 5/sin α = 11.06 - 5.64; outer grooves have more."""
    given = {"positions": 15.0, "travel": 8.0, "dwell": 0.2, "pin": 5.0, "depth": 4.0, "inner_radius": 40.0}
    found = FACE_CAM_DISC.compute(**given, grooves=1.0, moves=2.0)
    assert found["ramp_land"] == pytest.approx(5.42, abs=0.006)
    stands = "0 + " + "0 " * 13
    stated = FACE_CAM_DISC.compute(**given, grooves=1.0, moves=2.0, tracks=[{"track": "A", "stands": stands}])
    slope = 1.759603 * 8 / (44 * radians(9.6))
    assert stated["ramp_land"] == pytest.approx(44 * radians(14.4) - 5 * (1 + slope**-2) ** 0.5, rel=1e-6)
    still = "+ + + + + + + + + + + + + + 0"
    outer = [{"track": "A", "stands": still}, {"track": "B", "stands": stands}]
    second = FACE_CAM_DISC.compute(**given, grooves=2.0, moves=2.0, tracks=outer)["ramp_land"]
    far = 44 + 8 + 5 + 3
    slope = 1.759603 * 8 / (far * radians(9.6))
    assert second == pytest.approx(far * radians(14.4) - 5 * (1 + slope**-2) ** 0.5, rel=1e-6)


def test_positions_that_fit_just_fit() -> None:
    """A disc for as many positions as are said to fit has exactly the diameter of the space, rounding set aside."""
    found = FACE_CAM_DISC.compute(**NINE, limit=35.0, space=268.0, casing=15.0)
    arc = 2 * pi * 0.65 / found["positions_that_fit"]
    radius = face_cam.least_radius("modified sine", 11.0, arc, radians(35))
    assert face_cam.disc_diameter(radius, 2, 22.0, 8.0, 3.0, 3.0) == pytest.approx(238)


def test_the_curvature_of_a_groove_that_hardly_moves_is_its_radius() -> None:
    """A groove with almost no travel is a circle."""
    assert face_cam.curvature_radius("cycloidal", 0.01, 6.0, 50.0) == pytest.approx(50, rel=2e-3)


@pytest.mark.parametrize("law", ["cycloidal", "modified sine", "3-4-5", "4-5-6-7", "modified trapezoid"])
def test_the_curvature_is_that_of_the_groove_drawn(law: str) -> None:
    """Least radius of circles through three neighbouring points of the groove's middle."""
    travel, arc, radius = 11.0, radians(26), 40.0
    z = np.linspace(0.0, 1.0, 4001)
    out = radius + travel * displacement(law, z)
    x, y = out * np.cos(arc * z), out * np.sin(arc * z)
    sides = np.hypot(np.diff(x), np.diff(y))
    across = np.hypot(x[2:] - x[:-2], y[2:] - y[:-2])
    area = np.abs((x[1:-1] - x[:-2]) * (y[2:] - y[:-2]) - (x[2:] - x[:-2]) * (y[1:-1] - y[:-2])) / 2
    circles = sides[:-1] * sides[1:] * across / (4 * np.maximum(area, 1e-30))
    assert face_cam.curvature_radius(law, travel, arc, radius) == pytest.approx(np.min(circles), rel=3e-3)


@pytest.mark.parametrize("law", LAWS)
def test_without_friction_the_disc_gives_what_the_fork_takes(law: str) -> None:
    """At every place power in is power out, so the peak power is load times peak speed, as for a drum."""
    driven = cam_drive.drive(law, 11.0, 0.45, 0.04, 50.0, load=180.0, outward=1.0)
    assert driven["power"] == pytest.approx(180 * cam_drive.peak_speed(law, 11.0, 0.04), rel=1e-9)


def test_grooves_are_drawn_on_their_radii() -> None:
    """At each position the groove's middle is at its least radius and the travels of its stand beyond the least one."""
    rows = [{"track": "A", "stands": "0 + 0 -"}, {"track": "B", "stands": "- 0 + 0"}]
    found = FACE_CAM_DISC.compute(**{**NINE, "positions": 4.0}, tracks=rows, inner_radius=59.0)
    for place, (name, stands) in enumerate((("A", (0, 1, 0, -1)), ("B", (-1, 0, 1, 0)))):
        x, y = np.array([(row["x"], row["y"]) for row in found["curves"] if row["series"] == name]).T
        angle, out = np.unwrap(np.arctan2(y, x)), np.hypot(x, y)
        expected = [59 + 33 * place + 11 * (stand + 1) for stand in stands]
        assert np.interp(np.radians([0, 90, 180, 270]), angle, out) == pytest.approx(expected, abs=1e-3)
