"""The intake keeps to its own description: what is sent by its rules and against them, and every answer to it."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from starlette.responses import JSONResponse
from starlette.testclient import TestClient
from starlette.types import ASGIApp, Receive, Scope, Send

from ledger.replies.intake.serving import intake
from tests.intakes import BEARER, chosen, envelope, reply, solve

EXAMPLES = settings(max_examples=50, deadline=None, suppress_health_check=list(HealthCheck))
FOLDER = tempfile.TemporaryDirectory()
SERVICE = intake(chosen(Path(FOLDER.name)))
DESCRIBED = schemathesis.openapi.from_asgi("/openapi.json", SERVICE)
CLIENT = TestClient(SERVICE)
TAKEN: list[str] = []
SEEN: dict[str, set[int]] = {}
MET = {
    "POST /replies": {400, 403, 405, 415, 422},
    "GET /challenge": {200, 405, 422},
    "GET /health": {200, 405},
    "GET /counts": {200, 401, 405},
    "GET /export": {200, 401, 405, 422},
}


@pytest.fixture
def both_sides() -> Iterator[None]:
    """After the calls of an address: they met acceptances, and refusals of each kind that a caller can bring about."""
    yield
    for label, statuses in SEEN.items():
        assert statuses >= MET[label]
        assert label != "POST /replies" or len(set(TAKEN)) > 5


@pytest.mark.usefixtures("both_sides")
@DESCRIBED.parametrize()
@EXAMPLES
def test_every_call_is_answered_as_described(case: schemathesis.Case) -> None:
    """By the rules and against them: status, form and headers are those of the document; nothing fails inside."""
    case.headers.update(BEARER)
    answer = case.call_and_validate()
    SEEN.setdefault(case.operation.label, set()).add(answer.status_code)
    if case.operation.label == "POST /replies" and answer.status_code == 403:
        # What keeps to the schema lacks a proof only, and is taken with one.
        name = case.body["reply"]["id"]
        challenge = CLIENT.get("/challenge", params={"id": name}).json()["challenge"]
        sent = {**case.body, "challenge": challenge, "nonce": solve(challenge)}
        assert CLIENT.post("/replies", json=sent).status_code in (200, 409)
        TAKEN.append(name)


def test_the_description_has_every_address_and_says_what_a_reply_is(tmp_path: Path) -> None:
    """Each route stands in it; a reply that keeps to its schema is a reply; nothing in it points elsewhere."""
    with TestClient(intake(chosen(tmp_path))) as client:
        said = client.get("/openapi.json").json()
        assert set(said["paths"]) == {"/replies", "/challenge", "/health", "/counts", "/export", "/openapi.json"}
        fields = said["components"]["schemas"]["ReplyDocument"]["properties"]
        assert set(fields) == set(reply(1))
        assert client.post("/replies", json=envelope(client, reply(1))).status_code == 200
    references = [str(one) for one in _references(said)]
    assert references
    assert all(one.startswith("#/components/schemas/") for one in references)


def _references(said: Any) -> list[Any]:
    if isinstance(said, dict):
        own = [said["$ref"]] if "$ref" in said else []
        return own + [one for value in said.values() for one in _references(value)]
    return [one for value in said for one in _references(value)] if isinstance(said, list) else []


class Faulty:
    """An intake with a planted fault: one status answered where another is described."""

    def __init__(self, app: ASGIApp, path: str, status: int, content: Any) -> None:
        self.app, self.path, self.status, self.content = app, path, status, content

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and scope["path"] == self.path and scope["method"] == "GET":
            await JSONResponse(self.content, self.status)(scope, receive, send)
        else:
            await self.app(scope, receive, send)


@pytest.mark.parametrize(
    ("path", "status", "content"),
    [("/health", 500, {}), ("/health", 418, {}), ("/health", 200, {"status": "ill"}), ("/counts", 200, {})],
)
def test_a_planted_fault_is_found(tmp_path: Path, path: str, status: int, content: Any) -> None:
    """The same calls refuse a service that fails, answers what is not described, or lets anyone in."""
    schema = schemathesis.openapi.from_asgi("/openapi.json", Faulty(intake(chosen(tmp_path)), path, status, content))
    operation = schema[path]["GET"]
    found: list[BaseException] = []
    case = operation.Case(headers=dict(BEARER))
    try:
        case.call_and_validate()
    except BaseExceptionGroup as group:
        found += group.exceptions
    except AssertionError as error:
        found.append(error)
    assert found
