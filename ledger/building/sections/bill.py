"""The bill of parts: what the sections above ask for, and what was decided besides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from ledger.building.contract import AS_MODEL, BillItem, Column, Made, Section, Table, entry_name
from ledger.building.reading import nominal
from ledger.building.sections.windowed import OF, windowed, with_windows
from ledger.calculators.contract import Choice, Rows, Text, Whole
from ledger.mechanics.model_scale import PROCESSES

BOUGHT = "bought"


def compute(
    more_parts: list[dict[str, Any]],
    items: Sequence[BillItem],
    process: str | None,
    gears: tuple[Any, ...] | None,
    stations: tuple[dict[str, Any], ...] | None,
    windows: Mapping[str, str] | None,
    written: Mapping[str, Sequence[Mapping[str, Any]] | None],
) -> Made:
    """Return the bill, and which wheels have windows; lines that ask for the same are one."""
    cut = windowed(written.get("hub_splines") or (), windows or {}, stations or (), gears or ())
    asked = [*with_windows(items, cut), *(_more(row) for row in more_parts)]
    lines: dict[tuple[str, ...], BillItem] = {}
    for one in asked:
        key = (one.part, one.material, one.process, one.stock, one.drawing)
        had = lines.get(key)
        notes = [note for note in (had.note if had else "", one.note) if note]
        lines[key] = replace(one, count=one.count + (had.count if had else 0), note="; ".join(dict.fromkeys(notes)))
    rows = [
        {
            "part": one.part,
            "count": one.count,
            "material": one.material or "–",
            "made_by": _made_by(one, process),
            "stock": one.stock or "–",
            "drawing": one.drawing or "–",
            "note": one.note,
            "from": ", ".join(map(entry_name, one.of)),
        }
        for one in lines.values()
    ]
    return Made({"parts": rows, "windowed": cut})


def _more(row: dict[str, Any]) -> BillItem:
    count = int(nominal(row["count"], f"The number of {row['part']}"))
    made_by = "" if row["made_by"] == BOUGHT else row["made_by"]
    return BillItem(row["part"], count, row["material"], made_by, row["stock"], note=row["note"],
                    of=("more_parts",))  # fmt: skip


def _made_by(one: BillItem, process: str | None) -> str:
    if one.process == AS_MODEL:
        return process or "undecided"
    return one.process or BOUGHT


BILL = Section(
    name="parts",
    title="Bill of parts",
    purpose="Every part, how many, of what, how it is made, and by which drawing.",
    parameters=(
        Rows(
            "more_parts",
            "Parts that no other section asks for",
            (
                Text("part", "Part"),
                Whole("count", "How many", 1, 100_000, default="1"),
                Text("material", "What it is made of", default=""),
                Choice("made_by", "How it is made", (AS_MODEL, BOUGHT, *PROCESSES), default=AS_MODEL),
                Text("stock", "Stock, or size", default=""),
                Text("note", "Note", default=""),
            ),
            optional=True,
        ),
    ),
    uses=("items", "process", "gears", "stations", "windows", "written"),
    follows=True,
    tables=(
        Table(
            "parts",
            "Bill of parts",
            (
                Column("part", "Part"),
                Column("count", "How many"),
                Column("material", "Material"),
                Column("made_by", "Made by"),
                Column("stock", "Stock, or size"),
                Column("drawing", "Drawing"),
                Column("note", "Note"),
                Column("from", "From"),
            ),
        ),
        Table(
            "windowed",
            "Wheels with windows",
            (
                Column("wheel", "Wheel"),
                Column("face", "Face", of=OF),
                Column("sleeve", "Sleeve that enters", of=OF),
                Column("ring", "Ring", of=OF),
                Column("drawing", "Drawing of the windows", of=OF),
            ),
            keys=2,
        ),
    ),
    compute=compute,
    formula="Counts of like parts are added.",
    sources=("The sections above.",),
    assumptions=("Stock is for one part, without what a chuck or a saw takes.",),
    cautions=(),
)
