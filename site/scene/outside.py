"""The closed box from the left and from the right, between its chassis rails."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import inside
import materials as m
import numpy as np
import shapes as s
from box import Part
from inside import cast, place

RIBS = (42.0, 140.0, 232.0, 330.0, 428.0)


class Outside:
    """The surfaces of the outside, made once a scene."""

    def __init__(self) -> None:
        self.paint = m.paint("painted casting", (0.105, 0.118, 0.112))
        self.cap = m.paint("painted caps", (0.12, 0.132, 0.126), 0.5, 0.12, 0.36)
        self.cover = m.machined("milled cover", (0.33, 0.33, 0.325), 0.15)
        self.frame = m.paint("chassis rail", (0.022, 0.023, 0.025), 0.42, 0.06, 0.38, 0.03)
        self.zinc = m.steel("plated bolt", (0.46, 0.43, 0.36), rough=0.36, oil=0.25, stain=0.4)
        self.bare = m.steel("steel pipe", (0.48, 0.47, 0.45), rough=0.3, oil=0.3, stain=0.4)
        self.block = m.plain("anodised block", (0.055, 0.058, 0.064), 0.38, 0.75, 0.5)
        self.black = m.plain("black plastic", (0.012, 0.012, 0.013), 0.45, 0.0, 0.55)
        self.rubber = m.plain("hose and loom", (0.016, 0.015, 0.014), 0.6, 0.0, 0.3)
        self.rule = m.polished("steel rule", (0.50, 0.50, 0.49), 0.42)
        self.ink = m.plain("rule's ink", (0.015, 0.015, 0.015), 0.7, grime=0.1)
        self.wall = m.plain("workshop wall", (0.19, 0.185, 0.17), 0.9, 0.0, 0.7)
        self.floor = m.paint("concrete", (0.13, 0.125, 0.115), 0.5, 0.1, 0.5)


def bolts(part: Part, outward: float, surface: Any, head: float = 6.0, washer: float = 1.4) -> None:
    """Put in the hexagon heads of a part's bolt circle, each turned as it came to rest."""
    for k in range(part["bolts"]):
        turn = radians(part["first"] + 360 * k / part["bolts"])
        x, z = part["x"] + part["bolt_circle"] * cos(turn), part["z"] + part["bolt_circle"] * sin(turn)
        mesh = s.bolt(part["across_flats"], head, 41.0 * k + 13, washer)
        place("bolt", s.across(mesh, x, z, part["y"] - outward * 1.0, outward), surface)


def hull(x0: float, x1: float, grow: float = 0.0, low: float = -152.0, high: float = 292.0) -> s.Mesh:
    """Return the closed casing's trunk between two places along it; grown all round for ribs and flanges."""
    outline = s.rounded(-162 - grow, 206 + grow, low - grow, high + grow, 62 + grow / 2, 12)
    rows = np.array(outline)
    rings = [np.column_stack([np.full(len(rows), x), rows[:, 0], rows[:, 1]]) for x in (x0, x1)]
    mesh = s.layers(rings)
    n = len(rows)
    mesh.faces += [tuple(range(n)), tuple(range(n, 2 * n))[::-1]]
    mesh.surfaces += [0, 0]
    return mesh


def trunk(parts: dict[str, Part], left: bool, skin: Outside) -> None:
    """Put in the casting: trunk, end bells, ribs, bosses and pads melted together; flanges and their bolts."""
    flanges, opening, disc = parts["flanges"], parts["opening"], parts["round-cover"]
    solids = [hull(-50, 664), hull(-64, -50, 6), hull(664, 678, 6)]
    solids += [hull(x - 4, x + 4, 5) for x in RIBS] + [hull(x - 3.5, x + 3.5, 4) for x in (-30, 560, 610)]
    side = -1.0 if left else 1.0
    face = -162.0 if left else 206.0
    solids += [s.block(-40, 660, *sorted((face - side * 4, face + side * 5)), z - 4, z + 4) for z in (-85, 228)]
    if left:
        for name in ("cap-front-low", "cap-front-high", "cap-rear-low", "cap-rear-high"):
            cap = parts[name]
            solids.append(s.across(s.bar(0, 0, 0, 34, 39, 3), cap["x"], cap["z"], -138, -1.0))
        pad = s.rounded(opening["left"] - 17, opening["right"] + 17, opening["bottom"] - 17, opening["top"] + 17, 24)
        solids.append(s.plate(pad, -150, -166))
        bulge = parts["bulge"]
        solids.append(s.bar(bulge["y"] + 2, bulge["z"], bulge["front"] + 6, bulge["rear"] - 6, bulge["radius"] - 1, 2))
        solids += [s.block(bulge["front"] + 20, bulge["rear"] - 20, -176, -150, 62, 118)]
        solids += [s.across(s.bar(0, 0, 0, 26, 20, 3), 330, -110, -150, -1.0)]
    else:
        solids.append(s.across(s.bar(0, 0, 0, 60, 142, 4), disc["x"], disc["z"], 150, 1.0))
        solids += [s.across(s.bar(0, 0, 0, 30, 24, 3), x, z, 190, 1.0) for x, z in ((520, -60), (40, 215), (480, 190))]
    cast("casing", solids, skin.paint, 2.6, 6)
    for x, out in ((flanges["front"], 1.0), (flanges["rear"], -1.0)):
        thick = flanges["thickness"]
        edge = s.rounded(flanges["left_side"], flanges["right_side"], flanges["bottom"], flanges["top"], 66, 12)
        rows = np.array(edge)
        rings = [np.column_stack([np.full(len(rows), x + out * d), rows[:, 0], rows[:, 1]]) for d in (0.0, 1.2, thick)]
        rings[0] = rings[0] * [1, 0.996, 0.996]
        mesh = s.layers(rings)
        n = len(rows)
        mesh.faces += [tuple(range(n)), tuple(range(2 * n, 3 * n))[::-1]]
        mesh.surfaces += [0, 0]
        place("flange", mesh, skin.cap)
        seen = -138.0 if left else 192.0
        for z in (-120, -40, 45, 135, 215, 268):
            head = s.bolt(13, 8, 17.0 * z, 2.0)
            c = head.corners
            head.corners = np.column_stack([x + out * (thick + c[:, 0] - 0.5), seen + c[:, 1], z + c[:, 2]])
            place("flange bolt", head, skin.zinc)
        shut = hull(*sorted((x, x - out * 90)), -16, -150, 290)
        place("neighbour housing", shut, skin.frame)


def left_side(parts: dict[str, Part], skin: Outside) -> None:
    """Put in what stands on the left: four caps, the closed opening, the bulge with its end caps, a plug."""
    for name in ("cap-front-low", "cap-front-high", "cap-rear-low", "cap-rear-high"):
        cap = parts[name]
        profile = [(0, 0), (0, 34), (7.4, 34), (8, 33.4), (8, 19), (7, 17), (7, 0)]
        lid = s.turned(0, 0, profile, 96, closed=False)
        place(name, s.across(lid, cap["x"], cap["z"], cap["y"] + 8, -1.0), skin.cap)
        bolts(cap, -1.0, skin.zinc, 5.0)
    opening, bulge = parts["opening"], parts["bulge"]
    edge = s.rounded(opening["left"] - 15, opening["right"] + 15, opening["bottom"] - 15, opening["top"] + 15, 22)
    place("opening's lid", s.plate(edge, -167, -174, edge=0.8), skin.cap)
    place("gasket", s.plate(s.rounded(opening["left"] - 15.6, opening["right"] + 15.6, opening["bottom"] - 15.6,
                                      opening["top"] + 18.6, 20), -165.5, -167.2), skin.rubber)  # fmt: skip
    for k, (x, z) in enumerate(parts["opening-bolts"]["places"]):
        place("lid bolt", s.across(s.bolt(13, 5.3, 29.0 * k, 1.6), x, z, -173.6, -1.0), skin.zinc)
    for x, out in ((bulge["front"], -1.0), (bulge["rear"], 1.0)):
        ends = sorted((x, x - out * bulge["cap"]))
        place("bulge end", s.ring(bulge["y"], bulge["z"], *ends, 2, bulge["radius"], 1.5), skin.cap)
        for k in range(6):
            turn = radians(60 * k + 20)
            head = s.bolt(8, 5, 31.0 * k)
            c = head.corners
            head.corners = np.column_stack([x + out * c[:, 0], bulge["y"] - 34 * cos(turn) + c[:, 1],
                                            bulge["z"] + 34 * sin(turn) + c[:, 2]])  # fmt: skip
            place("bulge bolt", head, skin.zinc)
    place("drain plug", s.across(s.bolt(19, 8, 10, 2), 330, -110, -176, -1.0), skin.zinc)
    place("hose", s.tube([(600, -190, -240), (585, -196, -60), (600, -192, 90), (560, -196, 250), (430, -180, 330),
                          (250, -150, 360)], 8, 60), skin.rubber)  # fmt: skip
    for point in ((590, -196, -20), (575, -196, 200)):
        place("clip", s.block(point[0] - 16, point[0] + 16, -204, -168, point[2] - 5, point[2] + 5), skin.zinc)


def right_side(parts: dict[str, Part], skin: Outside) -> None:
    """Put in what stands on the right: the round cover with its plug, the valve block, two pipes, the loom."""
    cover, block = parts["round-cover"], parts["valve-block"]
    profile = [(0, 0.0), (0, 134.0), (11.4, 134.0), (12, 133.4), (12, 116), (13.5, 112), (13.5, 40), (17, 34), (17, 0)]
    place("round cover", s.across(s.turned(0, 0, profile, 200, closed=False), cover["x"], cover["z"], 214, 1.0),
          skin.cover)  # fmt: skip
    bolts(cover | {"y": 226.0}, 1.0, skin.zinc, 7.0)
    x, z = cover["x"], cover["z"]
    place("sensor", s.across(s.bolt(38, 10, 12), x, z, 230, 1.0), skin.bare)
    place("sensor plug", s.across(s.turned(0, 0, [(0, 19), (9, 19), (9, 17), (15.5, 17), (16, 16.5), (16, 0)], 64,
                                           closed=False), x, z, 240, 1.0), skin.black)  # fmt: skip
    place("loom", s.tube([(x, 254, z), (x - 6, 278, z - 8), (x + 20, 274, z - 60), (x + 46, 240, z - 150),
                          (x + 52, 222, z - 230), (x + 50, 214, z - 420)], 6.0, 45), skin.rubber)  # fmt: skip
    place("loom's clip", s.block(x + 38, x + 66, 205, 230, z - 190, z - 180), skin.zinc)
    x0, x1, z0, z1 = block["left"], block["right"], block["bottom"], block["top"]
    body = s.plate(s.rounded(x0, x1, z0, z1, 5, 4), block["far"], block["near"], edge=1.2)
    place("valve block", body, skin.block)
    pitch = (x1 - x0) / block["solenoids"]
    for k in range(block["solenoids"]):
        at = x0 + pitch * (k + 0.5)
        middle = (z0 + z1) / 2 + 5
        place("solenoid", s.across(s.turned(0, 0, [(0, 12.5), (24, 12.5), (26, 11), (26, 5), (31, 5), (31, 0)], 48,
                                            closed=False), at, middle, block["near"], 1.0), skin.black)  # fmt: skip
        place("nut", s.across(s.bolt(9, 5, 20 * k), at, middle, block["near"] + 29, 1.0), skin.zinc)
        place("lead", s.tube([(at, block["near"] + 14, z1 - 10), (at, block["near"] + 16, z1 + 14),
                              (at + 30, block["near"] - 30, z1 + 26), (420, 60, z1 + 30)], 2.6, 14),
              skin.rubber)  # fmt: skip
        place("block screw", s.across(s.bolt(6, 4, 9 * k), at + pitch / 2 - 3, z0 + 9, block["near"], 1.0), skin.zinc)
    place("block's foot", s.block(x0 - 8, x1 + 8, block["far"], block["near"] - 6, z0 - 14, z0), skin.paint)
    for k in (0, 1):
        x = x0 + 12 + 22 * k
        way = [(x, 148, z0 + 12), (x, 188, z0 + 12), (x - 30, 228, z0 - 34), (x - 44, 226, z0 - 70),
               (x - 46, 204, 218 - 10 * k)]  # fmt: skip
        place("pipe", s.tube(way, 5, 22), skin.bare)
        nut = s.bolt(15, 12, 11 + 20 * k)
        place("union", s.across(nut, x, z0 + 12, block["near"], 1.0), skin.zinc)
        place("union", s.tube([(x - 46, 200, 216 - 10 * k), (x - 45.4, 213, 221 - 9 * k)], 8, 0, 6), skin.zinc)
    for px, pz in ((520, -60), (40, 215), (480, 190)):
        place("plug", s.across(s.bolt(22, 8, px), px, pz, 219, 1.0), skin.zinc)


def surroundings(parts: dict[str, Part], left: bool, skin: Outside) -> None:
    """Put in the chassis rail with the rule on it, floor and wall out of focus."""
    out = -1.0 if left else 1.0
    near = parts["chassis-rule" if left else "chassis-rule-right"]["y"] - out * 0.8
    place("chassis rail", s.block(-1500, 2100, *sorted((near, near - out * 8)), -330, -160), skin.frame)
    place("rail's flange", s.block(-1500, 2100, *sorted((near - out * 1, near - out * 70)), -166, -159), skin.frame)
    for x in (-40, 30, 470, 640) if left else (20, 150, 600, 660):
        place("rail bolt", s.across(s.bolt(19, 8, x, 2.5), x, -215 if x % 4 else -208, near, out), skin.zinc)
    for x in (-120, 720):
        place("bracket", s.block(x - 45, x + 45, *sorted((near - out * 12, near - out * 60)), -200, 40), skin.frame)
    place("floor", s.block(-9000, 9000, -9000, 9000, -1010, -1000), skin.floor)
    place("wall", s.block(-9000, 9000, -out * 3200, -out * 3300, -1000, 4000), skin.wall)
    for k, (x, w, h, surface) in enumerate(((-1150, 500, 900, skin.paint), (300, 900, 500, skin.frame),
                                            (1650, 600, 1250, skin.cap), (950, 260, 1500, skin.rubber))):  # fmt: skip
        place("cupboard", s.block(x - w / 2, x + w / 2, -out * (2300 + 90 * k), -out * 3100, -1000, h - 1000), surface)


def build(parts: dict[str, Part], name: str) -> None:
    """Put the closed box into the scene, for the view from the left or from the right."""
    left = name.startswith("left")
    skin = Outside()
    trunk(parts, left, skin)
    (left_side if left else right_side)(parts, skin)
    surroundings(parts, left, skin)
    inside.rule(parts, "chassis-rule" if left else "chassis-rule-right", -1.0 if left else 1.0, skin)
