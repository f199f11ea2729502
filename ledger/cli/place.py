"""Where an investigation keeps its things, and the clock."""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from ledger.errors import Fault, FaultsFound

STORE = "witness.sqlite"


@dataclass(frozen=True)
class Place:
    """The folder of an investigation."""

    root: Path

    @property
    def entries(self) -> Path:
        """Return the folder of entry files."""
        return self.root / "entries"

    @property
    def store(self) -> Path:
        """Return the ledger file."""
        return self.root / STORE

    @property
    def config(self) -> Path:
        """Return the configuration of the site."""
        return self.root / "site" / "mkdocs.yml"


def find(folder: Path) -> Place:
    """Return the investigation in a folder; FaultsFound if there is none."""
    if not (folder / "entries").is_dir():
        given = "a folder without `entries/`" if folder.is_dir() else "a file" if folder.exists() else "no such folder"
        remedy = "Go to one, name it with `--in DIR`, or lay one out with `witness start DIR`."
        raise FaultsFound([Fault(str(folder), 0, "", given, "an investigation", remedy)])
    return Place(folder)


def own_text(place: Place, ref: str) -> str | None:
    """Return what an entry's own file says; None where there is none.

    Raises FaultsFound for a file with faults, and for a link: what lies elsewhere is never written to.
    """
    from ledger.entries.reading import read_file
    from ledger.entries.refusing import link

    file = place.entries / f"{ref}.md"
    if file.parent.is_symlink():
        raise FaultsFound([link(f"{place.entries.name}/{file.parent.name}")])
    return read_file(file, place.root).text if os.path.lexists(file) else None


def now() -> str:
    """Return the time in UTC to the second, as revisions carry it."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


Folder = Annotated[Path, typer.Option("--in", metavar="DIR", help="The investigation's folder.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for a script.")]
HERE = Path(".")
