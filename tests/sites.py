"""A site built from the hand-made casebook with the demo's own configuration."""

from __future__ import annotations

import shutil
from html.parser import HTMLParser
from pathlib import Path
from unittest.mock import patch

from ledger.casebook.values import Casebook
from tests.casebook_calculators import REGISTER

ROOT = Path(__file__).parents[1]


def investigation(folder: Path) -> Path:
    """Lay out an investigation's `site` folder as the demo has it and return its configuration file."""
    (folder / "site" / "pages").mkdir(parents=True)
    shutil.copy(ROOT / "site" / "mkdocs.yml", folder / "site")
    return folder / "site" / "mkdocs.yml"


def build(folder: Path, casebook: Casebook) -> Path:
    """Build a site in the folder and return where it stands."""
    from ledger import press

    with patch.object(press, "REGISTER", REGISTER):
        return press.build(investigation(folder), casebook)


class Page(HTMLParser):
    """What a built page names: addresses by tag and attribute, ids, text of style attributes and sheets, handlers."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.addresses: list[tuple[str, str, str, dict[str, str | None]]] = []
        self.ids: set[str] = set()
        self.handlers: list[str] = []
        self.words: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take down one tag."""
        for name, value in attrs:
            if name in ("src", "href", "action", "srcset", "data", "poster", "srcdoc", "formaction", "ping"):
                self.addresses.append((tag, name, value or "", dict(attrs)))
            if name == "id" and value:
                self.ids.add(value)
            if name.startswith("on"):
                self.handlers.append(f"{tag} {name}={value}")

    def handle_data(self, data: str) -> None:
        """Take down text."""
        self.words.append(data)

    @property
    def text(self) -> str:
        """Return all text of the page."""
        return " ".join("".join(self.words).split())
