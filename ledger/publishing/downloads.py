"""The data on the site: the same files as are handed out, in a folder of their own, and the page that names them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from ledger.casebook.values import Casebook
from ledger.handing.forms import FORMS, handed_out
from ledger.publishing.addresses import DATA, Ways, address
from ledger.publishing.rendering import page

FOLDER = "data"
PROVENANCE = "prov"
TOLD = {
    "json": ("The whole ledger", "JSON, with the JSON Schema that describes it."),
    "csv": ("Tables", "CSV, one file a table; `tables.txt` says what a row and each column is."),
    "prov": ("Where everything comes from", "W3C PROV-JSON: every revision, what it stood on, and who posted it."),
    "bibtex": ("The sources as a bibliography", "BibTeX."),
    "csl": ("The same for reference managers", "CSL JSON."),
}


@dataclass(frozen=True)
class File:
    """One file: its name, address and size in words."""

    name: str
    href: str
    size: str


@dataclass(frozen=True)
class Form:
    """One form: what it is, how it is written, and its files."""

    title: str
    told: str
    files: tuple[File, ...]


class Downloads:
    """The files of one casebook, made when first asked for: the page names them, and the site carries them."""

    def __init__(self, casebook: Casebook) -> None:
        self.casebook = casebook

    @cached_property
    def made(self) -> Mapping[str, Mapping[str, bytes]]:
        """Return by form its files; without a history nobody can say where things come from."""
        history = self.casebook.history()
        return {form: handed_out(self.casebook, history, (form,)) for form in FORMS if history or form != PROVENANCE}

    def files(self) -> dict[str, bytes]:
        """Return every file by its path on the site; the same casebook gives the same bytes."""
        return {f"{FOLDER}/{name}": content for files in self.made.values() for name, content in files.items()}

    def page(self) -> str:
        """Return the page that names the files."""
        ways = Ways(self.casebook, DATA)
        forms = tuple(
            Form(*TOLD[form], tuple(_file(name, content, ways) for name, content in files.items()))
            for form, files in self.made.items()
        )
        return page("data", forms=forms, edition=self.casebook.edition, invented=self.casebook.investigation.invented)


def _file(name: str, content: bytes, ways: Ways) -> File:
    return File(name, address(ways.here, f"{FOLDER}/{name}"), _size(len(content)))


def _size(count: int) -> str:
    if count < 1000:
        return f"{count} bytes"
    return f"{count / 1000:.0f} kB" if count < 10**6 else f"{count / 10**6:.1f} MB"
