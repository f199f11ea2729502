"""The intake run by uvicorn, at a socket that is bound already."""

from __future__ import annotations

import logging
import socket
from contextlib import suppress

import uvicorn

from ledger.errors import WitnessError
from ledger.replies.intake.serving import intake
from ledger.replies.intake.settings import Settings

MOST_CONNECTIONS = 1_000
MOST_HEADER_BYTES = 16_384
CLOSING_SECONDS = 10


def listening(host: str, port: int) -> socket.socket:
    """Return a socket that listens at a host and port; port 0 takes any free one. Raises WitnessError."""
    try:
        family = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0][0]
        # Named as TCP, so that asyncio sends answers at once and does not wait to fill a packet.
        taken = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind((host, port))
        taken.listen(2048)
    except OSError as error:
        raise WitnessError(f"The intake cannot listen at {host}, port {port}: {error.strerror}.") from error
    return taken


def serve(settings: Settings, taken: socket.socket, *, logged: bool = True) -> None:
    """Serve the intake until interrupted; what was acknowledged by then is on the disk."""
    logging.basicConfig(format="%(asctime)s %(levelname)s %(message)s", level=logging.WARNING)
    logging.getLogger("ledger.replies.intake").setLevel(logging.INFO if logged else logging.WARNING)
    config = uvicorn.Config(
        intake(settings),
        log_config=None,
        log_level="warning",
        access_log=False,
        proxy_headers=False,  # The intake itself reads them, and knows whom to believe.
        server_header=False,
        ws="none",
        lifespan="on",
        limit_concurrency=MOST_CONNECTIONS,
        h11_max_incomplete_event_size=MOST_HEADER_BYTES,
        timeout_graceful_shutdown=CLOSING_SECONDS,
    )
    with suppress(KeyboardInterrupt):  # It has stopped by then, and handed the interruption on.
        uvicorn.Server(config).run(sockets=[taken])
