"""Whom the intake answers, what work and token it asks for, and what it says of nobody."""

from __future__ import annotations

import logging
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from ledger.replies.intake import serving
from ledger.replies.intake.serving import intake
from tests.intake_calls import client as client
from tests.intake_calls import stored
from tests.intakes import BEARER, ORIGIN, chosen, envelope, reply


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


def test_the_intake_loads_nothing_of_a_ledger() -> None:
    """Its process has no code that could read or change one."""
    code = (
        "import sys, ledger.replies.intake.hosting; "
        "print([name for name in sys.modules if name.startswith(('ledger.store', 'ledger.casebook', 'sqlalchemy'))])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
