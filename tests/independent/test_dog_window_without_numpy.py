"""The formulas of forks, dogs and sensors on plain floats, where numpy is not there, as in a reader's browser."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from ledger.mechanics.dog_window import dog_window
from ledger.mechanics.engagement import engagement
from ledger.mechanics.hydraulic_fork import hydraulic_fork
from ledger.mechanics.sensor_wheel import sensor_wheel

CALLS = {
    "hydraulic_fork": [
        {
            "bore": 30.0,
            "pressure": 60.0,
            "flow": 20.0,
            "travel": 11.0,
            "mass": 4.0,
            "spring": 150.0,
            "pipe_length": 1.0,
        },
        {"bore": 30.0, "pressure": 2.0, "flow": 20.0, "travel": 11.0, "mass": 4.0, "load": 900.0, "rod": 14.0},
    ],
    "dog_window": [
        {"dogs": 6, "gap": 26.0, "dog": 11.0, "difference": n, "axial_speed": 0.5, "depth": 5.0, "patience": 40.0}
        for n in (0.0, 100.0, 255.0)
    ],
    "engagement": [{"inertia": 5.0, "other_inertia": 40.0, "stiffness": 3e4, "difference": 120.0, "torque": 800.0}],
    "sensor_wheel": [
        {"targets": 36, "speed": 2300.0, "radius": 80.0, "difference": 200.0, "window_time": 2.0, "jitter": jitter}
        for jitter in (0.0, 8.0)
    ],
}
SCRIPT = """
import sys, json
sys.modules["numpy"] = None
from importlib import import_module
calls = json.loads(sys.argv[1])
made = [
    [getattr(import_module("ledger.mechanics." + name), name)(**given) for given in several]
    for name, several in calls.items()
]
print(json.dumps(made))
"""


def test_plain_floats_give_the_same() -> None:
    """Every value equals that with numpy to twelve digits; no branch divides by nothing on the way."""
    run = subprocess.run(
        [sys.executable, "-c", SCRIPT, json.dumps(CALLS)],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    for (name, several), made in zip(CALLS.items(), json.loads(run.stdout), strict=True):
        function = {one.__name__: one for one in (hydraulic_fork, dog_window, engagement, sensor_wheel)}[name]
        for given, plain in zip(several, made, strict=True):
            with_numpy = function(**given)
            assert {key: float(value) for key, value in plain.items()} == pytest.approx(
                {key: float(value) for key, value in with_numpy.items()}, rel=1e-12, abs=1e-15
            ), name
