"""What surrounds every call: whose pages may send, headers that keep answers harmless, and a log without persons."""

from __future__ import annotations

import logging
import time
import traceback
from dataclasses import dataclass

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ledger.replies.intake.answering import told

ALWAYS = {
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
PATHS = ("/replies", "/challenge", "/health", "/counts", "/export", "/openapi.json")
METHODS = ("GET", "HEAD", "POST", "OPTIONS")
log = logging.getLogger("ledger.replies.intake")


@dataclass(frozen=True)
class Guard:
    """Refuses pages of other origins with 403; sets headers; logs method, address of ours, status and time alone."""

    app: ASGIApp
    origin: str

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Take one call."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        began = time.perf_counter()

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(ALWAYS)
                _record(scope, int(message["status"]), time.perf_counter() - began)
            await send(message)

        if any(origin != self.origin for origin in Headers(scope=scope).getlist("origin")):
            refusal = told(403, "This intake takes replies from the pages of its own site only.")
            await refusal(scope, receive, send_with_headers)
            return
        try:
            await self.app(scope, receive, send_with_headers)
        except Exception as error:  # It was answered already. Its words may be a person's: only its place is told.
            place = traceback.extract_tb(error.__traceback__)[-1]
            log.error("%s at %s:%s", type(error).__name__, place.filename, place.lineno)


def _record(scope: Scope, status: int, seconds: float) -> None:
    if log.isEnabledFor(logging.INFO):
        path = scope["path"] if scope["path"] in PATHS else "elsewhere"
        method = scope["method"] if scope["method"] in METHODS else "other"
        log.info("%s %s %d %.1f ms", method, path, status, seconds * 1e3)
