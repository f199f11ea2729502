"""The command that opens the measuring bench: bench."""

from __future__ import annotations

import webbrowser
from typing import Annotated

import typer

from ledger.cli.place import HERE, Folder, find
from ledger.cli.telling import Terminal
from ledger.errors import WitnessError

console = Terminal(highlight=False, soft_wrap=True)


def bench(
    folder: Folder = HERE,
    port: Annotated[int, typer.Option(help="Where to listen; 0 for any free port.", min=0, max=65_535)] = 0,
    opening: Annotated[bool, typer.Option("--open/--no-open", help="Open it in the browser.")] = True,
) -> None:
    """Open the measuring bench: mark photographs and recordings in the browser, measure, and post what comes of it.

    Only this computer's browser can reach it, at the address that is printed, until the command is stopped.
    """
    from ledger.bench.guarding import HOST, new_token
    from ledger.bench.serving import free_socket, serve

    place = find(folder)
    try:
        taken = free_socket(port)
    except OSError as error:
        raise WitnessError(
            f"The bench cannot be opened at port {port}: {error.strerror}. Leave `--port` out, and a free one is taken."
        ) from error
    token = new_token()
    address = f"http://{HOST}:{taken.getsockname()[1]}/{token}/"
    console.print(f"The bench stands at {address}\nStop it with Ctrl+C.", markup=False)
    if opening:
        webbrowser.open(address)
    serve(place.root, token, taken)
