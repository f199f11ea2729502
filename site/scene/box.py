"""Every dimension of the invented gearbox, where its parts stand, and the features worth marking.

Lengths in mm. x runs from the front bearing shoulder to the rear, y across the truck from left to right, z up from the
axis of the output shaft. An angle about a shaft starts at the side that looks to the left and runs upwards.
"""

from __future__ import annotations

from math import acos, cos, pi, radians, sin, tan
from typing import Any

Part = dict[str, Any]

MODULE, CENTRE_DISTANCE = 5.0, 180.0
TIP_CHAMFER = 1.0
SLEEVE_RADIUS = 75.0
# Inner and outer radius of the dogs, bore of the sleeves and radius of their hubs; the second gear's pinion is so small
# that dogs must stand nearer to the input shaft.
DOGS = {"output": (55.0, 69.0, 50.0, 49.6), "input": (37.0, 47.0, 36.0, 35.6)}
HEIGHT = {"output": 0.0, "input": CENTRE_DISTANCE}
# gear: pinion's teeth, wheel's teeth, place of the front side, face, share of a pitch the pair is turned by
PAIRS = {
    "1": (19, 53, 6.0, 50.0, 0.30),
    "3": (27, 45, 100.0, 42.0, 0.12),
    "2": (23, 49, 144.0, 46.0, 0.71),
    "4": (31, 41, 234.0, 38.0, 0.45),
    "5": (34, 38, 274.0, 36.0, 0.20),
    "7": (39, 33, 354.0, 34.0, 0.62),
    "6": (37, 35, 390.0, 34.0, 0.05),
}
# sleeve: shaft, place of its middle in neutral, angle of the first tall dog's steep flank; the dog lies below it, its
# sloping back looks to the short dog that shares its window
SLEEVES = {
    "S1": ("output", 78.0, 64.0),
    "S2": ("input", 212.0, 340.0),
    "S3": ("output", 332.0, 5.0),
    "S4": ("input", 446.0, 40.0),
}
# Sides of gears into which windows are let, one to a sleeve's end: gear, sleeve, True for the rear side.
WINDOWS = (
    ("wheel-1", "S1", True),
    ("wheel-3", "S1", False),
    ("pinion-2", "S2", True),
    ("pinion-4", "S2", False),
    ("wheel-5", "S3", True),
    ("wheel-7", "S3", False),
    ("pinion-6", "S4", True),
    ("pinion-R", "S4", False),
)


def gear(teeth: int, shaft: str, front: float, face: float, phase: float) -> Part:
    """Return the record of a gear; `phase` is the angle of the middle of its tooth 0."""
    return {
        "kind": "gear", "teeth": teeth, "module": MODULE, "pressure_angle": 20.0, "shaft": shaft,
        "y": 0.0, "z": HEIGHT[shaft], "front": front, "rear": front + face, "face": face,
        "pitch_radius": MODULE * teeth / 2, "tip_radius": MODULE * (teeth / 2 + 1),
        "root_radius": MODULE * (teeth / 2 - 1.25), "tip_chamfer": TIP_CHAMFER, "phase": round(phase % 360, 9),
    }  # fmt: skip


def parts() -> dict[str, Part]:
    """Return the record of every part that has a dimension worth knowing."""
    made: dict[str, Part] = {}
    for name, (pinion, wheel, front, face, turned) in PAIRS.items():
        made[f"wheel-{name}"] = gear(wheel, "output", front, face, 90 + (0.5 + turned) * 360 / wheel)
        made[f"pinion-{name}"] = gear(pinion, "input", front, face, -90 - turned * 360 / pinion)
    made["pinion-R"] = gear(24, "input", 468.0, 38.0, 0.0)
    made["wheel-R"] = gear(43, "output", 468.0, 38.0, 0.0)
    made["idler-R"] = gear(22, "input", 468.0, 38.0, 4.0) | {"shaft": "idler", "y": 101.86, "z": 126.615}
    primary = {"module": 6.0, "front": -46.0, "rear": -12.0, "face": 34.0}
    for name, teeth, height in (("primary-driver", 33, 15.0), ("primary-driven", 22, 180.0)):
        sizes = {"pitch_radius": 3.0 * teeth, "tip_radius": 3.0 * teeth + 6, "root_radius": 3.0 * teeth - 7.5}
        phase = 90 + 180 / teeth if teeth == 33 else -90
        made[name] = gear(teeth, "input", 0, 0, phase) | primary | sizes | {"z": height}
    for name, side, rear in WINDOWS:
        made[name]["windows"] = {
            "side": "rear" if rear else "front", "sleeve": side, "count": 6, "angle": 38.0, "pitch": 60.0,
            "inner": DOGS[made[name]["shaft"]][0] - 1.0, "outer": DOGS[made[name]["shaft"]][1] + 1.0, "depth": 12.0,
            "first": 11.0,
        }  # fmt: skip
    for name, (shaft, middle, first) in SLEEVES.items():
        made[name] = {
            "kind": "sleeve", "shaft": shaft, "y": 0.0, "z": HEIGHT[shaft], "middle": middle, "length": 42.0,
            "body": 22.0, "radius": SLEEVE_RADIUS, "bore": DOGS[shaft][2], "groove_width": 8.2, "groove_depth": 7.0,
            "groove_radius": SLEEVE_RADIUS - 7.0, "dog_outer": DOGS[shaft][1], "dog_inner": DOGS[shaft][0],
            "dog_mean_radius": sum(DOGS[shaft][:2]) / 2, "hub_radius": DOGS[shaft][3],
            "tall_count": 6, "short_count": 6, "tall_height": 10.0, "short_height": 5.0,
            "tall_angle": 14.0, "short_angle": 11.5, "short_offset": 25.0, "back_slope": 35.0, "first": first,
            "half_travel": 6.0, "full_travel": 11.0,
        }  # fmt: skip
    made["output-shaft"] = {"kind": "shaft", "radius": 35.0, "bore": 8.0, "y": 0.0, "z": 0.0, "front": -24.0,
                            "rear": 640.0, "shoulders": [0.0, 512.0]}  # fmt: skip
    made["input-shaft"] = {"kind": "shaft", "radius": 30.0, "bore": 0.0, "y": 0.0, "z": 180.0, "front": -46.0,
                           "rear": 536.0, "shoulders": [0.0, 512.0]}  # fmt: skip
    made["bush-2"] = {"kind": "ring", "y": 0.0, "z": 180.0, "front": 142.4, "rear": 144.0, "radius": 55.0}
    made["bush-1"] = {"kind": "ring", "y": 0.0, "z": 0.0, "front": 56.0, "rear": 57.4, "radius": 52.5}
    made["opening"] = {"kind": "opening", "left": 39.0, "right": 229.0, "bottom": 27.0, "top": 157.0, "y": -165.0,
                       "corner_radius": 14.0, "length": 190.0, "height": 130.0, "wall": 9.0}  # fmt: skip
    made["opening-bolts"] = {"kind": "bolts", "thread": 8.0, "across_flats": 13.0, "head": 5.3, "y": -165.0,
                             "places": opening_bolts()}  # fmt: skip
    made["opening-rule"] = {"kind": "rule", "left": 62.0, "right": 212.0, "bottom": 22.0, "top": 35.0, "y": -165.8,
                            "length": 150.0, "edge": "top"}  # fmt: skip
    made["spray-rail"] = {"kind": "tube", "radius": 6.0, "y": -90.0, "z": 118.0, "front": -4.0, "rear": 516.0,
                          "jet": 1.8, "plug": 4.2, "plugs": [18.5, 43.5, 121.0, 167.0, 253.0, 292.0, 371.0, 407.0],
                          "plug_angle": 12.0}  # fmt: skip
    made["disc"] = {"kind": "disc", "x": 269.0, "z": 80.0, "radius": 118.0, "diameter": 236.0, "left": 164.0,
                    "right": 188.0, "groove_radii": [70.0, 102.0], "groove_width": 12.0, "groove_depth": 7.0,
                    "lift": 11.0, "rests": 9, "pitch": 40.0}  # fmt: skip
    # The forks of S2 and S3 stand under the disc, so their rails run before its left face; the other two behind it.
    rails = {"S1": (200.0, 20.0, 209.0, 199.0), "S2": (152.0, 40.0, 236.0, 167.0), "S3": (152.0, 302.0, 505.0, 339.0),
             "S4": (200.0, 361.0, 505.0, 371.0)}  # fmt: skip
    for name, (across, front, rear, pin) in rails.items():
        made[f"rail-{name}"] = {"kind": "rail", "radius": 9.0, "y": across, "z": 80.0, "front": front, "rear": rear,
                                "pin": pin, "pin_radius": 5.5}  # fmt: skip
    made["flanges"] = {"kind": "flanges", "front": -64.0, "rear": 678.0, "length": 742.0, "thickness": 16.0,
                       "left_side": -170.0, "right_side": 214.0, "bottom": -160.0, "top": 300.0}  # fmt: skip
    for name, place, height in (
        ("cap-front-low", -3.0, 0.0), ("cap-front-high", -3.0, 180.0),
        ("cap-rear-low", 515.0, 0.0), ("cap-rear-high", 515.0, 180.0),
    ):  # fmt: skip
        made[name] = {"kind": "cap", "x": place, "z": height, "y": -178.0, "radius": 34.0, "bolt_circle": 26.0,
                      "bolts": 6, "first": 90.0, "across_flats": 10.0}  # fmt: skip
    made["bulge"] = {
        "kind": "bulge",
        "front": 252.0,
        "rear": 562.0,
        "length": 310.0,
        "radius": 43.0,
        "diameter": 86.0,
        "y": -176.0,
        "z": 90.0,
        "cap": 14.0,
        "bolt_circle": 34.0,
        "bolts": 6,
    }
    made["round-cover"] = {"kind": "cap", "x": 269.0, "z": 80.0, "y": 226.0, "radius": 134.0, "bolt_circle": 124.0,
                           "bolts": 14, "first": 90.0, "across_flats": 13.0}  # fmt: skip
    made["sensor-plug"] = {"kind": "cap", "x": 269.0, "z": 80.0, "y": 256.0, "radius": 17.0, "poles": 6}
    made["valve-block"] = {"kind": "block", "left": 360.0, "right": 512.0, "bottom": 294.0, "top": 346.0,
                           "near": 150.0, "far": 70.0, "solenoids": 5}  # fmt: skip
    made["pipes"] = {"kind": "tubes", "radius": 5.0, "count": 2}
    made["chassis-rule"] = {"kind": "rule", "left": 90.0, "right": 390.0, "bottom": -191.0, "top": -166.0,
                            "y": -122.0, "length": 300.0, "edge": "top"}  # fmt: skip
    made["chassis-rule-right"] = made["chassis-rule"] | {"y": 122.0, "left": 260.0, "right": 560.0}
    return made


def opening_bolts() -> list[list[float]]:
    """Return the places (x, z) of the fourteen bolts about the opening, 8 mm outside of its edge."""
    left, right, bottom, top = 31.0, 237.0, 19.0, 165.0
    rows = [[48.0 + 43.0 * i, z] for z in (bottom, top) for i in range(5)]
    return rows + [[x, z] for x in (left, right) for z in (62.0, 122.0)]


def about(part: Part, place: float, radius: float, angle: float) -> list[float]:
    """Return the point at an angle on a circle about a part's axis."""
    turn = radians(angle)
    return [place, part["y"] - radius * cos(turn), part["z"] + radius * sin(turn)]


def tooth_half_angle(part: Part, radius: float, backlash: float = 0.12) -> float:
    """Return half the angle a tooth takes up at a radius [rad]; radial below the base circle.

    pi/(2 z) + inv(alpha) - inv(alpha_r), less half the backlash: the tooth thickness of an involute without shift.
    """
    alpha, base = radians(part["pressure_angle"]), part["pitch_radius"] * cos(radians(part["pressure_angle"]))
    there = acos(base / max(radius, base))
    half = pi / (2 * part["teeth"]) - backlash / 2 / (2 * part["pitch_radius"])
    return half + (tan(alpha) - alpha) - (tan(there) - there)
