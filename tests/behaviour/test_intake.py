"""What the intake takes and keeps: acknowledged, exported, counted, and deleted only when it is kept elsewhere."""

from __future__ import annotations

import asyncio
import json
import sqlite3
import time
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from ledger.replies.intake import keeping, serving
from ledger.replies.intake.keeping import Keeper, NotKept, Sent, purge
from ledger.replies.intake.serving import intake
from tests.hostile import NAMES, TEXTS
from tests.intake_calls import JSON, stored
from tests.intake_calls import client as client
from tests.intakes import BEARER, chosen, envelope, reply


def test_a_reply_is_taken_and_stands_in_the_store(client: TestClient, tmp_path: Path) -> None:
    """The answer names the id and the day; the document stands in the file, whole."""
    one = reply(1, text="Zwei Rillen, nicht drei – „sicher“ 🧭\r\nund noch eine Zeile.", contact="a@site.example")
    answer = client.post("/replies", json=envelope(client, one))
    assert answer.status_code == 200
    assert answer.json()["id"] == one["id"]
    assert len(answer.json()["received"]) == 10
    ((_, name, document),) = stored(tmp_path)
    assert name == one["id"]
    assert json.loads(document) == one


def test_the_same_reply_again_gets_the_same_answer(client: TestClient, tmp_path: Path) -> None:
    """By its own id: other spacing, order and proof are the same reply; other words under the id are refused."""
    one = reply(1)
    first = client.post("/replies", json=envelope(client, one))
    turned = dict(reversed(one.items()))
    again = client.post("/replies", content=json.dumps(envelope(client, turned), indent=3), headers=JSON)
    assert (again.status_code, again.json()) == (200, first.json())
    other = client.post("/replies", json=envelope(client, {**one, "text": "Something else."}))
    assert other.status_code == 409
    assert "under an id of its own" in other.json()["error"]
    assert [json.loads(document) for _, _, document in stored(tmp_path)] == [one]


def test_the_export_goes_page_by_page(client: TestClient) -> None:
    """Every reply once, in order, by number; after the last an empty page; odd questions are told as faults."""
    sent = [reply(number) for number in range(1, 8)]
    for one in sent:
        assert client.post("/replies", json=envelope(client, one)).status_code == 200
    seen: list[dict[str, Any]] = []
    while True:
        after = seen[-1]["seq"] if seen else 0
        answer = client.get(f"/export?after={after}&limit=3", headers=BEARER)
        assert answer.headers["Content-Type"] == "application/x-ndjson"
        page = [json.loads(line) for line in answer.text.splitlines()]
        assert len(page) <= 3
        if not page:
            break
        seen += page
    assert [line["reply"] for line in seen] == sent
    for query in (
        "after=-1",
        "after=1.5",
        "after=x",
        "limit=0",
        "limit=1001",
        "after=%D9%A1",
        "after=1&after=2",
        "x=1",
    ):
        assert client.get(f"/export?{query}", headers=BEARER).status_code == 422


def test_a_page_of_long_replies_is_cut_short(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """A page ends by its size too, and the next goes on where it ended."""
    monkeypatch.setattr(keeping, "PAGE_BYTES", 1_000)
    for number in range(1, 6):
        client.post("/replies", json=envelope(client, reply(number, text="x" * 400)))
    first = client.get("/export", headers=BEARER).text.splitlines()
    assert 1 <= len(first) < 5
    rest = client.get(f"/export?after={len(first)}", headers=BEARER).text.splitlines()
    assert json.loads(rest[0])["seq"] == len(first) + 1


def test_counts_say_what_came_and_nothing_of_whom(client: TestClient) -> None:
    """How many by day, and what became of calls since the start; no name, address or word."""
    one = envelope(client, reply(1))
    for sent in (one, one, {**one, "nonce": "!"}):
        client.post("/replies", json=sent)
    said = client.get("/counts", headers=BEARER).json()
    assert said["replies"] == sum(said["days"].values()) == 1
    assert said["outcomes"] == {"refused with 422": 1, "sent again": 1, "taken": 1}
    assert set(said) == {"replies", "waiting", "days", "since", "outcomes"}


def test_only_what_is_kept_elsewhere_is_deleted_in_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """Of old replies those that were fetched go, words and all; what nobody has yet stays, and so does what is new."""
    old = "2001-05-17T00:00:00Z"
    with monkeypatch.context() as earlier, TestClient(intake(chosen(tmp_path, most=4))) as client:
        earlier.setattr(serving, "_now", lambda: old)
        for number in (1, 2, 3):
            client.post("/replies", json=envelope(client, reply(number, text=f"A word to go {number}.")))
        asked = {"headers": BEARER, "params": {"after": 2, "kept": 2}}
        assert [json.loads(line)["seq"] for line in client.get("/export", **asked).text.splitlines()] == [3]
        # A number that no reply ever had is nobody's word that anything is kept.
        client.get("/export", headers=BEARER, params={"kept": 10**17})
        assert client.get("/counts", headers=BEARER).json()["waiting"] == 1
    with TestClient(intake(chosen(tmp_path, most=4))):
        assert len(stored(tmp_path)) == 3
    caplog.set_level("INFO", "ledger.replies.intake")
    with TestClient(intake(chosen(tmp_path, most=4, days=30))) as client:
        until = time.monotonic() + 30
        while len(stored(tmp_path)) > 1 and time.monotonic() < until:
            time.sleep(0.02)
        statuses = [client.post("/replies", json=envelope(client, reply(n))).status_code for n in (4, 5, 6, 7)]
        said = client.get("/counts", headers=BEARER).json()
    assert statuses == [200, 200, 200, 503]
    assert (said["replies"], said["waiting"], said["days"]["2001-05-17"]) == (4, 4, 1)
    held = b"".join(file.read_bytes() for file in tmp_path.glob("intake.sqlite*"))
    assert (b"A word to go 1." in held, b"A word to go 2." in held, b"A word to go 3." in held) == (False, False, True)
    assert "deleted 2 fetched replies" in caplog.text
    assert purge(tmp_path / "intake.sqlite", "2999-01-01") == 0


def test_a_full_store_says_so(tmp_path: Path) -> None:
    """Beyond what was set nothing new is taken; what is there is still acknowledged."""
    with TestClient(intake(chosen(tmp_path, most=2))) as client:
        statuses = [client.post("/replies", json=envelope(client, reply(n))).status_code for n in (1, 2, 3, 1)]
    assert statuses == [200, 200, 503, 200]
    assert len(stored(tmp_path)) == 2


def test_what_cannot_be_kept_is_not_acknowledged(
    client: TestClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While the store cannot be written, replies get 503 and health says so; afterwards all is well by itself."""
    assert client.get("/health").json() == {"status": "well"}
    monkeypatch.setattr("ledger.replies.database.BUSY_SECONDS", 0.05)
    with closing(sqlite3.connect(tmp_path / "intake.sqlite", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        answer = client.post("/replies", json=envelope(client, reply(1)))
        assert answer.status_code == 503
        assert answer.headers["Retry-After"]
        assert client.get("/health").status_code == 503
        other.execute("ROLLBACK")
    assert client.post("/replies", json=envelope(client, reply(1))).status_code == 200
    assert client.get("/health").status_code == 200
    assert len(stored(tmp_path)) == 1


def test_too_many_that_wait_are_sent_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The queue has an end: beyond it a sender is told to come again."""
    monkeypatch.setattr(keeping, "MOST_WAITING", 0)
    with TestClient(intake(chosen(tmp_path))) as client:
        assert client.post("/replies", json=envelope(client, reply(1))).status_code == 503


def test_many_at_once_share_transactions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Hundreds that come together reach the disk in few transactions, each outcome with its own reply."""
    sizes: list[int] = []
    add = keeping._add
    monkeypatch.setattr(
        keeping,
        "_add",
        lambda connection, replies, most: (sizes.append(len(replies)), add(connection, replies, most))[1],
    )
    keeper = Keeper(tmp_path / "intake.sqlite", 10_000)

    async def everything() -> list[str]:
        sent = [Sent(f"id-{n % 300}", "2031-05-17", f"{n // 600:064x}", "{}") for n in range(900)]
        return [kept.outcome for kept in await asyncio.gather(*map(keeper.keep, sent))]

    outcomes = asyncio.run(everything())
    keeper.close()
    assert outcomes == ["new"] * 300 + ["again"] * 300 + ["other"] * 300
    assert sum(sizes) == 900
    assert len(sizes) < 90


def test_a_caller_that_went_away_does_not_hold_up_the_others(tmp_path: Path) -> None:
    """A call that is given up while it waits is kept all the same, and the rest of its transaction is answered."""
    keeper = Keeper(tmp_path / "intake.sqlite", 10)

    async def everything() -> str:
        gone = asyncio.create_task(keeper.keep(Sent("a", "2031-05-17", "0" * 64, "{}")))
        await asyncio.sleep(0)
        gone.cancel()
        return (await keeper.keep(Sent("b", "2031-05-17", "0" * 64, "{}"))).outcome

    assert asyncio.run(everything()) == "new"
    keeper.close()
    assert keeper.counts() == {"2031-05-17": 2}


def test_another_program_s_file_is_left_alone(tmp_path: Path) -> None:
    """A ledger, or any other database, is no intake's store: it is refused, and keeps its bytes."""
    from ledger.errors import StoreDamaged, StoreRefused
    from ledger.store.engine import open_store

    path = tmp_path / "witness.sqlite"
    open_store(path)
    before = path.read_bytes()
    with pytest.raises(StoreDamaged, match="not an intake's store"):
        Keeper(path, 10)
    assert path.read_bytes() == before
    (tmp_path / "noise").write_bytes(b"no database at all" * 100)
    with pytest.raises(StoreRefused):
        Keeper(tmp_path / "noise", 10)
    with pytest.raises(StoreRefused):
        Keeper(tmp_path / "nowhere" / "intake.sqlite", 10)


def test_hostile_words_are_kept_as_they_are(client: TestClient, tmp_path: Path) -> None:
    """Whatever they try, they are words: kept to the letter, and exported as one line each."""
    sent = [reply(number, text=text, name=NAMES[number % len(NAMES)]) for number, text in enumerate(TEXTS, 1)]
    for one in sent:
        assert client.post("/replies", json=envelope(client, one)).status_code == 200
    lines = client.get("/export?limit=1000", headers=BEARER).content.split(b"\n")
    assert [json.loads(line)["reply"] for line in lines if line] == sent
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "intake.sqlite",
        "intake.sqlite-shm",
        "intake.sqlite-wal",
    ]


def test_what_was_taken_cannot_be_changed_even_by_hand(client: TestClient, tmp_path: Path) -> None:
    """The file itself refuses a change to a reply, whoever tries."""
    client.post("/replies", json=envelope(client, reply(1)))
    with closing(sqlite3.connect(tmp_path / "intake.sqlite")) as connection, pytest.raises(sqlite3.IntegrityError):
        connection.execute("UPDATE reply SET document = '{}'")


def test_not_kept_is_an_exception_of_its_own() -> None:
    """Nothing else is taken for it."""
    assert NotKept.__mro__[1] is Exception
