"""The bench's addresses, and the server on this computer alone."""

from __future__ import annotations

import json
import mimetypes
import socket
import warnings
from collections.abc import Awaitable, Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

import uvicorn
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import Mount, Route
from starlette.types import ASGIApp

from ledger.bench.asking import Draft, Part, Picks, asked
from ledger.bench.choosing import digest_of, listing, reopened
from ledger.bench.composing import Written, compose
from ledger.bench.following import followed
from ledger.bench.guarding import HOST, Guard
from ledger.bench.measuring import measured
from ledger.bench.rectifying import rectified
from ledger.bench.replying import Acceptance, Decision, accepted, decided, listed, pools, shown
from ledger.bench.saving import save
from ledger.bench.showing import Shown, first_look, photograph, recording, told
from ledger.bench.spectrum import spectrogram
from ledger.bench.telling import refused
from ledger.errors import WitnessError

ASSETS = Path(__file__).parent / "assets"
MOST_BYTES = 1_000_000
Work = Callable[[Path, Any], Any]
Endpoint = Callable[[Request], Awaitable[Response]]


class TooMuch(Exception):
    """More was sent than any page of ours sends."""


def bench(root: Path, token: str, port: int) -> ASGIApp:
    """Return the bench of an investigation, which answers at `http://127.0.0.1:port/token/` and nowhere else."""
    routes = [
        Route("/", _page),
        Route("/assets/{name}", _asset),
        Route("/listing", _answering(root, lambda at, _: listing(at))),
        Route("/entry", _answering(root, lambda at, request: reopened(at, _named(request, "ref")))),
        Route("/picture", _answering(root, lambda at, request: told(at, _named(request, "file")))),
        Route("/photograph", _showing(root, _photograph)),
        Route("/recording", _showing(root, lambda at, request: recording(at, _named(request, "file")))),
        Route(
            "/spectrogram",
            _answering(root, lambda at, request: spectrogram(at, asked(Part, dict(request.query_params)))),
        ),
        Route("/followed", _taking(root, lambda at, given: followed(at, asked(Picks, given))), methods=["POST"]),
        Route("/measure", _taking(root, lambda at, given: measured(at, asked(Picks, given))), methods=["POST"]),
        Route("/rectified", _taking(root, lambda at, given: rectified(at, asked(Picks, given))), methods=["POST"]),
        Route("/draft", _taking(root, _draft), methods=["POST"]),
        Route("/save", _taking(root, _save), methods=["POST"]),
        Route("/replies", _replies),
        Route("/received", _answering(root, lambda at, _: listed(at))),
        Route("/reply", _answering(root, lambda at, request: shown(at, _named(request, "id")))),
        Route("/pools", _answering(root, lambda at, _: pools(at))),
        Route("/accept", _taking(root, lambda at, given: accepted(at, asked(Acceptance, given))), methods=["POST"]),
        Route("/decide", _taking(root, lambda at, given: decided(at, asked(Decision, given))), methods=["POST"]),
    ]
    return Guard(Starlette(routes=[Mount(f"/{token}", routes=routes)]), token, port)


def serve(root: Path, token: str, taken: socket.socket) -> None:
    """Serve the bench at a socket that is bound already, until interrupted."""
    app = bench(root, token, taken.getsockname()[1])
    # Fits say on the way that a step found nothing better; what comes of them is told on the page.
    warnings.filterwarnings("ignore", category=RuntimeWarning, module=r"scipy\.optimize")
    config = uvicorn.Config(app, log_level="warning", access_log=False, lifespan="off", server_header=False)
    with suppress(KeyboardInterrupt):  # It has stopped by then, and handed the interruption on.
        uvicorn.Server(config).run(sockets=[taken])


def free_socket(port: int = 0) -> socket.socket:
    """Return a socket that listens on this computer alone, at a port or at a free one. OSError where it is taken.

    Whoever calls before the server runs is kept waiting, not turned away.
    """
    taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    taken.bind((HOST, port))
    taken.listen()
    return taken


async def _page(request: Request) -> Response:
    return FileResponse(ASSETS / "bench.html")


async def _replies(request: Request) -> Response:
    return FileResponse(ASSETS / "replies.html")


async def _asset(request: Request) -> Response:
    name = request.path_params["name"]
    if name not in {file.name for file in ASSETS.iterdir() if file.is_file()}:
        return PlainTextResponse("There is no such file.\n", 404)
    kind = "text/javascript" if name.endswith(".js") else mimetypes.guess_type(name)[0]
    return FileResponse(ASSETS / name, media_type=kind)


def _answering(root: Path, work: Work) -> Endpoint:
    async def endpoint(request: Request) -> Response:
        return await _told(lambda: work(root, request))

    return endpoint


def _taking(root: Path, work: Work) -> Endpoint:
    async def endpoint(request: Request) -> Response:
        if request.headers.get("content-type", "").partition(";")[0].strip() != "application/json":
            return PlainTextResponse("The bench takes JSON only.\n", 415)
        try:
            given = json.loads(await _body(request), parse_constant=_no_number)
        except TooMuch:
            return PlainTextResponse(f"The bench takes {MOST_BYTES} bytes at most.\n", 413)
        except (ValueError, RecursionError):
            return PlainTextResponse("What was sent is no JSON.\n", 400)
        return await _told(lambda: work(root, given))

    return endpoint


def _photograph(root: Path, request: Request) -> Shown:
    name, wanted = _named(request, "file"), _named(request, "as")
    return first_look(root, name) if wanted == "first-look" else photograph(root, name, anew=wanted == "anew")


def _showing(root: Path, work: Callable[[Path, Request], Shown]) -> Endpoint:
    async def endpoint(request: Request) -> Response:
        try:
            found = await run_in_threadpool(work, root, request)
        except WitnessError as error:
            return JSONResponse({"wrong": refused(error)}, 422)
        if isinstance(found.content, Path):
            return FileResponse(found.content, media_type=found.medium)
        return Response(found.content, media_type=found.medium)

    return endpoint


async def _told(work: Callable[[], Any]) -> Response:
    """Return what work gives, or what is wrong, with 422; work is done beside, so that the server stays at hand."""
    try:
        return JSONResponse(await run_in_threadpool(work))
    except WitnessError as error:
        return JSONResponse({"wrong": refused(error)}, 422)


async def _body(request: Request) -> bytes:
    body = bytearray()
    async for piece in request.stream():
        body += piece
        if len(body) > MOST_BYTES:
            raise TooMuch
    return bytes(body)


def _draft(root: Path, given: Any) -> dict[str, Any]:
    return {"files": _files(compose(root, asked(Draft, given)))}


def _save(root: Path, given: Any) -> dict[str, Any]:
    written = compose(root, asked(Draft, given))
    report = save(root, written)
    return {"files": _files(written), "report": report}


def _files(written: Sequence[Written]) -> list[dict[str, str]]:
    """Return files as the page shows them, with the digest by which it revises them."""
    return [{"ref": one.ref, "text": one.text, "was": digest_of(one.text)} for one in written]


def _named(request: Request, name: str) -> str:
    return request.query_params.get(name, "")


def _no_number(name: str) -> float:
    raise ValueError(name)
