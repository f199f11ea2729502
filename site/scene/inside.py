"""The inside of the box as scene objects: gears on their shafts, sleeves, forks, rails, disc, spray rail, casing."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import materials as m
import numpy as np
import shapes as s
from box import Part


def place(name: str, mesh: s.Mesh, *surfaces: Any, smooth: float = 32.0) -> Any:
    """Put a mesh into the scene with its surfaces, faces shaded smooth across edges under an angle [deg]."""
    import bpy

    data = bpy.data.meshes.new(name)
    data.from_pydata([tuple(map(float, c)) for c in mesh.corners], [], [list(f) for f in mesh.faces])
    data.validate()
    for surface in surfaces:
        data.materials.append(surface)
    if len(mesh.surfaces) == len(data.polygons):
        data.polygons.foreach_set("material_index", mesh.surfaces)
    made = bpy.data.objects.new(name, data)
    bpy.context.collection.objects.link(made)
    _outward(data)
    data.polygons.foreach_set("use_smooth", [True] * len(data.polygons))
    data.set_sharp_from_angle(angle=radians(smooth))
    return made


def _outward(data: Any) -> None:
    import bmesh

    work = bmesh.new()
    work.from_mesh(data)
    bmesh.ops.remove_doubles(work, verts=work.verts, dist=1e-4)
    bmesh.ops.recalc_face_normals(work, faces=work.faces)
    work.to_mesh(data)
    work.free()


def cast(name: str, meshes: list[s.Mesh], surface: Any, voxel: float = 2.0, smoothing: int = 5) -> Any:
    """Put solids into the scene melted into one casting with rounded corners."""
    import bpy

    made = place(name, s.join(meshes), surface)
    for kind, settings in (("REMESH", {"mode": "VOXEL", "voxel_size": voxel, "use_smooth_shade": True}),
                           ("SMOOTH", {"factor": 0.5, "iterations": smoothing})):  # fmt: skip
        modifier = made.modifiers.new(kind, kind)
        for key, value in settings.items():
            setattr(modifier, key, value)
    bpy.context.view_layer.update()
    return made


class Surfaces:
    """The surfaces of the inside, made once a scene."""

    def __init__(self) -> None:
        self.side = m.steel("gear side", rough=0.3, stain=0.25, turning=(0.2, 1.0, 1.0))
        self.flank = m.steel(
            "tooth flank", (0.60, 0.59, 0.57), rough=0.2, stain=0.12, turning=(25.0, 0.6, 0.6), marks=0.012
        )
        self.sleeve = m.steel("sleeve", (0.47, 0.46, 0.45), rough=0.4, stain=0.2, oil=0.5)
        self.groove = m.polished("groove")
        self.dog = m.steel("dog", (0.64, 0.63, 0.61), rough=0.27, stain=0.1, oil=0.5)
        self.shaft = m.steel("shaft", (0.50, 0.49, 0.47), rough=0.25, stain=0.5, turning=(0.25, 9.0, 9.0))
        self.band = m.polished("polished band")
        self.line = m.steel("line in the band", (0.16, 0.15, 0.14), rough=0.4, oil=0.2)
        self.fork = m.steel("fork", (0.34, 0.33, 0.32), rough=0.45, stain=0.6, marks=0.08)
        self.bronze = m.bronze("bush bronze")
        self.cast = m.casting("inside of the casing")
        self.milled = m.machined("milled flange")
        self.zinc = m.steel("plated bolt", (0.60, 0.57, 0.50), rough=0.3, oil=0.3, stain=0.35)
        self.rule = m.polished("steel rule", (0.32, 0.32, 0.31), 0.36)
        self.ink = m.plain("rule's ink", (0.015, 0.015, 0.015), 0.7, grime=0.1)
        self.dark = m.plain("dark hole", (0.004, 0.004, 0.004), 0.6, grime=0.05)
        self.sawn = m.plain("ground end", (0.86, 0.85, 0.82), 0.48, 0.85, 0.12)
        self.pool = m.oil_pool("standing oil")
        self.tube = m.steel("oil pipe", (0.42, 0.40, 0.37), rough=0.28, stain=0.6, turning=(9.0, 0.8, 0.8))


def gears(parts: dict[str, Part], skin: Surfaces) -> None:
    """Put in every gear: toothed rim, side faces with a shallow turned recess, windows where it has them."""
    for name, part in parts.items():
        if part["kind"] != "gear":
            continue
        root = part["root_radius"]
        windows = part.get("windows")
        inner = root - 7 if root > 60 else root - 4
        meshes = [s.toothed_ring(part, inner)]
        for rear in (False, True):
            x, out = (part["rear"], 1.0) if rear else (part["front"], -1.0)
            edge = inner
            low = 35.5 if part["shaft"] == "output" else 30.5
            if inner - 76 > 8:
                profile = [(x, inner), (x - out * 0.8, inner - 0.8), (x - out * 3.5, inner - 2.5),
                           (x - out * 3.5, 79.0), (x, 76.0)]  # fmt: skip
                meshes.append(s.turned(part["y"], part["z"], profile, closed=False))
                edge = 76.0
            if windows and rear == (windows["side"] == "rear") and windows["outer"] < edge:
                meshes.append(s.windowed_side(part, low, edge, x, out))
            else:
                meshes.append(s.turned(part["y"], part["z"], [(x, low), (x, edge)], closed=False))
        place(name, s.join(meshes), skin.side, skin.flank)


def shafts(parts: dict[str, Part], skin: Surfaces) -> None:
    """Put in both shafts, their splined hubs with the bands the sleeves polish, bearings and bushes."""
    for name in ("output-shaft", "input-shaft"):
        part = parts[name]
        place(name, s.bar(0, part["z"], part["front"], part["rear"], part["radius"]), skin.shaft)
        for x in part["shoulders"]:
            out = -1 if x == 0 else 1
            a, b = sorted((x, x + out * 24))
            place("outer race", s.ring(0, part["z"], a, b, 58, 72), skin.dog)
            place("inner race", s.ring(0, part["z"], a, b, part["radius"], 44), skin.dog)
            for k in range(11):
                turn = k * 2 * np.pi / 11
                mesh = s.turned(
                    0, 0, [(8.0 * np.cos(t), 8.0 * np.sin(t)) for t in np.linspace(0, np.pi, 16)], 24, closed=False
                )
                mesh.corners += [(a + b) / 2, -51 * cos(turn), part["z"] + 51 * sin(turn)]
                place("ball", mesh, skin.band)
    for sleeve in (p for p in parts.values() if p["kind"] == "sleeve"):
        middle, half, body = sleeve["middle"], sleeve["length"] / 2, sleeve["body"] / 2
        bands = []
        for out in (-1, 1):
            edge, end = middle + out * body, middle + out * (body + sleeve["full_travel"] - 1.0)
            stop = middle + out * (body + sleeve["half_travel"])
            bands += [(stop - 0.25, stop + 0.25, 2), (*sorted((edge - 6 * out, end)), 1)]
        hub = s.splined(0, sleeve["z"], middle - half - 0.6, middle + half + 0.6, sleeve["hub_radius"] - 3.1,
                        sleeve["hub_radius"], 36, bands)  # fmt: skip
        place("hub", hub, skin.shaft, skin.band, skin.line)
    for name in ("bush-1", "bush-2"):
        bush = parts[name]
        place(name, s.ring(0, bush["z"], bush["front"], bush["rear"], 31, bush["radius"], 0.3), skin.bronze)


def sleeves(parts: dict[str, Part], skin: Surfaces, shifts: dict[str, float]) -> None:
    """Put in the sleeves: body with its fork groove, tall dogs with sloping backs and short square ones on each end."""
    for name, part in ((n, p) for n, p in parts.items() if p["kind"] == "sleeve"):
        middle, z = part["middle"] + shifts.get(name, 0.0), part["z"]
        half, groove, radius, deep = part["body"] / 2, part["groove_width"] / 2, part["radius"], part["groove_radius"]
        a, b = middle - half, middle + half
        profile = [
            (a, part["bore"]),
            (a, radius - 0.8),
            (a + 0.8, radius),
            (middle - groove - 0.4, radius),
            (middle - groove, radius - 0.4),
            (middle - groove, deep + 0.5),
            (middle - groove + 0.5, deep),
            (middle + groove - 0.5, deep),
            (middle + groove, deep + 0.5),
            (middle + groove, radius - 0.4),
            (middle + groove + 0.4, radius),
            (b - 0.8, radius),
            (b, radius - 0.8),
            (b, part["bore"]),
        ]
        mesh = s.turned(0, z, profile, 200)
        mesh.surfaces = [1 if 4 <= k <= 8 else 0 for k in range(len(profile)) for _ in range(200)]
        dogs = []
        for out in (-1.0, 1.0):
            side = middle + out * half
            for k in range(part["tall_count"]):
                top = part["first"] + 60 * k
                dogs.append(s.sector(0, z, side - out * 0.5, side + out * part["tall_height"], part["dog_inner"],
                                     part["dog_outer"], top - part["tall_angle"], top, part["back_slope"],
                                     part["dog_mean_radius"]))  # fmt: skip
                high = top - part["short_offset"]
                dogs.append(s.sector(0, z, side - out * 0.5, side + out * part["short_height"], part["dog_inner"],
                                     part["dog_outer"], high - part["short_angle"], high))  # fmt: skip
        place(name, mesh, skin.sleeve, skin.groove)
        place(f"{name} dogs", s.join(dogs), skin.dog)


def forks(parts: dict[str, Part], skin: Surfaces, shifts: dict[str, float]) -> None:
    """Put in forks, rails and their follower pins."""
    for name, part in ((n, p) for n, p in parts.items() if p["kind"] == "sleeve"):
        shift, z = shifts.get(name, 0.0), part["z"]
        x, rail = part["middle"] + shift, parts[f"rail-{name}"]
        shoe = s.sector(0, z, x - 3.9, x + 3.9, part["groove_radius"] + 0.4, 82, 82, 278, steps=60)
        yoke = s.sector(0, z, x - 7, x + 7, 79, 94, 92, 268, steps=60)
        place(f"fork {name} shoe", shoe, skin.fork)
        boss = s.bar(rail["y"], rail["z"], x - 16, x + 16, 11.5)
        start = (x, 70 if z else 84, 120.0 if z else 25)
        arm = s.tube([start, (x, rail["y"], rail["z"])], 9)
        cast(f"fork {name}", [yoke, boss, arm], skin.fork, 1.2, 4)
        place(f"rail-{name}", s.bar(rail["y"], rail["z"], rail["front"] + shift, rail["rear"] + shift, rail["radius"],
                                    1.5), skin.band)  # fmt: skip
        disc = parts["disc"]
        inner = rail["y"] < disc["left"]
        far = disc["left"] + 6 if inner else disc["right"] - 6
        low, high = sorted((rail["y"], far))
        pin = s.across(s.bar(0, 0, 0, high - low, rail["pin_radius"], 0.6), rail["pin"] + shift, rail["z"], low, 1.0)
        place(f"pin {name}", pin, skin.dog)
        inwards = 1 if rail["pin"] < disc["x"] else -1
        end = rail["rear"] if inwards > 0 else rail["front"]
        sawn = s.bar(rail["y"], rail["z"], *sorted((end + shift, end + shift + 0.03 * inwards)), 7.6, 0.01)
        place(f"end of rail {name}", sawn, skin.sawn)
        deep, flush = sorted((end + shift - 0.2 * inwards, end + shift + 0.05 * inwards))
        hole = s.bar(rail["y"], rail["z"], deep, flush, 2.4, 0.05)
        place(f"centre {name}", hole, skin.dark)


def selector(parts: dict[str, Part], skin: Surfaces) -> None:
    """Put in the disc with its spindle."""
    disc = parts["disc"]
    place("disc", s.cam_disc(disc), skin.dog, smooth=25)
    place("spindle", s.across(s.bar(0, 0, 0, 62, 16), disc["x"], disc["z"], disc["left"] - 4, 1.0), skin.shaft)


def spray(parts: dict[str, Part], skin: Surfaces) -> None:
    """Put in the spray rail with its plugged drillings and the clips that hang it from the wall."""
    rail = parts["spray-rail"]
    place("spray rail", s.bar(rail["y"], rail["z"], rail["front"], rail["rear"], rail["radius"]), skin.tube)
    turn = radians(rail["plug_angle"])
    for x in rail["plugs"]:
        for radius, reach, surface in ((rail["plug"] / 2 + 0.9, 0.35, skin.tube), (rail["plug"] / 2, 0.42, skin.dark)):
            plug = s.bar(0, 0, 0, rail["radius"] + reach, radius, 0.1)
            c = plug.corners
            forward = c[:, 0:1] * [[0, -cos(turn), sin(turn)]]
            sideways = c[:, 1:2] * [[1, 0, 0]] + c[:, 2:3] * [[0, sin(turn), cos(turn)]]
            place("plug", s.Mesh(forward + sideways + [x, rail["y"], rail["z"]], plug.faces), surface)
    for x in (84.0, 246.0):
        ear = s.ring(rail["y"], rail["z"], x - 6, x + 6, rail["radius"], rail["radius"] + 1.6)
        place("clip", ear, skin.zinc)
        corners = [(side, y, z + thick) for side in (x - 6, x + 6) for thick in (0.0, 1.8)
                   for y, z in ((rail["y"] - 1, rail["z"] + 6.2), (-150.0, 178.0), (-150.0, 204.0))]  # fmt: skip
        strap = s.Mesh(
            np.array(corners),
            [
                (0, 1, 4, 3),
                (1, 2, 5, 4),
                (6, 9, 10, 7),
                (7, 10, 11, 8),
                (0, 6, 7, 1),
                (1, 7, 8, 2),
                (3, 4, 10, 9),
                (4, 5, 11, 10),
                (0, 3, 9, 6),
                (2, 8, 11, 5),
            ],
        )
        place("clip's strap to the wall", strap, skin.zinc)


def casing(parts: dict[str, Part], skin: Surfaces, open_left: bool) -> None:
    """Put in the casing's walls from inside; the left one with its opening, milled flange and bolt holes."""
    opening, disc = parts["opening"], parts["disc"]
    outer = s.rounded(-40, 560, -170, 310, 30)
    hole = s.rounded(opening["left"], opening["right"], opening["bottom"], opening["top"], opening["corner_radius"])
    face = opening["y"]
    left = [s.plate(outer, face + 1.5, face + 1.5 + opening["wall"] + 4, hole if open_left else None)]
    if open_left:
        rim = s.rounded(opening["left"] - 17, opening["right"] + 17, opening["bottom"] - 17, opening["top"] + 17, 24)
        left.append(s.plate(rim, face + 0.6, face + opening["wall"] + 9, hole))
        left += [s.across(s.bar(0, 0, 0, 16, 8.5), x, z, face + 1.5, 1.0) for x, z in parts["opening-bolts"]["places"]]
    cast("left wall", left, skin.cast, 1.6, 4)
    if open_left:
        skin_hole = s.rounded(
            opening["left"], opening["right"], opening["bottom"], opening["top"], opening["corner_radius"]
        )
        rim = s.rounded(opening["left"] - 15, opening["right"] + 15, opening["bottom"] - 15, opening["top"] + 15, 22)
        place("milled flange", s.plate(rim, face, face + opening["wall"], skin_hole, 0.4), skin.milled)
        for number, (x, z) in enumerate(parts["opening-bolts"]["places"]):
            if number in BOLTS_LEFT_IN:
                head = s.bolt(13, 5.3, 17.0 * number + 8, 1.6)
                place("bolt", s.across(head, x, z, face - 0.6 - (number % 3) * 0.2, -1.0), skin.zinc)
            else:
                place("bolt hole", s.across(s.bar(0, 0, 0, 0.05, 4.0, 0.01), x, z, face, -1.0), skin.dark)
                place("countersink", s.across(s.turned(0, 0, [(0.04, 4.0), (0.02, 4.7)], 48, closed=False), x, z, face,
                                              -1.0), skin.cast)  # fmt: skip
    walls = s.rounded(disc["x"] - 300, disc["x"] + 300, -170, 310, 30, 31)
    round_hole = s.disc_outline(disc["x"], disc["z"], 122, 128, -90)
    cast("right wall", [s.plate(walls, 205, 216, round_hole)], skin.cast, 2.0, 4)
    place("cover from inside", s.plate(s.disc_outline(disc["x"], disc["z"], 134), 216.5, 226), skin.cast)
    floor = [s.block(-40, 560, -170, 216, -172, -158), s.block(-40, 560, -170, 216, 298, 312)]
    floor += [s.block(-42, -8, -170, 216, -170, 310), s.block(520, 560, -170, 216, -170, 310)]
    floor += [s.block(x - 4, x + 4, 196, 208, -160, 300) for x in (-2, 92, 400, 470)]
    cast("floor, roof and ends", floor, skin.cast, 2.5, 4)
    place("standing oil", s.block(-40, 560, -158, 208, -159, -151), skin.pool)


# The lower row's bolts carry the rule; the last at the left edge hangs by two threads.
BOLTS_LEFT_IN = (1, 3, 9, 10)


def rule(parts: dict[str, Part], name: str, outward: float, skin: Any) -> None:
    """Put in a steel rule with its graduations, every fifth and tenth longer."""
    part = parts[name]
    y0, y1 = part["y"], part["y"] - outward * 0.6
    outline = s.rounded(part["left"], part["right"], part["bottom"], part["top"], 1.0, 3)
    place(name, s.plate(outline, y0, y1), skin.rule)
    ticks = []
    for k in range(1, int(part["length"])):
        tall = 0.52 if k % 10 == 0 else 0.38 if k % 5 == 0 else 0.26
        tall *= min(part["top"] - part["bottom"], 14)
        width = 0.11 if part["length"] < 200 else 0.16
        x = part["left"] + k
        ticks.append(s.block(x - width, x + width, y0 + outward * 0.03, y1, part["top"] - tall, part["top"] - 0.15))
    place(f"{name} graduations", s.join(ticks), skin.ink)


def build(parts: dict[str, Part], shifts: dict[str, float], open_left: bool = True, with_rule: bool = True) -> Surfaces:
    """Put the whole inside into the scene; sleeves moved rearward by `shifts`."""
    skin = Surfaces()
    gears(parts, skin)
    shafts(parts, skin)
    sleeves(parts, skin, shifts)
    forks(parts, skin, shifts)
    selector(parts, skin)
    spray(parts, skin)
    casing(parts, skin, open_left)
    if open_left and with_rule:
        rule(parts, "opening-rule", -1.0, skin)
    return skin
