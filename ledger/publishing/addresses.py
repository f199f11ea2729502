"""Where each page stands, and how one page leads to another."""

from __future__ import annotations

import re
from dataclasses import dataclass
from posixpath import dirname, relpath

from ledger.casebook.consent import published
from ledger.casebook.values import Casebook
from ledger.entries.models import KINDS
from ledger.weighing.values import NONE

HOME = "index.md"
READING = "reading.md"
SCORES = "scores.md"
BUILDING = "build-sheet.md"
EDITIONS = "editions.md"
CALCULATORS = "calculators/index.md"
METHODS = "methods/index.md"
IMPACT = "impact.md"
CHECKS = "checks.md"
DATA = "data.md"
REF = re.compile(rf"\b(?:{'|'.join(KINDS)})/[a-z0-9-]+")


@dataclass(frozen=True)
class Link:
    """Words and where they lead; `href` is None where there is nothing to lead to.

    state  withdrawn, missing or withheld; empty for all else
    """

    words: str
    href: str | None
    state: str = ""


def page_of(ref: str) -> str:
    """Return the page of an entry; a name that a web server reads as a folder's front page gets a hyphen."""
    folder, _, name = ref.partition("/")
    return f"{folder}/{name}-.md" if name == "index" else f"{folder}/{name}.md"


def section_of(folder: str) -> str:
    """Return the page that lists a folder's entries."""
    return f"{folder}/index.md"


def parameter_at(name: str) -> str:
    """Return the id of a parameter of the model on the build sheet's page, by its name in entries."""
    return f"p-{name}"


def address(here: str, there: str, anchor: str = "") -> str:
    """Return the relative address from one page to another, as built pages are named (`questions/forks.html`)."""
    target = f"{there.removesuffix('.md')}.html" if there.endswith(".md") else there
    return relpath(target, dirname(here) or ".") + (f"#{anchor}" if anchor else "")


class Ways:
    """The ways from one page to everything else."""

    def __init__(self, casebook: Casebook, here: str) -> None:
        self.casebook = casebook
        self.here = here

    def to(self, ref: str, words: str | None = None, anchor: str = "") -> Link:
        """Return the link to an entry, with its title for words unless others are given."""
        if ref == NONE:
            return Link(words or "None of these", address(self.here, READING, "none-of-these"))
        item = self.casebook.entries.get(ref) or self.casebook.withdrawn.get(ref)
        if item is None:
            return Link(words or ref, None, "missing")
        if not published(item):
            return Link("a reply held without consent to publish it", None, "withheld")
        state = "withdrawn" if ref in self.casebook.withdrawn else ""
        return Link(words or item.title, address(self.here, page_of(ref), anchor), state)

    def page(self, page: str, words: str, anchor: str = "") -> Link:
        """Return the link to a page that is no entry's."""
        return Link(words, address(self.here, page, anchor))

    def calculator(self, name: str, words: str) -> Link:
        """Return the link to a calculator's page."""
        return self.page(page_of(f"calculators/{name}"), words)


def by_title(casebook: Casebook, text: str) -> str:
    """Return text in which the refs of entries that may be published are their titles, in quotation marks."""

    def titled(found: re.Match[str]) -> str:
        item = casebook.entries.get(found[0]) or casebook.withdrawn.get(found[0])
        return found[0] if item is None or not published(item) else f"“{item.title}”"

    return REF.sub(titled, text)


def entry_named(target: str) -> str | None:
    """Return the ref that a link's target names (`measurements/hub-width`, also with `.md`), or None."""
    folder, slash, name = target.removesuffix(".md").partition("/")
    return f"{folder}/{name}" if slash and folder in KINDS and name and "/" not in name else None
