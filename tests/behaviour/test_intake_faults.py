"""What is no reply is told so by the intake: every fault at its field, all at once, whatever was sent."""

from __future__ import annotations

import asyncio
import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from ledger.replies.document import LONGEST
from ledger.replies.intake import reading
from ledger.replies.intake.serving import intake
from tests.intake_calls import JSON
from tests.intake_calls import client as client
from tests.intakes import chosen, envelope, reply

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
