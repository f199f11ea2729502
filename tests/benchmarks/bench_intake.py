"""How many replies a second the intake takes, through its sudden death, and how long 10,000 of them take to list.

Run by name: `pytest tests/benchmarks/bench_intake.py -o addopts= -s`. Fifty readers at 127.0.0.1 send at once, limits
raised and proofs solved beforehand; halfway the process is killed and started again.
"""

from __future__ import annotations

import asyncio
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from ledger.replies.received import Incoming, received
from ledger.replies.taking import checked
from tests.intakes import Intake, Load, free_port, reply, through_a_kill

COUNT, CLIENTS, LISTED = 5_000, 50, 10_000


@pytest.mark.parametrize("words", [("--no-log",), ()], ids=["without a log", "with a log"])
@pytest.mark.benchmark(group="5,000 replies from 50 readers, killed halfway")
def test_taking_replies_through_a_kill(benchmark: Any, tmp_path: Path, words: tuple[str, ...]) -> None:
    """Every acknowledged reply is there, once; the rates are those before the kill and after the restart."""
    intake = Intake(tmp_path / "intake.sqlite", free_port(), words)
    intake.start()
    try:
        load: Load = benchmark.pedantic(lambda: asyncio.run(through_a_kill(intake, COUNT, CLIENTS)), rounds=1)
    finally:
        intake.stop()
    with closing(sqlite3.connect(intake.store)) as connection:
        stored = [row[0] for row in connection.execute("SELECT id FROM reply")]
    lost = set(load.acknowledged) - set(stored)
    doubled = len(stored) - len(set(stored))
    pause = max(range(1, COUNT), key=lambda place: load.marks[place] - load.marks[place - 1])
    again = sum(times > 1 for times in load.sendings.values())
    before, after = load.rate(0, pause - 1), load.rate(pause, COUNT - 1)
    print(
        f"\n{before:.0f} replies a second before the kill, {after:.0f} after it; "
        f"{len(lost)} lost, {doubled} doubled of {len(load.acknowledged)}; {again} were sent again"
    )
    assert (lost, doubled, len(stored)) == (set(), 0, COUNT)


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An investigation with 10,000 received replies."""
    root = tmp_path_factory.mktemp("full")
    (root / "entries").mkdir()
    documents = (
        checked(reply(number, text=f"Number {number}. " + "Words. " * 100))[0] for number in range(1, LISTED + 1)
    )
    with received(root) as store:
        store.take(Incoming(one, "2031-06-01", "made") for one in documents if one is not None)
    return root


@pytest.mark.benchmark(group="10,000 received replies listed")
def test_listing(benchmark: Any, full: Path) -> None:
    """Opening the store and listing."""

    def listed() -> int:
        with received(full) as store:
            return len(store.listed())

    assert benchmark.pedantic(listed, rounds=10, warmup_rounds=1) == LISTED


@pytest.mark.benchmark(group="10,000 received replies listed")
def test_listing_by_the_command(benchmark: Any, full: Path) -> None:
    """The whole command in a process of its own, with everything it loads and prints."""
    command = [sys.executable, "-c", "from ledger.cli import main; main()", "replies", "--in", str(full)]

    def listed() -> int:
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout.count("\n")

    assert benchmark.pedantic(listed, rounds=5, warmup_rounds=1) == LISTED + 1
