"""The scripts that reckon for the engine in the browser, held in Chromium against plain Python with the same lines."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from ledger.publishing.live.engine import worker_text
from tests.behaviour.conftest import chromium as chromium

# Lines for both: here with the stand-ins as plain Python, there with the scripts in their place.
BEGUN = """
from ledger.publishing.live.standins import quick as scripted
from ledger.publishing.live.standins.row import ndarray
told = []

def tell(name, make):
    try:
        made = make()
    except (ZeroDivisionError, TypeError, ValueError, KeyError, AttributeError) as error:
        told.append((name, type(error).__name__))
        return
    places = made.items if isinstance(made, ndarray) else made if isinstance(made, (list, tuple)) else [made]
    told.append((name, ("row " if isinstance(made, ndarray) else "") + " ".join(repr(one) for one in places)))
"""
SIGNS = """
FLOATS = [0.0, -0.0, 1.0, -1.0, 0.5, -2.75, 1e-300, 1e300, float("inf"), float("-inf"), float("nan")]
WHOLE = [0, 2, -3]
ROW, OTHER = ndarray(FLOATS), ndarray(FLOATS[3:] + FLOATS[:3])
TRUTHS, OTHERS = ndarray([True, False, True, True]), ndarray([False, False, True, True])
PLUS = {
    "+": lambda a, b: a + b, "-": lambda a, b: a - b, "*": lambda a, b: a * b, "/": lambda a, b: a / b,
    "<": lambda a, b: a < b, "<=": lambda a, b: a <= b, ">": lambda a, b: a > b, ">=": lambda a, b: a >= b,
    "==": lambda a, b: a == b, "!=": lambda a, b: a != b,
}
for sign, of in PLUS.items():
    for one in FLOATS + WHOLE:
        for two in FLOATS + WHOLE:
            tell(f"{one} {sign} {two}", lambda: of(one, two))
        tell(f"row {sign} {one}", lambda: of(ROW, one))
        tell(f"{one} {sign} row", lambda: of(one, ROW))
    tell(f"row {sign} row", lambda: of(ROW, OTHER))
    tell(f"row {sign} shorter row", lambda: of(ROW, ndarray([1.0, 2.0])))
    tell(f"wholes {sign} whole", lambda: of(ndarray(WHOLE), 3))
    tell(f"float {sign} text", lambda: of(1.5, "a"))
for one, two in ((2.5, 3.0), (-2.5, 3.0), (-2.5, 2), (0.5, 0.5), (0.0, 2.0), (4, -1.0), (0.0, -1.0), (1e-3, 1.25)):
    tell(f"{one} ** {two}", lambda: one**two)
    tell(f"row {one} ** {two}", lambda: ndarray([one, 3.0]) ** two)
for sign, of in {"&": lambda a, b: a & b, "|": lambda a, b: a | b, "^": lambda a, b: a ^ b}.items():
    for one in (True, False):
        tell(f"{one} {sign} True", lambda: of(one, True))
        tell(f"truths {sign} {one}", lambda: of(TRUTHS, one))
        tell(f"{one} {sign} truths", lambda: of(one, TRUTHS))
    tell(f"truths {sign} truths", lambda: of(TRUTHS, OTHERS))
    tell(f"6 {sign} 3", lambda: of(6, 3))
total, lesser = 0.0, 1.5
for one in FLOATS[:8]:
    total += one
    lesser -= one
    tell(f"sums with {one}", lambda: [total, lesser])
row = ndarray([1.5, 2.0])
row += 1.0
tell("row += 1.0", lambda: row)
tell("-row", lambda: -ROW)
tell("not a row", lambda: not ROW)
"""
FUNCTIONS = """
import numpy as np
FINITE = [0.0, -0.0, 0.25, -0.5, 1.0, -1.0, 2.75, -30.5, 700.0, 1e-12]
ODD = FINITE + [float("nan")]
for name in ("sqrt", "exp", "log", "sin", "cos", "tan", "arcsin", "arccos", "arctan", "absolute", "isfinite"):
    of = getattr(np, name)
    for one in FINITE + [2, -3]:
        tell(f"{name} {one}", lambda: of(one))
    tell(f"{name} row", lambda: of(ndarray(FINITE)))
    tell(f"{name} wholes", lambda: of(ndarray([2, 3])))
for name in ("minimum", "maximum"):
    of = getattr(np, name)
    for one in ODD + [2]:
        for two in ODD + [1]:
            tell(f"{name} {one} {two}", lambda: of(one, two))
        tell(f"{name} row {one}", lambda: of(ndarray(ODD), one))
        tell(f"{name} {one} row", lambda: of(one, ndarray(ODD)))
    tell(f"{name} rows", lambda: of(ndarray(ODD), ndarray(ODD[::-1])))
    tell(f"{name} of different lengths", lambda: of(ndarray(ODD), ndarray([1.0])))
HELD = ndarray([True, False, True])
for held in (True, False, HELD):
    for yes in (1.5, ndarray([1.0, 2.0, 3.0])):
        for no in (2, ndarray([4.0, 5.0, 6.0])):
            tell("where", lambda: np.where(held, yes, no))
tell("all", lambda: [np.all(HELD), np.all(True), np.all(ndarray([True, True])), np.all([True, False]), np.all(1.0)])
tell("any", lambda: [np.any(HELD), np.any(False), np.any(ndarray([False, False])), np.any([False]), np.any(0.0)])
tell("extremes", lambda: [ndarray(ODD).min(), ndarray(FINITE).min(), ndarray(FINITE).max(), ndarray([2, 3]).max()])
tell("no extreme", lambda: ndarray([]).max())
"""
LOOPS = """
def counting(count):
    for one in range(count):
        yield one
    return 7

def failing():
    yield 1
    raise ValueError("no more")

def through():
    found = yield from counting(3)
    yield found

def stopped(iterator):
    for one in iterator:
        if one == 1 or one == (1, 1):
            break
    return list(iterator)

def caught():
    seen = []
    try:
        for one in failing():
            seen.append(one)
    except ValueError:
        seen.append(9)
    return seen

begun = counting(5)
tell("begun by hand", lambda: [next(begun), next(begun), *begun])
tell("at its end", lambda: list(begun))
tell("stopped", lambda: stopped(counting(5)))
tell("pairs stopped", lambda: stopped(zip([1, 1, 2], [1, 1, 4])))
tell("numbered stopped", lambda: stopped(enumerate([5, 1, 2])))
tell("through", lambda: list(through()))
tell("caught", caught)
tell("fails", lambda: list(failing()))
tell("unequal", lambda: list(zip([1, 2], [3], strict=True)))
tell("nested", lambda: [sum(one * two for two in counting(one)) for one in counting(6)])
tell("some", lambda: [any(one > 2 for one in begun2) or next(begun2) for begun2 in [counting(9)]])
held = {"a": 1, (1, 2): 2, 7: None}
held[3.5] = 4
tell("keys", lambda: list(held))
tell("items", lambda: list(held.items()))
tell("values", lambda: [one for one in held.values()])
tell("got", lambda: [held.get(key, "none") for key in ("a", "b", (1, 2), (2, 1), 3.5, 4.5, 7, 8)])
tell("got without", lambda: [held.get("b"), {}.get(3), {}.get("x", 0.0), {"x": 1}.get(3)])
tell("no key", lambda: held["b"])
tell("no such key", lambda: held.get([1], 2))
for key, value in {"one": 1, "two": 2}.items():
    tell("item", lambda: [key, value])
"""
REFUSING = """
def refuse(*given):
    raise RuntimeError("Python was asked")

ROW, TRUTHS = ndarray([0.5, 2.0]), ndarray([True, False])
for name in ("add", "sub", "mul", "truediv", "pow", "lt", "le", "gt", "ge", "eq", "ne", "radd", "and", "or", "xor"):
    setattr(ndarray, f"__{name}__", refuse)
[ROW + ROW, ROW - 1.0, 2.0 * ROW, ROW / 2, 1.0 / ROW, ROW**2, ROW < 1.0, ROW <= ROW, ROW > 1, ROW >= 1.0, ROW == 0.5]
[ROW != 0.5, TRUTHS & TRUTHS, TRUTHS | True, TRUTHS ^ True]
for name in "sqrt exp log sin cos tan arcsin arccos arctan absolute isfinite".split():
    for given in (0.5, ROW):
        scripted.quick(name, refuse)(given)
for name in ("minimum", "maximum"):
    for one, two in ((0.5, 1.0), (ROW, 1.0), (1, ROW), (ROW, ROW)):
        scripted.quick(name, refuse)(one, two)
for held in (True, TRUTHS):
    scripted.quick("where", refuse)(held, ROW, 1.0)
for name in ("all", "any"):
    scripted.quick(name, refuse)(TRUTHS)
for name in ("least", "greatest"):
    scripted.quick(name, refuse)(ROW.items)
told.append(("asked", "never"))
"""
RUN = """lines => {
  try { __BRYTHON__.runPythonSource(lines + "\\nfrom browser import self as page\\npage.told = told\\n", "lines") }
  catch (error) { return [["stopped", String(error.args || error)]] }
  return Array.from(self.told, one => Array.from(one))
}"""


def there(chromium: Any, folder: Path, lines: str, engine: str | None = None) -> list[tuple[str, str]]:
    """What the lines tell in the browser."""
    (folder / "engine.js").write_text(engine or worker_text(), encoding="utf-8")
    (folder / "page.html").write_text('<!doctype html><meta charset="utf-8"><script src="engine.js"></script>')
    page = chromium.new_page()
    page.goto((folder / "page.html").as_uri())
    found = page.evaluate(RUN, BEGUN + lines)
    page.close()
    return [(name, text) for name, text in found]


def here(lines: str) -> list[tuple[str, str]]:
    """What they tell in this Python with the stand-ins."""
    names: dict[str, Any] = {}
    standin = lines.replace("import numpy as np", "from ledger.publishing.live.standins import numpy as np")
    exec(BEGUN + standin, names)
    told: list[tuple[str, str]] = names["told"]
    return told


def alike(one: str, other: str) -> bool:
    """The same words; numbers to the last digit but one, and nought with its sign."""
    if len(one.split(" ")) != len(other.split(" ")):
        return False
    for left, right in zip(one.split(" "), other.split(" "), strict=True):
        try:
            first, second = float(left), float(right)
        except ValueError:
            if left != right:
                return False
            continue
        both_none = math.isnan(first) and math.isnan(second)
        same = math.isclose(first, second, rel_tol=1e-15) and math.copysign(1, first) == math.copysign(1, second)
        if not both_none and (not same or ("." in left) != ("." in right)) and left != right:
            return False
    return True


def differences(ours: list[tuple[str, str]], theirs: list[tuple[str, str]]) -> list[str]:
    """Where two tellings differ."""
    assert [name for name, _ in ours] == [name for name, _ in theirs]
    pairs = zip(ours, theirs, strict=True)
    return [f"{name}: {one} here, {other} there" for (name, one), (_, other) in pairs if not alike(one, other)]


@pytest.mark.parametrize("lines", [SIGNS, FUNCTIONS, LOOPS], ids=["signs", "functions", "loops"])
def test_the_scripts_give_what_python_gives(lines: str, chromium: Any, tmp_path: Path) -> None:
    """On floats, whole numbers, truths and rows, with noughts, infinities and no numbers, and the same errors."""
    assert differences(here(lines), there(chromium, tmp_path, lines)) == []


def test_floats_and_rows_never_reach_python(chromium: Any, tmp_path: Path) -> None:
    """The scripts do all that they take on: where Python refuses to be asked, nothing is refused."""
    assert there(chromium, tmp_path, REFUSING) == [("asked", "never")]


@pytest.mark.parametrize(
    ("lines", "right", "wrong"),
    [
        (SIGNS, "__sub__: (one, two) => one - two", "__sub__: (one, two) => one + two"),
        (FUNCTIONS, "tan: each(Math.tan)", "tan: each(Math.atan)"),
        (LOOPS, "dict.$contains(held, key)) throw missing", "dict.$contains(held, key)) return None"),
    ],
    ids=["signs", "functions", "loops"],
)
def test_a_wrong_script_is_found(lines: str, right: str, wrong: str, chromium: Any, tmp_path: Path) -> None:
    """A sign, a function or an ending that is not Python's shows in what the lines tell."""
    engine = worker_text()
    assert engine.count(right) == 1
    assert differences(here(lines), there(chromium, tmp_path, lines, engine.replace(right, wrong)))
