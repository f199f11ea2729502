"""Calls read within bounds: bodies of bounded size and time, queries without anything unknown, tokens."""

from __future__ import annotations

import asyncio
import hmac
import re
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, ValidationError
from starlette.requests import ClientDisconnect, Request

from ledger.replies.document import ReplyDocument, Strict
from ledger.replies.intake.answering import PLAIN, Refused
from ledger.replies.intake.proving import CHALLENGE, NONCE
from ledger.replies.strictly import loads
from ledger.replies.wording import Wrong, given, wrongs

MOST_BYTES = 262_144
SECONDS = 15.0


class Envelope(Strict):
    """What a reader's page sends: the reply, its proof of work, and a field that people cannot see and leave empty."""

    reply: ReplyDocument
    challenge: Annotated[str, StringConstraints(pattern=CHALLENGE)]
    nonce: Annotated[str, StringConstraints(pattern=NONCE)]
    homepage: Annotated[Literal[""], Field(description="A trap for programs that fill everything in: stays empty.")] = (
        ""
    )


async def envelope(request: Request) -> Envelope:
    """Return what was sent. Raises Refused with 400, 408, 413, 415 or 422."""
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
        raise Refused(415, "The intake takes JSON only.")
    if request.headers.get("content-encoding", "identity").strip().lower() != "identity":
        raise Refused(415, "The intake takes what was sent as it is, not compressed.")
    try:
        async with asyncio.timeout(SECONDS):
            body = await _body(request)
    except TimeoutError as error:
        raise Refused(408, f"What was sent did not arrive within {SECONDS:g} seconds.") from error
    except ClientDisconnect as error:
        raise Refused(400, "The call was cut off.") from error
    try:
        data = loads(body)
    except ValueError as error:
        wrong = Wrong(field="", given=str(error), expected="one JSON object", remedy="Send it anew.")
        raise Refused(400, PLAIN[400], [wrong]) from error
    try:
        return Envelope.model_validate(data)
    except ValidationError as error:
        raise Refused(422, "What was sent is no reply that can be taken.", wrongs(error)) from error


async def _body(request: Request) -> bytes:
    length = request.headers.get("content-length", "0")
    body = bytearray()
    if length.isascii() and length.isdigit() and int(length[:12]) > MOST_BYTES:
        raise Refused(413, f"The intake takes {MOST_BYTES:,} bytes at most.", headers={"Connection": "close"})
    async for piece in request.stream():
        body += piece
        if len(body) > MOST_BYTES:
            raise Refused(413, f"The intake takes {MOST_BYTES:,} bytes at most.", headers={"Connection": "close"})
    return bytes(body)


def query(request: Request, known: Mapping[str, tuple[str, str]]) -> dict[str, str]:
    """Return the query; `known` has for each parameter its pattern and what is expected. Raises Refused with 422."""
    found: dict[str, str] = {}
    faults = []
    for name, value in request.query_params.multi_items():
        if name not in known:
            faults.append(_wrong(name, value, "no such parameter", "Take it out."))
        elif name in found:
            faults.append(_wrong(name, value, "one of it", "Give it once."))
        elif not re.fullmatch(known[name][0], value, re.ASCII):
            faults.append(_wrong(name, value, known[name][1], "Mend it."))
        found[name] = value
    if faults:
        raise Refused(422, "The query cannot be read.", faults)
    return found


def missing(name: str, expected: str) -> Refused:
    """Return the refusal of a query that lacks a parameter."""
    return Refused(422, "The query cannot be read.", [_wrong(name, None, expected, f"Add `?{name}=`.")])


def require_token(request: Request, token: str | None) -> None:
    """Let a call pass that carries the token; raise Refused with 401 for any other."""
    scheme, _, said = request.headers.get("authorization", "").partition(" ")
    right = token is not None and hmac.compare_digest(said.strip().encode(), token.encode())
    if scheme.lower() != "bearer" or not right:
        raise Refused(401, PLAIN[401], headers={"WWW-Authenticate": "Bearer"})


def _wrong(name: str, value: Any, expected: str, remedy: str) -> Wrong:
    return Wrong(field=name[:80], given="nothing" if value is None else given(value), expected=expected, remedy=remedy)
