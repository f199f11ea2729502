"""Commands that publish: publish, preview."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import Annotated

import typer

from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.cli.answering import rank
from ledger.cli.place import HERE, Folder, Place, find
from ledger.cli.posting import post_and_report
from ledger.cli.telling import Terminal, computing
from ledger.errors import Fault, FaultsFound, StoreDamaged

console = Terminal(highlight=False)


def publish(
    folder: Folder = HERE,
    posting: Annotated[
        bool, typer.Option("--post/--no-post", help="Post what changed in the entry files first.")
    ] = True,
) -> None:
    """Post what changed, recompute, rank, and build the site."""
    place = find(folder)
    _require_site(place)
    if posting:
        post_and_report(place)
    _require_sound(place)
    with computing(console) as progress:
        casebook = open_casebook(place.root, progress=progress, numbering=True)
    for ref in casebook.refused:
        console.print(f"refused {ref}")
    rank(folder)
    from ledger.press import build
    from ledger.publishing.editions import again

    with console.status("making pages"):
        site = build(place.config, casebook)
    told = again(casebook)
    console.print(
        f"\nEdition {casebook.edition.number} stands in {site}\n{told + chr(10) if told else ''}"
        f"Open {(site / 'index.html').absolute()}",
        soft_wrap=True,
    )


def _require_site(place: Place) -> None:
    """Post and compute nothing for a site that has no configuration."""
    if not place.config.is_file():
        file = f"{place.config.parent.name}/{place.config.name}"
        remedy = "`witness start` in a new folder lays one out: copy its `site` folder here."
        raise FaultsFound([Fault(file, 0, "file", "no such file", "the configuration of the site", remedy)])


def _require_sound(place: Place) -> None:
    """Publish nothing from a record that does not verify."""
    from ledger.store.engine import open_store
    from ledger.store.verifying import verify

    verified = verify(open_store(place.store, create=False))
    if not verified.sound:
        raise StoreDamaged("\n".join(["Nothing was published.", *map(str, verified.problems)]))


def preview(
    folder: Folder = HERE,
    address: Annotated[str, typer.Option(help="Where to serve.")] = "127.0.0.1:8000",
) -> None:
    """Serve the pages, made anew as entry files change. Posts nothing: a copy of the ledger takes the changes."""
    from ledger.press import serve
    from ledger.store.derived import carry_over
    from ledger.store.engine import open_store
    from ledger.store.migrating import copy_file

    place = find(folder)
    _require_site(place)
    with tempfile.TemporaryDirectory() as scratch:
        copies: list[Path] = []

        def fresh() -> Casebook:
            # Pages of the site before are still made from its own copy, so that one is kept.
            for old in copies[:-1]:
                shutil.rmtree(old.parent)
            del copies[:-1]
            copy = Path(tempfile.mkdtemp(dir=scratch)) / place.store.name
            if place.store.exists():
                copy_file(open_store(place.store).path, copy)
            post_and_report(place, copy, quiet=True)
            if copies:
                carry_over(open_store(copy), open_store(copies[-1]))
            copies.append(copy)
            return open_casebook(place.root, copy)

        serve(place.config, address, place.entries, fresh)
