"""Scale and process: how large the model is, and what the process that makes it can make."""

from __future__ import annotations

from typing import Any

from ledger.building.contract import Column, Made, Section, Table
from ledger.building.reading import drawn
from ledger.calculators.contract import Choice, Number
from ledger.calculators.model_scale import least_size
from ledger.mechanics import model_scale as mechanics


def least(process: str, wall: float = 0.0, tip: float = 0.0, gap: float = 0.0) -> tuple[float, float, float]:
    """Return the least wall, tooth tip and gap of a process [mm]; those of one's own where they are above zero."""
    usual = mechanics.PROCESSES[process]
    found = tuple(own or general for own, general in zip((wall, tip, gap), usual, strict=True))
    return found[0], found[1], found[2]


def compute(scale: Any, process: str | None, least_wall: float, least_tip: float, least_gap: float) -> Made:
    """Return scale, process and least features; what is undecided is left out."""
    own = (least_wall, least_tip, least_gap)
    row = {"model": "the model", "scale": "undecided" if scale is None else drawn(scale)}
    if process is None:
        row |= {"process": "undecided"}
    else:
        wall, tip, gap = least(process, *own)
        row |= {"process": process, "wall": wall, "tip": tip, "gap": gap}
    return Made({"model": [row]}, passed={"scale": scale, "process": process, "own_least": own})


MODEL = Section(
    name="model",
    title="Scale and process",
    purpose="How large the model is against the real thing, and how it is made.",
    parameters=(
        Number("scale", "Scale, model over full size", low=0.005, high=20.0, limits=True),
        Choice("process", "How it is made", tuple(mechanics.PROCESSES)),
        least_size("least_wall", "Least wall that can be made"),
        least_size("least_tip", "Least width of a tooth tip that can be made"),
        least_size("least_gap", "Least gap between moving parts"),
    ),
    tables=(
        Table(
            "model",
            "Scale and process",
            (
                Column("model", "What"),
                Column("scale", "Scale, model over full size", of=("scale",)),
                Column("process", "Made by", of=("process",)),
                Column("wall", "Least wall", "mm", ("process", "least_wall")),
                Column("tip", "Least tooth tip", "mm", ("process", "least_tip")),
                Column("gap", "Least gap between moving parts", "mm", ("process", "least_gap")),
            ),
        ),
    ),
    compute=compute,
    formula="Everything on the sheet is of the model, in its own millimetres, unless it says full size.",
    sources=(
        "Least walls, tips and gaps of printing: public design guides of printing services, which differ by half; of "
        "cut metal: common practice, no source.",
    ),
    assumptions=("What a process can make is a usual figure: make one tooth first, and state your own.",),
    cautions=(),
    wanted=("scale", "process"),
    follows=True,
)
