"""Which modules a calculator's computation needs in the browser, and those modules as Brython takes them.

Imports at the head of modules are followed; what stands inside functions or under TYPE_CHECKING is not. Large modules
have stand-ins. Docstrings stay behind; every other line is the one that runs here.
"""

from __future__ import annotations

import ast
import json
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path

from ledger.calculators.contract import Calculator

LIVE = "ledger.publishing.live"
ASSETS = files(LIVE) / "assets"
STANDINS = {
    "__future__": f"{LIVE}.standins.future",
    "collections.abc": f"{LIVE}.standins.abstract",
    "dataclasses": f"{LIVE}.standins.dataclasses",
    "html": f"{LIVE}.standins.html",
    "heapq": f"{LIVE}.standins.heapq",
    "itertools": f"{LIVE}.standins.itertools",
    "ledger.publishing.addresses": f"{LIVE}.standins.grids",
    "ledger.publishing.figures": f"{LIVE}.standins.grids",
    "ledger.quantities.notation": f"{LIVE}.standins.quantity",
    "ledger.quantities.quantity": f"{LIVE}.standins.quantity",
    "markupsafe": f"{LIVE}.standins.html",
    "numpy": f"{LIVE}.standins.numpy",
    "typing": f"{LIVE}.standins.typing",
}
# Modules that the browser has as a script of its own, `assets/NAME`, in place of their Python.
SCRIPTED = {f"{LIVE}.standins.quick": "quick.js"}
# What the engine brings along by itself; `python_re` is its regular expressions without the wrapping.
BROUGHT = ("math",)
DESK = f"{LIVE}.browser.desk"
EMPTY = ("collections", "ledger")
Module = tuple[str, list[str], bool]


class CannotCarry(ValueError):
    """A calculator that needs a module the browser has not."""


def needed(*names: str, without: Iterable[str] = ()) -> dict[str, Module]:
    """Return text, imports and whether it is a package, by module, of the named modules and all they import.

    without  modules that are there already, which are not followed
    """
    there = set(without)
    found: dict[str, Module] = {}
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name in found or name in there or name in BROUGHT:
            continue
        found[name] = module = _module(name)
        waiting.extend(module[1])
        waiting.extend(name.rsplit(".", place)[0] for place in range(1, name.count(".") + 1))
    return dict(sorted(found.items()))


def packed(modules: Mapping[str, Module]) -> str:
    """Return modules as JSON that `__BRYTHON__.update_VFS` takes: kind, text, imports, and 1 for a package."""
    held = {
        name: [".js" if name in SCRIPTED else ".py", text, imports, *([1] if package else [])]
        for name, (text, imports, package) in modules.items()
    }
    return json.dumps(held, ensure_ascii=False, separators=(",", ":"))


def declared_in(calculator: Calculator) -> str:
    """Return the module that declares a calculator, which is the one that holds its `compute`."""
    return calculator.compute.__module__


@cache
def common() -> dict[str, Module]:
    """Return what every calculator needs: the desk in the browser and all it imports."""
    return needed(DESK)


def own(calculator: Calculator) -> dict[str, Module]:
    """Return what one calculator needs beyond that; CannotCarry if the browser has not all of it."""
    return needed(declared_in(calculator), without=common())


@cache
def _module(name: str) -> Module:
    real = STANDINS.get(name, name)
    if name in SCRIPTED:
        return (ASSETS / SCRIPTED[name]).read_text(encoding="utf-8"), [], False
    if name in EMPTY or (name not in STANDINS and _path(real).name == "__init__.py"):
        return "", [], True
    if not real.startswith("ledger."):
        raise CannotCarry(f"{name} is not in the browser")
    text = _path(real).read_text(encoding="utf-8")
    tree = ast.parse(text)
    return _without_docstrings(text, tree), sorted(set(_imports(tree))), False


@cache
def _path(name: str) -> Path:
    spec = find_spec(name)
    if spec is None or spec.origin is None or not spec.origin.endswith(".py"):
        raise CannotCarry(f"{name} is not in the browser")
    return Path(spec.origin)


def _imports(tree: ast.Module) -> Iterator[str]:
    """Yield the modules that a module imports when it is imported."""
    for node in _at_the_head(tree.body):
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            inner = [f"{node.module}.{one.name}" for one in node.names]
            modules = [one for one in inner if node.module.startswith("ledger") and _is_module(one)]
            yield node.module
            yield from modules


def _at_the_head(body: list[ast.stmt]) -> Iterator[ast.stmt]:
    for node in body:
        if isinstance(node, ast.Try):
            yield from _at_the_head(node.body)
        elif isinstance(node, ast.If):
            if "TYPE_CHECKING" not in ast.unparse(node.test):
                yield from _at_the_head(node.body)
        else:
            yield node


@cache
def _is_module(name: str) -> bool:
    try:
        return find_spec(name) is not None
    except ModuleNotFoundError:
        return False


def _without_docstrings(text: str, tree: ast.Module) -> str:
    lines = text.split("\n")
    for node in ast.walk(tree):
        if not isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef) or ast.get_docstring(node) is None:
            continue
        said = node.body[0]
        assert said.end_lineno is not None
        lines[said.lineno - 1] = " " * said.col_offset + ("pass" if len(node.body) == 1 else "")
        for place in range(said.lineno, said.end_lineno):
            lines[place] = ""
    kept = (line.rstrip() for line in lines)
    return "\n".join(line for line in kept if line and not line.lstrip().startswith("#")) + "\n"
