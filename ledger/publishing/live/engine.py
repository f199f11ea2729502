"""Brython as the site carries it: its own script, the functions of `math`, and what every calculator needs."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

from ledger.publishing.live.bundling import ASSETS, common, packed


@cache
def worker_text() -> str:
    """Return the script of the worker, which needs nothing from anywhere else.

    A page opened by double click may start no worker from a file and read no file, so the script reaches the page as a
    text inside another script, and the worker is made of that text.
    """
    brython = files("brython") / "data"
    script = (brython / "brython.js").read_text(encoding="utf-8")
    loops, boot = ((ASSETS / name).read_text(encoding="utf-8") for name in ("loops.js", "worker.js"))
    math = json.dumps({"math": _standard(brython / "brython_stdlib.js", "math")}, ensure_ascii=False)
    # A worker made of a text has no address of its own, and Brython would look for one.
    begun = 'self.__BRYTHON__ = {brython_path: "file:///"};'
    return f"{begun}\n{script}\n{loops}\n;self.witnessCommon = Object.assign({math}, {packed(common())});\n{boot}"


def engine() -> bytes:
    """Return the site's script that holds the worker's."""
    return f"(globalThis.witnessLive ||= {{}}).engine = {as_script(worker_text())};\n".encode()


def as_script(value: object) -> str:
    """Return a value as JavaScript that may also stand inside a page."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).replace("</", "<\\/").replace("<!--", "<\\!--")


def licence() -> bytes:
    """Return Brython's licence, which its authors want to lie beside it."""
    return (ASSETS / "brython-licence.txt").read_bytes()


def _standard(path: Traversable, name: str) -> list[object]:
    text = path.read_text(encoding="utf-8")
    start = text.index("var scripts = ") + len("var scripts = ")
    held = json.JSONDecoder().raw_decode(text[start:])[0]
    module: list[object] = held[name]
    return module
