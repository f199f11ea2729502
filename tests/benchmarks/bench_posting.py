"""How long posting takes beside the bare work it cannot do without.

Run by name: `pytest tests/benchmarks/bench_posting.py -o addopts=`. Two pairs: posting 10,000 new entries beside
parsing the same files and inserting the same rows; posting them again beside reading and hashing the files. And one
changed measurement that half of all entries take, held to all rules beside posted without those of the layers above.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
from contextlib import closing
from functools import partial
from itertools import cycle
from pathlib import Path
from typing import Any

import pytest

from ledger.building.before_posting import check_changed
from ledger.entries.reading import read_folder
from ledger.store.engine import Store, open_store
from ledger.store.posting import post
from tests.ledger_files import large, put

COUNT = 10_000
AT = "2031-05-17T09:00:00Z"


@pytest.fixture(scope="module")
def entries(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return put(tmp_path_factory.mktemp("large") / "entries", large(COUNT))


@pytest.fixture(scope="module")
def store(entries: Path) -> Store:
    """A store into which all was posted."""
    store = open_store(entries.parent / "witness.sqlite")
    post(store, entries, AT)
    return store


@pytest.mark.benchmark(group="10,000 new entries")
def test_posting(benchmark: Any, entries: Path, tmp_path: Path) -> None:
    """Posting into an empty store takes every file."""
    number = iter(range(100))

    def empty() -> tuple[tuple[Store, Path, str], dict[str, Any]]:
        return (open_store(tmp_path / f"{next(number)}.sqlite"), entries, AT), {}

    report = benchmark.pedantic(post, setup=empty, rounds=3)
    assert len(report.new) == COUNT


@pytest.mark.benchmark(group="10,000 new entries")
def test_bare_parsing_and_inserting(benchmark: Any, entries: Path, store: Store, tmp_path: Path) -> None:
    """The same reader over the same files, and the same rows into bare tables in one transaction."""
    rows = {}
    with closing(sqlite3.connect(store.path)) as connection:
        for name in ("revision", "words", "entry", "reference"):
            rows[name] = connection.execute(f"SELECT * FROM {name}").fetchall()
    number = iter(range(100))

    def bare() -> int:
        documents, faults = read_folder(entries)
        assert not faults
        with closing(sqlite3.connect(tmp_path / f"{next(number)}.sqlite")) as connection:
            for name, content in rows.items():
                width = len(content[0])
                connection.execute(f"CREATE TABLE {name} ({', '.join(f'c{column}' for column in range(width))})")
                connection.executemany(f"INSERT INTO {name} VALUES ({', '.join('?' * width)})", content)
            connection.commit()
        return len(documents)

    assert benchmark.pedantic(bare, rounds=3) == COUNT


@pytest.mark.benchmark(group="10,000 entries again")
def test_posting_again(benchmark: Any, entries: Path, store: Store) -> None:
    """Posting what is posted already, opening the store included."""
    report = benchmark.pedantic(lambda: post(open_store(store.path), entries, AT), rounds=10, warmup_rounds=1)
    assert len(report.unchanged) == COUNT
    assert not report.changed


@pytest.mark.benchmark(group="10,000 entries again")
def test_bare_reading_and_hashing(benchmark: Any, entries: Path) -> None:
    """Reading every file and hashing its bytes."""

    def bare() -> int:
        digests = []
        with os.scandir(entries) as folders:
            for folder in folders:
                with os.scandir(folder.path) as files:
                    for file in files:
                        with open(file.path, "rb") as opened:
                            digests.append(hashlib.sha256(opened.read()).hexdigest())
        return len(digests)

    assert benchmark.pedantic(bare, rounds=10, warmup_rounds=1) == COUNT


@pytest.mark.benchmark(group="growth of posting")
@pytest.mark.parametrize("count", [2_500, 5_000, 10_000, 20_000])
def test_growth(benchmark: Any, tmp_path: Path, count: int) -> None:
    """Posting twice the entries takes twice the time."""
    folder = put(tmp_path / "entries", large(count))
    number = iter(range(100))

    def empty() -> tuple[tuple[Store, Path, str], dict[str, Any]]:
        return (open_store(tmp_path / f"{next(number)}.sqlite"), folder, AT), {}

    benchmark.pedantic(post, setup=empty, rounds=2)


WIDTH = "measurements/width-0"


def taking(number: int) -> str:
    """Return a calculation that takes the one measurement."""
    return (
        f"---\nkind: calculation\ntitle: Room number {number}\ncalculator: axial-length\nhypotheses: [drum-0]\n"
        f"inputs:\n  layout:\n    rows:\n      - {{part: room, length: {WIDTH}}}\n"
        "      - {part: plate, length: 2 ± 0.1 mm, direction: takes away}\n    reason: Invented.\n---\n"
    )


@pytest.mark.benchmark(group="one changed measurement that half of all entries take")
@pytest.mark.parametrize("ruled", [True, False], ids=["all rules", "without those above"])
@pytest.mark.parametrize("count", [2_000, 4_000, 8_000])
def test_a_measurement_that_many_take(benchmark: Any, tmp_path: Path, count: int, ruled: bool) -> None:
    """Everything is read once, and each calculation that takes it is held to it: twice the entries, twice the time."""
    files = large(count // 2)
    files |= {f"calculations/room-{number}": taking(number) for number in range(count // 2)}
    folder = put(tmp_path / "entries", files)
    store = open_store(tmp_path / "witness.sqlite")
    rules = [partial(check_changed, tmp_path)] if ruled else []
    post(store, folder, AT, *rules)
    doubts = cycle((2, 4))

    def change() -> tuple[tuple[Any, ...], dict[str, Any]]:
        put(folder, {WIDTH: files[WIDTH].replace("± 3 mm", f"± {next(doubts)} mm")})
        return (store, folder, AT, *rules), {}

    report = benchmark.pedantic(post, setup=change, rounds=3)
    assert report.revised == (WIDTH,)
