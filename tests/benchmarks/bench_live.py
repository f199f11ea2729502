"""Live calculators in Chromium: from opening a page to its first result, and from there to its ranges of 200 draws.

Run: python -m pytest tests/benchmarks/bench_live.py -o addopts= --benchmark-only
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from ledger.calculators.register import REGISTER
from ledger.casebook.values import Casebook
from tests import live_pages
from tests.behaviour.conftest import chromium as chromium
from tests.behaviour.conftest import demo as demo
from tests.behaviour.conftest import demo_casebook as demo_casebook
from tests.independent.test_live_demo import forms

FIRST = "() => /Computed/.test(document.querySelector('.wl-live-said')?.textContent)"
DRAWN = "() => /of 200 draws|weighed inside/.test(document.querySelector('.wl-live-said')?.textContent)"
# A closed form, the searches, and what is simulated or taken point by point.
TIMED = (
    "calculations/drop-from-third-to-fourth",
    "calculations/pairs-behind-the-step-up",
    "calculations/two-gears-in-at-once",
    "calculations/disc-size-under-the-cover",
    "calculations/drum-size-in-the-bulge",
    "calculations/gap-of-sixty-milliseconds",
    "calculations/oil-through-the-shaft",
    "calculations/dogs-met-from-the-disc",
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the pages stand."""
    return tmp_path_factory.mktemp("live")


@pytest.mark.parametrize("ref", TIMED)
@pytest.mark.parametrize("until", [FIRST, DRAWN], ids=["first", "drawn"])
def test_a_page_of_the_demo(
    benchmark: Any, ref: str, until: str, chromium: Any, folder: Path, demo_casebook: Casebook
) -> None:
    """From opening the page, its scripts from files, until the numbers at the middles or until the ranges are shown."""
    calculator = REGISTER[demo_casebook.entries[ref].entry.calculator]  # type: ignore[union-attr]
    address = live_pages.lay_out(folder, calculator, forms(demo_casebook, calculator)[ref]).as_uri()
    page = chromium.new_page()

    def opened() -> None:
        page.goto(address)
        page.wait_for_function(until, timeout=60_000)

    benchmark.pedantic(opened, setup=lambda: page.goto("about:blank") and None, rounds=5)
    page.close()
