"""An intake called in the test's own process, and what its file holds."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from ledger.replies.intake.serving import intake
from tests.intakes import chosen

JSON = {"Content-Type": "application/json"}


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """A running intake."""
    with TestClient(intake(chosen(tmp_path)), raise_server_exceptions=False) as one:
        yield one


def stored(folder: Path) -> list[tuple[Any, ...]]:
    """What the intake's file holds."""
    with closing(sqlite3.connect(folder / "intake.sqlite")) as connection:
        return connection.execute("SELECT seq, id, document FROM reply ORDER BY seq").fetchall()
