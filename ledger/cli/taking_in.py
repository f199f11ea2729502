"""The command that takes readers' replies in: intake."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from ledger.cli.telling import Terminal
from ledger.errors import Fault, FaultsFound

console = Terminal(highlight=False, soft_wrap=True)
TOKEN = "WITNESS_INTAKE_TOKEN"


def intake(
    store: Annotated[Path, typer.Argument(help="The file to keep replies in; made if it is not there.")],
    origin: Annotated[str, typer.Option(help="The site's origin, `https://site.example`: its pages alone may send.")],
    host: Annotated[str, typer.Option(help="Where to listen.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(help="The port; 0 for any free one.", min=0, max=65_535)] = 8100,
    token_file: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help=f"A file with the token that opens counts and export; or set {TOKEN}."),
    ] = None,
    trusted_proxy: Annotated[
        list[str] | None,
        typer.Option(help="Address or network of a reverse proxy whose X-Forwarded-For is believed; or `unix`."),
    ] = None,
    bits: Annotated[int, typer.Option(help="Work asked of a reader's browser, in leading zero bits.")] = 16,
    burst: Annotated[int, typer.Option(help="Replies that one address may send at once.")] = 8,
    hourly: Annotated[float, typer.Option(help="Replies that one address may send an hour after that.")] = 30.0,
    most: Annotated[int, typer.Option(help="Replies that the store holds at most.")] = 100_000,
    days: Annotated[
        int | None, typer.Option(help="Delete fetched replies so many days after they came; without it, never.")
    ] = None,
    logged: Annotated[bool, typer.Option("--log/--no-log", help="Log each call, without address and words.")] = True,
) -> None:
    """Take readers' replies in, and nothing else: it neither reads nor changes a ledger.

    Put a reverse proxy with TLS in front of it. `witness replies fetch` collects what it took.
    """
    from ledger.replies.intake.hosting import listening, serve
    from ledger.replies.intake.settings import settings

    chosen = settings(
        store,
        origin,
        token_of(token_file),
        tuple(trusted_proxy or ()),
        bits=bits,
        burst=burst,
        hourly=hourly,
        most=most,
        days=days,
    )
    taken = listening(host, port)
    shown, number = taken.getsockname()[:2]
    console.print(f"The intake listens at http://{f'[{shown}]' if ':' in shown else shown}:{number}/", markup=False)
    if chosen.token is None:
        console.print(f"Counts and export stay closed: give `--token-file` or set {TOKEN}.", markup=False)
    serve(chosen, taken, logged=logged)


def token_of(file: Path | None) -> str | None:
    """Return the token from a file or from the environment; it is never an argument, which others could read."""
    if file is None:
        return os.environ.get(TOKEN) or None
    try:
        return file.read_text("utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        fault = Fault(str(file), 0, "", "no file of text that can be read", "a file that holds the token", "Write one.")
        raise FaultsFound([fault]) from error
