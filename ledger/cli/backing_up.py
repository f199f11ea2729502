"""Commands against loss: backup, restore."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import Annotated

import typer

from ledger.cli.place import HERE, Folder, Place, find
from ledger.cli.telling import Terminal
from ledger.errors import Fault, FaultsFound

console = Terminal(highlight=False, soft_wrap=True)


def backup(
    target: Annotated[Path, typer.Argument(help="A new file, best on another disc.", metavar="FILE")],
    folder: Folder = HERE,
) -> None:
    """Write a verified copy of the ledger file to a new file, also while others write to it.

    Received replies, which wait outside the ledger, go into a second file beside it. Entry files, pictures and pages
    are ordinary files: copy them as such. `witness restore FILE` takes the backup back.
    """
    from ledger.replies.backup import back_up_received, name_for
    from ledger.store.backup import back_up, require_new
    from ledger.store.engine import open_store

    place = find(folder)
    store = open_store(place.store, create=False)
    require_new(target)
    # Also when interrupted: replies without their ledger are no backup.
    with ExitStack() as undo:
        replies = back_up_received(place.root, name_for(target))
        if replies is not None:
            undo.callback(replies.unlink)
        found = back_up(store, target)
        undo.pop_all()
    console.print(f"{found.revisions} revisions stand in {target}, verified up to {found.head[:12]}.", markup=False)
    if replies is not None:
        console.print(f"The received replies stand in {replies}.", markup=False)


def restore(
    source: Annotated[Path, typer.Argument(help="A file that `witness backup` wrote.", metavar="FILE")],
    folder: Folder = HERE,
) -> None:
    """Put a backup in the ledger's place, after verifying it. The ledger that stood there is kept aside.

    Received replies come back only where there are none: those that came in since the backup are not given up for it.
    """
    from ledger.replies.backup import name_for, restore_received
    from ledger.store.backup import restore as put_back

    if not folder.is_dir():
        remedy = "Make it, or name an investigation's folder with `--in DIR`."
        raise FaultsFound([Fault(str(folder), 0, "", "no folder", "a folder to restore into", remedy)])
    place = Place(folder)
    done = put_back(place.store, source)
    had = "" if done.before is None else f" It had {done.before}."
    console.print(f"The ledger has the {done.revisions} revisions of {source}.{had}", markup=False)
    if done.aside is not None:
        console.print(f"What stood there before is kept as {done.aside}.", markup=False)
    for ref in done.again:
        console.print(f"look at    {ref}: its words were erased since, and are back; `witness erase` them again.")
    if restore_received(place.root, name_for(source)):
        console.print("The received replies are back too.")
    elif name_for(source).exists():
        console.print("The received replies stay as they are: move replies.sqlite away to take those of the backup.")
    if not place.entries.is_dir():
        place.entries.mkdir()
        console.print("There are no entry files: `witness export` writes them.")
