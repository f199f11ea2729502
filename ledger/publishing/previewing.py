"""The preview's server: a page is made when it is looked at, and reloads itself when the site is laid out anew.

It serves this computer or an address that is asked for, posts nothing and keeps nothing. What it shows is a site laid
out whole, or the one before: a fault in an entry is told where the preview was started, and the pages stay.
"""

from __future__ import annotations

import asyncio
import mimetypes
import socket
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Protocol

import uvicorn
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route
from watchdog.events import FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer

from ledger.errors import WitnessError

# Editors write a file in several steps; what changes within this time is one change.
SETTLED_SECONDS = 0.05
# How long a page waits for an answer whether the site was laid out anew, before it asks again.
WAIT_SECONDS = 20.0
FRESH = {"cache-control": "no-store"}
TURN, SCRIPT = "/witness-turn", "/witness-turn.js"
RELOADING = f"""const seen = document.currentScript.dataset.turn;
(async () => {{
  for (;;) {{
    try {{
      const {{ turn }} = await (await fetch(`{TURN}?seen=${{seen}}`)).json();
      if (String(turn) !== seen) return location.reload();
    }} catch {{
      await new Promise((later) => setTimeout(later, 1000));
    }}
  }}
}})();
"""


class Site(Protocol):
    """A site laid out."""

    def get(self, path: str) -> bytes | None:
        """Return what stands at a path, or None; WitnessError where it cannot be made."""


class Preview:
    """The site that is shown now, and how often it was laid out."""

    def __init__(self, lay_out: Callable[[], Site], told: Callable[[str], None]) -> None:
        self._lay_out, self._told = lay_out, told
        self._site, self.turn = lay_out(), 1
        self._busy = threading.Lock()

    def turn_over(self) -> None:
        """Lay the site out anew; where that fails the faults are told, and the old one stays."""
        try:
            site = self._lay_out()
        except WitnessError as error:
            self._told(f"{error}\nThe pages stay as they were.")
            return
        with self._busy:
            self._site = site
            self.turn += 1

    def page(self, path: str) -> tuple[bytes | None, int]:
        """Return what stands at a path, and in which turn."""
        with self._busy:
            return self._site.get(path), self.turn


def serve(address: str, lay_out: Callable[[], Site], watched: Sequence[Path]) -> None:
    """Serve a preview at `host:port` until interrupted, laid out anew when anything watched changes.

    WitnessError where the address cannot be served, or the first site cannot be laid out.
    """
    with _bound(address) as taken:
        try:
            preview = Preview(lay_out, _say)
        except WitnessError as error:
            raise WitnessError(f"The preview has stopped. {error}") from error
        with _watching(watched, preview.turn_over):
            _say(f"Watching {', '.join(path.name for path in watched)}\nServing on http://{address}/")
            config = uvicorn.Config(
                application(preview), log_level="warning", access_log=False, lifespan="off", server_header=False,
                timeout_graceful_shutdown=1,
            )  # fmt: skip
            with suppress(KeyboardInterrupt):  # It has stopped by then, and handed the interruption on.
                uvicorn.Server(config).run(sockets=[taken])


def application(preview: Preview) -> Starlette:
    """Return what answers: pages, and whether there are new ones."""

    async def turn(request: Request) -> Response:
        seen, waited = request.query_params.get("seen", ""), 0.0
        while str(preview.turn) == seen and waited < WAIT_SECONDS:
            await asyncio.sleep(SETTLED_SECONDS)
            waited += SETTLED_SECONDS
        return JSONResponse({"turn": preview.turn}, headers=FRESH)

    async def script(request: Request) -> Response:
        return Response(RELOADING, media_type="text/javascript", headers=FRESH)

    async def page(request: Request) -> Response:
        path = request.path_params["path"]
        if not path or path.endswith("/"):
            return RedirectResponse(f"/{path}index.html")
        try:
            content, shown = await run_in_threadpool(preview.page, path)
        except WitnessError as error:
            return PlainTextResponse(f"{error}\n", 500)
        if content is None:
            return PlainTextResponse("There is no such page.\n", 404)
        if path.endswith(".html"):
            content = content.replace(
                b"</body>", f'<script src="{SCRIPT}" data-turn="{shown}"></script></body>'.encode()
            )
        return Response(content, media_type=_medium(path), headers=FRESH)

    return Starlette(routes=[Route(TURN, turn), Route(SCRIPT, script), Route("/{path:path}", page)])


def _medium(path: str) -> str:
    if path.endswith(".js"):
        return "text/javascript"
    return mimetypes.guess_type(path)[0] or "application/octet-stream"


@contextmanager
def _bound(address: str) -> Iterator[socket.socket]:
    """Give a socket that listens at `host:port`, before anything that takes long is begun."""
    host, _, port = address.rpartition(":")
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_STREAM) as taken:
        try:
            taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            taken.bind((host.strip("[]"), int(port)))
            taken.listen()
        except (OSError, ValueError, OverflowError) as error:
            raise WitnessError(
                f"The preview cannot be served at {address}: {getattr(error, 'strerror', None) or 'no host:port'}. "
                "Choose another address, such as 127.0.0.1:8001."
            ) from error
        yield taken


@contextmanager
def _watching(paths: Sequence[Path], changed: Callable[[], None]) -> Iterator[None]:
    """Have `changed` called, in one thread of its own, after anything at or under the paths changed."""
    stirred, over = threading.Event(), threading.Event()

    class Stir(FileSystemEventHandler):
        def on_any_event(self, event: FileSystemEvent) -> None:
            if event.event_type in ("created", "modified", "deleted", "moved"):
                stirred.set()

    def follow() -> None:
        while not over.is_set():
            if stirred.wait(0.5) and not over.wait(SETTLED_SECONDS):
                stirred.clear()
                changed()

    observer = Observer()
    for path in paths:
        if path.exists():
            observer.schedule(Stir(), str(path), recursive=path.is_dir())
    thread = threading.Thread(target=follow, daemon=True)
    observer.start()
    thread.start()
    try:
        yield
    finally:
        over.set()
        observer.stop()
        observer.join()


def _say(text: str) -> None:
    print(text, file=sys.stderr, flush=True)
