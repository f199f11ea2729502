"""Every calculator in the reader's browser against CPython with numpy: the same inputs, the same outputs to 1e-12."""

from __future__ import annotations

import math
import random
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.stats import norm

from ledger.calculators.contract import Calculator, Choice, Number, Rows, Text, Truth, Whole
from ledger.calculators.register import CALCULATORS, REGISTER
from ledger.publishing.live.browser.answering import Desk
from ledger.publishing.live.declaring import declaration
from ledger.quantities.notation import parse
from ledger.quantities.quantity import Quantity
from tests import live_pages
from tests.behaviour.conftest import chromium as chromium
from tests.examples import EXAMPLES

TIMES = 20
MOST_TRIES = 80
RELATIVE = 1e-12
# What cancels to nothing, of numbers about one, is as exact as they are.
NOTHING = 1e-13
# Of several hundred draws a few show that rows are computed as numpy's arrays are.
DRAWN = 5
SPREAD = 200
# A simulated kilometre twenty times over takes its time in the browser; its formulas are the same on a short straight.
SHORT = {"shift-gap": {"straights": [{"name": "plain", "length": "120 ± 5 m", "entry": "12 ± 1 m/s"}]}}


def varied(calculator: Calculator, luck: random.Random) -> dict[str, Any]:
    """The example's inputs, each number moved a little, some choices, truths and defaults changed."""
    example = {**EXAMPLES[calculator.name], **SHORT.get(calculator.name, {})}
    made: dict[str, Any] = {}
    for declared in calculator.inputs:
        given = example.get(declared.name)
        if isinstance(declared, Rows):
            if given is not None:
                known = {column.name: column for column in declared.columns}
                made[declared.name] = [
                    {key: moved(known[key], cell, luck, 0.02) for key, cell in row.items()} for row in given
                ]
        elif given is not None or luck.random() < 0.15:
            value = declared.default if given is None else given
            if value is not None:
                made[declared.name] = moved(declared, value, luck, 0.2)
    return made


def consistent(calculator: Calculator, made: dict[str, Any]) -> dict[str, Any]:
    """The same inputs where one part is stated in one way, and a printed ratio with the decimals it says it has."""
    if calculator.name == "axial-length":
        made["other"][0]["length"] = made["layout"][0]["length"]
    if calculator.name == "tooth-pairs":
        for gear in made["gears"]:
            gear.update(ratio=f"{float(gear['ratio']):.2f}", decimals="2")
    return made


def moved(declared: Any, value: Any, luck: random.Random, often: float) -> Any:
    """One value, changed within what is permitted."""
    if isinstance(declared, Text):
        return str(value)
    if isinstance(declared, Truth):
        return value is not (luck.random() < often)
    if isinstance(declared, Choice):
        return luck.choice(declared.options) if luck.random() < often else value
    quantity = parse(value)
    if isinstance(declared, Whole):
        changed = int(quantity.nominal) + luck.choice((-1, 0, 0, 0, 1))
        return str(min(max(changed, declared.low), declared.high))
    factor = luck.uniform(0.93, 1.07) if luck.random() < 0.8 else 1.0
    numbers = [number * factor for number in quantity.to(declared.unit).numbers]
    least = declared.low + 1e-9 * abs(declared.low)
    if min(numbers) < least or max(numbers) > declared.high or quantity.shape == "whole":
        return str(value)
    tail = f" {declared.unit}" if declared.unit else ""
    if quantity.shape == "normal":
        return f"{numbers[0]!r} ± {numbers[1]!r}{tail} (k=1)"
    return "..".join(repr(number) for number in numbers) + tail


def expected(calculator: Calculator, inputs: dict[str, Any]) -> dict[str, Any]:
    """What the calculator gives here, on floats with numpy: the text under `refused` where it refuses."""
    raw: dict[str, Any] = {}
    for declared in calculator.inputs:
        given = inputs.get(declared.name)
        if isinstance(declared, Rows):
            raw[declared.name] = [
                {
                    column.name: middle(calculator, column, row.get(column.name, column.default), True)
                    for column in declared.columns
                }
                for row in given or []
            ]
        else:
            raw[declared.name] = middle(calculator, declared, declared.default if given is None else given, False)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            outputs = dict(calculator.compute(**raw))
        except ValueError as error:
            return {"refused": str(error)}
    for one in calculator.outputs:
        if one.form in ("number", "whole") and one.name in outputs and not np.isfinite(outputs[one.name]).all():
            return {"refused": f"{one.label}: not a finite number for some of these inputs."}
    return {one.name: told(one.form, outputs[one.name]) for one in calculator.outputs if one.name in outputs}


def middle(calculator: Calculator, declared: Any, value: Any, inside: bool) -> Any:
    """One raw input at its middle; with its doubt where a calculator that takes no draws weighs that itself."""
    if not isinstance(declared, Number | Whole):
        return value
    quantity = parse(value).to(declared.unit if isinstance(declared, Number) else "")
    limits = isinstance(declared, Number) and declared.limits
    at: Any = quantity.nominal if quantity.shape == "whole" else quantity.mean
    if not calculator.vectorised and quantity.shape != "exact" and (inside or limits):
        at = quantiles(quantity)
    if not limits:
        return at
    low, high = quantity.support
    if quantity.shape == "normal":
        low, high = (quantity.mean + sign * norm.ppf(0.975) * quantity.std for sign in (-1, 1))
    return {"draws": at, "low": low, "high": high, "nominal": quantity.nominal}


def quantiles(quantity: Quantity) -> np.ndarray:
    """Two hundred values, each standing for as much of the probability as any other."""
    shares = (np.arange(SPREAD) + 0.5) / SPREAD
    if quantity.shape == "normal":
        return np.asarray(norm.ppf(shares, quantity.mean, quantity.std))
    if quantity.shape == "rectangular":
        return np.interp(shares, (0, 1), quantity.support)
    if quantity.shape == "triangular":
        low, mode, high = quantity.numbers
        rising = low + np.sqrt(shares * (high - low) * (mode - low))
        falling = high - np.sqrt((1 - shares) * (high - low) * (high - mode))
        return np.where(shares * (high - low) < mode - low, rising, falling)
    steps = np.cumsum(list(quantity.chances.values()))
    return np.array(list(quantity.chances))[np.searchsorted(steps / steps[-1], shares, side="right")]


def told(form: str, value: Any) -> Any:
    """An output as JSON has it, curves as lines."""
    if form == "curves":
        lines: dict[str, Any] = {}
        for point in value:
            line = lines.setdefault(str(point["series"]), [[], []])
            line[0].append(float(np.mean(point["x"])))
            line[1].append(float(np.mean(point["y"])))
        return lines
    if form == "rows":
        return [{key: plain(cell) for key, cell in row.items()} for row in value]
    return bool(value) if form == "truth" else plain(value)


def plain(cell: Any) -> Any:
    """A cell without numpy: the mean of an array, a number, or words."""
    if isinstance(cell, np.ndarray) and cell.ndim:
        return float(np.mean(cell))
    return cell.item() if isinstance(cell, np.generic | np.ndarray) else cell


def drawn(calculator: Calculator, inputs: dict[str, Any], count: int) -> Any:
    """Numbers and truths of the worker's own draws, computed here with numpy in place of what stands in for it."""
    known = declaration(calculator)
    desk = Desk(calculator, known["units"], known["factors"])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        assert "problems" not in desk.compute({"inputs": inputs})
        found = desk.draw({"start": 0, "stop": count, "count": count})
    return desk.sum_up({"values": True})["values"] if "done" in found else {"refused": found["problem"]}


def ask_draws(page: Any, count: int) -> Any:
    """The same from the browser, for what was computed there last."""
    found = live_pages.ask(page, "draw", {"start": 0, "stop": count, "count": count})
    return (
        live_pages.ask(page, "sum_up", {"values": True})["values"] if "done" in found else {"refused": found["problem"]}
    )


def differences(here: Any, there: Any, place: str = "") -> Iterator[str]:
    """Where two results differ: numbers by more than RELATIVE, all else at all."""
    if isinstance(here, dict) and isinstance(there, dict):
        if list(here) != list(there) and set(here) != set(there):
            yield f"{place}: {sorted(here)} here, {sorted(there)} there"
            return
        for key, value in here.items():
            yield from differences(value, there[key], f"{place}.{key}")
    elif isinstance(here, list | tuple) and isinstance(there, list | tuple):
        if len(here) != len(there):
            yield f"{place}: {len(here)} here, {len(there)} there"
            return
        # Numbers of one line of a curve are as exact as its greatest.
        numbers = all(isinstance(one, float | int) for one in (*here, *there))
        scale = max((abs(one) for one in here), default=0.0) if numbers else 0.0
        for index, (one, other) in enumerate(zip(here, there, strict=True)):
            if not (numbers and abs(one - other) <= RELATIVE * scale):
                yield from differences(one, other, f"{place}[{index}]")
    elif isinstance(here, bool) or isinstance(there, bool) or isinstance(here, str) or isinstance(there, str):
        if here != there:
            yield f"{place}: {here!r} here, {there!r} there"
    elif not math.isclose(here, there, rel_tol=RELATIVE, abs_tol=NOTHING):
        yield f"{place}: {here!r} here, {there!r} there"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the pages stand."""
    return tmp_path_factory.mktemp("live")


@pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda one: one.name)
def test_the_browser_computes_what_python_does(calculator: Calculator, chromium: Any, folder: Path) -> None:
    """Twenty different sets of inputs give the same outputs to 1e-12, and the same refusals word for word."""
    page = chromium.new_page()
    page.goto(live_pages.lay_out(folder, calculator).as_uri())
    luck = random.Random(calculator.name)
    wrong, answered, tried = [], 0, 0
    while answered < TIMES and tried < MOST_TRIES:
        tried += 1
        inputs = consistent(calculator, varied(calculator, luck))
        here, there = expected(calculator, inputs), live_pages.computed(page, inputs)
        answered += "refused" not in here
        wrong += [f"{tried}{one}" for one in differences(here, there)]
        if calculator.vectorised and answered == TIMES:
            wrong += [f"draws{one}" for one in differences(drawn(calculator, inputs, DRAWN), ask_draws(page, DRAWN))]
    page.close()
    assert not wrong, "\n".join(wrong[:20])
    assert answered == TIMES, f"only {answered} of {tried} sets of inputs were computed at all"


def test_a_wrong_formula_in_the_browser_is_found(chromium: Any, tmp_path: Path) -> None:
    """A factor changed by a millionth part of a millionth, ten times over, in one module of a bundle is noticed."""
    calculator = REGISTER["spline"]

    def planted(script: str) -> str:
        return script.replace("(major + minor) / 4.0", "(major + minor) / 4.00000000004")

    page = chromium.new_page()
    page.goto(live_pages.lay_out(tmp_path, calculator, fault=planted).as_uri())
    inputs = varied(calculator, random.Random(1))
    assert list(differences(expected(calculator, inputs), live_pages.computed(page, inputs)))
    page.close()
