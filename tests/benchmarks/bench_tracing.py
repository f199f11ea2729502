"""The withdrawal sweep over the demo and over 500 sources, beside full rankings of the same questions at point values.

Run: python -m pytest tests/benchmarks/bench_tracing.py -o addopts= --benchmark-only
"""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from ledger.casebook.items import Item
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.casebook.weighed import weigh_all
from ledger.entries.models import MODELS
from ledger.store.engine import open_store
from ledger.store.posting import post
from ledger.tracing.staleness import stale
from ledger.tracing.trace import trace
from ledger.tracing.withdrawal import Test
from tests.benchmarks import bench_fragility

ROOT = Path(__file__).parents[2]
SOURCES = 500


def ledger() -> Casebook:
    """The ledger of the fragility benchmark with a decision on each of its twelve questions, nothing worked out yet."""
    made = bench_fragility.casebook(SOURCES)
    decisions = {}
    for question in range(bench_fragility.QUESTIONS):
        front = {
            "kind": "decision", "title": "A drum", "choice": "A drum", "taken": "2031",
            "grounds": [f"hypotheses/drum-{question}", f"evidence/n{question}", f"calculations/on-{question}"],
            "least-confidence": {f"drum-{question}": 0.1},
        }  # fmt: skip
        ref = f"decisions/d{question}"
        decisions[ref] = Item(ref, "decision", f"d{question}", MODELS["decision"].model_validate(front), "", 1)
    return replace(made, entries=dict(sorted({**made.entries, **decisions}.items())))


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo, posted and computed."""
    folder = tmp_path_factory.mktemp("demo")
    for part in ("entries", "site"):
        shutil.copytree(ROOT / part, folder / part)
    post(open_store(folder / "witness.sqlite"), folder / "entries", "2022-01-15T12:00:00Z")
    open_casebook(folder)
    return folder


def test_a_full_ranking_at_point_values(benchmark):
    """All twelve questions, weights and accounts with them, nothing drawn: what the sweep is held against."""
    made = ledger()
    weighed = benchmark.pedantic(weigh_all, (made.ground, 0), rounds=20, warmup_rounds=1)
    assert len(weighed.weighings) == bench_fragility.QUESTIONS


def test_the_sweep_over_500_sources(benchmark):
    """Every source withdrawn in turn, the feasibilities by fewer calculations worked out in it."""
    found = benchmark.pedantic(lambda made: Test(made).sweep(), setup=lambda: ((ledger(),), {}), rounds=3)
    assert len(found) == SOURCES
    assert any(one.decisions for one in found)


def test_the_sweep_over_the_demo(benchmark, demo):
    """From the opened casebook, with nothing kept of an earlier sweep."""
    found = benchmark.pedantic(lambda made: Test(made).sweep(), setup=lambda: ((open_casebook(demo),), {}), rounds=3)
    assert len(found) >= 18


def test_the_traces_of_the_demo(benchmark, demo):
    """All decisions followed down, with what losing each source would do to them."""
    made = open_casebook(demo)
    test = Test(made)
    test.sweep()
    refs = [item.ref for item in made.of_kind("decision")]
    assert benchmark.pedantic(lambda: [trace(made, ref, test.grounds) for ref in refs], rounds=3)


def test_stale_decisions_of_the_demo(benchmark, demo):
    """From the opened casebook, what decisions stood on being kept already."""
    open_casebook(demo).taken()
    found = benchmark.pedantic(stale, setup=lambda: ((open_casebook(demo),), {}), rounds=3)
    assert isinstance(found, dict)


def test_opening_the_demo(benchmark, demo):
    """With all results kept: what decisions stood on is not asked for."""
    assert benchmark.pedantic(open_casebook, (demo,), rounds=3)
