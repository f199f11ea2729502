"""What is too small for the process that makes it: every wall, tip and gap that the sections above derived."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from ledger.building.contract import (
    AS_MODEL,
    GAP,
    TIP,
    WALL,
    Column,
    Feature,
    Made,
    Problem,
    Section,
    Table,
    entry_name,
)
from ledger.building.sections.model import least
from ledger.mechanics.model_scale import PROCESSES
from ledger.quantities.percents import draws

PLACES = {WALL: 0, TIP: 1, GAP: 2}
OWN = ("process", "least_wall", "least_tip", "least_gap")
FINE = 1e-9


def compute(features: Sequence[Feature], process: str | None, own_least: tuple[float, float, float] | None) -> Made:
    """Return every feature held against its process, and by process what would be too small."""
    own = own_least or (0.0, 0.0, 0.0)
    rows, problems = [], []
    for one in features:
        made_by = process if one.process == AS_MODEL else one.process
        row = {"feature": one.what, "kind": one.kind, "size": one.size, "process": made_by or "undecided",
               "from": ", ".join(map(entry_name, one.of))}  # fmt: skip
        if made_by is None:
            rows.append({**row, "verdict": "cannot be judged"})
            continue
        needed = least(made_by, *(own if made_by == process else ()))[PLACES[one.kind]]
        short = _short(one.size, needed)
        rows.append({**row, "least": needed, "verdict": _verdict(short)})
        if short:
            said = f"{one.kind} of {np.mean(one.size):.3g} mm, {made_by}; expected {needed:g} mm or more"
            problems.append(Problem(False, one.what, f"{said}: {_verdict(short)}."))
    others = [_by_other(name, features) for name in PROCESSES] if features else []
    return Made({"least_features": rows, "other_processes": others}, problems=problems)


def _by_other(process: str, features: Sequence[Feature]) -> dict[str, Any]:
    small = [one for one in features if _short(one.size, least(process)[PLACES[one.kind]]) > 0.5]
    wall, tip, gap = PROCESSES[process]
    count = {f"{kind}s": sum(one.kind == kind for one in small) for kind in PLACES}
    named = "; ".join(one.what for one in small if one.kind != GAP) or "–"
    return {"process": process, "wall": wall, "tip": tip, "gap": gap, **count, "small": named}


def _short(size: Any, needed: float) -> float:
    return float(np.mean(np.less(size, needed - FINE)))


def _verdict(short: float) -> str:
    return {0.0: "can be made", 1.0: "too small"}.get(short) or f"too small {draws(short)}"


LEAST_FEATURES = Section(
    name="least-features",
    title="Least features",
    purpose="Walls, tips and gaps held against what the process can make.",
    parameters=(),
    uses=("features", "process", "own_least"),
    follows=True,
    tables=(
        Table(
            "least_features",
            "Least features",
            (
                Column("feature", "Feature"),
                Column("kind", "Kind"),
                Column("size", "Size", "mm"),
                Column("process", "Made by", of=OWN[:1]),
                Column("least", "Least", "mm", OWN),
                Column("verdict", "Verdict"),
                Column("from", "From"),
            ),
        ),
        Table(
            "other_processes",
            "By other processes",
            (
                Column("process", "Process"),
                Column("wall", "Least wall", "mm"),
                Column("tip", "Least tooth tip", "mm"),
                Column("gap", "Least gap", "mm"),
                Column(WALL + "s", "Walls too small for it"),
                Column(TIP + "s", "Tips too small"),
                Column(GAP + "s", "Gaps too small"),
                Column("small", "Walls and tips that are"),
            ),
        ),
    ),
    compute=compute,
    formula="A feature can be made if it is no smaller than the least of its kind.",
    sources=("As under scale and process.",),
    assumptions=(
        "Parts are made one by one. Printed assembled, all gaps must be those of moving parts.",
        "Least features of one's own hold for the model's process; parts made otherwise keep to the usual ones.",
    ),
    cautions=(),
)
