"""What several files of tests share: a browser, and a running bench of the investigation that a file lays out."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

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
