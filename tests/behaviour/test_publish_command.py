"""What `publish` builds, and when it posts and builds nothing."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest

from tests.conftest import Run


@pytest.mark.parametrize("command", ["publish", "preview"])
def test_nothing_is_posted_for_a_site_without_a_configuration(run: Run, case: Path, command: str) -> None:
    """A missing `site/mkdocs.yml` is told with what to do, before anything is posted."""
    (case / "site/mkdocs.yml").unlink()
    note = case / "entries/evidence/ping.md"
    note.write_text(f"{note.read_text().rstrip()} Again.\n")
    code, _, err = run(command, "--in", case)
    assert code == 1
    assert "site/mkdocs.yml" in err
    assert "witness start" in err
    assert len(json.loads(run("history", "evidence/ping", "--json", "--in", case)[1])) == 1


def test_publish_builds_a_site_that_opens_from_a_file(run: Run, case: Path) -> None:
    """Publishing a started investigation says where to open it; publishing again gives the same bytes."""
    code, out, err = run("publish", "--in", case)
    assert code == 0, err
    index = case / "build" / "site" / "index.html"
    assert str(index) in out
    first = {path.relative_to(case): path.read_bytes() for path in (case / "build").rglob("*") if path.is_file()}
    assert run("publish", "--in", case)[0] == 0
    second = {path.relative_to(case): path.read_bytes() for path in (case / "build").rglob("*") if path.is_file()}
    assert first == second


def test_nothing_is_published_from_a_record_that_does_not_verify(run: Run, case: Path) -> None:
    """A title changed behind the record stops publishing with exit code 3; rebuilding from the revisions mends it."""
    connection = sqlite3.connect(case / "witness.sqlite")
    connection.execute("UPDATE entry SET title = 'hacked' WHERE ref = 'evidence/ping'")
    connection.commit()
    connection.close()
    code, _, err = run("publish", "--in", case)
    assert code == 3
    assert "evidence/ping" in err
    assert not (case / "build").exists()
    assert run("check", "--in", case)[0] == 1
    assert run("check", "--rebuild", "--in", case)[0] == 0
