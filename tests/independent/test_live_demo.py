"""Every calculation of the demo as its page's form computes it in Chromium, against CPython with numpy."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ledger.calculators.contract import Calculator
from ledger.calculators.register import CALCULATORS
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation
from ledger.publishing.live.browser.answering import Desk
from ledger.publishing.live.declaring import declaration
from ledger.publishing.live.filling import filling, limits
from tests import live_pages
from tests.behaviour.conftest import chromium as chromium
from tests.behaviour.conftest import demo as demo
from tests.behaviour.conftest import demo_casebook as demo_casebook
from tests.independent.test_live_calculators import differences

DRAWS = 200


def forms(casebook: Casebook, calculator: Calculator) -> dict[str, dict[str, Any]]:
    """By calculation what its page gives the form."""
    found = {}
    for ref, item in casebook.entries.items():
        if isinstance(item.entry, Calculation) and item.entry.calculator == calculator.name:
            made = filling(casebook, calculator, item.entry, casebook.results.get(ref))
            criteria = limits(casebook, calculator, item.entry.criteria, made)
            found[ref] = {"inputs": made.inputs, "roots": made.roots, "units": made.units, "criteria": criteria}
    return found


def units_of(found: dict[str, dict[str, Any]]) -> dict[str, dict[str, float]]:
    """The units that the forms write beyond the common ones, by input's path."""
    units: dict[str, dict[str, float]] = {}
    for form in found.values():
        for path, more in form["units"].items():
            units.setdefault(path, {}).update(more)
    return units


def here(calculator: Calculator, form: dict[str, Any]) -> dict[str, Any]:
    """What the desk answers in this Python: at the middles, more of it, and of the draws the values and criteria."""
    known = declaration(calculator)
    units = {**known["units"], **{path: {**known["units"][path], **more} for path, more in form["units"].items()}}
    desk = Desk(calculator, units, known["factors"])
    asks = {"compute": desk.compute, "more": desk.more, "draw": desk.draw, "sum_up": desk.sum_up}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return asked(lambda operation, given: asks[operation](given), form)


def asked(ask: Callable[[str, dict[str, Any]], dict[str, Any]], form: dict[str, Any]) -> dict[str, Any]:
    """What is answered as the form asks: outputs, criteria, tables and lines, and every draw of every number."""
    answer = ask("compute", {key: form[key] for key in ("inputs", "roots", "criteria")})
    assert "problems" not in answer, answer
    found = {
        "outputs": {one["name"]: one["value"] for one in answer["outputs"]},
        "criteria": answer["criteria"],
        "more": [without_drawings(ask("more", {"name": name})) for name in answer["more"]],
        "draws": answer["draws"],
    }
    if answer["draws"]:
        drawn = ask("draw", {"start": 0, "stop": DRAWS, "count": DRAWS})
        assert drawn == {**drawn, "done": DRAWS}, drawn
        summed = ask("sum_up", {"values": True})
        found |= {"values": summed["values"], "kept": summed["criteria"]}
    return found


def without_drawings(more: dict[str, Any]) -> dict[str, Any]:
    """Rows or lines alone."""
    return {"rows": more["rows"]} if "rows" in more else {"lines": more["lines"]}


@pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda one: one.name)
def test_every_calculation_of_the_demo_is_computed_in_the_browser(
    calculator: Calculator, chromium: Any, demo_casebook: Casebook, tmp_path: Path
) -> None:
    """Filled in as on its page, each gives the numbers, tables, draws and criteria that CPython gives, to 1e-12."""
    found = forms(demo_casebook, calculator)
    page = chromium.new_page()
    page.goto(live_pages.lay_out(tmp_path, calculator, {"units": units_of(found)}).as_uri())
    wrong: list[str] = []
    for ref, form in found.items():
        there = asked(lambda operation, given: live_pages.ask(page, operation, given), form)
        wrong += [f"{ref}{one}" for one in differences(here(calculator, form), there)]
    page.close()
    assert not wrong, "\n".join(wrong[:20])


def test_every_calculator_of_the_demo_has_a_calculation(demo_casebook: Casebook) -> None:
    """No calculator is left out of the comparison above."""
    assert [one.name for one in CALCULATORS if not forms(demo_casebook, one)] == []
