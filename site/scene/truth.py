"""The truth file: parts, cameras, and where the features worth marking fall in each picture."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
from box import Part, about
from cameras import CAMERAS, SHIFTS, project

Feature = dict[str, Any]
# A feature is hidden if something lies before it by more than this [mm]; a bolt's own head may.
BEFORE, HEAD = 1.2, 14.0
AXES = ("x from the front bearing shoulder to the rear, y from left to right across the truck, z up from the axis of "
        "the output shaft [mm]; angles about a shaft from its left side upwards [deg]")  # fmt: skip


def point_of(part: Part, feature: Feature) -> list[float]:
    """Return the point of a feature on its part [mm]; see the package's docstring for the kinds."""
    kind = feature["kind"]
    if kind == "tooth-tip":
        angle = part["phase"] + feature["tooth"] * 360 / part["teeth"]
        return about(part, feature["x"], part["tip_radius"], angle)
    if kind == "round":
        return about(part, feature["x"], part[feature["radius"]], feature["angle"])
    if kind == "axis":
        return [feature["x"], part["y"], part["z"]]
    if kind == "across":
        turn = np.radians(feature["angle"])
        radius = part[feature["radius"]] if feature["radius"] else 0.0
        return [part["x"] + radius * float(np.cos(turn)), feature["y"], part["z"] + radius * float(np.sin(turn))]
    if kind == "bolt":
        if "places" in part:
            x, z = part["places"][feature["bolt"]]
            return [x, part["y"], z]
        turn = np.radians(part["first"] + feature["bolt"] * 360 / part["bolts"])
        return [part["x"] + part["bolt_circle"] * float(np.cos(turn)), part["y"],
                part["z"] + part["bolt_circle"] * float(np.sin(turn))]  # fmt: skip
    if kind == "edge":
        return [part[feature["end"]], part[feature["side"]], feature["z"]]
    if kind == "corner":
        i, j = feature["corner"]
        return [part[("left", "right")[i]], feature.get("y", part.get("y")), part[("bottom", "top")[j]]]
    if kind == "tick":
        return [part["left"] + feature["mark"], part["y"], part[part["edge"]]]
    raise ValueError(f"no such kind of feature: {kind}")


def round_at(name: str, part: str, radius: str, x: float, angle: float) -> Feature:
    """Return a feature on a circle about a shaft."""
    return {"name": name, "part": part, "kind": "round", "radius": radius, "x": x, "angle": angle}


def stations(known: dict[str, Part], shifts: dict[str, float], angle: float) -> list[Feature]:
    """Return the sleeve's edges, groove, dogs' ends and the faces of wheels 1, 3 and 2 at one angle."""
    made = []
    for sleeve, turn in (("S1", angle), ("S2", -angle)):
        part = known[sleeve]
        middle = part["middle"] + shifts.get(sleeve, 0.0)
        for label, x in (("body front edge", middle - 11), ("groove front edge", middle - 4.1),
                         ("groove rear edge", middle + 4.1), ("body rear edge", middle + 11)):  # fmt: skip
            made.append(round_at(f"{sleeve} {label}", sleeve, "radius", x, turn))
    part = known["S1"]
    middle = part["middle"] + shifts.get("S1", 0.0)
    top = part["first"]
    for label, out, height, at in (
        ("tall dog rear", 1, 10.0, top), ("tall dog front", -1, 10.0, top), ("short dog rear", 1, 5.0, top - 25),
        ("short dog front", -1, 5.0, top - 25),
    ):  # fmt: skip
        made.append(round_at(f"S1 {label} tip, upper edge", "S1", "dog_outer", middle + out * (11 + height), at))
        made.append(round_at(f"S1 {label} root, upper edge", "S1", "dog_outer", middle + out * 11, at))
        wide = 14.0 if height > 9 else 11.5
        made.append(round_at(f"S1 {label} root, lower edge", "S1", "dog_outer", middle + out * 11, at - wide))
        if height > 9:
            lean = float(np.degrees(height * np.tan(np.radians(part["back_slope"])) / part["dog_mean_radius"]))
            made.append(round_at(f"S1 {label} tip, lower edge", "S1", "dog_outer", middle + out * 21, at - wide + lean))
    for bush in ("bush-1", "bush-2"):
        for label in ("front", "rear"):
            turn = 40.0 if bush == "bush-1" else -40.0
            made.append(round_at(f"{bush} {label} edge", bush, "radius", known[bush][label], turn))
    return made


def tips(known: dict[str, Part], gear: str, low: float, high: float) -> list[Feature]:
    """Return both ends of the tips of a gear's teeth between two angles."""
    part, made = known[gear], []
    chamfer = part["tip_chamfer"]
    for tooth in range(part["teeth"]):
        angle = (part["phase"] + tooth * 360 / part["teeth"] + 180) % 360 - 180
        if low <= angle <= high:
            for label, x in (("front", part["front"] + chamfer), ("rear", part["rear"] - chamfer)):
                made.append({"name": f"{gear} tooth {tooth} tip, {label}", "part": gear, "kind": "tooth-tip",
                             "tooth": tooth, "x": x})  # fmt: skip
    return sorted(made, key=lambda f: (f["x"], (part["phase"] + f["tooth"] * 360 / part["teeth"] + 180) % 360))


def opening(known: dict[str, Part], name: str) -> list[Feature]:
    """Return the features of the three pictures through the opening."""
    made = stations(known, SHIFTS.get(name, {}), 33.0)
    for gear, low, high in (("wheel-1", 0, 90), ("wheel-3", -15, 90), ("wheel-2", -15, 90), ("pinion-3", -90, 10),
                            ("pinion-2", -90, 10), ("pinion-1", -90, 10)):  # fmt: skip
        made += tips(known, gear, low, high)
    rail = known["spray-rail"]
    for x in rail["plugs"]:
        made.append(round_at(f"spray rail plug at {x:g}", "spray-rail", "radius", x, rail["plug_angle"]))
    for i in (0, 1):
        for j in (0, 1):
            made.append({"name": f"opening corner {i}{j} (of the straight edges)", "part": "opening", "kind": "corner",
                         "corner": [i, j]})  # fmt: skip
    made += [{"name": f"bolt {k} about the opening", "part": "opening-bolts", "kind": "bolt", "bolt": k}
             for k in range(14)]  # fmt: skip
    if name.startswith("inspection"):
        made += [{"name": f"rule at {mark}", "part": "opening-rule", "kind": "tick", "mark": mark}
                 for mark in range(10, 150, 10)]  # fmt: skip
    made += [{"name": f"axis of the output shaft at {x:g}", "part": "output-shaft", "kind": "axis", "x": x}
             for x in (56.0, 67.0, 89.0, 100.0, 142.0, 144.0, 190.0, 234.0)]  # fmt: skip
    return made


def sides(known: dict[str, Part], name: str) -> list[Feature]:
    """Return the features of the closed box from the left or from the right."""
    left = name.startswith("left")
    edge = "left_side" if left else "right_side"
    made: list[Feature] = []
    for end in ("front", "rear"):
        made += [{"name": f"{end} flange's outer edge at {high:g} high", "part": "flanges", "kind": "edge", "end": end,
                  "side": edge, "z": high} for high in (0.0, 70.0, 140.0, 210.0)]  # fmt: skip
    rule = "chassis-rule" if left else "chassis-rule-right"
    made += [{"name": f"rule at {mark}", "part": rule, "kind": "tick", "mark": mark} for mark in range(50, 300, 50)]
    if left:
        for cap in ("cap-front-low", "cap-front-high", "cap-rear-low", "cap-rear-high"):
            made.append({"name": f"{cap} middle", "part": cap, "kind": "across", "radius": "", "angle": 0.0,
                         "y": known[cap]["y"]})  # fmt: skip
            made += [{"name": f"{cap} bolt {k}", "part": cap, "kind": "bolt", "bolt": k} for k in range(6)]
        bulge = known["bulge"]
        for label in ("front", "rear"):
            for angle in (0.0, 90.0, -90.0):
                made.append(round_at(f"bulge {label} end at {angle:g}", "bulge", "radius", bulge[label], angle))
        return made
    cover = known["round-cover"]
    made += [{"name": f"round cover rim at {angle}", "part": "round-cover", "kind": "across", "radius": "radius",
              "angle": float(angle), "y": cover["y"]} for angle in range(0, 360, 15)]  # fmt: skip
    made += [{"name": f"round cover bolt {k}", "part": "round-cover", "kind": "bolt", "bolt": k} for k in range(14)]
    made.append({"name": "sensor plug middle", "part": "sensor-plug", "kind": "across", "radius": "", "angle": 0.0,
                 "y": known["sensor-plug"]["y"]})  # fmt: skip
    for i in (0, 1):
        for j in (0, 1):
            made.append({"name": f"valve block corner {i}{j}", "part": "valve-block", "kind": "corner",
                         "corner": [i, j], "y": known["valve-block"]["near"]})  # fmt: skip
    return made


def bore(known: dict[str, Part], name: str) -> list[Feature]:
    """Return the features of the bore camera's pictures."""
    if name == "bore-camera-still":
        made = [
            {"name": "bright rail end", "part": "rail-S3", "kind": "axis", "x": known["rail-S3"]["front"]},
            {"name": "end of rail S1", "part": "rail-S1", "kind": "axis", "x": known["rail-S1"]["rear"]},
        ]
        disc = known["disc"]
        made += [{"name": f"disc's left rim at {angle}", "part": "disc", "kind": "across", "radius": "radius",
                  "angle": float(angle), "y": disc["left"] + 1.0} for angle in range(0, 360, 30)]  # fmt: skip
        return made
    made = stations(known, SHIFTS[name], -20.0)
    wheel, sleeve = known["wheel-1"], known["S1"]
    window, middle = wheel["windows"], sleeve["middle"] + SHIFTS[name]["S1"]
    known_radii = {"window_outer": window["outer"], "window_inner": window["inner"]}
    for k in range(window["count"]):
        for label, angle in (("lower", 0.0), ("upper", window["angle"])):
            at = (window["first"] + 60 * k + angle + 180) % 360 - 180
            if -100 < at < 100:
                for ring in known_radii:
                    title = f"wheel-1 window {k} {label} edge, {ring[7:]}"
                    made.append(round_at(title, "wheel-1", ring, wheel["rear"], at))
    for k in range(6):
        for label, offset, height in (("tall", 0.0, 10.0), ("short", -25.0, 5.0)):
            at = (sleeve["first"] + 60 * k + offset + 180) % 360 - 180
            if -100 < at < 100:
                for end, x in (("tip", middle - 11 - height), ("root", middle - 11)):
                    made.append(round_at(f"S1 {label} dog {k} {end}, upper edge", "S1", "dog_outer", x, at))
    return made + tips(known, "wheel-1", -60, 60)


def features(name: str, known: dict[str, Part]) -> list[Feature]:
    """Return a picture's features with their points and pixels, those far outside of the frame left out."""
    camera = CAMERAS[name]
    wanted = bore(known, name) if name.startswith("bore") else (
        sides(known, name) if name.endswith("outside") else opening(known, name))  # fmt: skip
    made = []
    for feature in wanted:
        point = point_of(with_window_radii(known[feature["part"]]), feature)
        if (np.array(point) - camera["place"]) @ camera["forward"] <= 1.0:
            continue
        x, y = project(camera, np.array([point]))[0]
        if -100 < x < camera["width"] + 100 and -100 < y < camera["height"] + 100:
            pixel = [round(float(x), 4), round(float(y), 4)]
            made.append(feature | {"point": [round(float(v), 6) for v in point], "pixel": pixel})
    return made


def with_window_radii(part: Part) -> Part:
    """Return a part with the radii of its windows as dimensions of its own."""
    if "windows" not in part:
        return part
    return part | {"window_outer": part["windows"]["outer"], "window_inner": part["windows"]["inner"]}


def pixel_of(name: str, known: dict[str, Part], feature: str) -> tuple[float, float]:
    """Return the pixel of one feature of a picture."""
    x, y = next(f["pixel"] for f in features(name, known) if f["name"] == feature)
    return x, y


def mark_seen(name: str, made: list[Feature]) -> None:
    """Say of each feature whether it lies in the frame with nothing before it; the picture's scene must be built."""
    import bpy
    from mathutils import Vector

    camera, scene = CAMERAS[name], bpy.context.scene
    bpy.context.view_layer.update()
    graph = bpy.context.evaluated_depsgraph_get()
    here = Vector(camera["place"])
    for feature in made:
        x, y = feature["pixel"]
        way = Vector(feature["point"]) - here
        hit, where, *_ = scene.ray_cast(graph, here, way.normalized(), distance=way.length)
        allowed = HEAD if feature["kind"] == "bolt" else BEFORE
        framed = 0 <= x < camera["width"] and 0 <= y < camera["height"]
        feature["seen"] = bool(framed and (not hit or (where - here).length > way.length - allowed))


LENGTHS = {
    "inspection-opening": {"reference": "steel rule, 10 mm from mark to mark; bolt heads 13 mm across flats"},
    "inspection-opening-oblique": {"reference": "steel rule; faces of wheel 3 at 100 and 142, wheel 2 at 144 and 190"},
    "rim-of-third-wheel": {"reference": "bolt heads 13 mm across flats; wheel 3 has 45 teeth, module 5"},
    "left-side-outside": {"reference": "steel rule 300 mm on the chassis rail; 742 mm over the flanges"},
    "right-side-outside": {"reference": "steel rule 300 mm on the chassis rail; 742 mm over the flanges"},
    "bore-camera-still": {"reference": "none but the rails of 18 mm"},
    "bore-camera-dogs": {"reference": "windows 60 degrees apart; S1 at home in third gear"},
}


def write(file: Path, known: dict[str, Part]) -> None:
    """Write the truth file; every scene is built once to see what hides what."""
    from render import stage

    pictures = {}
    for name in CAMERAS:
        made = features(name, known)
        stage(name, known)
        mark_seen(name, made)
        pictures[name] = {"file": f"{name}.jpg", "shifts": SHIFTS.get(name, {})} | LENGTHS[name] | {"features": made}
    truth = {"invented": True, "axes": AXES, "parts": known, "cameras": CAMERAS, "pictures": pictures}
    truth["parts"] = {name: with_window_radii(part) for name, part in known.items()}
    file.write_text(dense(truth) + "\n", encoding="utf-8")


def dense(truth: dict[str, Any]) -> str:
    """Return JSON with one part, camera or feature a line."""

    def lines(record: dict[str, Any]) -> str:
        return ",\n".join(f"    {json.dumps(k)}: {json.dumps(v)}" for k, v in record.items())

    pictures = []
    for name, picture in truth["pictures"].items():
        head = {k: v for k, v in picture.items() if k != "features"}
        rows = ",\n".join(f"      {json.dumps(f)}" for f in picture["features"])
        pictures.append(f'    {json.dumps(name)}: {json.dumps(head)[:-1]}, "features": [\n{rows}\n    ]}}')
    return "\n".join((
        '{', '  "invented": true,', f'  "axes": {json.dumps(truth["axes"])},',
        '  "parts": {', lines(truth["parts"]), '  },', '  "cameras": {', lines(truth["cameras"]), '  },',
        '  "pictures": {', ",\n".join(pictures), '  }', '}',
    ))  # fmt: skip
