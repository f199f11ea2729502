"""Vehicles of round numbers, as the longitudinal formulas and their calculator are given them; shared by tests."""

from __future__ import annotations

from typing import Any

BARE: dict[str, Any] = {
    "engine_inertia": 0.0, "wheel_inertia": 0.0, "efficiency": 1.0, "rolling": 0.0, "drag": 0.0, "grip": 10.0,
    "driven": 1.0, "downforce": 0.0, "gap_drive": 0.0, "slip": 1e9, "overlap_drive": 1.0, "surge": 1.0,
}  # fmt: skip
TORQUES = ((1000, 200), (5000, 300), (8000, 420), (10_000, 450), (11_000, 440), (12_000, 420), (12_500, 380))


def pushed(force: float, mass: float, shift: float = 1e9, gap: float = 0.0, **more: Any) -> dict[str, Any]:
    """A vehicle pushed by one force [N] at every speed, that changes between two like gears at a speed [m/s]."""
    per = 30 / 3.141592653589793
    top = max(10.0, 2 * shift if shift < 1e8 else 1000.0)
    return {
        **BARE,
        "curve": [{"speed": 0.001 * per, "torque": force}, {"speed": top * per, "torque": force}],
        "ratios": [1.0, 1.0 - 1e-12],
        "gaps": [gap],
        "shift_speed": min(shift, top) * per,
        "radius": 1.0,
        "mass": mass,
        **more,
    }


def racer(gap: float = 0.03, **more: Any) -> dict[str, Any]:
    """A light, strong vehicle of seven gears."""
    return {
        **BARE,
        "curve": [{"speed": float(speed), "torque": float(torque)} for speed, torque in TORQUES],
        "ratios": [3.5 * ratio for ratio in (3.2, 2.5, 2.0, 1.7, 1.45, 1.25, 1.1)],
        "gaps": [gap] * 6,
        "shift_speed": 12_000.0,
        "radius": 0.33, "mass": 700.0, "engine_inertia": 0.05, "wheel_inertia": 4.0, "efficiency": 0.92,
        "rolling": 0.015, "drag": 0.6, "grip": 1.6, "driven": 0.55, "downforce": 0.9,
        **more,
    }  # fmt: skip


def racer_inputs(gap: Any = 0.03, **more: Any) -> dict[str, Any]:
    """The same as the calculator is given it, on two kinds of straights."""
    return {
        "curve": [{"speed": float(speed), "torque": float(torque)} for speed, torque in TORQUES],
        "gears": [{"ratio": ratio} for ratio in (3.2, 2.5, 2.0, 1.7, 1.45, 1.25, 1.1)],
        "final": 3.5, "gap": gap, "shift_speed": 12_000.0, "radius": 0.33, "mass": 700.0, "engine_inertia": 0.05,
        "wheel_inertia": 4.0, "efficiency": 0.92, "rolling": 0.015, "drag_area": 1.0, "grip": 1.6, "driven": 0.55,
        "downforce_area": 1.5,
        "straights": [
            {"name": "long", "length": 600.0, "entry": 72.0, "times": 4.0},
            {"name": "short", "length": 250.0, "entry": 110.0, "times": 8.0},
        ],
        **more,
    }  # fmt: skip
