"""Replies to a started investigation, received and accepted. All of it is invented."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from ledger.entries.reading import read_file
from ledger.replies import accepting
from ledger.replies.accepting import accept
from ledger.replies.composing import Wanted
from ledger.replies.received import Incoming, Received, received
from ledger.replies.taking import checked
from tests.intakes import reply

AT, DAY = "2031-06-02T10:00:00Z", "2031-06-01"
SHARES = {"hypotheses/coil-spring": 0.3, "hypotheses/leaf-spring": 0.6, "none-of-these": 0.1}


@pytest.fixture(scope="module")
def posted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A started investigation, posted once."""
    from ledger.cli.place import Place
    from ledger.cli.posting import post_and_report
    from ledger.cli.recording import start

    folder = tmp_path_factory.mktemp("posted") / "case"
    start(folder, "What returns the latch?", "the author")
    post_and_report(Place(folder), quiet=True)
    return folder


@pytest.fixture
def case(posted: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return Path(shutil.copytree(posted, tmp_path / "case"))


def about(number: int = 1, **changes: Any) -> dict[str, Any]:
    """A reply to that investigation."""
    return reply(number, **{"about": "evidence/ping", "confidences": SHARES, **changes})


def take(store: Received, *replies: dict[str, Any]) -> None:
    """Receive replies."""
    documents = [checked(one)[0] for one in replies]
    store.take(Incoming(one, DAY, "a test") for one in documents if one is not None)


def accepted(case: Path, one: dict[str, Any], **wanted: Any) -> accepting.Accepted:
    """Receive and accept a reply."""
    with received(case) as store:
        take(store, one)
        return accept(case, store, one["id"], Wanted(**wanted), AT)


def front(case: Path, path: str) -> dict[str, Any]:
    """What the front matter of a file says."""
    return read_file(case / path, case).front


def state(case: Path) -> dict[str, bytes]:
    """Every file but the store of what was received, and side files of stores."""
    return {
        path.relative_to(case).as_posix(): path.read_bytes()
        for path in case.rglob("*")
        if path.is_file() and not path.name.startswith("replies.sqlite")
    }
