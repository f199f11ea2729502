"""What the intake answers: JSON in every case, a sentence and the faults where something is refused."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from ledger.replies.wording import Wrong

PLAIN = {
    400: "What was sent is no JSON.",
    401: "This takes the intake's token: `Authorization: Bearer …`.",
    404: "There is nothing here.",
    405: "This cannot be done here.",
    500: "The intake failed at this. Nothing was kept; send it again later.",
}


class Refused(Exception):
    """A call that is refused, with the words and headers of the answer."""

    def __init__(
        self, status: int, error: str, faults: Sequence[Wrong] = (), headers: Mapping[str, str] | None = None
    ) -> None:
        self.status = status
        self.error = error
        self.faults = faults
        self.headers = headers
        super().__init__(error)


def said(content: Mapping[str, Any], status: int = 200, headers: Mapping[str, str] | None = None) -> Response:
    """Return an answer in JSON."""
    text = json.dumps(content, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return Response(text, status, dict(headers or {}), "application/json")


def told(status: int, error: str, faults: Sequence[Wrong] = (), headers: Mapping[str, str] | None = None) -> Response:
    """Return a refusal in JSON."""
    return said({"error": error, "faults": list(faults)}, status, headers)


async def refused(_request: Request, error: Exception) -> Response:
    """Answer what an endpoint refused."""
    assert isinstance(error, Refused)
    return told(error.status, error.error, error.faults, error.headers)


async def broken(_request: Request, _error: Exception) -> Response:
    """Answer what nobody foresaw, without a word of it: what was sent may be in it."""
    return told(500, PLAIN[500])


async def no_such(_request: Request, error: Exception) -> Response:
    """Answer for an address or a method that is not there."""
    assert isinstance(error, HTTPException)
    return told(error.status_code, PLAIN.get(error.status_code, "That was refused."), (), error.headers)
