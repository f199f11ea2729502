"""Surfaces as shader nodes: steel under oil, bronze, cast and painted aluminium, dust. Object coordinates are mm."""

from __future__ import annotations

from typing import Any

Colour = tuple[float, float, float]


class Nodes:
    """A material's node tree, built by short calls."""

    def __init__(self, name: str) -> None:
        import bpy

        self.material = bpy.data.materials.new(name)
        self.tree = self.material.node_tree
        self.tree.nodes.clear()
        self.output = self.tree.nodes.new("ShaderNodeOutputMaterial")
        self.place = self.tree.nodes.new("ShaderNodeTexCoord").outputs["Object"]

    def node(self, kind: str, inputs: dict[Any, Any] | None = None, **settings: Any) -> Any:
        """Add a node; inputs are values or other nodes' outputs."""
        made = self.tree.nodes.new(kind)
        for key, value in settings.items():
            setattr(made, key, value)
        for key, value in (inputs or {}).items():
            if hasattr(value, "is_linked"):
                self.tree.links.new(value, made.inputs[key])
            else:
                made.inputs[key].default_value = value
        return made

    def noise(self, size: float, detail: float = 4.0, stretch: Colour | None = None, rough: float = 0.55) -> Any:
        """Return a noise with features of about some size [mm], 0 to 1; stretched along the axes by factors."""
        place = self.place
        if stretch:
            place = self.node("ShaderNodeMapping", {"Vector": place, "Scale": tuple(1 / s for s in stretch)}).outputs[0]
        return self.node("ShaderNodeTexNoise", {"Vector": place, "Scale": 1 / size, "Detail": detail,
                                                "Roughness": rough}).outputs["Fac"]  # fmt: skip

    def ramp(self, factor: Any, low: float, high: float, to_low: float = 0.0, to_high: float = 1.0) -> Any:
        """Map a value from one range to another, clamped and smooth."""
        return self.node("ShaderNodeMapRange", {"Value": factor, 1: low, 2: high, 3: to_low, 4: to_high},
                         interpolation_type="SMOOTHSTEP").outputs[0]  # fmt: skip

    def mix(self, factor: Any, a: Any, b: Any, blend: str = "MIX") -> Any:
        """Mix two colours."""
        made = self.tree.nodes.new("ShaderNodeMix")
        made.data_type, made.blend_type = "RGBA", blend
        for socket, value in (("Factor_Float", factor), ("A_Color", a), ("B_Color", b)):
            target = next(i for i in made.inputs if i.identifier == socket)
            if hasattr(value, "is_linked"):
                self.tree.links.new(value, target)
            else:
                target.default_value = (*value, 1.0) if isinstance(value, tuple) and len(value) == 3 else value
        return next(o for o in made.outputs if o.identifier == "Result_Color")

    def math(self, operation: str, a: Any, b: Any = 0.0) -> Any:
        """Combine two numbers."""
        return self.node("ShaderNodeMath", {0: a, 1: b}, operation=operation).outputs[0]

    def upward(self) -> Any:
        """Return how far a surface looks up, -1 to 1."""
        normal = self.node("ShaderNodeNewGeometry").outputs["Normal"]
        return self.node("ShaderNodeSeparateXYZ", {0: normal}).outputs["Z"]

    def corner(self, distance: float) -> Any:
        """Return how hidden a place is, 0 in the open and 1 in corners."""
        hidden = self.node("ShaderNodeAmbientOcclusion", {"Distance": distance}, samples=1).outputs["AO"]
        return self.math("SUBTRACT", 1.0, hidden)

    def bump(self, height: Any, depth: float, normal: Any = None) -> Any:
        """Return a normal bumped by a height [0..1] times depth [mm]."""
        inputs = {"Height": height, "Distance": depth, "Strength": 1.0}
        if normal is not None:
            inputs["Normal"] = normal
        return self.node("ShaderNodeBump", inputs).outputs[0]

    def bevel(self, radius: float) -> Any:
        """Return a normal that rounds edges by a radius [mm]."""
        return self.node("ShaderNodeBevel", {"Radius": radius}, samples=2).outputs[0]

    def surface(self, **inputs: Any) -> Any:
        """Close the material with a principled surface; underscores stand for blanks. Returns the material."""
        shader = self.node("ShaderNodeBsdfPrincipled")
        for key, value in inputs.items():
            target = shader.inputs[key.replace("_", " ")]
            if hasattr(value, "is_linked"):
                self.tree.links.new(value, target)
            else:
                target.default_value = (*value, 1.0) if isinstance(value, tuple) and len(value) == 3 else value
        self.tree.links.new(shader.outputs[0], self.output.inputs[0])
        return self.material


def steel(name: str, colour: Colour = (0.52, 0.51, 0.49), rough: float = 0.3, oil: float = 0.8,
          turning: Colour = (0.15, 12.0, 12.0), stain: float = 0.5, marks: float = 0.02) -> Any:  # fmt: skip
    """Return ground or turned steel under a film of oil: fine tool marks, brown stains, wet and dry patches."""
    n = Nodes(name)
    tool = n.noise(0.8, 2, turning)
    patches = n.noise(22, 5)
    fine = n.noise(3.5, 4)
    stains = n.math("MULTIPLY", n.ramp(patches, 0.42, 0.68), stain)
    dirt = n.math("MULTIPLY", n.ramp(n.corner(4.0), 0.45, 0.95), 0.5)
    base = n.mix(n.ramp(fine, 0.35, 0.75, 0.0, 0.35), colour, tuple(c * 0.6 for c in colour))
    base = n.mix(stains, base, (0.27, 0.20, 0.13))
    base = n.mix(dirt, base, (0.035, 0.026, 0.018))
    roughness = n.math("ADD", n.ramp(fine, 0.3, 0.7, rough - 0.09, rough + 0.1), n.math("MULTIPLY", stains, 0.22))
    normal = n.bump(tool, marks, n.bevel(0.35))
    wet = n.math("MULTIPLY", n.ramp(n.noise(30, 3), 0.36, 0.56), oil)
    skin = n.bump(n.noise(9, 3, (1.4, 1.0, 0.6)), 0.35)
    return n.surface(Base_Color=base, Metallic=n.ramp(dirt, 0.0, 1.0, 1.0, 0.35), Roughness=roughness, Normal=normal,
                     Coat_Weight=wet, Coat_Roughness=0.05, Coat_IOR=1.47, Coat_Tint=(0.95, 0.89, 0.76),
                     Coat_Normal=skin)  # fmt: skip


def polished(name: str, colour: Colour = (0.75, 0.74, 0.71), rough: float = 0.14) -> Any:
    """Return steel that another part has rubbed bright."""
    n = Nodes(name)
    streaks = n.noise(0.5, 2, (18.0, 1.0, 1.0))
    return n.surface(Base_Color=n.mix(n.ramp(streaks, 0.4, 0.7), colour, tuple(c * 0.72 for c in colour)),
                     Metallic=1.0, Roughness=n.ramp(streaks, 0.3, 0.7, rough, rough + 0.14),
                     Normal=n.bump(streaks, 0.008, n.bevel(0.25)), Coat_Weight=0.35, Coat_Roughness=0.04,
                     Coat_Tint=(0.9, 0.78, 0.55))  # fmt: skip


def bronze(name: str) -> Any:
    """Return bush bronze, oiled and a little tarnished."""
    n = Nodes(name)
    patches = n.noise(9, 4)
    base = n.mix(n.ramp(patches, 0.35, 0.7), (0.72, 0.40, 0.13), (0.38, 0.20, 0.07))
    return n.surface(Base_Color=base, Metallic=1.0, Roughness=n.ramp(patches, 0.3, 0.7, 0.22, 0.4),
                     Normal=n.bump(n.noise(0.7, 2, (0.2, 8, 8)), 0.02, n.bevel(0.3)), Coat_Weight=0.5,
                     Coat_Roughness=0.05)  # fmt: skip


def casting(name: str, colour: Colour = (0.56, 0.55, 0.53), oil: float = 0.6, grain: float = 0.35) -> Any:
    """Return a casing's casting: inside raw, with sand grain, oil and varnish; left outside painted and dusty."""
    n = Nodes(name)
    sand, wide = n.noise(2.2, 6, rough=0.65), n.noise(45, 5)
    runs = n.noise(16, 4, (1.0, 1.0, 5.0))
    varnish = n.ramp(runs, 0.4, 0.68)
    base = n.mix(n.ramp(sand, 0.3, 0.7, 0.0, 0.5), colour, tuple(c * 0.62 for c in colour))
    base = n.mix(n.math("MULTIPLY", varnish, 0.6), base, (0.15, 0.088, 0.04))
    base = n.mix(n.math("MULTIPLY", n.ramp(n.corner(18.0), 0.3, 0.85), 0.7), base, (0.03, 0.022, 0.015))
    normal = n.bump(sand, grain, n.bump(wide, 1.2))
    across = n.node("ShaderNodeSeparateXYZ", {0: n.place}).outputs["Y"]
    outside = n.ramp(across, -161.5, -163.0)
    coat = n.mix(n.ramp(wide, 0.3, 0.7), (0.105, 0.118, 0.112), (0.07, 0.08, 0.076))
    coat = n.mix(n.math("MULTIPLY", n.ramp(n.noise(34, 8, rough=0.68), 0.40, 0.68), 0.55), coat, (0.36, 0.27, 0.18))
    coat = n.mix(n.ramp(n.noise(16, 5, (1.0, 1.0, 4.0)), 0.58, 0.72, 0.0, 0.8), coat, (0.03, 0.022, 0.015))
    base = n.mix(outside, base, coat)
    return n.surface(Base_Color=base, Metallic=n.ramp(outside, 0.0, 1.0, 0.75, 0.0),
                     Roughness=n.ramp(sand, 0.3, 0.7, 0.42, 0.62), Normal=normal,
                     Coat_Weight=n.math("MULTIPLY", n.ramp(wide, 0.38, 0.6), oil), Coat_Roughness=0.06,
                     Coat_Tint=(0.75, 0.55, 0.3), Coat_Normal=n.bump(n.noise(12, 3), 0.5))  # fmt: skip


def machined(name: str, colour: Colour = (0.36, 0.35, 0.335), gasket: float = 0.8) -> Any:
    """Return milled aluminium with sweeping cutter marks and shreds of an old gasket."""
    n = Nodes(name)
    place = n.node("ShaderNodeMapping", {"Vector": n.place, "Location": (-140.0, 0.0, 330.0)}).outputs[0]
    sweep = n.node("ShaderNodeTexWave", {"Vector": place, "Scale": 0.32, "Distortion": 0.4, "Detail": 2.0},
                   wave_type="RINGS", rings_direction="SPHERICAL").outputs["Fac"]  # fmt: skip
    shreds = n.math("MULTIPLY", n.ramp(n.noise(9, 8, rough=0.7), 0.565, 0.60), gasket)
    grime = n.ramp(n.noise(25, 6, rough=0.65), 0.40, 0.68, 0.0, 0.8)
    base = n.mix(n.ramp(sweep, 0.2, 0.8, 0.0, 0.18), colour, tuple(c * 0.7 for c in colour))
    base = n.mix(grime, base, (0.075, 0.055, 0.035))
    base = n.mix(shreds, base, (0.045, 0.05, 0.055))
    height = n.math("ADD", n.math("MULTIPLY", sweep, 0.06), shreds)
    return n.surface(Base_Color=base, Metallic=n.ramp(shreds, 0.0, 0.6, 0.9, 0.0),
                     Roughness=n.math("ADD", n.ramp(grime, 0.0, 0.5, 0.3, 0.5), n.math("MULTIPLY", shreds, 0.35)),
                     Normal=n.bump(height, 0.25, n.bevel(0.5)))  # fmt: skip


def paint(name: str, colour: Colour, dust: float = 0.6, grain: float = 0.3, rough: float = 0.42,
          chips: float = 0.06) -> Any:  # fmt: skip
    """Return painted casting or steel from the desert: chips, oil weeps, sand-coloured dust where it can lie."""
    n = Nodes(name)
    sand, wide = n.noise(2.4, 6, rough=0.62), n.noise(60, 6, rough=0.6)
    chip = n.ramp(n.noise(13, 9, rough=0.72), 0.70 - chips, 0.715 - chips)
    base = n.mix(n.ramp(wide, 0.3, 0.7), colour, tuple(c * 0.68 for c in colour))
    base = n.mix(chip, base, (0.36, 0.35, 0.33))
    weeps = n.ramp(n.noise(38, 5, (1.0, 1.0, 4.5)), 0.56, 0.7)
    base = n.mix(n.math("MULTIPLY", weeps, 0.75), base, (0.028, 0.02, 0.013))
    lying = n.ramp(n.upward(), -0.4, 0.85, 0.05, 1.0)
    corners = n.ramp(n.corner(22.0), 0.2, 0.75)
    patchy = n.ramp(n.noise(34, 8, rough=0.68), 0.40, 0.70, 0.15, 1.0)
    amount = n.math("MULTIPLY", n.math("MINIMUM", n.math("ADD", n.math("MULTIPLY", lying, patchy),
                    n.math("MULTIPLY", corners, 0.7)), 1.0), dust)  # fmt: skip
    amount = n.math("MULTIPLY", amount, n.ramp(weeps, 0.0, 1.0, 1.0, 0.35))
    base = n.mix(amount, base, n.mix(n.noise(3, 5), (0.40, 0.29, 0.18), (0.52, 0.40, 0.27)))
    wet = n.math("MULTIPLY", weeps, 0.7)
    return n.surface(Base_Color=base, Metallic=n.math("MULTIPLY", chip, n.ramp(amount, 0.0, 0.5, 0.8, 0.0)),
                     Roughness=n.ramp(amount, 0.0, 0.7, rough, 0.92),
                     Normal=n.bump(sand, grain, n.bump(wide, 0.8, n.bevel(0.9))), Coat_Weight=wet,
                     Coat_Roughness=0.12)  # fmt: skip


def plain(name: str, colour: Colour, rough: float = 0.6, metallic: float = 0.0, grime: float = 0.4) -> Any:
    """Return rubber, plastic, plated or black parts with a little grime."""
    n = Nodes(name)
    patches = n.noise(8, 6, rough=0.65)
    dusty = n.math("MULTIPLY", n.ramp(patches, 0.4, 0.7), grime)
    return n.surface(Base_Color=n.mix(dusty, colour, (0.30, 0.23, 0.15)), Metallic=n.ramp(dusty, 0, 1, metallic, 0.0),
                     Roughness=n.ramp(dusty, 0.0, 0.5, rough, 0.85),
                     Normal=n.bump(n.noise(1.2, 3), 0.03, n.bevel(0.4)))  # fmt: skip


def oil_pool(name: str) -> Any:
    """Return standing gear oil: dark amber, mirror-smooth."""
    n = Nodes(name)
    return n.surface(Base_Color=(0.07, 0.032, 0.008), Roughness=0.04, IOR=1.47, Specular_IOR_Level=0.6,
                     Normal=n.bump(n.noise(40, 2), 0.4))  # fmt: skip
