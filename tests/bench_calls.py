"""The bench asked as its own page asks it, and what it is given to measure and to save."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from ledger.bench.serving import bench
from ledger.casebook.opening import STORE
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.measured_ledgers import PICTURE, lay_out

TOKEN, PORT = "a-token-of-the-test", 8123
HERE = f"http://127.0.0.1:{PORT}"
PICKS: dict[str, Any] = {
    "by": "scale-bar",
    "file": PICTURE,
    "points": {"bar": [[812, 440], [1010, 655]], "part": [[300, 200], [512, 204]]},
    "known": {"bar": "24 ± 0.2 mm"},
    "lens": "none",
    "doubt": "1.5",
}
DRAFT: dict[str, Any] = {
    "kind": "measurement",
    "name": "sleeve-again",
    "title": "Width of the sleeve, again",
    "source": "view",
    "credibility": "2",
    "method": "Scaled from the head of a casing bolt",
    "picked": PICKS,
}
NOTE: dict[str, Any] = {
    "kind": "evidence",
    "name": "bright-flank",
    "title": "A bright flank",
    "source": "view",
    "credibility": "3",
    "marks": [
        {"label": "flank", "box": [812.5, 440, 1010, 655]},
        {"label": "edge", "polygon": [[1, 2], [30, 4], [5, 60]]},
    ],
    "bearing": {"drum": "0.9", "face-cam": "likely", "others": ""},
    "body": "It shines.\n",
}


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A posted investigation with a photograph."""
    lay_out(tmp_path)
    post(open_store(tmp_path / STORE), tmp_path / "entries", "2031-06-01T00:00:00Z")
    return tmp_path


@pytest.fixture
def client(root: Path) -> Iterator[TestClient]:
    """The bench's own page, so to say."""
    with TestClient(bench(root, TOKEN, PORT), base_url=f"{HERE}/{TOKEN}/") as made:
        yield made


def fields(answer: Any) -> list[str]:
    """Return of which fields faults are told."""
    return [one["field"] for one in answer.json()["wrong"]]
