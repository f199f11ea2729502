"""The intake's addresses, and the service that any ASGI host can run.

GET  /challenge?id=UUID   a challenge for the reply with that id
POST /replies             takes a reply, with its proof; the same reply again gets the same answer
GET  /health              whether replies can be kept
GET  /counts              how many came, and what was refused since the start    (token)
GET  /export?after=&limit= replies in the order they came, a JSON object a line  (token)
                          `kept=` says up to which number all are kept elsewhere, so that they may be deleted here
GET  /openapi.json        all of this, described

Set up so, replies that are kept elsewhere are deleted some days after they came: at the start, and every hour.
"""

from __future__ import annotations

import asyncio
import json
import os
import time
from collections import Counter
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime, timedelta

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware.cors import CORSMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp

from ledger.errors import StoreRefused
from ledger.replies.document import UUID, canonical, digest
from ledger.replies.intake.answering import Refused, broken, no_such, refused, said
from ledger.replies.intake.describing import description
from ledger.replies.intake.guarding import Guard, log
from ledger.replies.intake.keeping import Keeper, NotKept, Sent, exported, fetched_until, purge
from ledger.replies.intake.limiting import Limiter, address_of
from ledger.replies.intake.proving import Prover
from ledger.replies.intake.reading import envelope, missing, query, require_token
from ledger.replies.intake.settings import Settings, from_environment

PAGE = 500
LATER = 5
PURGE_SECONDS = 3600.0
_WHOLE = "[0-9]{1,18}"


def intake(settings: Settings) -> ASGIApp:
    """Return the service. Raises StoreRefused where its store cannot be used."""
    service = _Service(settings)

    @asynccontextmanager
    async def lifespan(_app: Starlette) -> AsyncIterator[None]:
        service.keeper.start()
        purging = asyncio.create_task(service.purge_always()) if settings.days is not None else None
        yield
        if purging is not None:
            purging.cancel()
        await run_in_threadpool(service.keeper.close)

    app = Starlette(
        routes=[
            Route("/replies", service.take, methods=["POST"]),
            Route("/challenge", service.challenge),
            Route("/health", service.health),
            Route("/counts", service.counts),
            Route("/export", service.export),
            Route("/openapi.json", service.described),
        ],
        exception_handlers={Refused: refused, HTTPException: no_such, Exception: broken},
        lifespan=lifespan,
    )
    # A path with a slash too many is no other path's: there is nothing there, and no redirect.
    app.router.redirect_slashes = False
    cors = CORSMiddleware(
        app,
        allow_origins=[settings.origin],
        allow_methods=["GET", "POST"],
        allow_headers=["Content-Type"],
        expose_headers=["Retry-After"],
        max_age=600,
    )
    return Guard(cors, settings.origin)


def from_surroundings() -> ASGIApp:
    """Return the service as the environment sets it up, for hosts that call a factory."""
    return intake(from_environment(os.environ))


class _Service:
    """One running intake: its store, its limits, and what it counted since it was started."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.keeper = Keeper(settings.store, settings.most)
        self.prover = Prover(self.keeper.secret, settings.bits, settings.lasting)
        self.limiter = Limiter(settings.burst, settings.hourly)
        self.outcomes: Counter[str] = Counter()
        self.since = _now()

    async def take(self, request: Request) -> Response:
        """Take a reply: acknowledged only once it is on the disk."""
        try:
            answer = await self._take(request)
        except Refused as error:
            self.outcomes[f"refused with {error.status}"] += 1
            raise
        return answer

    async def _take(self, request: Request) -> Response:
        address = address_of(request.scope, self.settings.trusted, self.settings.unix)
        seconds = self.limiter.wait(address, time.monotonic())
        if seconds:
            after = {"Retry-After": str(int(seconds) + 1)}
            raise Refused(
                429, f"That is too many at once from there. Try again in {int(seconds) + 1} s.", headers=after
            )
        query(request, {})
        sent = await envelope(request)
        reply = sent.reply
        wrong = self.prover.wrong(reply.id, sent.challenge, sent.nonce, time.time())
        if wrong:
            raise Refused(403, f"The proof of work does not hold. {wrong} Ask for a new challenge.")
        try:
            kept = await self.keeper.keep(Sent(reply.id, _now()[:10], digest(reply), canonical(reply)))
        except NotKept as error:
            words = "The reply could not be kept now. Send it again."
            raise Refused(503, words, headers={"Retry-After": str(LATER)}) from error
        if kept.outcome == "other":
            raise Refused(409, "Another reply was taken under this id. Send yours under an id of its own.")
        if kept.outcome == "full":
            raise Refused(503, "The intake is full. Send the reply by another way.", headers={"Retry-After": "86400"})
        self.outcomes["taken" if kept.outcome == "new" else "sent again"] += 1
        return said({"id": reply.id, "received": kept.received})

    async def challenge(self, request: Request) -> Response:
        """Give a challenge."""
        asked = query(request, {"id": (UUID, "a UUID in small letters")})
        if "id" not in asked:
            raise missing("id", "the reply's UUID")
        made = self.prover.challenge(asked["id"], time.time())
        return said({"challenge": made, "bits": self.settings.bits, "seconds": self.settings.lasting})

    async def health(self, request: Request) -> Response:
        """Say whether replies can be kept."""
        query(request, {})
        if not self.keeper.well:
            raise Refused(503, "Replies cannot be kept: see to the store.", headers={"Retry-After": str(LATER)})
        return said({"status": "well"})

    async def counts(self, request: Request) -> Response:
        """Say how many replies came, by day, and what became of calls since the start."""
        require_token(request, self.settings.token)
        query(request, {})
        try:
            days = await run_in_threadpool(self.keeper.counts)
            waiting = await run_in_threadpool(self.keeper.waiting_to_be_fetched)
        except StoreRefused as error:
            raise Refused(503, "The store cannot be read now.", headers={"Retry-After": str(LATER)}) from error
        outcomes = dict(sorted(self.outcomes.items()))
        replies = sum(days.values())
        return said({"replies": replies, "waiting": waiting, "days": days, "since": self.since, "outcomes": outcomes})

    async def export(self, request: Request) -> Response:
        """Hand out kept replies, after a number, in order."""
        require_token(request, self.settings.token)
        number = (_WHOLE, "a whole number")
        asked = query(request, {"after": number, "limit": ("[1-9][0-9]{0,2}|1000", "1 to 1000"), "kept": number})
        after, limit = int(asked.get("after", "0")), int(asked.get("limit", str(PAGE)))
        try:
            if "kept" in asked:
                await run_in_threadpool(fetched_until, self.keeper.path, int(asked["kept"]))
            mark, lines = await run_in_threadpool(exported, self.keeper.path, after, limit)
        except StoreRefused as error:
            raise Refused(503, "The store cannot be read now.", headers={"Retry-After": str(LATER)}) from error
        text = "".join(
            f'{{"seq":{one.seq},"received":{json.dumps(one.received)},"reply":{one.document}}}\n' for one in lines
        )
        return Response(text, 200, {"Intake-Store": mark}, "application/x-ndjson")

    async def purge_always(self) -> None:
        """Delete what is old and kept elsewhere, now and every hour; what fails is tried again an hour later."""
        assert self.settings.days is not None
        while True:
            before = (datetime.now(UTC) - timedelta(days=self.settings.days)).strftime("%Y-%m-%d")
            try:
                gone = await run_in_threadpool(purge, self.keeper.path, before)
                log.info("deleted %d fetched replies from before %s", gone, before)
            except StoreRefused as error:
                log.warning("nothing was deleted: %s", type(error).__name__)
            await asyncio.sleep(PURGE_SECONDS)

    async def described(self, request: Request) -> Response:
        """Describe the service."""
        query(request, {})
        return said(description())


def _now() -> str:
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
