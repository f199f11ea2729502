"""The section of a page where a reader tries other numbers, and the scripts it loads when it is opened."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ledger.calculators.contract import Calculator
from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation
from ledger.publishing.addresses import Link, Ways, address, page_of
from ledger.publishing.live import bundling
from ledger.publishing.live.bundling import ASSETS
from ledger.publishing.live.declaring import declaration
from ledger.publishing.live.engine import as_script, engine, licence
from ledger.publishing.live.filling import Filling, filling, limits
from ledger.publishing.scripting.joining import joined

FOLDER = "assets/witness/live"
SCRIPTS = ("state", "worker-client", "drawn", "differences", "widths", "fields", "results", "section")
VERSION = 1


@dataclass(frozen=True)
class Section:
    """What the template needs: loader, style, the values of the fields as JSON, and whose they are."""

    loader: str
    style: str
    data: str
    example: Link | None


def section(casebook: Casebook, calculator: Calculator | None, item: Item | None, ways: Ways) -> Section | None:
    """Return the section of a calculation's page, or with an example on a calculator's page; None for neither.

    item  the calculation that fills the form in
    """
    if calculator is None or not carried(calculator):
        return None
    made, criteria = Filling(), list[dict[str, Any]]()
    if item is not None and isinstance(item.entry, Calculation):
        made = filling(casebook, calculator, item.entry, casebook.results.get(item.ref))
        criteria = limits(casebook, calculator, item.entry.criteria, made)
    own = item is not None and ways.here == page_of(item.ref)
    taken = {path: _link(ways.to(root.partition("#")[0])) for path, root in made.roots.items()}
    data: dict[str, Any] = {
        "version": VERSION,
        "calculator": calculator.name,
        "page": ways.here.removesuffix(".md"),
        "scripts": [
            address(ways.here, f"{FOLDER}/{name}.js") for name in ("engine", f"calculators/{calculator.name}", "live")
        ],
        "inputs": made.inputs,
        "roots": made.roots,
        "taken": taken,
        "units": made.units,
        "criteria": criteria,
    }
    example = ways.to(item.ref) if item is not None and not own else None
    told = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    loader, style = (address(ways.here, f"{FOLDER}/{name}") for name in ("open.js", "live.css"))
    return Section(loader, style, told, example)


def _link(link: Link) -> dict[str, str | None]:
    return {"words": link.words, "href": link.href}


def carried(calculator: Calculator) -> bool:
    """Return whether a calculator can be computed in the browser: all it imports is there or has a stand-in."""
    try:
        bundling.own(calculator)
    except bundling.CannotCarry:
        return False
    return True


def assets(register: Mapping[str, Calculator]) -> dict[str, bytes]:
    """Return by path the scripts (engine, calculators, form, loader), the style and the licence."""
    made = {
        f"{FOLDER}/engine.js": engine(),
        f"{FOLDER}/live.js": form_script(),
        f"{FOLDER}/open.js": (ASSETS / "open.js").read_bytes(),
        f"{FOLDER}/live.css": (ASSETS / "live.css").read_bytes(),
        f"{FOLDER}/brython-licence.txt": licence(),
    }
    for name, calculator in sorted(register.items()):
        if carried(calculator):
            made[f"{FOLDER}/calculators/{name}.js"] = calculator_script(calculator)
    return made


def calculator_script(calculator: Calculator) -> bytes:
    """Return one calculator's modules and declaration as a script."""
    held = {
        "module": bundling.declared_in(calculator),
        "modules": bundling.packed(bundling.own(calculator)),
        "declaration": declaration(calculator),
    }
    shelf = "((globalThis.witnessLive ||= {}).calculators ||= {})"
    return f"{shelf}[{as_script(calculator.name)}] = {as_script(held)};\n".encode()


def form_script() -> bytes:
    """Return the form's scripts as one."""
    return joined(ASSETS, SCRIPTS)
