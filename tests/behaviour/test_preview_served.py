"""The preview's server, in this process: pages made when asked for, a turn for each site laid out, faults told."""

from __future__ import annotations

import socket
import time
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from ledger.errors import WitnessError
from ledger.publishing.previewing import RELOADING, Preview, _watching, application, serve


class Sheets:
    """A site of one page, which says how often a site was laid out, and of one that cannot be made."""

    def __init__(self, turn: int) -> None:
        self.turn = turn

    def get(self, path: str) -> bytes | None:
        if path == "broken.html":
            raise WitnessError("this page cannot be made")
        return {"index.html": f"<body>{self.turn}</body>".encode(), "a/mark.svg": b"<svg/>"}.get(path)


def preview(told: list[str]) -> Preview:
    """A preview whose third site has a fault."""
    turns = iter(range(1, 9))

    def lay_out() -> Sheets:
        turn = next(turns)
        if turn == 3:
            raise WitnessError("entries/evidence/ping.md:3 title: given nothing")
        return Sheets(turn)

    return Preview(lay_out, told.append)


def test_pages_carry_their_turn_and_reload_when_it_is_over() -> None:
    """A page names its turn to the script that asks for the next; other files are as they are; nothing is kept."""
    shown = preview([])
    client = TestClient(application(shown))
    first = client.get("/")
    assert first.url.path == "/index.html"
    assert '<body>1<script src="/witness-turn.js" data-turn="1"></script></body>' in first.text
    assert first.headers["cache-control"] == "no-store"
    assert client.get("/witness-turn.js").text == RELOADING
    mark = client.get("/a/mark.svg")
    assert (mark.text, mark.headers["content-type"]) == ("<svg/>", "image/svg+xml")
    shown.turn_over()
    assert client.get("/witness-turn?seen=1").json() == {"turn": 2}
    assert "<body>2<" in client.get("/index.html").text


def test_a_fault_leaves_the_pages_as_they_were() -> None:
    """A site that cannot be laid out is told of once; the one before stays, with its turn."""
    told: list[str] = []
    shown = preview(told)
    client = TestClient(application(shown))
    shown.turn_over()
    shown.turn_over()
    assert told == ["entries/evidence/ping.md:3 title: given nothing\nThe pages stay as they were."]
    assert "<body>2<" in client.get("/index.html").text
    shown.turn_over()
    assert "<body>4<" in client.get("/index.html").text


def test_what_is_not_there_or_cannot_be_made_is_said() -> None:
    """A missing page is told with 404, one that cannot be made with its reason."""
    client = TestClient(application(preview([])))
    assert client.get("/nowhere.html").status_code == 404
    broken = client.get("/broken.html")
    assert (broken.status_code, broken.text) == (500, "this page cannot be made\n")


def test_a_change_anywhere_below_is_followed(tmp_path: Path) -> None:
    """A file made, changed or taken away below a watched folder calls for a new site; a burst of them for few."""
    called: list[float] = []
    (tmp_path / "notes").mkdir()
    with _watching([tmp_path], lambda: called.append(time.monotonic())):
        for number in range(20):
            (tmp_path / "notes" / f"{number}.md").write_text("a")
        for _ in range(200):
            if called:
                break
            time.sleep(0.05)
    assert 1 <= len(called) <= 5


@pytest.mark.parametrize("address", ["127.0.0.1", "127.0.0.1:port", "127.0.0.1:99999"])
def test_an_address_that_is_none_is_refused(address: str) -> None:
    """What is no host with a port is named, with one that would do."""
    with pytest.raises(WitnessError, match=r"cannot be served at .*such as 127\.0\.0\.1:8001"):
        serve(address, lambda: Sheets(1), [])


def test_the_first_site_must_be_laid_out() -> None:
    """With nothing to show the preview stops, and frees its address."""

    def faulty() -> Sheets:
        raise WitnessError("no entries")

    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with pytest.raises(WitnessError, match=r"has stopped\. no entries"):
        serve(f"127.0.0.1:{port}", faulty, [])
