"""What several files of tests share: a browser, a started investigation, the demo, a bench of what a file lays out."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from ledger.casebook.values import Casebook
    from ledger.store.posting import Report

ROOT = Path(__file__).parents[2]
REQUIRED = os.environ.get("WITNESS_BROWSER") == "required"


@pytest.fixture
def address(root: Path) -> Iterator[str]:
    """The address that the command prints; it stops quietly when it is interrupted."""
    words = [sys.executable, "-c", "from ledger.cli import main; main()", "bench", "--no-open", "--in", str(root)]
    running = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert running.stdout is not None
    assert running.stderr is not None
    line = running.stdout.readline()
    yield line.split()[-1]
    running.send_signal(signal.SIGINT)
    assert running.wait(20) in (0, 130)
    assert "Traceback" not in running.stderr.read()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """A browser."""
    program = os.environ.get("WITNESS_CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
    if program is None and not REQUIRED:
        pytest.skip("there is no Chromium here: set WITNESS_CHROMIUM, or WITNESS_BROWSER=required to insist")
    name = "playwright.sync_api"
    playwright = __import__(name, fromlist=["sync_playwright"]) if REQUIRED else pytest.importorskip(name)
    with playwright.sync_playwright() as running:
        options = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
        browser = running.chromium.launch(executable_path=program, args=options)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def started(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A started investigation, posted once."""
    folder = tmp_path_factory.mktemp("started") / "case"
    for words in (
        ["start", str(folder), "--title", "What: returns it?", "--by", 'A. "Reader"'],
        ["post", "--in", str(folder)],
    ):
        done = subprocess.run(
            [sys.executable, "-c", "from ledger.cli import main; main()", *words],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
    return folder


@pytest.fixture
def case(started: Path, tmp_path: Path) -> Path:
    """A copy of it to change."""
    return Path(shutil.copytree(started, tmp_path / "case"))


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Report]:
    """The demo posted into an empty ledger in a folder of its own; several files of tests share it."""
    # MkDocs looks for the plugin once, when it is first imported, so nothing is imported before the tests are set up.
    from ledger.calculators.declared import check_calculations
    from ledger.calculators.register import REGISTER
    from ledger.store.engine import open_store
    from ledger.store.posting import post

    folder = tmp_path_factory.mktemp("demo")
    for part in ("entries", "site"):
        shutil.copytree(ROOT / part, folder / part)
    store = open_store(folder / "witness.sqlite")
    report = post(
        store, folder / "entries", "2022-01-15T12:00:00Z", lambda *given: check_calculations(REGISTER, *given)
    )
    return folder, report


@pytest.fixture(scope="session")
def demo_casebook(demo: tuple[Path, Report]) -> Casebook:
    """The demo opened, all computed."""
    from ledger.casebook.opening import open_casebook

    return open_casebook(demo[0], numbering=True)


@pytest.fixture(scope="session")
def demo_site(demo: tuple[Path, Report], demo_casebook: Casebook) -> Path:
    """The demo published, strictly."""
    from ledger.press import build

    return build(demo[0] / "site" / "mkdocs.yml", demo_casebook)
