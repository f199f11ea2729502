"""Render the demo photographs and write `truth.json`; see the package's docstring for how."""

from __future__ import annotations

import argparse
import sys
import tempfile
from math import tau
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

import finishing  # noqa: E402 - run by Blender, which finds its neighbours only after the line above
from box import Part, parts  # noqa: E402 - as finishing
from cameras import CAMERAS, SHIFTS  # noqa: E402 - as finishing

PICTURES = HERE.parent / "pages" / "photographs"
BORE = ("bore-camera-still", "bore-camera-dogs")
EXPOSURE = {
    "inspection-opening": -0.9, "inspection-opening-oblique": -0.9, "rim-of-third-wheel": -1.3,
    "left-side-outside": 0.55, "right-side-outside": 0.5, "bore-camera-still": 1.0, "bore-camera-dogs": 0.5,
}  # fmt: skip
# Where the person holds the lamp, how large it is [mm], its strength, and where it points.
LAMPS: dict[str, list[tuple[tuple[float, float, float], float, float, tuple[float, float, float]]]] = {
    "inspection-opening": [((-330, -700, 300), 150, 0.8, (130, -40, 85)), ((380, -800, 620), 420, 0.5, (130, 0, 90)),
                           ((230, -1080, 20), 260, 0.25, (130, 0, 90)), ((72, -128, 176), 26, 0.035, (92, -45, 55)),
                           ((206, -130, 176), 22, 0.012, (180, -45, 70))],
    "inspection-opening-oblique": [((420, -620, 420), 150, 0.7, (130, -40, 85)),
                                   ((-450, -900, 520), 420, 0.45, (130, 0, 90)),
                                   ((60, -700, 60), 260, 0.16, (110, 0, 90)),
                                   ((80, -128, 176), 26, 0.035, (95, -45, 55))],
    "rim-of-third-wheel": [((-10, -420, 330), 90, 0.32, (110, -60, 80)), ((350, -500, 200), 260, 0.15, (130, 0, 90)),
                           ((-200, -420, 60), 160, 0.10, (100, -60, 60)), ((190, -130, 176), 24, 0.02, (120, -95, 60))],
}  # fmt: skip


def light(kind: str, place: Any, target: Any, size: float, power: float, colour: tuple[float, float, float]) -> None:
    """Put a lamp into the scene that points at a target; power [W] for scenes in metres, scaled to millimetres."""
    import bpy
    from mathutils import Vector

    data = bpy.data.lights.new("lamp", kind)
    data.energy, data.color = power * 1e6, colour
    if kind == "AREA":
        data.shape, data.size = "DISK", size
    elif kind == "SPOT":
        data.shadow_soft_size, data.spot_size, data.spot_blend = size / 2, 1.0, 0.8
    else:
        data.shadow_soft_size = size
    made = bpy.data.objects.new("lamp", data)
    made.location = place
    made.rotation_euler = (Vector(target) - Vector(place)).to_track_quat("-Z", "Y").to_euler()
    bpy.context.collection.objects.link(made)


def world(strength: float) -> None:
    """Surround the scene with a dim workshop: a bright door on one side, lamps above, dark between."""
    import bpy

    made = bpy.data.worlds.new("workshop")
    bpy.context.scene.world = made
    tree = made.node_tree
    tree.nodes.clear()
    place = tree.nodes.new("ShaderNodeTexCoord")
    noise = tree.nodes.new("ShaderNodeTexNoise")
    noise.inputs["Scale"].default_value, noise.inputs["Detail"].default_value = 2.1, 4.0
    ramp = tree.nodes.new("ShaderNodeValToRGB")
    stops = ramp.color_ramp.elements
    stops[0].position, stops[0].color = 0.40, (0.035, 0.032, 0.03, 1)
    stops[1].position, stops[1].color = 0.72, (1.0, 0.93, 0.82, 1)
    middle = stops.new(0.55)
    middle.color = (0.13, 0.13, 0.135, 1)
    back, out = tree.nodes.new("ShaderNodeBackground"), tree.nodes.new("ShaderNodeOutputWorld")
    back.inputs["Strength"].default_value = strength
    tree.links.new(place.outputs["Generated"], noise.inputs["Vector"])
    tree.links.new(noise.outputs["Fac"], ramp.inputs["Fac"])
    tree.links.new(ramp.outputs[0], back.inputs["Color"])
    tree.links.new(back.outputs[0], out.inputs[0])


def lit(name: str) -> None:
    """Light the scene for one picture."""
    camera = CAMERAS[name]
    if name in BORE:
        world(0.5)
        here, ahead = np.array(camera["place"]), np.array(camera["forward"])
        right, down = np.array(camera["right"]), np.array(camera["down"])
        power = 0.22 if name == "bore-camera-still" else 0.10
        for k in range(8):
            side = 3.4 * (np.cos(tau * k / 8) * right + np.sin(tau * k / 8) * down)
            light("SPOT", tuple(here + side - ahead * 0.8), tuple(here + side * 4 + ahead * 40), 1.1, power,
                  (0.86, 0.93, 1.0))  # fmt: skip
        return
    if name.endswith("outside"):
        out = -1.0 if name.startswith("left") else 1.0
        world(0.22)
        light("AREA", (-1700 if out < 0 else 2300, out * 1500, 1500), (300, 0, 60), 800, 150, (1.0, 0.96, 0.90))
        light("AREA", (2300 if out < 0 else -1900, out * 2300, 500), (300, 0, 60), 700, 22, (0.78, 0.88, 1.0))
        light("AREA", (300, -out * 900, 1700), (300, 0, 200), 900, 60, (1.0, 0.92, 0.80))
        return
    world(0.25)
    for number, (place, size, power, target) in enumerate(LAMPS[name]):
        light("AREA", place, target, size, power * 22.0, (1.0, 0.92, 0.80) if number == 0 else (0.86, 0.92, 1.0))


def aim(name: str, scale: float) -> None:
    """Set the scene's camera and picture size for the straight picture that covers one photograph."""
    import bpy
    from mathutils import Matrix

    camera = CAMERAS[name]
    low, high, width, height = finishing.window(camera, scale)
    data = bpy.data.cameras.new(name)
    made = bpy.data.objects.new(name, data)
    bpy.context.collection.objects.link(made)
    axes = np.column_stack([camera["right"], -np.array(camera["down"]), -np.array(camera["forward"])])
    matrix = np.eye(4)
    matrix[:3, :3], matrix[:3, 3] = axes, camera["place"]
    made.matrix_world = Matrix(matrix.tolist())
    pixels = camera["focal"] * scale
    longest = max(width, height)
    data.sensor_fit, data.sensor_width = "HORIZONTAL" if width >= height else "VERTICAL", 36.0
    data.sensor_height = 36.0
    data.lens = pixels * 36.0 / longest
    middle = (low + high) / 2 * pixels
    data.shift_x, data.shift_y = middle[0] / longest, -middle[1] / longest
    data.clip_start, data.clip_end = 0.5, 60_000
    data.dof.use_dof, data.dof.focus_distance = True, camera["focus"]
    data.dof.aperture_blades = 7
    # the entrance pupil's diameter is focal length over f-number, both in the scene's units (lens in mm, scene in m)
    data.dof.aperture_fstop = data.lens / 1000 / camera["aperture"]
    scene = bpy.context.scene
    scene.camera = made
    scene.render.resolution_x, scene.render.resolution_y, scene.render.resolution_percentage = width, height, 100


def settings(samples: int, exposure: float) -> None:
    """Set Cycles for a still on the processor."""
    import bpy

    scene = bpy.context.scene
    scene.render.engine = "CYCLES"
    scene.cycles.device, scene.cycles.samples = "CPU", samples
    scene.cycles.use_denoising, scene.cycles.denoiser = True, "OPENIMAGEDENOISE"
    scene.cycles.use_adaptive_sampling, scene.cycles.adaptive_threshold = True, 0.03
    scene.cycles.max_bounces, scene.cycles.diffuse_bounces, scene.cycles.glossy_bounces = 6, 3, 4
    scene.cycles.sample_clamp_indirect = 6.0
    scene.render.threads_mode, scene.render.threads = "FIXED", 2
    scene.view_settings.view_transform, scene.view_settings.look = "AgX", "AgX - Medium High Contrast"
    scene.view_settings.exposure = exposure
    scene.render.image_settings.file_format, scene.render.image_settings.color_depth = "PNG", "16"


def straight_picture(file: Path) -> np.ndarray:
    """Return a rendered file as brightness 0 to 1, rows from the top."""
    import bpy

    image = bpy.data.images.load(str(file))
    image.colorspace_settings.name = "Non-Color"
    width, height = image.size
    pixels = np.empty(width * height * image.channels, np.float32)
    image.pixels.foreach_get(pixels)
    return pixels.reshape(height, width, image.channels)[::-1, :, :3].astype(float)


def stage(name: str, known: dict[str, Part]) -> None:
    """Empty the scene and build what one picture shows."""
    import bpy

    bpy.ops.wm.read_factory_settings(use_empty=True)
    if name.endswith("outside"):
        import outside

        outside.build(known, name)
    else:
        import inside

        inside.build(known, SHIFTS.get(name, {}), open_left=True, with_rule=name.startswith("inspection"))


def photograph(name: str, known: dict[str, Part], samples: int, scale: float, folder: Path) -> Path:
    """Render, bend, develop and store one picture; return its file."""
    import bpy

    stage(name, known)
    lit(name)
    aim(name, scale)
    settings(samples, EXPOSURE[name])
    with tempfile.TemporaryDirectory() as work:
        bpy.context.scene.render.filepath = str(Path(work) / "straight.png")
        bpy.ops.render.render(write_still=True)
        straight = straight_picture(Path(work) / "straight.png")
    camera = CAMERAS[name]
    out = min(1.0, scale) if name not in BORE else 0.5334
    picture = finishing.develop(finishing.bend(straight, camera, scale, out), camera, seed=len(name))
    if name in BORE:
        picture = finishing.enlarged(picture, camera, 190 if name == "bore-camera-still" else 60)
    if name == "bore-camera-still":
        import truth

        end = truth.pixel_of(name, known, "bright rail end")
        picture = finishing.arrow(picture, (end[0] + 34, end[1] - 40), (end[0] + 190, end[1] - 165))
    file = folder / f"{name}.jpg"
    finishing.store(picture, file)
    return file


def main() -> None:
    """Read the command line and do it."""
    known = parts()
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("pictures", nargs="*", help="names of pictures; all of them if none is given")
    reader.add_argument("--trial", action="store_true", help="small and coarse, into build/photographs")
    reader.add_argument("--truth", action="store_true", help="write truth.json and no picture")
    reader.add_argument("--samples", type=int, default=48)
    asked = reader.parse_args()
    unknown = set(asked.pictures) - set(CAMERAS)
    if unknown:
        reader.error(f"no such picture: {', '.join(sorted(unknown))}; there are {', '.join(CAMERAS)}")
    folder = HERE.parent.parent / "build" / "photographs" if asked.trial else PICTURES
    folder.mkdir(parents=True, exist_ok=True)
    if not asked.truth:
        for name in asked.pictures or list(CAMERAS):
            fine = 0.62 if name in BORE else 1.0
            scale, samples = (fine * 0.4, 8) if asked.trial else (fine, asked.samples)
            file = photograph(name, known, samples, scale, folder)
            print(f"{file.name}: {file.stat().st_size / 1000:.0f} kB")
    if not asked.trial and not (asked.pictures and not asked.truth):
        import truth

        truth.write(HERE / "truth.json", known)


if __name__ == "__main__":
    main()
