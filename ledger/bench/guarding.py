"""Who may speak to the bench: this computer's browser, by the address that was printed, from the bench's own page.

The bench can write entry files, so that pages of other sites, which can make a browser send things anywhere, are kept
out three times: by the token in the address, which they cannot know; by the Host header, which a name that is pointed
at this computer gives away; by Origin and Sec-Fetch-Site, which browsers let no page write.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

HOST = "127.0.0.1"
TOKEN_BYTES = 24
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; media-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
ALWAYS = {
    "Content-Security-Policy": POLICY,
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
OPEN_AGAIN = "Open the address that `witness bench` printed."


def new_token() -> str:
    """Return a token that nobody can guess."""
    return secrets.token_urlsafe(TOKEN_BYTES)


@dataclass(frozen=True)
class Guard:
    """Refuses with 403 and plain words whatever does not come from the bench's own page; sets headers on the rest."""

    app: ASGIApp
    token: str
    port: int

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Take one call."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(ALWAYS)
            await send(message)

        refusal = self._refusal(scope)
        if refusal:
            await PlainTextResponse(refusal + "\n", 403)(scope, receive, send_with_headers)
        else:
            await self.app(scope, receive, send_with_headers)

    def _refusal(self, scope: Scope) -> str:
        """Return why a call is refused, or nothing."""
        headers = Headers(scope=scope)
        here = f"{HOST}:{self.port}"
        if headers.getlist("host") != [here]:
            return f"The bench answers only at {here}. {OPEN_AGAIN}"
        if any(origin != f"http://{here}" for origin in headers.getlist("origin")):
            return f"The bench answers only its own page, not one of another site. {OPEN_AGAIN}"
        if headers.get("sec-fetch-site", "none") not in ("none", "same-origin"):
            return f"The bench answers only its own page, not one of another site. {OPEN_AGAIN}"
        given = scope["path"].split("/")[1]
        if not secrets.compare_digest(given.encode(), self.token.encode()):
            return f"The address lacks the token of this bench, or has that of an earlier one. {OPEN_AGAIN}"
        return ""
