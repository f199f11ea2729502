"""How long a command takes from its call to its end, beside the imports that no command with a ledger can avoid.

Run: python -m pytest tests/benchmarks/bench_starting.py -o addopts= --benchmark-only
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.benchmarks.bench_publishing import demo

__all__ = ["demo"]
WITNESS = "from ledger.cli import main; main()"


def called(benchmark, *words: str, code: str = WITNESS) -> None:
    """Call a program anew, five times after a first that writes what Python keeps compiled."""
    command = [sys.executable, "-P", "-c", code, *words]
    benchmark.pedantic(lambda: subprocess.run(command, check=True, capture_output=True), rounds=5, warmup_rounds=1)


def test_help(benchmark):
    """`witness --help`. Aim: 0.3 s."""
    called(benchmark, "--help")


def test_rank(benchmark, demo: Path):
    """`witness rank` on the demo, its results kept. Aim: 1 s."""
    called(benchmark, "rank", "--in", str(demo))


def test_post_of_one_changed_entry(benchmark, demo: Path):
    """`witness post` after a word was added to a note."""
    note = demo / "entries/evidence/bright-end-in-the-still.md"

    def changed() -> None:
        note.write_text(f"{note.read_text('utf-8').rstrip()} Again.\n", "utf-8")

    command = [sys.executable, "-P", "-c", WITNESS, "post", "--in", str(demo)]
    benchmark.pedantic(
        lambda: subprocess.run(command, check=True, capture_output=True), setup=changed, rounds=5, warmup_rounds=1
    )


@pytest.mark.parametrize("code", ["import sqlmodel, numpy", "pass"])
def test_imports_alone(benchmark, code: str):
    """The two libraries that a weighed ledger needs, and Python itself."""
    called(benchmark, code=code)
