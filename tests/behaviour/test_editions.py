"""Editions tell what each brought, on their page and in a feed that other programs read."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.values import Casebook
from ledger.publishing import editions, pages
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.casebooks import REGISTER
from tests.ledger_files import SMALL, put

ATOM = "{http://www.w3.org/2005/Atom}"
NOTE = """---
kind: evidence
title: A second look
source: {source}
credibility: 2
---
Seen again.
"""


def published(root: Path, at: str) -> Casebook:
    """Post what stands in a folder at a time, and number its state as an edition."""
    post(open_store(root / STORE), root / "entries", at)
    return open_casebook(root, register=REGISTER, count=200, numbering=True)


@pytest.fixture
def casebook(tmp_path: Path) -> Casebook:
    """Three editions: one begun, one with a note more and a word changed, one with that note withdrawn."""
    put(tmp_path / "entries", SMALL)
    first = published(tmp_path, "2031-06-01T00:00:00Z")
    source = first.of_kind("source")[0]
    note = NOTE.format(source=source.name)
    path = tmp_path / "entries" / f"{source.ref}.md"
    path.write_text(path.read_text().replace(f"title: {source.title}", f"title: {source.title}, again"))
    put(tmp_path / "entries", {"evidence/a-second-look": note})
    published(tmp_path, "2031-07-01T00:00:00Z")
    put(tmp_path / "entries", {"evidence/a-second-look": note.replace("kind:", "withdrawn: It was not so.\nkind:", 1)})
    return published(tmp_path, "2031-08-01T00:00:00Z")


def test_every_edition_tells_its_changes(casebook: Casebook) -> None:
    """The first has everything new; later ones just what was added, changed or withdrawn since."""
    first, second, third = casebook.editions()
    assert {one.how for one in first.changes} == {"new"}
    assert {one.ref for one in first.changes} == set(casebook.entries)
    assert [(one.ref, one.how) for one in second.changes] == [
        ("evidence/a-second-look", "new"),
        (casebook.of_kind("source")[0].ref, "revised"),
    ]
    assert [(one.ref, one.how) for one in third.changes] == [("evidence/a-second-look", "withdrawn")]
    assert [one.at[:10] for one in (first, second, third)] == ["2031-06-01", "2031-07-01", "2031-08-01"]


def test_the_page_has_the_latest_first(casebook: Casebook) -> None:
    """Editions stand on their page in the order in which a reader wants them."""
    page = pages.make(casebook, REGISTER)["editions.md"]
    assert page.index("## Edition 3") < page.index("## Edition 2") < page.index("## Edition 1")
    assert "editions.xml" not in page


def test_the_feed_is_read_by_another_program(casebook: Casebook) -> None:
    """It is well-formed Atom with an id, a time and a summary to each edition, dated by the record."""
    told = ElementTree.fromstring(editions.feed(casebook, "https://site.example/case/"))
    entries = told.findall(f"{ATOM}entry")
    assert [one.findtext(f"{ATOM}title") for one in entries] == ["Edition 3", "Edition 2", "Edition 1"]
    assert told.findtext(f"{ATOM}updated") == entries[0].findtext(f"{ATOM}updated") == "2031-08-01T00:00:00Z"
    assert len({one.findtext(f"{ATOM}id") for one in entries}) == 3
    links = [one.find(f"{ATOM}link") for one in entries]
    assert links[0] is not None
    assert links[0].get("href") == "https://site.example/case/editions.html#edition-3"
    assert all(one.findtext(f"{ATOM}summary") for one in entries)


def test_the_same_record_gives_the_same_feed(casebook: Casebook) -> None:
    """No clock is in it."""
    site = "https://site.example/"
    assert editions.feed(casebook, site) == editions.feed(casebook, site)
