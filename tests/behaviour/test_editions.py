"""Editions tell what each brought, on their page and in a feed that other programs read."""

from __future__ import annotations

import html
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from pathlib import Path

import pytest

from ledger.casebook.editions import Published
from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.values import Casebook
from ledger.publishing import editions
from ledger.publishing.addresses import EDITIONS, Ways
from ledger.quantities import percents
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests import casebooks
from tests.casebook_calculators import REGISTER
from tests.casebooks import pages_of
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


def test_a_state_that_was_published_before_says_so(tmp_path: Path) -> None:
    """Content that is taken back to an earlier edition has that edition's number, and home and editions say as much."""
    put(tmp_path / "entries", SMALL)
    published(tmp_path, "2031-06-01T00:00:00Z")
    put(tmp_path / "entries", {"evidence/sleeve-groove": SMALL["evidence/sleeve-groove"] + "More.\n"})
    later = published(tmp_path, "2031-07-01T00:00:00Z")
    put(tmp_path / "entries", SMALL)
    back = published(tmp_path, "2031-08-01T00:00:00Z")
    assert (later.edition.number, back.edition.number) == (2, 1)
    for path in ("index.md", "editions.md"):
        assert "What stands now is edition 1 again" not in pages_of(later, REGISTER)[path]
        assert "What stands now is edition 1 again" in pages_of(back, REGISTER)[path]
    assert "Edition 2, " not in pages_of(back, REGISTER)["index.md"]


def test_the_page_has_the_latest_first(casebook: Casebook) -> None:
    """Editions stand on their page in the order in which a reader wants them."""
    page = pages_of(casebook, REGISTER)["editions.md"]
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


REPLY = """---
kind: reply
title: {title}
about: {about}
stance: new-evidence
{name}date: 2031-07-02
consent: {consent}
---
I have one on the bench.
"""
READER = """---
kind: source
title: Ada Lind, a reader
medium: conversation
author: Ada Lind
date: 2031-07-02
rights: the reader's own, sent in to be published
publishable: true
reliability: B
locator: reply 00000000-0000-4000-8000-000000000001
---
"""


def test_an_edition_tells_what_readers_changed(tmp_path: Path) -> None:
    """Replies with credit as asked, entries that came of them under their later names, and what moved."""
    put(tmp_path / "entries", SMALL)
    first = published(tmp_path, "2031-06-01T00:00:00Z")
    question = first.of_kind("question")[0].ref
    rivals = [item.name for item in first.rivals(question)]
    bearing = "".join(f"  {name}: {0.95 if name == rivals[0] else 0.05}\n" for name in rivals)
    note = f"---\nkind: evidence\ntitle: One on the bench\nsource: reader\ncredibility: 1\nbearing:\n{bearing}---\n"
    put(
        tmp_path / "entries",
        {
            "replies/on-the-bench": REPLY.format(
                title="Bench", about=question, name="name: Ada Lind\n", consent="true"
            ),
            "replies/held": REPLY.format(title="Held back", about=question, name="", consent="false"),
            "sources/reader": READER,
            "evidence/one-on-the-bench": f"{note}Ada writes in [a reply](replies/on-the-bench).\n",
        },
    )
    published(tmp_path, "2031-07-01T00:00:00Z")
    formerly = REPLY.replace("kind:", "formerly: on-the-bench\nkind:", 1)
    (tmp_path / "entries" / "replies" / "on-the-bench.md").unlink()
    named = formerly.format(title="Bench", about=question, name="name: Ada Lind\n", consent="true")
    put(tmp_path / "entries", {"replies/renamed": named})
    casebook = published(tmp_path, "2031-08-01T00:00:00Z")
    told = [one.heard for one in casebook.editions()[1].changes if one.ref == "evidence/one-on-the-bench"]
    assert told == [("replies/renamed",)]
    page = pages_of(casebook, REGISTER)["editions.md"]
    assert page.count("From readers: ") == 2
    part = page.partition("## Edition 2")[2].partition("## Edition 1")[0]
    assert "2 new replies, 2 entries that came of replies" in part
    assert "<strong>Ada Lind</strong> brings new evidence, on" in part
    assert "replies/renamed.html" in part
    assert "evidence/one-on-the-bench.html" in part
    assert "sources/reader.html" in part
    assert "A reply held without consent to publish it" in part
    assert "Held back" not in part
    rival = f"hypotheses/{rivals[0]}"
    was, now = (casebook.editions()[place].confidences[question][rival] for place in (0, 1))
    assert now - was > 0.01
    moved = f"{casebook.entries[rival].title} {percents.chance(was)} → {percents.chance(now)}"
    assert moved in html.unescape(part)
    assert page == pages_of(casebook, REGISTER)["editions.md"]


def test_only_answers_that_read_otherwise_have_moved() -> None:
    """An answer that rounds to what it was is no news; one that reads otherwise is."""
    question, first, second = "questions/forks", "hypotheses/drum", "hypotheses/cam"

    def edition(number: int, share: float) -> Published:
        shares = {question: {first: share, second: 1 - share}}
        return Published(number, "f" * 64, number, f"2031-0{number}-01T00:00:00Z", (), shares, {})

    def moved(before: float, after: float) -> list[tuple[str, str]]:
        book = replace(casebooks.casebook(), editions=lambda: (edition(1, before), edition(2, after)))
        found = editions.latest_moves(book, Ways(book, EDITIONS))
        return [(one.before.rpartition(", ")[2], one.after.rpartition(", ")[2]) for one in found]

    assert moved(0.756, 0.7645) == []
    assert [tuple(text.replace("\N{NO-BREAK SPACE}", " ") for text in one) for one in moved(0.754, 0.764)] == [
        ("75 %", "76 %")
    ]
