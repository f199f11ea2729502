"""The content security policy of a page: nothing from other hosts, no script that is not the site's own.

Scripts that stand in a page are named by their SHA-256 digest. Only a page with live numbers may evaluate, which
Brython does, and start a worker made of a text. The policy stands in the page itself, so that it holds from any server
and for a page opened by double click.
"""

from __future__ import annotations

import base64
import hashlib
import re

INLINE = re.compile(r"<script\b([^>]*)>(.*?)</script>", re.DOTALL | re.IGNORECASE)
KIND = re.compile(r"""\btype\s*=\s*["']?([^"'\s>]+)""", re.IGNORECASE)
HEAD = re.compile(r"<head\b[^>]*>", re.IGNORECASE)
# Tags as templates write them: no text of a body holds one, for there the sign < stands as a reference.
LIVE = '<div class="wl-live"'
REPLY = '<div class="wl-reply"'
SCRIPT_KINDS = ("", "module", "text/javascript", "application/javascript")
# The search of a page opened by double click works in a frame of its own, which this script begins (file-search.js).
FRAMED = ("parent.FramedWorkerReady(window)",)


def guarded(html: str, intake: str | None = None) -> str:
    """Return a page with its policy as the first thing in its head; a text without a head stays as it is.

    intake  the origin that pages with a reply form may send to
    """
    head = HEAD.search(html)
    if head is None:
        return html
    meta = f'<meta http-equiv="Content-Security-Policy" content="{policy(html, intake)}">'
    return f"{html[: head.end()]}{meta}{html[head.end() :]}"


def policy(html: str, intake: str | None = None) -> str:
    """Return the policy of a page. `file:` names the site's own folder where a page is opened by double click."""
    live = LIVE in html
    hashes = " ".join(dict.fromkeys(f"'sha256-{digest(text)}'" for text in (*_inline(html), *FRAMED)))
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src 'self' file: {hashes}" + (" 'unsafe-eval'" if live else ""),
            "style-src 'self' file: 'unsafe-inline'",
            "img-src 'self' file: data:",
            "media-src 'self' file:",
            "font-src 'self' file:",
            "connect-src 'self'" + (f" {intake}" if intake is not None and REPLY in html else ""),
            "worker-src 'self'" + (" blob:" if live else ""),
            "frame-src 'self'",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )


def digest(text: str) -> str:
    """Return the SHA-256 digest of a script's text as the policy has it."""
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _inline(html: str) -> list[str]:
    found = []
    for attributes, text in INLINE.findall(html):
        kind = KIND.search(attributes)
        if not re.search(r"\bsrc\s*=", attributes) and (kind[1].lower() if kind else "") in SCRIPT_KINDS:
            found.append(text.replace("\r\n", "\n"))
    return found
