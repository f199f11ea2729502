"""What a reader's page, and whoever runs the intake, get to see: every answer of the service, and what it keeps."""

from __future__ import annotations

import asyncio
import json
import logging
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from ledger.replies.document import LONGEST
from ledger.replies.intake import keeping, reading, serving
from ledger.replies.intake.keeping import Keeper, NotKept, Sent, purge
from ledger.replies.intake.serving import intake
from tests.hostile import NAMES, TEXTS
from tests.intakes import BEARER, ORIGIN, chosen, envelope, reply


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """A running intake."""
    with TestClient(intake(chosen(tmp_path)), raise_server_exceptions=False) as one:
        yield one


def stored(folder: Path) -> list[tuple[Any, ...]]:
    """What the intake's file holds."""
    with closing(sqlite3.connect(folder / "intake.sqlite")) as connection:
        return connection.execute("SELECT seq, id, document FROM reply ORDER BY seq").fetchall()


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


JSON = {"Content-Type": "application/json"}
FAULTS: list[tuple[dict[str, Any], str]] = [
    ({"version": 2}, "reply.version"),
    ({"version": True}, "reply.version"),
    ({"id": "1"}, "reply.id"),
    ({"id": "00000000-0000-4000-8000-00000000000A"}, "reply.id"),
    ({"about": "evidence/../../etc/passwd"}, "reply.about"),
    ({"about": "evidence/x\n"}, "reply.about"),
    ({"about": "nothing/x"}, "reply.about"),
    ({"stance": "angry"}, "reply.stance"),
    ({"text": ""}, "reply.text"),
    ({"text": " \n\u00a0"}, "reply.text"),
    ({"text": "bell \x07"}, "reply.text"),
    ({"text": "x" * (LONGEST + 1)}, "reply.text"),
    ({"name": "two\nlines"}, "reply.name"),
    ({"name": "turned \u202e round"}, "reply.name"),
    ({"name": "x" * 81}, "reply.name"),
    ({"contact": "\x1b[31m"}, "reply.contact"),
    ({"consent": "yes"}, "reply.consent"),
    ({"consent": 1}, "reply.consent"),
    ({"credit": None}, "reply.credit"),
    ({"sent": "2031-02-30"}, "reply.sent"),
    ({"sent": "2031-5-7"}, "reply.sent"),
    ({"sent": "٢٠٣١-٠٥-١٧"}, "reply.sent"),
    ({"edition": {"number": -1, "fingerprint": "0" * 64}}, "reply.edition.number"),
    ({"edition": {"number": 1, "fingerprint": "z" * 64}}, "reply.edition.fingerprint"),
    ({"edition": 3}, "reply.edition"),
    ({"confidences": {"hypotheses/drum": 1.5}}, "reply.confidences.hypotheses/drum"),
    ({"confidences": {"drum": 0.5}}, "reply.confidences.drum"),
    ({"confidences": {f"hypotheses/h-{number}": 0.01 for number in range(51)}}, "reply.confidences"),
    ({"inputs": {"calculations/x": {"A B": "1"}}}, "reply.inputs.calculations/x.A B"),
    ({"inputs": {"calculations/x": {"a": "1\n"}}}, "reply.inputs.calculations/x.a"),
    ({"inputs": {"x": {}}}, "reply.inputs.x"),
    ({"surprise": 1}, "reply.surprise"),
]


@pytest.mark.parametrize(("changes", "field"), FAULTS, ids=lambda part: part if isinstance(part, str) else "")
def test_each_fault_is_told_at_its_field(client: TestClient, changes: dict[str, Any], field: str) -> None:
    """Place, what was given, what was expected and how to mend it, for each; nothing is kept."""
    answer = client.post("/replies", json=envelope(client, reply(1), reply=reply(1, **changes)))
    assert answer.status_code == 422
    (fault,) = answer.json()["faults"]
    assert fault["field"] == field
    assert all(fault[part] for part in ("given", "expected", "remedy"))
    assert "pattern" not in fault["expected"]


def test_all_faults_are_told_at_once(client: TestClient) -> None:
    """A reply with everything wrong is told everything, and no sign in a fault can do anything to who reads it."""
    wrong: dict[str, Any] = {}
    for changes, _ in FAULTS[5:]:
        wrong |= changes
    answer = client.post("/replies", json={"reply": {**reply(1), **wrong, "\x1b[2J": 1}, "nonce": "-", "more": 1})
    fields = [fault["field"] for fault in answer.json()["faults"]]
    assert len(fields) == len(set(fields)) == len({field for _, field in FAULTS[5:]} - {"reply.edition.number",
        "reply.edition.fingerprint", "reply.confidences.hypotheses/drum", "reply.confidences.drum",
        "reply.inputs.calculations/x.A B", "reply.inputs.calculations/x.a"}) + 4  # fmt: skip
    assert {"challenge", "nonce", "more", "reply.\\x1b[2J"} <= set(fields)
    assert "\x1b" not in answer.text


def test_missing_fields_are_told(client: TestClient) -> None:
    """Whatever must be there and is not."""
    answer = client.post("/replies", json={"reply": {}})
    assert {fault["field"] for fault in answer.json()["faults"]} == {
        "challenge", "nonce", "reply.about", "reply.consent", "reply.credit", "reply.id", "reply.sent", "reply.stance",
        "reply.text", "reply.version",
    }  # fmt: skip


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]x",
        b"\xff\xfe{}",
        b'{"a":1,"a":2}',
        b'{"a":NaN}',
        b"[" * 100_000,
        b"9" * 5_000,
        b"nul",
        b"\xef\xbb\xbf{}",
    ],
    ids=range(10),
)
def test_what_is_no_json_is_told_as_such(client: TestClient, body: bytes) -> None:
    """Broken, not UTF-8, with a name twice, with numbers that are none, too deep, too long a number."""
    answer = client.post("/replies", content=body, headers=JSON)
    assert answer.status_code == 400
    assert answer.json()["error"] == "What was sent is no JSON."
    assert answer.json()["faults"][0]["given"]


def test_a_half_surrogate_is_no_text(client: TestClient) -> None:
    """Half a sign written as an escape is told, and never reaches the store."""
    body = json.dumps(envelope(client, reply(1))).replace("I counted", "\\ud83e counted")
    answer = client.post("/replies", content=body, headers=JSON)
    assert answer.status_code == 422
    assert answer.json()["faults"][0]["field"] == "reply.text"


def test_a_body_is_bounded_while_it_comes(client: TestClient, tmp_path: Path) -> None:
    """Whatever its header says, or with none, a body that is too long is cut off; the header alone is enough too."""
    answer = client.post("/replies", content=b" " * (reading.MOST_BYTES + 1), headers=JSON)
    assert answer.status_code == 413
    assert "262,144 bytes" in answer.json()["error"]
    for length in ([], [(b"content-length", b"10")], [(b"content-length", b"-1")], [(b"content-length", b"9" * 5_000)]):
        pieces = [0]

        async def endless(pieces: list[int] = pieces) -> dict[str, Any]:
            pieces[0] += 1
            return {"type": "http.request", "body": b" " * 10_000, "more_body": True}

        assert asyncio.run(called(tmp_path, length, endless)) == 413
        assert pieces[0] <= reading.MOST_BYTES // 10_000 + 1


async def called(folder: Path, headers: list[tuple[bytes, bytes]], receive: Any) -> int:
    """Post to an intake as a server would, with a body that comes as `receive` gives it; return the status."""
    statuses: list[int] = []

    async def send(message: Any) -> None:
        if message["type"] == "http.response.start":
            statuses.append(message["status"])

    scope = {
        "type": "http", "method": "POST", "path": "/replies", "raw_path": b"/replies", "query_string": b"",
        "headers": [(b"content-type", b"application/json"), *headers], "client": ("127.0.0.1", 1),
        "http_version": "1.1", "scheme": "http",
    }  # fmt: skip
    await intake(chosen(folder))(scope, receive, send)
    return statuses[0]


def test_the_longest_text_fits_in_any_script(client: TestClient) -> None:
    """20,000 signs are taken, of four bytes each, and escaped by whoever writes JSON that way."""
    for number, sign in enumerate("x\u0436\U0001f9ed", 1):
        one = envelope(client, reply(number, text=sign * LONGEST))
        for escaped in (False, True):
            content = json.dumps(one, ensure_ascii=escaped).encode()
            if len(content) <= reading.MOST_BYTES:
                assert client.post("/replies", content=content, headers=JSON).status_code == 200


def test_a_body_that_does_not_come_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A sender that goes silent is told so after a while."""
    monkeypatch.setattr(reading, "SECONDS", 0.05)

    async def silent() -> dict[str, Any]:
        await asyncio.sleep(5)
        return {"type": "http.disconnect"}

    assert asyncio.run(called(tmp_path, [], silent)) == 408


@pytest.mark.parametrize(
    "headers",
    [{"Content-Type": "text/plain"}, {"Content-Type": "application/jsonp"}, {}, {**JSON, "Content-Encoding": "gzip"}],
    ids=str,
)
def test_only_plain_json_is_taken(client: TestClient, headers: dict[str, str]) -> None:
    """A form of another page could send text; compressed bodies could swell."""
    answer = client.post("/replies", content=b"{}", headers=headers)
    assert answer.status_code == 415


def test_the_trap_for_programs_is_told_openly(client: TestClient, tmp_path: Path) -> None:
    """A field that people do not see must be empty. Whoever filled it in is told, so that nobody's reply is lost."""
    answer = client.post("/replies", json=envelope(client, reply(1), homepage="https://pills.example"))
    assert answer.status_code == 422
    assert [fault["field"] for fault in answer.json()["faults"]] == ["homepage"]
    assert stored(tmp_path) == []
    assert client.post("/replies", json=envelope(client, reply(1), homepage="")).status_code == 200


def test_a_proof_holds_for_its_reply_alone(client: TestClient, tmp_path: Path) -> None:
    """A proof that is replayed for another reply, altered, or wrong is refused, and nothing is kept."""
    proof = envelope(client, reply(1))
    bits, expiry, signature = proof["challenge"].split(".")
    for changes in (
        {"reply": reply(2)},
        {"challenge": f"{bits}.{int(expiry) + 1}.{signature}"},
        {"challenge": f"0.{expiry}.{signature}"},
        {"challenge": f"{bits}.{expiry}.{'0' * 64}"},
        {"nonce": next(str(n) for n in range(99) if n != int(proof["nonce"]) and not good(proof["challenge"], str(n)))},
    ):
        answer = client.post("/replies", json={**proof, **changes})
        assert answer.status_code == 403
        assert "proof of work" in answer.json()["error"]
    assert stored(tmp_path) == []
    assert client.post("/replies", json=proof).status_code == 200


def good(challenge: str, nonce: str) -> bool:
    """Whether a nonce answers a challenge of four bits, found without the program's own judgement."""
    import hashlib

    return hashlib.sha256(f"{challenge}:{nonce}".encode()).hexdigest()[0] == "0"


def test_a_challenge_grows_old_and_too_light(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After its time a challenge is void, and so is one that asks for less work than is asked for now."""
    with TestClient(intake(chosen(tmp_path, bits=2))) as before:
        light = envelope(before, reply(1))
        later = serving.time.time() + 3_601
        monkeypatch.setattr(serving.time, "time", lambda: later)
        answer = before.post("/replies", json=light)
        assert (answer.status_code, "too old" in answer.json()["error"]) == (403, True)
        monkeypatch.undo()
    with TestClient(intake(chosen(tmp_path, bits=6))) as after:
        answer = after.post("/replies", json=light)
        assert (answer.status_code, "less work" in answer.json()["error"]) == (403, True)


def test_a_challenge_outlives_a_restart(tmp_path: Path) -> None:
    """Whoever solved one while the intake was started anew has not worked for nothing."""
    with TestClient(intake(chosen(tmp_path))) as before:
        sent = envelope(before, reply(1))
    with TestClient(intake(chosen(tmp_path))) as after:
        assert after.post("/replies", json=sent).status_code == 200


def test_an_address_that_sends_too_often_waits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """So many at once, and later again; others are not held up; the answer says how long."""
    app = intake(chosen(tmp_path, burst=2, hourly=60.0))
    with TestClient(app) as one, TestClient(app, client=("203.0.113.9", 1)) as another:
        sent = [envelope(one, reply(number)) for number in range(1, 5)]
        statuses = [one.post("/replies", json=each).status_code for each in sent[:3]]
        assert statuses == [200, 200, 429]
        refused = one.post("/replies", json=sent[2], headers={"Origin": ORIGIN})
        assert 1 <= int(refused.headers["Retry-After"]) <= 61
        assert refused.headers["Access-Control-Expose-Headers"] == "Retry-After"
        assert another.post("/replies", json=sent[3]).status_code == 200
        later = serving.time.monotonic() + 61
        monkeypatch.setattr(serving.time, "monotonic", lambda: later)
        assert one.post("/replies", json=sent[2]).status_code == 200


def test_only_the_site_s_own_pages_may_send(client: TestClient) -> None:
    """By exact origin: a page of any other, near or far, is refused before anything is read, and may read no answer."""
    sent = envelope(client, reply(1))
    for origin in ("https://evil.example", "https://site.example.evil.example", "http://site.example", "null",
                   "https://site.example:8443", "https://SITE.example", ""):  # fmt: skip
        answer = client.post("/replies", json=sent, headers={"Origin": origin})
        assert answer.status_code == 403
        assert "Access-Control-Allow-Origin" not in answer.headers
        assert client.options("/replies", headers={"Origin": origin, **ASKING}).status_code == 403
    answer = client.post("/replies", json=sent, headers={"Origin": ORIGIN})
    assert answer.status_code == 200
    assert answer.headers["Access-Control-Allow-Origin"] == ORIGIN
    assert "Access-Control-Allow-Credentials" not in answer.headers
    asked = client.options("/replies", headers={"Origin": ORIGIN, **ASKING})
    assert asked.status_code == 200
    assert asked.headers["Access-Control-Allow-Origin"] == ORIGIN


ASKING = {"Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "content-type"}


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/", 404), ("GET", "/replies/", 404), ("GET", "/replies/1", 404), ("POST", "/export/../replies/x", 404),
        ("GET", "/replies", 405), ("PUT", "/replies", 405), ("DELETE", "/replies", 405), ("PATCH", "/export", 405),
        ("POST", "/health", 405), ("OPTIONS", "/health", 405), ("GET", "/docs", 404),
    ],
)  # fmt: skip
def test_there_is_nothing_else(client: TestClient, method: str, path: str, status: int) -> None:
    """Every other address and method is refused in JSON, and says which methods there are."""
    answer = client.request(method, path)
    assert answer.status_code == status
    assert set(answer.json()) == {"error", "faults"}
    assert ("Allow" in answer.headers) is (status == 405)


@pytest.mark.parametrize("path", ["/health", "/nowhere", "/openapi.json", "/counts"])
def test_every_answer_is_harmless_in_a_browser(client: TestClient, path: str) -> None:
    """Headers forbid to guess types, to frame, to keep, to run anything."""
    headers = client.get(path).headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    assert headers["Cache-Control"] == "no-store"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Content-Type"] == "application/json"


@pytest.mark.parametrize("query", ["", "?id=1", f"?id={reply(1)['id']}&id={reply(1)['id']}", "?id=&x=1", "?other=1"])
def test_a_challenge_is_for_one_id(client: TestClient, query: str) -> None:
    """Without it, with two, with something else, all that is wrong is told."""
    answer = client.get(f"/challenge{query}")
    assert answer.status_code == 422
    assert answer.json()["faults"]


@pytest.mark.parametrize("path", ["/counts", "/export"])
def test_counts_and_export_take_the_token(client: TestClient, tmp_path: Path, path: str) -> None:
    """Without it, with another, or by another scheme they are closed; without one set, they are closed to all."""
    right = BEARER["Authorization"]
    for said in ("", "Bearer x", right[:-1], f"{right}x", f"Basic {right[7:]}", "Bearer "):
        answer = client.get(path, headers={"Authorization": said} if said else {})
        assert (answer.status_code, answer.headers["WWW-Authenticate"]) == (401, "Bearer")
    assert client.get(path, headers=BEARER).status_code == 200
    (tmp_path / "closed").mkdir()
    with TestClient(intake(chosen(tmp_path / "closed", token=None))) as closed:
        for headers in (BEARER, {"Authorization": "Bearer "}, {"Authorization": "Bearer None"}):
            assert closed.get(path, headers=headers).status_code == 401


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


def test_the_log_holds_nothing_of_a_person(client: TestClient, caplog: pytest.LogCaptureFixture) -> None:
    """Method, one of our addresses, status and time; no address, id, name, word, query or header of the sender."""
    caplog.set_level(logging.DEBUG, "ledger.replies.intake")
    one = reply(1, name="Unrepeatable Person", text="Unrepeatable words", contact="someone@site.example")
    secret = {"User-Agent": "Unrepeatable browser", "X-Forwarded-For": "203.0.113.77"}
    client.post("/replies", json=envelope(client, one), headers=secret)
    client.post("/replies", json={"reply": {"Unrepeatable": 1}}, headers=secret)
    client.get("/Unrepeatable/path?someone@site.example", headers=secret)
    client.request("UNREPEATABLE", "/replies", headers=secret)
    said = " ".join(record.getMessage() for record in caplog.records if record.name == "ledger.replies.intake")
    assert "POST /replies 200" in said
    assert "GET elsewhere 404" in said
    for word in ("Unrepeatable", "UNREPEATABLE", "someone", one["id"], "203.0.113", "testclient"):
        assert word not in said


def test_a_failure_that_nobody_foresaw_says_nothing(
    client: TestClient, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The sender gets 500 in JSON, the log where it happened; neither has a word of what was sent."""

    def broken(*_: Any) -> str:
        raise RuntimeError("Unrepeatable words")

    sent = envelope(client, reply(1))
    monkeypatch.setattr(serving, "canonical", broken)
    answer = client.post("/replies", json=sent)
    assert answer.status_code == 500
    assert set(answer.json()) == {"error", "faults"}
    assert "RuntimeError at" in caplog.text
    assert "Unrepeatable" not in caplog.text + answer.text


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


def test_the_intake_loads_nothing_of_a_ledger() -> None:
    """Its process has no code that could read or change one."""
    code = (
        "import sys, ledger.replies.intake.hosting; "
        "print([name for name in sys.modules if name.startswith(('ledger.store', 'ledger.casebook', 'sqlalchemy'))])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_not_kept_is_an_exception_of_its_own() -> None:
    """Nothing else is taken for it."""
    assert NotKept.__mro__[1] is Exception
