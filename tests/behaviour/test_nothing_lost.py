"""Whatever stops the program or stands in its way, nothing that was posted is lost and nothing is half done."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
from multiprocessing import get_context
from pathlib import Path

import pytest

from ledger.errors import StoreRefused
from ledger.publishing.exchanging import exchanged
from ledger.store.engine import open_store
from ledger.store.posting import post
from ledger.store.records import current
from ledger.store.verifying import verify
from tests.endurance.deeds import Deed, State, tree
from tests.endurance.kill_rounds import Broken, rounds
from tests.ledger_files import SMALL, put

ROOT = Path(__file__).parents[2]
AT = "2031-05-17T09:00:00Z"


def run(name: str, *words: str) -> str:
    """Run a script of `tests/endurance` and return what it printed."""
    command = [sys.executable, "-m", f"tests.endurance.{name}", *words]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_a_few_rounds_of_killing_lose_nothing() -> None:
    """Killed anywhere, all that writes is done wholly or not at all; the script by that name does many rounds more."""
    deeds = ("post", "withdraw", "erase", "accept", "migrate", "backup", "restore", "export")
    said = run("kill_rounds", "--rounds", "16", "--seed", "5", *deeds)
    assert "16 rounds, nothing lost and nothing half done." in said


def test_want_of_room_or_leave_loses_nothing() -> None:
    """On a full disc and in a protected folder all that writes says what to do, and leaves things as they may stand."""
    assert "Nothing was lost" in run("scarce")


class Site(Deed):
    """Twenty pages made anew, exchanged as a whole."""

    name = "site"

    def lay_out(self, folder: Path) -> None:
        """Make the old pages."""
        self._make(folder, "old")

    def do(self, folder: Path) -> None:
        """Make the new ones."""
        self._make(folder, "new")

    def state(self, folder: Path) -> State:
        """Return the pages that a reader finds."""
        return (tree(folder / "site"),)

    def _make(self, folder: Path, words: str) -> None:
        with exchanged(folder / "site") as fresh:
            fresh.mkdir()
            for number in range(20):
                (fresh / f"{number}.html").write_text(words)


class Careless(Site):
    """The same pages, written one by one over the old ones."""

    name = "careless"

    def _make(self, folder: Path, words: str) -> None:
        (folder / "site").mkdir(parents=True, exist_ok=True)
        for number in range(20):
            (folder / "site" / f"{number}.html").write_text(words)


def test_a_site_is_never_half_new(tmp_path: Path) -> None:
    """Killed anywhere while it is made, a reader finds all of the old pages or all of the new."""
    found = rounds(Site(), 40, random.Random(1), tmp_path)
    assert sum(found.values()) == 40
    assert found["undone"] > 5


def test_careless_writing_is_found_out(tmp_path: Path) -> None:
    """The rounds refuse pages that are written in place: some round finds them mixed."""
    with pytest.raises(Broken, match="as it never may"):
        rounds(Careless(), 20, random.Random(1), tmp_path)


def _post_own(folder: str, number: int) -> None:
    entries = Path(folder) / "entries"
    store = open_store(Path(folder) / "witness.sqlite", busy_seconds=60)
    for turn in range(5):
        ref = f"sources/letter-{number}-{turn}"
        put(entries, {ref: SMALL["sources/letter"].replace("A letter", f"Letter {number}, {turn},")})
        post(store, entries, AT, only={ref})


def test_writers_at_the_same_time_all_get_through(tmp_path: Path) -> None:
    """Three programs that post at once wait for each other: every entry of each is in, and the chain verifies."""
    post(open_store(tmp_path / "witness.sqlite"), put(tmp_path / "entries", SMALL), AT)
    fresh = get_context("spawn")
    writers = [fresh.Process(target=_post_own, args=(str(tmp_path), number)) for number in range(3)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(120)
    assert [writer.exitcode for writer in writers] == [0, 0, 0]
    store = open_store(tmp_path / "witness.sqlite")
    wanted = {f"sources/letter-{number}-{turn}" for number in range(3) for turn in range(5)}
    assert wanted | set(SMALL) == set(current(store))
    assert verify(store).problems == ()


def test_a_ledger_cut_off_anywhere_is_told(tmp_path: Path) -> None:
    """A shortened file is refused or does not verify, unless nothing of it is missing, and keeps its bytes."""
    whole, path = tmp_path / "witness.sqlite", tmp_path / "cut.sqlite"
    post(open_store(whole), put(tmp_path / "entries", SMALL), AT)
    wanted = current(open_store(whole))
    size = whole.stat().st_size
    chance = random.Random(1)
    lengths = [0, 1, 99, 100, 4096, 8192, size - 4096, size - 1, *(chance.randrange(1, size) for _ in range(12))]
    for length in lengths:
        shutil.copy(whole, path)
        os.truncate(path, length)
        before = path.read_bytes()
        try:
            store = open_store(path, create=False)
            told = bool(verify(store).problems) or current(store) == wanted
        except StoreRefused:
            told = True
        assert told, f"nothing was said of {length} of {size} bytes"
        assert path.read_bytes() == before
