"""Two small calculators that have nothing to do with gearboxes, for testing what runs calculators."""

from __future__ import annotations

from ledger.calculators.bench import Bench
from ledger.calculators.contract import Calculator, Choice, Number, Output, Rows, Text, Truth, Whole
from ledger.calculators.drawing import Drawing
from ledger.entries.models import Calculation
from ledger.quantities.notation import parse

calls: list[str] = []


def _plate(width, height, thickness, density):
    calls.append("plate")
    return {
        "edge": width,
        "area": width * height,
        "mass": width * height * thickness * density * 1e-9,
        "thin": thickness < 0.1 * width,
        "spare": 0.1 * width - thickness,
    }


PLATE = Calculator(
    name="plate",
    title="Area and mass of a plate",
    purpose="For tests.",
    inputs=(
        Number("width", "width", "mm", 0, 1000, above=True),
        Number("height", "height", "mm", 0, 1000, above=True),
        Number("thickness", "thickness", "mm", 0, 100, above=True, default="5 mm"),
        Number("density", "density", "kg/m³", 0, 30000, above=True, default="1000 kg/m³"),
    ),
    outputs=(
        Output("edge", "edge", "mm"),
        Output("area", "area", "mm²"),
        Output("mass", "mass", "kg", shown="g"),
        Output("thin", "whether it is thin", form="truth"),
        Output("spare", "how much thinner than need be", "mm", given="thin"),
    ),
    formula="A = w h",
    sources=("elementary geometry",),
    assumptions=(),
    cautions=(),
    compute=_plate,
)


def _fence(posts, gap, closed, style, panels):
    calls.append("fence")
    length = gap * (posts if closed else posts - 1) + sum(panel["length"] for panel in panels)
    return {"length": length, "posts": posts, "words": f"{style} fence", "table": [{"post": 1, "at": gap}]}


FENCE = Calculator(
    name="fence",
    title="Length of a fence",
    purpose="For tests.",
    inputs=(
        Whole("posts", "posts", 2, 100),
        Number("gap", "gap", "m", 0, 10),
        Truth("closed", "whether it closes", False),
        Choice("style", "style", ("plain", "fancy"), "plain"),
        Rows("panels", "panels", (Text("name", "name", ""), Number("length", "length", "m", 0, 100)), optional=True),
    ),
    outputs=(
        Output("length", "length", "m"),
        Output("posts", "posts", form="whole"),
        Output("words", "words", form="text"),
        Output("table", "table", form="rows"),
    ),
    formula="l = (n - 1) g",
    sources=("elementary geometry",),
    assumptions=(),
    cautions=(),
    compute=_fence,
    vectorised=False,
)

TOYS = {"plate": PLATE, "fence": FENCE}


def calculation(calculator: str, inputs: dict, **more: object) -> Calculation:
    """A calculation entry with these inputs, as it would be read from a file."""
    given = {"kind": "calculation", "title": "a toy", "calculator": calculator, "inputs": inputs, **more}
    return Calculation.model_validate(given)


def bench(
    calculations: dict[str, Calculation], measurements: dict[str, str] | None = None, count: int = 10_000
) -> Bench:
    """A bench of toys."""
    measured = {f"measurements/{name}": parse(text) for name, text in (measurements or {}).items()}
    return Bench(TOYS, {f"calculations/{name}": one for name, one in calculations.items()}, measured, Drawing(count))


def value(text: object) -> dict[str, object]:
    """A literal input with its reason."""
    return {"value": text, "reason": "for the test"}


def chosen(text: str) -> dict[str, object]:
    """A chosen input with its reason."""
    return {"chosen": text, "reason": "for the test"}
