"""Before anything is imported: MkDocs must find the plugin also where the project itself is not installed."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable
from importlib import invalidate_caches, metadata
from pathlib import Path

import pytest
from hypothesis import settings


def pytest_configure(config: pytest.Config) -> None:
    """Lay the plugin's entry point on the path while the tests run. MkDocs looks for it once, when imported."""
    if any(one.name == "witness" for one in metadata.entry_points(group="mkdocs.plugins")):
        return
    folder = tempfile.TemporaryDirectory()
    config.add_cleanup(folder.cleanup)
    project = Path(folder.name) / "witness_ledger-0.dist-info"
    project.mkdir()
    (project / "METADATA").write_text("Metadata-Version: 2.1\nName: witness-ledger\nVersion: 0\n")
    (project / "entry_points.txt").write_text("[mkdocs.plugins]\nwitness = ledger.press:WitnessPlugin\n")
    sys.path.append(folder.name)
    invalidate_caches()


# The run that everybody makes is the same every time; HYPOTHESIS_PROFILE=search looks for new cases.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.register_profile("search", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "steady"))


Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run the command line as a terminal would: exit code, what it printed, what it complained of."""

    from ledger.cli import main

    def go(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["witness", *map(str, words)])
        monkeypatch.setenv("COLUMNS", "200")
        try:
            main()
            code = 0
        except SystemExit as stop:
            code = stop.code if isinstance(stop.code, int) else 0 if stop.code is None else 1
        printed = capsys.readouterr()
        return code, printed.out, printed.err

    return go
