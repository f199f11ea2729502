"""Pages with live calculators for tests: laid out in a folder, opened from files, asked as the form asks."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ledger.calculators.contract import Calculator
from ledger.publishing.live.engine import engine
from ledger.publishing.live.section import ASSETS, calculator_script, form_script

PAGE = """<!doctype html><html lang="en"><meta charset="utf-8"><title>Numbers</title>
<link rel="stylesheet" href="live.css"><section class="wl-live" id="s"><h2>Numbers</h2>
<span class="wl-live-filled">As in the ledger.</span><div id="p" class="wl-live-form"></div></section>
<script src="engine.js"></script><script src="{name}.js"></script><script src="live.js"></script>
<script>witnessLive.open(document.getElementById("s"), document.getElementById("p"), {data})</script></html>"""


def lay_out(folder: Path, calculator: Calculator, data: Mapping[str, Any] | None = None, fault: Any = None) -> Path:
    """Write a page for one calculator with what its form needs and return where it stands.

    fault  changes the calculator's script, to plant something wrong in it
    """
    if not (folder / "engine.js").exists():
        (folder / "engine.js").write_bytes(engine())
        (folder / "live.js").write_bytes(form_script())
        (folder / "live.css").write_bytes((ASSETS / "live.css").read_bytes())
    script = calculator_script(calculator).decode()
    if fault is not None:
        changed = fault(script)
        assert changed != script, "the fault was not planted"
        script = changed
    (folder / f"{calculator.name}.js").write_text(script, encoding="utf-8")
    held = {
        "version": 1, "calculator": calculator.name, "page": "calculations/try", "inputs": {}, "roots": {},
        "taken": {}, "units": {}, "criteria": [], **(data or {}),
    }  # fmt: skip
    page = folder / f"{calculator.name}.html"
    page.write_text(PAGE.format(name=calculator.name, data=json.dumps(held)), encoding="utf-8")
    return page


def ask(page: Any, operation: str, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Ask the worker of an opened page, as its form does."""
    answer: dict[str, Any] = page.evaluate("([what, asked]) => witnessLive.ask(what, asked)", [operation, dict(asked)])
    return answer


def computed(page: Any, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """Return outputs by name as the browser computes them at the middles: raw values, rows, and lines of curves.

    Problems are returned as a text under the name `refused`.
    """
    answer = ask(page, "compute", {"inputs": inputs})
    if "problems" in answer:
        return {"refused": " ".join(one["text"] for one in answer["problems"])}
    found = {one["name"]: one["value"] for one in answer["outputs"]}
    for name in answer["more"]:
        more = ask(page, "more", {"name": name})
        found[name] = more["rows"] if "rows" in more else more["lines"]
    return found
